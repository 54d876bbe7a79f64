//! How far a device's derivatives have changed.
//!
//! A device's derivatives at two states come in; their difference goes out, and whether it is so large that the
//! device has to be solved with the others at once. How the devices settle is not known here.

use super::Deviation;
use crate::device::Device;
use crate::law::{Evaluation, MOST_TERMINALS};

impl Deviation<'_> {
    /// The entries of `B = ∂f/∂u − G` that are a device's own.
    pub(super) fn jacobian_change(
        &self,
        place: usize,
        now: &Evaluation,
        visit: &mut impl FnMut(usize, usize, f64),
    ) {
        let (device, before) = (&self.devices[place], &self.before[place]);
        let tangent = &self.tangents[place];
        if same_rows(device, before) {
            for (terminal, row) in device.rows() {
                for (other, column) in device.rows() {
                    let change =
                        now.conductance[terminal][other] - tangent.conductance[terminal][other];
                    visit(row, column, change);
                }
            }
            return;
        }
        for (device, slopes, sign) in [(device, now, 1.0), (before, tangent, -1.0)] {
            for (terminal, row) in device.rows() {
                for (other, column) in device.rows() {
                    visit(row, column, sign * slopes.conductance[terminal][other]);
                }
            }
        }
    }

    /// Whether a device's derivatives have changed so much that holding its remainder would leave more
    /// than this share of the error after a sweep.
    pub(super) fn has_moved(&self, place: usize, now: &Evaluation, least: f64) -> bool {
        let (device, tangent) = (&self.devices[place], &self.tangents[place]);
        if !same_rows(device, &self.before[place]) {
            return true;
        }
        let change = |terminal: usize, other: usize| {
            now.conductance[terminal][other] - tangent.conductance[terminal][other]
        };
        let mut ohms = [0.0; MOST_TERMINALS];
        for (terminal, row) in device.rows() {
            ohms[terminal] = self.impedances.at(row, row).abs();
        }
        let mut pairs = device
            .rows()
            .flat_map(|(terminal, _)| device.rows().map(move |(other, _)| (terminal, other)));
        let small = pairs.all(|(terminal, other)| {
            change(terminal, other).powi(2) * ohms[terminal] * ohms[other] <= least * least
        });
        if small {
            return false;
        }
        // What its own change does to its own volts, over and over: a change of transconductance counts
        // for little where the plate's current hardly moves the grid.
        let mut gain = [[0.0; MOST_TERMINALS]; MOST_TERMINALS];
        for (terminal, row) in device.rows() {
            for (through, column) in device.rows() {
                let ohms = self.impedances.at(row, column);
                for (other, _) in device.rows() {
                    gain[terminal][other] += ohms * change(through, other);
                }
            }
        }
        // No power of a matrix is larger than that power of its norm.
        let norm = gain
            .iter()
            .flatten()
            .map(|entry| entry * entry)
            .sum::<f64>();
        if norm <= least * least {
            return false;
        }
        let fourth = squared(&squared(&gain));
        // Not a number counts as changed.
        let negligible = |entry: &f64| entry.abs() <= least.powi(4);
        !fourth.iter().flatten().all(negligible)
    }
}

/// Whether a device is connected to the same rows in both circuits.
pub(super) fn same_rows(device: &Device, before: &Device) -> bool {
    std::ptr::eq(device, before) || device.rows().eq(before.rows())
}

/// A small matrix times itself.
fn squared(
    matrix: &[[f64; MOST_TERMINALS]; MOST_TERMINALS],
) -> [[f64; MOST_TERMINALS]; MOST_TERMINALS] {
    let mut product = [[0.0; MOST_TERMINALS]; MOST_TERMINALS];
    for (row, product) in matrix.iter().zip(&mut product) {
        for (share, other) in row.iter().zip(matrix) {
            for (entry, other) in product.iter_mut().zip(other) {
                *entry += share * other;
            }
        }
    }
    product
}
