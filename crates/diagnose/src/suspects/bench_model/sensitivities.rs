//! How what meters would show follows the circuit's numbers.
//!
//! Faults of given sizes and probes come in; one column for each number, each fault's resistance and each port goes
//! out. How likely the numbers are is not known here.

use circuit::{Alteration, DeviceParameter, PartId, PartParameter, Port};
use nalgebra::DMatrix;
use solver::{Jacobian, SolveError};

use super::{alteration, loads, BenchModel, Probe, Response, SizedFault, Specimen};
use crate::suspects::bounds::floating_tubes;
use crate::suspects::cold::cold;

/// Most faults at once.
const FAULTS: usize = 2;

/// How the readings follow the circuit: one row a probe, one column a number, in volts for one
/// standard deviation of it. Behind the numbers stand [`FAULTS`] columns more, for the resistances
/// that stand for broken and joined connections, and behind those one for what the drawing lacks at
/// each port that the manual speaks of.
pub(crate) type SensitivityMatrix = DMatrix<f64>;

impl BenchModel<'_> {
    /// How many columns a spread has.
    pub(super) fn columns(&self) -> usize {
        self.first_port() + self.second.lacks.len()
    }

    /// The first column of what the drawing lacks.
    pub(super) fn first_port(&self) -> usize {
        self.numbers.len() + FAULTS
    }

    /// What is known of the numbers and of what the drawing lacks, at their columns.
    pub(super) fn known_columns(&self) -> DMatrix<f64> {
        let learnt = &self.second.learnt;
        let mut known = DMatrix::zeros(self.columns(), learnt.ncols());
        let numbers = self.second.numbers.len();
        known
            .rows_mut(0, numbers)
            .copy_from(&learnt.rows(0, numbers));
        let ports = self.second.lacks.len();
        known
            .rows_mut(self.first_port(), ports)
            .copy_from(&learnt.rows(numbers, ports));
        known
    }

    /// What the loads read with these faults, and how that follows the numbers that the faults leave
    /// open. The columns of [`BenchModel::fault_resistances`] are left at 0.
    pub(crate) fn sensitivities(
        &self,
        faults: &[SizedFault],
        probes: &[Probe],
    ) -> Result<(Response, SensitivityMatrix), SolveError> {
        let mut readings = vec![None; probes.len()];
        let mut sensitivities = DMatrix::zeros(probes.len(), self.columns());
        let set_by_faults = self.set_by(faults);
        for (state, places) in self.by_state(probes) {
            let alteration = alteration(self.circuit, &self.states[state], faults);
            let loads = loads(probes, &places);
            let slopes = self.jacobian(state, &alteration, &loads)?;
            let same = slopes.numbers.as_slice() == self.in_order[state].numbers();
            for (column, id) in slopes.numbers.iter().enumerate() {
                let known = if same {
                    self.columns[state].get(column)
                } else {
                    let specimen = Specimen::of(&self.states[state], id.part);
                    self.numbers.get(&(id.part, id.parameter, specimen))
                };
                let Some((place, sigma)) = known else {
                    continue;
                };
                let replaced = self.states[state].is_replaced(id.part);
                if !replaced && set_by_faults(id.part, id.parameter) {
                    continue;
                }
                for (row, probe) in places.iter().enumerate() {
                    sensitivities[(*probe, *place)] += slopes.by_number[(row, column)] * sigma;
                }
            }
            for (place, port) in places.iter().zip(slopes.readings) {
                readings[*place] = Some(port);
            }
        }
        let response = Response::of(readings.into_iter().flatten().collect());
        for (row, probe) in probes.iter().enumerate() {
            if let Some(own) = self.lack(probe) {
                let now = (response.volts[row], response.ohms[row]);
                sensitivities[(row, self.first_port() + own.place)] = own.effect(now);
            }
        }
        Ok((response, sensitivities))
    }

    /// How readings of these loads follow the altered circuit's numbers.
    fn jacobian(
        &self,
        state: usize,
        alteration: &Alteration,
        loads: &[(Port, f64)],
    ) -> Result<Jacobian, SolveError> {
        let altered = self.in_order[state].altered(alteration);
        if let Some(slopes) = altered.and_then(|altered| altered.jacobian(loads)) {
            return Ok(slopes);
        }
        let (circuit, solution) = self.anew(state, alteration)?;
        Ok(solution.jacobian(&circuit, &alteration.conditions, loads))
    }

    /// The columns of numbers that faults set themselves.
    pub(crate) fn columns_set_by_faults(&self, faults: &[SizedFault]) -> Vec<usize> {
        let each = self.numbers.iter();
        let set_by_faults = self.set_by(faults);
        let own = each.filter(|((part, number, specimen), _)| {
            *specimen == Specimen::Found && set_by_faults(*part, *number)
        });
        own.map(|(_, (column, _))| *column).collect()
    }

    /// The columns of the numbers of some parts.
    pub(crate) fn columns_of(&self, parts: &[PartId]) -> Vec<usize> {
        let each = self.numbers.iter();
        let own = each.filter(|((part, _, _), _)| parts.contains(part));
        own.map(|(_, (column, _))| *column).collect()
    }

    /// How the readings follow the resistances that stand for faults: one column a fault, in volts
    /// for one standard deviation. Where there is no state with another one, nothing is known of it.
    pub(crate) fn fault_resistances(
        &self,
        faults: &[SizedFault],
        probes: &[Probe],
        response: &Response,
    ) -> SensitivityMatrix {
        let mut moved = DMatrix::zeros(probes.len(), FAULTS);
        for (place, (hypothesis, _)) in faults.iter().enumerate().take(FAULTS) {
            let Some(factor) = hypothesis.fault_resistance_factor() else {
                continue;
            };
            // How far a connection is broken is its fault's size.
            if hypothesis.breaks() {
                continue;
            }
            let mut other = faults.to_vec();
            other[place].1 *= factor;
            if let Ok(other) = self.response(&other, probes) {
                for (row, (a, b)) in other.volts.iter().zip(&response.volts).enumerate() {
                    moved[(row, place)] = a - b;
                }
            }
        }
        moved
    }

    /// Puts these columns into a spread.
    pub(crate) fn with_fault_resistances(
        &self,
        sensitivities: &mut SensitivityMatrix,
        fault_resistances: &SensitivityMatrix,
    ) {
        let first = self.numbers.len();
        sensitivities
            .columns_mut(first, FAULTS)
            .copy_from(fault_resistances);
    }

    /// Whether faults set a number of a part themselves. The size of one that leaves grids floating is the ion
    /// current of their tubes.
    fn set_by<'f>(
        &'f self,
        faults: &'f [SizedFault],
    ) -> impl Fn(PartId, PartParameter) -> bool + 'f {
        let gas = PartParameter::Device(DeviceParameter::GasCurrent);
        let each = faults.iter().map(|(hypothesis, _)| {
            let floating = floating_tubes(self.circuit, hypothesis).unwrap_or_default();
            (hypothesis, floating, cold(self.circuit, hypothesis))
        });
        let each: Vec<_> = each.collect();
        move |part, parameter| {
            each.iter().any(|(hypothesis, floating, cold)| {
                (hypothesis.part() == Some(part) && hypothesis.sets(parameter))
                    || (parameter == gas && floating.contains(&part))
                    || cold.as_ref().is_some_and(|cold| cold.sets(part, parameter))
            })
        }
    }
}
