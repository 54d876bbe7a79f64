//! The rows that devices touch in an altered circuit, those behind broken leads among them.
//!
//! The solved circuit, its changes and where they would move the rows come in; the state in which the devices come to
//! rest goes out, and what their moved slopes do there. What currents the changes draw is not known here.

use std::borrow::Cow;

use nalgebra::{DMatrix, DVector};

use super::change::Changes;
use super::Alterable;
use crate::deviation::{evaluations, ActiveDevices, Arrived, Deviation, Start, TRIAL};
use crate::device::Device;
use crate::impedances::{BehindLeads, Changed, Impedances};
use crate::law::Evaluation;

/// A discharge that is lit had to strike once. It surely did if the volts without its current,
/// by the tangent, are this many times what it strikes at; else it is looked at from the dark.
const SURELY_STRUCK: f64 = 1.15;

/// What slopes do that have moved.
#[derive(Debug)]
pub(super) struct Tangent {
    /// Terminals of devices whose slopes have moved far.
    pub(super) moved: Vec<Terminal>,
    /// Those of them whose currents have.
    pub(super) fed: Vec<Terminal>,
    /// `N`, from the volts of the former to the currents of the latter.
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

/// The rows that devices touch, and those behind broken leads.
pub(super) struct Extended<'a> {
    base: &'a Alterable<'a>,
    from: Cow<'a, DVector<f64>>,
    origin: Cow<'a, DVector<f64>>,
    changed: Changed<'a>,
    /// The row before each broken lead, and the ohms of the lead.
    outer: Vec<Option<usize>>,
    ohms: DVector<f64>,
}

impl<'a> Extended<'a> {
    pub(super) fn new(
        base: &'a Alterable<'_>,
        changes: &Changes<'_>,
        changed: Changed<'a>,
        origin: &'a DVector<f64>,
    ) -> Self {
        let solution = &base.solution;
        let mut made = Extended {
            base,
            from: Cow::Borrowed(&solution.kept),
            origin: Cow::Borrowed(origin),
            changed,
            outer: changes.leads.iter().map(|lead| lead.outer.row).collect(),
            ohms: DVector::from_iterator(
                changes.leads.len(),
                changes.leads.iter().map(|lead| lead.ohms),
            ),
        };
        if changes.leads.is_empty() {
            return made;
        }
        let kept = solution.kept.len();
        let whole = kept + changes.leads.len();
        let spread = |of: &DVector<f64>| {
            DVector::from_fn(whole, |place, _| {
                changes.outer_of(kept, place).map_or(0.0, |row| of[row])
            })
        };
        made.from = Cow::Owned(spread(&solution.kept));
        made.origin = Cow::Owned(spread(origin));
        made
    }

    fn impedances(&self) -> Impedances<'_> {
        let behind = BehindLeads {
            outer: &self.outer,
            ohms: &self.ohms,
        };
        Impedances {
            solved: &self.base.solution.impedances,
            parted: self.base.solution.parted.as_ref(),
            driven: None,
            changed: Some(self.changed),
            behind: Some(behind).filter(|_| !self.outer.is_empty()),
        }
    }

    fn deviation<'b>(&'b self, devices: &'b [Device]) -> Deviation<'b> {
        let solution = &self.base.solution;
        Deviation {
            devices,
            before: &solution.reduced.devices,
            tangents: &solution.tangents,
            from: &self.from,
            origin: &self.origin,
            impedances: self.impedances(),
            curvatures: Some(solution.curvatures()),
        }
    }

    /// What those slopes of active devices do that have moved.
    pub(super) fn tangent(
        &self,
        changes: &Changes<'_>,
        (evaluations, active): (&[Evaluation], &ActiveDevices),
        closely: bool,
    ) -> Option<Tangent> {
        let deviation = self.deviation(&changes.devices);
        let moved = deviation.moved((evaluations, active), closely)?;
        let kept = self.base.solution.kept.len();
        let terminal = |row: usize| Terminal {
            outer: changes.outer_of(kept, row),
            lead: row.checked_sub(kept),
        };
        let weak = moved.weak.into_iter();
        Some(Tangent {
            moved: moved.rows.into_iter().map(terminal).collect(),
            fed: moved.fed.into_iter().map(terminal).collect(),
            slopes: moved.slopes,
            weak: weak
                .map(|(row, column, change)| (terminal(row), terminal(column), change))
                .collect(),
        })
    }

    /// Lets the devices settle, and the glow discharges among them strike and go out. Each may
    /// change its state once; one that changes without end has no operating point.
    pub(super) fn rest(&self, changes: &mut Changes<'_>, start: &DVector<f64>) -> Option<Arrived> {
        let mut start = start.clone();
        let mut remainder = DVector::zeros(start.len());
        let mut looked_at_dark = false;
        // The state in which those are lit that were.
        let mut first: Option<(Vec<bool>, Arrived)> = None;
        for _ in 0..=2 * changes.devices.len() + 1 {
            let deviation = self.deviation(&changes.devices);
            let lit = changes.devices.iter().map(Device::is_lit);
            let known = first.take_if(|(known, _)| lit.clone().eq(known.iter().copied()));
            let from = Start {
                volts: &start,
                remainder: &remainder,
            };
            let arrived = match known {
                Some((_, arrived)) => Some(arrived),
                None => deviation.settle(from, TRIAL),
            };
            let struck = |arrived: &Arrived, place: usize, device: &Device| {
                device.lit_from().is_none_or(|strikes| {
                    let without = deviation.volts_without(place, &arrived.volts);
                    without.is_some_and(|volts| volts >= SURELY_STRUCK * strikes)
                })
            };
            let devices = || changes.devices.iter().enumerate();
            let sure = match &arrived {
                Some(arrived) => devices().all(|(place, own)| struck(arrived, place, own)),
                None => !lit.clone().any(|lit| lit),
            };
            if !looked_at_dark && !sure {
                looked_at_dark = true;
                first = arrived.map(|arrived| (lit.collect(), arrived));
                let dark: Vec<Device> = changes.devices.iter().map(Device::dark).collect();
                changes.devices = dark.into();
                if let Some(known) = self.base.dark() {
                    let kept = known.len();
                    start = DVector::from_fn(start.len(), |place, _| {
                        changes.outer_of(kept, place).map_or(0.0, |row| known[row])
                    });
                    let evaluations = evaluations(&changes.devices, &start);
                    let deviation = self.deviation(&changes.devices);
                    remainder = deviation.remainder(&start, &evaluations);
                }
                continue;
            }
            looked_at_dark = true;
            let arrived = arrived?;
            if !changes.devices.iter().any(Device::glows) {
                return Some(arrived);
            }
            let mut devices = changes.devices.to_mut().iter_mut();
            // One at a time: the first to strike may keep the next from doing so.
            if !devices.any(|device| device.settle_glow(&arrived.volts)) {
                return Some(arrived);
            }
            start = arrived.volts;
            remainder.fill(0.0);
        }
        None
    }
}
