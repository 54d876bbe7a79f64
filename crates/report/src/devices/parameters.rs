//! The numbers of a characteristic, with their names, units and meanings.
//!
//! A characteristic comes in. Names are those of the output; symbols in the meanings are those of
//! docs/method.md.

use circuit::{Characteristic, GridCurrent, TubeUnit};

/// One number of a device.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Parameter {
    /// Its name.
    pub name: &'static str,
    /// What it is.
    pub meaning: &'static str,
    /// Its value, in SI units.
    pub value: f64,
    /// Symbol of its unit; empty for a plain number.
    pub unit: &'static str,
}

/// Unit of a perveance whose exponent is a parameter of its own.
const PERVEANCE: &str = "A/V^x";
/// Unit of a perveance under the three-halves law.
const THREE_HALVES: &str = "A/V^1.5";

/// The numbers of a model: of each the name, the field, the unit and the meaning.
macro_rules! numbers {
    ($own:expr; $($name:literal $($field:tt).+ [$unit:expr] $meaning:literal;)+) => {{
        let own = $own;
        vec![$(Parameter {
            name: $name,
            meaning: $meaning,
            value: own.$($field).+,
            unit: $unit,
        }),+]
    }};
}
pub(super) use numbers;

/// The numbers of a section of a tube.
pub(crate) fn of_section(unit: &TubeUnit) -> Vec<Parameter> {
    of_characteristic(&unit.characteristic)
}

/// The numbers of a characteristic.
pub(super) fn of_characteristic(characteristic: &Characteristic) -> Vec<Parameter> {
    match characteristic {
        Characteristic::VacuumDiode(own) => numbers! { own;
            "perveance" perveance [THREE_HALVES] "G, current at 1 V of drive";
            "contact" contact ["V"] "contact potential";
        },
        Characteristic::Triode(own) => {
            let all = numbers! { own;
                "perveance" perveance [PERVEANCE] "G, current at 1 V of drive";
                "exponent" exponent [""] "exponent of the drive, x";
                "mu" mu [""] "amplification factor";
                "softness" softness [""] "of the cut-off, kp";
                "contact" contact ["V"] "contact potential";
            };
            with_grid(all, own.grid)
        }
        Characteristic::Oscillator(own) => {
            let mut all = of_characteristic(&Characteristic::Triode(own.triode));
            all.extend(numbers! { own;
                "swing" swing ["V"] "peak volts of the oscillating grid";
            });
            all
        }
        Characteristic::Heptode(own) => {
            let mut all = of_characteristic(&Characteristic::Pentode(own.pentode));
            all.extend(numbers! { own;
                "injection scale" injection_scale ["V"] "grid 3 volts for a factor e";
            });
            all
        }
        Characteristic::Pentode(own) => {
            let mut all = numbers! { own;
                "perveance" perveance [PERVEANCE] "G, current at 1 V of drive";
                "exponent" exponent [""] "exponent of the drive, x";
                "mu" mu [""] "amplification factor, grid 1 to screen";
                "softness" softness [""] "of the cut-off, kp";
                "contact" contact ["V"] "contact potential";
                "screen share" screen_share [""] "screen over plate current, D";
                "share exponent" share_exponent [""] "how that share falls, n";
                "mu plate" mu_plate [""] "what is left of the plate's factor";
                "knee" knee [""] "share of the screen's volts";
                "knee power" knee_power [""] "steepness of the knee, m";
            };
            if let Some(remote) = own.remote {
                all.extend(numbers! { remote;
                    "remote share" share [""] "perveance of the wide part, b";
                    "remote reach" reach [""] "grid volts that reach it, beta";
                });
            }
            with_grid(all, own.grid)
        }
        Characteristic::Pentagrid(own) => {
            let all = numbers! { own;
                "perveance" perveance [PERVEANCE] "G, current at 1 V of drive";
                "exponent" exponent [""] "exponent of the drive, x";
                "mu" mu [""] "amplification factor, grid 1 to screen";
                "screen share" screen_share [""] "screen over plate current, D";
                "share exponent" share_exponent [""] "how that share falls, n";
                "knee" knee [""] "share of the screen's volts";
                "knee power" knee_power [""] "steepness of the knee, m";
                "signal scale" signal_scale ["V"] "grid 3 volts for a factor e";
                "oscillating grid" oscillating_grid ["V"] "steady grid 1 of equal current";
            };
            with_grid(all, own.grid)
        }
        Characteristic::Junction(own) => numbers! { own;
            "saturation" saturation ["A"] "saturation current";
            "slope volts" slope_volts ["V"] "ideality times thermal voltage";
            "leak" leak_ohms ["Ω"] "leakage resistance across it";
        },
        Characteristic::SoftKnee(own) => numbers! { own;
            "knee" knee_volts ["V"] "volts at no current";
            "slope" slope_ohms ["Ω"] "above the knee";
            "softness" softness ["V"] "width of the bend";
            "leak" leak_ohms ["Ω"] "below the knee";
        },
        Characteristic::Bipolar(own) => numbers! { own;
            "saturation" saturation ["A"] "transport saturation current";
            "forward gain" forward_gain [""] "collector over base current";
            "reverse gain" reverse_gain [""] "the same in reverse operation";
            "leakage" leakage ["A"] "of the collector, beyond its junction's";
            "early volts" early_volts ["V"] "Early voltage";
        },
        Characteristic::FieldEffect(own) => numbers! { own;
            "idss" idss ["A"] "drain current at zero gate volts";
            "pinch-off" pinch_off ["V"] "gate volts that cut it off";
            "lambda" lambda ["1/V"] "channel-length modulation";
            "gate saturation" gate_saturation ["A"] "of the gate junction";
        },
    }
}

/// With the grid current, which is assumed by class and not fitted.
fn with_grid(mut all: Vec<Parameter>, own: GridCurrent) -> Vec<Parameter> {
    all.extend(numbers! { own;
        "grid perveance" perveance [THREE_HALVES] "grid current, from memory";
        "grid onset" onset ["V"] "grid current, from memory";
    });
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::tube_types;

    #[test]
    fn every_tube_has_finite_numbers_under_different_names() {
        for unit in tube_types().flat_map(|tube| &tube.units) {
            let parameters = of_section(unit);
            assert!(parameters.len() >= 2);
            assert!(parameters.iter().all(|own| own.value.is_finite()));
            let mut names: Vec<_> = parameters.iter().map(|own| own.name).collect();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), parameters.len());
        }
    }
}
