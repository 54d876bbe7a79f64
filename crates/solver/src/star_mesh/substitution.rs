//! Currents and volts carried through an elimination.
//!
//! An eliminated network and currents into its nodes come in; what of them reaches the kept nodes, and the volts of
//! all nodes, go out. In which order the nodes were eliminated, and why, is not known here.

use nalgebra::DVector;

use super::StarMesh;

/// A sum with its rounding error (D. E. Knuth, "The Art of Computer Programming" 2, 4.2.2, theorem
/// B; from memory).
#[derive(Clone, Copy, Debug, Default)]
struct Sum {
    value: f64,
    error: f64,
}

impl Sum {
    fn value(&self) -> f64 {
        self.value + self.error
    }

    fn add(&mut self, part: f64) {
        let sum = self.value + part;
        let back = sum - self.value;
        self.error += (self.value - (sum - back)) + (part - back);
        self.value = sum;
    }
}

impl StarMesh {
    /// Forward elimination of currents into all nodes: `bᵢ += bₖ gᵢ/S`.
    pub(crate) fn forward(&self, currents: &mut DVector<f64>) {
        for (k, node) in self.order.iter().enumerate() {
            let current = currents[*node];
            if current == 0.0 {
                continue;
            }
            for star in self.starts[k]..self.starts[k + 1] {
                currents[self.ends[star]] += current * self.shares[star];
            }
        }
    }

    /// The same with compensated sums. Two large sources that oppose each other far from the reference
    /// inject and draw the same large current; only their small difference matters. So sums keep their
    /// rounding errors, and the strongest neighbour of a node gets the rest that the others leave
    /// instead of its own share.
    pub(crate) fn forward_whole(
        &self,
        currents: impl Iterator<Item = (usize, f64)>,
    ) -> DVector<f64> {
        let mut sums = vec![Sum::default(); self.order.len() + self.kept.len()];
        for (node, current) in currents {
            sums[node].add(current);
        }
        for (k, node) in self.order.iter().enumerate() {
            let sum = sums[*node];
            if sum.value() == 0.0 {
                continue;
            }
            let star = self.starts[k]..self.starts[k + 1];
            let strongest = star
                .clone()
                .max_by(|a, b| self.shares[*a].total_cmp(&self.shares[*b]))
                .filter(|star| self.shares[*star] > self.to_ground[k]);
            let mut rest = sum;
            rest.add(-sum.value() * self.to_ground[k]);
            for star in star.filter(|star| Some(*star) != strongest) {
                let part = sum.value() * self.shares[star];
                sums[self.ends[star]].add(part);
                rest.add(-part);
            }
            if let Some(strongest) = strongest {
                sums[self.ends[strongest]].add(rest.value);
                sums[self.ends[strongest]].add(rest.error);
            }
        }
        DVector::from_iterator(sums.len(), sums.iter().map(Sum::value))
    }

    /// Volts of all nodes from forward-eliminated currents and the volts of the kept nodes:
    /// `uₖ = bₖ/S + Σ uᵢ gᵢ/S`.
    pub(crate) fn backward(&self, forwarded: &DVector<f64>, kept: &DVector<f64>) -> DVector<f64> {
        let mut volts = DVector::zeros(forwarded.len());
        for (node, value) in self.kept.iter().zip(kept.iter()) {
            volts[*node] = *value;
        }
        for (k, node) in self.order.iter().enumerate().rev() {
            let mut sum = forwarded[*node] / self.sums[k];
            for star in self.starts[k]..self.starts[k + 1] {
                sum += volts[self.ends[star]] * self.shares[star];
            }
            volts[*node] = sum;
        }
        volts
    }

    /// `aᵀb` through the eliminated nodes, both after the forward elimination: the volts of the currents
    /// `b` across the port `a` while the kept nodes are at zero.
    pub(crate) fn across(&self, a: &DVector<f64>, b: &DVector<f64>) -> f64 {
        let each = self.order.iter().zip(&self.sums);
        each.map(|(node, sum)| a[*node] * b[*node] / sum).sum()
    }

    /// The part of a forwarded vector that is left at the kept nodes.
    pub(crate) fn at_kept(&self, forwarded: &DVector<f64>) -> DVector<f64> {
        forwarded.select_rows(self.kept.iter())
    }
}
