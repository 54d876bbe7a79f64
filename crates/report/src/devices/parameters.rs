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

/// One number.
pub(super) const fn number(
    name: &'static str,
    value: f64,
    unit: &'static str,
    meaning: &'static str,
) -> Parameter {
    Parameter {
        name,
        meaning,
        value,
        unit,
    }
}

/// The numbers of a section of a tube.
pub(crate) fn of_section(unit: &TubeUnit) -> Vec<Parameter> {
    of_characteristic(&unit.characteristic)
}

/// The numbers of a characteristic.
pub(super) fn of_characteristic(characteristic: &Characteristic) -> Vec<Parameter> {
    match characteristic {
        Characteristic::VacuumDiode(own) => vec![
            number(
                "perveance",
                own.perveance,
                THREE_HALVES,
                "G, current at 1 V of drive",
            ),
            number("contact", own.contact, "V", "contact potential"),
        ],
        Characteristic::Triode(own) => {
            let mut all = vec![
                perveance(own.perveance),
                exponent(own.exponent),
                number("mu", own.mu, "", "amplification factor"),
                number("softness", own.softness, "", "of the cut-off, kp"),
                number("contact", own.contact, "V", "contact potential"),
            ];
            all.extend(grid(own.grid));
            all
        }
        Characteristic::Pentode(own) => {
            let mut all = vec![
                perveance(own.perveance),
                exponent(own.exponent),
                number("mu", own.mu, "", "amplification factor, grid 1 to screen"),
                number("softness", own.softness, "", "of the cut-off, kp"),
                number("contact", own.contact, "V", "contact potential"),
                screen_share(own.screen_share),
                share_exponent(own.share_exponent),
                number(
                    "mu plate",
                    own.mu_plate,
                    "",
                    "what is left of the plate's factor",
                ),
                knee(own.knee),
                knee_power(own.knee_power),
            ];
            if let Some(remote) = own.remote {
                all.extend([
                    number(
                        "remote share",
                        remote.share,
                        "",
                        "perveance of the wide part, b",
                    ),
                    number(
                        "remote reach",
                        remote.reach,
                        "",
                        "grid volts that reach it, beta",
                    ),
                ]);
            }
            all.extend(grid(own.grid));
            all
        }
        Characteristic::Pentagrid(own) => {
            let mut all = vec![
                perveance(own.perveance),
                exponent(own.exponent),
                number("mu", own.mu, "", "amplification factor, grid 1 to screen"),
                screen_share(own.screen_share),
                share_exponent(own.share_exponent),
                knee(own.knee),
                knee_power(own.knee_power),
                number(
                    "signal scale",
                    own.signal_scale,
                    "V",
                    "grid 3 volts for a factor e",
                ),
                number(
                    "oscillating grid",
                    own.oscillating_grid,
                    "V",
                    "steady grid 1 of equal current",
                ),
            ];
            all.extend(grid(own.grid));
            all
        }
        Characteristic::Junction(own) => vec![
            number("saturation", own.saturation, "A", "saturation current"),
            number(
                "slope volts",
                own.slope_volts,
                "V",
                "ideality times thermal voltage",
            ),
            number("leak", own.leak_ohms, "Ω", "leakage resistance across it"),
        ],
        Characteristic::SoftKnee(own) => vec![
            number("knee", own.knee_volts, "V", "volts at no current"),
            number("slope", own.slope_ohms, "Ω", "above the knee"),
            number("softness", own.softness, "V", "width of the bend"),
            number("leak", own.leak_ohms, "Ω", "below the knee"),
        ],
        Characteristic::Bipolar(own) => vec![
            number(
                "saturation",
                own.saturation,
                "A",
                "transport saturation current",
            ),
            number(
                "forward gain",
                own.forward_gain,
                "",
                "collector over base current",
            ),
            number(
                "reverse gain",
                own.reverse_gain,
                "",
                "the same in reverse operation",
            ),
            number(
                "leakage",
                own.leakage,
                "A",
                "of the collector, beyond its junction's",
            ),
            number("early volts", own.early_volts, "V", "Early voltage"),
        ],
        Characteristic::FieldEffect(own) => vec![
            number("idss", own.idss, "A", "drain current at zero gate volts"),
            number(
                "pinch-off",
                own.pinch_off,
                "V",
                "gate volts that cut it off",
            ),
            number("lambda", own.lambda, "1/V", "channel-length modulation"),
            number(
                "gate saturation",
                own.gate_saturation,
                "A",
                "of the gate junction",
            ),
        ],
    }
}

/// The grid current is assumed by class, not fitted.
fn grid(own: GridCurrent) -> [Parameter; 2] {
    [
        number(
            "grid perveance",
            own.perveance,
            THREE_HALVES,
            "grid current, from memory",
        ),
        number("grid onset", own.onset, "V", "grid current, from memory"),
    ]
}

fn perveance(value: f64) -> Parameter {
    number("perveance", value, PERVEANCE, "G, current at 1 V of drive")
}

fn exponent(value: f64) -> Parameter {
    number("exponent", value, "", "exponent of the drive, x")
}

fn screen_share(value: f64) -> Parameter {
    number("screen share", value, "", "screen over plate current, D")
}

fn share_exponent(value: f64) -> Parameter {
    number("share exponent", value, "", "how that share falls, n")
}

fn knee(value: f64) -> Parameter {
    number("knee", value, "", "share of the screen's volts")
}

fn knee_power(value: f64) -> Parameter {
    number("knee power", value, "", "steepness of the knee, m")
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
