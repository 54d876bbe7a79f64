//! Semiconductor types at 27 °C, with the figures that their numbers were chosen to match, and the
//! sources.
//!
//! Rows of one table come in, types go out. A series resistance is kept separate from its junction,
//! because it is a separate part in a circuit.

use super::rows::{rows, CatalogueError, Row};
use crate::characteristic::{Bipolar, FieldEffect, Junction, Polarity, SoftKnee};

/// kT/q at 27 °C in volts, the temperature of the table.
const THERMAL_VOLTS: f64 = 25.865e-3;

/// Resistance in ohms across a Zener diode below its knee (assumed, no source).
const ZENER_LEAK_OHMS: f64 = 1e9;

/// One semiconductor type.
#[derive(Clone, Debug, PartialEq)]
pub struct SemiconductorType {
    /// Its names; the first is the one to print.
    pub names: Vec<String>,
    /// Its material and kind in words, as `germanium PNP`.
    pub words: String,
    /// What it is, with its numbers.
    pub kind: SemiconductorKind,
    /// A remark, for example that it stands for a class of types.
    pub note: String,
    /// Published figures, and the values that the numbers give.
    pub check: String,
    /// How far it can be trusted.
    pub status: String,
    /// Where it is from.
    pub source: String,
}

/// What a semiconductor is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SemiconductorKind {
    /// Diode: a junction and a resistance in series with it.
    Diode {
        /// Its junction.
        junction: Junction,
        /// Series resistance in ohms.
        series_ohms: f64,
    },
    /// Selenium rectifier, for each plate.
    Selenium(SeleniumPlate),
    /// Zener diode of any marked voltage.
    Zener(ZenerType),
    /// Bipolar transistor: its junctions and a resistance in series with its collector.
    Bipolar {
        /// Its junctions.
        transistor: Bipolar,
        /// Collector resistance in ohms.
        collector_ohms: f64,
    },
    /// Junction field-effect transistor.
    FieldEffect(FieldEffect),
}

/// One plate of a selenium stack, independent of its size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeleniumPlate {
    /// Knee in volts.
    pub knee_volts: f64,
    /// Width of the bend in volts.
    pub softness: f64,
    /// Volts beyond the knee at rated current.
    pub slope_volts: f64,
    /// Leakage resistance times rated current, in volts.
    pub reverse_volts: f64,
}

/// A Zener diode whose slope depends on its voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ZenerType {
    /// Current in amperes at which the marked volts hold.
    pub test_amperes: f64,
    /// Volts and slope in ohms at the lower end of the range.
    pub low: (f64, f64),
    /// Volts and slope in ohms at the upper end.
    pub high: (f64, f64),
    /// Width of the bend in volts.
    pub softness: f64,
}

impl SeleniumPlate {
    /// A stack of plates in series, rated for a current in amperes.
    pub fn stack(&self, plates: u32, rated_amperes: f64) -> SoftKnee {
        let plates = f64::from(plates);
        SoftKnee {
            knee_volts: plates * self.knee_volts,
            slope_ohms: plates * self.slope_volts / rated_amperes,
            softness: plates * self.softness,
            leak_ohms: plates * self.reverse_volts / rated_amperes,
        }
    }
}

impl ZenerType {
    /// A diode marked with these volts, from cathode to anode.
    pub fn marked(&self, volts: f64) -> SoftKnee {
        // Linear between the ends and constant beyond them (assumed, no source).
        let share = (volts - self.low.0) / (self.high.0 - self.low.0);
        let slope = self.low.1 + share.clamp(0.0, 1.0) * (self.high.1 - self.low.1);
        SoftKnee {
            knee_volts: volts - self.test_amperes * slope,
            slope_ohms: slope,
            softness: self.softness,
            leak_ohms: ZENER_LEAK_OHMS,
        }
    }
}

pub(crate) fn read(text: &str) -> Result<Vec<SemiconductorType>, CatalogueError> {
    rows("semiconductors", text)?.iter().map(entry).collect()
}

fn entry(row: &Row<'_>) -> Result<SemiconductorType, CatalogueError> {
    let cell = |column| Ok(row.text(column)?.to_owned());
    Ok(SemiconductorType {
        names: row.text("names")?.split(';').map(str::to_owned).collect(),
        words: cell("kind")?,
        kind: kind(row)?,
        note: cell("note")?,
        check: cell("check")?,
        status: cell("status")?,
        source: cell("source")?,
    })
}

fn kind(row: &Row<'_>) -> Result<SemiconductorKind, CatalogueError> {
    Ok(match row.text("kind")? {
        "diode" => SemiconductorKind::Diode {
            junction: Junction {
                saturation: row.parameter("saturation_amperes")?,
                slope_volts: row.parameter("ideality")? * THERMAL_VOLTS,
                leak_ohms: row.parameter("leak_ohms")?,
            },
            series_ohms: row.parameter("series_ohms")?,
        },
        "selenium plate" => SemiconductorKind::Selenium(SeleniumPlate {
            knee_volts: row.parameter("knee_volts")?,
            softness: row.parameter("softness_volts")?,
            slope_volts: row.parameter("slope_volts_at_rating")?,
            reverse_volts: row.parameter("reverse_volts_at_rating")?,
        }),
        "zener" => SemiconductorKind::Zener(ZenerType {
            test_amperes: row.parameter("test_amperes")?,
            low: (row.parameter("low_volts")?, row.parameter("low_ohms")?),
            high: (row.parameter("high_volts")?, row.parameter("high_ohms")?),
            softness: row.parameter("softness_volts")?,
        }),
        "silicon NPN" | "silicon NPN power" | "germanium NPN" => bipolar(row, Polarity::N)?,
        "germanium PNP" | "silicon PNP" => bipolar(row, Polarity::P)?,
        // The square law of an insulated gate is the same; its gate draws no current.
        channel @ ("N-channel JFET" | "P-channel JFET" | "N-channel MOSFET") => {
            SemiconductorKind::FieldEffect(FieldEffect {
                polarity: match channel {
                    "P-channel JFET" => Polarity::P,
                    _ => Polarity::N,
                },
                idss: row.parameter("idss_amperes")?,
                pinch_off: row.parameter("pinch_off_volts")?,
                lambda: row.parameter("lambda_per_volt")?,
                gate_saturation: row.parameter("gate_saturation_amperes")?,
            })
        }
        _ => return Err(row.fault("kind")),
    })
}

fn bipolar(row: &Row<'_>, polarity: Polarity) -> Result<SemiconductorKind, CatalogueError> {
    Ok(SemiconductorKind::Bipolar {
        transistor: Bipolar {
            polarity,
            saturation: row.parameter("saturation_amperes")?,
            forward_gain: row.parameter("forward_gain")?,
            reverse_gain: row.parameter("reverse_gain")?,
            leakage: row.parameter("leakage_amperes")?,
            early_volts: row.parameter("early_volts")?,
        },
        collector_ohms: row.parameter("collector_ohms")?,
    })
}

#[cfg(test)]
mod tests {
    use super::super::{semiconductor, semiconductors};
    use super::*;

    /// Volts across a diode of the table at a current, by `V = n·VT·ln(1 + I/Is) + Rs·I`.
    fn forward(name: &str, amperes: f64) -> f64 {
        match semiconductor(name).unwrap().kind {
            SemiconductorKind::Diode {
                junction,
                series_ohms,
            } => {
                junction.slope_volts * (amperes / junction.saturation).ln_1p()
                    + series_ohms * amperes
            }
            _ => panic!("{name} is a diode"),
        }
    }

    /// Data-sheet figures of the table, and a printed diode-test reading of 0.233 V (Analog
    /// Electronics troubleshooting guide, p. 124); 5 mV, as the table's own digits allow.
    #[test]
    fn diodes_drop_what_their_sheets_say() {
        for (name, amperes, volts) in [
            ("1N4148", 1e-3, 0.60),
            ("1N4148", 10e-3, 0.72),
            ("1N4007", 10e-3, 0.60),
            ("1N4007", 1.0, 0.90),
            ("1N34A", 1e-3, 0.233),
        ] {
            let got = forward(name, amperes);
            assert!(
                (got - volts).abs() <= 5e-3,
                "{name}: {got} V, not {volts} V"
            );
        }
    }

    /// `VBE = VT·ln(1 + Ic/Is)` at the table's currents, and
    /// `ICEO = (BF + 1)·(Is·(1/BR + 1/(BF + 1)) + Icx)`; 2 mV and 2 %, the table's rounding.
    #[test]
    fn transistors_have_the_base_volts_and_leakage_of_the_table() {
        for (name, amperes, vbe, iceo) in [
            ("2N3904", 1e-3, 0.640, 0.201e-6),
            ("2N3055", 100e-3, 0.600, 51e-6),
            ("BC108B", 2e-3, 0.620, 0.291e-6),
            ("2N404", 1e-3, 0.150, 202e-6),
            ("AC128", 1e-3, 0.110, 546e-6),
        ] {
            let SemiconductorKind::Bipolar { transistor: q, .. } =
                semiconductor(name).unwrap().kind
            else {
                panic!("{name} is a bipolar transistor");
            };
            let got = THERMAL_VOLTS * (amperes / q.saturation).ln_1p();
            assert!((got - vbe).abs() <= 2e-3, "{name}: VBE {got}");
            let gain = q.forward_gain + 1.0;
            let icbo = q.saturation * (1.0 / q.reverse_gain + 1.0 / gain) + q.leakage;
            assert!((gain * icbo - iceo).abs() <= 0.02 * iceo, "{name}: ICEO");
        }
    }

    /// A new plate drops about 1 V at rated current, in any size and number.
    #[test]
    fn selenium_drops_a_volt_a_plate() {
        let SemiconductorKind::Selenium(plate) = semiconductor("selenium").unwrap().kind else {
            panic!("selenium is a plate");
        };
        let stack = plate.stack(8, 0.1);
        let volts = stack.knee_volts + 0.1 * stack.slope_ohms;
        assert!((volts - 8.0).abs() < 1e-9);
        // A reverse voltage of 26 V for each plate drives 0.5 mA through a stack rated 100 mA: the leakage, and
        // the tail of the knee, which is subtracted so that nothing flows without volts. The figure of the table
        // has four digits.
        let bend = stack.softness * (-stack.knee_volts / stack.softness).exp().ln_1p();
        let reverse = 8.0 * 26.0 / stack.leak_ohms + bend / stack.slope_ohms;
        assert!((reverse - 0.5e-3).abs() < 0.5e-7, "{reverse}");
    }

    #[test]
    fn a_zener_diode_holds_its_marked_volts_at_its_test_current() {
        let SemiconductorKind::Zener(zener) = semiconductor("zener").unwrap().kind else {
            panic!("zener is a Zener diode");
        };
        for volts in [3.3, 9.1, 33.0] {
            let knee = zener.marked(volts);
            let got = knee.knee_volts + zener.test_amperes * knee.slope_ohms;
            assert!((got - volts).abs() < 1e-9);
            assert!((5.0..=30.0).contains(&knee.slope_ohms));
        }
    }

    #[test]
    fn every_type_has_a_status_a_source_and_a_check() {
        for entry in semiconductors() {
            let texts = [&entry.status, &entry.source, &entry.check];
            assert!(
                texts.iter().all(|text| !text.is_empty()),
                "{:?}",
                entry.names
            );
        }
    }
}
