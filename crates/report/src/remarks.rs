//! Sentences about single points, for the notes under a table and on a sheet.

use circuit::{Job, ManualEntry, Quantity};
use reconcile::Standing;
use translate::{BandBasis, BenchSide, Carried, NotCarried, Remark, Translation};

use crate::figures::{carried, printed_with_unit, range, with_volts};

/// Said under every table with a band.
pub(crate) const BAND: &str =
    "Band: what a healthy set may show. U: how far off the comparison may \
                               be (95 %), the bench meter's error included; it is no part of the \
                               band.";

/// Said where a range is marked as assumed.
pub(crate) const ASSUMED: &str =
    "~ marks a range that nobody stated: the lowest that holds the value is assumed.";

/// Notes of every point, in the manual's order, each naming its point.
pub(crate) fn notes(job: &Job, translation: &Translation) -> Vec<String> {
    let mut notes = Vec::new();
    let mut left: Vec<(String, Vec<&str>)> = Vec::new();
    for point in &translation.points {
        let Some(entry) = job.manual.get(point.entry) else {
            continue;
        };
        match &point.outcome {
            Ok(carried) => notes.extend(
                sentences(entry, carried)
                    .into_iter()
                    .map(|sentence| format!("Point {}: {sentence}", entry.point)),
            ),
            // Said with the table of its own quantity.
            Err(NotCarried::Quantity(_)) => {}
            Err(reason) => {
                let words = reason_words(reason);
                match left.iter_mut().find(|(known, _)| *known == words) {
                    Some((_, points)) => points.push(&entry.point),
                    None => left.push((words, vec![&entry.point])),
                }
            }
        }
    }
    notes.extend(who_spoke(job, translation));
    notes.extend(
        left.into_iter()
            .map(|(reason, points)| format!("Not translated ({reason}): {}.", points.join(", "))),
    );
    notes
}

/// Where the printed value alone could not judge a reading, or does not set the limits.
fn who_spoke(job: &Job, translation: &Translation) -> Vec<String> {
    let points = |told: fn(&Carried, &BenchSide) -> bool| {
        let labels = translation.points.iter().filter_map(|point| {
            let carried = point.outcome.as_ref().ok()?;
            let own = told(carried, carried.bench.first()?);
            own.then_some(job.manual.get(point.entry)?.point.as_str())
        });
        labels.collect::<Vec<&str>>().join(", ")
    };
    let lines = [
        (
            "Judged by the drawing and the other values, for the printed value alone is too coarse",
            points(|carried, side| carried.is_too_coarse_alone(side)),
        ),
        (
            "Band set by what healthy sets of the drawing show, not by the manual's tolerance",
            points(|_, side| side.band_basis == BandBasis::Drawing),
        ),
        (
            "Printed value left out as a misprint",
            points(|carried, _| carried.manual.standing == Standing::Misprint),
        ),
    ];
    let told = lines.into_iter().filter(|(_, points)| !points.is_empty());
    told.map(|(what, points)| format!("{what}: {points}."))
        .collect()
}

/// The remarks of a translated point.
pub(crate) fn sentences(entry: &ManualEntry, carried: &Carried) -> Vec<String> {
    carried
        .remarks
        .iter()
        .map(|remark| sentence(entry, carried, remark))
        .collect()
}

fn sentence(entry: &ManualEntry, point: &Carried, remark: &Remark) -> String {
    match remark {
        Remark::OtherRange(other) => {
            let meter = point
                .bench
                .first()
                .map_or("the bench meter", |side| &side.meter);
            format!(
                "had the manual's meter stood on {}, expect {} with {meter}.",
                range(other.range.full_scale, false),
                with_volts(&carried(other.expected, entry.figure.resolution))
            )
        }
        Remark::LineNotApplied => {
            "its circuit is not drawn, so the other line voltage is not applied.".to_owned()
        }
        Remark::OffScale => format!(
            "{} does not fit on the {} range; look at the row again.",
            printed_with_unit(&entry.figure, entry.quantity),
            range(point.manual.range.range.full_scale, false)
        ),
        Remark::TwoStates(volts) => format!(
            "the circuit has two stable states; taken is the one that the manual's values show. In the \
             other this point is at {}; a set may wake up in either.",
            with_volts(&carried(*volts, entry.figure.resolution))
        ),
        Remark::BeyondJump(volts) => format!(
            "no state near the drawn one reads {}: on the way there the circuit jumps. From the \
             drawn state expect {}; check the value, the range and the drawing.",
            printed_with_unit(&entry.figure, entry.quantity),
            with_volts(&carried(*volts, entry.figure.resolution))
        ),
    }
}

/// Why a point was left as it is, without a full stop.
pub fn reason_words(reason: &NotCarried) -> String {
    match reason {
        NotCarried::Quantity(quantity) => {
            let what = match quantity {
                Quantity::DcVolts => "direct volts are",
                Quantity::AcVolts => "alternating volts are",
                Quantity::Ohms => "resistances are",
                Quantity::DcMilliamperes => "currents are",
            };
            format!("{what} in a table of their own")
        }
        NotCarried::UnknownMeter => "the manual does not name its meter".to_owned(),
        NotCarried::NotDrawn => {
            "its circuit is not drawn and no source resistance is stated".to_owned()
        }
        NotCarried::Floating => {
            "no direct current can reach it, so its voltage means nothing".to_owned()
        }
        NotCarried::NoState(error) => {
            format!("the circuit as drawn cannot be brought to this value: {error}")
        }
        NotCarried::Unsolved(error) => {
            format!("the circuit has no trustworthy solution: {error}")
        }
    }
}
