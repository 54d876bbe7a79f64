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
//! kept as a separate number and not as the difference left on a diagonal. Nothing is ever
//! subtracted, so each conductance is correct to a few units of its last place, however many decades
//! the network spans (W. K. Grassmann, M. I. Taksar, D. P. Heyman, "Regenerative analysis
//! and steady state distributions for Markov chains", Operations Research 33, 1985, 1107-1116, for
//! the same rule on Markov chains; from memory).
//!
//! Nodes are eliminated in the order of fewest neighbours. Nodes of parts that are not resistances are
//! kept; the result is the mesh among those. Currents and volts are carried through it in [`substitution`].

mod substitution;

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use nalgebra::{DMatrix, DVector};

/// From this number on, kept nodes count as many.
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

/// The neighbours of a node, rising, with the conductances to them.
type Neighbours = Vec<(usize, f64)>;

impl StarMesh {
    /// Eliminates all nodes but those to be kept. Where those are many, nodes with many
    /// neighbours are kept too: without them every neighbour would be joined to every other.
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
                let gone = Eliminated {
                    node,
                    star: &star,
                    share,
                };
                merge(&neighbours[*end], *end, gone, &mut joined);
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
}

/// Each node's neighbours; parallel conductances are added.
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

/// An eliminated node, as one of its neighbours sees it.
struct Eliminated<'a> {
    node: usize,
    star: &'a Neighbours,
    /// `gᵢ/S` of that neighbour.
    share: f64,
}

/// The neighbours of a node after another was eliminated: its own without that one, and the others of
/// that star.
fn merge(own: &Neighbours, itself: usize, gone: Eliminated<'_>, joined: &mut Neighbours) {
    joined.clear();
    let mut own = own.iter().filter(|(node, _)| *node != gone.node).peekable();
    for (node, g) in gone.star {
        if *node == itself {
            continue;
        }
        while let Some(known) = own.next_if(|(known, _)| known < node) {
            joined.push(*known);
        }
        let added = gone.share * g;
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
