//! The drawn circuit with other numbers, and what meters read on it.

use std::cell::OnceCell;

use circuit::{Circuit, Conditions, Port};
use solver::{solve_varied, Load, Solution};

/// A circuit with other numbers under given conditions; solved only where it is asked for.
pub(super) struct Redrawn<'a> {
    circuit: &'a Circuit,
    conditions: &'a Conditions,
    near: &'a Solution,
    solved: OnceCell<Option<Solution>>,
}

impl<'a> Redrawn<'a> {
    /// Starting from the state of a circuit near it.
    pub(super) fn new(
        circuit: &'a Circuit,
        conditions: &'a Conditions,
        near: &'a Solution,
    ) -> Self {
        Redrawn {
            circuit,
            conditions,
            near,
            solved: OnceCell::new(),
        }
    }

    /// What meters of these conductances in siemens read on a port that a current flows into; none
    /// where the circuit finds no state.
    pub(super) fn readings<'m>(
        &'m self,
        port: Port,
        amperes: f64,
        siemens: impl Iterator<Item = f64> + 'm,
    ) -> impl Iterator<Item = Option<f64>> + 'm {
        let solved = || solve_varied(self.circuit, self.conditions, self.near).ok();
        let solved = self.solved.get_or_init(solved).as_ref();
        let open = solved.map(|solved| solved.unloaded(port));
        siemens.map(move |siemens| {
            let load = Load { siemens, amperes };
            solved?.reading(load, open.as_ref()?).ok()
        })
    }
}
