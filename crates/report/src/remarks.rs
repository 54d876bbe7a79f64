//! Sentences about single points, for the notes under a table and on a sheet.

use circuit::{Job, ManualEntry, Quantity};
use translate::{BandBasis, Carried, NotCarried, Remark, Translation};

use crate::figures::{self, carried, printed_with_unit, range, short, with_volts};
use crate::labels::{capital, gathered, listed, named, unbroken};

/// Said under every table with limits.
pub(crate) const BAND: &str = "Limits: what a healthy set may show. U: how far off the comparison \
                               may be (95 %), the bench meter's error included; it is no part of \
                               the limits.";

/// Said where a range is marked as assumed.
pub(crate) const ASSUMED: &str = "A range in brackets is assumed: the lowest that holds the value.";

/// Stands where the manual prints no value and the drawing alone says what to expect.
pub(crate) const NONE_PRINTED: &str = "(none)";

/// What that means in a table.
pub(crate) const UNPRINTED_NOTE: &str =
    "(none): the manual prints no value; what is expected is by the \
     drawing and its other values, and nothing is judged.";

/// The same on a sheet, which shows the sign that some manuals print instead.
pub(crate) const UNPRINTED_ON_SHEET: &str =
    "(none), or a sign such as N.R.: the manual prints no value; what \
     is expected is by the drawing and its other values, and nothing is judged.";

/// Said of a point of direct volts for which the manual prints no value.
pub(crate) const UNPRINTED: &str =
    "No value is printed: expected by the drawing and the other values, and nothing is judged.";

/// Remarks on single points, each naming its point, and the points that are not translated. A range
/// that was assumed is marked in the table and no remark here.
pub(crate) fn notes(job: &Job, translation: &Translation) -> Vec<String> {
    let points = translation.points.iter();
    let carried = points
        .filter_map(|point| Some((job.manual.get(point.entry)?, point.outcome.as_ref().ok()?)));
    let each = carried.flat_map(|(entry, carried)| {
        let told = carried.remarks.iter().zip(sentences(entry, carried));
        let apart =
            |remark: &Remark| matches!(remark, Remark::OtherRange(_) | Remark::TwoStates(_));
        let told = told.filter(move |(remark, _)| !apart(remark));
        told.map(|(_, words)| (words, entry.point.as_str()))
    });
    let mut notes: Vec<String> = gathered(each)
        .iter()
        .map(|(words, points)| format!("{}: {words}", named(points)))
        .collect();
    notes.extend(other_state(job, translation));
    notes.extend(not_translated(job, translation));
    notes
}

/// The other of a circuit's two stable states, once for all points; what to write where a point is in it.
fn other_state(job: &Job, translation: &Translation) -> Option<String> {
    let points = translation.points.iter().filter_map(|point| {
        let (entry, carried) = (job.manual.get(point.entry)?, point.outcome.as_ref().ok()?);
        let mut remarks = carried.remarks.iter();
        let volts = remarks.find_map(|remark| match remark {
            Remark::TwoStates(volts) => Some(*volts),
            _ => None,
        })?;
        Some((entry, carried, volts))
    });
    let mut at = Vec::new();
    let mut meant = Vec::new();
    for (entry, carried, volts) in points {
        let label = entry.point.as_str();
        let shown = figures::carried(volts, entry.figure.resolution);
        at.push(format!("{label} at {}", unbroken(&with_volts(&shown))));
        if is_in_other_state(entry, carried, volts) {
            meant.push(label);
        }
    }
    let ends = match meant.as_slice() {
        [] => "A set may start in either.".to_owned(),
        points => format!("{}: {OTHER_STATE}", named(points)),
    };
    let said = capital(TWO_STATES);
    (!at.is_empty()).then(|| format!("{said} In the other: {}. {ends}", at.join(", ")))
}

/// Said of a circuit with two stable states.
const TWO_STATES: &str =
    "the circuit has two stable states; the one that the manual's values show is taken.";

/// Said of a point whose printed value is that of the other state.
const OTHER_STATE: &str =
    "nearer to the printed value: a row of that state has to say so, such as \
                           `V1A=off` under 'setting'.";

/// Whether the printed value is nearer to the other stable state. The chart of such a circuit often prints both.
fn is_in_other_state(entry: &ManualEntry, point: &Carried, other: f64) -> bool {
    let printed = entry.figure.value;
    let nearer = |drawn: f64| (printed - other).abs() < (printed - drawn).abs();
    point.model.as_documented.is_some_and(nearer)
}

/// A line for each reason that points are not translated for, with what the manual prints there.
fn not_translated(job: &Job, translation: &Translation) -> Vec<String> {
    let points = translation.points.iter();
    let left = points.filter_map(|point| {
        let (entry, reason) = (job.manual.get(point.entry)?, point.outcome.as_ref().err()?);
        let words = with_hint(format!("{}.", reason_words(reason)), hint(job, reason));
        let value = printed_with_unit(&entry.figure, entry.quantity);
        // Other quantities are told of with their own tables.
        let told = !matches!(reason, NotCarried::Quantity(_));
        told.then_some((words, (value, entry.point.as_str())))
    });
    let of_value =
        |(value, points): (String, Vec<&str>)| format!("{} ({})", listed(points), unbroken(&value));
    let line = |(reason, each)| {
        let values: Vec<String> = gathered(each).into_iter().map(of_value).collect();
        format!("Not translated: {}; {reason}", values.join("; "))
    };
    gathered(left).into_iter().map(line).collect()
}

/// Marks for what has to be known of a point, and what each means.
const MARKS: [(char, &str); 3] = [
    (
        'd',
        "judged by the drawing and the other values, for the printed value alone is too coarse",
    ),
    (
        'h',
        "limits by what healthy sets of the drawing show, not by the manual's tolerance",
    ),
    (
        'm',
        "printed value left out: a misprint, or not read with the manual's meter",
    ),
];

/// The marks of a point, one after the other.
pub(crate) fn marks(carried: &Carried) -> String {
    let first = carried.bench.first();
    let holds = |mark: char| match mark {
        'd' => first.is_some_and(translate::BenchSide::is_too_coarse_alone),
        'h' => first.is_some_and(|side| side.band_basis == BandBasis::Drawing),
        _ => carried.manual.value_status.is_left_out(),
    };
    let marks = MARKS.iter().map(|(mark, _)| *mark);
    marks.filter(|mark| holds(*mark)).collect()
}

/// A line that says what the marks of a translation mean; none without any.
pub(crate) fn mark_notes(translation: &Translation) -> Option<String> {
    let carried = translation
        .points
        .iter()
        .filter_map(|point| point.outcome.as_ref().ok());
    let used: String = carried.map(marks).collect();
    let told = MARKS.iter().filter(|(mark, _)| used.contains(*mark));
    let told: Vec<String> = told
        .map(|(mark, words)| format!("{mark}: {words}"))
        .collect();
    (!told.is_empty()).then(|| format!("{}.", told.join("; ")))
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
                "if the manual's meter stood on {}, expect {} with {meter}.",
                range(other.range.full_scale, false),
                with_volts(&carried(other.expected, entry.figure.resolution))
            )
        }
        Remark::LineNotApplied => {
            "its circuit is not drawn, so the other line voltage is not applied.".to_owned()
        }
        Remark::OffScale => format!(
            "{} does not fit on the {} range; check the row.",
            printed_with_unit(&entry.figure, entry.quantity),
            range(point.manual.range.range.full_scale, false)
        ),
        Remark::TwoStates(volts) => {
            let other = with_volts(&carried(*volts, entry.figure.resolution));
            let ends = match is_in_other_state(entry, point, *volts) {
                true => format!(", {OTHER_STATE}"),
                false => "; a set may start in either.".to_owned(),
            };
            format!("{TWO_STATES} In the other this point is at {other}{ends}")
        }
        Remark::OneState => {
            "the circuit has one stable state only, so a state under 'setting' changes nothing."
                .to_owned()
        }
        Remark::AboveSources(volts) => format!(
            "more than the drawn sources can produce, {}: the value, its meter or the drawing is \
             wrong.",
            // One bound for the whole drawing, so the same digits at every point.
            with_volts(&short(*volts, 3))
        ),
        Remark::BeyondRange(place) => {
            let meter = point
                .bench
                .get(*place)
                .map_or("the bench meter", |side| &side.meter);
            format!(
                "above every range of {meter}: do not connect it there. It takes a meter or a probe \
                 rated for it."
            )
        }
        Remark::BeyondJump(volts) => format!(
            "no state near the drawn one reads {}: on the way there the circuit jumps. From the \
             drawn state expect {}; check the value, the range and the drawing.",
            printed_with_unit(&entry.figure, entry.quantity),
            with_volts(&carried(*volts, entry.figure.resolution))
        ),
    }
}

/// What to look at in the circuit of a point that has no answer, without a full stop; none where the
/// reason says it.
pub fn hint(job: &Job, reason: &NotCarried) -> Option<String> {
    match reason {
        NotCarried::NoState(error) | NotCarried::Unsolved(error) => error.hint(&job.circuit),
        NotCarried::Quantity(_)
        | NotCarried::UnknownMeter
        | NotCarried::NotDrawn
        | NotCarried::Floating
        | NotCarried::OnOneNode => None,
    }
}

/// A sentence with its hint behind it.
pub(crate) fn with_hint(sentence: String, hint: Option<String>) -> String {
    match hint {
        Some(hint) => format!("{sentence} Hint: {hint}."),
        None => sentence,
    }
}

/// Why nothing is expected of a value that the drawing shorts.
pub(crate) const ON_ONE_NODE: &str =
    "the drawing has both probes on one node; look for the wrong pin in the netlist or in the row";

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
        NotCarried::OnOneNode => ON_ONE_NODE.to_owned(),
        NotCarried::NoState(error) if error.has_a_state() => error.to_string(),
        NotCarried::NoState(error) => {
            format!("the circuit as drawn cannot be brought to this value: {error}")
        }
        NotCarried::Unsolved(error) => {
            format!("the circuit has no trustworthy solution: {error}")
        }
    }
}
