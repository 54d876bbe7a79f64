//! `unload`: source resistance and true volts from two readings.

use circuit::Meter;
use input::find_meter;
use report::{Report, UnloadView};
use translate::{unload, LoadedReading};
use units::{Figure, Unit};

use crate::command::by_name::{self, own_meters};
use crate::command::deliver;
use crate::console::Console;
use crate::exit::Exit;
use crate::meter_args::UnloadArgs;

pub(crate) fn run(args: &UnloadArgs, console: &mut Console) -> Exit {
    let mut files = Vec::new();
    let own = match own_meters(args.job.as_deref(), &mut files, console) {
        Ok(own) => own,
        Err(exit) => return exit,
    };
    let mut readings = Vec::new();
    let mut assumed = Vec::new();
    for text in &args.readings {
        match reading(text, &own) {
            Ok((reading, by_us)) => {
                readings.push(reading);
                assumed.push(by_us);
            }
            Err((message, help)) => {
                console.complain(&format!("error: '{text}': {message}\nhelp: {help}\n"));
                return Exit::BadInput;
            }
        }
    }
    let found = match unload(&readings) {
        Ok(found) => found,
        Err(error) => {
            console.complain(&format!(
                "error: {error}\nhelp: read the point with two meters, or on two ranges, that load \
                 it differently\n"
            ));
            return Exit::BadInput;
        }
    };
    let view = UnloadView {
        readings: &readings,
        assumed: &assumed,
        found: &found,
    };
    let report = Report::unload(view);
    let flagged = match found.warnings.is_empty() {
        true => Exit::Done,
        false => Exit::Flagged,
    };
    flagged.worse(deliver(
        &report,
        args.output.format(),
        &args.output,
        &files,
        console,
    ))
}

/// `82V,20k/V,250V`: the reading, and whether its range is assumed.
fn reading(text: &str, own: &[Meter]) -> Result<(LoadedReading, bool), (String, String)> {
    const FORM: &str = "write volts, meter and range with commas: 82V,20k/V,250V";
    let fields: Vec<&str> = text.split(',').map(str::trim).collect();
    let (volts, name, range) = match fields.as_slice() {
        [volts, name] => (*volts, *name, None),
        [volts, name, range] => (*volts, *name, Some(*range)),
        _ => return Err(("this is no reading".to_owned(), FORM.to_owned())),
    };
    let volt = |text: &str| {
        Figure::parse(text, Unit::Volt).map_err(|error| {
            let help = error.help().unwrap_or_else(|| FORM.to_owned());
            (error.kind.to_string(), help)
        })
    };
    let figure = volt(volts)?;
    let meter = find_meter(name, own).map_err(|error| (error.to_string(), error.help()))?;
    let (range, assumed) = match range {
        Some(range) => (meter.range(by_name::positive_volts(range)?), false),
        None => match meter.range_for(figure.value) {
            Some(range) => (range, true),
            None => return Err(("the meter lists no ranges".to_owned(), FORM.to_owned())),
        },
    };
    if !range.holds(figure.value) {
        let message = format!(
            "{volts} is more than the range of {} V holds",
            range.full_scale
        );
        return Err((message, "name the range that it was read on".to_owned()));
    }
    Ok((
        LoadedReading {
            volts: figure.value,
            resolution: figure.resolution,
            meter,
            range,
        },
        assumed,
    ))
}
