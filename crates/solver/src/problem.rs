//! One set of equations to be met: a circuit, with a probe on it or not, and made easier or not.
//!
//! With `A x = b` the linear part, `f(x)` the currents into the devices and `c` the port vector,
//!
//! ```text
//! F(x) = A x − b + f(x) + g·c cᵀx − i·c
//! ```
//!
//! Where the probe is to read given volts, the current `i` is one more unknown and `cᵀx = V` one
//! more equation.

use circuit::Port;
use nalgebra::{DMatrix, DVector};

use crate::equations::Equations;

/// A meter on a port.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Probe {
    /// Row of the node under the positive probe; none for a reference.
    pub(crate) plus: Option<usize>,
    /// Row of the node under the common probe.
    pub(crate) minus: Option<usize>,
    /// Conductance of the meter in siemens.
    pub(crate) siemens: f64,
    /// What is known besides.
    pub(crate) drive: Drive,
}

/// What is known of a probe besides its conductance.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Drive {
    /// The current in amperes pushed into its plus node.
    Amperes(f64),
    /// The volts it reads; the current is to be found.
    Volts(f64),
}

/// Equations to be met.
#[derive(Clone, Copy)]
pub(crate) struct Problem<'a> {
    equations: &'a Equations,
    probe: Option<Probe>,
    tie: f64,
    source_share: f64,
}

impl<'a> Problem<'a> {
    pub(crate) fn new(equations: &'a Equations, probe: Option<Probe>) -> Self {
        Problem {
            equations,
            probe,
            tie: 0.0,
            source_share: 1.0,
        }
    }

    /// A circuit with a meter of this conductance in siemens on a port.
    pub(crate) fn on_port(
        equations: &'a Equations,
        port: Port,
        siemens: f64,
        drive: Drive,
    ) -> Self {
        let probe = Probe {
            plus: equations.node_rows[port.plus.0],
            minus: equations.node_rows[port.minus.0],
            siemens,
            drive,
        };
        Self::new(equations, Some(probe))
    }

    /// The same with a conductance in siemens from every node to its reference.
    pub(crate) fn with_tie(self, tie: f64) -> Self {
        Problem { tie, ..self }
    }

    /// The same with this share of every source.
    pub(crate) fn with_source_share(self, source_share: f64) -> Self {
        Problem {
            source_share,
            ..self
        }
    }

    /// Number of unknowns.
    pub(crate) fn size(&self) -> usize {
        self.equations.size() + usize::from(self.held_volts().is_some())
    }

    fn held_volts(&self) -> Option<f64> {
        match self.probe?.drive {
            Drive::Volts(volts) => Some(volts),
            Drive::Amperes(_) => None,
        }
    }

    /// The misses of all equations, amperes for nodes and volts for branches.
    pub(crate) fn residual(&self, x: &DVector<f64>) -> DVector<f64> {
        let mut residual = self.linear_residual(x);
        for device in &self.equations.devices {
            let evaluation = device.at(x);
            for (row, current) in device.rows.iter().zip(evaluation.current) {
                if let Some(row) = row {
                    residual[*row] += current;
                }
            }
        }
        residual
    }

    /// The misses and their derivatives.
    pub(crate) fn evaluate(&self, x: &DVector<f64>) -> (DVector<f64>, DMatrix<f64>) {
        let mut residual = self.linear_residual(x);
        let mut jacobian = self.linear_jacobian();
        for device in &self.equations.devices {
            device.add_to(x, &mut residual, &mut jacobian);
        }
        (residual, jacobian)
    }

    fn linear_residual(&self, x: &DVector<f64>) -> DVector<f64> {
        let n = self.equations.size();
        let mut residual = DVector::zeros(self.size());
        for (row, column, value) in self.equations.rows.entries() {
            residual[row] += value * x[column];
        }
        for (row, right) in self.equations.right.iter().enumerate() {
            residual[row] -= self.source_share * right;
        }
        for row in self.equations.node_rows.iter().flatten() {
            residual[*row] += self.tie * x[*row];
        }
        if let Some(probe) = self.probe {
            let volts = volts_at(x, probe.plus) - volts_at(x, probe.minus);
            let injected = match probe.drive {
                Drive::Amperes(amperes) => amperes,
                Drive::Volts(_) => x[n],
            };
            let drawn = probe.siemens * volts - injected;
            for (row, sign) in [(probe.plus, 1.0), (probe.minus, -1.0)] {
                if let Some(row) = row {
                    residual[row] += sign * drawn;
                }
            }
            if let Drive::Volts(held) = probe.drive {
                residual[n] = volts - held;
            }
        }
        residual
    }

    fn linear_jacobian(&self) -> DMatrix<f64> {
        let n = self.equations.size();
        let mut jacobian = self.equations.matrix.clone();
        if self.size() > n {
            jacobian = jacobian.resize(n + 1, n + 1, 0.0);
        }
        for row in self.equations.node_rows.iter().flatten() {
            jacobian[(*row, *row)] += self.tie;
        }
        if let Some(probe) = self.probe {
            crate::equations::conduct(&mut jacobian, probe.plus, probe.minus, probe.siemens);
            if let Drive::Volts(_) = probe.drive {
                for (row, sign) in [(probe.plus, 1.0), (probe.minus, -1.0)] {
                    if let Some(row) = row {
                        jacobian[(row, n)] -= sign;
                        jacobian[(n, row)] += sign;
                    }
                }
            }
        }
        jacobian
    }

    /// The largest entry among the node rows: volts of a state or step, amperes of a residual.
    pub(crate) fn node_norm(&self, x: &DVector<f64>) -> f64 {
        x.rows(0, self.equations.nodes)
            .iter()
            .fold(0.0, |largest: f64, value| largest.max(value.abs()))
    }

    /// The share of a step that every junction's limiter allows.
    pub(crate) fn junction_share(&self, x: &DVector<f64>, step: &DVector<f64>) -> f64 {
        self.equations
            .devices
            .iter()
            .map(|device| device.allowed_share(x, step))
            .fold(1.0, f64::min)
    }

    /// The node whose balance is missed most, the device that carries most there, and the miss.
    pub(crate) fn worst(&self, x: &DVector<f64>) -> (String, String, f64) {
        let residual = self.residual(x);
        let row = residual.rows(0, self.equations.nodes).iamax();
        let node = self.equations.name_of_row(row);
        let device = self
            .equations
            .devices
            .iter()
            .filter_map(|device| {
                let evaluation = device.at(x);
                let terminal = device.rows.iter().position(|at| *at == Some(row))?;
                Some((evaluation.current[terminal].abs(), &device.designator))
            })
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map_or_else(|| "none".to_owned(), |(_, designator)| designator.clone());
        (node, device, residual[row])
    }
}

fn volts_at(x: &DVector<f64>, row: Option<usize>) -> f64 {
    row.map_or(0.0, |row| x[row])
}
