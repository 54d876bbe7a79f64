//! The two sources by themselves on linear jobs, through the whole program.
//!
//! Independently derived: closed forms and derivatives of `tests/vectors/make_least_squares.py`.

use serde::Deserialize;
use translate::{translate, Alone};

use super::sets::read;

const JOBS: &str = include_str!("../vectors/least_squares.json");

/// As a share of the value, 1 V added, and of a standard uncertainty, 1 mV added: the solvers settle
/// to some 10⁻¹², and derivatives are sums of a dozen terms.
const ROUNDING: f64 = 1e-9;

#[derive(Deserialize)]
#[expect(non_snake_case, reason = "the letters of the file")]
struct LinearJob {
    id: String,
    netlist: String,
    job: String,
    manual: String,
    v: Vec<f64>,
    P: Vec<f64>,
    W: Vec<f64>,
    g0: Vec<f64>,
    g1: Vec<f64>,
    R: Vec<f64>,
    h0: Vec<f64>,
    H: Vec<Vec<f64>>,
    h1: Vec<f64>,
    H1: Vec<Vec<f64>>,
}

/// Every point through 10 MΩ, by one source and as the file has it.
fn each(check: impl Fn(&LinearJob, usize, [Option<Alone>; 2])) {
    let jobs: Vec<LinearJob> = serde_json::from_str(JOBS).unwrap();
    assert_eq!(jobs.len(), 20);
    for linear in &jobs {
        let job = read(&linear.job, &linear.netlist, &linear.manual);
        let translation = translate(&job).unwrap();
        assert_eq!(translation.points.len(), linear.v.len());
        for (row, point) in translation.points.iter().enumerate() {
            let carried = point.outcome.as_ref().unwrap();
            let side = &carried.bench[0];
            assert_eq!(side.meter, "10M");
            let sources = carried.sources(side);
            check(linear, row, [sources.manual, sources.drawing]);
        }
    }
}

fn near(linear: &LinearJob, row: usize, got: Alone, (volts, standard): (f64, f64)) {
    let id = &linear.id;
    let off = (got.volts - volts).abs();
    assert!(
        off <= ROUNDING * (1.0 + volts.abs()),
        "{id} {row}: {got:?} {volts}"
    );
    let off = (got.standard - standard).abs();
    assert!(
        off <= ROUNDING * (1e-3 + standard),
        "{id} {row}: {got:?} {standard}"
    );
}

/// `Σ P (slope)²`
fn by_parts(linear: &LinearJob, slopes: impl Iterator<Item = f64>) -> f64 {
    let each = slopes.zip(&linear.P);
    each.map(|(slope, p)| p * slope * slope).sum()
}

#[test]
fn the_drawing_alone() {
    each(|linear, row, [_, drawing]| {
        let parts = by_parts(linear, linear.H1[row].iter().copied());
        near(
            linear,
            row,
            drawing.unwrap(),
            (linear.h1[row], parts.sqrt()),
        );
    });
}

#[test]
fn the_manual_alone() {
    each(|linear, row, [manual, _]| {
        let [g0, g1, r] = [&linear.g0, &linear.g1, &linear.R].map(|all| all[row]);
        let ratio = (1.0 + g0 * r) / (1.0 + g1 * r);
        // The file's derivatives are of what is drawn; with the printed volts in its place they are
        // as many times as large as those are.
        let share = linear.v[row] / linear.h0[row];
        let slopes = linear.H1[row].iter().zip(&linear.H[row]);
        let parts = by_parts(linear, slopes.map(|(h1, h)| share * (h1 - ratio * h)));
        // A printed 0 is read more finely than its digit.
        if linear.v[row] == 0.0 {
            assert!(manual.unwrap().volts.abs() <= ROUNDING);
            return;
        }
        let standard = (parts + linear.W[row] * ratio * ratio).sqrt();
        near(
            linear,
            row,
            manual.unwrap(),
            (linear.v[row] * ratio, standard),
        );
    });
}
