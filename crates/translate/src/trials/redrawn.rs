//! The drawn circuit with other numbers, and what meters read on a point of it.
//!
//! A drawn circuit's state and the same circuit with other numbers come in; what a meter reads on
//! it goes out, or nothing where no state is found.

use std::cell::OnceCell;

use circuit::{Circuit, Conditions, Port};
use solver::{solve_varied, Load, Metered, Solution};

/// A circuit with other numbers under given conditions; solved only where it is asked for.
pub(super) struct Redrawn<'a> {
    circuit: &'a Circuit,
    conditions: &'a Conditions,
    drawn: &'a Solution,
    solved: OnceCell<Option<Solution>>,
}

impl<'a> Redrawn<'a> {
    pub(super) fn new(
        circuit: &'a Circuit,
        conditions: &'a Conditions,
        drawn: &'a Solution,
    ) -> Self {
        Redrawn {
            circuit,
            conditions,
            drawn,
            solved: OnceCell::new(),
        }
    }

    fn solved(&self) -> Option<&Solution> {
        let make = || solve_varied(self.circuit, self.conditions, self.drawn).ok();
        self.solved.get_or_init(make).as_ref()
    }
}

/// A point under the manual's conditions and the bench's.
#[derive(Clone, Copy)]
pub(super) struct Sides<'a> {
    pub(super) manual: &'a Redrawn<'a>,
    pub(super) bench: &'a Redrawn<'a>,
    pub(super) port: Port,
}

impl<'a> Sides<'a> {
    /// A point that a source holds: no meter moves it, and no current could be found that does.
    pub(super) fn held(self, g0: f64, printed: f64, g1: f64) -> Option<f64> {
        let reads = |side: &Redrawn, siemens| {
            let load = Load {
                siemens,
                amperes: 0.0,
            };
            let solved = side.solved()?;
            solved.reading(load, &solved.unloaded(self.port)).ok()
        };
        // y = m₁ + (V_m − m₀)
        Some(reads(self.bench, g1)? + printed - reads(self.manual, g0)?)
    }

    /// The point with the current in it with which the manual's meter `g0` reads `printed`.
    pub(super) fn pushed(self, g0: f64, printed: f64) -> Option<Pushed<'a>> {
        let manual = self.manual.solved()?;
        let start = manual.unloaded(self.port);
        let (amperes, near) = manual.amperes_for(g0, printed, &start).ok()?;
        let (solved, near) = if std::ptr::eq(self.manual, self.bench) {
            (manual, near)
        } else {
            let solved = self.bench.solved()?;
            (solved, solved.unloaded(self.port))
        };
        Some(Pushed {
            solved,
            near,
            amperes,
        })
    }
}

/// A point of the bench's circuit, and the current that stays in it.
pub(super) struct Pushed<'a> {
    solved: &'a Solution,
    near: Metered,
    amperes: f64,
}

impl Pushed<'_> {
    /// What a bench meter reads.
    pub(super) fn reading(&self, siemens: f64) -> Option<f64> {
        let amperes = self.amperes;
        let load = Load { siemens, amperes };
        self.solved.reading(load, &self.near).ok()
    }
}
