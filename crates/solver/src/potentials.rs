//! Groups of points whose potentials differ by known volts.
//!
//! Ideal sources and wires tie the potentials of their ends together; tied points share one unknown.
//! Points and ties come in; for each point its group and its volts above the group's root go out.

/// Points that are tied together one after the other (union by size).
#[derive(Clone, Debug)]
pub(crate) struct Potentials {
    parent: Vec<usize>,
    /// Volts of each point above its parent.
    above: Vec<f64>,
    size: Vec<usize>,
}

impl Potentials {
    /// So many points, none of them tied.
    pub(crate) fn new(points: usize) -> Self {
        Potentials {
            parent: (0..points).collect(),
            above: vec![0.0; points],
            size: vec![1; points],
        }
    }

    /// The root of a point's group and the point's volts above it.
    pub(crate) fn root(&self, point: usize) -> (usize, f64) {
        let (mut here, mut volts) = (point, 0.0);
        while self.parent[here] != here {
            volts += self.above[here];
            here = self.parent[here];
        }
        (here, volts)
    }

    /// Ties two points, `plus` being so many volts above `minus`; false if they were tied already, by
    /// any volts.
    pub(crate) fn tie(&mut self, plus: usize, minus: usize, volts: f64) -> bool {
        let (plus_root, plus_volts) = self.root(plus);
        let (minus_root, minus_volts) = self.root(minus);
        if plus_root == minus_root {
            return false;
        }
        // v(plus root) − v(minus root)
        let between = volts + minus_volts - plus_volts;
        let (child, parent, above) = if self.size[plus_root] <= self.size[minus_root] {
            (plus_root, minus_root, between)
        } else {
            (minus_root, plus_root, -between)
        };
        self.parent[child] = parent;
        self.above[child] = above;
        self.size[parent] += self.size[child];
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn volts_add_up_along_ties() {
        // By hand: b = a + 9, c = b − 2, d = c + 1: d = a + 8. Whole volts are exact.
        let mut points = Potentials::new(5);
        assert!(points.tie(1, 0, 9.0) && points.tie(2, 1, -2.0) && points.tie(3, 2, 1.0));
        assert!(!points.tie(3, 0, 8.0));
        let (root, d) = points.root(3);
        let (same, a) = points.root(0);
        assert_eq!(root, same);
        assert!((d - a - 8.0).abs() < 1e-15);
        assert_ne!(points.root(4).0, root);
    }
}
