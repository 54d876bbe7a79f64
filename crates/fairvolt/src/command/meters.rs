//! `meters`: the meter classes built in, and those of a job.

use circuit::{named_meter_classes, same_meter_name};
use report::{MeterListing, MeterOrigin, Report};

use crate::args::MetersArgs;
use crate::command::deliver;
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::{ready, Instead};

pub(crate) fn run(args: &MetersArgs, console: &mut Console) -> Exit {
    let mut exit = Exit::Done;
    let mut own = Vec::new();
    let mut files = Vec::new();
    if let Some(folder) = &args.job {
        match ready(folder, &Instead::default(), &mut files, console) {
            Ok(ready) => {
                exit = ready.exit;
                own = ready.job.own_meters;
            }
            Err(fault) => return fault,
        }
    }
    // A class that the job describes itself is listed once, as it is used.
    let mut classes = named_meter_classes();
    classes.retain(|class| {
        own.iter()
            .all(|own| !same_meter_name(&own.name, &class.name))
    });
    let listings: Vec<MeterListing> = own
        .iter()
        .map(|meter| MeterListing {
            meter,
            origin: MeterOrigin::Job,
        })
        .chain(classes.iter().map(|meter| MeterListing {
            meter,
            origin: MeterOrigin::BuiltIn,
        }))
        .collect();
    let report = Report::meters(listings);
    exit.worse(deliver(
        &report,
        args.output.format(),
        &args.output,
        &files,
        console,
    ))
}
