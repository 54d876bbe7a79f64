//! Writing a finished text: to the terminal, or to a file that is not one of the job's own.

use std::fs;
use std::path::{Path, PathBuf};

use report::Paper;

use crate::args::OutputArgs;
use crate::console::Console;
use crate::exit::Exit;

/// The paper to set a text for: a file is plain and 80 columns wide, whatever the terminal is.
pub(crate) fn paper(args: &OutputArgs, console: &Console) -> Paper {
    match args.output {
        Some(_) => Paper {
            width: 80,
            colour: false,
        },
        None => Paper {
            width: console.width,
            colour: console.colour,
        },
    }
}

/// Writes a finished text where it was asked for. `own` are the files that the technician wrote:
/// none of them is ever overwritten.
pub(crate) fn write(text: &str, args: &OutputArgs, own: &[PathBuf], console: &mut Console) -> Exit {
    write_bytes(text.as_bytes(), args, own, console)
}

/// Writes a finished file where it was asked for, under the same rule.
pub(crate) fn write_bytes(
    bytes: &[u8],
    args: &OutputArgs,
    own: &[PathBuf],
    console: &mut Console,
) -> Exit {
    let Some(path) = &args.output else {
        return match console.print_bytes(bytes) {
            Ok(()) => Exit::Done,
            Err(error) => {
                console.complain(&format!("error: output could not be written: {error}\n"));
                Exit::NotWritten
            }
        };
    };
    if own.iter().any(|file| same_file(file, path)) {
        console.complain(&format!(
            "error: {} is one of the job's own files and is not overwritten\n\
             help: name another file after -o\n",
            path.display()
        ));
        return Exit::BadInput;
    }
    match fs::write(path, bytes) {
        Ok(()) => Exit::Done,
        Err(error) => {
            console.complain(&format!(
                "error: {} could not be written: {error}\n",
                path.display()
            ));
            Exit::NotWritten
        }
    }
}

fn same_file(a: &Path, b: &Path) -> bool {
    match (fs::canonicalize(a), fs::canonicalize(b)) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}
