//! Random networks, and how they are drawn.

use circuit::{Circuit, Conditions};
use solver::{solve, Solution, SolveError};

use super::exact::{Network, Source};

pub use crate::sketch::Sketch;

/// A small linear congruential generator (multiplier and increment of D. Knuth's MMIX), so that
/// the circuits never change with a library's version.
pub struct Seeded(u64);

impl Seeded {
    pub fn new(seed: u64) -> Self {
        let mut random = Seeded(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15));
        // Neighbouring seeds start alike.
        random.share();
        random
    }

    /// Evenly from 0 to 1.
    pub fn share(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn below(&mut self, bound: usize) -> usize {
        (self.share() * bound as f64) as usize
    }

    /// Evenly on a logarithmic scale.
    pub fn between(&mut self, (low, high): (f64, f64)) -> f64 {
        low * (high / low).powf(self.share())
    }

    /// The conductance of a resistor between these ohms, with eight significant bits: then the
    /// elimination in whole numbers is short.
    pub fn siemens(&mut self, ohms: (f64, f64)) -> f64 {
        let siemens = 1.0 / self.between(ohms);
        let unit = 2f64.powi(siemens.log2().floor() as i32 - 7);
        (siemens / unit).round() * unit
    }
}

/// 1 to 300 V in sixteenths, of either sign.
pub fn volts(random: &mut Seeded) -> f64 {
    let volts = (random.between((1.0, 300.0)) * 16.0).round() / 16.0;
    if random.share() < 0.3 {
        -volts
    } else {
        volts
    }
}

/// A connected network of 4 to 12 nodes with 1.2 to 3 resistors a node and one or two sources,
/// half of them without resistance and half of them to ground.
pub fn network(random: &mut Seeded, ohms: (f64, f64)) -> Network {
    let nodes = 4 + random.below(9);
    let mut conductances = Vec::new();
    for node in 1..nodes {
        conductances.push((node, random.below(node), random.siemens(ohms)));
    }
    let all = ((1.2 + 1.8 * random.share()) * nodes as f64) as usize;
    while conductances.len() < all {
        let (a, b) = (random.below(nodes), random.below(nodes));
        if a != b {
            conductances.push((a, b, random.siemens(ohms)));
        }
    }
    let mut sources = Vec::new();
    for _ in 0..1 + random.below(2) {
        let plus = 1 + random.below(nodes - 1);
        let minus = if random.share() < 0.5 {
            0
        } else {
            (plus + 1 + random.below(nodes - 1)) % nodes
        };
        sources.push(Source {
            plus,
            minus,
            volts: volts(random),
            siemens: (random.share() < 0.5).then(|| random.siemens(ohms)),
        });
    }
    Network {
        nodes,
        conductances,
        sources,
    }
}

/// Whether the only possible loop of ideal sources is there: both between the same two nodes.
pub fn has_source_loop(network: &Network) -> bool {
    let ideal: Vec<(usize, usize)> = network
        .sources
        .iter()
        .filter(|source| source.siemens.is_none())
        .map(|source| (source.plus.min(source.minus), source.plus.max(source.minus)))
        .collect();
    ideal.len() == 2 && ideal[0] == ideal[1]
}

pub fn name(node: usize) -> String {
    if node == 0 {
        "gnd".to_owned()
    } else {
        format!("n{node}")
    }
}

/// The network, to be gone on with; nodes are made in the order of their numbers.
pub fn drawn(network: &Network) -> Sketch {
    let mut sketch = Sketch::new();
    for (index, (a, b, siemens)) in network.conductances.iter().enumerate() {
        sketch = sketch.resistor(&format!("R{index}"), 1.0 / siemens, &name(*a), &name(*b));
    }
    for (index, source) in network.sources.iter().enumerate() {
        let supply = circuit::Supply {
            kind: circuit::SupplyKind::Supply,
            volts: source.volts,
            tolerance: None,
            source: source.siemens.map_or(0.0, |siemens| 1.0 / siemens),
            follows_line: false,
            off: None,
        };
        sketch = sketch.part(
            &format!("PS{index}"),
            circuit::PartKind::Supply(supply),
            &[&name(source.plus), &name(source.minus)],
        );
    }
    sketch
}

pub fn solved(circuit: &Circuit) -> Result<Solution, SolveError> {
    solve(circuit, &Conditions::default())
}
