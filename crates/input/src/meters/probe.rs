//! A resistance in the tip of a meter's probe: `probe = "1M in series"`.
//!
//! It adds to the input resistance of the meter. A meter whose scale allows for it shows the volts
//! at the tip. With any other meter the reading is multiplied by the division ratio of the probe,
//! which the words `reading multiplied` state; its ranges then extend by the same ratio. In both
//! cases the volts written down, and the volts expected, are those at the tip.

use circuit::{Meter, MeterInput, MeterRange, SeriesProbe};
use units::{Figure, Unit};

use crate::diagnostic::Diagnostic;
use crate::settings::tree::Entry;
use crate::values::Reported;

const HELP: &str = "write `probe = \"1M in series\"` for a meter whose scale allows for it, else \
                    `probe = \"10M in series, reading multiplied\"` and write down the product";

pub(super) fn read(entry: &Entry<'_>, out: &mut Vec<Diagnostic>) -> Result<SeriesProbe, Reported> {
    let words = entry.words(out)?;
    let (probe, rest) = words.text.split_once(',').unwrap_or((&words.text, ""));
    let ohms = probe.trim().strip_suffix("in series").map(str::trim_end);
    let ohms = ohms.and_then(|ohms| Figure::parse(ohms, Unit::Ohm).ok());
    let multiplied = match rest.trim() {
        "" => Some(false),
        "reading multiplied" => Some(true),
        _ => None,
    };
    match (ohms, multiplied) {
        (Some(ohms), Some(multiplied)) if ohms.value > 0.0 => Ok(SeriesProbe {
            ohms: ohms.value,
            multiplied,
        }),
        _ => {
            let error = words.error(format!("'{}' is no probe", words.text));
            Err(error.help(HELP).report(out))
        }
    }
}

/// The meter with the probe on its lead.
pub(super) fn on(probe: SeriesProbe, mut meter: Meter) -> Meter {
    let bare = meter.clone();
    for range in &mut meter.ranges {
        let own = bare.input_ohms(*range);
        let total = own + probe.ohms;
        *range = MeterRange {
            full_scale: match probe.multiplied {
                true => range.full_scale * total / own,
                false => range.full_scale,
            },
            input: Some(total),
        };
    }
    if let MeterInput::Fixed(ohms) = meter.input {
        meter.input = MeterInput::Fixed(ohms + probe.ohms);
    }
    meter.probe = Some(probe);
    meter
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 10 MΩ in series with 10 MΩ: twice the load, and half of the volts on the display, so that a
    /// range of 200 V reaches to 400 V at the tip. By hand.
    #[test]
    fn a_probe_adds_its_load_and_stretches_the_ranges_of_who_multiplies() {
        let meter = circuit::meter_by_name("10M").unwrap();
        let range = *meter.ranges.last().unwrap();
        for (multiplied, factor) in [(false, 1.0), (true, 2.0)] {
            let probe = SeriesProbe {
                ohms: 10e6,
                multiplied,
            };
            let with = on(probe, meter.clone());
            let last = *with.ranges.last().unwrap();
            assert!((with.input_ohms(last) - 20e6).abs() < 1e-3);
            let want = factor * range.full_scale;
            assert!((last.full_scale - want).abs() <= 1e-12 * want);
            assert_eq!(with.input, MeterInput::Fixed(20e6));
            let at_switch = with.range_at_switch(range.full_scale);
            assert_eq!(at_switch, multiplied.then_some(last));
        }
    }
}
