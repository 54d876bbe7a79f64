//! Meters: their load on a point, their ranges, and their accuracy.
//!
//! A voltmeter is modelled as its input resistance across the port. For a meter with a sensitivity
//! in ohms per volt, that is the sensitivity times the full scale of the selected range, not times
//! the reading (NEETS Module 3, NAVEDTRA 14175, p. 1-27). The circuit under the meter is not known
//! here.

use units::Sensitivity;

use crate::ohmmeter::{Ammeter, Ohmmeter};

/// A voltmeter.
#[derive(Clone, Debug, PartialEq)]
pub struct Meter {
    /// The name by which job files call it, such as `20k/V` or `bench-dmm`.
    pub name: String,
    /// One line of text for the reader.
    pub description: String,
    /// Its input resistance for direct volts.
    pub input: MeterInput,
    /// Its direct-volt ranges, in rising order.
    pub ranges: Vec<MeterRange>,
    /// Counts of a digital display, such as 2000.
    pub counts: Option<u32>,
    /// Its accuracy for direct volts, where known.
    pub accuracy: Option<Accuracy>,
    /// What stands in its lead for direct volts, if anything; input and ranges include it.
    pub probe: Option<SeriesProbe>,
    /// Its alternating-volt side, where known.
    pub ac: Option<AcInput>,
    /// Its ohmmeter, where known.
    pub ohmmeter: Option<Ohmmeter>,
    /// Its ammeter for direct current, where known.
    pub ammeter: Option<Ammeter>,
}

/// Input resistance of a meter for direct volts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MeterInput {
    /// Ohms for each volt of full scale, in Ω/V.
    Sensitivity(Sensitivity),
    /// The same ohms on every range, except for ranges that state their own.
    Fixed(f64),
}

/// One range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeterRange {
    /// Volts at full scale.
    pub full_scale: f64,
    /// Input resistance on this range in ohms, where it differs from the meter's.
    pub input: Option<f64>,
}

/// A resistance in the tip of a meter's probe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeriesProbe {
    /// Its resistance in ohms.
    pub ohms: f64,
    /// Whether the user multiplies the reading by the division ratio, so that the ranges extend by
    /// it; the scale of other meters allows for the probe.
    pub multiplied: bool,
}

/// Permitted error of a meter, as its maker states it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Accuracy {
    /// A share of full scale, anywhere on the scale; no unit.
    OfFullScale(f64),
    /// A share of the reading and a number of counts of the last digit.
    OfReading {
        /// Share of the reading; no unit.
        share: f64,
        /// Counts of the last digit.
        counts: f64,
    },
}

/// What an alternating-volt indication follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Response {
    /// The mean of the rectified wave, scaled for a sine.
    Average,
    /// The root mean square.
    TrueRms,
    /// The peak, scaled for a sine.
    Peak,
}

/// The alternating-volt side of a meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AcInput {
    /// Input resistance for alternating volts.
    pub input: MeterInput,
    /// Input capacitance in farads.
    pub capacitance: f64,
    /// Capacitor in series with its leads, in farads, which blocks direct volts; none where direct
    /// volts reach the meter.
    pub blocking: Option<f64>,
    /// Permitted error.
    pub accuracy: Option<Accuracy>,
    /// What the indication follows.
    pub responds: Response,
}

impl Meter {
    /// Input resistance in ohms on a range.
    pub fn input_ohms(&self, range: MeterRange) -> f64 {
        match (range.input, self.input) {
            (Some(ohms), _) => ohms,
            // R_m = S · full-scale volts of the selected range
            (None, MeterInput::Sensitivity(Sensitivity(ohms_per_volt))) => {
                ohms_per_volt * range.full_scale
            }
            (None, MeterInput::Fixed(ohms)) => ohms,
        }
    }

    /// The range of this full scale in volts. If the meter does not list it, a range of that full
    /// scale with the input by the meter's rule, because a manual may name a range that the class
    /// does not list.
    pub fn range(&self, full_scale: f64) -> MeterRange {
        let same =
            |range: &&MeterRange| (range.full_scale - full_scale).abs() <= 1e-9 * full_scale.abs();
        self.ranges
            .iter()
            .find(same)
            .copied()
            .unwrap_or(MeterRange {
                full_scale,
                input: self.unlisted_input(full_scale),
            })
    }

    /// Input resistance in ohms on a range that is not listed, where the meter's own rule leaves
    /// something out.
    fn unlisted_input(&self, full_scale: f64) -> Option<f64> {
        match (self.input, self.probe) {
            // The ohms per volt are those of the meter behind its probe. Where the reading is
            // multiplied, the current at full scale is the meter's, so that its ohms per volt hold
            // for the volts at the tip as they stand.
            (MeterInput::Sensitivity(Sensitivity(ohms_per_volt)), Some(probe))
                if !probe.multiplied =>
            {
                Some(ohms_per_volt * full_scale + probe.ohms)
            }
            _ => None,
        }
    }

    /// The range with the probe of a position of the range switch, given by the volts that stand
    /// at the switch; none without a probe whose reading is multiplied.
    pub fn range_at_switch(&self, volts: f64) -> Option<MeterRange> {
        let probe = self.probe.filter(|probe| probe.multiplied)?;
        let at_switch = |range: &MeterRange| {
            let total = self.input_ohms(*range);
            range.full_scale * (total - probe.ohms) / total
        };
        let same = |range: &&MeterRange| (at_switch(range) - volts).abs() <= 1e-9 * volts.abs();
        self.ranges.iter().find(same).copied()
    }

    /// The lowest range that holds these volts, or else the highest range; none for a meter without
    /// ranges.
    pub fn range_for(&self, volts: f64) -> Option<MeterRange> {
        self.ranges
            .iter()
            .find(|range| range.holds(volts))
            .or(self.ranges.last())
            .copied()
    }

    /// The next range below and the next range above, where the meter has them.
    pub fn neighbours(&self, range: MeterRange) -> (Option<MeterRange>, Option<MeterRange>) {
        let below = |other: &&MeterRange| other.full_scale < range.full_scale;
        let above = |other: &&MeterRange| other.full_scale > range.full_scale;
        (
            self.ranges.iter().rev().find(below).copied(),
            self.ranges.iter().find(above).copied(),
        )
    }

    /// Whether the input resistance differs from range to range.
    pub fn loads_by_range(&self) -> bool {
        let mut ohms = self.ranges.iter().map(|range| self.input_ohms(*range));
        match ohms.next() {
            Some(first) => ohms.any(|other| (other - first).abs() > 1e-9 * first.abs()),
            None => matches!(self.input, MeterInput::Sensitivity(_)),
        }
    }
}

impl MeterRange {
    /// Whether volts of either sign fit on the range.
    pub fn holds(&self, volts: f64) -> bool {
        volts.abs() <= self.full_scale
    }
}

#[cfg(test)]
mod tests {
    use super::SeriesProbe;
    use crate::meter_class::meter_by_name;

    #[test]
    fn an_ohms_per_volt_meter_loads_by_its_range_and_not_by_the_reading() {
        // 50 kΩ on 2.5 V is 20 kΩ/V: US Army Ordnance Subcourse OD0010, fig. 9.
        let meter = meter_by_name("20k/V").unwrap();
        assert!((meter.input_ohms(meter.range(2.5)) - 50e3).abs() < 1e-6);
        assert!((meter.input_ohms(meter.range_for(1.0).unwrap()) - 50e3).abs() < 1e-6);
        assert!((meter.input_ohms(meter.range(300.0)) - 6e6).abs() < 1e-3);
    }

    #[test]
    fn the_lowest_range_that_holds_the_volts_is_chosen() {
        let meter = meter_by_name("20k/V").unwrap();
        let full_scale = |volts| meter.range_for(volts).unwrap().full_scale;
        assert!((full_scale(-9.0) - 10.0).abs() < 1e-12);
        assert!((full_scale(10.0) - 10.0).abs() < 1e-12);
        assert!((full_scale(10.1) - 50.0).abs() < 1e-12);
        assert!((full_scale(1e6) - 1000.0).abs() < 1e-12);
    }

    /// By hand: 20 kΩ/V on 300 V are 6 MΩ, and the tip adds its own.
    #[test]
    fn a_range_that_is_not_listed_has_the_probe_in_its_lead_too() {
        let mut meter = meter_by_name("20k/V").unwrap();
        meter.probe = Some(SeriesProbe {
            ohms: 1e6,
            multiplied: false,
        });
        let ohms = meter.input_ohms(meter.range(300.0));
        assert!((ohms - 7e6).abs() < 1e-3, "{ohms}");
        // Full scale at 50 µA whatever is in the lead: 6 kV are 120 MΩ.
        meter.probe = Some(SeriesProbe {
            ohms: 80e6,
            multiplied: true,
        });
        let ohms = meter.input_ohms(meter.range(6000.0));
        assert!((ohms - 120e6).abs() < 1e-1, "{ohms}");
    }

    #[test]
    fn neighbours_stop_at_the_ends() {
        let meter = meter_by_name("20k/V").unwrap();
        let (below, above) = meter.neighbours(meter.range(2.5));
        assert!(below.is_none());
        assert!((above.unwrap().full_scale - 10.0).abs() < 1e-12);
    }
}
