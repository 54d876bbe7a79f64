//! Whether the manual itself is believable.
//!
//! A job comes in; for each printed direct voltage what all the others and the drawn circuit say
//! of it, how far off it is in standard deviations, and, where asked for, which slips would explain it go
//! out. Bench readings are not looked at.

use crate::range_choice::RangeChoice;
use circuit::Job;

use crate::agreement::Agreement;
use crate::agreement::BELIEVABLE;
use crate::drawing_slips::{DrawingSlip, DrawingSlips};
use crate::error::ReconcileError;
use crate::explain::{Explained, Slips};
use crate::fit::LikelyNumber;
use crate::manual_table::LeftOut;
use crate::prediction::Prediction;
use crate::reconciled::{reconcile, Reconciled};
use crate::value_status::ValueStatus;

/// What is to be thought of a manual.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    /// The values judged, in the order of the manual.
    pub points: Vec<Judged>,
    /// The entries not judged, in the same order.
    pub left_out: Vec<LeftOut>,
    /// How well the believed values and the drawn circuit agree as a whole. If every value
    /// agrees with the others but all disagree with the drawing, only this shows it.
    pub agreement: Agreement,
    /// Changes of the drawing each of which would explain all that is doubted, the likeliest first; none if
    /// none does or none was tried.
    pub drawing_slips: Vec<DrawingSlip>,
    /// Where there are none, two slips of the drawing that would make all values agree together.
    pub two_drawing_slips: Option<[DrawingSlip; 2]>,
    /// Every number that the values depend on, as the believed ones make it likely.
    pub parts: Vec<LikelyNumber>,
}

/// One value of the manual against all the others.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Index into [`Job::manual`].
    pub entry: usize,
    /// The range it was taken on, stated or assumed.
    pub range: RangeChoice,
    /// What the circuit as drawn reads there through the manual's meter, in volts.
    pub model: f64,
    /// What the believed values, this one left out, say it should be.
    pub predicted: Prediction,
    /// Distance of the printed value from that, in standard deviations.
    pub residual_sigma: f64,
    /// Its status.
    pub value_status: ValueStatus,
    /// For a doubted value: entries that contradict it and may be the wrong ones in its stead, at
    /// odds below [`crate::DECISIVE_ODDS`].
    pub rivals: Vec<usize>,
    /// For a doubted value: slips that would explain it, the likeliest first; none if none does or none was tried.
    pub explanations: Vec<Explained>,
}

impl Judged {
    /// Whether the value is within [`BELIEVABLE`] standard deviations of what it should be.
    pub fn believable(&self) -> bool {
        self.residual_sigma.abs() <= BELIEVABLE
    }
}

/// Judges every direct-volt value of the manual that the drawn circuit can predict, and tries the slips that
/// would explain the doubted ones.
///
/// # Errors
/// [`ReconcileError`] if the circuit has no trustworthy solution under some row's conditions, or
/// the covariance of the readings cannot be inverted.
pub fn belief(job: &Job) -> Result<Belief, ReconcileError> {
    explained_belief(&reconcile(job)?)
}

/// Judges a manual that is reconciled with its drawing already; no slip is tried.
pub fn belief_of(reconciled: &Reconciled) -> Belief {
    let Reconciled {
        table,
        drawn: fit,
        doubted: out,
        ..
    } = reconciled;
    let mut points = Vec::new();
    for (place, (row, taken)) in table.rows.iter().zip(&table.taken).enumerate() {
        let predicted = fit.without(place);
        let mut judged = Judged {
            entry: taken.entries[0],
            range: taken.range,
            model: row.model,
            predicted,
            residual_sigma: predicted.sigmas(row.printed.value),
            value_status: reconciled.value_status[place],
            rivals: Vec::new(),
            explanations: Vec::new(),
        };
        if !judged.believable() {
            let out = out.iter().find(|out| out.row == place);
            let rivals = out.into_iter().flat_map(|out| &out.rivals);
            judged.rivals = rivals
                .flat_map(|row| table.taken[*row].entries.iter().copied())
                .collect();
        }
        points.extend(taken.entries.iter().map(|entry| Judged {
            entry: *entry,
            ..judged.clone()
        }));
    }
    points.sort_by_key(|judged| judged.entry);
    Belief {
        points,
        left_out: table.left_out.clone(),
        agreement: fit.agreement(),
        drawing_slips: Vec::new(),
        two_drawing_slips: None,
        parts: reconciled.numbers(),
    }
}

/// The same with the slips that would explain each doubted value, and those of the drawing that would explain
/// all.
///
/// # Errors
/// As [`belief`].
pub fn explained_belief(reconciled: &Reconciled) -> Result<Belief, ReconcileError> {
    let mut belief = belief_of(reconciled);
    let found = DrawingSlips::of(reconciled);
    (belief.drawing_slips, belief.two_drawing_slips) = (found.alone, found.together);
    let mut reader = reconciled.reader.clone();
    let Reconciled { job, table, .. } = reconciled;
    let mut slips = Slips::new(job, &reconciled.drawn, &reconciled.drawn_jacobian);
    for (row, taken) in table.rows.iter().zip(&table.taken) {
        let of_row = |judged: &&mut Judged| taken.entries.contains(&judged.entry);
        let mut same: Vec<&mut Judged> = belief.points.iter_mut().filter(of_row).collect();
        let Some(first) = same.first().filter(|judged| !judged.believable()) else {
            continue;
        };
        let misfit = row.printed.value - first.predicted.volts;
        let explanations = slips.explain(&mut reader, taken, misfit)?;
        for judged in &mut same {
            judged.explanations.clone_from(&explanations);
        }
    }
    Ok(belief)
}
