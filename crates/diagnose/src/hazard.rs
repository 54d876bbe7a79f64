//! Which points are dangerous to touch, by the highest voltage that they can reach.
//!
//! A cathode at 2 V rises by the cut-off of its tube when its resistor opens, and a grid at nothing
//! to the plate supply when its coupler shorts, so a point is marked by the most that its nodes can
//! reach under any single fault that the suspects know of, and not by the value that the manual
//! prints. Those volts are worked out with no meter on, at the higher of the two line voltages,
//! under every condition that the manual reads under; a tenth is added for tolerances. The circuit that
//! breaks has the resistances and volts that manual and drawing make likely together, but no source in it is weaker than
//! it is drawn: a mark errs to the safe side. No node at rest lies further from its reference than the
//! sum of its island's sources (resistors, tubes and transistors deliver no power of their own), so
//! that sum, with a tenth as well, is the most that a fault brings, and what is said where the circuit
//! or a faulty one has no operating point.
//!
//! What a set in order may show counts too: the volts there with all that the drawing lacks, the
//! limits that the manual allows and those of every bench meter, so that no mark is below a limit
//! that stands on the same sheet. The surge of a choke at switching off is not included. Where nothing
//! is drawn, the highest voltage known anywhere in the job stands in.

use circuit::{
    sums_by_island, Circuit, Conditions, Job, ManualRow, PartId, PartKind, PartParameter, Port,
    Quantity, RowId, Setting,
};
use reconcile::Reconciled;
use translate::{Band, Translation};

use crate::suspects::highest_volts;

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

/// Times what the drawn values give: supplies and resistors of old sets are known to a tenth
/// (common practice, no source).
const TOLERANCES: f64 = 1.1;

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

/// The highest volts, of either sign, that each node of a circuit can reach.
#[derive(Clone, Debug)]
pub struct WorstCaseVolts {
    by_node: Vec<f64>,
    /// The highest volts known anywhere in the job.
    known: f64,
}

impl WorstCaseVolts {
    /// Works them out from what manual and drawing make likely.
    pub fn of(reconciled: &Reconciled) -> Self {
        let job = reconciled.job();
        let circuit = with_no_weaker_source(&likely(reconciled), &job.circuit);
        let bound = island_volts(&circuit, job);
        let mut conditions = vec![Conditions::default()];
        for row in job.row_ids().map(|id| job.row(id)) {
            if conditions.iter().all(|one| one.settings != row.settings) {
                conditions.push(conditions_of(row.settings, job));
            }
        }
        for one in &mut conditions {
            one.line_factor = highest_line(job);
        }
        let by_node: Vec<f64> = match highest_volts((&circuit, &job.circuit), &conditions, &bound) {
            Some(volts) => volts
                .iter()
                .zip(&bound)
                .map(|(volts, bound)| TOLERANCES * volts.min(*bound))
                .collect(),
            None => bound.iter().map(|bound| TOLERANCES * bound).collect(),
        };
        let printed = job
            .manual
            .iter()
            .filter(|entry| entry.quantity != Quantity::Ohms)
            .filter(|entry| entry.quantity != Quantity::DcMilliamperes)
            .map(|entry| entry.figure.value.abs());
        WorstCaseVolts {
            known: printed.chain(by_node.iter().copied()).fold(0.0, f64::max),
            by_node,
        }
    }

    /// The highest volts of either probe's place above its reference: a hand on the chassis closes
    /// the circuit to that one.
    pub fn at(&self, port: Port) -> f64 {
        self.by_node[port.plus.0].max(self.by_node[port.minus.0])
    }
}

/// A mark for each row of the manual, printed or not. A resistance is read with the power off, but its
/// point keeps its mark: the sheet must not call it safe.
#[derive(Clone, Debug)]
pub struct Hazards {
    printed: Vec<Hazard>,
    unprinted: Vec<Hazard>,
}

impl Hazards {
    /// The marks of a translated manual.
    pub fn of(translation: &Translation) -> Self {
        let reconciled = &translation.reconciled;
        let job = reconciled.job();
        let worst_case_volts = WorstCaseVolts::of(reconciled);
        let allowed = |id: RowId| allowed(translation, id).fold(0.0, f64::max);
        let known = job.row_ids().map(allowed);
        let known = known.fold(worst_case_volts.known, f64::max);
        let marked = |id: RowId| {
            let row = job.row(id);
            let reached = row.port.map_or(known, |port| worst_case_volts.at(port));
            let volts = reached.max(allowed(id)).max(in_order(row, reconciled));
            mark(row.quantity, volts)
        };
        let printed = (0..job.manual.len()).map(RowId::Printed);
        let unprinted = (0..job.unprinted.len()).map(RowId::Unprinted);
        Hazards {
            printed: printed.map(marked).collect(),
            unprinted: unprinted.map(marked).collect(),
        }
    }

    /// The mark of a row of the job that was translated.
    pub fn at(&self, row: RowId) -> Hazard {
        match row {
            RowId::Printed(index) => self.printed[index],
            RowId::Unprinted(index) => self.unprinted[index],
        }
    }
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

fn conditions_of(settings: &[Setting], job: &Job) -> Conditions {
    Conditions {
        settings: settings.to_vec(),
        line_factor: highest_line(job),
    }
}

/// The higher of the two line voltages, over the manual's.
fn highest_line(job: &Job) -> f64 {
    job.line_factor().max(1.0)
}

/// The circuit with its likely resistances and volts. Tubes and semiconductors stay as they are drawn: a little
/// gas current at a grid that has lost its leak would move that to any volts.
fn likely(reconciled: &Reconciled) -> Circuit {
    let numbers = reconciled.numbers().into_iter();
    let own = numbers.filter(|number| !matches!(number.id.parameter, PartParameter::Device(_)));
    let changes = own.map(|number| (number.id.part, number.id.parameter, number.change));
    reconciled.job().circuit.varied(changes)
}

/// A circuit in which each source has at least its drawn volts.
fn with_no_weaker_source(likely: &Circuit, drawn: &Circuit) -> Circuit {
    let pairs = likely.parts().iter().zip(drawn.parts()).enumerate();
    let changes = pairs.filter_map(
        |(place, (likely, drawn))| match (&likely.kind, &drawn.kind) {
            (PartKind::Supply(likely), PartKind::Supply(drawn))
                if likely.volts.abs() < drawn.volts.abs() =>
            {
                let change = drawn.volts - likely.volts;
                Some((PartId(place), PartParameter::Volts, change))
            }
            _ => None,
        },
    );
    likely.varied(changes)
}

fn mark(quantity: Quantity, volts: f64) -> Hazard {
    let (hazardous, lethal) = match quantity {
        Quantity::AcVolts => (HAZARDOUS_AC, LETHAL_AC),
        Quantity::DcVolts | Quantity::Ohms | Quantity::DcMilliamperes => (HAZARDOUS_DC, LETHAL_DC),
    };
    Hazard {
        volts,
        danger: if volts >= lethal {
            Danger::Lethal
        } else if volts >= hazardous {
            Danger::Hazardous
        } else {
            Danger::Low
        },
        check_rating: volts >= CHECK_RATING,
    }
}

/// For each node of a circuit, the sum of the sources' volts in its island.
fn island_volts(circuit: &Circuit, job: &Job) -> Vec<f64> {
    sums_by_island(circuit, |part| match &part.kind {
        PartKind::Supply(supply) if supply.follows_line => supply.volts.abs() * highest_line(job),
        PartKind::Supply(supply) => supply.volts.abs(),
        PartKind::Generator(generator) => generator.volts.abs(),
        PartKind::Resistor(_)
        | PartKind::Potentiometer(_)
        | PartKind::Capacitor(_)
        | PartKind::Inductor(_)
        | PartKind::Transformer(_)
        | PartKind::Lamp(_)
        | PartKind::Contact(_)
        | PartKind::Device(_) => 0.0,
    })
}
