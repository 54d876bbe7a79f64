//! What a law gives: currents into the terminals and their derivatives.

/// The most terminals that any device has.
pub const MOST_TERMINALS: usize = 5;

/// Currents and derivatives at one set of terminal volts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evaluation {
    /// Current into each terminal, in amperes.
    pub current: [f64; MOST_TERMINALS],
    /// Derivative of each current by each terminal's volts, in siemens.
    pub conductance: [[f64; MOST_TERMINALS]; MOST_TERMINALS],
}

impl Evaluation {
    /// Nothing flows.
    pub(crate) const NONE: Evaluation = Evaluation {
        current: [0.0; MOST_TERMINALS],
        conductance: [[0.0; MOST_TERMINALS]; MOST_TERMINALS],
    };

    /// Adds a share of another law's currents and derivatives.
    pub(crate) fn add(&mut self, other: &Evaluation, share: f64) {
        for (own, theirs) in self.current.iter_mut().zip(&other.current) {
            *own += share * theirs;
        }
        let rows = self.conductance.iter_mut().zip(&other.conductance);
        for (own, theirs) in rows.flat_map(|(own, theirs)| own.iter_mut().zip(theirs)) {
            *own += share * theirs;
        }
    }

    /// Adds a current that enters at `into`, leaves at `out_of`, and depends on the volts of some
    /// terminals above terminal `common`: the derivative by `common` itself is less their sum.
    pub(crate) fn flow(
        &mut self,
        (into, out_of): (usize, usize),
        amperes: f64,
        common: usize,
        slopes: &[(usize, f64)],
    ) {
        for (terminal, sign) in [(into, 1.0), (out_of, -1.0)] {
            self.current[terminal] += sign * amperes;
            for (other, siemens) in slopes {
                self.conductance[terminal][*other] += sign * siemens;
                self.conductance[terminal][common] -= sign * siemens;
            }
        }
    }
}
