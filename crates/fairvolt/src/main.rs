//! The `fairvolt` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    let mut console = fairvolt::Console::of_process();
    let exit = fairvolt::run(std::env::args_os(), &mut console);
    ExitCode::from(exit.status())
}
