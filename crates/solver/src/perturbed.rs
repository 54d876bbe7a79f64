//! A circuit whose numbers differ a little from those of a solved one, asked for what a few
//! meters read.
//!
//! Trials draw the numbers of a circuit thousands of times. Each time the equations are factored
//! once, with the devices' slopes of the solved circuit in them, and reduced to the few nodes that
//! devices touch ([`crate::reduced`]). A meter or a current on a port changes `P J⁻¹b` and `Z` by a
//! rank of one. A dozen unknowns are left instead of a hundred, and finding them costs next to
//! nothing.

use circuit::{Circuit, Conditions, Port};
use nalgebra::{DMatrix, DVector};

use crate::device::Device;
use crate::elimination::Elimination;
use crate::equations::Equations;
use crate::error::SolveError;
use crate::newton;
use crate::port::Load;
use crate::problem::{Drive, Problem};
use crate::reduced::{currents, reduced, Reduced};
use crate::solution::Solution;

/// A circuit near a solved one.
#[derive(Debug)]
pub struct Perturbed {
    equations: Equations,
    factors: Elimination,
    /// `J⁻¹b`
    driven: DVector<f64>,
    /// The devices, their terminals counted within [`Perturbed::rows`].
    devices: Vec<Device>,
    /// Rows of the nodes that devices touch.
    rows: Vec<usize>,
    /// `G`
    slopes: DMatrix<f64>,
    /// `J⁻¹Pᵀ`
    pushed: DMatrix<f64>,
    /// `Z`
    impedances: DMatrix<f64>,
    /// Volts of those nodes in the solved circuit, to start from.
    start: DVector<f64>,
    /// That circuit's whole state.
    drawn: DVector<f64>,
}

/// A port of it, and where the devices were last.
#[derive(Debug)]
pub struct PerturbedPort<'a> {
    circuit: &'a Perturbed,
    port: Port,
    /// `cᵀJ⁻¹b`
    open_volts: f64,
    /// `cᵀJ⁻¹c`
    ohms: f64,
    /// `P J⁻¹c`
    onto_devices: DVector<f64>,
    /// `P J⁻ᵀc`
    from_devices: DVector<f64>,
    volts: DVector<f64>,
}

impl Perturbed {
    /// Factors a circuit that differs from a solved one in numbers only. Glow discharges are lit
    /// or dark as there.
    ///
    /// # Errors
    /// As [`Equations::new`]; [`SolveError::Singular`] if the equations cannot be factored.
    pub fn new(
        circuit: &Circuit,
        conditions: &Conditions,
        near: &Solution,
    ) -> Result<Self, SolveError> {
        let mut equations = Equations::new(circuit, conditions)?;
        let known = near.equations.devices.iter();
        for (device, known) in equations.devices.iter_mut().zip(known) {
            device.keep_glow_of(known);
        }
        let (rows, devices) = reduced(&equations.devices);
        let start = DVector::from_iterator(rows.len(), rows.iter().map(|row| near.x[*row]));
        let (_, slopes) = currents(&devices, &start);
        let mut jacobian = equations.matrix.clone();
        for (i, row) in rows.iter().enumerate() {
            for (j, column) in rows.iter().enumerate() {
                jacobian[(*row, *column)] += slopes[(i, j)];
            }
        }
        let factors = Elimination::new(&jacobian).ok_or_else(|| singular(&equations))?;
        let solve = |right: &DVector<f64>| factors.solve(right).ok_or_else(|| singular(&equations));
        let driven = solve(&equations.right)?;
        let mut pushed = DMatrix::zeros(equations.size(), rows.len());
        for (column, row) in rows.iter().enumerate() {
            let mut unit = DVector::zeros(equations.size());
            unit[*row] = 1.0;
            pushed.set_column(column, &solve(&unit)?);
        }
        let impedances = pushed.select_rows(rows.iter());
        Ok(Perturbed {
            driven,
            devices,
            slopes,
            pushed,
            impedances,
            start,
            drawn: near.x.clone(),
            factors,
            rows,
            equations,
        })
    }

    /// A port, to put meters on.
    ///
    /// # Errors
    /// [`SolveError::Singular`] if the response to a current into the port cannot be had.
    pub fn port(&self, port: Port) -> Result<PerturbedPort<'_>, SolveError> {
        let c = self.equations.port_vector(port);
        let response = self
            .factors
            .solve(&c)
            .ok_or_else(|| singular(&self.equations))?;
        Ok(PerturbedPort {
            open_volts: c.dot(&self.driven),
            ohms: c.dot(&response),
            onto_devices: response.select_rows(self.rows.iter()),
            from_devices: self.pushed.tr_mul(&c),
            volts: self.start.clone(),
            circuit: self,
            port,
        })
    }
}

impl PerturbedPort<'_> {
    /// The current in amperes with which a meter of this conductance in siemens reads these volts.
    /// A port that an ideal source holds has none.
    ///
    /// # Errors
    /// [`SolveError`] where no such state is found.
    pub fn amperes_for(&mut self, siemens: f64, volts: f64) -> Result<f64, SolveError> {
        // q = (V − cᵀJ⁻¹b + wᵀr)/R flows into the port, i = q + g·V with the meter's own.
        let base = (volts - self.open_volts) / self.ohms;
        match self.settle(base, 1.0 / self.ohms) {
            Some(left_over) => {
                let into = base + self.from_devices.dot(&left_over) / self.ohms;
                Ok(into + siemens * volts)
            }
            None => {
                let x = self.in_full(siemens, Drive::Volts(volts))?;
                Ok(x[self.circuit.equations.size()])
            }
        }
    }

    /// Volts that a load reads.
    ///
    /// # Errors
    /// [`SolveError`] where no operating point is found.
    pub fn reading(&mut self, load: Load) -> Result<f64, SolveError> {
        // q = (i − g·(cᵀJ⁻¹b − wᵀr))/(1 + g·R),  v = cᵀJ⁻¹b − wᵀr + R·q
        let yielding = 1.0 + load.siemens * self.ohms;
        let base = (load.amperes - load.siemens * self.open_volts) / yielding;
        match self.settle(base, load.siemens / yielding) {
            Some(left_over) => {
                let open = self.open_volts - self.from_devices.dot(&left_over);
                Ok((open + self.ohms * load.amperes) / yielding)
            }
            None => {
                let x = self.in_full(load.siemens, Drive::Amperes(load.amperes))?;
                let c = self.circuit.equations.port_vector(self.port);
                Ok(c.dot(&x))
            }
        }
    }

    /// Finds the devices' volts, with a current of `base + give·wᵀr` into the port, and gives
    /// what their currents leave over the tangent, `r = f(v) − Gv`. None where the iteration does
    /// not settle.
    fn settle(&mut self, base: f64, give: f64) -> Option<DVector<f64>> {
        let circuit = self.circuit;
        let origin = circuit.driven.select_rows(circuit.rows.iter()) + &self.onto_devices * base;
        // Z' = Z − give·z wᵀ
        let impedances =
            &circuit.impedances - &self.onto_devices * self.from_devices.transpose() * give;
        let reduced = Reduced {
            devices: &circuit.devices,
            before: &[],
            slopes: &circuit.slopes,
            origin: &origin,
            impedances: &impedances,
        };
        let settled = reduced.settle(&self.volts)?;
        self.volts = settled.volts;
        Some(settled.left_over)
    }

    /// Newton's method on all unknowns, from the solved circuit's state carried over.
    fn in_full(&self, siemens: f64, drive: Drive) -> Result<DVector<f64>, SolveError> {
        let equations = &self.circuit.equations;
        let problem = Problem::on_port(equations, self.port, siemens, drive);
        let start = match drive {
            Drive::Amperes(_) => self.circuit.drawn.clone(),
            Drive::Volts(_) => self.circuit.drawn.clone().push(0.0),
        };
        Ok(newton::solve(&problem, &start)?.x)
    }
}

fn singular(equations: &Equations) -> SolveError {
    SolveError::Singular {
        node: equations.name_of_row(0),
        residual: f64::INFINITY,
    }
}
