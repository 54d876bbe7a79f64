//! What sound capacitors without a stated leakage let an ohmmeter see.
//!
//! A drawing without power and two places come in; how far the usual leakages leave the reading open goes
//! out. Between two rails a sound filter capacitor shows megohms, not an open circuit.

use circuit::{Circuit, Ohmmeter, PartKind, PartParameter, Port};
use solver::PowerOff;
use translate::ohms_by_parts;

use super::CONTACT_OHMS;
use crate::suspects::likely_set::LEAK_SHARE;

/// Standard deviation of the logarithm of what an ohmmeter shows, as far as it goes by leakages that nobody
/// stated. `drawn` is the drawing as it is written; a capacitor whose leakage is that of a fault is known.
pub(crate) fn leak_scatter(drawn: &Circuit, off: &PowerOff, port: Port, meter: &Ohmmeter) -> f64 {
    let usual = |index: usize| {
        let part = drawn.parts().get(index)?;
        let now = off.circuit().parts().get(index)?;
        match (&part.kind, &now.kind) {
            (PartKind::Capacitor(own), PartKind::Capacitor(now)) if own.leak.is_none() => now
                .leak
                .filter(|leak| (*leak - own.usual_leak()).abs() < 1e-9 * leak),
            _ => None,
        }
    };
    if (0..drawn.parts().len()).all(|index| usual(index).is_none()) {
        return 0.0;
    }
    let Ok(Some((ohms, by_number))) = ohms_by_parts(off, port, meter) else {
        return 0.0;
    };
    if !(ohms.is_finite() && ohms > 0.0) {
        return 0.0;
    }
    let leaks = by_number
        .iter()
        .filter(|(id, _)| id.parameter == PartParameter::Leak);
    let each = leaks.filter_map(|(id, slope)| Some(slope * LEAK_SHARE * usual(id.part.0)?));
    each.map(|moved| moved * moved).sum::<f64>().sqrt() / (ohms + CONTACT_OHMS)
}
