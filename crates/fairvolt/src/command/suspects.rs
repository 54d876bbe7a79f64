//! `suspects`: what may be wrong with the set on the bench, and where to probe next.

use std::time::{Duration, Instant};

use circuit::{Job, Part, PartId};
use diagnose::{
    suspects_watched, AgeFactors, Conclusion, GoOn, Hypothesis, SuspectOptions, Suspects,
};
use input::nearest_few;
use reconcile::ReconcileError;
use report::{Explained, Report, SuspectsView};
use translate::{compare_translated, Comparison};

use crate::args::SuspectsArgs;
use crate::command::retyped;
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::{work_on, Instead, ResolvedJob};
use crate::progress::Bar;
use crate::unsolved::unsolved;

/// How long a ranking takes before the bar is shown.
const SHOWN_AFTER: Duration = Duration::from_secs(1);

/// How many near names to offer.
const SUGGESTIONS: usize = 5;

pub(crate) fn run(args: &SuspectsArgs, console: &mut Console) -> Exit {
    let instead = Instead {
        meters: &args.meters,
        readings: &args.readings,
        ..Instead::default()
    };
    let worked = work_on(&args.jobs, &instead, console, |ready, console| {
        worked_out(ready, args, console)
    });
    let more = retyped(&args.readings);
    let first = worked.done.first();
    let translation = first.map(|(_, (_, _, comparison))| &comparison.translation);
    let views = worked
        .done
        .iter()
        .map(|(ready, (suspects, explain, comparison))| SuspectsView {
            asked: report::Asked {
                all: false,
                more: &more,
            },
            job: &ready.job,
            comparison,
            suspects,
            explain: *explain,
            manual: ready.findings.view(),
            diagnostics: &ready.diagnostics,
        });
    let report = Report::suspects(views.collect(), translation);
    let found = |_: &Job, (found, _, _): &Found| Exit::flagged(is_flagged(found));
    worked.deliver(&report, &args.output, found, console)
}

/// The suspects of a job, which of them to explain, and the comparison that they follow from.
type Found = (Suspects, Option<Explained>, Comparison);

/// The suspects of a job by its own settings and the usual options; `set` as on the command line. None
/// if `go_on` stopped the work.
///
/// # Errors
/// [`ReconcileError`] if the circuit has no trustworthy solution.
pub(crate) fn of_job(
    job: &Job,
    comparison: &Comparison,
    options: SuspectOptions,
    go_on: GoOn<'_>,
) -> Result<Option<Suspects>, ReconcileError> {
    let usual = SuspectOptions::default();
    let options = SuspectOptions {
        ages: AgeFactors::named(&job.ages).at(job.age),
        hazard_penalty: job.hazard_penalty.unwrap_or(usual.hazard_penalty),
        ..options
    };
    suspects_watched(job, comparison, &options, go_on)
}

/// The suspects by the options of a command line, and which of them to explain.
fn worked_out(
    ready: &ResolvedJob,
    args: &SuspectsArgs,
    console: &mut Console,
) -> Result<Found, Exit> {
    let job = &ready.job;
    let mut refuse = |fault: Refused| {
        let (what, help) = (fault.what, fault.help);
        console.complain(&format!("error: {}{what}\nhelp: {help}\n", job.folder));
        Exit::BadInput
    };
    readings_at_hand(job, args.set.as_deref()).map_err(&mut refuse)?;
    let explain = match &args.explain {
        Some(words) => Some(asked(job, words).map_err(&mut refuse)?),
        None => None,
    };
    let options = SuspectOptions {
        set: args.set.clone(),
        pairs: args.pairs,
        probes: usize::from(args.probes),
        ..SuspectOptions::default()
    };
    let comparison = compare_translated(job, ready.translation(console)?);
    let bar = Bar::new("faults", 100, console.watched);
    let start = Instant::now();
    let found = of_job(job, &comparison, options, &|done, all| {
        // A bar that is removed at once would only flicker.
        if start.elapsed() > SHOWN_AFTER {
            bar.show(100 * done / all.max(1));
        }
        true
    });
    bar.clear();
    let found = found.map_err(|error| unsolved(job, &error, console))?;
    // `go_on` never stops it here.
    let found = found.ok_or(Exit::Unsolved)?;
    Ok((found, explain, comparison))
}

/// What is wrong with the request, to be shown after the folder's name.
struct Refused {
    what: String,
    help: String,
}

fn readings_at_hand(job: &Job, set: Option<&str>) -> Result<(), Refused> {
    if job.readings.is_empty() {
        return Err(Refused {
            what: " has no readings to tell suspects by".to_owned(),
            help: "write them to readings.csv, or name a file with --readings".to_owned(),
        });
    }
    let Some(set) = set else {
        return Ok(());
    };
    if job.readings.iter().any(|reading| reading.set == set) {
        return Ok(());
    }
    let mut sets: Vec<String> = Vec::new();
    for reading in &job.readings {
        let name = format!("'{}'", reading.set);
        if !sets.contains(&name) {
            sets.push(name);
        }
    }
    Err(Refused {
        what: format!(": no reading is of a set '{set}'"),
        help: format!("sets with readings: {}", sets.join(", ")),
    })
}

/// The part that is asked for, or a set in order.
fn asked(job: &Job, words: &str) -> Result<Explained, Refused> {
    let words = words.trim();
    let parts = job.circuit.parts();
    let by_case = || {
        let mut each = parts.iter();
        each.position(|part| part.designator.eq_ignore_ascii_case(words))
            .map(PartId)
    };
    if let Some(id) = job.circuit.part_named(words).or_else(by_case) {
        return Ok(Explained::Part(id));
    }
    if words.eq_ignore_ascii_case("nothing") {
        return Ok(Explained::NothingWrong);
    }
    let near = nearest(job, words);
    Err(Refused {
        what: format!(": the drawing has no part '{words}'"),
        help: match near.is_empty() {
            true => "name a part of the netlist, or 'nothing' for a set in order".to_owned(),
            false => format!(
                "nearest: {}; or 'nothing' for a set in order",
                near.join(", ")
            ),
        },
    })
}

/// Designators that hold what was typed, or are a slip or two away.
fn nearest<'a>(job: &'a Job, words: &str) -> Vec<&'a str> {
    let name = |part: &'a Part| part.designator.as_str();
    let alike = |wanted: &str, part: &'a Part| {
        wanted.len() >= 2 && part.designator.to_lowercase().contains(wanted)
    };
    let near = nearest_few(words, job.circuit.parts(), name, alike).into_iter();
    near.take(SUGGESTIONS).map(|(_, part)| name(part)).collect()
}

/// Whether something other than nothing wrong leads, or the readings contradict one another.
fn is_flagged(suspects: &Suspects) -> bool {
    let first = suspects.hypotheses.first();
    let leader = first.and_then(|suspect| suspect.members.first());
    let fault = leader.and_then(|member| member.faults.first());
    let other = fault.is_some_and(|(hypothesis, _)| *hypothesis != Hypothesis::NothingWrong);
    other || matches!(suspects.conclusion, Conclusion::Contradicted { .. })
}
