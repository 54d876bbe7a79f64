//! The ohmmeter and the ammeter inside a multimeter.
//!
//! A series ohmmeter is a battery in series with a resistance: `U = E·R/(R + R_i)`, half scale at
//! `R = R_i` (Kalsi, Electronic Instrumentation, 3rd ed., ex. 4.22; Bell, Electronic
//! Instrumentation and Measurements, 2nd ed., ex. 3-14). A digital ohmmeter is modelled in the same
//! way, with its own test volts. An ammeter is a resistance in series. The circuit under test is
//! not known here.

use crate::meter::Accuracy;

/// Readings above this many times the resistance of the highest range are at the infinity mark of a
/// pointer scale (common practice, no source: such scales are divided up to about there).
const TOWARDS_INFINITY: f64 = 100.0;

/// One range of an ohmmeter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OhmRange {
    /// Its own resistance in ohms, the reading at half scale of a pointer meter.
    pub ohms: f64,
    /// Volts between its open leads.
    pub volts: f64,
    /// Largest ohms that a digital meter shows on it; none for a pointer meter.
    pub full_scale: Option<f64>,
}

/// The ohmmeter of a meter.
#[derive(Clone, Debug, PartialEq)]
pub struct Ohmmeter {
    /// Its ranges, in rising order of resistance; at least one.
    pub ranges: Vec<OhmRange>,
    /// Its permitted error: a share of the full deflection, or of the reading. None if unknown.
    pub accuracy: Option<Accuracy>,
    /// Whether the red lead is the negative one on its ohms ranges, as on many pointer meters.
    pub red_is_minus: bool,
}

/// The ammeter of a meter.
#[derive(Clone, Debug, PartialEq)]
pub struct Ammeter {
    /// Volts across it at full scale.
    pub burden: f64,
    /// Full scales in amperes, in rising order.
    pub ranges: Vec<f64>,
    /// Its permitted error, where known.
    pub accuracy: Option<Accuracy>,
}

impl OhmRange {
    /// The ohms that it shows with these volts between its leads: the resistance across which the
    /// current that it drives would drop these volts.
    pub fn shown(&self, volts: f64) -> f64 {
        // R = U / ((E − U)/R_i)
        let rest = self.volts - volts;
        if rest > 0.0 {
            self.ohms * volts / rest
        } else {
            f64::INFINITY
        }
    }

    /// Derivative of [`OhmRange::shown`], in ohms per volt.
    pub fn shown_slope(&self, volts: f64) -> f64 {
        // dR/dU = R_i·E/(E − U)²
        self.ohms * self.volts / (self.volts - volts).powi(2)
    }

    /// The share of the full deflection at this resistance in ohms: 1 for a short, 0 for an open
    /// circuit.
    pub fn deflection(&self, ohms: f64) -> f64 {
        self.ohms / (self.ohms + ohms)
    }

    /// Whether a digital meter can show these ohms on this range; a pointer meter shows all.
    pub fn holds(&self, ohms: f64) -> bool {
        self.full_scale.is_none_or(|most| ohms <= most)
    }
}

impl Ohmmeter {
    /// The range on which a technician reads these ohms: with a digital meter the lowest that holds
    /// them, with a pointer meter the one that shows them nearest to the middle of its scale.
    pub fn range_for(&self, ohms: f64) -> Option<OhmRange> {
        let holding = |range: &&OhmRange| range.full_scale.is_some() && range.holds(ohms);
        let digital = self.ranges.iter().find(holding);
        let pointer = || {
            let off_middle = |range: &OhmRange| (range.deflection(ohms) - 0.5).abs();
            let pointers = self
                .ranges
                .iter()
                .filter(|range| range.full_scale.is_none());
            pointers.min_by(|a, b| off_middle(a).total_cmp(&off_middle(b)))
        };
        digital.or_else(pointer).or(self.ranges.last()).copied()
    }

    /// The largest ohms that it can show; more is read as an open circuit.
    pub fn most(&self) -> f64 {
        let each = self.ranges.iter();
        let each = each.map(|range| range.full_scale.unwrap_or(TOWARDS_INFINITY * range.ohms));
        each.fold(0.0, f64::max)
    }

    /// Half-width in ohms of the permitted error on a range; `counts` is the size of a digital
    /// display. None if it is not known.
    pub fn half_width(&self, range: OhmRange, ohms: f64, counts: Option<u32>) -> Option<f64> {
        match self.accuracy? {
            // D = R_i/(R_i + R): dR = dD·(R_i + R)²/R_i
            Accuracy::OfFullScale(share) => Some(share * (range.ohms + ohms).powi(2) / range.ohms),
            Accuracy::OfReading { share, counts: off } => {
                let one = match (range.full_scale, counts) {
                    (Some(full_scale), Some(counts)) if counts > 0 => {
                        full_scale / f64::from(counts)
                    }
                    _ if off == 0.0 => 0.0,
                    _ => return None,
                };
                Some(share * ohms + off * one)
            }
        }
    }
}

impl Ammeter {
    /// Full scale in amperes of the range on which these amperes are read: the lowest that holds
    /// them, or else the highest.
    pub fn range_for(&self, amperes: f64) -> Option<f64> {
        let holding = self.ranges.iter().find(|full| amperes.abs() <= **full);
        holding.or(self.ranges.last()).copied()
    }

    /// Its resistance in ohms on the range of this full scale in amperes.
    pub fn ohms(&self, full_scale: f64) -> f64 {
        self.burden / full_scale
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn range(ohms: f64, volts: f64) -> OhmRange {
        OhmRange {
            ohms,
            volts,
            full_scale: None,
        }
    }

    #[test]
    fn deflections_of_a_series_ohmmeter_as_published() {
        // Kalsi, Electronic Instrumentation, 3rd ed., ex. 4.22: 3 V, 1 mA, 3 kΩ. Exact except for
        // 333 Ω, where half an ohm is 1.35e-4 of the deflection.
        for (ohms, percent) in [(12e3, 20.0), (4.5e3, 40.0), (3e3, 50.0), (1e3, 75.0)] {
            let got = range(3e3, 3.0).deflection(ohms) * 100.0;
            assert!((got - percent).abs() < 1e-9, "{ohms}");
        }
        assert!((range(3e3, 3.0).deflection(333.0) - 0.9).abs() < 1.35e-4);
        // Bell, Electronic Instrumentation and Measurements, 2nd ed., ex. 3-14: 1.5 V, 15 kΩ.
        for (ohms, percent) in [(45e3, 25.0), (5e3, 75.0)] {
            let got = range(15e3, 1.5).deflection(ohms) * 100.0;
            assert!((got - percent).abs() < 1e-9, "{ohms}");
        }
        // Lessons In Electric Circuits, vol. I, ch. 8: 9 V, 1 mA, 500 Ω and 8.5 kΩ.
        assert!((range(9e3, 9.0).deflection(9e3) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn what_is_shown_is_what_hangs_there() {
        // 4.5 kΩ on 3 kΩ and 3 V: 1.8 V, by hand.
        let on = range(3e3, 3.0);
        assert!((on.shown(1.8) - 4.5e3).abs() < 1e-9);
        assert!(on.shown(3.0).is_infinite());
        // Against a central difference of 1 µV: error of order 1e-12 of the slope's curvature.
        let difference = (on.shown(1.8 + 1e-6) - on.shown(1.8 - 1e-6)) / 2e-6;
        assert!((on.shown_slope(1.8) - difference).abs() < 1e-3);
    }

    #[test]
    fn a_pointer_is_worst_at_the_ends_of_its_scale() {
        let meter = Ohmmeter {
            ranges: vec![range(12.0, 1.5), range(1200.0, 1.5), range(120e3, 7.5)],
            accuracy: Some(Accuracy::OfFullScale(0.03)),
            red_is_minus: false,
        };
        // At half scale 3 % of the arc is four times 3 % of the reading: 144 Ω of 1200, by hand.
        let at = meter.range_for(1200.0).unwrap();
        assert!((at.ohms - 1200.0).abs() < 1e-9);
        assert!((meter.half_width(at, 1200.0, None).unwrap() - 144.0).abs() < 1e-9);
        assert!((meter.range_for(470e3).unwrap().ohms - 120e3).abs() < 1e-6);
        assert!((meter.most() - 12e6).abs() < 1.0);
    }
}
