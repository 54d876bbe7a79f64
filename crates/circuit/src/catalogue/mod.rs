//! The catalogue: tube and semiconductor types with their bases, sheet points, parameters and
//! sources.
//!
//! What it owns: the tables of `data/`, embedded in the program, and their reading into types,
//! pins and [`Characteristic`](crate::Characteristic)s. What comes in: a type's name. What goes
//! out: plain values; how far each can be trusted (read, from memory, measured) goes with it. What
//! it refuses to know: how a characteristic is fitted to its points, and what the laws make of it.
//!
//! The tables are part of the program, so a fault in one is a fault of the program: a test reads
//! every row, and a table that could not be read would be empty, never half read.

mod base;
mod class;
mod own;
mod parameters;
mod rows;
mod semiconductor;
mod sheet;
mod tube;

use std::sync::LazyLock;

pub use base::{Electrode, Pin};
pub use class::TubeClass;
pub use own::{Basing, OwnTypeError};
pub use semiconductor::{SeleniumPlate, SemiconductorKind, SemiconductorType, ZenerType};
pub use sheet::{DataPoint, PointKind, TubeSheet};
pub use tube::{GlowLimits, HeaterRating, TubeType, TubeUnit};

use rows::CatalogueError;

const TUBE_TYPES: &str = include_str!("../../data/tube_types.csv");
const TUBE_POINTS: &str = include_str!("../../data/tube_points.csv");
const TUBE_PARAMETERS: &str = include_str!("../../data/tube_parameters.csv");
const GLOW_TUBES: &str = include_str!("../../data/glow_tubes.csv");
const SEMICONDUCTORS: &str = include_str!("../../data/semiconductors.csv");

static SHEETS: LazyLock<Result<Vec<TubeSheet>, CatalogueError>> =
    LazyLock::new(|| sheet::read(TUBE_TYPES, TUBE_POINTS));
static TUBES: LazyLock<Result<Vec<TubeType>, CatalogueError>> =
    LazyLock::new(|| tube::read(TUBE_TYPES, TUBE_PARAMETERS, GLOW_TUBES));
static SEMIS: LazyLock<Result<Vec<SemiconductorType>, CatalogueError>> =
    LazyLock::new(|| semiconductor::read(SEMICONDUCTORS));

/// All tube types, in the table's order.
pub fn tube_types() -> &'static [TubeType] {
    TUBES.as_deref().unwrap_or_default()
}

/// A tube type by its name, upper or lower case.
pub fn tube_type(name: &str) -> Option<&'static TubeType> {
    tube_types()
        .iter()
        .find(|tube| tube.name.eq_ignore_ascii_case(name))
}

/// The published points of all tube types, from which their parameters were fitted.
pub fn tube_sheets() -> &'static [TubeSheet] {
    SHEETS.as_deref().unwrap_or_default()
}

/// All semiconductor types, in the table's order.
pub fn semiconductors() -> &'static [SemiconductorType] {
    SEMIS.as_deref().unwrap_or_default()
}

/// A semiconductor type by one of its names, upper or lower case.
pub fn semiconductor(name: &str) -> Option<&'static SemiconductorType> {
    semiconductors().iter().find(|semiconductor| {
        semiconductor
            .names
            .iter()
            .any(|own| own.eq_ignore_ascii_case(name))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 45 types, 164 points and 17 semiconductors were gathered; a row lost on the way would show.
    #[test]
    fn every_row_of_every_table_is_read() {
        assert_eq!(TUBES.as_ref().unwrap().len(), 45);
        let sheets = SHEETS.as_ref().unwrap();
        assert_eq!(sheets.len(), 45);
        let points: usize = sheets.iter().map(|sheet| sheet.points.len()).sum();
        assert_eq!(points, 164);
        assert_eq!(SEMIS.as_ref().unwrap().len(), 17);
    }

    #[test]
    fn a_type_is_found_in_either_case_and_an_unknown_one_is_not() {
        assert_eq!(tube_type("12ax7").unwrap().name, "12AX7");
        assert_eq!(semiconductor("bc108a").unwrap().names[0], "BC107A");
        assert!(tube_type("12AX").is_none());
        assert!(semiconductor("").is_none());
    }

    #[test]
    fn no_name_stands_for_two_types() {
        let mut names: Vec<String> = tube_types().iter().map(|t| t.name.clone()).collect();
        names.extend(semiconductors().iter().flat_map(|s| s.names.clone()));
        for name in &mut names {
            name.make_ascii_lowercase();
        }
        let all = names.len();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), all);
    }
}
