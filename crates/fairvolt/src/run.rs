//! From arguments to an exit: parse, do the one thing asked for, report.

use std::ffi::OsString;

use clap::FromArgMatches;

use crate::args::{self, Command, CommandLine};
use crate::command;
use crate::console::{escaped, Console};
use crate::exit::Exit;

/// Runs one command line, program name first.
pub fn run(arguments: impl IntoIterator<Item = OsString>, console: &mut Console) -> Exit {
    let command_line = match parsed(arguments) {
        Ok(command_line) => command_line,
        Err(error) => return usage(&error, console),
    };
    console.force = command_line.force;
    console.outside = command_line.outside;
    match command_line.command {
        Command::New(args) => command::new::run(&args, console),
        Command::Check(args) => command::check::run(&args, console),
        Command::Translate(args) => command::translate::run(&args, console),
        Command::Compare(args) => command::compare::run(&args, console),
        Command::Suspects(args) => command::suspects::run(&args, console),
        Command::Curve(args) => command::curve::run(&args, console),
        Command::Unload(args) => command::unload::run(&args, console),
        Command::Imitate(args) => command::imitate::run(&args, console),
        Command::Worksheet(args) => command::worksheet::run(&args, console),
        Command::Meters(args) => command::meters::run(&args, console),
        Command::Devices(args) => command::devices::run(&args, console),
        Command::Completions(args) => command::completions::run(&args, console),
        Command::ManualPage => command::manual_page::run(console),
    }
}

fn parsed(arguments: impl IntoIterator<Item = OsString>) -> Result<CommandLine, clap::Error> {
    let mut definitions = args::command();
    let mut unload = false;
    let arguments = arguments.into_iter().map(|argument| {
        let text = argument.to_str();
        unload |= text == Some("unload");
        let negative = text.filter(|_| unload).and_then(below_zero);
        negative.map_or(argument, OsString::from)
    });
    let typed = definitions.try_get_matches_from_mut(arguments)?;
    CommandLine::from_arg_matches(&typed).map_err(|error| error.format(&mut definitions))
}

/// `-3.1V,20k/V` with a minus sign in place of the hyphen, which would make it an option; no option begins with a
/// digit.
fn below_zero(argument: &str) -> Option<String> {
    let rest = argument.strip_prefix('-')?;
    let is_number = rest.starts_with(|first: char| first.is_ascii_digit() || first == '.');
    is_number.then(|| format!("\u{2212}{rest}"))
}

/// Help and version are answers, all else is a wrong command line.
fn usage(error: &clap::Error, console: &mut Console) -> Exit {
    let text = error.render();
    if error.use_stderr() {
        // Colours are control characters: where some were typed, none is passed on.
        let mut context = error.context();
        let typed = context.any(|(_, value)| {
            let value = value.to_string();
            escaped(&value) != value
        });
        match console.colour_errors && !typed {
            true => console.complain_drawn(&text.ansi().to_string()),
            false => console.complain_drawn(&escaped(&text.to_string())),
        }
        return Exit::BadInput;
    }
    let text = if console.colour {
        text.ansi().to_string()
    } else {
        text.to_string()
    };
    match console.print(&text) {
        Ok(()) => Exit::Done,
        Err(_) => Exit::NotWritten,
    }
}
