//! Many meters on an altered circuit at once.
//!
//! Hundreds of alterations are read at the same ports. How those ports are coupled to the devices, and to
//! the ports of the changes, is computed once: with `P` the ports' vectors, one row a port, and `B`, `F`
//! those of the changes as the ports see them,
//!
//! ```text
//! v = v₀ + B q − P r        R = R₀ − diag(B M F) − diag(Bₛ N Fₛ)
//! ```

use std::collections::HashMap;
use std::sync::{Arc, PoisonError, RwLock};

use circuit::Port;
use nalgebra::{DMatrix, DVector};

use super::extended::{Tangent, Terminal};
use super::state::Altered;
use super::Alterable;
use crate::jacobian::PortReading;
use crate::port::{LoadedPort, Prepared};

/// Meters on ports of a solved circuit, to be read with one alteration after the other.
#[derive(Debug)]
pub struct Probes {
    each: Vec<(Arc<Prepared>, f64)>,
    /// What a current at each row that devices touch does to each port, and the other way about: one
    /// row a port.
    adjoint_response: DMatrix<f64>,
    response: DMatrix<f64>,
    open: DVector<f64>,
    ohms: DVector<f64>,
    /// The coupling of the ports to those of changes.
    towards: RwLock<HashMap<Port, Arc<Towards>>>,
}

/// The coupling of one port to all probes.
#[derive(Debug)]
struct Towards {
    /// Volts there by a current at each probe.
    from: DVector<f64>,
    /// Volts at each probe by a current there.
    to: DVector<f64>,
}

impl Alterable<'_> {
    /// Meters of a conductance in siemens each, prepared.
    pub fn probes(&self, probes: &[(Port, f64)]) -> Probes {
        let each: Vec<(Arc<Prepared>, f64)> = probes
            .iter()
            .map(|(port, siemens)| (self.prepared(*port), *siemens))
            .collect();
        let (count, kept) = (each.len(), self.solution.kept.len());
        Probes {
            adjoint_response: DMatrix::from_fn(count, kept, |i, row| {
                each[i].0.adjoint_response[row]
            }),
            response: DMatrix::from_fn(count, kept, |i, row| each[i].0.response[row]),
            open: DVector::from_fn(count, |i, _| each[i].0.open_volts),
            ohms: DVector::from_fn(count, |i, _| each[i].0.ohms),
            each,
            towards: RwLock::default(),
        }
    }
}

impl Probes {
    /// For each probe the most volts that it moves while one of some rows that devices touch moves by one volt,
    /// whatever drives that: `max |Zᵢᵣ/Zᵣᵣ|`, with `terminal_ohms` for `Zᵣᵣ`, of the circuit that is altered.
    pub fn most_by_volt_at(&self, rows: &[usize], terminal_ohms: &[f64]) -> Vec<f64> {
        let by_volt = |probe: usize, row: usize| {
            let transfer = self.adjoint_response[(probe, row)].abs();
            transfer.max(self.response[(probe, row)].abs()) / terminal_ohms[row].abs()
        };
        let most = |probe: usize| {
            let each = rows.iter().map(|row| by_volt(probe, *row));
            // No ohms at a row: it moves nothing, or nobody knows.
            each.fold(0.0, |most: f64, own| {
                most.max(if own.is_nan() { 1.0 } else { own })
            })
        };
        (0..self.each.len()).map(most).collect()
    }

    fn towards(&self, base: &Alterable<'_>, own: &Prepared) -> Arc<Towards> {
        let known = self.towards.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(towards) = known.get(&own.port) {
            return Arc::clone(towards);
        }
        drop(known);
        let count = self.each.len();
        let made = Arc::new(Towards {
            from: DVector::from_fn(count, |i, _| base.transfer(own, &self.each[i].0)),
            to: DVector::from_fn(count, |i, _| base.transfer(&self.each[i].0, own)),
        });
        let mut known = self.towards.write().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(known.entry(own.port).or_insert(made))
    }
}

impl Altered<'_> {
    /// What every one of some meters shows, each on its port alone. None where the circuit has to be
    /// solved anew. The probes are those of the circuit that was altered.
    pub fn all_seen(&self, probes: &Probes) -> Option<Vec<PortReading>> {
        let towards: Vec<Arc<Towards>> = self
            .ports
            .iter()
            .map(|own| probes.towards(self.base, own))
            .collect();
        let mut volts = probes.open.clone();
        volts.gemv(-1.0, &probes.adjoint_response, &self.remainder, 1.0);
        let mut ohms = probes.ohms.clone();
        // M CᵀJ⁻¹c of every probe, and with both transposed.
        let count = towards.len();
        let mut forward = vec![DVector::zeros(volts.len()); count];
        let mut backward = forward.clone();
        for (a, own) in towards.iter().enumerate() {
            volts.axpy(self.currents[a], &own.to, 1.0);
            let both = forward.iter_mut().zip(&mut backward).enumerate();
            for (b, (forward, backward)) in both {
                forward.axpy(self.middle[(b, a)], &own.from, 1.0);
                backward.axpy(self.middle[(a, b)], &own.to, 1.0);
            }
        }
        for (own, forward) in towards.iter().zip(&forward) {
            ohms -= own.to.component_mul(forward);
        }
        let response = |terminal: &Terminal, found: &mut DVector<f64>| {
            self.at_terminal(
                terminal,
                &probes.response,
                &forward,
                |own| &own.response,
                found,
            );
        };
        let adjoint_response = |terminal: &Terminal, found: &mut DVector<f64>| {
            self.at_terminal(
                terminal,
                &probes.adjoint_response,
                &backward,
                |own| &own.adjoint_response,
                found,
            );
        };
        let Tangent {
            moved,
            fed,
            slopes,
            weak,
        } = self.tangent()?;
        let mut to_moved = DMatrix::zeros(volts.len(), moved.len());
        let (mut one, mut other) = (volts.clone(), volts.clone());
        for (place, terminal) in moved.iter().enumerate() {
            response(terminal, &mut one);
            to_moved.set_column(place, &one);
        }
        let answered = to_moved * slopes.transpose();
        for (place, terminal) in fed.iter().enumerate() {
            adjoint_response(terminal, &mut one);
            ohms -= one.component_mul(&answered.column(place));
        }
        for (row, column, change) in weak {
            adjoint_response(row, &mut one);
            response(column, &mut other);
            ohms.cmpy(-change, &one, &other, 1.0);
        }
        let each = probes.each.iter().enumerate();
        each.map(|(i, (port, siemens))| {
            let view = LoadedPort {
                open_volts: volts[i],
                ohms: ohms[i],
            };
            if self.is_heavy(*siemens, view, port) {
                return self.loaded(port.port, *siemens)?.as_it_stands(port.port);
            }
            Some(view.port_reading(*siemens))
        })
        .collect()
    }
    /// What currents at the probes do at a terminal with the devices linear, or the transposed.
    fn at_terminal(
        &self,
        terminal: &Terminal,
        of: &DMatrix<f64>,
        through: &[DVector<f64>],
        vector: impl Fn(&Prepared) -> &DVector<f64>,
        found: &mut DVector<f64>,
    ) {
        let Some(row) = terminal.outer else {
            found.fill(0.0);
            return;
        };
        found.copy_from(&of.column(row));
        for (own, through) in self.ports.iter().zip(through) {
            found.axpy(-vector(own)[row], through, 1.0);
        }
    }
}
