//! The drawings of a job's sockets, and their pages.

use circuit::{Job, RowId};
use paper::{
    Block, Document, Locator, Orientation, Picture, Running, Socket as Drawing,
    SocketContact as Drawn, State, Weight,
};
use translate::Verdict;

use super::pins::{contacts, rows, Contact, Told};
use super::seats::{not_drawn, seats, Kind, Seat};
use crate::clean::clean;
use crate::devices::{designation, Socket};
use crate::heading;
use crate::live_chassis::{live_chassis, live_chassis_mark};
use crate::page;
use crate::places::usual_reference;
use crate::reissued_manual::AS_PRINTED;
use crate::views::WorksheetView;

/// Heading of the section.
pub(crate) const SOCKETS: &str = "Sockets, seen from below";

/// What the drawings mean, without the meter.
const KEY: &str = "Pins as you see them with the set turned over. Bold: what the meter should show, in \
    volts where no unit stands, ± expanded uncertainty (95 %). * as printed, not carried over. Filled pin: the reading fails. Thick ring: \
    doubtful. ! hazardous, !! lethal; a pin without a mark is not \
    therefore safe.";

/// What the rows mean.
const ROWS: &str = "Shows: what the meter should show, in volts where no unit stands, ± expanded uncertainty (95 %). * as \
    printed, not carried over. ! hazardous, !! lethal; a pin without a mark is not \
    therefore safe.";

/// Letters of a verdict that stands behind its reading.
const SHORT: usize = 4;

/// White between rows of sockets in one picture, in points.
const APART: (f64, f64) = (24.0, 22.0);

/// Width of a picture of all sockets, in points: two beside each other.
const WIDE: f64 = 774.0;

/// One drawing a socket.
pub(crate) fn pictures(view: &WorksheetView<'_>) -> Vec<Picture> {
    let seats = seats(view.job);
    seats
        .iter()
        .map(|seat| drawing(view, seat).picture())
        .collect()
}

/// All of them in one picture with a title; none in a job without a known socket.
pub(crate) fn picture(view: &WorksheetView<'_>) -> Option<Picture> {
    let all = pictures(view);
    let rows = Picture::in_rows(&all, WIDE, APART.0);
    let mut rows = rows.into_iter().map(|row| {
        let mut row = row.into_iter().cloned();
        let first = row.next().unwrap_or_default();
        row.fold(first, |left, right| left.beside(&right, APART.0))
    });
    let first = rows.next()?;
    let mut whole = rows.fold(first, |upper, lower| upper.above(&lower, APART.1));
    whole.title = title(view.job);
    let live = live_chassis_mark(view.job).map(|mark| format!("{mark}. "));
    Some(whole.headed(&format!("{}{}", live.unwrap_or_default(), key(view))))
}

/// The drawings as pages.
pub(crate) fn document(view: &WorksheetView<'_>) -> Document {
    let drawings = pictures(view);
    let live = live_chassis_mark(view.job);
    let mut blocks: Vec<Block> = live_chassis(view.job)
        .map(|frame| page::blocks(&[frame]))
        .unwrap_or_default();
    match drawings.is_empty() {
        true => blocks.push(Block::paragraph(none(view.job))),
        false => blocks.extend([Block::paragraph(key(view)), Block::Pictures(drawings)]),
    }
    Document {
        title: title(view.job),
        subject: SOCKETS.to_owned(),
        running: Running {
            left: page::shortened(&clean(&heading::title(view.job))),
            right: live.unwrap_or_else(|| SOCKETS.to_owned()),
            foot: "An aid to calculation, not a safety procedure.".to_owned(),
        },
        orientation: Orientation::Landscape,
        blocks,
        ..Document::default()
    }
}

/// Said where there is nothing to draw.
pub(super) fn none(job: &Job) -> String {
    format!(
        "The drawing has no tube with a known base and no transistor.{}",
        not_drawn(job)
    )
}

/// What the whole shows.
pub(super) fn title(job: &Job) -> String {
    format!("{SOCKETS}: {}", clean(&heading::title(job)))
}

/// What the rows mean, with the meter and the common.
pub(super) fn rows_key(view: &WorksheetView<'_>) -> String {
    format!("{}{ROWS}{}", measured(view), not_drawn(view.job))
}

/// What the drawings mean, with the meter and the common.
fn key(view: &WorksheetView<'_>) -> String {
    format!("{}{}", measured(view), key_of_sheet(view.job))
}

/// What the drawings mean, and which tubes have none.
pub(crate) fn key_of_sheet(job: &Job) -> String {
    format!("{KEY}{}", not_drawn(job))
}

/// With what and against what.
fn measured(view: &WorksheetView<'_>) -> String {
    let meter = view.job.bench.meters.first();
    let meter = meter.map_or(String::new(), |meter| {
        format!("Meter: {}. ", clean(&meter.name))
    });
    let common = usual_reference(view.job);
    let common = common.map_or(String::new(), |common| {
        format!("Against {}. ", clean(common))
    });
    let records = circuit::records(&view.job.readings);
    let visits = match records.iter().any(|record| record.readings.len() > 1) {
        true => "Read: the last visit's. ",
        false => "",
    };
    format!("{meter}{common}{visits}")
}

/// The base alone with the pin of this row marked, so many points wide; none where it is at no pin.
pub(crate) fn small_socket(job: &Job, row: RowId, width: f64) -> Option<Picture> {
    seats(job).iter().find_map(|seat| {
        let places = seat.places();
        let here = places
            .iter()
            .find(|place| rows(job, seat, place).contains(&row))?;
        let name = here.name.clone();
        let contacts = places.into_iter().map(|place| Drawn {
            name: place.name,
            degrees: place.degrees,
            state: State::Plain,
            words: Vec::new(),
        });
        let bare = Drawing {
            title: format!("{} pin {name} from below", clean(seat.name)),
            description: String::new(),
            middle: String::new(),
            locator: locator(seat.kind),
            contacts: contacts.collect(),
        };
        Some(bare.small(width, &name))
    })
}

fn locator(kind: Kind<'_>) -> Locator {
    match kind {
        Kind::Base(_, Socket::Octal | Socket::Loctal) => Locator::Key,
        Kind::Base(_, Socket::Old(_)) => Locator::ThickPins,
        Kind::Base(_, Socket::Miniature | Socket::Noval) => Locator::Gap,
        Kind::Base(_, Socket::B8a) | Kind::Leads => Locator::Tab,
    }
}

fn drawing(view: &WorksheetView<'_>, seat: &Seat<'_>) -> Drawing {
    let contacts = contacts(view, seat);
    let (what, middle) = match seat.kind {
        Kind::Base(tube, base) => (base.words(), designation(&tube.base).to_owned()),
        Kind::Leads => ("usual leads, check the case", String::new()),
    };
    Drawing {
        title: format!("{} {}, {what}", clean(seat.name), clean(seat.type_name)),
        description: described(&contacts),
        middle,
        locator: locator(seat.kind),
        contacts: contacts.iter().map(drawn).collect(),
    }
}

fn drawn(contact: &Contact) -> Drawn {
    let verdicts = || contact.told.iter().filter_map(|told| told.verdict);
    let state = if verdicts().any(|verdict| verdict == Verdict::Fail) {
        State::Failing
    } else if verdicts().any(is_doubtful) {
        State::Doubtful
    } else {
        State::Plain
    };
    Drawn {
        name: contact.place.name.clone(),
        degrees: contact.place.degrees,
        state,
        words: words(contact),
    }
}

/// The lines beside a contact.
fn words(contact: &Contact) -> Vec<(String, Weight)> {
    let regular = |words: String| (words, Weight::Regular);
    let mut lines = Vec::new();
    let electrode = format!("{} {}", contact.place.electrode, contact.mark);
    let electrode = match &contact.common {
        Some(common) => format!("{}: {common}", electrode.trim()),
        None => electrode.trim().to_owned(),
    };
    if !electrode.is_empty() {
        lines.push(regular(electrode));
    }
    for told in &contact.told {
        if !told.conditions.is_empty() {
            lines.push(regular(format!("{}:", told.conditions)));
        }
        lines.push((value(told), Weight::Bold));
        let Some(verdict) = told.verdict else {
            continue;
        };
        let bad = verdict == Verdict::Fail || is_doubtful(verdict);
        if bad && !told.limits.is_empty() {
            lines.push(regular(format!("limits {}", told.limits)));
        }
        let weight = match bad {
            true => Weight::Bold,
            false => Weight::Regular,
        };
        let read = format!("read {}", told.read);
        let word = word(verdict);
        // A long word has a line of its own, so that two sockets stand beside each other on either paper.
        if word.len() > SHORT {
            lines.extend([read, word.to_owned()].map(|words| (words, weight)));
        } else {
            lines.push((format!("{read} {word}").trim().to_owned(), weight));
        }
    }
    lines
}

/// What the meter should show, with a sign where it stands as printed.
pub(super) fn value(told: &Told) -> String {
    match told.as_printed {
        true => format!("{}{AS_PRINTED}", told.value),
        false => told.value.clone(),
    }
}

pub(super) fn is_doubtful(verdict: Verdict) -> bool {
    matches!(
        verdict,
        Verdict::ConditionalPass | Verdict::ConditionalFail | Verdict::TooCoarse
    )
}

pub(super) fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::ConditionalPass => "cond. pass",
        Verdict::ConditionalFail => "COND. FAIL",
        Verdict::Fail => "FAIL",
        Verdict::TooCoarse => "too coarse",
        Verdict::NotJudged => "",
    }
}

/// The drawing in a sentence for each contact that something is known of.
fn described(contacts: &[Contact]) -> String {
    let sentence = |contact: &Contact| {
        let lines: Vec<String> = words(contact).into_iter().map(|(words, _)| words).collect();
        (!lines.is_empty()).then(|| format!("{}: {}.", contact.place.name, lines.join(", ")))
    };
    let all: Vec<String> = contacts.iter().filter_map(sentence).collect();
    all.join(" ")
}
