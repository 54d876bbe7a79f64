//! In which order the points are probed, and what the stages are called.
//!
//! A job comes in; groups of rows go out: resistances with the power off first, then the
//! supply rails, then stage by stage, last what is read with a part out. Makers number their tubes
//! from the input on (common practice, no source), so without an order of the job's own the highest
//! number comes first: from the output to the input.

use std::cmp::Reverse;

use circuit::{Job, ManualRow, Part, PartKind, RowId, SettingValue};

use super::drawing::{is_at, Drawing, Place};
use crate::labels::gathered;

/// Points that are probed together.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Stage {
    /// The group's heading.
    pub heading: String,
    /// Rows of the manual, in its order.
    pub rows: Vec<RowId>,
}

/// The groups of a job, none of them empty.
pub(crate) fn stages(job: &Job) -> Vec<Stage> {
    let drawing = Drawing::of(job);
    let place = |row| match drawing.place(row) {
        Place::PowerOff => Place::PowerOff,
        _ if is_without_a_part(&row) => Place::PartOut,
        place => place,
    };
    let mut found = gathered(job.row_ids().map(|id| (place(job.row(id)), id)));
    found.sort_by_cached_key(|(place, _)| rank(place, &job.stage_order));
    let alone = found.len() == 1;
    found
        .into_iter()
        .map(|(place, rows)| Stage {
            heading: heading(job, &place, alone),
            rows,
        })
        .collect()
}

/// Whether a part is out of the circuit in this row.
fn is_without_a_part(row: &ManualRow<'_>) -> bool {
    let mut settings = row.settings.iter();
    settings.any(|setting| matches!(setting.value, SettingValue::Out))
}

/// Sorts by the job's order where it names the place, else behind all that it names. Resistances
/// come first unless the job says otherwise: they are read before the set is switched on.
fn rank(place: &Place, order: &[String]) -> (usize, usize, Reverse<u64>, String) {
    let word = match place {
        Place::PowerOff => "power-off",
        Place::Rails => "rails",
        Place::At(designator) => designator,
        Place::Undetermined | Place::PartOut => "",
    };
    let named = order.iter().position(|stage| stage == word);
    let (kind, number) = match place {
        Place::PowerOff => (0, 0),
        Place::Rails => (1, 0),
        Place::At(designator) => (2, number(designator)),
        Place::Undetermined => (3, 0),
        Place::PartOut => (4, 0),
    };
    let by_order = match (named, place) {
        (Some(at), _) => at + 1,
        (None, Place::PowerOff) => 0,
        (None, _) => usize::MAX,
    };
    (by_order, kind, Reverse(number), word.to_owned())
}

/// The number in a designator; 0 without one.
fn number(designator: &str) -> u64 {
    let digits: String = designator
        .chars()
        .skip_while(|c| !c.is_ascii_digit())
        .take_while(char::is_ascii_digit)
        .collect();
    digits.parse().unwrap_or(0)
}

fn heading(job: &Job, place: &Place, alone: bool) -> String {
    match place {
        Place::PowerOff => "Power off: resistances".to_owned(),
        Place::Rails => "Supply rails".to_owned(),
        Place::At(designator) => match type_of(job, designator) {
            Some(name) => format!("{designator}: {name}"),
            None => designator.clone(),
        },
        Place::Undetermined if alone => "All points".to_owned(),
        Place::Undetermined => "Other points".to_owned(),
        Place::PartOut => "Last, power off for each change".to_owned(),
    }
}

fn type_of<'a>(job: &'a Job, designator: &str) -> Option<&'a str> {
    let here = |part: &&Part| is_at(part, designator);
    match &job.circuit.parts().iter().find(here)?.kind {
        PartKind::Device(device) => Some(&device.type_name),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sorted(order: &[&str]) -> Vec<Place> {
        let order: Vec<String> = order.iter().map(|stage| (*stage).to_owned()).collect();
        let at = |name: &str| Place::At(name.to_owned());
        let mut places = vec![
            Place::Undetermined,
            at("V2"),
            at("V10"),
            Place::Rails,
            at("V1"),
            Place::PowerOff,
        ];
        places.sort_by_cached_key(|place| rank(place, &order));
        places
    }

    #[test]
    fn without_an_order_the_output_comes_before_the_input() {
        let at = |name: &str| Place::At(name.to_owned());
        let want = [
            Place::PowerOff,
            Place::Rails,
            at("V10"),
            at("V2"),
            at("V1"),
            Place::Undetermined,
        ];
        assert_eq!(sorted(&[]), want);
    }

    #[test]
    fn the_order_of_the_job_comes_first_and_keeps_the_rest() {
        let at = |name: &str| Place::At(name.to_owned());
        let want = [
            Place::PowerOff,
            at("V1"),
            Place::Rails,
            at("V10"),
            at("V2"),
            Place::Undetermined,
        ];
        assert_eq!(sorted(&["V1", "rails"]), want);
        assert_eq!(sorted(&["rails", "power-off"])[1], Place::PowerOff);
    }
}
