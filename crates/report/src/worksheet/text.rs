//! The sheet for a terminal or a plain printer; legible in black and white.

use crate::compare_table::whole_verdict;
use crate::figures;
use crate::heading::list;
use crate::remarks;
use crate::terminal::join;
use crate::tone::Tone;
use crate::views::Paper;
use crate::wrap::{columns, hanging, wrap};

use super::model::Worksheet;
use super::point::{Due, Found, Printed, SheetPoint, Warning};

/// A box for a reading, wide enough for a pencil.
const BOX: &str = "[          ]";

/// The whole sheet.
pub(crate) fn text(sheet: &Worksheet, paper: Paper) -> String {
    let width = paper.columns();
    let mut lines = wrap(&format!("WORKSHEET: {}", sheet.title), width);
    lines.push("=".repeat(lines.iter().map(|line| columns(line)).max().unwrap_or(0)));
    lines.push("Set or serial no. [                ]  Date [            ]".to_owned());
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
    for point in &sheet.points {
        lines.push("-".repeat(width));
        lines.extend(point_lines(point, paper));
    }
    lines.push("-".repeat(width));
    lines.extend(hanging("", remarks::BAND, width));
    if let Some(words) = &sheet.words {
        lines.extend(hanging("", words, width));
    }
    join(&lines)
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
    lines.extend(hanging(indent, &manual_line(&point.manual), width));
    for due in &point.bench {
        lines.extend(hanging(indent, &due_line(due), width));
    }
    lines.push(format!("{indent}as found {BOX}   as left {BOX}"));
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
    format!(
        "read {} with {}{when}{}{}:",
        found.text, found.with, found.off, found.chance
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
