//! Uncertainties of translated values against a general-purpose library.
//!
//! Independently derived: `tests/vectors/translations.py` writes the vectors with the PyPI package
//! `uncertainties`, which differentiates the closed form by itself.

use translate::translate;

use crate::jobs::job;

const VECTORS: &str = include_str!("../vectors/translations.csv");

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
        let side = &translation.points[0].outcome.as_ref().unwrap().bench[0];
        assert!(
            (side.range.full_scale - number(bench_range)).abs() < 1e-12,
            "{line}"
        );
        // Both sides are exact to rounding: some 1e-12 of the value.
        assert!(
            (side.expected - number(y)).abs() < 1e-9,
            "{line}: {}",
            side.expected
        );
        assert!(
            (side.budget.standard - number(u)).abs() < 1e-9,
            "{line}: {}",
            side.budget.standard
        );
        rows += 1;
    }
    assert_eq!(rows, 8);
}
