//! The suspects as rows for a spreadsheet.

use std::borrow::Cow;

use circuit::{Job, Quantity};
use diagnose::{AmbiguityGroup, Hypothesis, Member, Size, SizeUnit};

use crate::csv_text::{maybe, number, CsvTable};
use crate::views::{Explained, SuspectsView};

use super::explain::asked_for;
use super::strings::blamed;
use super::words::suspect_words;

/// The ranking, or predictions point by point where something is to be explained of every job.
pub(crate) fn csv(views: &[SuspectsView<'_>]) -> CsvTable {
    match views.iter().any(|view| view.explain.is_some()) {
        true => predictions(views),
        false => ranking(views),
    }
}

/// One row a fault, all of them.
fn ranking(views: &[SuspectsView<'_>]) -> CsvTable {
    let mut rows = Vec::new();
    for view in views {
        for (rank, suspect) in view.suspects.hypotheses.iter().enumerate() {
            let members = suspect.members.iter();
            rows.extend(members.map(|member| fault(view, rank, suspect, member)));
        }
    }
    let heads = "job,rank,suspect,part,fault,size,size low,size high,size unit,\
         probability of the rank,probability,probability before the readings,\
         log likelihood,readings used,points not explained";
    CsvTable::listed(heads, rows)
}

fn fault(
    view: &SuspectsView<'_>,
    rank: usize,
    suspect: &AmbiguityGroup,
    member: &Member,
) -> Vec<String> {
    let job = view.job;
    let sizes = |value: fn(&Size) -> f64| {
        joined(member, |_, size| {
            size.map_or(String::new(), |size| number(value(size)))
        })
    };
    let odd = suspect.unexplained.iter();
    let odd = odd.filter_map(|place| point(view, *place));
    let ohms = suspect.ohms_unexplained.iter();
    let ohms = ohms.filter_map(|reading| Some(job.readings.get(*reading)?.point.clone()));
    let odd = odd.map(String::from).chain(ohms);
    vec![
        job.folder.clone(),
        (rank + 1).to_string(),
        suspect_words(job, member),
        joined(member, |fault, _| designator(job, fault)),
        joined(member, |fault, _| fault.name().to_owned()),
        sizes(|size| size.to),
        sizes(|size| size.low),
        sizes(|size| size.high),
        joined(member, |_, size| {
            size.map_or("", |size| unit(size.unit)).to_owned()
        }),
        number(suspect.probability),
        number(member.probability),
        number(member.prior),
        number(member.log_likelihood),
        view.suspects.counted().to_string(),
        odd.collect::<Vec<_>>().join("; "),
    ]
}

/// Something of each fault of a member, one after the other.
fn joined(member: &Member, of: impl Fn(&Hypothesis, Option<&Size>) -> String) -> String {
    let faults = member.faults.iter();
    let each: Vec<String> = faults
        .map(|(fault, size)| of(fault, size.as_ref()))
        .collect();
    each.join("; ")
}

/// One row a reading of each fault that is to be explained.
fn predictions(views: &[SuspectsView<'_>]) -> CsvTable {
    let mut rows = Vec::new();
    for view in views {
        let asked = view.explain.unwrap_or(Explained::NothingWrong);
        for (rank, suspect, member) in asked_for(view.job, view.suspects, asked) {
            for (place, used) in view.suspects.readings.iter().enumerate() {
                let predicted = member.predicted.get(place).copied();
                let sigma = suspect.sigma.get(place).copied();
                rows.push(vec![
                    view.job.folder.clone(),
                    (rank + 1).to_string(),
                    suspect_words(view.job, member),
                    number(member.probability),
                    point(view, place).unwrap_or_default().to_owned(),
                    unit_of(used.quantity).to_owned(),
                    maybe(used.shown),
                    maybe(predicted),
                    maybe(sigma),
                ]);
            }
        }
    }
    let heads = "job,rank,suspect,probability,point,unit,reading,predicted,standard deviation";
    CsvTable::listed(heads, rows)
}

fn point<'a>(view: &SuspectsView<'a>, place: usize) -> Option<&'a str> {
    let used = view.suspects.readings.get(place)?;
    Some(&view.job.readings.get(used.reading)?.point)
}

/// The unit of a reading that counts.
pub(crate) fn unit_of(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::DcMilliamperes => "A",
        _ => "V",
    }
}

fn designator(job: &Job, fault: &Hypothesis) -> String {
    blamed(job, fault).map_or(String::new(), Cow::into_owned)
}

/// The sign of a size's unit; a share has 1.
pub(crate) fn unit(unit: SizeUnit) -> &'static str {
    match unit {
        SizeUnit::Ohms => "Ω",
        SizeUnit::Volts => "V",
        SizeUnit::Amperes => "A",
        SizeUnit::Share => "1",
    }
}
