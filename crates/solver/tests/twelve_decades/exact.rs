//! Linear networks solved in whole numbers.
//!
//! Conductances and volts have few significant bits, so that scaled by a power of two they are
//! integers. Elimination without fractions (E. H. Bareiss, "Sylvester's identity and multistep
//! integer-preserving Gaussian elimination", Math. Comp. 22 (1968) 565; from memory) keeps every
//! entry an integer; all answers are quotients by one determinant.

use num_bigint::BigInt;
use num_traits::{One, Signed, ToPrimitive, Zero};

/// Conductances are multiples of 2⁻⁵⁰ S, volts of 2⁻⁴ V.
pub const SIEMENS_BITS: u32 = 50;
pub const VOLTS_BITS: u32 = 4;

/// A source between two nodes: an ideal one, or one behind a conductance.
#[derive(Clone, Copy, Debug)]
pub struct Source {
    pub plus: usize,
    pub minus: usize,
    pub volts: f64,
    /// None: no resistance.
    pub siemens: Option<f64>,
}

/// A linear network; node 0 is ground.
#[derive(Clone, Debug)]
pub struct Network {
    pub nodes: usize,
    pub conductances: Vec<(usize, usize, f64)>,
    pub sources: Vec<Source>,
}

impl Network {
    pub fn all_volts(&self) -> f64 {
        self.sources.iter().map(|source| source.volts.abs()).sum()
    }
}

/// Every answer times [`Exact::determinant`].
pub struct Exact {
    pub determinant: BigInt,
    /// Volts of each node but ground, times 2^VOLTS_BITS.
    pub volts: Vec<BigInt>,
    /// Volts of the first node for an ampere into the second, over 2^SIEMENS_BITS.
    ohms: Vec<Vec<BigInt>>,
}

fn whole(value: f64, bits: u32) -> BigInt {
    let scaled = value * 2f64.powi(bits as i32);
    assert!(scaled.fract() == 0.0, "{value} has too many digits");
    num_traits::FromPrimitive::from_f64(scaled).expect("a finite number")
}

/// The quotient as the nearest f64 or its neighbour.
pub fn quotient(over: &BigInt, under: &BigInt) -> f64 {
    if over.is_zero() {
        return 0.0;
    }
    // Shifted so that the whole quotient has at least 64 bits.
    let shift = 64 + under.bits() as i64 - over.bits() as i64;
    let whole = if shift >= 0 {
        (over << shift) / under
    } else {
        over / (under << -shift)
    };
    let mantissa = whole.to_f64().expect("some 65 bits");
    mantissa * 2f64.powi(-shift as i32)
}

impl Exact {
    /// None where the network has no solution, or more than one.
    pub fn new(network: &Network) -> Option<Self> {
        let n = network.nodes - 1;
        let ideal: Vec<&Source> = network
            .sources
            .iter()
            .filter(|source| source.siemens.is_none())
            .collect();
        let size = n + ideal.len();
        // Columns: unknowns, the sources, one ampere into each node.
        let mut rows = vec![vec![BigInt::zero(); size + 1 + n]; size];
        let strung = network.conductances.iter().copied().chain(
            network
                .sources
                .iter()
                .filter_map(|source| Some((source.plus, source.minus, source.siemens?))),
        );
        for (a, b, siemens) in strung {
            let siemens = whole(siemens, SIEMENS_BITS);
            for (here, there) in [(a, b), (b, a)] {
                if here > 0 && a != b {
                    rows[here - 1][here - 1] += &siemens;
                    if there > 0 {
                        rows[here - 1][there - 1] -= &siemens;
                    }
                }
            }
        }
        let mut branch = n;
        for source in &network.sources {
            let volts = whole(source.volts, VOLTS_BITS);
            for (node, sign) in [(source.plus, 1), (source.minus, -1)] {
                if node == 0 {
                    continue;
                }
                match source.siemens {
                    // Amperes times 2^(SIEMENS_BITS + VOLTS_BITS): volts come out with VOLTS_BITS.
                    Some(siemens) => {
                        rows[node - 1][size] += whole(siemens, SIEMENS_BITS) * &volts * sign;
                    }
                    None => {
                        rows[node - 1][branch] += sign;
                        rows[branch][node - 1] += sign;
                    }
                }
            }
            if source.siemens.is_none() {
                rows[branch][size] += &volts;
                branch += 1;
            }
        }
        for node in 0..n {
            rows[node][size + 1 + node] = BigInt::one();
        }
        let determinant = eliminate(&mut rows, size)?;
        Some(Exact {
            volts: (0..n).map(|node| rows[node][size].clone()).collect(),
            ohms: (0..n).map(|node| rows[node][size + 1..].to_vec()).collect(),
            determinant,
        })
    }

    /// Volts of a node.
    pub fn volts(&self, node: usize) -> f64 {
        match node {
            0 => 0.0,
            _ => quotient(&self.volts[node - 1], &(&self.determinant << VOLTS_BITS)),
        }
    }

    /// Volts from `a` to `b` for an ampere into `c` and out of `d`.
    pub fn ohms(&self, (a, b): (usize, usize), (c, d): (usize, usize)) -> f64 {
        quotient(
            &(self.across((a, b), (c, d)) << SIEMENS_BITS),
            &self.determinant,
        )
    }

    /// The same times the determinant, over 2^SIEMENS_BITS.
    pub fn across(&self, (a, b): (usize, usize), (c, d): (usize, usize)) -> BigInt {
        let entry = |node: usize, into: usize| match (node, into) {
            (0, _) | (_, 0) => BigInt::zero(),
            _ => self.ohms[node - 1][into - 1].clone(),
        };
        entry(a, c) - entry(b, c) - entry(a, d) + entry(b, d)
    }
}

/// Turns the first `size` columns into the determinant times the unit matrix, and returns it.
pub fn eliminate(rows: &mut [Vec<BigInt>], size: usize) -> Option<BigInt> {
    let mut before = BigInt::one();
    for k in 0..size {
        let found = (k..size)
            .filter(|row| !rows[*row][k].is_zero())
            .min_by_key(|row| rows[*row][k].abs().bits())?;
        rows.swap(k, found);
        let pivot_row = std::mem::take(&mut rows[k]);
        let pivot = pivot_row[k].clone();
        for (index, row) in rows.iter_mut().enumerate() {
            if index == k {
                continue;
            }
            let factor = row[k].clone();
            for (cell, above) in row.iter_mut().zip(&pivot_row) {
                if cell.is_zero() && (above.is_zero() || factor.is_zero()) {
                    continue;
                }
                *cell *= &pivot;
                if !factor.is_zero() && !above.is_zero() {
                    *cell -= &factor * above;
                }
                *cell /= &before;
            }
        }
        rows[k] = pivot_row;
        before = pivot;
    }
    Some(before)
}

/// The quotients against fractions that anyone can check.
#[test]
fn whole_numbers_give_a_bridge() {
    // 12 V on node 1, a bridge with 1/16 S across it; by hand with a and b at nodes 2 and 3:
    // (1 + 1/2 + 1/16) a − b/16 = 12,  −a/16 + (1/4 + 1/4 + 1/16) b = 3.
    let network = Network {
        nodes: 4,
        conductances: vec![
            (1, 2, 1.0),
            (2, 0, 0.5),
            (1, 3, 0.25),
            (3, 0, 0.25),
            (2, 3, 0.0625),
        ],
        sources: vec![Source {
            plus: 1,
            minus: 0,
            volts: 12.0,
            siemens: None,
        }],
    };
    let exact = Exact::new(&network).unwrap();
    // Times 16: 25a − b = 192, −a + 9b = 48; the determinant is 224.
    let a = (9.0 * 192.0 + 48.0) / 224.0;
    let b = (25.0 * 48.0 + 192.0) / 224.0;
    for (node, want) in [(1, 12.0), (2, a), (3, b)] {
        let got = exact.volts(node);
        assert!((got - want).abs() <= 4.0 * f64::EPSILON * want, "{got}");
    }
    // Between 2 and 3 the ideal source is a short: 1/1.5 and 1/0.5 in series, 16 across.
    let want = 1.0 / (1.0 / (1.0 / 1.5 + 1.0 / 0.5) + 0.0625);
    let got = exact.ohms((2, 3), (2, 3));
    assert!((got - want).abs() <= 4.0 * f64::EPSILON * want, "{got}");
}
