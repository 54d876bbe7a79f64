//! The sizes of numbers and discrepancies at the minimum are those that the table there says.

#[path = "../../../../benches/bench_job/chassis_texts.rs"]
mod chassis_texts;

use input::{read_job, JobSources, Sources};

use crate::reconciled::reconcile_by;
use chassis_texts::chassis_texts;

use super::SETTLED;

/// With so many the sizes swing from round to round.
const STAGES: usize = 130;

#[test]
fn another_round_of_learning_changes_nothing_at_the_minimum() {
    let mut sources = Sources::default();
    let mut added = chassis_texts(STAGES, &["10M"])
        .map(|(label, text)| Some(sources.add(&label, &text)))
        .into_iter();
    let parts = JobSources {
        settings: added.next().flatten(),
        netlist: added.next().flatten(),
        manual: added.next().flatten(),
        ..JobSources::default()
    };
    let job = read_job(&sources, &parts, &[]).job.unwrap();
    let mut moved = f64::INFINITY;
    let reconciled = reconcile_by(&job, |descent| {
        let fitted = descent.run()?;
        let (aim, widths) = (descent.aim(&fitted.0, &fitted.1), descent.widths());
        let mut again = descent.clone();
        let (fit, jacobian) = again.learned(fitted.clone(), 1)?;
        let aim = aim.in_widths(&widths, &again.widths());
        moved = aim.farthest(&again.aim(&fit, &jacobian), &again);
        Ok(fitted)
    });
    assert!(reconciled.is_ok());
    // What the search itself asks for, from one reading of the table to the next.
    assert!(moved < SETTLED, "{moved}");
}
