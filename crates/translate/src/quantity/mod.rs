//! Resistances, currents and alternating volts: the rows of the manual that are no direct volts.
//!
//! A job comes in; for each such row what the drawing says through the manual's meter, what the bench
//! meters should show, and within which limits, go out. Printed value and drawing are combined point by
//! point (`combine`); the rows of direct volts are reconciled by [`reconcile`]. Values are in ohms,
//! amperes and volts, as the row's quantity has it.

mod alternating;
mod alternating_drawn;
mod alternating_seen;
mod amperes;
mod bench_side;
mod carry;
mod circuits;
mod combine;
mod finish;
mod judged;
mod ohms;
mod row_inputs;

use circuit::{Job, Quantity, RowId};
use reconcile::RangeChoice;
use solver::{ParameterId, SolveError};

use crate::bench::BenchSide;

pub use alternating_drawn::hangs_on_diodes;
pub use alternating_seen::alternating_seen;
pub(crate) use circuits::Circuits;
pub(crate) use judged::judge_reading;
pub use ohms::{ohms_by_parts, ohms_seen, OhmsByParts, OhmsSeen};

/// One row and what became of it.
#[derive(Clone, Debug)]
pub struct QuantityPoint {
    /// The row.
    pub row: RowId,
    /// What is measured.
    pub quantity: Quantity,
    /// What the bench meters should show, or why nothing can be said.
    pub outcome: Result<QuantityCarried, NoAnswer>,
}

/// Why a row is left as it is.
#[derive(Clone, Debug, PartialEq)]
pub enum NoAnswer {
    /// The circuit round the point is not drawn, and no value is printed.
    NotDrawn,
    /// Neither the manual nor the drawing says anything.
    NothingSaid,
    /// A resistance, where the drawing has both probes on one node.
    OnOneNode,
    /// The circuit has no trustworthy solution.
    Unsolved(SolveError),
    /// The place names no single lead of a part that a meter could be put in series with.
    NoLead,
    /// A current through a lead that the drawing has no way for a current through, and no value is
    /// printed.
    NoCurrent,
    /// The manual's meter is not known.
    UnknownMeter,
    /// No generator of the point's frequency is drawn, and no value is printed.
    NoGenerator,
    /// The drawing has too many nodes for a solution at a frequency.
    TooLarge,
}

/// What the manual says of a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Said {
    /// A value.
    Value(f64),
    /// More than so much; of an open circuit the most that the manual's meter could show.
    MoreThan(f64),
    /// Less than so much.
    LessThan(f64),
    /// Nothing: the drawing alone speaks.
    Nothing,
}

/// What the drawing says through the manual's meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrawnValue {
    /// The value; infinite for an open circuit.
    pub value: f64,
    /// Its standard deviation through the spread of the parts.
    pub standard: f64,
}

/// A row carried over.
#[derive(Clone, Debug)]
pub struct QuantityCarried {
    /// What is printed.
    pub said: Said,
    /// What the drawing says; none where it is not drawn.
    pub drawn: Option<DrawnValue>,
    /// How far the printed value lies from the drawing's, in standard deviations of what parts,
    /// rounding and the manual's meter leave open; none where either says no value.
    pub sigmas: Option<f64>,
    /// The range of the manual's meter, stated or assumed; of alternating volts only, for other
    /// ranges are never stated.
    pub manual_range: Option<RangeChoice>,
    /// Each bench meter's side.
    pub bench: Vec<QuantitySide>,
    /// What ought to be said beside the numbers.
    pub remarks: Vec<QuantityRemark>,
}

/// What a bench meter should show.
#[derive(Clone, Debug, PartialEq)]
pub struct QuantitySide {
    /// Expected value, limits and uncertainty, in the unit of the quantity; so is the full scale of its
    /// range. The input is the resistance of the range in ohms.
    pub side: BenchSide,
    /// What it should show with its leads exchanged, where that differs.
    pub exchanged: Option<f64>,
    /// Whether a reading is held against the leads the other way round than the manual's.
    pub turned: bool,
    /// The most that it can show: an ohmmeter shows more as an open circuit.
    pub most: f64,
}

/// Something to say about a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum QuantityRemark {
    /// The drawing is an open circuit there, so that the printed value stands alone.
    DrawnOpen,
    /// The printed value lies far from the drawing's.
    Disagrees,
    /// The drawing has no way for a current through that lead: the printed value stands alone.
    NoCurrent,
    /// Semiconductors conduct under the ohmmeter's own volts: the reading depends on its leads and range.
    Polarity,
    /// A capacitor has to charge before the pointer rests.
    Charging,
    /// A bench meter has no range that holds what it should show.
    BeyondRange,
    /// The meter has no such function.
    NoFunction,
    /// Only the drawing speaks.
    DrawingAlone,
    /// The printed value fits the manual's ohmmeter with its leads the other way round.
    LeadsExchanged,
    /// The meter in series takes more than a hundredth of the current away.
    Burden,
    /// Follows the line voltage, by which the expected value is corrected.
    FollowsLine,
    /// No generator of this frequency is drawn: the drawing gives the load of the meter, not the volts of
    /// the point.
    NotDriven,
    /// The wave is no sine, and each meter makes its own of it.
    Wave,
    /// A bench meter does not state this side of itself; that of the usual class stands in.
    UsualSide,
    /// The limit for an open circuit is assumed: the most that the manual's meter could show.
    AssumedLimit,
}

/// A quantity as the drawing has it through one meter: its value, and its derivatives.
#[derive(Clone, Debug)]
pub(crate) struct Modelled {
    pub(crate) value: f64,
    pub(crate) by_number: Vec<(ParameterId, f64)>,
    /// Variance through numbers that have no name of their own: capacitances, inductances, ratios.
    pub(crate) besides: f64,
}

impl Modelled {
    /// The drawing says nothing.
    pub(crate) fn nothing() -> Self {
        Modelled {
            value: f64::NAN,
            by_number: Vec::new(),
            besides: 0.0,
        }
    }
}

/// Every row that is no direct volts, in the manual's order; rows without a value stand last.
pub fn quantities(job: &Job) -> Vec<QuantityPoint> {
    let mut known = Circuits::new(job);
    job.row_ids()
        .filter_map(|id| {
            let row = job.row(id);
            (row.quantity != Quantity::DcVolts).then(|| QuantityPoint {
                row: id,
                quantity: row.quantity,
                outcome: carry::carry(job, &row, &job.bench.meters, &mut known),
            })
        })
        .collect()
}
