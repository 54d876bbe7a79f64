//! The files of a job folder, opened: none outside it, none too large, and each as UTF-8 text.

use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use input::{Diagnostic, Named, SourceId, Sources};

/// The most bytes of one file: 16 MiB.
const LARGEST: u64 = 16 * 1024 * 1024;

/// Why a file is not read.
enum Unread {
    /// It is not there.
    Absent,
    /// A folder, a pipe or a device: reading it might never end.
    NoFile,
    /// It has so many bytes.
    TooLarge(u64),
    /// What the system says.
    Other(io::Error),
}

/// The bytes of a regular file of bearable size. Its kind is looked at before it is opened, so that a
/// pipe is not waited for, and its size while it is read, for it may grow.
fn read_file(path: &Path) -> Result<Vec<u8>, Unread> {
    let of = |error: io::Error| match error.kind() {
        io::ErrorKind::NotFound => Unread::Absent,
        _ => Unread::Other(error),
    };
    let there = fs::metadata(path).map_err(of)?;
    if !there.is_file() {
        return Err(Unread::NoFile);
    }
    if there.len() > LARGEST {
        return Err(Unread::TooLarge(there.len()));
    }
    let mut bytes = Vec::new();
    let file = fs::File::open(path).map_err(of)?;
    file.take(LARGEST + 1).read_to_end(&mut bytes).map_err(of)?;
    match bytes.len() as u64 {
        size if size > LARGEST => Err(Unread::TooLarge(size)),
        _ => Ok(bytes),
    }
}

/// Whether a path leads out of a folder, by its own steps or by a link.
fn leads_outside(path: &Path, folder: &Path) -> bool {
    match (fs::canonicalize(path), fs::canonicalize(folder)) {
        (Ok(path), Ok(folder)) => !path.starts_with(folder),
        // A file that is not there is said to be missing.
        _ => false,
    }
}

/// Opens the files of one folder and keeps account of them.
pub(crate) struct Shelf<'a> {
    folder: &'a Path,
    /// Whether job.toml may name files outside the folder.
    outside: bool,
    /// Every text, for drawing diagnostics.
    pub(crate) sources: Sources,
    /// Everything found about the files.
    pub(crate) diagnostics: Vec<Diagnostic>,
    /// The technician's files, none of which may be overwritten.
    pub(crate) files: Vec<PathBuf>,
}

impl<'a> Shelf<'a> {
    /// No file opened yet.
    pub(crate) fn new(folder: &'a Path, outside: bool) -> Self {
        Shelf {
            folder,
            outside,
            sources: Sources::default(),
            diagnostics: Vec::new(),
            files: Vec::new(),
        }
    }

    /// A file that job.toml names, or one of the default name. Whether the job can do without a
    /// file that nobody named is for `read_job` to say; one that job.toml names has to be there.
    pub(crate) fn named(&mut self, named: &Named) -> Option<SourceId> {
        let found = self.optional(&named.name);
        if let (None, Some(span)) = (found, &named.span) {
            if !self.folder.join(&named.name).exists() {
                self.diagnostics.push(
                    Diagnostic::error(span.clone(), format!("there is no file {}", named.name))
                        .label("named here")
                        .help("names are taken from the job's folder"),
                );
            }
        }
        found
    }

    /// A file of the folder that may be absent.
    pub(crate) fn optional(&mut self, name: &str) -> Option<SourceId> {
        let path = self.folder.join(name);
        if !self.outside && leads_outside(&path, self.folder) {
            let help = "put the file, or a copy of it, into the folder, or allow it with --outside";
            self.fault(format!("{name} lies outside the job's folder"), help);
            // Not read, but it is the technician's file.
            self.files.push(path);
            return None;
        }
        match read_file(&path) {
            Ok(bytes) => self.text(name.to_owned(), path, bytes),
            Err(Unread::Absent) => None,
            Err(why) => {
                self.unread(&path, &why, "check its permissions");
                None
            }
        }
    }

    /// A file that the command line names.
    pub(crate) fn required(&mut self, path: &Path) -> Option<SourceId> {
        match read_file(path) {
            Ok(bytes) => self.text(path.display().to_string(), path.to_owned(), bytes),
            Err(why) => {
                let help = "the path is taken from the folder you are in, not from the job's";
                self.unread(path, &why, help);
                None
            }
        }
    }

    fn unread(&mut self, path: &Path, why: &Unread, help: &str) {
        let shown = path.display();
        self.files.push(path.to_owned());
        match why {
            Unread::Absent => self.fault(format!("there is no file {shown}"), help),
            Unread::Other(error) => self.fault(format!("{shown} could not be read: {error}"), help),
            Unread::NoFile => self.fault(
                format!("{shown} is no regular file, and is not read"),
                "name a file; what a program writes is put into a file first",
            ),
            Unread::TooLarge(bytes) => self.fault(
                format!("{shown} has {bytes} bytes; a file of a job may have {LARGEST}, which is 16 MiB"),
                "a service manual's table is far smaller: look whether this is the right file",
            ),
        }
    }

    fn text(&mut self, label: String, path: PathBuf, bytes: Vec<u8>) -> Option<SourceId> {
        self.files.push(path);
        match String::from_utf8(bytes) {
            Ok(text) => Some(self.sources.add(label, &text)),
            Err(error) => {
                let good = error.utf8_error().valid_up_to();
                let before = &error.as_bytes()[..good];
                let start = before
                    .iter()
                    .rposition(|byte| *byte == b'\n')
                    .map_or(0, |at| at + 1);
                let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
                let letters = String::from_utf8_lossy(&before[start..]).chars().count();
                let column = letters + 1;
                let byte = error.as_bytes().get(good).copied().unwrap_or_default();
                self.fault(
                    format!(
                        "{label}, line {line}, column {column}: the byte {byte:02X} is no letter of \
                         UTF-8 text"
                    ),
                    "save the file from the spreadsheet or editor as UTF-8",
                );
                None
            }
        }
    }

    /// Adds a fault of the whole job.
    pub(crate) fn fault(&mut self, message: String, help: &str) {
        self.diagnostics
            .push(Diagnostic::of_job(message).help(help));
    }
}
