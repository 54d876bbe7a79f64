//! The meter that a manual's values were read with, which may be unknown.

use circuit::Meter;

use super::{find_meter, MeterNameError};

/// The class that stands in for an unknown meter. Its figures are never used: they are replaced
/// before anything is computed.
const STAND_IN: &str = "20k/V";

/// The meter of a manual's values.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ManualMeter {
    /// The meter, or its stand-in.
    pub meter: Meter,
    /// Whether the meter is only a stand-in.
    pub unknown: bool,
}

impl ManualMeter {
    /// The meter itself, unless it is only a stand-in.
    pub fn known(&self) -> Option<&Meter> {
        Some(&self.meter).filter(|_| !self.unknown)
    }
}

/// The manual's meter of a name. `unknown` is accepted too, unless a meter of the job has that
/// name.
///
/// # Errors
/// [`MeterNameError`] if the name means no meter.
pub(crate) fn find_manual_meter(name: &str, own: &[Meter]) -> Result<ManualMeter, MeterNameError> {
    let (meter, unknown) = match find_meter(name, own) {
        Err(MeterNameError::NotStated) => (find_meter(STAND_IN, &[])?, true),
        found => (found?, false),
    };
    Ok(ManualMeter { meter, unknown })
}

#[cfg(test)]
mod tests {
    use circuit::meter_by_name;

    use super::*;

    #[test]
    fn unknown_has_a_stand_in_that_is_no_known_meter() {
        for name in ["unknown", " Unknown "] {
            let meter = find_manual_meter(name, &[]).unwrap();
            assert_eq!((meter.unknown, meter.known()), (true, None), "{name}");
            assert_eq!(Some(meter.meter), meter_by_name("20k/V"));
        }
        let meter = find_manual_meter("11M", &[]).unwrap();
        assert_eq!(meter.known(), meter_by_name("11M").as_ref());
        assert!(find_manual_meter("unknwn", &[]).is_err());
    }

    #[test]
    fn a_meter_of_the_job_may_be_called_unknown() {
        let own = [Meter {
            name: "unknown".into(),
            ..meter_by_name("1k/V").unwrap()
        }];
        let meter = find_manual_meter("unknown", &own).unwrap();
        assert_eq!(meter.known(), Some(&own[0]));
    }
}
