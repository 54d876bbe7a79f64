//! Parts that the drawn circuit works beyond their ratings, in words.

use circuit::Job;
use diagnose::{Burden, Overrated};
use units::{engineering, Unit};

use crate::figures::stated_short;

/// Digits of a current as drawn: tubes and parts scatter by more than the third.
const DIGITS: usize = 2;

/// A sentence for each part.
pub(crate) fn lines(job: &Job, overrated: &[Overrated]) -> Vec<String> {
    overrated.iter().map(|one| line(job, one)).collect()
}

fn line(job: &Job, one: &Overrated) -> String {
    let name = &job.circuit.part(one.part).designator;
    let value = |value: f64, unit: Unit| stated_short(value, unit);
    let amperes = |value: f64| engineering(value, Unit::Ampere, DIGITS);
    match one.burden {
        Burden::Watts => format!(
            "{name} bears {} as drawn, above half of its {}.",
            value(one.bears, Unit::Watt),
            value(one.rating, Unit::Watt)
        ),
        Burden::Volts => format!(
            "{name} has {} across it as drawn, above its {}.",
            value(one.bears, Unit::Volt),
            value(one.rating, Unit::Volt)
        ),
        Burden::Amperes => format!(
            "{name} carries {} as drawn, above the {} of its type.",
            amperes(one.bears),
            amperes(one.rating)
        ),
        Burden::TooFewAmperes => format!(
            "{name} gets {} as drawn, and regulates well only from {} on.",
            amperes(one.bears),
            amperes(one.rating)
        ),
        Burden::PlateWatts | Burden::ScreenWatts => format!(
            "{name} dissipates {} at its {} as drawn, above the {} of its type (from memory).",
            value(one.bears, Unit::Watt),
            what(one.burden),
            value(one.rating, Unit::Watt)
        ),
    }
}

/// What bears too much, in a word.
pub(crate) fn what(burden: Burden) -> &'static str {
    match burden {
        Burden::Watts => "watts",
        Burden::Volts => "volts",
        Burden::Amperes => "amperes",
        Burden::TooFewAmperes => "too few amperes",
        Burden::PlateWatts => "plate",
        Burden::ScreenWatts => "screen",
    }
}
