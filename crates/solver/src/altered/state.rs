//! The altered circuit's operating point.

use std::borrow::Cow;
use std::cell::OnceCell;
use std::sync::Arc;

use circuit::Alteration;
use nalgebra::{DMatrix, DVector};

use super::change::{Change, Changes};
use super::Alterable;
use crate::deviation::{Arrived, Deviation, Start, TRIAL};
use crate::device::Device;
use crate::impedances::{Changed, Impedances, Parted};
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
    /// `q`: the current in amperes into the circuit at each change.
    pub(super) currents: DVector<f64>,
    /// What the devices' currents leave over the tangent, at the rows they touched before.
    pub(super) remainder: DVector<f64>,
    /// Volts of the rows that devices touch, then of those behind broken leads.
    pub(super) volts: DVector<f64>,
    /// What the devices do there.
    evaluations: Vec<Evaluation>,
    /// The effect of their moved slopes, for readings of ports.
    pub(super) tangent: Tangent,
    /// The same closely, made when asked for.
    closely: OnceCell<Option<Tangent>>,
    rows: OnceCell<DVector<f64>>,
}

/// What slopes do that have moved.
#[derive(Debug)]
pub(super) struct Tangent {
    /// Terminals whose slopes have moved far.
    pub(super) moved: Vec<Terminal>,
    /// `N`, among those terminals.
    pub(super) slopes: DMatrix<f64>,
    /// Slopes that have moved a little, each between two terminals.
    pub(super) weak: Vec<(Terminal, Terminal, f64)>,
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
        mut changes: Changes<'a>,
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
        let mut origin = DVector::zeros(kept);
        for (port, given) in ports.iter().zip(given.iter()) {
            origin.axpy(*given, &port.response, 1.0);
        }
        let extended = Extended::new(base, &changes, (&ports, &middle), &origin);
        let arrived = extended.rest(&mut changes, start)?;
        let tangent = extended.tangent(&changes, &arrived.evaluations, false)?;
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
        let currents = given + &middle * DVector::from_iterator(count, across);
        let found = Altered {
            base,
            changes,
            ports,
            middle,
            currents,
            remainder,
            volts: arrived.volts,
            evaluations: arrived.evaluations,
            tangent,
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

    /// What the moved slopes do, closely.
    pub(super) fn closely(&self) -> Option<&Tangent> {
        let made = self.closely.get_or_init(|| {
            let nothing = DVector::zeros(self.base.solution.kept.len());
            let changed = (&self.ports[..], &self.middle);
            let extended = Extended::new(self.base, &self.changes, changed, &nothing);
            extended.tangent(&self.changes, &self.evaluations, true)
        });
        made.as_ref()
    }

    /// `K = J⁻¹ − J⁻¹C M CᵀJ⁻¹` among the rows that devices touch.
    pub(super) fn impedances(&self) -> Impedances<'_> {
        Impedances {
            solved: &self.base.solution.impedances,
            parted: self.base.solution.parted.as_ref(),
            driven: None,
            changed: Some(Changed {
                ports: &self.ports,
                middle: &self.middle,
            }),
        }
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
    from: Cow<'a, DVector<f64>>,
    origin: Cow<'a, DVector<f64>>,
    solved: (&'a DMatrix<f64>, Option<&'a Parted>),
    changed: Changed<'a>,
    /// Written out where leads are broken.
    written_out: Option<DMatrix<f64>>,
}

impl<'a> Extended<'a> {
    fn new(
        base: &'a Alterable<'_>,
        changes: &Changes<'_>,
        (ports, middle): (&'a [Arc<Prepared>], &'a DMatrix<f64>),
        origin: &'a DVector<f64>,
    ) -> Self {
        let solution = &base.solution;
        let mut made = Extended {
            before: &solution.reduced.devices,
            tangents: &solution.tangents,
            from: Cow::Borrowed(&solution.kept),
            origin: Cow::Borrowed(origin),
            solved: (&solution.impedances, solution.parted.as_ref()),
            changed: Changed { ports, middle },
            written_out: None,
        };
        if changes.leads.is_empty() {
            return made;
        }
        let kept = solution.kept.len();
        let whole = kept + changes.leads.len();
        let each = (0..whole).map(|place| changes.outer_of(kept, place));
        let outer: Vec<Option<usize>> = each.collect();
        let spread = |of: &DVector<f64>| {
            DVector::from_fn(whole, |place, _| outer[place].map_or(0.0, |row| of[row]))
        };
        let inner = made.impedances();
        let written_out = DMatrix::from_fn(whole, whole, |i, j| {
            let shared = match (outer[i], outer[j]) {
                (Some(i), Some(j)) => inner.at(i, j),
                _ => 0.0,
            };
            let lead = if i == j && i >= kept {
                changes.leads[i - kept].ohms
            } else {
                0.0
            };
            shared + lead
        });
        made.written_out = Some(written_out);
        made.from = Cow::Owned(spread(&solution.kept));
        made.origin = Cow::Owned(spread(origin));
        made
    }

    fn impedances(&self) -> Impedances<'_> {
        match &self.written_out {
            Some(solved) => Impedances {
                solved,
                parted: None,
                driven: None,
                changed: None,
            },
            None => Impedances {
                solved: self.solved.0,
                parted: self.solved.1,
                driven: None,
                changed: Some(self.changed),
            },
        }
    }

    fn deviation<'b>(&'b self, devices: &'b [Device]) -> Deviation<'b> {
        Deviation {
            devices,
            before: self.before,
            tangents: self.tangents,
            from: &self.from,
            origin: &self.origin,
            impedances: self.impedances(),
            curvatures: None,
        }
    }

    /// What those slopes do that have moved.
    fn tangent(
        &self,
        changes: &Changes<'_>,
        evaluations: &[Evaluation],
        closely: bool,
    ) -> Option<Tangent> {
        let deviation = self.deviation(&changes.devices);
        let moved = deviation.moved(evaluations, closely)?;
        let kept = self.solved.0.nrows();
        let terminal = |row: usize| Terminal {
            outer: changes.outer_of(kept, row),
            lead: row.checked_sub(kept),
        };
        let weak = moved.weak.into_iter();
        Some(Tangent {
            moved: moved.rows.into_iter().map(terminal).collect(),
            slopes: moved.slopes,
            weak: weak
                .map(|(row, column, change)| (terminal(row), terminal(column), change))
                .collect(),
        })
    }

    /// Lets the devices settle, and the glow discharges among them strike and go out. Each may
    /// change its state once; one that changes without end has no operating point.
    fn rest(&self, changes: &mut Changes<'_>, start: &DVector<f64>) -> Option<Arrived> {
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
                changes.devices = changes
                    .devices
                    .iter()
                    .map(Device::dark)
                    .collect::<Vec<_>>()
                    .into();
                continue;
            }
            looked_at_dark = true;
            if !changes.devices.iter().any(Device::glows) {
                return Some(arrived);
            }
            let mut devices = changes.devices.to_mut().iter_mut();
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
