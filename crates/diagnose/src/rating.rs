//! Parts that the drawn circuit works beyond what is printed on them.
//!
//! A job comes in; parts whose watts or volts, with no meter on and at the manual's line voltage,
//! are more than they should bear go out. A resistor is held against half of its watts, the usual
//! derating of old sets (common practice, no source); a capacitor against its volts; a tube against
//! the plate and screen dissipation of [`circuit::tube_rating`], where that knows its type; a glow regulator
//! against the currents between which it regulates.

use circuit::{
    tube_rating, tube_type, Characteristic, Circuit, Conditions, PartId, PartKind, Port,
};
use solver::{solve, Solution, SolveError};

/// Share of its watts that a resistor should run at.
const OF_ITS_WATTS: f64 = 0.5;

/// What a part bears too much of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Burden {
    /// Watts in a resistor, above half of its rating.
    Watts,
    /// Volts across a capacitor or resistor, above its rating.
    Volts,
    /// Watts at the plate of a tube.
    PlateWatts,
    /// Watts at the screen of a tube.
    ScreenWatts,
    /// Amperes through a glow regulator, above its greatest current.
    Amperes,
    /// Amperes through a glow regulator that regulates only from more on.
    TooFewAmperes,
}

/// A part that the drawn circuit works too hard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overrated {
    /// The part.
    pub part: PartId,
    /// What it bears too much of.
    pub burden: Burden,
    /// How much that is, in watts, volts or amperes.
    pub bears: f64,
    /// Its rating, in the same unit.
    pub rating: f64,
}

/// Every such part of a circuit, in the order of the netlist.
///
/// # Errors
/// [`SolveError`] if the circuit has no trustworthy solution.
pub fn overrated(circuit: &Circuit) -> Result<Vec<Overrated>, SolveError> {
    let solution = solve(circuit, &Conditions::default())?;
    let mut found = Vec::new();
    for (id, rating) in circuit.ratings() {
        let part = circuit.part(*id);
        let (Some(plus), Some(minus)) = (part.nodes.first(), part.nodes.last()) else {
            continue;
        };
        let volts = solution.port_volts(Port {
            plus: *plus,
            minus: *minus,
        });
        // P = V²/R
        let watts = match &part.kind {
            PartKind::Resistor(resistor) => Some(volts.powi(2) / resistor.ohms),
            PartKind::Potentiometer(_)
            | PartKind::Capacitor(_)
            | PartKind::Inductor(_)
            | PartKind::Transformer(_)
            | PartKind::Supply(_)
            | PartKind::Generator(_)
            | PartKind::Lamp(_)
            | PartKind::Contact(_)
            | PartKind::Device(_) => None,
        };
        for (bears, rating, share, burden) in [
            (watts, rating.watts, OF_ITS_WATTS, Burden::Watts),
            (Some(volts.abs()), rating.volts, 1.0, Burden::Volts),
        ] {
            let (Some(bears), Some(rating)) = (bears, rating) else {
                continue;
            };
            if bears > share * rating {
                found.push(Overrated {
                    part: *id,
                    burden,
                    bears,
                    rating,
                });
            }
        }
    }
    for index in 0..circuit.parts().len() {
        found.extend(of_tube(circuit, PartId(index), &solution));
        found.extend(of_regulator(circuit, PartId(index), &solution));
    }
    found.sort_by_key(|one| one.part);
    Ok(found)
}

/// The current of a lit glow regulator, against those of its type.
fn of_regulator(circuit: &Circuit, id: PartId, solution: &Solution) -> Option<Overrated> {
    let PartKind::Device(device) = &circuit.part(id).kind else {
        return None;
    };
    let limits = tube_type(&device.type_name)?.glow?;
    let amperes = solution.device_amperes(id);
    let bears = amperes.first()?.first()?.abs();
    // A dark one leaks next to nothing.
    let dark = device.units.first()?.glow?.least_amperes;
    let (burden, rating) = match bears {
        bears if bears > limits.most_amperes => (Burden::Amperes, limits.most_amperes),
        bears if (dark..limits.least_amperes).contains(&bears) => {
            (Burden::TooFewAmperes, limits.least_amperes)
        }
        _ => return None,
    };
    Some(Overrated {
        part: id,
        burden,
        bears,
        rating,
    })
}

/// Plate and screen of each section.
fn of_tube(circuit: &Circuit, id: PartId, solution: &Solution) -> Vec<Overrated> {
    let part = circuit.part(id);
    let PartKind::Device(device) = &part.kind else {
        return Vec::new();
    };
    let Some(rating) = tube_rating(&device.type_name) else {
        return Vec::new();
    };
    let plate = |watts| ("plate", Some(watts), Burden::PlateWatts);
    let screen = ("screen", rating.screen_watts, Burden::ScreenWatts);
    let mut found = Vec::new();
    for (unit, amperes) in device.units.iter().zip(solution.device_amperes(id)) {
        let electrodes = match unit.characteristic {
            Characteristic::Triode(_) | Characteristic::Oscillator(_) => {
                vec![plate(rating.triode_watts.unwrap_or(rating.plate_watts))]
            }
            Characteristic::Pentode(_) | Characteristic::Heptode(_) => {
                vec![plate(rating.plate_watts), screen]
            }
            _ => Vec::new(),
        };
        let at = |name: &str| {
            unit.at.iter().position(|terminal| {
                let own = device.terminals.get(*terminal).map_or("", |own| &own.name);
                own.trim_end_matches(|c: char| c.is_ascii_digit()) == name
            })
        };
        let node = |place: usize| {
            let terminal = unit.at.get(place)?;
            part.nodes.get(*terminal).copied()
        };
        let Some(cathode) = at("cathode").and_then(node) else {
            continue;
        };
        for (name, rating, burden) in electrodes {
            let Some((place, rating)) = at(name).zip(rating) else {
                continue;
            };
            let (Some(plus), Some(amperes)) = (node(place), amperes.get(place)) else {
                continue;
            };
            let port = Port {
                plus,
                minus: cathode,
            };
            let bears = solution.port_volts(port) * amperes;
            if bears > rating {
                found.push(Overrated {
                    part: id,
                    burden,
                    bears,
                    rating,
                });
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use circuit::{
        CircuitBuilder, Device, DeviceClass, DeviceUnit, Origin, Part, Rating, Resistor, Supply,
        SupplyKind,
    };

    use super::*;

    /// What is found of a part between a supply and the chassis, its first terminal at the supply.
    fn found(volts: f64, kind: PartKind, watts: Option<f64>) -> Vec<Overrated> {
        let mut builder = CircuitBuilder::new();
        let (top, chassis) = (builder.node("top"), builder.node("chassis"));
        builder.reference(chassis);
        let supply = PartKind::Supply(Supply {
            kind: SupplyKind::Supply,
            volts,
            tolerance: None,
            source: 0.0,
            follows_line: false,
            off: None,
        });
        let mut nodes = vec![chassis; kind.terminals().len()];
        nodes[0] = top;
        for (name, kind, nodes) in [("PS1", supply, vec![top, chassis]), ("X1", kind, nodes)] {
            let part = builder.part(Part {
                designator: name.into(),
                kind,
                nodes,
                origin: Origin::default(),
            });
            let watts = watts.filter(|_| name == "X1");
            builder.rate(part, Rating { watts, volts: None });
        }
        overrated(&builder.finish()).unwrap()
    }

    /// 100 V across 10 kΩ is 1 W, by Joule's law: within half of 3 W, beyond half of 1 W.
    #[test]
    fn a_resistor_is_held_against_half_of_its_watts() {
        for (rated, over) in [(3.0, 0), (1.0, 1)] {
            let resistor = PartKind::Resistor(Resistor {
                ohms: 10e3,
                tolerance: None,
            });
            let found = found(100.0, resistor, Some(rated));
            assert_eq!(found.len(), over, "{rated}");
            if let [one] = found[..] {
                // Two operations on exact numbers; the solver's own rounding is below 1e-9.
                assert!((one.bears - 1.0).abs() < 1e-9 && one.burden == Burden::Watts);
            }
        }
    }

    /// The triode of an ECL82 is printed with 3.5 mA at 100 V and no bias, 0.35 W; by Child's law that is 13.8 mA
    /// and 3.5 W at 250 V, less than half of what the plate of its pentode may bear, and more than 1 W.
    #[test]
    fn the_triode_beside_a_pentode_is_held_against_its_own_watts() {
        let triode = tube_type("ECL82").unwrap().units[1].characteristic;
        for (volts, over) in [(100.0, None), (250.0, Some((Burden::PlateWatts, 1.0)))] {
            let unit = DeviceUnit::new(triode, &[0, 1, 2]);
            let terminals = ["plate", "grid", "cathode"];
            let device = Device::new("ECL82", DeviceClass::Tube, &terminals, vec![unit]);
            let found = found(volts, PartKind::Device(device), None);
            let found: Vec<_> = found.iter().map(|one| (one.burden, one.rating)).collect();
            assert_eq!(found, over.into_iter().collect::<Vec<_>>());
        }
    }
}
