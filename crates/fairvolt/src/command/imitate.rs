//! `imitate`: the resistor that makes one meter load like another.

use input::find_meter;
use report::{ImitateView, Report};
use translate::imitate;

use crate::command::by_name::{self, own_meters};
use crate::command::deliver;
use crate::console::Console;
use crate::exit::Exit;
use crate::meter_args::ImitateArgs;

pub(crate) fn run(args: &ImitateArgs, console: &mut Console) -> Exit {
    let mut files = Vec::new();
    let own = match own_meters(args.job.as_deref(), &mut files, console) {
        Ok(own) => own,
        Err(exit) => return exit,
    };
    let find = |name: &str| {
        find_meter(name, &own).map_err(|error| format!("error: {error}\nhelp: {}\n", error.help()))
    };
    let range = args.range.as_deref().map(by_name::positive_volts);
    let range = range
        .transpose()
        .map_err(|(message, help)| format!("error: --range: {message}\nhelp: {help}\n"));
    let asked = find(&args.own).and_then(|meter| Ok((meter, find(&args.like)?, range?)));
    let (meter, like, range) = match asked {
        Ok(asked) => asked,
        Err(message) => {
            console.complain(&message);
            return Exit::BadInput;
        }
    };
    let found = match imitate(&meter, &like, range) {
        Ok(found) => found,
        Err(error) => {
            console.complain(&format!(
                "error: {error}\nhelp: name a range with --range, or a meter that lists some\n"
            ));
            return Exit::BadInput;
        }
    };
    let view = ImitateView {
        own: &meter.name,
        other: &like.name,
        found: &found,
    };
    let report = Report::imitate(view);
    deliver(&report, args.output.format(), &args.output, &files, console)
}
