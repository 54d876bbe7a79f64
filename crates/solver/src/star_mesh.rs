//! Elimination of the nodes of a resistive network, one after the other.
//!
//! A node with conductances `g₁ … gₙ` to its neighbours and `g₀` to the reference is taken out of
//! the network, and its neighbours are joined instead: the star becomes a mesh (A. Rosen, "A new
//! network theorem", J. IEE 62, 1924, 916-918; from memory).
//!
//! ```text
//! S = g₀ + Σ gᵢ        gᵢⱼ += gᵢ gⱼ / S        gᵢ₀ += gᵢ g₀ / S        bᵢ += bₖ gᵢ / S
//! ```
//!
//! This is Gaussian elimination on the network's matrix, but with the conductance to the reference
//! kept as a number of its own and not as what is left over on a diagonal. Nothing is ever
//! subtracted, so each conductance comes out right to a few units of its last place, whatever
//! decades the network spans (W. K. Grassmann, M. I. Taksar, D. P. Heyman, "Regenerative analysis
//! and steady state distributions for Markov chains", Operations Research 33, 1985, 1107-1116, for
//! the same rule on Markov chains; from memory).
//!
//! Nodes go out in the order of fewest neighbours. Some may be kept, for whatever is not a
//! resistance hangs on them; what is left is the mesh among those.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use nalgebra::{DMatrix, DVector};

/// So many nodes that are kept are many.
const MANY: usize = 96;

/// A node that joins more than this many is then kept with them.
const HUB: usize = 16;

/// A resistive network.
#[derive(Clone, Debug, Default)]
pub(crate) struct Mesh {
    /// Conductances in siemens between two nodes.
    pub(crate) between: Vec<(usize, usize, f64)>,
    /// Conductance in siemens of each node to the reference.
    pub(crate) ground: Vec<f64>,
}

/// A resistive network with most of its nodes eliminated.
#[derive(Clone, Debug)]
pub(crate) struct StarMesh {
    /// Eliminated nodes, in order.
    order: Vec<usize>,
    /// Where the star of each begins in `ends` and `shares`.
    starts: Vec<usize>,
    ends: Vec<usize>,
    /// `gᵢ/S`
    shares: Vec<f64>,
    /// `g₀/S`
    to_ground: Vec<f64>,
    /// `S`
    sums: Vec<f64>,
    /// Nodes that are kept.
    kept: Vec<usize>,
    /// Conductances in siemens among them.
    pub(crate) mesh: DMatrix<f64>,
    /// Their conductances to the reference.
    pub(crate) ground: DVector<f64>,
}

/// A node that nothing joins to the reference or to a node that is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct IsolatedNode(pub(crate) usize);

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

/// The neighbours of a node, rising, with the conductances to them.
type Neighbours = Vec<(usize, f64)>;

impl StarMesh {
    /// Eliminates all nodes but those to be kept. Where those are many, the nodes that join many
    /// stay too, for without them each would be joined to each.
    ///
    /// # Errors
    /// [`IsolatedNode`] if a node has no conductance at all.
    pub(crate) fn new(network: &Mesh, kept: &[usize]) -> Result<Self, IsolatedNode> {
        let neighbours = neighbours(network);
        let most = if kept.len() > MANY { HUB } else { usize::MAX };
        let mut waits = vec![true; neighbours.len()];
        for node in kept {
            waits[*node] = false;
        }
        let mut queue: BinaryHeap<Reverse<(usize, usize)>> = (0..neighbours.len())
            .filter(|node| waits[*node])
            .map(|node| Reverse((neighbours[node].len(), node)))
            .collect();
        let next = move |neighbours: &[Neighbours], touched: &[usize]| {
            for node in touched.iter().filter(|node| waits[**node]) {
                queue.push(Reverse((neighbours[*node].len(), *node)));
            }
            loop {
                let Reverse((degree, node)) = queue.pop()?;
                // What was queued before its degree changed is out of date.
                if waits[node] && neighbours[node].len() == degree {
                    if degree > most {
                        return None;
                    }
                    waits[node] = false;
                    return Some(node);
                }
            }
        };
        Self::eliminate(network.ground.clone(), neighbours, kept, next)
    }

    /// The nodes that are kept, rising.
    pub(crate) fn kept(&self) -> &[usize] {
        &self.kept
    }

    /// The same network with other numbers, eliminated in the same order.
    ///
    /// # Errors
    /// As [`StarMesh::new`].
    pub(crate) fn like(&self, network: &Mesh) -> Result<Self, IsolatedNode> {
        let mut order = self.order.iter().copied();
        let next = move |_: &[Neighbours], _: &[usize]| order.next();
        Self::eliminate(
            network.ground.clone(),
            neighbours(network),
            &self.kept,
            next,
        )
    }

    fn eliminate(
        mut ground: Vec<f64>,
        mut neighbours: Vec<Neighbours>,
        kept: &[usize],
        mut next: impl FnMut(&[Neighbours], &[usize]) -> Option<usize>,
    ) -> Result<Self, IsolatedNode> {
        let mut found = StarMesh {
            order: Vec::with_capacity(neighbours.len() - kept.len()),
            starts: vec![0],
            ends: Vec::new(),
            shares: Vec::new(),
            to_ground: Vec::new(),
            sums: Vec::new(),
            kept: Vec::new(),
            mesh: DMatrix::zeros(0, 0),
            ground: DVector::zeros(0),
        };
        let mut stays = vec![true; neighbours.len()];
        let mut touched: Vec<usize> = Vec::new();
        let mut joined: Neighbours = Vec::new();
        while let Some(node) = next(&neighbours, &touched) {
            let star = std::mem::take(&mut neighbours[node]);
            let sum = star.iter().map(|(_, g)| g).sum::<f64>() + ground[node];
            if !(sum > 0.0 && sum.is_finite()) {
                return Err(IsolatedNode(node));
            }
            for (end, g) in &star {
                let share = g / sum;
                ground[*end] += share * ground[node];
                merge(&neighbours[*end], (node, *end), (share, &star), &mut joined);
                std::mem::swap(&mut neighbours[*end], &mut joined);
                found.ends.push(*end);
                found.shares.push(share);
            }
            stays[node] = false;
            found.order.push(node);
            found.sums.push(sum);
            found.to_ground.push(ground[node] / sum);
            found.starts.push(found.ends.len());
            touched.clear();
            touched.extend(star.iter().map(|(end, _)| *end));
        }
        let kept: Vec<usize> = (0..ground.len()).filter(|node| stays[*node]).collect();
        let mut place = vec![usize::MAX; ground.len()];
        for (at, node) in kept.iter().enumerate() {
            place[*node] = at;
        }
        found.mesh = DMatrix::zeros(kept.len(), kept.len());
        found.ground = DVector::zeros(kept.len());
        for (at, node) in kept.iter().enumerate() {
            found.ground[at] = ground[*node];
            for (end, g) in &neighbours[*node] {
                found.mesh[(at, place[*end])] = *g;
            }
        }
        found.kept = kept;
        Ok(found)
    }

    /// Carries currents into all nodes on to those that are kept: `bᵢ += bₖ gᵢ/S`.
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

    /// The same without losing any current on the way. Two strong sources that work against each
    /// other far from the reference push in and draw out the same large current; what counts is
    /// the little that is left over. So sums keep their rounding errors, and the strongest
    /// neighbour of a node gets what the others leave, not its own share.
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

    /// Volts of all nodes from currents carried forward and the volts of the kept ones:
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

    /// `aᵀb` through the eliminated nodes, with both carried forward: the volts that the currents
    /// `b` leave across the port `a` while the kept nodes are at zero.
    pub(crate) fn across(&self, a: &DVector<f64>, b: &DVector<f64>) -> f64 {
        let each = self.order.iter().zip(&self.sums);
        each.map(|(node, sum)| a[*node] * b[*node] / sum).sum()
    }

    /// The part of a forwarded vector that is left at the kept nodes.
    pub(crate) fn at_kept(&self, forwarded: &DVector<f64>) -> DVector<f64> {
        forwarded.select_rows(self.kept.iter())
    }
}

/// Each node's neighbours; conductances side by side are added up.
fn neighbours(network: &Mesh) -> Vec<Neighbours> {
    let mut all = vec![Neighbours::new(); network.ground.len()];
    for (a, b, siemens) in &network.between {
        all[*a].push((*b, *siemens));
        all[*b].push((*a, *siemens));
    }
    for own in &mut all {
        own.sort_unstable_by_key(|(node, _)| *node);
        own.dedup_by(|next, first| {
            let same = next.0 == first.0;
            if same {
                first.1 += next.1;
            }
            same
        });
    }
    all
}

/// The neighbours of a node once the star of another is a mesh: its own without that one, and
/// those of the star but itself.
fn merge(
    own: &Neighbours,
    (gone, itself): (usize, usize),
    (share, star): (f64, &Neighbours),
    joined: &mut Neighbours,
) {
    joined.clear();
    let mut own = own.iter().filter(|(node, _)| *node != gone).peekable();
    for (node, g) in star {
        if *node == itself {
            continue;
        }
        while let Some(known) = own.next_if(|(known, _)| known < node) {
            joined.push(*known);
        }
        let added = share * g;
        match own.next_if(|(known, _)| known == node) {
            Some((_, known)) => joined.push((*node, known + added)),
            None => joined.push((*node, added)),
        }
    }
    joined.extend(own);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 S from node 0 to 1, 1 S from 1 to 2, 2 S from 2 to the reference.
    fn chain() -> Mesh {
        Mesh {
            between: vec![(0, 1, 1.0), (1, 2, 1.0)],
            ground: vec![0.0, 0.0, 2.0],
        }
    }

    #[test]
    fn a_chain_worked_by_hand() {
        let found = StarMesh::new(&chain(), &[]).unwrap();
        let mut currents = DVector::from_column_slice(&[1.0, 0.0, 0.0]);
        found.forward(&mut currents);
        // 1 A through 1 Ω, 1 Ω and 0.5 Ω: exact in binary.
        let volts = found.backward(&currents, &DVector::zeros(0));
        assert!((volts - DVector::from_column_slice(&[2.5, 1.5, 0.5])).amax() < 1e-15);
        assert!((found.across(&currents, &currents) - 2.5).abs() < 1e-15);
    }

    #[test]
    fn what_is_kept_sees_the_rest_as_a_mesh() {
        let found = StarMesh::new(&chain(), &[0, 2]).unwrap();
        // 1 Ω and 1 Ω in series.
        assert!((found.mesh[(0, 1)] - 0.5).abs() < 1e-15);
        assert!((found.ground[1] - 2.0).abs() < 1e-15);
    }

    #[test]
    fn a_node_that_nothing_joins_is_named() {
        let network = Mesh {
            between: vec![(0, 1, 1.0)],
            ground: vec![1.0, 0.0, 0.0],
        };
        assert_eq!(StarMesh::new(&network, &[]).unwrap_err(), IsolatedNode(2));
    }

    #[test]
    fn twenty_four_decades_lose_nothing() {
        // 1 A into the far end of 10¹² Ω, 10⁻¹² Ω and 1 Ω in series, seen across the middle one.
        let network = Mesh {
            between: vec![(0, 1, 1e-12), (1, 2, 1e12)],
            ground: vec![0.0, 0.0, 1.0],
        };
        let found = StarMesh::new(&network, &[]).unwrap();
        let mut port = DVector::from_column_slice(&[0.0, 1.0, -1.0]);
        found.forward(&mut port);
        // A few roundings of one part in 10¹⁶ each.
        assert!((found.across(&port, &port) - 1e-12).abs() < 1e-27);
    }
}
