//! The circuit reduced to the rows that tubes and semiconductors touch.
//!
//! With all other rows eliminated ([`crate::star_mesh`]), a mesh of conductances is left among
//! those, and currents `s` from the sources. A meter on any port adds a current `q`, which reaches
//! these rows in shares `t`, and reads `y`:
//!
//! ```text
//! F(u) = Y u + f(u) − s − t q = 0        y = y₀ + tᵀu + ρ q
//! q = i − g y                            or, for a reading that is given, y = V with q unknown
//! ```
//!
//! `Y u` is summed as `Σ gᵢⱼ (uᵢ − uⱼ) + gᵢ₀ uᵢ`, so that a current leaves one row and enters the
//! other with the same digits, however large the conductance.

use nalgebra::{DMatrix, DVector};

use crate::device::Device;

/// The mesh among the rows that devices touch, and the devices.
#[derive(Clone, Debug)]
pub(crate) struct Reduced {
    /// Conductances in siemens between rows, none on the diagonal.
    pub(crate) mesh: DMatrix<f64>,
    /// Conductances to the reference.
    pub(crate) ground: DVector<f64>,
    /// `s`
    pub(crate) sources: DVector<f64>,
    pub(crate) devices: Vec<Device>,
}

/// A port reduced to these rows.
#[derive(Clone, Debug)]
pub(crate) struct Tap {
    /// `t`
    pub(crate) shares: DVector<f64>,
    /// `y₀` in volts
    pub(crate) volts: f64,
    /// `ρ` in ohms
    pub(crate) ohms: f64,
}

/// How a port is driven.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Drive {
    /// A meter of this conductance in siemens, and a current in amperes.
    Load { siemens: f64, amperes: f64 },
    /// The current that makes the port read these volts, an unknown.
    Volts(f64),
}

/// The equations: the circuit, with or without a driven port, and with or without a fall-back's
/// simplification.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Problem<'a> {
    pub(crate) reduced: &'a Reduced,
    pub(crate) drive: Option<(&'a Tap, Drive)>,
    /// A conductance in siemens from every row to its reference.
    pub(crate) stray: f64,
}

/// The equations at a state.
#[derive(Clone, Debug)]
pub(crate) struct Balance {
    /// Residual of each equation: amperes for rows, volts for a given reading.
    pub(crate) residual: DVector<f64>,
    pub(crate) jacobian: DMatrix<f64>,
    /// Rounding error of each residual.
    pub(crate) noise: DVector<f64>,
}

impl Reduced {
    /// The same with this share of every source.
    pub(crate) fn with_sources(&self, share: f64) -> Self {
        let mut eased = self.clone();
        eased.sources *= share;
        for device in &mut eased.devices {
            device.with_sources(share);
        }
        eased
    }
}

impl<'a> Problem<'a> {
    pub(crate) fn new(reduced: &'a Reduced, drive: Option<(&'a Tap, Drive)>) -> Self {
        Problem {
            reduced,
            drive,
            stray: 0.0,
        }
    }

    /// Number of rows that devices touch.
    pub(crate) fn rows(&self) -> usize {
        self.reduced.ground.len()
    }

    /// Number of unknowns.
    pub(crate) fn size(&self) -> usize {
        self.rows() + usize::from(matches!(self.drive, Some((_, Drive::Volts(_)))))
    }

    /// The residuals of the equations.
    pub(crate) fn residual(&self, x: &DVector<f64>) -> DVector<f64> {
        let mut residual = self.linear(x);
        for device in &self.reduced.devices {
            let evaluation = device.at(x);
            for (terminal, row) in device.rows() {
                residual[row] += evaluation.current[terminal];
            }
        }
        residual
    }

    /// The same with derivatives and rounding errors.
    pub(crate) fn balance(&self, x: &DVector<f64>) -> Balance {
        let mut residual = self.linear(x);
        let mut jacobian = self.linear_jacobian();
        let rows = self.rows();
        let mut noise = DVector::zeros(x.len());
        for row in 0..rows {
            noise[row] = self.reduced.sources[row].abs();
        }
        for device in &self.reduced.devices {
            let volts = device.terminal_volts(x);
            let evaluation = device.add_to(x, &mut residual, &mut jacobian);
            for (terminal, row) in device.rows() {
                // A terminal's volts are known to rounding, and so is what its slope makes of it.
                let slopes = evaluation.conductance[terminal].iter().zip(volts);
                let moved: f64 = slopes.map(|(slope, volts)| (slope * volts).abs()).sum();
                noise[row] += evaluation.current[terminal].abs() + moved;
            }
        }
        for column in 0..x.len() {
            for row in 0..x.len() {
                noise[row] += (jacobian[(row, column)] * x[column]).abs();
            }
        }
        noise *= f64::EPSILON;
        Balance {
            residual,
            jacobian,
            noise,
        }
    }

    fn linear(&self, x: &DVector<f64>) -> DVector<f64> {
        let reduced = self.reduced;
        let rows = self.rows();
        let mut residual = DVector::zeros(x.len());
        for row in 0..rows {
            residual[row] = (reduced.ground[row] + self.stray) * x[row] - reduced.sources[row];
        }
        for column in 0..rows {
            for row in 0..rows {
                residual[row] += reduced.mesh[(row, column)] * (x[row] - x[column]);
            }
        }
        if let Some((tap, drive)) = self.drive {
            let across: f64 = tap.volts + dot_first(&tap.shares, x);
            let current = match drive {
                Drive::Load { siemens, amperes } => {
                    (amperes - siemens * across) / (1.0 + siemens * tap.ohms)
                }
                Drive::Volts(volts) => {
                    residual[rows] = across + tap.ohms * x[rows] - volts;
                    x[rows]
                }
            };
            for row in 0..rows {
                residual[row] -= tap.shares[row] * current;
            }
        }
        residual
    }

    pub(crate) fn linear_jacobian(&self) -> DMatrix<f64> {
        let reduced = self.reduced;
        let rows = self.rows();
        let size = self.size();
        let mut jacobian = DMatrix::zeros(size, size);
        for column in 0..rows {
            let mut sum = 0.0;
            for row in 0..rows {
                let siemens = reduced.mesh[(row, column)];
                jacobian[(row, column)] = -siemens;
                sum += siemens;
            }
            jacobian[(column, column)] = sum + reduced.ground[column] + self.stray;
        }
        match self.drive {
            Some((tap, Drive::Load { siemens, .. })) => {
                let siemens = siemens / (1.0 + siemens * tap.ohms);
                for column in 0..rows {
                    for row in 0..rows {
                        jacobian[(row, column)] += siemens * tap.shares[row] * tap.shares[column];
                    }
                }
            }
            Some((tap, Drive::Volts(_))) => {
                for row in 0..rows {
                    jacobian[(row, rows)] = -tap.shares[row];
                    jacobian[(rows, row)] = tap.shares[row];
                }
                jacobian[(rows, rows)] = tap.ohms;
            }
            None => {}
        }
        jacobian
    }

    /// The largest entry among the rows: volts of a state or step.
    pub(crate) fn norm(&self, x: &DVector<f64>) -> f64 {
        x.iter()
            .take(self.rows())
            .fold(0.0, |largest: f64, value| largest.max(value.abs()))
    }

    /// The largest volts of any device's terminal.
    pub(crate) fn largest_volts(&self, x: &DVector<f64>) -> f64 {
        let each = self.reduced.devices.iter();
        let each = each.flat_map(|device| device.terminal_volts(x));
        each.fold(0.0, |largest: f64, volts| largest.max(volts.abs()))
    }

    /// The share of a step that every junction's limiter allows.
    pub(crate) fn junction_share(&self, x: &DVector<f64>, step: &DVector<f64>) -> f64 {
        self.reduced
            .devices
            .iter()
            .map(|device| device.allowed_share(x, step))
            .fold(1.0, f64::min)
    }

    /// The row with the largest residual beside its rounding error, the device that carries most
    /// current there, and the residual.
    pub(crate) fn worst(&self, x: &DVector<f64>) -> (usize, String, f64) {
        let balance = self.balance(x);
        let over = |row: &usize| balance.residual[*row].abs() / balance.noise[*row].max(1e-300);
        let row = (0..self.rows())
            .max_by(|a, b| over(a).total_cmp(&over(b)))
            .unwrap_or(0);
        let device = self.reduced.devices.iter();
        let device = device
            .filter_map(|device| {
                let (terminal, _) = device.rows().find(|(_, at)| *at == row)?;
                Some((device.at(x).current[terminal].abs(), &device.designator))
            })
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map_or_else(
                || "none".to_owned(),
                |(_, designator)| designator.to_string(),
            );
        (row, device, balance.residual[row])
    }
}

impl Balance {
    /// Whether all residuals are within their rounding errors.
    pub(crate) fn is_met(&self) -> bool {
        let each = self.residual.iter().zip(self.noise.iter());
        each.into_iter()
            .all(|(miss, noise)| miss.abs() <= 4.0 * noise)
    }
}

/// The inner product with the first entries of a longer vector.
fn dot_first(a: &DVector<f64>, b: &DVector<f64>) -> f64 {
    a.iter().zip(b.iter()).map(|(a, b)| a * b).sum()
}
