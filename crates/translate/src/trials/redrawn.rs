//! The drawn circuit with other numbers, and what meters read on it.

use std::cell::OnceCell;

use circuit::{Circuit, Conditions, Port};
use solver::{solve_varied, solve_varied_directly, Load, Solution};

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
        let solved = self.solved.get_or_init(|| self.solve()).as_ref();
        let open = solved.map(|solved| solved.unloaded(port));
        siemens.map(move |siemens| {
            let load = Load { siemens, amperes };
            solved?.reading(load, open.as_ref()?).ok()
        })
    }

    /// A draw may give tubes a gas current below zero, which an electrode with a path to ground hardly
    /// shows and on which a floating one falls without end. So where the reconciled state does not lead
    /// to one of this circuit, it is solved with no gas current below zero.
    fn solve(&self) -> Option<Solution> {
        let (conditions, near) = (self.conditions, self.near);
        let direct = solve_varied_directly(self.circuit, conditions, near).ok();
        direct.or_else(|| solve_varied(&self.circuit.without_negative_gas(), conditions, near).ok())
    }
}
