//! The altered circuit's operating point.
//!
//! A solved circuit and what changes in it come in; volts, currents and the moved slopes go out. How the devices
//! settle among the rows that they touch is not known here ([`super::extended`]).

use std::cell::OnceCell;
use std::sync::Arc;

use circuit::Alteration;
use nalgebra::{DMatrix, DVector};

use super::change::{Change, Changes};
use super::extended::{Extended, Tangent};
use super::Alterable;
use crate::deviation::{evaluations, ActiveDevices};
use crate::impedances::{Changed, Impedances};
use crate::law::Evaluation;
use crate::port::Prepared;

/// An altered circuit at its operating point.
#[derive(Debug)]
pub struct Altered<'a> {
    pub(super) base: &'a Alterable<'a>,
    pub(super) changes: Changes<'a>,
    /// The port of each change.
    pub(super) ports: Vec<Arc<Prepared>>,
    /// `M = (1 + D R)⁻¹ D`
    pub(super) middle: DMatrix<f64>,
    /// What each change takes off the resistances.
    responses: Vec<DVector<f64>>,
    /// `q`: the current in amperes into the circuit at each change.
    pub(super) currents: DVector<f64>,
    /// What the devices' currents leave over the tangent, at the rows they touched before.
    pub(super) remainder: DVector<f64>,
    /// Volts of the rows that devices touch, then of those behind broken leads.
    pub(super) volts: DVector<f64>,
    /// What the devices do there, those that are active.
    evaluations: Vec<Evaluation>,
    active: ActiveDevices,
    /// The effect of their moved slopes, made when asked for: for readings of ports …
    tangent: OnceCell<Option<Tangent>>,
    /// … and closely, for sensitivities.
    closely: OnceCell<Option<Tangent>>,
    rows: OnceCell<DVector<f64>>,
}

impl<'a> Alterable<'a> {
    /// The circuit with these changes. None where it has to be solved anew: the changes are of
    /// another kind, or the iteration does not settle.
    pub fn altered(&'a self, alteration: &Alteration) -> Option<Altered<'a>> {
        let changes = Changes::of(self, alteration)?;
        let mut start = self.solution.kept.clone();
        for lead in &changes.leads {
            let outer = lead.outer.row.map_or(0.0, |row| self.solution.kept[row]);
            start = start.push(outer);
        }
        Altered::settle(self, changes, &start)
    }
}

impl<'a> Altered<'a> {
    pub(super) fn settle(
        base: &'a Alterable<'a>,
        mut changes: Changes<'a>,
        start: &DVector<f64>,
    ) -> Option<Self> {
        let solution = &base.solution;
        let ports: Vec<Arc<Prepared>> = changes
            .list
            .iter()
            .map(|change| base.between(change.ends))
            .collect();
        let kept = solution.kept.len();
        let (middle, given) = with_devices_linear(base, &changes.list, &ports)?;
        let mut origin = DVector::zeros(kept);
        for (port, given) in ports.iter().zip(given.iter()) {
            origin.axpy(*given, &port.response, 1.0);
        }
        let responses = Changed::responses(&ports, &middle);
        let changed = Changed {
            ports: &ports,
            responses: &responses,
        };
        let extended = Extended::new(base, &changes, changed, &origin);
        let arrived = extended.rest(&mut changes, start)?;
        // What flows behind a broken lead flows out of the row before it.
        let mut remainder: DVector<f64> = arrived.remainder.rows(0, kept).into_owned();
        for (place, lead) in changes.leads.iter().enumerate() {
            if let Some(outer) = lead.outer.row {
                remainder[outer] += arrived.remainder[kept + place];
            }
        }
        let across = ports
            .iter()
            .map(|port| port.adjoint_response.dot(&remainder));
        let currents = given + &middle * DVector::from_iterator(ports.len(), across);
        let found = Altered {
            base,
            changes,
            ports,
            middle,
            responses,
            currents,
            remainder,
            volts: arrived.volts,
            evaluations: arrived.evaluations,
            active: arrived.active,
            tangent: OnceCell::new(),
            closely: OnceCell::new(),
            rows: OnceCell::new(),
        };
        let all = found.volts.iter().chain(found.currents.iter());
        let all = all.chain(found.remainder.iter());
        all.into_iter()
            .all(|value| value.is_finite())
            .then_some(found)
    }

    /// Volts of all rows.
    pub(super) fn rows(&self) -> &DVector<f64> {
        self.rows.get_or_init(|| {
            let solution = &self.base.solution;
            let mut driven = solution.sources.clone();
            for (port, current) in self.ports.iter().zip(self.currents.iter()) {
                driven.axpy(*current, &port.forwarded, 1.0);
            }
            let kept = self.volts.rows(0, solution.kept.len()).into_owned();
            solution.eliminated.backward(&driven, &kept)
        })
    }

    /// What the moved slopes do. None where the circuit has to be solved anew.
    pub(super) fn tangent(&self) -> Option<&Tangent> {
        let made = || self.answered((&self.evaluations, &self.active), false);
        self.tangent.get_or_init(made).as_ref()
    }

    /// The same closely.
    pub(super) fn closely(&self) -> Option<&Tangent> {
        let made = || {
            let now = evaluations(&self.changes.devices, &self.volts);
            self.answered((&now, &ActiveDevices::all(now.len())), true)
        };
        self.closely.get_or_init(made).as_ref()
    }

    fn answered(&self, devices: (&[Evaluation], &ActiveDevices), closely: bool) -> Option<Tangent> {
        let nothing = DVector::zeros(self.base.solution.kept.len());
        let extended = Extended::new(self.base, &self.changes, self.changed(), &nothing);
        extended.tangent(&self.changes, devices, closely)
    }

    /// `K = J⁻¹ − J⁻¹C M CᵀJ⁻¹` among the rows that devices touch.
    pub(super) fn impedances(&self) -> Impedances<'_> {
        Impedances {
            solved: &self.base.solution.impedances,
            parted: self.base.solution.parted.as_ref(),
            driven: None,
            changed: Some(self.changed()),
            behind: None,
        }
    }

    fn changed(&self) -> Changed<'_> {
        Changed {
            ports: &self.ports,
            responses: &self.responses,
        }
    }
}

/// `M`, and the currents in amperes that the changes draw while the devices stay linear:
/// `(1 + D R)⁻¹ (e − D y)` with `y` the open volts of their ports.
fn with_devices_linear(
    base: &Alterable<'_>,
    changes: &[Change],
    ports: &[Arc<Prepared>],
) -> Option<(DMatrix<f64>, DVector<f64>)> {
    let count = ports.len();
    let ohms = DMatrix::from_fn(count, count, |i, j| base.transfer(&ports[i], &ports[j]));
    let siemens = diagonal(changes);
    let amperes = changes.iter().map(|change| change.amperes);
    let amperes = DVector::from_iterator(count, amperes);
    let open = ports.iter().map(|port| port.open_volts);
    let open = DVector::from_iterator(count, open);
    if count == 0 {
        return Some((siemens, amperes));
    }
    let return_difference = (DMatrix::identity(count, count) + &siemens * &ohms).lu();
    let middle = return_difference.solve(&siemens)?;
    let given = return_difference.solve(&(amperes - siemens * open))?;
    Some((middle, given))
}

/// `D`
pub(super) fn diagonal(changes: &[Change]) -> DMatrix<f64> {
    let siemens = changes.iter().map(|change| change.siemens);
    DMatrix::from_diagonal(&DVector::from_iterator(changes.len(), siemens))
}
