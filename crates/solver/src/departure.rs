//! How far tubes and semiconductors depart from a solved state when something near them changes.
//!
//! At a solved state `u₀` with slopes `G` of the devices let `Z = (Y + G)⁻¹`. A change that by
//! itself, with the devices straight, would move their rows by `δ₀` moves them by
//!
//! ```text
//! δ = δ₀ − Z r(δ),   r(δ) = f(u₀ + δ) − f(u₀) − G δ
//! ```
//!
//! exactly. Newton's method on it asks for `(1 + ZB)⁻¹`, `B = ∂f/∂u − G`; but the slopes of most
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

/// Largest change of a row in one step, in volts.
const LARGEST_STEP: f64 = 100.0;

/// A step is halved until what is left of it passes the test of [`crate::newton`], or to this share.
const LEAST_SHARE: f64 = 1.0 / 64.0;

/// Steps of less than a quarter after which it is given up.
const MOST_CRAWLED: usize = 2;

/// A slope that has moved by more than this, times the resistance at its terminals, is met exactly;
/// what the others answer is left to the iteration, which they slow.
const STRONG: f64 = 3e-3;

/// The same in a circuit of more than [`MANY_ROWS`]. All tubes on a rail move a little when one of
/// them does, and to meet each exactly costs the cube of their number.
const STRONG_AMONG_MANY: f64 = 0.03;

/// See [`STRONG_AMONG_MANY`].
const MANY_ROWS: usize = 60;

/// A slope that has moved by less than this counts as where it was in the tangent of an altered
/// circuit.
const CLOSELY: f64 = 1e-5;

/// Rounds of iteration for a tangent, and how closely it is met, as a share.
const MOST_ROUNDS: usize = 40;

/// See [`MOST_ROUNDS`].
const TANGENT: f64 = 1e-9;

/// The last step may be this share of the largest volts, plus as many volts, where the state found
/// is an answer: what is left after it is at least a hundred times less.
pub(crate) const ANSWER: f64 = 1e-10;

/// The same where it is one of thousands of trials.
pub(crate) const TRIAL: f64 = 1e-7;

/// Devices near a solved state.
#[derive(Clone, Copy)]
pub(crate) struct Departure<'a> {
    pub(crate) devices: &'a [Device],
    /// The devices that `G` is of, if some of them now hang on other rows.
    pub(crate) before: &'a [Device],
    /// `u₀`
    pub(crate) from: &'a DVector<f64>,
    /// `f(u₀)`
    pub(crate) currents: &'a DVector<f64>,
    /// `G`
    pub(crate) jacobian: &'a DMatrix<f64>,
    /// `δ₀`
    pub(crate) origin: &'a DVector<f64>,
    /// `Z`
    pub(crate) impedances: &'a DMatrix<f64>,
}

/// Where the devices arrive.
pub(crate) struct Arrived {
    /// `u₀ + δ`
    pub(crate) volts: DVector<f64>,
    /// `r(δ)`
    pub(crate) left_over: DVector<f64>,
    /// `∂f/∂u` there.
    pub(crate) jacobian: DMatrix<f64>,
    pub(crate) steps: usize,
}

/// What the devices' moved slopes do.
pub(crate) struct Moved {
    /// Terminals `s` whose slopes have moved, as rows.
    pub(crate) rows: Vec<usize>,
    /// `N`
    pub(crate) slopes: DMatrix<f64>,
    /// Whether the determinant of the equations has changed its sign.
    pub(crate) turned: bool,
}

/// `B_s` and `1 + Z_ss B_s`
struct MovedSlopes {
    rows: Vec<usize>,
    slopes: DMatrix<f64>,
    yielding: DMatrix<f64>,
}

/// How far a departure is from fitting, `δ − δ₀ + Z r(δ)`, with `r(δ)` and `∂f/∂u` there.
struct Miss {
    volts: DVector<f64>,
    left_over: DVector<f64>,
    jacobian: DMatrix<f64>,
}

impl Moved {
    /// `v − Z_sᵀNᵀv_s`
    fn answer(&self, impedances: &DMatrix<f64>, vector: &mut DVector<f64>) {
        let answer = self.slopes.tr_mul(&vector.select_rows(self.rows.iter()));
        for (row, amperes) in self.rows.iter().zip(answer.iter()) {
            for column in 0..vector.len() {
                vector[column] -= amperes * impedances[(*row, column)];
            }
        }
    }
}

impl Departure<'_> {
    /// Where the devices arrive, starting from some volts; none where the iteration does not
    /// settle.
    pub(crate) fn settle(&self, start: &DVector<f64>, settled: f64) -> Option<Arrived> {
        let mut departure = start - self.from;
        let mut here = self.miss(&departure);
        if start.is_empty() {
            return Some(Arrived {
                volts: start.clone(),
                left_over: here.left_over,
                jacobian: here.jacobian,
                steps: 1,
            });
        }
        let mut crawled = 0;
        for steps in 1..=MOST_STEPS {
            let moved = self.moved_slopes(&here.jacobian, self.strong());
            let factors = moved.yielding.lu();
            // −(1 + ZB)⁻¹ = −1 + Z_s B_s (1 + Z_ss B_s)⁻¹
            let correction = |miss: &DVector<f64>| {
                let mut step = -miss;
                if !moved.rows.is_empty() {
                    let own = factors.solve(&miss.select_rows(moved.rows.iter()))?;
                    let answer = &moved.slopes * own;
                    for (row, amperes) in moved.rows.iter().zip(answer.iter()) {
                        step.axpy(*amperes, &self.impedances.column(*row), 1.0);
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
            step *= self.junction_share(&departure, &step);
            let whole = step.amax();
            let mut share = 1.0;
            let next = loop {
                let next = &departure + &step * share;
                let there = self.miss(&next);
                let rest = correction(&there.volts)?.amax();
                let part = share * whole / length;
                if rest <= (1.0 - part / 4.0) * length || share < LEAST_SHARE {
                    here = there;
                    break next;
                }
                share /= 2.0;
            };
            departure = next;
            // Far from the solved state, where slopes are others altogether, Newton's method on the
            // whole gets there in fewer and cheaper steps.
            crawled += usize::from(share < 0.25);
            if crawled > MOST_CRAWLED {
                return None;
            }
            let volts = self.from + &departure;
            if length <= settled * (1.0 + volts.amax()) {
                return Some(Arrived {
                    left_over: here.left_over,
                    jacobian: here.jacobian,
                    volts,
                    steps,
                });
            }
        }
        None
    }

    fn strong(&self) -> f64 {
        if self.from.len() > MANY_ROWS {
            STRONG_AMONG_MANY
        } else {
            STRONG
        }
    }

    fn miss(&self, departure: &DVector<f64>) -> Miss {
        let (current, jacobian) = currents(self.devices, &(self.from + departure));
        let left_over = current - self.currents - self.jacobian * departure;
        Miss {
            volts: departure - self.origin + self.impedances * &left_over,
            left_over,
            jacobian,
        }
    }

    /// What the slopes do that have moved from `G`.
    pub(crate) fn moved(&self, jacobian: &DMatrix<f64>) -> Option<Moved> {
        self.exactly(jacobian, CLOSELY)
    }

    fn exactly(&self, jacobian: &DMatrix<f64>, least: f64) -> Option<Moved> {
        let moved = self.moved_slopes(jacobian, least);
        if moved.rows.is_empty() {
            return Some(Moved {
                slopes: moved.slopes,
                rows: moved.rows,
                turned: false,
            });
        }
        let factors = moved.yielding.lu();
        Some(Moved {
            turned: factors.determinant() < 0.0,
            slopes: moved.slopes * factors.try_inverse()?,
            rows: moved.rows,
        })
    }

    /// `λ = (Y + G + B)⁻ᵀt` from `w = Zᵀt`, and whether the determinant of the equations has changed
    /// its sign on the way. None where that is singular.
    pub(crate) fn adjoint(
        &self,
        jacobian: &DMatrix<f64>,
        straight: &DVector<f64>,
    ) -> Option<(DVector<f64>, bool)> {
        // λ = w − Zᵀ Bᵀ λ, the strong entries of B met exactly in every round.
        let change = jacobian - self.jacobian;
        let strong = self.exactly(jacobian, self.strong())?;
        let enough = TANGENT * straight.amax();
        let mut adjoint = straight.clone();
        for _ in 0..MOST_ROUNDS {
            let answered = change.tr_mul(&adjoint);
            let mut miss = straight - &adjoint - self.impedances.tr_mul(&answered);
            strong.answer(self.impedances, &mut miss);
            adjoint += &miss;
            if miss.amax() <= enough {
                return Some((adjoint, strong.turned));
            }
        }
        let all = self.exactly(jacobian, 0.0)?;
        let mut adjoint = straight.clone();
        all.answer(self.impedances, &mut adjoint);
        Some((adjoint, all.turned))
    }

    fn moved_slopes(&self, jacobian: &DMatrix<f64>, least: f64) -> MovedSlopes {
        let size = jacobian.nrows();
        let ohms: Vec<f64> = (0..size)
            .map(|row| self.impedances[(row, row)].abs().sqrt())
            .collect();
        let mut moved = vec![false; size];
        // Only terminals of one device have slopes between them.
        for device in self.devices.iter().chain(self.before) {
            for (_, row) in device.rows() {
                for (_, column) in device.rows() {
                    let change = jacobian[(row, column)] - self.jacobian[(row, column)];
                    if change.abs() * ohms[row] * ohms[column] > least {
                        moved[row] = true;
                        moved[column] = true;
                    }
                }
            }
        }
        let rows: Vec<usize> = (0..size).filter(|row| moved[*row]).collect();
        let count = rows.len();
        let own = |of: &DMatrix<f64>| DMatrix::from_fn(count, count, |i, j| of[(rows[i], rows[j])]);
        let slopes = own(jacobian) - own(self.jacobian);
        MovedSlopes {
            yielding: DMatrix::identity(count, count) + own(self.impedances) * &slopes,
            slopes,
            rows,
        }
    }

    /// About how many volts would stand across a device's first two terminals if it carried
    /// nothing, by the tangent at a state.
    pub(crate) fn volts_without(&self, place: usize, volts: &DVector<f64>) -> Option<f64> {
        let size = volts.len();
        let device = self.devices.get(place)?;
        let others = self.devices.iter().enumerate();
        let others = others.filter(|(other, _)| *other != place);
        let mut slopes = -self.jacobian;
        let mut unused = DVector::zeros(size);
        for (_, other) in others {
            other.add_to(volts, &mut unused, &mut slopes);
        }
        let mut into = DVector::zeros(size);
        for (terminal, row) in device.rows() {
            match terminal {
                0 => into[row] += 1.0,
                1 => into[row] -= 1.0,
                _ => {}
            }
        }
        let yielding = DMatrix::identity(size, size) + self.impedances * slopes;
        let response = yielding.lu().solve(&(self.impedances * &into))?;
        let ohms = into.dot(&response);
        Some(device.volts_across(volts) + ohms * device.at(volts).current[0])
    }

    fn junction_share(&self, departure: &DVector<f64>, step: &DVector<f64>) -> f64 {
        let volts = self.from + departure;
        let allowed = |device: &Device| device.allowed_share(&volts, step);
        self.devices.iter().map(allowed).fold(1.0, f64::min)
    }
}

/// Currents into the devices' rows, and their derivatives.
pub(crate) fn currents(devices: &[Device], volts: &DVector<f64>) -> (DVector<f64>, DMatrix<f64>) {
    let size = volts.len();
    let mut current = DVector::zeros(size);
    let mut jacobian = DMatrix::zeros(size, size);
    for device in devices {
        device.add_to(volts, &mut current, &mut jacobian);
    }
    (current, jacobian)
}
