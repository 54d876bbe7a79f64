//! Within which bounds a fault with a size may lie.
//!
//! A part comes in, the sizes that repairers meet go out. Which faults a part may have is not known
//! here.

use circuit::{Capacitor, Circuit, PartId, PartKind, SpreadBasis};

use crate::suspects::fault::{Fault, Hypothesis, SizeUnit, Sizes};
use crate::suspects::hypotheses::{grid, ELECTROLYTIC_FROM};

/// Largest and least factor by which a resistor drifts: rises to four or five times its value
/// have been reported, a fall to a third hardly ever (common practice, no source).
const DRIFT_MOST: f64 = 5.0;
const DRIFT_LEAST: f64 = 0.3;

/// Leakage below which a capacitor counts as shorted, and above which it counts as sound, in ohms
/// (common practice, no source; an electrolytic below 20 kΩ is failing, a coupler of 100 MΩ is
/// slightly leaky).
const LEAK_LEAST: f64 = 10e3;
const ELECTROLYTIC_MOST: f64 = 1e6;
const PAPER_MOST: f64 = 500e6;

/// A leak this share of the drawn one is no longer the same capacitor.
const LEAK_SHARE: f64 = 0.3;

/// Ion current that charges a control grid which has lost its connection, from that of a hard tube
/// to that of a gassy one: where the grid floats to hangs on it (common practice, no source).
pub(crate) fn floating_grid(circuit: &Circuit, hypothesis: &Hypothesis) -> Option<Sizes> {
    let PartKind::Device(device) = &circuit.part(hypothesis.part?).kind else {
        return None;
    };
    let terminal = *device.units.first()?.at.get(grid(device)?)?;
    let lost = hypothesis.fault == Fault::ElectrodeOpen && hypothesis.electrode == Some(terminal);
    lost.then_some(Sizes {
        from: None,
        least: 0.1e-9,
        most: 1e-6,
        unit: SizeUnit::Amperes,
    })
}

/// Values above and below a resistor's tolerance.
pub(crate) fn drift(circuit: &Circuit, id: PartId, nominal: f64) -> (Sizes, Sizes) {
    let part = circuit.part(id);
    let spread = circuit::spread_of(part, circuit::PartParameter::Resistance);
    let share = match spread.basis {
        SpreadBasis::Stated | SpreadBasis::Assumed if nominal > 0.0 => spread.half_width / nominal,
        _ => 0.0,
    };
    let high = ohms(Some(nominal), nominal * (1.0 + share), nominal * DRIFT_MOST);
    let low = ohms(
        Some(nominal),
        nominal * DRIFT_LEAST,
        nominal * (1.0 - share),
    );
    (high, low)
}

pub(crate) fn turns(nominal: f64) -> Sizes {
    // 0.5 to 0.98 of the winding (0.8 to 0.98 is usual; common practice, no source).
    ohms(Some(nominal), 0.5 * nominal, 0.98 * nominal)
}

pub(crate) fn leak(capacitor: &Capacitor) -> Sizes {
    let most = if capacitor.farads >= ELECTROLYTIC_FROM {
        ELECTROLYTIC_MOST
    } else {
        PAPER_MOST
    };
    let drawn = capacitor
        .leak
        .map_or(f64::INFINITY, |ohms| LEAK_SHARE * ohms);
    ohms(capacitor.leak, LEAK_LEAST, most.min(drawn))
}

pub(crate) fn ohms(from: Option<f64>, least: f64, most: f64) -> Sizes {
    Sizes {
        from,
        least,
        most,
        unit: SizeUnit::Ohms,
    }
}
