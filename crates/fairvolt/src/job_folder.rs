//! Reading a job folder: which files it has, and what `input` makes of them.

use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use crate::exit::Exit;
use circuit::{Job, Meter, TubeType};
use fit::{fit_tube, DataSheet};

use input::{
    find_meter, read_devices, read_job, read_settings, Diagnostic, JobSettings, JobSources, Named,
    OwnTube, SourceId, Sources,
};

/// A job folder, read.
pub(crate) struct JobFolder {
    /// Every text, for drawing diagnostics.
    pub(crate) sources: Sources,
    /// Everything found about them.
    pub(crate) diagnostics: Vec<Diagnostic>,
    /// The job; none if a diagnostic is an error that costs more than a row.
    pub(crate) job: Option<Job>,
    /// The technician's files, none of which may be overwritten.
    pub(crate) files: Vec<PathBuf>,
}

/// What the command line puts in place of what the job says.
#[derive(Default)]
pub(crate) struct Instead<'a> {
    /// Bench meters by name.
    pub(crate) meters: &'a [String],
    /// Files of readings.
    pub(crate) readings: &'a [PathBuf],
    /// Whether supplies are taken at what was read across them.
    pub(crate) rails_as_read: bool,
}

impl JobFolder {
    /// How reading it went: rows that were left out are bad input, though the rest goes on.
    pub(crate) fn exit(&self) -> Exit {
        match self.diagnostics.iter().any(Diagnostic::is_error) {
            true => Exit::BadInput,
            false => Exit::Done,
        }
    }
}

/// Reads a job folder.
pub(crate) fn read(folder: &Path, instead: &Instead, outside: bool) -> JobFolder {
    let mut shelf = Shelf {
        folder,
        outside,
        read: JobFolder {
            sources: Sources::default(),
            diagnostics: Vec::new(),
            job: None,
            files: Vec::new(),
        },
    };
    if !folder.is_dir() {
        shelf.fault(
            format!("there is no folder {}", folder.display()),
            "name a job folder, or make one with 'fairvolt new FOLDER'",
        );
        return shelf.read;
    }
    let settings_id = shelf.optional("job.toml");
    // Reading job.toml here only tells which files to open; `read_job` reports its faults.
    let settings = settings_id.map_or_else(JobSettings::default, |id| {
        read_settings(&shelf.read.sources, id).0
    });
    let parts = JobSources {
        folder: folder.display().to_string(),
        settings: settings_id,
        netlist: shelf.named(&settings.netlist),
        manual: shelf.named(&settings.manual),
        meters: shelf.named(&settings.meters),
        devices: shelf.named(&settings.devices),
        pin_chart: shelf.named(&settings.pin_chart),
        pin_chart_ohms: shelf.named(&settings.pin_chart_ohms),
        readings: if instead.readings.is_empty() {
            settings
                .readings
                .iter()
                .filter_map(|named| shelf.named(named))
                .collect()
        } else {
            // Not read this time, but it is the technician's file.
            for named in &settings.readings {
                shelf.read.files.push(folder.join(&named.name));
            }
            instead
                .readings
                .iter()
                .filter_map(|path| shelf.required(path))
                .collect()
        },
    };
    let mut read = shelf.read;
    let own = own_tubes(&mut read, parts.devices);
    let result = read_job(&read.sources, &parts, &own);
    // A file that could not be read is not absent.
    let unread = read.diagnostics.iter().any(Diagnostic::stops_job);
    let absent = |found: &Diagnostic| found.message.starts_with("the job has no ");
    let found = result.diagnostics.into_iter();
    read.diagnostics
        .extend(found.filter(|found| !(unread && absent(found))));
    read.job = result.job;
    if read.diagnostics.iter().any(Diagnostic::stops_job) {
        read.job = None;
    }
    replace_meters(&mut read, instead.meters);
    read
}

/// The job's own tube types, fitted to what their data sheets print.
fn own_tubes(read: &mut JobFolder, devices: Option<SourceId>) -> Vec<TubeType> {
    let Some(id) = devices else {
        return Vec::new();
    };
    let found = read_devices(&read.sources, id);
    read.diagnostics.extend(found.diagnostics);
    let mut types = found.stand_ins;
    for tube in &found.tubes {
        match fitted(tube) {
            Ok(fitted) => types.push(fitted),
            Err(reason) => {
                read.diagnostics.push(
                    Diagnostic::error(
                        tube.span.clone(),
                        format!("{} cannot be fitted: {reason}", tube.sheet.name),
                    )
                    .label("described here")
                    .help("check its points for a slip, or add points"),
                );
                // Kept under its name, so that the netlist gets no second error.
                types.extend(tube.stand_in());
            }
        }
    }
    types
}

fn fitted(tube: &OwnTube) -> Result<TubeType, String> {
    let sheet = DataSheet::of_type(&tube.sheet)
        .ok_or_else(|| "tubes of its class are not fitted".to_owned())?;
    let fit = fit_tube(&sheet).map_err(|error| error.to_string())?;
    tube.fitted(fit.characteristic)
        .map_err(|error| error.to_string())
}

fn replace_meters(read: &mut JobFolder, names: &[String]) {
    let Some(job) = &mut read.job else { return };
    if names.is_empty() {
        return;
    }
    let mut meters: Vec<Meter> = Vec::new();
    for name in names {
        match find_meter(name, &job.own_meters) {
            Ok(meter) => meters.push(meter),
            Err(error) => read
                .diagnostics
                .push(Diagnostic::of_job(format!("--meter {name}: {error}")).help(error.help())),
        }
    }
    job.bench.meters = meters;
    if read.diagnostics.iter().any(Diagnostic::stops_job) {
        read.job = None;
    }
}

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
struct Shelf<'a> {
    folder: &'a Path,
    /// Whether job.toml may name files outside the folder.
    outside: bool,
    read: JobFolder,
}

impl Shelf<'_> {
    /// A file that job.toml names, or one of the default name. Whether the job can do without a
    /// file that nobody named is for `read_job` to say; one that job.toml names has to be there.
    fn named(&mut self, named: &Named) -> Option<SourceId> {
        let found = self.optional(&named.name);
        if let (None, Some(span)) = (found, &named.span) {
            if !self.folder.join(&named.name).exists() {
                self.read.diagnostics.push(
                    Diagnostic::error(span.clone(), format!("there is no file {}", named.name))
                        .label("named here")
                        .help("names are taken from the job's folder"),
                );
            }
        }
        found
    }

    fn optional(&mut self, name: &str) -> Option<SourceId> {
        let path = self.folder.join(name);
        if !self.outside && leads_outside(&path, self.folder) {
            let help = "put the file, or a copy of it, into the folder, or allow it with --outside";
            self.fault(format!("{name} lies outside the job's folder"), help);
            // Not read, but it is the technician's file.
            self.read.files.push(path);
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

    fn required(&mut self, path: &Path) -> Option<SourceId> {
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
        self.read.files.push(path.to_owned());
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
        self.read.files.push(path);
        match String::from_utf8(bytes) {
            Ok(text) => Some(self.read.sources.add(label, &text)),
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

    fn fault(&mut self, message: String, help: &str) {
        self.read
            .diagnostics
            .push(Diagnostic::of_job(message).help(help));
    }
}
