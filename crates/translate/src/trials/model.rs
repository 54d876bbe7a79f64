//! One trial of a translation, and what all trials share.
//!
//! The reconciled circuit is solved once; every trial draws one that manual and drawing leave
//! possible, and starts from there.

use std::sync::Arc;

use circuit::{Conditions, Job, Port};
use reconcile::{PriorDraw, Reconciled};
use solver::Solution;

use crate::anchor::carry_linear;
use crate::bench::BenchSide;
use crate::budget::{manual_lines, own_lines, Budget, BudgetLine, Input};
use crate::point::Carried;
use crate::point_model::PointModel;
use crate::table::Translation;
use crate::uncertainty::{Distribution, Draws};

use super::redrawn::Redrawn;

/// What all trials share.
pub(super) struct TrialModel {
    reconciled: Arc<Reconciled>,
    /// Errors of each printed value that the table rests on.
    errors: Vec<Vec<Distribution>>,
    /// The reconciled circuit under each of the conditions that some point asks for.
    states: Vec<(Conditions, Arc<Solution>)>,
    points: Vec<TrialPoint>,
}

/// A translated point.
struct TrialPoint {
    entry: usize,
    basis: TrialBasis,
    benches: Vec<BenchMeter>,
}

/// How a point is known.
enum TrialBasis {
    /// By its source resistance and its printed value, which may be off.
    Stated {
        printed: f64,
        manual: Vec<Distribution>,
        manual_siemens: f64,
        ohms: f64,
        spread: Option<Distribution>,
    },
    /// By its circuit under some conditions, with what that may lack.
    Drawn {
        port: Port,
        state: usize,
        discrepancy: Option<usize>,
    },
}

/// A bench meter on a point.
struct BenchMeter {
    siemens: f64,
    errors: Vec<Distribution>,
}

impl TrialModel {
    /// Finds what all trials of a translation share.
    pub(super) fn new(job: &Job, translation: &Translation) -> Self {
        let reconciled = Arc::clone(&translation.reconciled);
        let errors = reconciled.readings().map(|entry| {
            let point = translation.points.get(entry);
            let carried = point.and_then(|point| point.outcome.as_ref().ok());
            carried.map_or(Vec::new(), |carried| {
                let lines = manual_lines(&job.manual[entry], &carried.manual, 1.0);
                spreads_of(own_lines(&reconciled, entry, lines))
            })
        });
        let mut model = TrialModel {
            errors: errors.collect(),
            reconciled: Arc::clone(&reconciled),
            states: Vec::new(),
            points: Vec::new(),
        };
        for point in &translation.points {
            if let Ok(carried) = &point.outcome {
                let basis = model.basis(point.entry, carried);
                model.points.extend(basis.map(|basis| TrialPoint {
                    entry: point.entry,
                    basis,
                    benches: carried.bench.iter().map(BenchMeter::of).collect(),
                }));
            }
        }
        model
    }

    /// Entry and bench meter of each value of a trial.
    pub(super) fn outputs(&self) -> Vec<(usize, usize)> {
        let of = |point: &TrialPoint| {
            let entry = point.entry;
            (0..point.benches.len()).map(move |bench| (entry, bench))
        };
        self.points.iter().flat_map(of).collect()
    }

    /// One trial: what each bench meter of each point should show, its own error included. No
    /// number where the circuit finds no state.
    pub(super) fn carry(&self, draws: &mut Draws) -> Vec<f64> {
        let reconciled = &self.reconciled;
        let one_sigma = Distribution::Rectangular {
            half_width: 3f64.sqrt(),
        };
        let draw = PriorDraw {
            numbers: reconciled
                .spreads()
                .iter()
                .map(|_| draws.deviation(&one_sigma))
                .collect(),
            discrepancies: (0..reconciled.discrepancy_count())
                .map(|_| draws.normal())
                .collect(),
            errors: self
                .errors
                .iter()
                .map(|spreads| sum(spreads, draws))
                .collect(),
            scales: (0..reconciled.scale_count())
                .map(|_| draws.deviation(&one_sigma))
                .collect(),
        };
        let sampled = reconciled.sampled(&draw);
        let circuit = self.reconciled.job().circuit.varied(sampled.changes);
        let states: Vec<Redrawn> = self
            .states
            .iter()
            .map(|(conditions, near)| Redrawn::new(&circuit, conditions, near))
            .collect();
        let mut values = Vec::new();
        for point in &self.points {
            match &point.basis {
                TrialBasis::Stated {
                    printed,
                    manual,
                    manual_siemens,
                    ohms,
                    spread,
                } => {
                    let printed = printed + sum(manual, draws);
                    let ohms = ohms + sum(spread.as_slice(), draws);
                    for bench in &point.benches {
                        let value = carry_linear(printed, *manual_siemens, bench.siemens, ohms);
                        values.push(value + sum(&bench.errors, draws));
                    }
                }
                TrialBasis::Drawn {
                    port,
                    state,
                    discrepancy,
                } => {
                    let lacking = discrepancy.map(|place| sampled.discrepancies[place]);
                    let (amperes, volts) = lacking.unwrap_or_default();
                    let siemens = point.benches.iter().map(|bench| bench.siemens);
                    let readings = states[*state].readings(*port, amperes, siemens);
                    for (bench, reading) in point.benches.iter().zip(readings) {
                        let error = sum(&bench.errors, draws);
                        values.push(reading.map_or(f64::NAN, |reading| reading + volts + error));
                    }
                }
            }
        }
        values
    }

    fn basis(&mut self, entry: usize, carried: &Carried) -> Option<TrialBasis> {
        match &carried.point_model {
            PointModel::Stated(anchor) => {
                let first = carried.bench.first().map(|side| &side.budget);
                let spread = first.and_then(|budget| spreads(budget, &[Input::StatedSource]).pop());
                Some(TrialBasis::Stated {
                    printed: carried.manual.value,
                    manual: printed_errors(self.reconciled.job(), entry, carried),
                    manual_siemens: anchor.manual_siemens,
                    ohms: anchor.source_ohms(),
                    spread,
                })
            }
            PointModel::Drawn(point) => Some(TrialBasis::Drawn {
                port: point.port,
                state: self.state(&point.bench)?,
                discrepancy: self.reconciled.discrepancy_place(point.port),
            }),
        }
    }

    fn state(&mut self, conditions: &Conditions) -> Option<usize> {
        let known = self
            .states
            .iter()
            .position(|(known, _)| known == conditions);
        known.or_else(|| {
            let solution = self.reconciled.solution(conditions).ok()?;
            self.states.push((conditions.clone(), solution));
            Some(self.states.len() - 1)
        })
    }
}

impl BenchMeter {
    fn of(side: &BenchSide) -> Self {
        BenchMeter {
            siemens: 1.0 / side.input_ohms,
            errors: spreads(&side.budget, &[Input::BenchMeter]),
        }
    }
}

/// Rounding of the printed value and error of the manual's meter.
fn printed_errors(job: &Job, entry: usize, carried: &Carried) -> Vec<Distribution> {
    spreads_of(manual_lines(&job.manual[entry], &carried.manual, 1.0))
}

fn spreads_of(lines: Vec<BudgetLine>) -> Vec<Distribution> {
    lines.into_iter().map(|line| line.spread).collect()
}

fn sum(spreads: &[Distribution], draws: &mut Draws) -> f64 {
    spreads.iter().map(|one| draws.deviation(one)).sum()
}

fn spreads(budget: &Budget, wanted: &[Input]) -> Vec<Distribution> {
    let lines = budget.lines.iter();
    let wanted = lines.filter(|line| wanted.contains(&line.input));
    wanted.map(|line| line.spread).collect()
}
