//! The one part to blame, and how it is mended.
//!
//! The ranked suspects come in; the part that most of the probability blames goes out, whichever of its faults it
//! is, and the repair where that part has already been taken by itself or replaced.

use circuit::{Job, PartId, PartKind, SettingValue};
use diagnose::{Hypothesis, Member, Suspects};
use units::Unit;

use crate::figures;
use crate::places::taken;

use super::part_tests::within;
use super::verdict::leader;

/// Probability from which no further reading is asked for.
pub(super) const SURE: f64 = 0.95;

/// A part, of a tube its first section, and the probability of all its faults together.
pub(super) struct Convicted {
    pub part: PartId,
    pub probability: f64,
}

/// The part of which all likely faults are, whichever it is; none where two parts are left or the leads at a socket
/// are in question, for those stay with the socket.
pub(super) fn convicted(job: &Job, suspects: &Suspects) -> Option<Convicted> {
    let (_, first) = leader(suspects)?;
    let part = blames(job, first)?;
    let members = suspects.hypotheses.iter().flat_map(|one| &one.members);
    let own = members.filter(|member| blames(job, member) == Some(part));
    let probability: f64 = own.map(|member| member.probability).sum();
    (probability >= SURE).then_some(Convicted { part, probability })
}

/// The part of a single fault; of a tube the first section of its socket.
fn blames(job: &Job, member: &Member) -> Option<PartId> {
    let [(fault, _)] = member.faults.as_slice() else {
        return None;
    };
    let string = fault.open_heater_of(&job.circuit);
    let of_a_string = string.is_some_and(|string| string.tubes().count() > 1);
    if of_a_string || matches!(fault, Hypothesis::SectionsSwapped { .. }) {
        return None;
    }
    let part = fault.part()?;
    let sections = job.circuit.sections_of(part);
    Some(sections.first().copied().unwrap_or(part))
}

/// How the part is mended that was replaced or lifted in a reading that counts: no test is asked for twice. None
/// where it was neither.
pub(crate) fn repair(job: &Job, suspects: &Suspects) -> Option<String> {
    let Convicted { part, .. } = convicted(job, suspects)?;
    repair_of(job, suspects, part)
}

/// The same of a tube or semiconductor that leads without being sure: with the good one in place, readings of
/// another date tell whether it was to blame.
pub(super) fn trial_of_leader(job: &Job, suspects: &Suspects) -> Option<String> {
    let (_, first) = leader(suspects)?;
    let part = blames(job, first)?;
    let is_device = matches!(job.circuit.part(part).kind, PartKind::Device(_));
    repair_of(job, suspects, part).filter(|_| is_device)
}

fn repair_of(job: &Job, suspects: &Suspects, id: PartId) -> Option<String> {
    if !was_tested(job, suspects, id) {
        return None;
    }
    let part = job.circuit.part(id);
    let name = taken(part);
    let again = "then read the points again, with a date of their own";
    let fit = |what: String| format!("with the power off fit a sound {name} ({what}), {again}.");
    match &part.kind {
        PartKind::Device(device) => Some(format!(
            "leave the good {} in as {name} and read the points again, with a date of their own: if all are \
             in order, the old one was to blame.",
            device.type_name
        )),
        PartKind::Resistor(_) | PartKind::Inductor(_) => {
            Some(fit(within(part, circuit::PartParameter::Resistance)))
        }
        PartKind::Capacitor(own) => Some(fit(format!(
            "{}, for no fewer volts than the old one",
            figures::stated(own.farads, Unit::Farad)
        ))),
        _ => None,
    }
}

/// Whether a reading was taken with a tube or semiconductor replaced, or one that the leader explains with another
/// part lifted. A good tube that reads as the one before it is not tried again, whatever that leaves unexplained.
pub(super) fn was_tested(job: &Job, suspects: &Suspects, part: PartId) -> bool {
    let Some((first, _)) = leader(suspects) else {
        return false;
    };
    let sections = job.circuit.sections_of(part);
    let part = sections.first().copied().unwrap_or(part);
    let is_device = matches!(job.circuit.part(part).kind, PartKind::Device(_));
    let states: &[SettingValue] = match is_device {
        true => &[SettingValue::Replaced],
        false => &[SettingValue::Out, SettingValue::Alone],
    };
    let volts = suspects.readings.iter().enumerate();
    let volts = volts.filter(|(place, _)| is_device || !first.unexplained.contains(place));
    let volts = volts.map(|(_, used)| used.reading);
    let ohms = suspects.ohms.iter().copied();
    let mut read = volts.chain(ohms.filter(|one| !first.ohms_unexplained.contains(one)));
    read.any(|reading| {
        let point = job.readings.get(reading).map(|own| own.point.as_str());
        let row = point.and_then(|point| job.row_named(point));
        row.is_some_and(|row| {
            let mut settings = job.row(row).settings.iter();
            settings.any(|own| own.part == part && states.contains(&own.value))
        })
    })
}
