//! How readings on an altered circuit follow its numbers.

use circuit::{PartParameter, Port};
use nalgebra::{DMatrix, DVector};

use super::port::Gathered;
use super::state::Altered;
use crate::sensitivity::device_slopes;
use crate::slopes::{Seen, Slopes};

impl Altered<'_> {
    /// What a meter of its conductance in siemens shows on each port, and how that follows every
    /// number of the circuit. None where the circuit has to be solved anew.
    pub fn slopes(&self, probes: &[(Port, f64)]) -> Option<Slopes> {
        let count = self.base.numbers().len();
        let mut slopes = Slopes {
            seen: Vec::with_capacity(probes.len()),
            numbers: self.base.numbers().to_vec(),
            by_number: DMatrix::zeros(probes.len(), count),
        };
        let laws = self.laws();
        for (row, (port, siemens)) in probes.iter().enumerate() {
            let gathered = self.gathered(*port);
            let view = self.port(*port, &gathered);
            let mut out = vec![0.0; count];
            if self.is_heavy(*siemens, view) {
                let loaded = self.loaded(*port, *siemens)?;
                let gathered = loaded.gathered(*port);
                let adjoint = loaded.adjoint(*port, &gathered);
                loaded.follow(&adjoint, &loaded.x, 1.0, &mut out);
                let at_devices = loaded.at_devices(&adjoint, *port);
                follow_laws(&loaded.laws(), &at_devices, 1.0, &mut out);
                slopes.seen.push(loaded.as_it_stands(*port));
            } else {
                // x_m = x − g·y·z     λ_m = λ/(1 + gR)
                let yielding = 1.0 + siemens * view.ohms;
                let adjoint = self.adjoint(*port, &gathered);
                let x = &self.x
                    - self.response(*port, &gathered) * (siemens * view.open_volts / yielding);
                self.follow(&adjoint, &x, yielding, &mut out);
                let at_devices = self.at_devices(&adjoint, *port);
                follow_laws(&laws, &at_devices, yielding, &mut out);
                let seen: Seen = view.seen(*siemens);
                slopes.seen.push(seen);
            }
            for (column, value) in out.into_iter().enumerate() {
                slopes.by_number[(row, column)] = value;
            }
        }
        Some(slopes)
    }

    /// `z = J′⁻¹c`
    fn response(&self, port: Port, gathered: &Gathered) -> DVector<f64> {
        let base = self.base;
        let corrected = &self.correction * &gathered.pushed;
        let changes = self.changes.list.len();
        let mut z = base.column_of(&base.inverse, port);
        z -= &self.pushed * corrected.rows(0, changes);
        self.take_moved(&base.inverse, &corrected, &mut z);
        z
    }

    /// `λ = J′⁻ᵀc`
    fn adjoint(&self, port: Port, gathered: &Gathered) -> DVector<f64> {
        let base = self.base;
        let corrected = self.correction.tr_mul(&gathered.pulled);
        let changes = self.changes.list.len();
        let mut adjoint = base.column_of(&base.transposed, port);
        adjoint -= &self.pulled * corrected.rows(0, changes);
        self.take_moved(&base.transposed, &corrected, &mut adjoint);
        adjoint
    }

    /// Takes away what the devices whose slopes have moved answer.
    fn take_moved(&self, of: &DMatrix<f64>, corrected: &DVector<f64>, from: &mut DVector<f64>) {
        let count = self.changes.list.len();
        for (place, row) in self.moved.iter().enumerate() {
            if let Some(row) = row {
                from.axpy(-corrected[count + place], &of.column(*row), 1.0);
            }
        }
    }

    /// The adjoint at the devices' terminals. Behind a broken lead it is not that of any node:
    /// `(1 − NZ)ᵀ P Kᵀc`.
    fn at_devices(&self, adjoint: &DVector<f64>, port: Port) -> DVector<f64> {
        let base = self.base;
        if self.changes.leads.is_empty() {
            return adjoint.select_rows(base.rows.iter());
        }
        let own = base.column_of(&base.transposed, port);
        let c = base.across(port);
        let across: Vec<f64> = (0..self.changes.list.len())
            .map(|place| c.across(&self.pushed.column(place)))
            .collect();
        let across = DVector::from_vec(across);
        let without_devices = own - &self.pulled * self.middle.tr_mul(&across);
        let mut at = without_devices.select_rows(base.rows.iter());
        for lead in &self.changes.leads {
            let outer = lead.outer.map_or(0.0, |place| at[place]);
            at = at.push(outer);
        }
        // (1 − NZ)ᵀ
        &at - &self.answer * at.select_rows(self.moved_nodes.iter())
    }

    /// `−λᵀ∂F/∂θ` of everything but the devices' laws, over `yielding`.
    fn follow(&self, adjoint: &DVector<f64>, x: &DVector<f64>, yielding: f64, out: &mut [f64]) {
        let kept = self.base.terms.iter();
        let kept = kept.filter(|term| !self.changes.parts.contains(&term.part));
        for term in kept.chain(&self.changes.terms) {
            out[term.column] -= term.strength * term.source.felt(adjoint, x) / yielding;
        }
    }

    /// Every device number: its column, and the currents it moves.
    fn laws(&self) -> Vec<(usize, Vec<(usize, f64)>)> {
        let mut found = Vec::new();
        for device in &self.changes.devices {
            for (parameter, slopes) in device_slopes(device, &self.volts) {
                let number = PartParameter::Device(parameter);
                let Some(column) = self.base.column(device.part, number) else {
                    continue;
                };
                let entries = device.rows.iter().zip(slopes);
                let entries = entries.filter_map(|(row, slope)| row.map(|row| (row, slope)));
                found.push((column, entries.collect()));
            }
        }
        found
    }
}

impl super::Alterable<'_> {
    fn column_of(&self, of: &DMatrix<f64>, port: Port) -> DVector<f64> {
        let c = self.across(port);
        let at = |column: Option<usize>| match column {
            Some(column) => of.column(column).into_owned(),
            None => DVector::zeros(of.nrows()),
        };
        at(c.plus) - at(c.minus)
    }
}

fn follow_laws(
    laws: &[(usize, Vec<(usize, f64)>)],
    at_devices: &DVector<f64>,
    yielding: f64,
    out: &mut [f64],
) {
    for (column, entries) in laws {
        let moved: f64 = entries
            .iter()
            .map(|(row, slope)| at_devices[*row] * slope)
            .sum();
        out[*column] -= moved / yielding;
    }
}
