//! Uncertainties of translated values against a general-purpose library.
//!
//! Independently derived: `tests/vectors/translations.py` writes the vectors with the PyPI package
//! `uncertainties`, which differentiates the closed form by itself. It knows the printed value and the
//! source resistance, so it is what the manual says alone.

use circuit::{Conditions, Job};
use reconcile::permitted_error;
use translate::{translate, BenchSide, BudgetLine, Carried, Input, Translation};

use super::jobs::job;

const VECTORS: &str = include_str!("../vectors/translations.csv");

/// What a line adds to a budget, in volts; nothing where it is left out.
fn line(side: &BenchSide, wanted: impl Fn(Input) -> bool) -> f64 {
    let mut lines = side.budget.lines.iter();
    let line = lines.find(|line| wanted(line.input));
    line.map_or(0.0, BudgetLine::volts)
}

/// Standard uncertainty in volts of the bench meter that should show so many.
fn bench_meter_of(job: &Job, side: &BenchSide, volts: f64) -> f64 {
    let error = permitted_error(&job.bench.meters[0], side.range, volts).unwrap();
    error.half_width / 3f64.sqrt()
}

/// The new budget: the value that manual and drawing decide together lies between what either says,
/// and its lines are the terms of the posterior reading, which the reconciling crate's own tests hold
/// against two libraries, the two parts of the printed value's error, and the bench meter.
fn together(translation: &Translation, carried: &Carried, side: &BenchSide) {
    let sources = carried.sources(side);
    let (manual, drawing) = (sources.manual.unwrap(), sources.drawing.unwrap());
    let low = manual.volts.min(drawing.volts);
    let high = manual.volts.max(drawing.volts);
    // The numbers' curvature may carry it beyond either by a hundredth of what is left open.
    let slack = 0.01 * manual.standard.max(drawing.standard);
    let range = low - slack..=high + slack;
    assert!(
        range.contains(&side.expected),
        "{} {range:?}",
        side.expected
    );

    let reconciled = &translation.reconciled;
    let conditions = Conditions::default();
    let port = reconciled.job().manual[0].port.unwrap();
    let expected = reconciled.expected(port, &conditions, 1.0 / side.input_ohms, None);
    let posterior_reading = reconciled
        .posterior_reading(&conditions, &expected.unwrap())
        .unwrap();
    let printed = posterior_reading.by_printed(0).powi(2) * reconciled.own_noise(0);
    let bench = line(side, |input| input == Input::BenchMeter).powi(2);
    let want = posterior_reading.by_circuit().powi(2) + printed + bench;
    // A line below a millionth of the variance is left out.
    let got = side.budget.standard.powi(2);
    assert!((got - want).abs() < 1e-5 * want, "{got} {want}");
    let rounding = line(side, |input| input == Input::PrintedRounding).powi(2);
    let meter = line(side, |input| input == Input::ManualMeter).powi(2);
    assert!((rounding + meter - printed).abs() < 1e-5 * want);
}

#[test]
fn budgets_meet_a_library_that_differentiates_by_itself() {
    let mut rows = 0;
    for line in VECTORS.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let [r1, t1, r2, t2, printed, meter, full_scale, bench_range, y, u] = cells[..] else {
            panic!("{line}");
        };
        let number = |text: &str| text.parse::<f64>().unwrap();
        let sign = if printed.starts_with('-') { "-" } else { "" };
        let percent = |share: &str| number(share) * 100.0;
        // A supply of any volts: it drops out where both meters find the same set.
        let netlist = format!(
            "ground chassis\nPS1: {sign}300V 5%, plus=b, minus=chassis\n\
             R1: {} {}%, b to p\nR2: {} {}%, p to chassis\n",
            number(r1),
            percent(t1),
            number(r2),
            percent(t2)
        );
        let manual = format!("point,at,value,meter,range\n1,p,{printed},{meter},{full_scale}V\n");
        let job = job(&netlist, &manual, &["10M"]);
        let translation = translate(&job).unwrap();
        let carried = translation.points[0].outcome.as_ref().unwrap();
        let side = &carried.bench[0];
        let (y, u) = (number(y), number(u));
        assert!(
            (side.range.full_scale - number(bench_range)).abs() < 1e-12,
            "{line}"
        );
        let manual = carried.sources(side).manual.unwrap();
        // Both sides are exact to rounding: some 1e-12 of the value.
        assert!((manual.volts - y).abs() < 1e-9, "{line}: {}", manual.volts);
        // The library's bench meter shows what the manual alone expects.
        let own = u.powi(2) - bench_meter_of(&job, side, y).powi(2);
        assert!(
            (manual.standard - own.sqrt()).abs() < 1e-9,
            "{line}: {}",
            manual.standard
        );
        together(&translation, carried, side);
        rows += 1;
    }
    assert_eq!(rows, 8);
}
