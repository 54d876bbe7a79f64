//! The resistor to clip across one meter so that it loads a point like another.
//!
//! A meter of `R₀` with `R_s` across it loads like one of `R₁`:
//!
//! ```text
//! R_s = R₀R₁/(R₀ − R₁)
//! ```
//!
//! Nearest preferred values, what their rounding leaves, and what the resistor has to stand, go out.

use circuit::{Meter, MeterRange};
use thiserror::Error;
use units::{Pair, Series};

/// A resistor is used at no more than this share of its rated watts.
const OF_RATED_WATTS: f64 = 0.5;

/// And at no more than this share of its rated volts.
const OF_RATED_VOLTS: f64 = 0.7;

/// Usual ratings of resistors in watts, rising.
const RATED_WATTS: [f64; 7] = [0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0];

/// Volts that one small resistor body stands, whatever its ohms: common practice, no source, of
/// half-watt bodies.
const USUAL_VOLTS: f64 = 350.0;

/// One range of the meter that is to be imitated.
#[derive(Clone, Debug, PartialEq)]
pub struct Imitation {
    /// Full scale of the range that is imitated, in volts.
    pub range: MeterRange,
    /// Resistance of the imitated meter on it, in ohms.
    pub wanted_ohms: f64,
    /// The own meter's range that holds as much, and its resistance there in ohms.
    pub own_range: MeterRange,
    /// Its resistance there in ohms.
    pub own_ohms: f64,
    /// The resistor or why there is none.
    pub clip: Result<Clip, NoClip>,
}

/// The resistor.
#[derive(Clone, Debug, PartialEq)]
pub struct Clip {
    /// Its exact value in ohms.
    pub ohms: f64,
    /// The nearest of each series, the coarsest first.
    pub single: Vec<(Series, Nearest)>,
    /// The nearest pair of each series.
    pub pair: Vec<(Series, Pair, Nearest)>,
    /// Watts in it at full scale.
    pub watts: f64,
    /// Watts it should be rated for, twice that and a usual size.
    pub rated_watts: f64,
    /// Volts it should be rated for, with a margin.
    pub rated_volts: f64,
    /// How many resistors in series share those volts, one usual body each.
    pub bodies: usize,
}

/// A preferred value and what it makes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// Its ohms.
    pub ohms: f64,
    /// The load that it makes with the meter, in ohms.
    pub load: f64,
    /// That less what was wanted, as a share.
    pub off: f64,
}

/// Why no resistor helps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoClip {
    /// The meter loads as much already.
    AlreadyAlike,
    /// The meter loads more: a resistor across it cannot reduce its load.
    LoadsMore,
}

/// Why nothing is told.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ImitateError {
    /// The meter to be imitated lists no ranges.
    #[error("{meter} lists no ranges")]
    NoRanges {
        /// Its name.
        meter: String,
    },
}

/// Two loads within this share are alike: a tenth of a usual meter's own error.
const ALIKE: f64 = 0.003;

/// For each range of `other`, or the given one, what makes `own` load like it.
///
/// # Errors
/// [`ImitateError`] where a meter has no ranges.
pub fn imitate(
    own: &Meter,
    other: &Meter,
    range: Option<f64>,
) -> Result<Vec<Imitation>, ImitateError> {
    let lists = |meter: &Meter| ImitateError::NoRanges {
        meter: meter.name.clone(),
    };
    let ranges = match range {
        Some(volts) => vec![other.range(volts)],
        None => other.ranges.clone(),
    };
    if ranges.is_empty() {
        return Err(lists(other));
    }
    ranges
        .into_iter()
        .map(|range| {
            let own_range = own.range_for(range.full_scale).ok_or_else(|| lists(own))?;
            let (own_ohms, wanted_ohms) = (own.input_ohms(own_range), other.input_ohms(range));
            Ok(Imitation {
                range,
                wanted_ohms,
                own_range,
                own_ohms,
                clip: clip(own_ohms, wanted_ohms, range.full_scale),
            })
        })
        .collect()
}

fn clip(own: f64, wanted: f64, volts: f64) -> Result<Clip, NoClip> {
    if (own / wanted - 1.0).abs() < ALIKE {
        return Err(NoClip::AlreadyAlike);
    }
    if own < wanted {
        return Err(NoClip::LoadsMore);
    }
    // R_s = R₀R₁/(R₀ − R₁)
    let ohms = own * wanted / (own - wanted);
    let nearest = |ohms: f64| {
        let load = own * ohms / (own + ohms);
        Nearest {
            ohms,
            load,
            off: load / wanted - 1.0,
        }
    };
    let watts = volts * volts / ohms;
    let rated = watts / OF_RATED_WATTS;
    let usual = RATED_WATTS.into_iter().find(|usual| *usual >= rated);
    let rated_volts = volts / OF_RATED_VOLTS;
    Ok(Clip {
        ohms,
        single: Series::ALL
            .map(|series| (series, nearest(series.nearest(ohms))))
            .to_vec(),
        pair: Series::ALL
            .map(|series| {
                let pair = series.nearest_pair(ohms);
                (series, pair, nearest(pair.ohms()))
            })
            .to_vec(),
        watts,
        rated_watts: usual.unwrap_or(rated),
        rated_volts,
        bodies: (rated_volts / USUAL_VOLTS).ceil().max(1.0) as usize,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::meter_by_name;

    #[test]
    fn a_digital_meter_made_to_load_as_an_old_one() {
        // 1 kΩ/V on 250 V is 250 kΩ; 256.4 kΩ across 10 MΩ make it: computed for the reading at
        // canadianvintageradio.com/how_to/example-how-to.
        let (own, other) = (
            meter_by_name("10M").unwrap(),
            meter_by_name("1k/V").unwrap(),
        );
        let found = imitate(&own, &other, Some(250.0)).unwrap();
        let clip = found[0].clip.as_ref().unwrap();
        assert!((clip.ohms - 256.41e3).abs() < 5.0);
        // 250 V across it: 0.244 W, so half a watt.
        assert!((clip.watts - 0.24375).abs() < 1e-5);
        assert!((clip.rated_watts - 0.5).abs() < 1e-12);
        assert!(clip.rated_volts > 350.0 && clip.bodies == 2);
        // Both together load as wanted, by their own parallel connection.
        for (_, one) in &clip.single {
            let load = 1.0 / (1.0 / 10e6 + 1.0 / one.ohms);
            assert!((one.off - (load / 250e3 - 1.0)).abs() < 1e-12);
        }
        assert!(clip.pair[1].2.off.abs() <= clip.single[1].1.off.abs());
    }

    #[test]
    fn nothing_makes_a_meter_load_less() {
        let (old, new) = (
            meter_by_name("1k/V").unwrap(),
            meter_by_name("10M").unwrap(),
        );
        let found = imitate(&old, &new, Some(200.0)).unwrap();
        assert_eq!(found[0].clip, Err(NoClip::LoadsMore));
        let found = imitate(&new, &new, None).unwrap();
        assert!(found
            .iter()
            .all(|one| one.clip == Err(NoClip::AlreadyAlike)));
    }
}
