//! Writing a finished report: to the terminal, or to a file that is not one of the technician's own.

use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use report::{Rendered, Terminal};

use crate::console::Console;
use crate::exit::Exit;
use crate::output_args::OutputArgs;
use crate::own_files::{is_own, names_a_job_file};

/// How documents begin, one or several. Texts, pages for a notebook and rows for a spreadsheet are
/// filled in by people, and count as theirs.
const JSON: [&str; 2] = [
    "{\n  \"schema\": \"fairvolt/",
    "[\n  {\n    \"schema\": \"fairvolt/",
];

/// The mark of a page for the browser, and of a PDF.
const HTML: &str = "<meta name=\"generator\" content=\"fairvolt\"/>";
const PDF: &str = "/Producer(fairvolt)";

/// Bytes within which the mark stands; a PDF has it at its end.
const MARKED_WITHIN: u64 = 16 * 1024 * 1024;

/// The terminal to set a text for: a file is plain and 80 columns wide, whatever the terminal is.
pub(crate) fn terminal(args: &OutputArgs, console: &Console) -> Terminal {
    match args.output {
        Some(_) => Terminal {
            width: 80,
            colour: false,
        },
        None => Terminal {
            width: console.width,
            colour: console.colour,
        },
    }
}

/// Writes a finished report where it was asked for. `own` are the files that the technician wrote:
/// none of them is ever overwritten.
pub(crate) fn write(
    rendered: &Rendered,
    args: &OutputArgs,
    own: &[PathBuf],
    console: &mut Console,
) -> Exit {
    let bytes = rendered.as_bytes();
    let Some(path) = &args.output else {
        if console.at_terminal && matches!(rendered, Rendered::Bytes(_)) {
            console.complain(
                "error: a PDF file is no text and would garble the terminal\n\
                 help: name a file after -o, or send the output to a file or a program\n",
            );
            return Exit::BadInput;
        }
        return match console.print_bytes(bytes) {
            Ok(()) => Exit::Done,
            Err(error) => {
                console.complain(&format!("error: output could not be written: {error}\n"));
                Exit::NotWritten
            }
        };
    };
    let shown = path.display();
    if is_own(path, own) || names_a_job_file(path) {
        console.complain(&format!(
            "error: {shown} is a file that a job reads, and is not overwritten\n\
             help: name another file after -o\n"
        ));
        return Exit::BadInput;
    }
    if !console.force && is_somebodys(path) {
        console.complain(&format!(
            "error: {shown} exists already, and fairvolt cannot tell that it wrote it\n\
             help: name another file after -o, or replace this one with --force\n"
        ));
        return Exit::BadInput;
    }
    if let Some(meant) = args.named_as_another() {
        console.complain(&format!(
            "error: {shown} would not hold what its name says: without --format {meant} this is {}\n\
             help: name another file after -o, or add --format {meant} if this command offers it (--help)\n",
            args.format().name()
        ));
        return Exit::BadInput;
    }
    match replace(path, bytes) {
        Ok(()) => Exit::Done,
        Err(error) => {
            let missing = |folder: &&Path| !folder.as_os_str().is_empty() && !folder.exists();
            let folder = path.parent().filter(missing);
            console.complain(&match folder {
                // The system's words would name a temporary file.
                Some(folder) => format!(
                    "error: {shown} could not be written: there is no folder {}\n\
                     help: make it first, or name another place after -o\n",
                    folder.display()
                ),
                None => format!("error: {shown} could not be written: {error}\n"),
            });
            Exit::NotWritten
        }
    }
}

/// Whether a regular file stands there already that may be somebody's work.
fn is_somebodys(path: &Path) -> bool {
    match fs::metadata(path) {
        Ok(there) if there.is_file() && there.len() > 0 => !is_written_by_fairvolt(path),
        // A device such as /dev/null, or nothing yet.
        _ => false,
    }
}

/// Whether a file is a document, a page or a PDF with the mark that fairvolt puts into it.
fn is_written_by_fairvolt(path: &Path) -> bool {
    let mut start = Vec::new();
    let read = File::open(path).and_then(|file| file.take(MARKED_WITHIN).read_to_end(&mut start));
    if read.is_err() {
        return false;
    }
    let holds = |mark: &str| {
        start
            .windows(mark.len())
            .any(|piece| piece == mark.as_bytes())
    };
    let begins = |mark: &str| start.starts_with(mark.as_bytes());
    JSON.iter().any(|mark| begins(mark))
        || (begins("<!DOCTYPE html>") && holds(HTML))
        || (begins("%PDF-") && holds(PDF))
}

/// Writes a file whole or not at all: into one beside it, which then takes its name.
fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    if fs::metadata(path).is_ok_and(|there| !there.is_file()) {
        return fs::write(path, bytes);
    }
    // What a link points at is replaced, not the link.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut beside = tempfile::Builder::new()
        .prefix(".fairvolt-")
        .tempfile_in(folder)?;
    beside.write_all(bytes)?;
    beside.as_file().sync_all()?;
    keep_rights(beside.as_file(), &target)?;
    beside.persist(&target).map_err(|error| error.error)?;
    Ok(())
}

/// A replaced file keeps its rights; a new one gets the usual ones, not those of a temporary file.
#[cfg(unix)]
fn keep_rights(file: &File, target: &Path) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    /// What everybody may read and the owner may write.
    const USUAL: u32 = 0o644;
    let rights = fs::metadata(target).map_or_else(
        |_| fs::Permissions::from_mode(USUAL),
        |there| there.permissions(),
    );
    file.set_permissions(rights)
}

#[cfg(not(unix))]
fn keep_rights(_file: &File, _target: &Path) -> io::Result<()> {
    Ok(())
}
