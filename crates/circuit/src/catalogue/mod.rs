//! The catalogue: tube and semiconductor types with their bases, sheet points, parameters and
//! sources.
//!
//! It holds the tables of `data/`, embedded in the program, and reads them into types, pins and
//! [`Characteristic`]s. A type's name comes in; plain values go out, each
//! with a status that says how far it can be trusted (read, from memory, measured). How a
//! characteristic is fitted to its points, and how the laws use it, is not known here.
//!
//! The tables are part of the program, so a fault in a table is a fault of the program: a test
//! reads every row. A type that cannot be read is treated as unknown.

mod alias;
mod base;
mod class;
mod own;
mod parameters;
mod rating;
mod rows;
mod semiconductor;
mod sheet;
mod tube;
mod tube_table;

use std::sync::LazyLock;

pub use alias::TypeAlias;
pub use base::{Electrode, Pin};
pub use class::TubeClass;
pub use own::{Basing, OwnTypeError};
pub use rating::TubeRating;
pub use semiconductor::{SeleniumPlate, SemiconductorKind, SemiconductorType, ZenerType};
pub use sheet::{DataPoint, PointKind, TubeSheet};
pub use tube::{GlowLimits, HeaterRating, TubeType, TubeUnit};

use crate::characteristic::Characteristic;

use rows::CatalogueError;
use tube_table::TubeTable;

const TUBE_TYPES: &str = include_str!("../../data/tube_types.csv");
const TUBE_POINTS: &str = include_str!("../../data/tube_points.csv");
const TUBE_PARAMETERS: &str = include_str!("../../data/tube_parameters.csv");
const GLOW_TUBES: &str = include_str!("../../data/glow_tubes.csv");
const TYPE_ALIASES: &str = include_str!("../../data/type_aliases.csv");
const TUBE_RATINGS: &str = include_str!("../../data/tube_ratings.csv");
const SEMICONDUCTORS: &str = include_str!("../../data/semiconductors.csv");

static SHEETS: LazyLock<Result<Vec<TubeSheet>, CatalogueError>> =
    LazyLock::new(|| sheet::read(TUBE_TYPES, TUBE_POINTS));
static TUBES: LazyLock<Result<TubeTable, CatalogueError>> = LazyLock::new(TubeTable::new);
static SEMIS: LazyLock<Result<Vec<SemiconductorType>, CatalogueError>> =
    LazyLock::new(|| semiconductor::read(SEMICONDUCTORS));

static ALIASES: LazyLock<Result<Vec<TypeAlias>, CatalogueError>> =
    LazyLock::new(|| alias::read(TYPE_ALIASES));
static RATINGS: LazyLock<Result<Vec<TubeRating>, CatalogueError>> =
    LazyLock::new(|| rating::read(TUBE_RATINGS));

/// Other names of types of the catalogue.
pub fn type_aliases() -> &'static [TypeAlias] {
    ALIASES.as_deref().unwrap_or_default()
}

/// The name in the catalogue for a name that may be an alias.
fn canonical(name: &str) -> &str {
    let alias = type_aliases()
        .iter()
        .find(|row| row.alias.eq_ignore_ascii_case(name));
    alias.map_or(name, |row| row.of.as_str())
}

/// The maximum dissipation of a tube of this type, if it is in the catalogue.
pub fn tube_rating(name: &str) -> Option<&'static TubeRating> {
    let name = canonical(name);
    let mut ratings = RATINGS.as_deref().unwrap_or_default().iter();
    ratings.find(|row| row.name.eq_ignore_ascii_case(name))
}

/// All tube types, in the table's order.
pub fn tube_types() -> impl Iterator<Item = &'static TubeType> {
    let table = TUBES.as_ref().ok();
    let places = 0..table.map_or(0, TubeTable::len);
    places.filter_map(move |place| table?.at(place).ok())
}

impl TubeType {
    /// Types that fit its socket, are heated in it and do the same in it by another law, each law once, with their
    /// places among [`tube_types`].
    pub fn others_in_socket(&self) -> Vec<(usize, &'static TubeType)> {
        let laws = |tube: &TubeType| -> Vec<Characteristic> {
            tube.units.iter().map(|unit| unit.characteristic).collect()
        };
        let mut known = vec![laws(self)];
        let mut found = Vec::new();
        for (place, other) in tube_types().enumerate() {
            let fits = other.base == self.base && other.pins == self.pins;
            if fits && self.does_as(other) && !known.contains(&laws(other)) {
                known.push(laws(other));
                found.push((place, other));
            }
        }
        found
    }
}

impl TubeType {
    /// Whether another type has sections of the same kinds, and a heater for the same volts or the same current.
    fn does_as(&self, other: &TubeType) -> bool {
        let kinds = |tube: &TubeType| -> Vec<_> {
            let units = tube.units.iter();
            units
                .map(|unit| std::mem::discriminant(&unit.characteristic))
                .collect()
        };
        let near = |a: f64, b: f64| (a - b).abs() <= HEATED_ALIKE * a.abs().max(b.abs());
        let alike = |own: &HeaterRating| {
            let mut theirs = other.heater.iter();
            theirs.any(|their| near(own.volts, their.volts) || near(own.amperes, their.amperes))
        };
        let unknown = self.heater.is_empty() || other.heater.is_empty();
        kinds(self) == kinds(other) && (unknown || self.heater.iter().any(alike))
    }
}

/// Ratings of heaters that differ by less than this share are alike: 6.3 V and 6.0 V, 0.30 A and 0.32 A.
const HEATED_ALIKE: f64 = 0.1;

/// A tube type by its name or an alias, upper or lower case.
pub fn tube_type(name: &str) -> Option<&'static TubeType> {
    let table = TUBES.as_ref().ok()?;
    // Few names are aliases, of which the table need not be read before.
    let place = table.place(name);
    let place = place.or_else(|| table.place(canonical(name)))?;
    table.at(place).ok()
}

/// The published points of all tube types, from which their parameters were fitted.
pub fn tube_sheets() -> &'static [TubeSheet] {
    SHEETS.as_deref().unwrap_or_default()
}

/// All semiconductor types, in the table's order.
pub fn semiconductors() -> &'static [SemiconductorType] {
    SEMIS.as_deref().unwrap_or_default()
}

/// A semiconductor type by one of its names or an alias, upper or lower case.
pub fn semiconductor(name: &str) -> Option<&'static SemiconductorType> {
    let name = canonical(name);
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

    /// The tables have 264 types, 631 points and 56 rows of semiconductors; a lost row fails this
    /// test.
    #[test]
    fn every_row_of_every_table_is_read() {
        let tubes = TUBES.as_ref().unwrap();
        assert_eq!(tubes.len(), 264);
        for place in 0..tubes.len() {
            tubes.at(place).unwrap();
        }
        let sheets = SHEETS.as_ref().unwrap();
        assert_eq!(sheets.len(), 264);
        let points: usize = sheets.iter().map(|sheet| sheet.points.len()).sum();
        assert_eq!(points, 631);
        assert_eq!(SEMIS.as_ref().unwrap().len(), 56);
    }

    #[test]
    fn a_type_is_found_in_either_case_and_an_unknown_one_is_not() {
        assert_eq!(tube_type("12ax7").unwrap().name, "12AX7");
        assert_eq!(semiconductor("bc108a").unwrap().names[0], "BC107A");
        assert!(tube_type("12AX").is_none());
        assert!(semiconductor("").is_none());
    }

    #[test]
    fn every_alias_and_rating_is_of_a_type_that_is_there() {
        assert!(ALIASES.as_ref().unwrap().len() >= 80);
        for row in type_aliases() {
            let known = tube_types().any(|tube| tube.name == row.of)
                || semiconductors().iter().any(|of| of.names.contains(&row.of));
            assert!(known && !row.source.is_empty(), "{}", row.alias);
            let own = tube_types().any(|tube| tube.name == row.alias)
                || semiconductors()
                    .iter()
                    .any(|of| of.names.contains(&row.alias));
            assert!(!own, "{} is a type of its own", row.alias);
        }
        for row in RATINGS.as_ref().unwrap() {
            let tube = tube_types().find(|tube| tube.name == row.name);
            let tube = tube.unwrap_or_else(|| panic!("{}", row.name));
            assert!(row.plate_watts > 0.0);
            // The plate of the pentode bears several times as much as that of the triode beside it.
            let beside = tube.class.is_triode_pentode();
            assert_eq!(row.triode_watts.is_some(), beside, "{}", row.name);
        }
        assert_eq!(tube_type("ecc83").unwrap().name, "12AX7");
        assert_eq!(tube_type("6SN7GTB").unwrap().name, "6SN7");
        assert_eq!(tube_type("OA2").unwrap().name, "0A2");
        assert_eq!(tube_type("VR150").unwrap().name, "0D3");
        assert_eq!(tube_type("vr75").unwrap().name, "0A3");
        assert_eq!(tube_type("VR105-30").unwrap().name, "0C3");
        assert_eq!(semiconductor("1N34").unwrap().names[0], "1N34A");
        assert_eq!(semiconductor("1n4001").unwrap().names[0], "1N4007");
    }

    #[test]
    fn no_name_stands_for_two_types() {
        let mut names: Vec<String> = tube_types().map(|t| t.name.clone()).collect();
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
