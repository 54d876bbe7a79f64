//! The sheet as Markdown.

use crate::compare_table::whole_verdict;
use crate::markdown::escape;
use crate::remarks;

use super::cautions::LIVE_CHASSIS_MARK;
use super::model::Worksheet;
use super::point::SheetPoint;
use super::text::{
    again_lines, also, due_line, facts, found_line, manual_line, probes_line, warning_line,
    SUSPECTS,
};

/// A line to write on.
const BLANK: &str = "\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_";

/// The whole sheet.
pub(crate) fn markdown(sheet: &Worksheet) -> String {
    let mut text = format!("# Worksheet: {}\n\n", escape(&sheet.title));
    if let Some(words) = sheet.live_chassis {
        text.push_str(&format!(
            "**!! {LIVE_CHASSIS_MARK}.** {}\n\n",
            escape(words)
        ));
    }
    let serial = match sheet.serial.as_str() {
        "" => format!("{BLANK}{BLANK}"),
        serial => escape(serial),
    };
    text.push_str(&format!("Set or serial no. {serial} Date {BLANK}\n\n"));
    text.extend(
        facts(sheet)
            .iter()
            .map(|fact| format!("- {}\n", escape(fact))),
    );
    text.push_str("\n## Cautions\n\n");
    for (number, caution) in sheet.cautions.iter().enumerate() {
        text.push_str(&format!("{}. {}\n", number + 1, escape(caution)));
    }
    text.push_str(&format!(
        "\n{}\n\n{}\n\n## Points\n",
        escape(sheet.marks),
        escape(sheet.deferring)
    ));
    let mut group = "";
    for one in &sheet.points {
        if one.group != group {
            group = &one.group;
            text.push_str(&format!("\n### {}\n", escape(group)));
        }
        text.push_str(&point(one));
    }
    text.push_str(&format!("\n{}\n", escape(remarks::BAND)));
    let closing = sheet.words.iter().chain(&sheet.sums);
    for words in closing.chain(&sheet.box_note).chain(&sheet.missing) {
        text.push_str(&format!("\n{}\n", escape(words)));
    }
    text.push_str(&suspects(sheet));
    text.push_str(&format!(
        "\n## Notes\n\n{BLANK}{BLANK}{BLANK}\n\nWorked by {BLANK}{BLANK} Date {BLANK}\n"
    ));
    text
}

fn suspects(sheet: &Worksheet) -> String {
    let Some(found) = &sheet.suspects else {
        return String::new();
    };
    let mut text = format!("\n## {SUSPECTS}\n\n");
    text.extend(
        found
            .said
            .iter()
            .map(|words| format!("{}\n\n", escape(words))),
    );
    text.extend(
        found
            .ranking
            .iter()
            .map(|words| format!("- {}\n", escape(words))),
    );
    if !found.next.is_empty() {
        text.push_str("\nNext:\n\n");
    }
    // Numbers are in the words, so that a list would number them twice.
    text.extend(
        found
            .next
            .iter()
            .map(|words| format!("{}\n\n", escape(words))),
    );
    text.trim_end().to_owned() + "\n"
}

fn point(point: &SheetPoint) -> String {
    let mut text = format!(
        "\n#### {}: {}\n\n",
        escape(&point.point),
        escape(&probes_line(point))
    );
    if let Some(warning) = &point.danger {
        text.push_str(&format!("- **{}**\n", escape(&warning_line(warning))));
    }
    if let Some(words) = also(point) {
        text.push_str(&format!("- {}\n", escape(&words)));
    }
    text.push_str(&format!("- {}\n", escape(&manual_line(&point.manual))));
    for due in &point.bench {
        text.push_str(&format!("- {}\n", escape(&due_line(due))));
    }
    for words in again_lines(&point.again) {
        text.push_str(&format!("- {}\n", escape(&words)));
    }
    let boxed = |which: usize| match &point.boxes[which] {
        Some(boxed) => escape(&boxed.text),
        None => BLANK.to_owned(),
    };
    let change = match point.change.as_str() {
        "" => String::new(),
        change => format!(", changed by {change}"),
    };
    text.push_str(&format!(
        "- as found {}, as left {}{change}\n",
        boxed(0),
        boxed(1)
    ));
    for found in &point.found {
        let (word, _) = whole_verdict(found.judged);
        text.push_str(&format!("- {} {word}\n", escape(&found_line(found))));
    }
    for remark in &point.remarks {
        text.push_str(&format!("- {}\n", escape(remark)));
    }
    text.push_str(&format!("- remarks {BLANK}{BLANK}\n"));
    text
}
