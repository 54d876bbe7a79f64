//! Published points of vacuum diodes.

use circuit::{Characteristic, VacuumDiode};
use solver::evaluate;

use super::bisection::zero;
use super::samples::{T5Y3, T6AL5};

/// Both drops from memory of makers' manuals, exact by the fit; tolerance: five digits kept.
#[test]
fn vacuum_diodes_drop_what_the_manual_says() {
    for (diode, volts, want) in [(T5Y3, 60.0, 125e-3), (T6AL5, 10.0, 60e-3)] {
        let got = diode_amperes(diode, volts);
        assert!((got - want).abs() <= 1e-4 * want, "{volts} V: {got:e}");
    }
}

fn diode_amperes(diode: VacuumDiode, volts: f64) -> f64 {
    evaluate(
        &Characteristic::VacuumDiode(diode),
        &[volts, 0.0, 0.0, 0.0, 0.0],
    )
    .current[0]
}

/// Initial-velocity voltages, computed by the fitting script to two digits; tolerance: half the
/// last, and 1 mV.
#[test]
fn electrons_of_initial_velocity_bias_a_diode() {
    for (ohms, want) in [(1e6, -0.41), (10e6, -0.59)] {
        let got = zero(-3.0, 0.0, |plate| {
            diode_amperes(T6AL5, plate) + plate / ohms
        });
        assert!((got - want).abs() <= 0.006, "diode load {ohms}: {got}");
    }
    // 25 µA at 0 V, to two digits.
    assert!((diode_amperes(T6AL5, 0.0) - 25e-6).abs() <= 0.5e-6);
}
