//! The sheet for a terminal or a plain printer; legible in black and white.

use crate::compare_table::whole_verdict;
use crate::figures;
use crate::heading::list;
use crate::remarks;
use crate::terminal::join;
use crate::tone::Tone;
use crate::views::Paper;
use crate::wrap::{columns, hanging, wrap};

use super::cautions::LIVE_CHASSIS_MARK;
use super::model::Worksheet;
use super::point::{Due, Printed, SheetPoint, Warning};
use super::reading::Found;
use super::same_place::Again;

/// A box for a reading, wide enough for a pencil.
const BOX: &str = "[          ]";

/// Stands above what the readings say of the parts.
pub(crate) const SUSPECTS: &str = "Suspects by the readings so far";

/// Lines to write on at the end.
const NOTE_LINES: usize = 4;

/// The whole sheet.
pub(crate) fn text(sheet: &Worksheet, paper: Paper) -> String {
    let width = paper.columns();
    let mut lines = wrap(&format!("WORKSHEET: {}", sheet.title), width);
    lines.push("=".repeat(lines.iter().map(|line| columns(line)).max().unwrap_or(0)));
    if let Some(words) = sheet.live_chassis {
        let marked = format!("!! {LIVE_CHASSIS_MARK}. {words}");
        lines.extend(hanging("", &marked, width));
        lines.push("=".repeat(width));
    }
    lines.extend(match sheet.serial.as_str() {
        "" => vec!["Set or serial no. [                ]  Date [            ]".to_owned()],
        serial => {
            let mut lines = hanging("", &format!("Set or serial no.: {serial}"), width);
            lines.push("Date [            ]".to_owned());
            lines
        }
    });
    for fact in facts(sheet) {
        lines.extend(hanging("", &fact, width));
    }
    lines.push(String::new());
    lines.push("CAUTIONS".to_owned());
    for (number, caution) in sheet.cautions.iter().enumerate() {
        lines.extend(hanging(&format!("{:>2}. ", number + 1), caution, width));
    }
    lines.extend(hanging("", sheet.marks, width));
    lines.extend(hanging("", sheet.deferring, width));
    let mut group = "";
    for point in &sheet.points {
        lines.push("-".repeat(width));
        if point.group != group {
            group = &point.group;
            lines.extend(hanging("", &group.to_uppercase(), width));
            lines.push("-".repeat(width));
        }
        lines.extend(point_lines(point, paper));
    }
    lines.push("-".repeat(width));
    lines.extend(hanging("", remarks::BAND, width));
    let closing = sheet.words.iter().chain(&sheet.sums);
    for words in closing.chain(&sheet.box_note).chain(&sheet.missing) {
        lines.extend(hanging("", words, width));
    }
    lines.extend(suspect_lines(sheet, width));
    lines.push(String::new());
    lines.push("NOTES".to_owned());
    lines.extend((0..NOTE_LINES).map(|_| format!("\n{}", "_".repeat(width.min(80) - 8))));
    lines.push("\nWorked by ______________________________  Date ____________".to_owned());
    join(&lines)
}

fn suspect_lines(sheet: &Worksheet, width: usize) -> Vec<String> {
    let Some(found) = &sheet.suspects else {
        return Vec::new();
    };
    let mut lines = vec![String::new(), SUSPECTS.to_uppercase()];
    for words in &found.said {
        lines.extend(hanging("", words, width));
    }
    for words in &found.ranking {
        lines.extend(hanging("  [ ] ", words, width));
    }
    if !found.next.is_empty() {
        lines.push("Next".to_owned());
    }
    for words in &found.next {
        lines.extend(hanging("  ", words, width));
    }
    lines
}

/// The facts above the cautions.
pub(crate) fn facts(sheet: &Worksheet) -> Vec<String> {
    let mut facts = vec![
        format!(
            "Manual read with: {}",
            list(&sheet.manual_meters, "no meter")
        ),
        format!(
            "On the bench: {}",
            list(&sheet.bench_meters, "no meter named")
        ),
    ];
    facts.extend(sheet.meter_note.clone());
    match (&sheet.line, sheet.manual_line.or(sheet.bench_line)) {
        (Some(line), _) => facts.push(line.clone()),
        (None, Some(volts)) => facts.push(format!(
            "Line: {}",
            figures::stated(volts, units::Unit::Volt)
        )),
        (None, None) => {}
    }
    facts.extend(sheet.rails_as_read.clone());
    if !sheet.conditions.is_empty() {
        facts.push(format!("Conditions: {}", sheet.conditions));
    }
    facts
}

fn point_lines(point: &SheetPoint, paper: Paper) -> Vec<String> {
    let width = paper.columns();
    let indent = "     ";
    let mut lines = match columns(&point.point) < indent.len() - 1 {
        true => hanging(&pad(&point.point, indent), &probes_line(point), width),
        false => {
            let mut lines = wrap(&point.point, width);
            lines.extend(hanging(indent, &probes_line(point), width));
            lines
        }
    };
    if let Some(warning) = &point.danger {
        let words = warning_line(warning);
        let mark = format!("{} {}", warning.sign, warning.word);
        lines.extend(hanging(indent, &words, width).into_iter().map(|line| {
            match line.trim_start().strip_prefix(&mark) {
                Some(rest) => format!("{indent}{}{rest}", Tone::Bad.paint(&mark, paper.colour)),
                None => line,
            }
        }));
    }
    if let Some(words) = also(point) {
        lines.extend(hanging(indent, &words, width));
    }
    lines.extend(hanging(indent, &manual_line(&point.manual), width));
    for due in &point.bench {
        lines.extend(hanging(indent, &due_line(due), width));
    }
    for words in again_lines(&point.again) {
        lines.extend(hanging(indent, &words, width));
    }
    lines.extend(hanging(indent, &boxes_line(point, BOX), width));
    for found in &point.found {
        lines.extend(found_lines(found, indent, paper));
    }
    for remark in &point.remarks {
        lines.extend(hanging(indent, remark, width));
    }
    lines.push(format!(
        "{indent}remarks {}",
        "_".repeat(width.min(80) - 20)
    ));
    lines
}

fn pad(label: &str, indent: &str) -> String {
    crate::wrap::pad_right(&crate::clean::clean(label), indent.len())
}

/// Where both probes go; red is plus and black is common, as is the trade's custom.
pub(crate) fn probes_line(point: &SheetPoint) -> String {
    format!("red to {}, black to {}", point.red, point.black)
}

/// The mark, how far the point may go, and what to look at.
pub(crate) fn warning_line(warning: &Warning) -> String {
    let volts = warning.volts.map_or(String::new(), |volts| {
        format!(": may reach {}", figures::with_volts(&volts.text()))
    });
    let rating = match warning.check_rating {
        true => ", check meter and lead rating",
        false => "",
    };
    format!("{} {}{volts}{rating}", warning.sign, warning.word)
}

/// The other names of a point; none without any.
pub(crate) fn also(point: &SheetPoint) -> Option<String> {
    (!point.also.is_empty()).then(|| format!("also: {}", point.also.join(", ")))
}

/// What the manual says and with what.
pub(crate) fn manual_line(manual: &Printed) -> String {
    let range = match (manual.range, manual.range_assumed) {
        (Some(volts), Some(true)) => {
            format!(" on {} (range assumed)", figures::range(volts, false))
        }
        (Some(volts), _) => format!(" on {}", figures::range(volts, false)),
        (None, _) => String::new(),
    };
    if manual.meter.is_empty() {
        return format!("manual says {}", manual.text);
    }
    format!("manual says {} with {}{range}", manual.text, manual.meter)
}

/// What the manual says of the place under its further names; names of which it says the same stand
/// together.
pub(crate) fn again_lines(agains: &[Again]) -> Vec<String> {
    let mut told: Vec<(Vec<String>, Vec<&str>)> = Vec::new();
    for again in agains {
        let dues: Vec<String> = again.bench.iter().map(due_line).collect();
        let said: Vec<String> = std::iter::once(manual_line(&again.manual))
            .chain(dues)
            .collect();
        let lines: Vec<String> = std::iter::once(said.join("; "))
            .chain(again.remarks.iter().cloned())
            .collect();
        match told.iter_mut().find(|(known, _)| *known == lines) {
            Some((_, names)) => names.push(&again.point),
            None => told.push((lines, vec![&again.point])),
        }
    }
    told.into_iter()
        .flat_map(|(lines, names)| {
            let names = names.join(", ");
            lines
                .into_iter()
                .map(move |line| format!("{names}: {line}"))
        })
        .collect()
}

/// What the bench meter should show.
pub(crate) fn due_line(due: &Due) -> String {
    let range = due.range.map_or(String::new(), |volts| {
        format!(" on {}", figures::range(volts, false))
    });
    let mut expected = due.expected.map_or("—".to_owned(), |value| value.text());
    if let Some(uncertainty) = due.uncertainty {
        expected = format!("{expected}\u{a0}±\u{a0}{}", uncertainty.text());
    }
    let limits = match due.limits.as_str() {
        "" => ", no limits stated".to_owned(),
        limits => format!(", limits {}", figures::with_volts(limits)),
    };
    format!(
        "{}{range} should show {}{limits}",
        due.meter,
        figures::with_volts(&expected)
    )
}

/// Both boxes, filled with what was read so far.
pub(crate) fn boxes_line(point: &SheetPoint, blank: &str) -> String {
    let filled = |which: usize| match &point.boxes[which] {
        Some(boxed) => format!("[ {} ]", boxed.text).replace(' ', "\u{a0}"),
        None => blank.replace(' ', "\u{a0}"),
    };
    let change = match point.change.as_str() {
        "" => String::new(),
        change => format!(", changed by {change}"),
    };
    let line = format!("as found {}\u{a0}\u{a0} as left {}", filled(0), filled(1));
    format!("{line}{change}")
}

/// A reading taken, without its verdict.
pub(crate) fn found_line(found: &Found) -> String {
    let mut when = [found.set.as_str(), found.date.as_str()]
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect::<Vec<_>>()
        .join(", ");
    if !when.is_empty() {
        when = format!(" ({when})");
    }
    let off = match found.off_percent.as_str() {
        "" => String::new(),
        percent => format!(", {percent} % off"),
    };
    let chance = match found.chance_percent.as_str() {
        "" => String::new(),
        percent => format!(", p {percent} %"),
    };
    format!(
        "read {} with {}{when}{off}{chance}:",
        found.text, found.with
    )
}

fn found_lines(found: &Found, indent: &str, paper: Paper) -> Vec<String> {
    let (word, tone) = whole_verdict(found.judged);
    // In one piece, so that it can be coloured.
    let line = format!("{} {}", found_line(found), word.replace(' ', "\u{a0}"));
    let mut lines = hanging(indent, &line, paper.columns());
    if let Some(last) = lines.pop() {
        let painted = match last.strip_suffix(word) {
            Some(before) => format!("{before}{}", tone.paint(word, paper.colour)),
            None => last,
        };
        lines.push(painted);
    }
    lines
}
