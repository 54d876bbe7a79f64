//! Which files are the technician's: those of the jobs at hand, and those whose names a job reads.

use std::fs;
use std::path::{Path, PathBuf};

use input::{read_settings, JobSettings, Sources};

/// Whether a path leads to one of these files, by whatever name or link.
pub(crate) fn is_own(path: &Path, own: &[PathBuf]) -> bool {
    own.iter().any(|file| same_file(file, path))
}

/// Whether a job reads a file of this name: one that `job.toml` beside it names, or one of the
/// usual names, whether or not there is such a file yet.
pub(crate) fn names_a_job_file(path: &Path) -> bool {
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let answer = [path, target.as_path()].into_iter().any(|path| {
        let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
            return false;
        };
        let beside = path.with_file_name("job.toml");
        let named = fs::read_to_string(beside).ok().map(|text| {
            let mut sources = Sources::default();
            let id = sources.add("job.toml", &text);
            read_settings(&sources, id).0
        });
        name.eq_ignore_ascii_case("job.toml")
            || reads(&JobSettings::default(), name)
            || named.is_some_and(|settings| reads(&settings, name))
    });
    answer
}

fn reads(settings: &JobSettings, name: &str) -> bool {
    let files = [
        &settings.netlist,
        &settings.manual,
        &settings.pin_chart,
        &settings.pin_chart_ohms,
        &settings.meters,
        &settings.devices,
    ];
    files
        .into_iter()
        .chain(&settings.readings)
        .any(|file| file.name.eq_ignore_ascii_case(name))
}

fn same_file(a: &Path, b: &Path) -> bool {
    let same_path = match (fs::canonicalize(a), fs::canonicalize(b)) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    };
    same_path || same_inode(a, b)
}

/// Two names of one file.
#[cfg(unix)]
fn same_inode(a: &Path, b: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (fs::metadata(a), fs::metadata(b)) {
        (Ok(a), Ok(b)) => (a.dev(), a.ino()) == (b.dev(), b.ino()),
        _ => false,
    }
}

#[cfg(not(unix))]
fn same_inode(_a: &Path, _b: &Path) -> bool {
    false
}
