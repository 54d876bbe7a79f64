//! The few nodes that devices touch, by themselves.
//!
//! With `J = A + PᵀGP`, `P` the choice of the devices' nodes, `v = Px` their volts and `G` some
//! slopes of the devices, `F(x) = Ax − b + Pᵀf(v) = 0` is
//!
//! ```text
//! v = P J⁻¹b − Z r(v),   r(v) = f(v) − Gv,   Z = P J⁻¹Pᵀ
//! ```
//!
//! exactly. Where the slopes have hardly moved since `G` was taken this contracts as it stands;
//! else Newton's method finds `v`. The circuit round the devices is not known here.

use nalgebra::{DMatrix, DVector};

use crate::device::Device;

/// Steps of Newton's method after which it is given up.
const MOST_STEPS: usize = 40;

/// The last step may be this share of the largest of the devices' volts, plus as many volts: what
/// is left after it is its square, or a third of it.
const SETTLED: f64 = 1e-7;

/// Largest change of a node in one step, in volts.
const LARGEST_STEP: f64 = 100.0;

/// Steps on the slopes `G` after which Newton's method takes over.
const PLAIN_STEPS: usize = 12;

/// Change of a node in one such step, in volts, beyond which the slopes have surely moved.
const LARGEST_PLAIN_STEP: f64 = 20.0;

/// A step this many times as long as the one before is too long: Newton's method would be faster.
const LEAST_CONTRACTION: f64 = 0.3;

/// Devices whose terminals' rows count the reduced nodes.
pub(crate) struct Reduced<'a> {
    pub(crate) devices: &'a [Device],
    /// `G`
    pub(crate) slopes: &'a DMatrix<f64>,
    /// `P J⁻¹b`
    pub(crate) origin: &'a DVector<f64>,
    /// `Z`
    pub(crate) impedances: &'a DMatrix<f64>,
}

/// Where the devices settle.
pub(crate) struct Settled {
    /// `v`
    pub(crate) volts: DVector<f64>,
    /// `r(v)`
    pub(crate) left_over: DVector<f64>,
}

impl Reduced<'_> {
    /// The devices' volts, starting from some; none where the iteration does not settle.
    pub(crate) fn settle(&self, start: &DVector<f64>) -> Option<Settled> {
        let mut v = start.clone();
        if v.is_empty() {
            return Some(Settled {
                left_over: v.clone(),
                volts: v,
            });
        }
        if self.contract(&mut v) || self.newton(&mut v) {
            return Some(Settled {
                left_over: self.left_over(&v),
                volts: v,
            });
        }
        None
    }

    /// `v ← P J⁻¹b − Z r(v)`, as long as it contracts well.
    fn contract(&self, v: &mut DVector<f64>) -> bool {
        let mut before = f64::INFINITY;
        for _ in 0..PLAIN_STEPS {
            let step = -self.miss(v, &self.left_over(v));
            let length = step.amax();
            let short = length <= LARGEST_PLAIN_STEP && length <= LEAST_CONTRACTION * before;
            if !short || self.junction_share(v, &step) < 1.0 {
                return false;
            }
            *v += step;
            if settled(length, v) {
                return true;
            }
            before = length;
        }
        false
    }

    fn newton(&self, v: &mut DVector<f64>) -> bool {
        let size = v.len();
        for _ in 0..MOST_STEPS {
            let (current, slopes) = currents(self.devices, v);
            let miss = self.miss(v, &(current - self.slopes * &*v));
            // 1 + Z(∂f/∂v − G)
            let jacobian = DMatrix::identity(size, size)
                + times_sparse(self.impedances, &(slopes - self.slopes));
            let Some(mut step) = jacobian.lu().solve(&-miss) else {
                return false;
            };
            let length = step.amax();
            if !length.is_finite() {
                return false;
            }
            let share = (LARGEST_STEP / length).min(1.0);
            step *= share;
            let junctions = self.junction_share(v, &step);
            *v += step * junctions;
            if settled(length, v) {
                return true;
            }
        }
        false
    }

    fn miss(&self, v: &DVector<f64>, left_over: &DVector<f64>) -> DVector<f64> {
        v - self.origin + self.impedances * left_over
    }

    fn left_over(&self, v: &DVector<f64>) -> DVector<f64> {
        let mut current = -(self.slopes * v);
        for device in self.devices {
            let flow = device.at(v).current;
            for (terminal, row) in device.rows.iter().enumerate() {
                if let Some(row) = row {
                    current[*row] += flow[terminal];
                }
            }
        }
        current
    }

    fn junction_share(&self, v: &DVector<f64>, step: &DVector<f64>) -> f64 {
        let allowed = |device: &Device| device.allowed_share(v, step);
        self.devices.iter().map(allowed).fold(1.0, f64::min)
    }
}

fn settled(length: f64, v: &DVector<f64>) -> bool {
    length <= SETTLED * (1.0 + v.amax())
}

/// Currents into the devices' nodes, and their derivatives.
pub(crate) fn currents(devices: &[Device], volts: &DVector<f64>) -> (DVector<f64>, DMatrix<f64>) {
    let size = volts.len();
    let mut current = DVector::zeros(size);
    let mut slopes = DMatrix::zeros(size, size);
    for device in devices {
        device.add_to(volts, &mut current, &mut slopes);
    }
    (current, slopes)
}

/// A product whose right factor is nearly empty: slopes join the few terminals of one device.
pub(crate) fn times_sparse(left: &DMatrix<f64>, right: &DMatrix<f64>) -> DMatrix<f64> {
    let mut product = DMatrix::zeros(left.nrows(), right.ncols());
    for (column, entries) in right.column_iter().enumerate() {
        for (row, value) in entries.iter().enumerate().filter(|(_, v)| **v != 0.0) {
            product
                .column_mut(column)
                .axpy(*value, &left.column(row), 1.0);
        }
    }
    product
}

/// The rows of the nodes that devices touch, rising, and the devices with their terminals counted
/// among them.
pub(crate) fn reduced(devices: &[Device]) -> (Vec<usize>, Vec<Device>) {
    let touched = |device: &Device| device.rows.into_iter().flatten();
    let mut rows: Vec<usize> = devices.iter().flat_map(touched).collect();
    rows.sort_unstable();
    rows.dedup();
    let within = |row: usize| rows.binary_search(&row).ok();
    let devices = devices.iter().map(|device| device.with_rows(within));
    let devices = devices.collect();
    (rows, devices)
}
