//! How large a fault is: the sizes that it may have, how likely each is beforehand, and the one that is fitted.
//!
//! Within which bounds they lie in a part is `bounds`' business.

/// In which unit a fault's size counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SizeUnit {
    /// Ohms.
    Ohms,
    /// Volts.
    Volts,
    /// Amperes.
    Amperes,
    /// A share of what a part in order gives.
    Share,
}

/// How large a fitted fault is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// What the part should have, in the unit; none where it should have nothing of the kind.
    pub from: Option<f64>,
    /// What the readings make most likely.
    pub to: f64,
    /// Limits of the middle 68 % of what the readings leave open.
    pub low: f64,
    /// See `low`.
    pub high: f64,
    /// The unit.
    pub unit: SizeUnit,
}

/// Sizes that a fault may have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// What the part should have; none where it should have nothing of the kind.
    pub from: Option<f64>,
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
    /// Natural logarithms off the sound end about which most lie, and whether that end is the least;
    /// none where all are equally likely in their logarithm.
    pub near: Option<(f64, bool)>,
    /// The unit.
    pub unit: SizeUnit,
}

/// Share of faults that lie anywhere between the ends, beside those that lie near the sound one.
const ANYWHERE: f64 = 0.25;

impl Sizes {
    /// Of a broken connection: what stands for it is known to some powers of ten only. The unit is
    /// a broken connection's own resistance.
    pub(crate) const BROKEN: Sizes = Sizes {
        from: None,
        least: 0.02,
        most: 1e3,
        near: None,
        unit: SizeUnit::Share,
    };

    /// Logarithm of how dense sizes are in their logarithm, there.
    pub(crate) fn log_density(&self, log: f64) -> f64 {
        let (low, high) = (self.least.ln(), self.most.ln());
        let width = high - low;
        let Some((scale, rises)) = self.near else {
            return -width.ln();
        };
        let off = (if rises { log - low } else { high - log }).max(0.0) / scale;
        // x e⁻ˣ: a part that is just out of its tolerance brings no set to a bench. What the law
        // leaves beyond the far end is no size at all.
        let end = width / scale;
        let within = 1.0 - (1.0 + end) * (-end).exp();
        let near = off * (-off).exp() / (scale * within);
        (ANYWHERE / width + (1.0 - ANYWHERE) * near).ln()
    }

    /// The same for looking along them: of a narrow range a few are enough, for whatever follows it
    /// follows nearly a parabola there.
    pub(crate) fn log_sizes(&self, count: usize) -> Vec<f64> {
        const FEW: usize = 3;
        let narrow = self.most < 1.5 * self.least;
        self.spaced(if narrow { FEW.min(count) } else { count })
    }

    /// So many sizes, evenly apart in their logarithm, both ends among them.
    pub(crate) fn spaced(&self, count: usize) -> Vec<f64> {
        let (low, high) = (self.least.ln(), self.most.ln());
        let step = (high - low) / (count.max(2) - 1) as f64;
        (0..count.max(2)).map(|k| low + step * k as f64).collect()
    }
}

#[cfg(test)]
#[path = "fault_size_tests.rs"]
mod tests;
