//! The worked examples of JCGM 100:2008 through the functions of first order.

use crate::cases::Cases;
use circuit::Accuracy;
use reconcile::accuracy_half_width;
use translate::{combine, Contribution, Distribution, Sample};

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
    cases.check("U09", Distribution::of_resolution(1.0).standard());
    cases.finish();
}

/// H.1, end gauge, in nanometres and kelvin.
#[test]
fn end_gauge() {
    let cases = Cases::of(ROWS, 12, 18);
    let repeated = Contribution::new(1.0, 13.0 / 5f64.sqrt());
    // t for 95 % and 5 degrees of freedom, Table G.2.
    let random = Contribution::new(1.0, 10.0 / 2.57);
    let systematic = Contribution::new(1.0, 20.0 / 3.0);
    let difference = [repeated, random, systematic];
    cases.check("U12", combine(&difference));

    let (length, temperature, expansion) = (50e6, -0.1, 11.5e-6);
    let standard = Contribution::new(1.0, 75.0 / 3.0);
    let compared = Contribution::new(1.0, combine(&difference));
    let expansions = Contribution::new(-length * temperature, rectangular(1e-6));
    let temperatures = Contribution::new(-length * expansion, rectangular(0.05));
    let all = [standard, compared, expansions, temperatures];
    let combined = combine(&all);
    cases.check("U13", combined.powi(2));
    cases.check("U14", combined);

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

/// Mean of each column, and its standard uncertainty (4.2.3).
fn observed() -> [(f64, f64); 3] {
    [VOLTS, MILLIAMPERES, RADIANS].map(|column| {
        let sample = Sample::of(column.to_vec()).unwrap();
        (sample.mean(), sample.standard() / 5f64.sqrt())
    })
}

#[test]
fn simultaneous_observations() {
    let cases = Cases::of(ROWS, 19, 24);
    let [volts, milliamperes, radians] = observed();
    cases.check("U19", volts.0);
    cases.check("U20", milliamperes.0);
    cases.check("U21", radians.0);
    cases.check("U22", volts.1);
    cases.check("U23", milliamperes.1);
    cases.check("U24", radians.1);
    cases.finish();
}

/// Derivatives of R, X and Z in ohms by V, I and φ.
fn impedance() -> [[f64; 3]; 3] {
    let [volts, milliamperes, radians] = observed().map(|one| one.0);
    let z = volts / (milliamperes / 1e3);
    let (sine, cosine) = radians.sin_cos();
    // The current is in milliamperes, so its derivatives are by those.
    let by = |share: f64, turned: f64| {
        let ohms = z * share;
        [ohms / volts, -ohms / milliamperes, turned]
    };
    [by(cosine, -z * sine), by(sine, z * cosine), by(1.0, 0.0)]
}

#[test]
fn resistance_and_reactance_without_correlation() {
    let cases = Cases::of(ROWS, 37, 39);
    let standard = observed().map(|one| one.1);
    for (id, by) in ["U37", "U38", "U39"].into_iter().zip(impedance()) {
        let parts = by.iter().zip(standard);
        let parts: Vec<_> = parts.map(|(c, u)| Contribution::new(*c, u)).collect();
        cases.check(id, combine(&parts));
    }
    cases.finish();
}
