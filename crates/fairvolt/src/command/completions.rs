//! `completions`: a shell's completion script, from the same definitions as the help.

use crate::args::{command, CompletionsArgs};
use crate::console::Console;
use crate::exit::Exit;

pub(crate) fn run(args: &CompletionsArgs, console: &mut Console) -> Exit {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut command(), "fairvolt", &mut script);
    match console.print(&String::from_utf8_lossy(&script)) {
        Ok(()) => Exit::Done,
        Err(_) => Exit::NotWritten,
    }
}
