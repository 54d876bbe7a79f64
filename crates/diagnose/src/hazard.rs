//! Which points are dangerous to touch, by the highest voltage that they can reach.
//!
//! A translated manual comes in, a mark for each of its rows goes out. A cathode at 2 V rises by the
//! cut-off of its tube when its resistor opens, and a grid at nothing to the plate supply when its
//! coupler shorts, so a point is marked by the most that its nodes can reach when a part fails
//! ([`WorstCaseVolts`]), and not by the value that the manual prints.
//!
//! What a set in order may show counts too: the volts there with all that the drawing lacks, the
//! limits that the manual allows and those of every bench meter, so that no mark is below a limit
//! that stands on the same sheet. Where nothing is drawn, the highest voltage known anywhere in the job
//! stands in.

use circuit::{ManualRow, NodeId, Port, Quantity, RowId};
use reconcile::Reconciled;
use translate::{Band, Translation};

use crate::worst_case::{conditions_of, WorstCaseVolts};

/// Direct volts from which live parts are to be treated as dangerous: 50 V to ground
/// (29 CFR 1910.333(a)(1)).
pub const HAZARDOUS_DC: f64 = 50.0;

/// Direct volts from which contact can kill: 120 V, the upper end of energy class 2
/// (IEC 62368-1, Table 4; from memory).
pub const LETHAL_DC: f64 = 120.0;

/// Alternating volts, root mean square, that count as dangerous: 30 V (IEC 61010-1, 6.3.1; from
/// memory).
pub const HAZARDOUS_AC: f64 = 30.0;

/// Alternating volts, root mean square, from which contact can kill: 50 V (IEC 62368-1, Table 4;
/// from memory).
pub const LETHAL_AC: f64 = 50.0;

/// Volts from which the ratings of meter, leads and clips have to be checked: 600 V, where many
/// hand-held meters and leads end (common practice, no source).
pub const CHECK_RATING: f64 = 600.0;

/// How dangerous a point is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Danger {
    /// Below every threshold.
    Low,
    /// Dangerous to touch.
    Hazardous,
    /// Contact can kill.
    Lethal,
}

/// A point's danger and the volts behind it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hazard {
    /// The highest volts the point may reach, either sign.
    pub volts: f64,
    /// The mark.
    pub danger: Danger,
    /// Whether the rating of meter and leads has to be looked at.
    pub check_rating: bool,
}

impl Danger {
    /// The word on paper; empty below every threshold.
    pub fn word(self) -> &'static str {
        match self {
            Danger::Low => "",
            Danger::Hazardous => "HAZARDOUS",
            Danger::Lethal => "LETHAL",
        }
    }
}

/// A mark for each row of the manual, printed or not. A resistance is read with the power off, but its
/// point keeps its mark: the sheet must not call it safe.
#[derive(Clone, Debug)]
pub struct Hazards {
    printed: Vec<Hazard>,
    unprinted: Vec<Hazard>,
    /// Of each node of the drawing.
    nodes: Vec<Danger>,
    sum_of_sources: f64,
}

impl Hazards {
    /// The marks of a translated manual.
    pub fn of(translation: &Translation) -> Self {
        let reconciled = &translation.reconciled;
        let job = reconciled.job();
        let worst_case_volts = WorstCaseVolts::of(reconciled);
        let allowed = |id: RowId| (id, allowed(translation, id).fold(0.0, f64::max));
        let allowed: Vec<(RowId, f64)> = job.row_ids().map(allowed).collect();
        let known = allowed.iter().map(|(_, volts)| *volts);
        let known = known.fold(worst_case_volts.known(), f64::max);
        // Rows with a printed value come first.
        let mut marks = allowed.iter().map(|(id, allowed)| {
            let row = job.row(*id);
            let (direct, alternating) = row.port.map_or((known, 0.0), |port| {
                (
                    worst_case_volts.direct(port),
                    worst_case_volts.alternating(port),
                )
            });
            let own = direct.max(*allowed).max(in_order(row, reconciled));
            mark(row.quantity, own, alternating)
        });
        Hazards {
            printed: marks.by_ref().take(job.manual.len()).collect(),
            unprinted: marks.collect(),
            nodes: of_nodes(job.circuit.nodes().len(), &worst_case_volts),
            sum_of_sources: worst_case_volts.sum_of_sources(),
        }
    }

    /// The volts of all drawn sources together, with a tenth for tolerances, at the higher line
    /// voltage: nothing at rest can be further from anything else.
    pub fn sum_of_sources(&self) -> f64 {
        self.sum_of_sources
    }

    /// How dangerous a node of the drawing is, whether a row is of it or not.
    pub fn at_node(&self, node: NodeId) -> Danger {
        self.nodes.get(node.0).copied().unwrap_or(Danger::Lethal)
    }

    /// The mark of a row of the job that was translated.
    pub fn at(&self, row: RowId) -> Hazard {
        match row {
            RowId::Printed(index) => self.printed[index],
            RowId::Unprinted(index) => self.unprinted[index],
        }
    }
}

/// The danger of so many nodes, each by what it may reach.
fn of_nodes(nodes: usize, worst_case_volts: &WorstCaseVolts) -> Vec<Danger> {
    let each = (0..nodes).map(|node| {
        let (plus, minus) = (NodeId(node), NodeId(node));
        let port = Port { plus, minus };
        let direct = worst_case_volts.direct(port);
        mark(
            Quantity::DcVolts,
            direct,
            worst_case_volts.alternating(port),
        )
        .danger
    });
    each.collect()
}

/// Volts, without their sign, that a set in order may show on paper or on a meter: the printed value, the
/// limits of the manual and those of every bench meter; none for ohms and currents.
fn allowed(translation: &Translation, id: RowId) -> impl Iterator<Item = f64> + '_ {
    let row = translation.reconciled.job().row(id);
    let is_volts = matches!(row.quantity, Quantity::DcVolts | Quantity::AcVolts);
    let direct = translation.points.iter();
    let direct = direct.filter(move |point| RowId::Printed(point.entry) == id);
    let direct = direct.filter_map(|point| point.outcome.as_ref().ok());
    let direct = direct.flat_map(|carried| carried.bench.iter());
    let other = translation.quantities.iter();
    let other = other.filter(move |point| point.row == id);
    let other = other.filter_map(|point| point.outcome.as_ref().ok());
    let other = other.flat_map(|carried| carried.bench.iter().map(|bench| &bench.side));
    let bands = direct.chain(other).map(|side| side.band);
    let of_manual = row.figure.map(|figure| Band::of(row.tolerance, figure));
    let limits = bands.chain(of_manual);
    let limits = limits.flat_map(|band| [band.low, band.high]).flatten();
    let volts = limits.chain(row.figure.map(|figure| figure.value));
    volts.map(f64::abs).filter(move |_| is_volts)
}

/// Volts at a point without a meter, in a set in order, with what the drawing lacks there; 0 where
/// none can be told.
fn in_order(row: ManualRow<'_>, reconciled: &Reconciled) -> f64 {
    let expected = row.port.and_then(|port| {
        let conditions = conditions_of(row.settings, reconciled.job());
        reconciled.expected(port, &conditions, 0.0, None).ok()
    });
    expected.map_or(0.0, |expected| expected.volts.abs())
}

/// The mark of a row that may reach `own` volts, held against the thresholds of its quantity, and
/// `alternating` volts, root mean square.
fn mark(quantity: Quantity, own: f64, alternating: f64) -> Hazard {
    let of_quantity = match quantity {
        Quantity::AcVolts => (HAZARDOUS_AC, LETHAL_AC),
        Quantity::DcVolts | Quantity::Ohms | Quantity::DcMilliamperes => (HAZARDOUS_DC, LETHAL_DC),
    };
    let volts = own.max(alternating);
    Hazard {
        volts,
        danger: danger(own, of_quantity).max(danger(alternating, (HAZARDOUS_AC, LETHAL_AC))),
        check_rating: volts >= CHECK_RATING,
    }
}

fn danger(volts: f64, (hazardous, lethal): (f64, f64)) -> Danger {
    if volts >= lethal {
        Danger::Lethal
    } else if volts >= hazardous {
        Danger::Hazardous
    } else {
        Danger::Low
    }
}
