//! The few nodes that devices touch, by themselves.
//!
//! With `J = A + PᵀGP`, `P` the choice of the devices' nodes, `v = Px` their volts and `G` some
//! slopes of the devices, `F(x) = Ax − b + Pᵀf(v) = 0` is
//!
//! ```text
//! v = P J⁻¹b − Z r(v),   r(v) = f(v) − Gv,   Z = P J⁻¹Pᵀ
//! ```
//!
//! exactly. Newton's method on it asks for `(1 + ZB)⁻¹`, `B = ∂f/∂v − G`; but the slopes of most
//! devices hardly move, so `B` is next to nothing but for a few terminals `s`, and
//!
//! ```text
//! (1 + ZB)⁻¹ = 1 − Z_s N,   N = B_s (1 + Z_ss B_s)⁻¹
//! ```
//!
//! needs no more than a matrix of their number. The circuit round the devices is not known here.

use nalgebra::{DMatrix, DVector};

use crate::device::Device;

/// Steps of Newton's method after which it is given up.
const MOST_STEPS: usize = 40;

/// The last step may be this share of the largest of the devices' volts, plus as many volts: what
/// is left after it is far less.
const SETTLED: f64 = 1e-7;

/// Largest change of a node in one step, in volts.
const LARGEST_STEP: f64 = 100.0;

/// A step is halved until what is left of it passes the test of [`crate::newton`], or to this share.
const LEAST_SHARE: f64 = 1.0 / 64.0;

/// A slope that has moved by less than this, times the resistance at its terminals, counts as
/// where it was while the state is sought.
const ROUGHLY: f64 = 3e-3;

/// The same for the tangent at the state found.
pub(crate) const CLOSELY: f64 = 1e-4;

/// Devices whose terminals' rows count the reduced nodes.
#[derive(Clone, Copy)]
pub(crate) struct Reduced<'a> {
    pub(crate) devices: &'a [Device],
    /// The devices that `G` is of, if some of them now hang on other nodes.
    pub(crate) before: &'a [Device],
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

/// What the devices' moved slopes do.
pub(crate) struct Moved {
    /// Terminals `s` whose slopes have moved, as reduced nodes.
    pub(crate) nodes: Vec<usize>,
    /// `N`
    pub(crate) slopes: DMatrix<f64>,
}

/// `B_s` and `1 + Z_ss B_s`
struct Bent {
    nodes: Vec<usize>,
    slopes: DMatrix<f64>,
    yielding: DMatrix<f64>,
}

/// How far volts are from fitting, `v − P J⁻¹b + Z r(v)`, with `r(v)` and `∂f/∂v` there.
struct Miss {
    volts: DVector<f64>,
    left_over: DVector<f64>,
    slopes: DMatrix<f64>,
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
        let mut here = self.miss(&v);
        for _ in 0..MOST_STEPS {
            let bent = self.bent(&here.slopes, ROUGHLY);
            let factors = bent.yielding.lu();
            // −(1 + ZB)⁻¹ = −1 + Z_s B_s (1 + Z_ss B_s)⁻¹
            let correction = |miss: &DVector<f64>| {
                let mut step = -miss;
                if !bent.nodes.is_empty() {
                    let own = factors.solve(&miss.select_rows(bent.nodes.iter()))?;
                    let answer = &bent.slopes * own;
                    for (node, amperes) in bent.nodes.iter().zip(answer.iter()) {
                        step.axpy(*amperes, &self.impedances.column(*node), 1.0);
                    }
                }
                Some(step)
            };
            let mut step = correction(&here.volts)?;
            let length = step.amax();
            if !length.is_finite() {
                return None;
            }
            step *= (LARGEST_STEP / length).min(1.0);
            step *= self.junction_share(&v, &step);
            let whole = step.amax();
            let mut share = 1.0;
            let next = loop {
                let next = &v + &step * share;
                let there = self.miss(&next);
                let rest = correction(&there.volts)?.amax();
                let part = share * whole / length;
                if rest <= (1.0 - part / 4.0) * length || share < LEAST_SHARE {
                    here = there;
                    break next;
                }
                share /= 2.0;
            };
            v = next;
            if length <= SETTLED * (1.0 + v.amax()) {
                return Some(Settled {
                    left_over: here.left_over,
                    volts: v,
                });
            }
        }
        None
    }

    fn miss(&self, v: &DVector<f64>) -> Miss {
        let (current, slopes) = currents(self.devices, v);
        let left_over = current - self.slopes * v;
        Miss {
            volts: v - self.origin + self.impedances * &left_over,
            left_over,
            slopes,
        }
    }

    /// What the slopes that have moved from `G` by more than so much do.
    pub(crate) fn moved(&self, slopes: &DMatrix<f64>, least: f64) -> Option<Moved> {
        let bent = self.bent(slopes, least);
        let inverse = if bent.nodes.is_empty() {
            bent.yielding
        } else {
            bent.yielding.try_inverse()?
        };
        Some(Moved {
            slopes: bent.slopes * inverse,
            nodes: bent.nodes,
        })
    }

    fn bent(&self, slopes: &DMatrix<f64>, least: f64) -> Bent {
        let size = slopes.nrows();
        let ohms: Vec<f64> = (0..size)
            .map(|node| self.impedances[(node, node)].abs().sqrt())
            .collect();
        let mut moved = vec![false; size];
        // Only terminals of one device have slopes between them.
        for device in self.devices.iter().chain(self.before) {
            for row in device.rows.into_iter().flatten() {
                for column in device.rows.into_iter().flatten() {
                    let change = slopes[(row, column)] - self.slopes[(row, column)];
                    if change.abs() * ohms[row] * ohms[column] > least {
                        moved[row] = true;
                        moved[column] = true;
                    }
                }
            }
        }
        let nodes: Vec<usize> = (0..size).filter(|node| moved[*node]).collect();
        let count = nodes.len();
        let own =
            |of: &DMatrix<f64>| DMatrix::from_fn(count, count, |i, j| of[(nodes[i], nodes[j])]);
        let bend = own(slopes) - own(self.slopes);
        Bent {
            yielding: DMatrix::identity(count, count) + own(self.impedances) * &bend,
            slopes: bend,
            nodes,
        }
    }

    /// About how many volts would stand across a device's first two terminals if it carried
    /// nothing, by the tangent at a state.
    pub(crate) fn volts_without(&self, place: usize, volts: &DVector<f64>) -> Option<f64> {
        let size = volts.len();
        let device = self.devices.get(place)?;
        let others = self.devices.iter().enumerate();
        let others = others.filter(|(other, _)| *other != place);
        let mut slopes = -self.slopes;
        let mut unused = DVector::zeros(size);
        for (_, other) in others {
            other.add_to(volts, &mut unused, &mut slopes);
        }
        let mut into = DVector::zeros(size);
        for (terminal, sign) in [(0, 1.0), (1, -1.0)] {
            if let Some(row) = device.rows[terminal] {
                into[row] += sign;
            }
        }
        let yielding = DMatrix::identity(size, size) + self.impedances * slopes;
        let response = yielding.lu().solve(&(self.impedances * &into))?;
        let ohms = into.dot(&response);
        Some(into.dot(volts) + ohms * device.at(volts).current[0])
    }

    fn junction_share(&self, v: &DVector<f64>, step: &DVector<f64>) -> f64 {
        let allowed = |device: &Device| device.allowed_share(v, step);
        self.devices.iter().map(allowed).fold(1.0, f64::min)
    }
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
