//! The altered circuit's operating point.

use std::sync::Arc;

use circuit::Alteration;
use nalgebra::{DMatrix, DVector};

use super::change::{Change, Changes};
use super::Alterable;
use crate::deviation::{Arrived, Deviation, Start, TRIAL};
use crate::device::Device;
use crate::impedances::Impedances;
use crate::law::Evaluation;
use crate::port::Prepared;

/// An altered circuit at its operating point.
#[derive(Debug)]
pub struct Altered<'a> {
    pub(super) base: &'a Alterable<'a>,
    pub(super) changes: Changes,
    /// The port of each change.
    pub(super) ports: Vec<Arc<Prepared>>,
    /// `M = (1 + D R)⁻¹ D`
    pub(super) middle: DMatrix<f64>,
    /// `q`: the current in amperes into the circuit at each change.
    pub(super) currents: DVector<f64>,
    /// `K = J⁻¹ − J⁻¹C M CᵀJ⁻¹` among the rows that devices touch.
    pub(super) impedances: DMatrix<f64>,
    /// What the devices' currents leave over the tangent, at the rows they touched before.
    pub(super) remainder: DVector<f64>,
    /// Volts of the rows that devices touch, then of those behind broken leads.
    pub(super) volts: DVector<f64>,
    /// Terminals whose slopes have moved.
    pub(super) moved: Vec<Terminal>,
    /// `N`, among those terminals.
    pub(super) slopes: DMatrix<f64>,
    /// Volts of all rows.
    pub(super) rows: DVector<f64>,
}

/// A terminal of a device in an altered circuit.
#[derive(Clone, Copy, Debug)]
pub(super) struct Terminal {
    /// Its row, or that before its broken lead; none for a reference.
    pub(super) outer: Option<usize>,
    /// Its broken lead.
    pub(super) lead: Option<usize>,
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
        mut changes: Changes,
        start: &DVector<f64>,
    ) -> Option<Self> {
        let solution = &base.solution;
        let ports: Vec<Arc<Prepared>> = changes
            .list
            .iter()
            .map(|change| base.between(change.ends))
            .collect();
        let (count, kept) = (ports.len(), solution.kept.len());
        let ohms = DMatrix::from_fn(count, count, |i, j| base.transfer(&ports[i], &ports[j]));
        let siemens = diagonal(&changes.list);
        let amperes = changes.list.iter().map(|change| change.amperes);
        let amperes = DVector::from_iterator(count, amperes);
        let open = ports.iter().map(|port| port.open_volts);
        let open = DVector::from_iterator(count, open);
        let (middle, given) = if count == 0 {
            (siemens, amperes)
        } else {
            let return_difference = (DMatrix::identity(count, count) + &siemens * &ohms).lu();
            let middle = return_difference.solve(&siemens)?;
            (
                middle,
                return_difference.solve(&(amperes - siemens * open))?,
            )
        };
        let columns = |of: fn(&Prepared) -> &DVector<f64>| {
            let mut found = DMatrix::zeros(kept, count);
            for (column, port) in ports.iter().enumerate() {
                found.set_column(column, of(port));
            }
            found
        };
        let (response, adjoint_response) = (
            columns(|port| &port.response),
            columns(|port| &port.adjoint_response),
        );
        let inner = &solution.impedances - &response * &middle * adjoint_response.transpose();
        let extended = Extended::new(base, &changes, &inner, &(&response * &given));
        let arrived = extended.rest(&mut changes, start)?;
        let deviation = extended.deviation(&changes.devices);
        let moved = deviation.moved(&arrived.evaluations)?;
        // What flows behind a broken lead flows out of the row before it.
        let mut remainder: DVector<f64> = arrived.remainder.rows(0, kept).into_owned();
        for (place, lead) in changes.leads.iter().enumerate() {
            if let Some(outer) = lead.outer.row {
                remainder[outer] += arrived.remainder[kept + place];
            }
        }
        let currents = given + &middle * adjoint_response.tr_mul(&remainder);
        let mut driven = solution.sources.clone();
        for (port, current) in ports.iter().zip(currents.iter()) {
            driven.axpy(*current, &port.forwarded, 1.0);
        }
        let before = arrived.volts.rows(0, kept).into_owned();
        let rows = solution.eliminated.backward(&driven, &before);
        let terminal = |row: &usize| Terminal {
            outer: changes.outer_of(kept, *row),
            lead: row.checked_sub(kept),
        };
        let moved_terminals = moved.rows.iter().map(terminal).collect();
        rows.iter()
            .all(|value| value.is_finite())
            .then_some(Altered {
                moved: moved_terminals,
                slopes: moved.slopes,
                base,
                changes,
                ports,
                middle,
                currents,
                impedances: inner,
                remainder,
                volts: arrived.volts,
                rows,
            })
    }
}

/// `D`
pub(super) fn diagonal(changes: &[Change]) -> DMatrix<f64> {
    let siemens = changes.iter().map(|change| change.siemens);
    DMatrix::from_diagonal(&DVector::from_iterator(changes.len(), siemens))
}

/// The rows that devices touch, and those behind broken leads.
struct Extended<'a> {
    before: &'a [Device],
    tangents: &'a [Evaluation],
    from: DVector<f64>,
    origin: DVector<f64>,
    impedances: DMatrix<f64>,
}

impl<'a> Extended<'a> {
    fn new(
        base: &'a Alterable<'_>,
        changes: &Changes,
        inner: &DMatrix<f64>,
        origin: &DVector<f64>,
    ) -> Self {
        let solution = &base.solution;
        let kept = solution.kept.len();
        let whole = kept + changes.leads.len();
        let each = (0..whole).map(|place| changes.outer_of(kept, place));
        let outer: Vec<Option<usize>> = each.collect();
        let spread = |of: &DVector<f64>| {
            DVector::from_fn(whole, |place, _| outer[place].map_or(0.0, |row| of[row]))
        };
        let impedances = DMatrix::from_fn(whole, whole, |i, j| {
            let shared = match (outer[i], outer[j]) {
                (Some(i), Some(j)) => inner[(i, j)],
                _ => 0.0,
            };
            let lead = if i == j && i >= kept {
                changes.leads[i - kept].ohms
            } else {
                0.0
            };
            shared + lead
        });
        Extended {
            before: &solution.reduced.devices,
            tangents: &solution.tangents,
            from: spread(&solution.kept),
            origin: spread(origin),
            impedances,
        }
    }

    fn deviation<'b>(&'b self, devices: &'b [Device]) -> Deviation<'b> {
        Deviation {
            devices,
            before: self.before,
            tangents: self.tangents,
            from: &self.from,
            origin: &self.origin,
            impedances: Impedances {
                solved: &self.impedances,
                parted: None,
                driven: None,
            },
            curvatures: None,
        }
    }

    /// Lets the devices settle, and the glow discharges among them strike and go out. Each may
    /// change its mind once; one that never rests has no operating point.
    fn rest(&self, changes: &mut Changes, start: &DVector<f64>) -> Option<Arrived> {
        let mut start = start.clone();
        let nothing = DVector::zeros(start.len());
        let mut looked_at_dark = false;
        for _ in 0..=2 * changes.devices.len() + 1 {
            let deviation = self.deviation(&changes.devices);
            let arrived = deviation.settle(
                Start {
                    volts: &start,
                    remainder: &nothing,
                },
                TRIAL,
            )?;
            let struck = |(place, device): (usize, &Device)| match device.lit_from() {
                Some(strikes) => deviation
                    .volts_without(place, &arrived.volts)
                    .is_some_and(|volts| volts >= SURELY_STRUCK * strikes),
                None => true,
            };
            if !looked_at_dark && !changes.devices.iter().enumerate().all(struck) {
                looked_at_dark = true;
                changes.devices = changes.devices.iter().map(Device::dark).collect();
                continue;
            }
            looked_at_dark = true;
            let mut devices = changes.devices.iter_mut();
            // One at a time: the first to strike may keep the next from doing so.
            if !devices.any(|device| device.settle_glow(&arrived.volts)) {
                return Some(arrived);
            }
            start = arrived.volts;
        }
        None
    }
}

/// A discharge that is lit had to strike once. It surely did if the volts without its current,
/// by the tangent, are this many times what it strikes at; else it is looked at from the dark.
const SURELY_STRUCK: f64 = 1.15;
