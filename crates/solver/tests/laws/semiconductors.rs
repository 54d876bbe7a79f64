//! Published points of semiconductors, and closed forms of their laws.

use circuit::{
    semiconductor, Bipolar, Characteristic, FieldEffect, Junction, Polarity, SemiconductorKind,
};
use solver::{evaluate, Evaluation, MOST_TERMINALS, THERMAL_VOLTS as VT};

use super::bisection::zero;
use super::samples::{D1N4148, J2N5457, Q2N3904, Q2N404, SELENIUM_PLATE};

/// Boltzmann's constant in J/K and the elementary charge in C, both exact since 2019 (SI).
const BOLTZMANN: f64 = 1.380649e-23;
const CHARGE: f64 = 1.602176634e-19;

fn two(first: f64, second: f64) -> [f64; MOST_TERMINALS] {
    [first, second, 0.0, 0.0, 0.0]
}

fn three(first: f64, second: f64, third: f64) -> [f64; MOST_TERMINALS] {
    [first, second, third, 0.0, 0.0]
}

fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: want {want:e}, got {got:e}, miss {:e}, allowed {tolerance:e}",
        (got - want).abs()
    );
}

/// Typical data-sheet figures of the 1N4148 (from memory): 0.60 V at 1 mA, 0.72 V at 10 mA, with
/// 0.6 Ω in series. Tolerance: n and Is are kept to four digits, half of the last of 1.924 is
/// 0.03 % of 0.72 V.
#[test]
fn a_silicon_diode_meets_its_data_sheet() {
    for (amperes, want) in [(1e-3, 0.60), (10e-3, 0.72)] {
        let junction = zero(0.0, 1.0, |volts| {
            evaluate(&Characteristic::Junction(D1N4148), &two(volts, 0.0)).current[0] - amperes
        });
        close(junction + 0.6 * amperes, want, 0.3e-3, "forward drop");
    }
}

/// 1.00 V per plate at its rated current, 100 mA here; about 26 V reverse for 0.5 mA (computed
/// by the fitting script from published figures). Tolerance: half the last digit.
#[test]
fn a_selenium_plate_drops_a_volt() {
    let at =
        |volts| evaluate(&Characteristic::SoftKnee(SELENIUM_PLATE), &two(volts, 0.0)).current[0];
    let drop = zero(0.0, 3.0, |volts| at(volts) - 0.1);
    close(drop, 1.0, 0.005, "forward drop");
    close(at(-26.0), -0.5e-3, 0.005e-3, "reverse current");
}

/// A part without a source drives no current. Tolerance: rounding of a difference of terms of some
/// microamperes.
#[test]
fn nothing_flows_through_a_semiconductor_without_volts() {
    let laws = [
        Characteristic::Junction(D1N4148),
        Characteristic::SoftKnee(SELENIUM_PLATE),
        Characteristic::Bipolar(Q2N404),
        Characteristic::FieldEffect(J2N5457),
    ];
    for law in laws {
        for amperes in evaluate(&law, &three(0.0, 0.0, 0.0)).current {
            assert!(amperes.abs() < 1e-18, "{law:?}: {amperes:e}");
        }
    }
}

/// A circuit with a closed form: 5 V, 1 kΩ, Is = 1e-14 A, n = 1, 300 K. Solved by
/// Lambert's W: 4.307456373 mA, 0.692543627 V (computed independently). Tolerance: half the last
/// digit printed; Newton's method itself settles to rounding.
#[test]
fn newton_with_the_stated_slope_meets_lamberts_w() {
    let law = Characteristic::Junction(Junction {
        saturation: 1e-14,
        slope_volts: BOLTZMANN * 300.0 / CHARGE,
        leak_ohms: f64::INFINITY,
    });
    // From above, where the exponential is convex, the steps cannot overshoot.
    let mut volts = 0.75;
    for _ in 0..50 {
        let found = evaluate(&law, &two(volts, 0.0));
        let residual = found.current[0] - (5.0 - volts) / 1e3;
        volts -= residual / (found.conductance[0][0] + 1e-3);
    }
    let amperes = evaluate(&law, &two(volts, 0.0)).current[0];
    close(volts, 0.692543627, 0.5e-9, "junction volts");
    close(amperes, 4.307456373e-3, 0.5e-12, "current");
}

/// 0.640 V at 1 mA (from memory), collector on base. Tolerance: Is is kept to four digits,
/// 0.03 % of a thermal voltage, and the printed half digit.
#[test]
fn a_silicon_transistor_has_its_base_volts() {
    let law = Characteristic::Bipolar(Q2N3904);
    let vbe = zero(0.3, 0.9, |volts| {
        evaluate(&law, &three(volts, volts, 0.0)).current[0] - 1e-3
    });
    close(vbe, 0.640, 0.5e-3, "VBE");
    // Ib = Icc/BF with no volts across the collector junction.
    let found = evaluate(&law, &three(vbe, vbe, 0.0));
    // Icc and Ic are the same here but for the law's rounded Early bend, below 1e-12.
    close(found.current[1], 1e-3 / 200.0, 1e-14, "base current");
}

/// Early: the collector current grows with 1 − Vbc/VA, straight for every reverse voltage.
#[test]
fn collector_current_rises_along_the_early_line() {
    let law = Characteristic::Bipolar(Q2N3904);
    let at = |vce: f64| evaluate(&law, &three(vce, 0.64, 0.0)).current[0];
    let icc = Q2N3904.saturation * ((0.64 / VT).exp() - 1.0);
    for vce in [2.0, 10.0, 40.0] {
        let want = (icc + Q2N3904.saturation) * (1.0 + (vce - 0.64) / 100.0)
            + Q2N3904.saturation / 4.0
            + 1e-9;
        // Closed form: rounding only, 1 mA times some roundings of exp(25).
        close(at(vce), want, 1e-15, "collector current");
    }
}

/// Open base: ICEO = (BF + 1)·ICBO = 202 µA, ICBO = Is·(1/BR + 1/(BF + 1)) + Icx = 2 µA (computed
/// by the fitting script, the Early effect left out). Tolerance: half the last digit of 202. With the
/// Early effect the transport part grows by |Vbc|/VA.
#[test]
fn a_germanium_transistor_leaks_with_its_base_open() {
    let flat = Bipolar {
        early_volts: 1e12,
        ..Q2N404
    };
    let icbo = |law: &Bipolar| {
        // Emitter open, 12 V reverse: found by the emitter volts that stop its current.
        let law = Characteristic::Bipolar(*law);
        let at = |ve: f64| evaluate(&law, &three(-12.0, 0.0, ve)).current;
        let ve = zero(-1.0, 0.3, |ve| at(ve)[2]);
        -at(ve)[0]
    };
    close(icbo(&flat), 2e-6, 0.5e-9, "ICBO");
    let iceo = |law: &Bipolar| {
        let law = Characteristic::Bipolar(*law);
        let at = |vb: f64| evaluate(&law, &three(-12.0, vb, 0.0)).current;
        let vb = zero(-0.3, 0.3, |vb| at(vb)[1]);
        (vb, -at(vb)[0])
    };
    close(iceo(&flat).1, 202e-6, 0.5e-6, "ICEO");

    // Base balance: Icc/BF = Is/BR + Icx; collector: (Icc + Is)·(1 + |Vbc|/VA) + Is/BR + Icx.
    let (vb, amperes) = iceo(&Q2N404);
    let back = Q2N404.saturation / 15.0 + Q2N404.leakage;
    let stretch = 1.0 + (12.0 + vb) / 50.0;
    let want = (100.0 * back + Q2N404.saturation) * stretch + back;
    close(amperes, want, 1e-9 * want, "ICEO with the Early effect");
}

/// Volts from collector to emitter of a type of the catalogue at these currents, of its law alone and with the
/// resistance in series.
fn bottomed(name: &str, amperes: f64, base_amperes: f64) -> (f64, f64) {
    let Some(SemiconductorKind::Bipolar {
        transistor,
        collector_ohms,
    }) = semiconductor(name).map(|of| of.kind)
    else {
        panic!("{name} is a bipolar transistor");
    };
    let law = Characteristic::Bipolar(Bipolar {
        polarity: Polarity::N,
        ..transistor
    });
    // For each VCE the base volts that take the base current; then the collector current rises with VCE.
    let at = |vce: f64| {
        let vbe = zero(0.0, 1.2, |vbe| {
            evaluate(&law, &three(vce, vbe, 0.0)).current[1] - base_amperes
        });
        evaluate(&law, &three(vce, vbe, 0.0)).current[0]
    };
    let own = zero(0.0, 1.0, |vce| at(vce) - amperes);
    (own, own + collector_ohms * amperes)
}

/// Saturated volts that data sheets print as the greatest of any specimen, all from memory (sheets of the 2N3904,
/// 2N2222A, 2N3906, 2N2907A, BC107, BC557, BFY51, 2N1613, 2N706, 2N3055, 2N404 and AC128). A nominal type is to be
/// below its limit; makers test to limits two to three times the usual volts, five times for the oldest types, so no
/// less than a fifth. The rows print the same volts.
#[test]
fn a_bottomed_transistor_is_within_the_limits_of_its_sheet() {
    for (name, milliamperes, base, most) in [
        ("2N3904", 10.0, 1.0, 0.2),
        ("2N3904", 50.0, 5.0, 0.3),
        ("2N2222A", 150.0, 15.0, 0.3),
        ("2N2222A", 500.0, 50.0, 1.0),
        ("2N3906", 10.0, 1.0, 0.25),
        ("2N3906", 50.0, 5.0, 0.4),
        ("2N2907A", 150.0, 15.0, 0.4),
        ("2N2907A", 500.0, 50.0, 1.6),
        ("BC107A", 10.0, 0.5, 0.25),
        ("BC107A", 100.0, 5.0, 0.6),
        ("BC557B", 100.0, 5.0, 0.65),
        ("BFY51", 150.0, 15.0, 0.35),
        ("2N1613", 150.0, 15.0, 1.5),
        ("2N706", 10.0, 1.0, 0.6),
        ("2N3055", 4000.0, 400.0, 1.1),
        ("2N404", 12.0, 0.4, 0.15),
        ("2N404", 24.0, 1.0, 0.2),
        ("AC128", 1000.0, 50.0, 0.6),
    ] {
        let (_, volts) = bottomed(name, milliamperes * 1e-3, base * 1e-3);
        let what = format!("{name} at {milliamperes} mA: {volts} V, at most {most} V");
        assert!((most / 5.0..most).contains(&volts), "{what}");
        let row = &semiconductor(name).unwrap().check;
        assert!(row.contains(&format!("{volts:.2} V")), "{what}; {row}");
    }
}

/// `VT·ln((1 + 1/BR + (Ic/Ib)/BR)/(1 − (Ic/Ib)/BF))`, by hand of docs/method.md: 2N3904, BR 1, BF 200, 10 mA for 1 mA:
/// ln(12/0.95) = 2.5362, so 65.60 mV, and 1.5 Ω add 15 mV. 2N404, BR 15, BF 100, 12 mA for 0.4 mA, of which the
/// forward collector leaks 1.768 µA·7.04 = 12.4 µA: ln(3.1309/0.6904) = 1.5119, so 39.10 mV, and 3.5 Ω add 42 mV.
/// Tolerance: the Early factor, Vbc/VA, is 0.6 % of the collector current and 0.3 % of its volts; twice that of a
/// thermal voltage.
#[test]
fn a_bottomed_transistor_has_the_volts_of_the_closed_form() {
    for (name, amperes, base, own, whole) in [
        ("2N3904", 10e-3, 1e-3, 65.60e-3, 80.60e-3),
        ("2N404", 12e-3, 0.4e-3, 39.10e-3, 81.10e-3),
    ] {
        let found = bottomed(name, amperes, base);
        close(found.0, own, 0.012 * VT, "volts of the law");
        close(found.1, whole, 0.012 * VT, "volts with the resistance");
    }
}

/// A PNP is an NPN with all volts and currents turned: equal in every bit.
#[test]
fn polarity_turns_volts_and_currents() {
    let turned = |law: &Characteristic, other: &Characteristic| {
        for volts in [
            three(5.0, 0.6, 0.0),
            three(0.1, 0.7, 0.0),
            three(-3.0, 0.2, 0.1),
        ] {
            let plus = evaluate(law, &volts);
            let minus = evaluate(other, &volts.map(|v| -v));
            let turned = Evaluation {
                current: minus.current.map(|i| -i),
                ..minus
            };
            assert_eq!(plus, turned, "{law:?} at {volts:?}");
        }
    };
    turned(
        &Characteristic::Bipolar(Q2N3904),
        &Characteristic::Bipolar(Bipolar {
            polarity: Polarity::P,
            ..Q2N3904
        }),
    );
    turned(
        &Characteristic::FieldEffect(J2N5457),
        &Characteristic::FieldEffect(FieldEffect {
            polarity: Polarity::P,
            ..J2N5457
        }),
    );
}

/// Square law of the 2N5457: yfs = 2·IDSS/|Vp| = 1962 µmho at no gate volts (computed by the
/// fitting script), yos = IDSS·lam = 10 µmho (typical, read), 100 µA at −2.5 V (typical, read;
/// the drain volts are not stated, the channel-length term is therefore left out).
#[test]
fn a_field_effect_transistor_follows_the_square_law() {
    let law = Characteristic::FieldEffect(J2N5457);
    let (vds, stretch) = (15.0, 1.0 + 0.003333 * 15.0);
    let open = evaluate(&law, &three(vds, 0.0, 0.0));
    // Gate leakage of 1e-10 A is in each current.
    close(open.current[0], 3e-3 * stretch, 2e-10, "IDSS at 15 V");
    close(open.conductance[0][1] / stretch, 1962e-6, 0.5e-6, "yfs");
    close(open.conductance[0][0], 10e-6, 0.01e-6, "yos");
    let nearly_off = evaluate(&law, &three(vds, -2.5, 0.0));
    close(
        nearly_off.current[0] / stretch,
        100e-6,
        0.5e-6,
        "ID at −2.5 V",
    );
    close(
        evaluate(&law, &three(vds, -4.0, 0.0)).current[0],
        1e-10,
        1e-13,
        "cut off: gate leakage only",
    );

    // Below the knee: b·(2·Vov·VDS − VDS²)·(1 + lam·VDS), b = IDSS/Vp², with VGS = −1 V: 2.058 V
    // over pinch-off; by hand 3e-3/9.351364·(4.116 − 1)·1.003333.
    let linear = evaluate(&law, &three(1.0, -1.0, 0.0));
    close(linear.current[0], 1.0029722e-3, 1e-10, "ID below the knee");
    // The channel is symmetric: ends exchanged, the current turns.
    let back = evaluate(&law, &three(0.0, -1.0, 1.0));
    close(back.current[2], linear.current[0], 1e-18, "ends exchanged");
}

/// A conducting gate: a diode to each end, Is·(exp(V/VT) − 1).
#[test]
fn a_forward_gate_conducts_to_both_ends() {
    let law = Characteristic::FieldEffect(J2N5457);
    let found = evaluate(&law, &three(0.0, 0.4, 0.0));
    let want = 2.0 * 1e-10 * ((0.4 / VT).exp() - 1.0);
    // Rounding of exp(15).
    close(found.current[1], want, 1e-14 * want, "gate current");
}
