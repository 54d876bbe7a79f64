//! `devices.toml`: tubes that are not in the catalogue, described by their data sheets.
//!
//! Text comes in; sheets, bases and diagnostics go out. A tube with a fault is left out. How a
//! sheet becomes a characteristic is not known here: the caller fits it, and passes the resulting
//! types to [`crate::read_job`].

mod pin;
mod pins;
mod point;
mod transconductance;
mod tube;

use circuit::{Basing, Characteristic, OwnTypeError, TubeSheet, TubeType};

use crate::diagnostic::Diagnostic;
use crate::settings::tree;
use crate::source::{SourceId, Sources, Span};
use tube::TubeReader;

/// What `devices.toml` says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DevicesRead {
    /// The tubes that could be read, in the order of the file.
    pub tubes: Vec<OwnTube>,
    /// Stand-in types, one for each tube with a fault: with the numbers of another type of their class if class and
    /// pins could be read, without sections if not. They are passed to [`crate::read_job`] with the
    /// others, so that no fault is reported for the netlist; they must not be used for computing.
    pub stand_ins: Vec<TubeType>,
    /// Everything that is wrong, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
}

/// One tube as a data sheet prints it.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnTube {
    /// Its type, class and points.
    pub sheet: TubeSheet,
    /// Its base, pins and heater.
    pub basing: Basing,
    /// The heading of its section.
    pub span: Span,
}

impl OwnTube {
    /// The type with the characteristic that was fitted to its sheet, and that of the triode beside a pentode.
    ///
    /// # Errors
    /// [`OwnTypeError`] if the characteristic is one of another class.
    pub fn fitted(
        &self,
        main: Characteristic,
        triode: Option<Characteristic>,
    ) -> Result<TubeType, OwnTypeError> {
        TubeType::of_sheet(&self.sheet, self.basing.clone(), main, triode)
    }

    /// A type that names its terminals and pins, for a tube whose points could not be fitted; see
    /// [`DevicesRead::stand_ins`].
    pub fn stand_in(&self) -> Option<TubeType> {
        TubeType::stand_in(&self.sheet.name, self.sheet.class, self.basing.clone())
    }
}

/// Reads `devices.toml`: the tubes that could be read, and everything that is wrong with it.
pub fn read_devices(sources: &Sources, id: SourceId) -> DevicesRead {
    let tree = tree::parse(sources, id);
    let mut found = Vec::new();
    let mut read = DevicesRead::default();
    let mut names: Vec<(String, Span)> = Vec::new();
    for entry in tree.top().entries() {
        let name = entry.key.trim();
        if name.is_empty() {
            let message = "a tube needs its type as the name of its section";
            found.push(Diagnostic::error(entry.key_span.clone(), message));
            continue;
        }
        let Some(section) = entry.section() else {
            let message = format!("'{name}' stands outside a tube's section");
            let help = "start each tube with its type in brackets: [6ZZ9]";
            found.push(Diagnostic::error(entry.key_span.clone(), message).help(help));
            continue;
        };
        let first = names
            .iter()
            .find(|(other, _)| other.eq_ignore_ascii_case(name));
        if let Some((_, first)) = first {
            let message = format!("the type '{name}' stands here a second time");
            let error = Diagnostic::error(entry.key_span.clone(), message);
            found.push(error.related(first.clone(), "first here"));
        }
        names.push((name.to_owned(), entry.key_span.clone()));
        let reader = TubeReader {
            section,
            name,
            file: &sources.get(id).label,
        };
        reader.read(&mut read, &mut found);
    }
    read.diagnostics = tree.finish(found);
    read
}
