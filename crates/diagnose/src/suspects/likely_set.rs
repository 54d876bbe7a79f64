//! The set on the bench before it is read: another one of the make, and what the drawing leaves out of
//! its parts.
//!
//! A capacitor without a stated leakage is drawn as a perfect insulator. None is, and where a
//! connection is lost its leakage decides what a probe shows: a usual one stands in, known to a
//! factor of some.

use circuit::{spread_of, Capacitor, Circuit, Island, PartId, PartKind, PartParameter};
use reconcile::SecondSet;

use crate::suspects::faulty::fed_as_they_run;

/// Standard deviation of a usual leakage as a share of it: it is known to a factor of three or so.
pub(crate) const LEAK_SHARE: f64 = 1.2;

/// Gives every capacitor of a set that states no leakage a usual one, and lets oscillators follow what feeds them.
pub(crate) fn on_the_bench(mut set: SecondSet) -> SecondSet {
    set.circuit = fed_as_they_run(&leaking(&set.circuit));
    set
}

/// The circuit with a usual leakage for every capacitor that states none. One between parts of the circuit that
/// no direct current joins stays as it is: it would join them.
pub(crate) fn leaking(circuit: &Circuit) -> Circuit {
    let islands = circuit::islands(circuit);
    let mut alteration = circuit::Alteration::none(&circuit::Conditions::default());
    for (index, part) in circuit.parts().iter().enumerate() {
        let PartKind::Capacitor(capacitor) = &part.kind else {
            continue;
        };
        let own = |island: &Island| part.nodes.iter().all(|node| island.nodes.contains(node));
        let joined = islands.iter().any(own);
        if capacitor.leak.is_none() && joined {
            let leak = capacitor.usual_leak();
            let changed = alteration.part_mut(circuit, PartId(index));
            changed.kind = PartKind::Capacitor(Capacitor {
                leak: Some(leak),
                ..capacitor.clone()
            });
        }
    }
    circuit.altered(&alteration)
}

/// Standard deviation of a number of a likely set that the manual does not speak of, in its own unit.
pub(crate) fn standard(
    (drawn, likely): (&Circuit, &Circuit),
    id: PartId,
    parameter: PartParameter,
) -> f64 {
    let stated = |circuit: &Circuit| match &circuit.part(id).kind {
        PartKind::Capacitor(capacitor) => capacitor.leak,
        _ => None,
    };
    match (parameter, stated(drawn), stated(likely)) {
        (PartParameter::Leak, None, Some(leak)) => LEAK_SHARE * leak,
        // σ² = a²/3 (JCGM 100:2008, 4.3.7)
        _ => spread_of(likely.part(id), parameter).standard(),
    }
}
