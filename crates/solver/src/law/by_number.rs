//! How a device's currents follow the numbers of its law.
//!
//! Laws of many tubes of a set say so themselves; for the others the law is differenced, good to
//! about 1e-9 of the derivative.

use circuit::{Characteristic, DeviceParameter};

use super::evaluation::MOST_TERMINALS;
use super::{evaluate, junction, pentode, soft_knee, triode, vacuum_diode};

/// A number, and the derivative of the current into each terminal by it.
pub(crate) type ByNumber = (DeviceParameter, [f64; MOST_TERMINALS]);

/// For each number, in the order of [`Characteristic::parameters`].
pub(crate) fn by_number(
    characteristic: &Characteristic,
    volts: &[f64; MOST_TERMINALS],
) -> Vec<ByNumber> {
    match characteristic {
        Characteristic::VacuumDiode(diode) => vacuum_diode::by_number(diode, volts),
        Characteristic::Triode(tube) => triode::by_number(tube, volts),
        Characteristic::Pentode(tube) => pentode::by_number(tube, volts),
        Characteristic::Junction(junction) => junction::by_number(junction, volts),
        Characteristic::SoftKnee(knee) => soft_knee::by_number(knee, volts),
        Characteristic::Oscillator(_)
        | Characteristic::Heptode(_)
        | Characteristic::Pentagrid(_)
        | Characteristic::Bipolar(_)
        | Characteristic::FieldEffect(_) => differenced(characteristic, volts),
    }
}

/// What currents that enter at one terminal and leave at another add to each.
pub(crate) fn flow(flows: &[((usize, usize), f64)]) -> [f64; MOST_TERMINALS] {
    let mut found = [0.0; MOST_TERMINALS];
    for ((into, out_of), amperes) in flows {
        found[*into] += amperes;
        found[*out_of] -= amperes;
    }
    found
}

/// By central differences on the law.
fn differenced(characteristic: &Characteristic, volts: &[f64; MOST_TERMINALS]) -> Vec<ByNumber> {
    let parameters = characteristic.parameters().iter();
    parameters
        .map(|parameter| {
            let step = parameter.step();
            let at =
                |change: f64| evaluate(&characteristic.varied(*parameter, change), volts).current;
            let (above, below) = (at(step), at(-step));
            let slope = |terminal: usize| (above[terminal] - below[terminal]) / (2.0 * step);
            (*parameter, std::array::from_fn(slope))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::{
        GridCurrent, Junction, Pentode, RemoteSection, SoftKnee, Triode, VacuumDiode, Wear,
    };

    const WEAR: Wear = Wear {
        emission: 0.8,
        gas: 1e-7,
    };

    fn laws() -> Vec<Characteristic> {
        let grid = GridCurrent::RECEIVING;
        let pentode = Pentode {
            perveance: 1.2e-3,
            exponent: 1.4,
            mu: 20.0,
            softness: 300.0,
            contact: 0.4,
            screen_share: 0.25,
            share_exponent: 0.15,
            mu_plate: 2000.0,
            knee: 0.15,
            knee_power: 1.5,
            remote: None,
            grid,
            wear: WEAR,
        };
        let remote = Some(RemoteSection {
            share: 0.1,
            reach: 0.3,
        });
        vec![
            Characteristic::VacuumDiode(VacuumDiode {
                perveance: 5e-4,
                contact: 0.3,
                emission: 0.8,
            }),
            Characteristic::Triode(Triode {
                perveance: 1.1e-3,
                exponent: 1.4,
                mu: 100.0,
                softness: 600.0,
                contact: 0.5,
                grid,
                wear: WEAR,
            }),
            Characteristic::Pentode(pentode),
            Characteristic::Pentode(Pentode { remote, ..pentode }),
            Characteristic::Junction(Junction {
                saturation: 1e-9,
                slope_volts: 0.045,
                leak_ohms: 1e6,
            }),
            Characteristic::SoftKnee(SoftKnee {
                knee_volts: 5.0,
                slope_ohms: 20.0,
                softness: 0.1,
                leak_ohms: 1e6,
            }),
        ]
    }

    #[test]
    fn what_a_law_says_of_its_numbers_is_what_differences_of_it_say() {
        // From far in cut-off to a positive grid, from a plate below its cathode to a high one.
        let states = [
            [250.0, 180.0, -2.0, 0.0, 0.0],
            [90.0, -1.0, 0.3, 0.0, 0.0],
            [5.1, 60.0, -0.5, 1.5, 0.0],
            [-0.6, 0.2, 0.1, 0.0, 0.0],
            [0.55, -3.0, -40.0, 0.0, 0.0],
        ];
        for law in laws() {
            for volts in states {
                let said = by_number(&law, &volts);
                let differenced = differenced(&law, &volts);
                let all = said.iter().chain(&differenced);
                let scale = all.flat_map(|(_, slopes)| slopes).map(|slope| slope.abs());
                let scale = scale.fold(0.0, f64::max);
                assert_eq!(said.len(), law.parameters().len());
                for ((number, said), (other, want)) in said.iter().zip(&differenced) {
                    assert_eq!(number, other);
                    let own = want.iter().fold(0.0, |most: f64, one| most.max(one.abs()));
                    for (said, want) in said.iter().zip(want) {
                        // The steps of 1e-5 leave 1e-10 of curvature, in units of a grid's bend
                        // of 0.14 V or a junction's of 0.045 V below 1e-7; rounding of the
                        // largest current over the step does the rest.
                        let enough = 1e-6 * own + 1e-9 * scale;
                        assert!(
                            (said - want).abs() <= enough,
                            "{law:?} {volts:?} {number:?} {said} {want}"
                        );
                    }
                }
            }
        }
    }
}
