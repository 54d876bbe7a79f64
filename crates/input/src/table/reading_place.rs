//! Which point of the manual a reading is of, and where it was taken.
//!
//! A row of `readings.csv` and the manual come in; the point with its label and its place go out, with a
//! note of a label that the manual does not have.

use circuit::{Port, Quantity, UnprintedEntry};

use crate::diagnostic::Diagnostic;
use crate::nearest::{did_you_mean, MOST_HINTS};
use crate::table::manual::{Manual, Point};
use crate::table::place::{self, Unplaced};
use crate::table::row::RowReader;
use crate::values::Reported;

/// Labels shorter than this are similar to every other label.
const LEAST_LABEL_FOR_A_HINT: usize = 3;

impl RowReader<'_> {
    /// The manual's point with this label, ignoring case where that is unambiguous.
    pub(super) fn known_point<'m>(
        &self,
        manual: &'m Manual,
        out: &mut Vec<Diagnostic>,
    ) -> Option<&'m Point> {
        let alike = || manual.points.alike(&self.label);
        let exact = alike().find(|point| point.label == self.label);
        if exact.is_some() || self.label.is_empty() {
            return exact;
        }
        let mut loose = alike();
        if let (Some(point), None) = (loose.next(), loose.next()) {
            return Some(point);
        }
        if manual.whole {
            let message = format!(
                "the manual has no point '{}'; the reading is kept",
                self.label
            );
            let long =
                self.label.chars().count() >= LEAST_LABEL_FOR_A_HINT && out.len() < MOST_HINTS;
            let pin = place::as_pin(&self.label)
                .filter(|pin| manual.points.alike(pin).next().is_some())
                .map(|pin| format!("did you mean '{pin}'?"));
            let near =
                pin.or_else(|| did_you_mean(&self.label, manual.points.labels()).filter(|_| long));
            let note = Diagnostic::note(self.words("point").span, message);
            out.push(note.maybe_help(near));
        }
        None
    }

    /// Where it was taken: the place that is known already, or else that of the row itself; none if neither is.
    pub(super) fn reading_port(
        &self,
        (point, own_row): (Option<&Point>, Option<&UnprintedEntry>),
        quantity: Quantity,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<Port>, Reported> {
        let listed = point.map(|point| ("the manual", point.port));
        let listed = listed.or(own_row.map(|row| ("the first reading", row.port)));
        let (who, listed) = listed.map_or(("", None), |(who, port)| (who, port));
        if self.filled("at").is_none() {
            return Ok(listed);
        }
        let own = place::port(self, Unplaced::Doubted, out)?;
        place::doubt_same_node(self, quantity, own, out);
        if let (Some(own), Some(listed)) = (own, listed) {
            if own != listed {
                let at = self.words("at");
                let help = format!(
                    "{who}'s place is used; a reading of another place needs a label of its own"
                );
                let warning = at.warning(format!("{who} places this point elsewhere"));
                out.push(warning.help(help));
            }
        }
        Ok(listed.or(own))
    }
}
