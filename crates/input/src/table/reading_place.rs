//! Which point of the manual a reading is of, and where it was taken.
//!
//! A row of `readings.csv` and the manual come in; the point with its label and its place go out, with a
//! note of a label that the manual does not have. Such a label may be a place of the drawing, as in `V2 plate`.

use circuit::{resolve, PlaceError, Port, Quantity, UnprintedEntry};

use crate::diagnostic::Diagnostic;
use crate::nearest::{did_you_mean, MOST_HINTS};
use crate::table::manual::{Manual, Point};
use crate::table::place::{self, Unplaced};
use crate::table::read_context::Drawn;
use crate::table::row::RowReader;
use crate::values::Reported;

/// Labels shorter than this are similar to every other label.
const LEAST_LABEL_FOR_A_HINT: usize = 3;

/// Shorter labels are no places.
const LEAST_LABEL_OF_A_PLACE: usize = 3;

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
        if let Some(port) = self.place_by_label() {
            return self.printed_at(port, manual, out);
        }
        if self.filled("at").is_none() && self.doubt_pin(out).is_err() {
            return None;
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

    /// The place that a label is by itself, where the row names no other. A number or a letter or two is none: it may
    /// be a node, but stands for a point.
    fn place_by_label(&self) -> Option<Port> {
        let circuit = self.context.circuit.circuit()?;
        let is_number = self.label.chars().all(|letter| letter.is_ascii_digit());
        let is_short = self.label.chars().count() < LEAST_LABEL_OF_A_PLACE;
        if is_number || is_short || self.filled("at").is_some() {
            return None;
        }
        let against = self.words("against").text;
        // As tables show the place of a part.
        let across = self.label.split_once(' ');
        let across = across.filter(|(word, _)| word.eq_ignore_ascii_case("across"));
        let place = across.map_or(self.label.as_str(), |(_, part)| part);
        resolve(circuit, place, &against, &self.context.commons).ok()
    }

    /// Whether the row says where it was taken, by its cell or by its label.
    pub(super) fn is_placed(&self) -> bool {
        self.filled("at").is_some() || self.place_by_label().is_some()
    }

    /// Warns of a label that is a pin of a drawn part which that does not have.
    fn doubt_pin(&self, out: &mut Vec<Diagnostic>) -> Result<(), Reported> {
        let Some(pin) = place::as_pin(&self.label) else {
            return Ok(());
        };
        let Drawn::Whole(circuit) = self.context.circuit else {
            return Ok(());
        };
        match resolve(circuit, &pin, "", &self.context.commons) {
            Err((error @ PlaceError::NoTerminal { .. }, _)) => {
                let warning = self.words("point").warning(&error);
                let help = place::help(&error, circuit, (Unplaced::Doubted, false));
                Err(warning.help(help).report(out))
            }
            _ => Ok(()),
        }
    }

    /// The manual's first point of direct volts at a place, of a reading that states nothing else than volts.
    fn printed_at<'m>(
        &self,
        port: Port,
        manual: &'m Manual,
        out: &mut Vec<Diagnostic>,
    ) -> Option<&'m Point> {
        let stated = ["quantity", "setting"].map(|column| self.filled(column).is_some());
        let mut entries = manual.entries.iter().filter(|_| !stated.contains(&true));
        let entry = entries.find(|entry| {
            let plain = entry.quantity == Quantity::DcVolts && entry.settings.is_empty();
            plain && entry.port == Some(port)
        })?;
        let (label, known) = (&self.label, &entry.point);
        let point = manual.points.alike(known).find(|own| own.label == *known)?;
        let message = format!("'{label}' is where the manual has point '{known}': taken as that");
        out.push(Diagnostic::note(self.words("point").span, message));
        Some(point)
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
            return Ok(listed.or_else(|| self.place_by_label()));
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
