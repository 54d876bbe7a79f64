//! What is said of all cells of a chart together: no value, no meter, a pin that is not drawn.

use super::Chart;
use crate::diagnostic::Diagnostic;
use crate::source::Span;
use crate::table::gathered::Gathered;
use crate::table::printed::Printings;
use crate::table::read_context::Drawn;

/// What cells of a chart have in common.
#[derive(Default)]
pub(super) struct Wants {
    pub meter: Gathered,
    pub open: Gathered,
    pub blank: Gathered,
    pub undrawn: Gathered,
    pub printings: Printings,
}

impl Chart<'_> {
    /// Says it.
    pub(super) fn tell(&self, wants: &Wants, out: &mut Vec<Diagnostic>) {
        if let Some((span, cells)) = wants.open.told_of("cell") {
            let message = format!("an open circuit has no value to carry over: {cells}");
            out.push(Diagnostic::note(span, message));
        }
        if let Some((span, cells)) = wants.blank.told_of("cell") {
            out.push(Diagnostic::note(span, format!("no value printed: {cells}")));
        }
        wants.printings.tell(out);
        if let Some((span, cells)) = wants.meter.told_of("cell") {
            let message = format!("no meter is stated for {cells}");
            let help = "write in job.toml, below [as-documented]: `meter = \"20k/V\"`, or \
                        `\"unknown\"`";
            out.push(Diagnostic::error(span, message).help(help).of_row());
        }
        self.tell_undrawn(wants.undrawn.told_of("pin"), out);
    }

    fn tell_undrawn(&self, undrawn: Option<(Span, String)>, out: &mut Vec<Diagnostic>) {
        let Some((span, pins)) = undrawn else { return };
        let netlist = self.by.context.netlist_name;
        let message = match self.by.context.circuit {
            Drawn::Absent => {
                format!("the job has no {netlist}: {pins} kept, but not carried over")
            }
            Drawn::Whole(_) => {
                format!("not drawn in {netlist}: {pins} kept, but not carried over")
            }
            // What seems undrawn may stand in a line that could not be read.
            Drawn::Faulty(_) => return,
        };
        out.push(Diagnostic::note(span, message));
    }
}
