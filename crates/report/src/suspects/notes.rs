//! What the ranking rests on and leaves out, as notes under it.

use circuit::Quantity;
use diagnose::{Unused, WhyUnused, NONE_OF_THESE, NOTHING_WRONG, READING_WRONG, USUAL_AGE};

use crate::figures;
use crate::labels::{gathered, listed};
use crate::views::SuspectsView;

use super::verdict::{counted, tried_pairs};
use super::worth::LEAST_SHARE;

/// Notes on the assumptions, the readings left out and the faults that were not tried.
pub(crate) fn notes(view: &SuspectsView<'_>) -> Vec<String> {
    let suspects = view.suspects;
    let mut notes = vec![
        "Percent: by these readings and by how often parts fail; a suspect's figure includes the \
         lines below it, which read the same."
            .to_owned(),
        format!(
            "Probes that would settle less than {} % of the question are left out.",
            figures::short(LEAST_SHARE * 100.0, 2)
        ),
        format!(
            "Before the readings: nothing wrong {} %, each reading wrongly noted {} %, none of these \
             {} %. Failure rates and shares of faults: MIL-HDBK-217F and 338B as transcribed; those \
             of tubes, many of the shares and the effect of age: common practice. {}",
            figures::percent(NOTHING_WRONG * 100.0),
            figures::short(READING_WRONG * 100.0, 2),
            figures::percent(NONE_OF_THESE * 100.0),
            ages(view)
        ),
    ];
    if !tried_pairs(suspects) {
        notes.push(
            "One fault at a time was tried; --pairs also tries two. A fault that moves no direct \
             voltage, such as a dry capacitor, is not among them."
                .to_owned(),
        );
    }
    notes.extend(beside(view));
    notes.extend(unused(view));
    notes.extend(before_a_repair(view));
    notes.extend(doubted(view));
    if !suspects.not_computed.is_empty() {
        let sum: f64 = suspects.not_computed.iter().map(|one| one.prior).sum();
        notes.push(format!(
            "{} could not be evaluated and {} left out ({} % before the readings).",
            counted(suspects.not_computed.len(), "fault"),
            match suspects.not_computed.len() {
                1 => "is",
                _ => "are",
            },
            figures::probability(sum)
        ));
    }
    notes
}

fn ages(view: &SuspectsView<'_>) -> String {
    let factors = view.job.ages.iter();
    let ages: Vec<String> = factors
        .map(|(class, factor)| format!("{class} × {}", figures::short(*factor, 3)))
        .collect();
    let years = match view.job.age {
        Some(years) => format!("Age of the set: {} years.", figures::short(years, 3)),
        None => format!(
            "Age of the set: {} years; job.toml states none (`age` under [suspects]).",
            figures::short(USUAL_AGE, 3)
        ),
    };
    match ages.is_empty() {
        true => years,
        false => format!("{years} Factors of job.toml: {}.", ages.join(", ")),
    }
}

/// Readings of other quantities that count.
fn beside(view: &SuspectsView<'_>) -> Option<String> {
    let suspects = view.suspects;
    let named = |readings: Vec<usize>| {
        let points = readings.into_iter();
        listed(points.filter_map(|reading| Some(view.job.readings.get(reading)?.point.as_str())))
    };
    let used = suspects.readings.iter();
    let currents = used.filter(|used| used.quantity == Quantity::DcMilliamperes);
    let kinds = [
        ("currents", currents.map(|used| used.reading).collect()),
        ("resistances with the power off", suspects.ohms.clone()),
        ("alternating volts", suspects.alternating.clone()),
    ];
    let told: Vec<String> = kinds
        .into_iter()
        .filter(|(_, readings): &(_, Vec<usize>)| !readings.is_empty())
        .map(|(kind, readings)| format!("{kind} ({})", named(readings)))
        .collect();
    let apart = match suspects.ohms.is_empty() && suspects.alternating.is_empty() {
        true => "",
        false => {
            " Resistances and alternating volts are weighed one by one; the tables of predictions \
             leave them out."
        }
    };
    (!told.is_empty()).then(|| {
        format!(
            "Counted beside the direct volts: {}.{apart}",
            told.join("; ")
        )
    })
}

/// Which values of the manual do not count.
fn doubted(view: &SuspectsView<'_>) -> Option<String> {
    let points = view.suspects.doubted.iter();
    let points = points.filter_map(|entry| Some(view.job.manual.get(*entry)?.point.as_str()));
    let points = listed(points);
    (!points.is_empty()).then(|| {
        format!(
            "The manual is doubted at {points} (see check); there the drawn circuit alone says what \
             the meter should show."
        )
    })
}

/// One line for each reason that a reading is not used for.
fn unused(view: &SuspectsView<'_>) -> Vec<String> {
    let told = gathered(view.suspects.unused.iter().filter_map(|unused| {
        let reading = view.job.readings.get(unused.reading)?;
        Some((unused_words(unused), reading.point.as_str()))
    }));
    told.into_iter()
        .map(|(why, points)| format!("Not used, {why}: {}.", listed(points)))
        .collect()
}

/// Readings that count although a point has changed since: a repair may have moved them too.
fn before_a_repair(view: &SuspectsView<'_>) -> Option<String> {
    let readings = &view.job.readings;
    let again = view.suspects.unused.iter();
    let again: Vec<usize> = again
        .filter(|unused| matches!(unused.why, WhyUnused::ReadAgain))
        .map(|unused| unused.reading)
        .collect();
    let counted: Vec<usize> = view
        .suspects
        .readings
        .iter()
        .map(|used| used.reading)
        .collect();
    let changed = |index: usize| {
        let of_point = |old: &&usize| readings[**old].point == readings[index].point;
        again.iter().find(of_point).copied()
    };
    let stale = |index: &usize| {
        let own = changed(*index).is_none();
        own && counted.iter().any(|other| {
            changed(*other).is_some_and(|old| {
                let order = circuit::read_before(&readings[*index], &readings[*other]);
                // Without dates only what stands above the old reading is surely older.
                order.unwrap_or(*index < old)
            })
        })
    };
    let points = counted.iter().filter(|index| stale(index));
    let points = listed(points.map(|index| readings[*index].point.as_str()));
    (!points.is_empty()).then(|| {
        format!(
            "Used although another point has changed since: {points}; after a repair read them \
             again."
        )
    })
}

/// Why a reading is not used.
pub(crate) fn unused_words(unused: &Unused) -> String {
    match &unused.why {
        WhyUnused::OtherSet => "of another set".to_owned(),
        WhyUnused::ReadAgain => "read again later".to_owned(),
        WhyUnused::BeforeRepair => {
            "out of limits or not judged, and read before other points changed (read them again)"
                .to_owned()
        }
        WhyUnused::AsPrinted => {
            "read as printed where the drawing says otherwise (see check)".to_owned()
        }
        WhyUnused::Quantity(Quantity::AcVolts) => "alternating volts".to_owned(),
        WhyUnused::Quantity(Quantity::Ohms) => "ohms, read with the power off".to_owned(),
        WhyUnused::Quantity(Quantity::DcMilliamperes) => "a current".to_owned(),
        WhyUnused::Quantity(Quantity::DcVolts) => "not to be used".to_owned(),
        WhyUnused::NotDrawn => "circuit not drawn".to_owned(),
        WhyUnused::NoSuchState => "in a state that the drawn circuit does not have".to_owned(),
        WhyUnused::Floating => "no direct current reaches the point".to_owned(),
        WhyUnused::Accuracy(error) => format!("{error}"),
        WhyUnused::NotFinite => "no finite number".to_owned(),
    }
}
