//! The tube types, each read from its rows when it is first asked for.
//!
//! A set uses few of the types, and reading all of them takes longer than reading its job.

use std::sync::OnceLock;

use super::rows::{rows, CatalogueError, Row};
use super::tube::{tube, TubeType};
use super::{GLOW_TUBES, TUBE_PARAMETERS, TUBE_POINTS, TUBE_TYPES};

/// The rows of the tube tables, and the types read so far.
#[derive(Debug)]
pub(super) struct TubeTable {
    types: Vec<Row<'static>>,
    parameters: Vec<Row<'static>>,
    glow: Vec<Row<'static>>,
    points: OnceLock<Result<Vec<Row<'static>>, CatalogueError>>,
    read: Vec<OnceLock<Result<TubeType, CatalogueError>>>,
}

impl TubeTable {
    pub(super) fn new() -> Result<Self, CatalogueError> {
        let types = rows("tube types", TUBE_TYPES)?;
        Ok(TubeTable {
            read: types.iter().map(|_| OnceLock::new()).collect(),
            types,
            parameters: rows("tube parameters", TUBE_PARAMETERS)?,
            glow: rows("glow tubes", GLOW_TUBES)?,
            points: OnceLock::new(),
        })
    }

    /// How many types there are.
    pub(super) fn len(&self) -> usize {
        self.types.len()
    }

    pub(super) fn at(&self, place: usize) -> Result<&TubeType, CatalogueError> {
        let read = self.read[place].get_or_init(|| tube(&self.types[place], self));
        read.as_ref().map_err(Clone::clone)
    }

    /// The place of a name, ignoring case.
    pub(super) fn place(&self, name: &str) -> Option<usize> {
        let own = |row: &Row<'_>| {
            row.text("type")
                .is_ok_and(|own| own.eq_ignore_ascii_case(name))
        };
        self.types.iter().position(own)
    }

    /// The row of a type's parameters.
    pub(super) fn parameters(&self, name: &str) -> Result<&Row<'static>, CatalogueError> {
        of_type(&self.parameters, name, "tube parameters")
    }

    /// The row of the triode that stands beside a type's pentode.
    pub(super) fn triode(&self, name: &str) -> Result<&Row<'static>, CatalogueError> {
        let mut all = self.parameters.iter();
        all.find(|row| row.text("type") == Ok(name) && row.text("section") == Ok("triode"))
            .ok_or_else(|| CatalogueError::NoRow {
                table: "tube parameters",
                name: format!("{name}, triode"),
            })
    }

    /// The row of a glow tube.
    pub(super) fn glow(&self, name: &str) -> Result<&Row<'static>, CatalogueError> {
        of_type(&self.glow, name, "glow tubes")
    }

    /// The rows of the published points; few types need one.
    pub(super) fn points(&self) -> Result<&[Row<'static>], CatalogueError> {
        let points = self.points.get_or_init(|| rows("tube points", TUBE_POINTS));
        points.as_deref().map_err(Clone::clone)
    }
}

fn of_type<'r>(
    rows: &'r [Row<'static>],
    name: &str,
    table: &'static str,
) -> Result<&'r Row<'static>, CatalogueError> {
    let mut all = rows.iter();
    all.find(|row| row.text("type") == Ok(name))
        .ok_or_else(|| CatalogueError::NoRow {
            table,
            name: name.to_owned(),
        })
}
