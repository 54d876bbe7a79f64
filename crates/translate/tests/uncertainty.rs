//! The worked examples of JCGM 100:2008 through the functions of first order.

use crate::cases::Cases;
use circuit::Accuracy;
use reconcile::accuracy_half_width;
use translate::{
    combine, correlation_of_means, coverage_factor, effective_degrees, expanded, Contribution,
    CorrelatedInputs, Distribution, Repeated,
};

const ROWS: &str = include_str!("cases/uncertainty.csv");

fn rectangular(half_width: f64) -> f64 {
    Distribution::Rectangular { half_width }.standard()
}

#[test]
fn single_inputs() {
    let cases = Cases::of(ROWS, 1, 9);
    cases.check("U01", rectangular(0.40e-6));
    // 2·10⁻⁶ of the range as two counts of a display of a million.
    let stated = Accuracy::OfReading {
        share: 14e-6,
        counts: 2.0,
    };
    let microvolts = 1e6 * accuracy_half_width(stated, 0.928_571, 1.0, Some(1_000_000)).unwrap();
    cases.check("U02", microvolts);
    cases.check("U03", rectangular(microvolts));
    let both = [12.0, rectangular(microvolts)].map(|u| Contribution::new(1.0, u));
    cases.check("U04", combine(&both));
    let bounds = |half_width, p| {
        Distribution::of_normal_bounds(half_width, p)
            .unwrap()
            .standard()
    };
    cases.check("U05", bounds(129.0, 0.99));
    for (id, p) in [("U06a", 0.90), ("U06b", 0.95), ("U06c", 0.99)] {
        cases.check(id, 1.0 / bounds(1.0, p));
    }
    cases.check("U07", bounds(1.0, 0.5));
    cases.check(
        "U08",
        Distribution::Triangular { half_width: 1.0 }.standard(),
    );
    cases.check("U09", Distribution::of_resolution(1.0).standard());
    cases.finish();
}

#[test]
fn ten_resistors_with_one_error_in_common() {
    let cases = Cases::of(ROWS, 10, 11);
    let mut inputs = CorrelatedInputs::new(vec![0.1; 10]);
    for (i, j) in (0..10).flat_map(|i| (0..i).map(move |j| (i, j))) {
        inputs = inputs.correlated(i, j, 1.0).unwrap();
    }
    cases.check("U10", inputs.combined(&[1.0; 10]).unwrap());
    cases.check("U11", combine(&[Contribution::new(1.0, 0.1); 10]));
    cases.finish();
}

/// H.1, end gauge, in nanometres and kelvin.
#[test]
fn end_gauge() {
    let cases = Cases::of(ROWS, 12, 18);
    let repeated = Contribution::new(1.0, 13.0 / 5f64.sqrt()).with_degrees(24.0);
    let random = 10.0 / coverage_factor(0.95, 5.0).unwrap();
    let random = Contribution::new(1.0, random).with_degrees(5.0);
    let systematic = Contribution::new(1.0, 20.0 / 3.0).with_degrees(8.0);
    let difference = [repeated, random, systematic];
    cases.check("U12", combine(&difference));
    cases.check("U15a", effective_degrees(&difference));

    let (length, temperature, expansion) = (50e6, -0.1, 11.5e-6);
    let standard = Contribution::new(1.0, 75.0 / 3.0).with_degrees(18.0);
    let compared =
        Contribution::new(1.0, combine(&difference)).with_degrees(effective_degrees(&difference));
    let expansions = Contribution::new(-length * temperature, rectangular(1e-6)).with_degrees(50.0);
    let temperatures = Contribution::new(-length * expansion, rectangular(0.05)).with_degrees(2.0);
    let all = [standard, compared, expansions, temperatures];
    let combined = combine(&all);
    cases.check("U13", combined.powi(2));
    cases.check("U14", combined);
    cases.check("U15b", effective_degrees(&all));
    let factor = coverage_factor(0.99, effective_degrees(&all)).unwrap();
    cases.check("U16", factor);
    cases.check("U17", expanded(combined, factor));

    // H.1.7: products of two uncertain inputs, as contributions of their own.
    let bed = combine(&[
        Contribution::new(1.0, 0.2),
        Contribution::new(1.0, 0.5 / 2f64.sqrt()),
    ]);
    let products = [
        Contribution::new(length, rectangular(1e-6) * bed),
        Contribution::new(length, rectangular(2e-6) * rectangular(0.05)),
    ];
    let second_order: Vec<_> = all.into_iter().chain(products).collect();
    cases.check("U18", combine(&second_order));
    cases.finish();
}

/// H.2, Table H.2: five simultaneous observations of volts, milliamperes and radians.
const VOLTS: [f64; 5] = [5.007, 4.994, 5.005, 4.990, 4.999];
const MILLIAMPERES: [f64; 5] = [19.663, 19.639, 19.640, 19.685, 19.678];
const RADIANS: [f64; 5] = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];

fn observed() -> [Repeated; 3] {
    [VOLTS, MILLIAMPERES, RADIANS].map(|column| Repeated::of(&column).unwrap())
}

#[test]
fn simultaneous_observations() {
    let cases = Cases::of(ROWS, 19, 27);
    let [volts, milliamperes, radians] = observed();
    cases.check("U19", volts.mean);
    cases.check("U20", milliamperes.mean);
    cases.check("U21", radians.mean);
    cases.check("U22", volts.standard);
    cases.check("U23", milliamperes.standard);
    cases.check("U24", radians.standard);
    let r = |one: &[f64], other: &[f64]| correlation_of_means(one, other).unwrap();
    cases.check("U25", r(&VOLTS, &MILLIAMPERES));
    cases.check("U26", r(&VOLTS, &RADIANS));
    cases.check("U27", r(&MILLIAMPERES, &RADIANS));
    cases.finish();
}

/// R, X and Z in ohms, and their derivatives by V, I and φ.
fn impedance() -> ([f64; 3], [[f64; 3]; 3]) {
    let [volts, milliamperes, radians] = observed().map(|one| one.mean);
    let amperes = milliamperes / 1e3;
    let z = volts / amperes;
    let (sine, cosine) = radians.sin_cos();
    // The current is in milliamperes, so its derivatives are by those.
    let by = |share: f64, turned: f64| {
        let ohms = z * share;
        [ohms / volts, -ohms / milliamperes, turned]
    };
    (
        [z * cosine, z * sine, z],
        [by(cosine, -z * sine), by(sine, z * cosine), by(1.0, 0.0)],
    )
}

#[test]
fn resistance_and_reactance_with_correlation() {
    let cases = Cases::of(ROWS, 28, 36);
    let ([resistance, reactance, impedance_ohms], [by_r, by_x, by_z]) = impedance();
    let r = |one: &[f64], other: &[f64]| correlation_of_means(one, other).unwrap();
    let inputs = CorrelatedInputs::new(observed().map(|one| one.standard).to_vec())
        .correlated(0, 1, r(&VOLTS, &MILLIAMPERES))
        .and_then(|inputs| inputs.correlated(0, 2, r(&VOLTS, &RADIANS)))
        .and_then(|inputs| inputs.correlated(1, 2, r(&MILLIAMPERES, &RADIANS)))
        .unwrap();
    cases.check("U28", resistance);
    cases.check("U29", inputs.combined(&by_r).unwrap());
    cases.check("U30", reactance);
    cases.check("U31", inputs.combined(&by_x).unwrap());
    cases.check("U32", impedance_ohms);
    cases.check("U33", inputs.combined(&by_z).unwrap());
    let r = |one, other| inputs.correlation(one, other).unwrap().unwrap();
    cases.check("U34", r(&by_r, &by_x));
    cases.check("U35", r(&by_r, &by_z));
    cases.check("U36", r(&by_x, &by_z));
    cases.finish();
}

#[test]
fn resistance_and_reactance_without_correlation() {
    let cases = Cases::of(ROWS, 37, 42);
    let (_, [by_r, by_x, by_z]) = impedance();
    let standard = observed().map(|one| one.standard);
    let inputs = CorrelatedInputs::new(standard.to_vec());
    for (id, by) in [("U37", by_r), ("U38", by_x), ("U39", by_z)] {
        cases.check(id, inputs.combined(&by).unwrap());
        let parts: Vec<_> = by
            .iter()
            .zip(standard)
            .map(|(c, u)| Contribution::new(*c, u))
            .collect();
        // The two ways of adding squares agree but for rounding.
        assert!((combine(&parts) - inputs.combined(&by).unwrap()).abs() < 1e-12);
    }
    let r = |one, other| inputs.correlation(one, other).unwrap().unwrap();
    cases.check("U40", r(&by_r, &by_x));
    cases.check("U41", r(&by_r, &by_z));
    cases.check("U42", r(&by_x, &by_z));
    cases.finish();
}
