//! The sheet as Markdown.

use crate::compare_table::whole_verdict;
use crate::markdown::escape;
use crate::remarks;

use super::model::Worksheet;
use super::point::SheetPoint;
use super::text::{due_line, facts, found_line, manual_line, probes_line, warning_line};

/// A line to write on.
const BLANK: &str = "\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_";

/// The whole sheet.
pub(crate) fn markdown(sheet: &Worksheet) -> String {
    let mut text = format!("# Worksheet: {}\n\n", escape(&sheet.title));
    text.push_str(&format!(
        "Set or serial no. {BLANK}{BLANK} Date {BLANK}\n\n"
    ));
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
    text.extend(sheet.points.iter().map(point));
    text.push_str(&format!("\n{}\n", escape(remarks::BAND)));
    if let Some(words) = &sheet.words {
        text.push_str(&format!("\n{}\n", escape(words)));
    }
    text
}

fn point(point: &SheetPoint) -> String {
    let mut text = format!(
        "\n### {}: {}\n\n",
        escape(&point.point),
        escape(&probes_line(point))
    );
    if let Some(warning) = &point.danger {
        text.push_str(&format!("- **{}**\n", escape(&warning_line(warning))));
    }
    text.push_str(&format!("- {}\n", escape(&manual_line(&point.manual))));
    for due in &point.bench {
        text.push_str(&format!("- {}\n", escape(&due_line(due))));
    }
    text.push_str(&format!("- as found {BLANK} as left {BLANK}\n"));
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
