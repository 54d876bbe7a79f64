//! Heaters in series in words: which tubes, what an open one means, how it is found.
//!
//! A string of heaters comes in; sentences go out. How likely it is to be open is not known here.

use std::borrow::Cow;

use circuit::{HeaterMember, HeaterMemberKind, HeaterString, Job};
use diagnose::{Hypothesis, Suspects};

use crate::labels::with_last;
use crate::power_off::{is_on_batteries, source_out};

use super::feeds;

/// `V5, V4, V2, V1 or V3`.
fn tubes(string: &HeaterString) -> String {
    with_last(string.tubes().map(|tube| tube.name.clone()), "or")
}

/// Whether the part is a tube of a string of heaters, which an open heater would leave cold as a whole.
pub(super) fn is_in_string(job: &Job, fault: &Hypothesis) -> bool {
    let part = fault.part();
    part.is_some_and(|part| job.circuit.heater_string_of_tube(part).is_some())
}

/// The designation of the part that has the fault; of a string of heaters all its tubes, of a set that is
/// not fed all its sources. None for a set in order, a wrong reading, and none of these.
pub(crate) fn blamed<'a>(job: &'a Job, fault: &Hypothesis) -> Option<Cow<'a, str>> {
    if let Some(string) = fault.open_heater_of(&job.circuit) {
        return Some(tubes(string).into());
    }
    if let Some(sources) = feeds::sources(job, fault) {
        return Some(sources.into());
    }
    let part = job.circuit.part(fault.part()?);
    Some(part.designator.as_str().into())
}

/// An open heater of a string, as a suspect: no volts without a probe at the heaters tell which.
pub(super) fn open_words(string: &HeaterString) -> String {
    format!("heater of {} open: the whole string is cold", tubes(string))
}

/// The same in few words; of several strings by the first tube.
pub(super) fn open_short(job: &Job, string: &HeaterString) -> String {
    match (job.circuit.heater_strings(), string.tubes().next()) {
        ([_], _) | (_, None) => "heater string open".to_owned(),
        (_, Some(first)) => format!("heater string of {} open", first.name),
    }
}

/// Said after the fault of a resistor in series with heaters.
pub(super) fn cold_too(job: &Job, fault: &Hypothesis) -> &'static str {
    let string = fault.broken_string(&job.circuit);
    match string.is_some() && fault.open_heater_of(&job.circuit).is_none() {
        true => "; the heaters in series with it are cold",
        false => "",
    }
}

/// Probability below which no string is looked at.
const LEAST_LOOKED_AT: f64 = 0.05;

/// A string of heaters that may well be open.
pub(super) fn suspected<'a>(job: &'a Job, suspects: &Suspects) -> Option<&'a HeaterString> {
    let members = suspects.hypotheses.iter().flat_map(|one| &one.members);
    let mut likely = members.filter(|member| member.probability >= LEAST_LOOKED_AT);
    likely.find_map(|member| {
        let mut faults = member.faults.iter();
        faults.find_map(|(fault, _)| fault.open_heater_of(&job.circuit))
    })
}

/// The next step with a look before it that costs nothing: whether any tube of the string is warm. Filaments of battery
/// tubes hardly glow, and their tubes hardly get warm.
pub(super) fn look_first(job: &Job, string: &HeaterString, otherwise: &str) -> Option<String> {
    if is_on_batteries(job) {
        return None;
    }
    let look = format!("look whether {} glows or gets warm", tubes(string));
    let test = string_test(job, string);
    Some(match otherwise.contains(&test) {
        true => format!("{look}: if one does, no heater of the string is open. Then {otherwise}"),
        false => format!(
            "{look}. If none does, with the power off {test}. If one does, no heater of the string \
             is open: {otherwise}"
        ),
    })
}

/// How the open one is found. It is not looked for with the power on: it has the whole line across it.
pub(super) fn string_test(job: &Job, string: &HeaterString) -> String {
    let each = with_last(string.tubes().map(heater), "and");
    let resistors = string.members.iter().filter(|one| !one.is_tube());
    let resistors = with_last(resistors.map(|one| one.name.clone()), "and");
    let also = match resistors.is_empty() {
        true => String::new(),
        false => format!(", and of {resistors} in series with them"),
    };
    let live = match is_on_batteries(job) {
        true => "",
        false => " (never with the power on: the whole line is across the open one)",
    };
    format!(
        "({}, capacitors discharged) pull the tubes of the string and measure the ohms of each \
         heater, {each}{also}: the open one shows no continuity{live}",
        source_out(job)
    )
}

/// `V5 pins 2 to 7`.
fn heater(tube: &HeaterMember) -> String {
    match &tube.kind {
        HeaterMemberKind::Tube { pins } if pins.len() == 2 => {
            format!("{} pins {} to {}", tube.name, pins[0], pins[1])
        }
        _ => tube.name.clone(),
    }
}
