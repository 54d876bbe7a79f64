//! Devices on the ports of a network: a state put right by one step of Newton's method, in whole
//! numbers throughout. In floats the step would drown where two ports see nearly the same
//! teraohms, or where a junction carries far more than any resistor.

use num_bigint::BigInt;
use num_traits::{FromPrimitive, Zero};

use super::exact::{eliminate, quotient, Exact, SIEMENS_BITS, VOLTS_BITS};

/// Volts, amperes and siemens from outside the network are taken to 2⁻²⁰⁰, which is exact for all
/// that is larger than 2⁻¹⁴⁷ or so.
const FINE_BITS: u32 = 200;

fn fine(value: f64) -> BigInt {
    BigInt::from_f64(value * 2f64.powi(FINE_BITS as i32))
        .unwrap_or_else(|| panic!("{value} is not a number"))
}

/// What is left of a state after one step.
pub struct Corrected {
    /// Volts by which each port is off.
    pub off: Vec<f64>,
    drawn: Vec<((usize, usize), BigInt)>,
}

impl Exact {
    /// Volts of a node above another with currents drawn through ports, times the determinant
    /// and 2^FINE_BITS.
    fn under(&self, (a, b): (usize, usize), drawn: &[((usize, usize), BigInt)]) -> BigInt {
        let open = |node: usize| match node {
            0 => BigInt::zero(),
            _ => self.volts[node - 1].clone(),
        };
        let mut sum = (open(a) - open(b)) << (FINE_BITS - VOLTS_BITS);
        for (port, amperes) in drawn {
            sum -= (self.across((a, b), *port) * amperes) << SIEMENS_BITS;
        }
        sum
    }

    /// Volts of a node under the currents of a corrected state.
    pub fn volts_under(&self, state: &Corrected, node: usize) -> f64 {
        quotient(
            &self.under((node, 0), &state.drawn),
            &(&self.determinant << FINE_BITS),
        )
    }

    /// Solves `(1 + Z·G) δ = V − Z·I − x` for the ports' volts.
    pub fn corrected(
        &self,
        ports: &[(usize, usize)],
        volts: &[(f64, f64)],
        amperes: &[f64],
        slopes: &[Vec<f64>],
    ) -> Corrected {
        let count = ports.len();
        let drawn: Vec<_> = ports
            .iter()
            .zip(amperes)
            .map(|(port, amperes)| (*port, fine(*amperes)))
            .collect();
        let slopes: Vec<Vec<BigInt>> = slopes
            .iter()
            .map(|row| row.iter().map(|slope| fine(*slope)).collect())
            .collect();
        // Every row times the determinant and 2^FINE_BITS.
        let mut rows = vec![vec![BigInt::zero(); count + 1]; count];
        for (p, port) in ports.iter().enumerate() {
            for (q, other) in ports.iter().enumerate() {
                let ohms = self.across(*port, *other);
                for k in 0..count {
                    rows[p][k] += (&ohms * &slopes[q][k]) << SIEMENS_BITS;
                }
            }
            rows[p][p] += &self.determinant << FINE_BITS;
            let (plus, minus) = volts[p];
            rows[p][count] =
                self.under(*port, &drawn) - (fine(plus) - fine(minus)) * &self.determinant;
        }
        let determinant = eliminate(&mut rows, count).expect("ports that are not on a fold");
        // To 2^FINE_BITS again.
        let off: Vec<BigInt> = rows
            .iter()
            .map(|row| (&row[count] << FINE_BITS) / &determinant)
            .collect();
        let drawn = drawn
            .into_iter()
            .zip(&slopes)
            .map(|((port, amperes), slopes)| {
                let more: BigInt = slopes.iter().zip(&off).map(|(g, d)| g * d).sum();
                (port, amperes + (more >> FINE_BITS))
            })
            .collect();
        Corrected {
            off: rows
                .iter()
                .map(|row| quotient(&row[count], &determinant))
                .collect(),
            drawn,
        }
    }
}
