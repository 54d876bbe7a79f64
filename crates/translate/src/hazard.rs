//! Which points can hurt, judged by the highest voltage that they can reach.
//!
//! A cathode at 2 V rises to the full supply when its resistor opens, so a point is marked by
//! what its island's sources can put on it and not by the value that the manual prints. Resistors,
//! tubes and transistors deliver no power of their own, so at rest no node lies further from its
//! reference than the sum of the sources' own volts; that sum, at the higher of the two line
//! voltages, is the bound used here. What a choke kicks up at switching off is not in it.
//! Where nothing is drawn, the highest voltage known anywhere in the job stands in.

use circuit::{islands, Job, ManualEntry, PartKind, Port, Quantity};

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

/// Volts from which meter, leads and clips want a look at their rating: 600 V, where many
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

/// One mark for each entry of the manual, in order. A resistance is read with the power off, but
/// its point keeps its mark: the sheet must not call it safe.
pub fn hazards(job: &Job) -> Vec<Hazard> {
    let reaches = island_volts(job);
    let known = job
        .manual
        .iter()
        .filter(|entry| entry.quantity != Quantity::Ohms)
        .filter(|entry| entry.quantity != Quantity::DcMilliamperes)
        .map(|entry| entry.figure.value.abs())
        .chain(reaches.iter().copied())
        .fold(0.0, f64::max);
    job.manual
        .iter()
        .map(|entry| mark(entry, &reaches, known))
        .collect()
}

fn mark(entry: &ManualEntry, reaches: &[f64], known: f64) -> Hazard {
    let island = match entry.port {
        Some(Port { plus, minus }) => reaches[plus.0].max(reaches[minus.0]),
        None => known,
    };
    let (hazardous, lethal) = match entry.quantity {
        Quantity::AcVolts => (HAZARDOUS_AC, LETHAL_AC),
        _ => (HAZARDOUS_DC, LETHAL_DC),
    };
    let printed = match entry.quantity {
        Quantity::DcVolts | Quantity::AcVolts => entry.figure.value.abs(),
        Quantity::Ohms | Quantity::DcMilliamperes => 0.0,
    };
    let volts = island.max(printed);
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

/// For each node, the sum of the sources' volts in its island.
fn island_volts(job: &Job) -> Vec<f64> {
    let mut volts = vec![0.0; job.circuit.nodes().len()];
    for island in islands(&job.circuit) {
        let sum = island
            .parts
            .iter()
            .map(|part| match &job.circuit.part(*part).kind {
                PartKind::Supply(supply) if supply.follows_line => {
                    supply.volts.abs() * job.line_factor().max(1.0)
                }
                PartKind::Supply(supply) => supply.volts.abs(),
                PartKind::Generator(generator) => generator.volts.abs(),
                _ => 0.0,
            })
            .sum();
        for node in island.nodes {
            volts[node.0] = sum;
        }
    }
    volts
}
