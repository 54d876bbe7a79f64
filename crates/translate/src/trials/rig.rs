//! One trial of a translation, and what all trials share.
//!
//! States of the circuit as drawn are found once; every trial starts from them.

use std::sync::Arc;

use circuit::{Circuit, Conditions, Job, Port};
use solver::{ParameterId, Solution};

use crate::anchor::{self, straight, Anchor, Side};
use crate::bench::BenchSide;
use crate::budget::{Budget, Input};
use crate::point::Carried;
use crate::table::Translation;
use crate::uncertainty::{Draws, Spread};

use super::redrawn::{Redrawn, Sides};

/// What all trials share.
pub(super) struct Rig<'a> {
    circuit: &'a Circuit,
    /// Numbers that some value depends on.
    numbers: Vec<(ParameterId, Spread)>,
    /// The drawn circuit under each of the conditions that some point asks for.
    states: Vec<(Conditions, Arc<Solution>)>,
    points: Vec<Point>,
}

/// A translated point.
struct Point {
    entry: usize,
    printed: f64,
    /// Errors of the printed value.
    manual: Vec<Spread>,
    /// Conductance of the manual's meter in siemens.
    manual_siemens: f64,
    seen: Seen,
    benches: Vec<Bench>,
}

/// How a point is known.
enum Seen {
    /// By its source resistance, which may be off.
    Stated { ohms: f64, spread: Option<Spread> },
    /// By its circuit, drawn under the manual's and the bench's conditions.
    Drawn {
        port: Port,
        at: (usize, usize),
        way: Way,
    },
}

/// How a drawn point is carried over.
#[derive(Clone, Copy, PartialEq)]
enum Way {
    /// A source holds it, whatever meter is on it.
    Held,
    /// By the current with which the manual's meter reads what is printed.
    Anchored,
}

/// A bench meter on a point.
struct Bench {
    siemens: f64,
    errors: Vec<Spread>,
}

impl<'a> Rig<'a> {
    /// Finds what all trials of a translation share.
    pub(super) fn new(job: &'a Job, translation: &Translation) -> Self {
        let mut rig = Rig {
            circuit: &job.circuit,
            numbers: Vec::new(),
            states: Vec::new(),
            points: Vec::new(),
        };
        for point in &translation.points {
            if let Ok(carried) = &point.outcome {
                let point = rig.point(point.entry, carried);
                rig.points.push(point);
            }
        }
        rig
    }

    /// Entry and bench meter of each value of a trial.
    pub(super) fn outputs(&self) -> Vec<(usize, usize)> {
        let of = |point: &Point| {
            let entry = point.entry;
            (0..point.benches.len()).map(move |bench| (entry, bench))
        };
        self.points.iter().flat_map(of).collect()
    }

    /// One trial: what each bench meter of each point should show, its own error included. No
    /// number where the circuit finds no state.
    pub(super) fn carry(&self, draws: &mut Draws) -> Vec<f64> {
        let changes: Vec<_> = self
            .numbers
            .iter()
            .map(|(id, spread)| (id.part, id.parameter, draws.deviation(spread)))
            .collect();
        let circuit = self.circuit.varied(changes);
        let states: Vec<Redrawn> = self
            .states
            .iter()
            .map(|(conditions, drawn)| Redrawn::new(&circuit, conditions, drawn))
            .collect();
        let mut values = Vec::new();
        for point in &self.points {
            point.carry(&states, draws, &mut values);
        }
        values
    }

    fn point(&mut self, entry: usize, carried: &Carried) -> Point {
        for side in &carried.bench {
            self.meet(&side.budget);
        }
        let anchor = &carried.anchor;
        let first = carried.bench.first().map(|side| &side.budget);
        let of = |wanted: &[Input]| first.map_or(Vec::new(), |budget| spreads(budget, wanted));
        Point {
            entry,
            printed: carried.manual.value,
            manual: of(&[Input::PrintedRounding, Input::ManualMeter]),
            manual_siemens: anchor.manual_siemens,
            seen: self.seen(anchor, of(&[Input::StatedSource]).first().copied()),
            benches: carried.bench.iter().map(Bench::of).collect(),
        }
    }

    fn seen(&mut self, anchor: &Anchor, spread: Option<Spread>) -> Seen {
        match &anchor.way {
            anchor::Way::Stated { ohms } => Seen::Stated {
                ohms: *ohms,
                spread,
            },
            anchor::Way::Drawn(drawn) => Seen::Drawn {
                port: drawn.port,
                at: (self.state(&drawn.manual), self.state(&drawn.bench)),
                way: if anchor.is_held() {
                    Way::Held
                } else {
                    Way::Anchored
                },
            },
        }
    }

    fn meet(&mut self, budget: &Budget) {
        for line in &budget.lines {
            if let Input::Number(id) = line.input {
                if !self.numbers.iter().any(|(known, _)| *known == id) {
                    self.numbers.push((id, line.spread));
                }
            }
        }
    }

    fn state(&mut self, side: &Side) -> usize {
        let known = self.states.iter().position(|(c, _)| *c == side.conditions);
        known.unwrap_or_else(|| {
            let solution = Arc::clone(&side.solution);
            self.states.push((side.conditions.clone(), solution));
            self.states.len() - 1
        })
    }
}

impl Bench {
    fn of(side: &BenchSide) -> Self {
        Bench {
            siemens: 1.0 / side.input_ohms,
            errors: spreads(&side.budget, &[Input::BenchMeter]),
        }
    }
}

impl Point {
    fn carry(&self, states: &[Redrawn], draws: &mut Draws, values: &mut Vec<f64>) {
        let mut drawn =
            |spreads: &[Spread]| -> f64 { spreads.iter().map(|one| draws.deviation(one)).sum() };
        let printed = self.printed + drawn(&self.manual);
        let g0 = self.manual_siemens;
        let mut put = |value: Option<f64>, error: f64| {
            values.push(value.map_or(f64::NAN, |value| value + error));
        };
        match &self.seen {
            Seen::Stated { ohms, spread } => {
                let ohms = ohms + drawn(spread.as_slice());
                for bench in &self.benches {
                    let value = straight(printed, g0, bench.siemens, ohms);
                    put(Some(value), drawn(&bench.errors));
                }
            }
            Seen::Drawn { port, at, way } => {
                let sides = Sides {
                    manual: &states[at.0],
                    bench: &states[at.1],
                    port: *port,
                };
                // The current that the point needs is the same for all its meters.
                let pushed = match way {
                    Way::Anchored => sides.pushed(g0, printed),
                    Way::Held => None,
                };
                for bench in &self.benches {
                    let value = match way {
                        Way::Held => sides.held(g0, printed, bench.siemens),
                        Way::Anchored => pushed.as_ref().and_then(|it| it.reading(bench.siemens)),
                    };
                    put(value, drawn(&bench.errors));
                }
            }
        }
    }
}

fn spreads(budget: &Budget, wanted: &[Input]) -> Vec<Spread> {
    let lines = budget.lines.iter();
    let wanted = lines.filter(|line| wanted.contains(&line.input));
    wanted.map(|line| line.spread).collect()
}
