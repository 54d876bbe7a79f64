//! A job: one set on the bench, its manual, its circuit, its meters and what they showed.

use units::{Figure, Tolerance};

use crate::catalogue::{tube_type, TubeType};
use crate::circuit::{Circuit, Origin, Port};
use crate::left_out::{LeftOutRow, UnprintedEntry};
use crate::manual::ManualEntry;
use crate::meter::Meter;
use crate::meter_class::{meter_classes, same_meter_name};
use crate::part::Part;
use crate::setting::{Setting, SettingValue};

/// The classes of parts for which a job may state a factor in [`Job::ages`]: those that a netlist
/// can distinguish.
pub const AGE_CLASSES: [&str; 11] = [
    "resistor",
    "potentiometer",
    "paper capacitor",
    "mica or ceramic capacitor",
    "electrolytic capacitor",
    "coil or transformer",
    "supply",
    "tube",
    "semiconductor",
    "contact",
    "lamp",
];

/// What the meter displayed.
#[derive(Clone, Debug, PartialEq)]
pub enum Shown {
    /// A value in the unit of the quantity.
    Value(Figure),
    /// The overrange sign: more than the range holds.
    Overrange,
}

/// One reading taken on the bench.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The manual's label of the point, or the user's own.
    pub point: String,
    /// The two nodes, from the manual's row or from the reading's own `at` column.
    pub port: Option<Port>,
    /// What the meter displayed.
    pub shown: Shown,
    /// The meter used.
    pub meter: Meter,
    /// Full scale of the range used, in volts, where noted.
    pub range: Option<f64>,
    /// Which set was measured.
    pub set: String,
    /// The date as written.
    pub date: String,
    /// Free text.
    pub note: String,
    /// The row it is from.
    pub origin: Origin,
}

/// How the manual's values were read.
#[derive(Clone, Debug, PartialEq)]
pub struct Documented {
    /// Line volts of the manual, where stated.
    pub line: Option<f64>,
    /// Tolerance for rows that state none.
    pub tolerance: Option<Tolerance>,
    /// Conditions in the manual's words.
    pub conditions: String,
}

/// What is on the bench today.
#[derive(Clone, Debug, PartialEq)]
pub struct Bench {
    /// Meters to translate for, the first of them the one in use.
    pub meters: Vec<Meter>,
    /// Line volts at the bench, where stated.
    pub line: Option<f64>,
    /// Guard band of a verdict as a multiple of the expanded uncertainty: w = guard · U; from 0 to
    /// 10, no unit.
    pub guard: f64,
    /// Supplies that the bench side takes at the volts read there, each a
    /// [`crate::SettingValue::Held`]; empty unless that is asked for.
    pub rails: Vec<Setting>,
}

impl Bench {
    /// The guard band where a job states none: w = U, as in the figure of ILAC-G8:09/2019, 4.2.
    /// With w = 0 it is simple acceptance (4.2.1 there).
    pub const USUAL_GUARD: f64 = 1.0;
}

/// Everything that a job folder says.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// The name of the set.
    pub title: String,
    /// The set's serial number as written; empty if unstated.
    pub serial: String,
    /// Whether the set has no mains transformer, so that its chassis may be at line voltage.
    pub hot_chassis: bool,
    /// The folder as the user named it.
    pub folder: String,
    /// The drawn circuit.
    pub circuit: Circuit,
    /// The manual's values.
    pub manual: Vec<ManualEntry>,
    /// Bench readings.
    pub readings: Vec<Reading>,
    /// Meters described by the job, besides the classes built in.
    pub own_meters: Vec<Meter>,
    /// Tube types described by the job, which come before the built-in ones.
    pub own_tubes: Vec<TubeType>,
    /// How the manual's values were read.
    pub documented: Documented,
    /// What is on the bench.
    pub bench: Bench,
    /// The order in which the stages are worked through: designators of parts or of sockets, or the
    /// words `rails` and `power-off`; each once. Empty if unstated.
    pub stage_order: Vec<String>,
    /// How many times likelier than usual a fault is in parts of a class, by its name in
    /// [`AGE_CLASSES`]; above 0, no unit. A class that is not here has the factor 1.
    pub ages: Vec<(String, f64)>,
    /// How old the set is, in years; none if unstated.
    pub age: Option<f64>,
    /// Share of a probe's gain that a hazardous point loses, 0 to 1; none if unstated.
    pub hazard_penalty: Option<f64>,
    /// Rows and meters that could not be read and are left out of the rest.
    pub left_out: Vec<LeftOutRow>,
    /// Rows of the manual that print no value.
    pub unprinted: Vec<UnprintedEntry>,
}

impl Job {
    /// The usual classes of meters; a class that the job describes itself is as described there.
    pub fn meter_classes(&self) -> Vec<Meter> {
        let own = |class: &Meter| {
            let mut own = self.own_meters.iter();
            own.find(|own| same_meter_name(&own.name, &class.name))
                .cloned()
        };
        let classes = meter_classes().into_iter();
        classes.map(|class| own(&class).unwrap_or(class)).collect()
    }

    /// A tube type of the job or a built-in one by its name, upper or lower case.
    pub fn tube_type(&self, name: &str) -> Option<&TubeType> {
        let mut own = self.own_tubes.iter();
        own.find(|tube| tube.name.eq_ignore_ascii_case(name))
            .or_else(|| tube_type(name))
    }

    /// Indices of the manual's entries whose meter is not known, of every quantity.
    pub fn unknown_meter_entries(&self) -> Vec<usize> {
        self.manual
            .iter()
            .enumerate()
            .filter(|(_, entry)| entry.meter_unknown)
            .map(|(index, _)| index)
            .collect()
    }

    /// The job as it would be if the unknown meter were this one: it is put into every entry of
    /// [`Job::unknown_meter_entries`], none of which is unknown any more. A range that the manual
    /// states is kept, because it is known whatever the meter was.
    pub fn with_unknown_meter(&self, meter: &Meter) -> Job {
        let mut job = self.clone();
        for entry in job.manual.iter_mut().filter(|entry| entry.meter_unknown) {
            entry.meter = meter.clone();
            entry.meter_unknown = false;
        }
        job
    }

    /// Line volts of the bench over line volts of the manual; 1 where either is unstated.
    pub fn line_factor(&self) -> f64 {
        match (self.documented.line, self.bench.line) {
            (Some(manual), Some(bench)) => bench / manual,
            _ => 1.0,
        }
    }

    /// The highest multiple of its volts to which any row of the manual sets a supply; at least 1.
    pub fn highest_share(&self, supply: &Part) -> f64 {
        let settings = self.row_ids().flat_map(|id| self.row(id).settings);
        let shares = settings.filter_map(|setting| match setting.value {
            SettingValue::Share(share) => Some((setting.part, share)),
            _ => None,
        });
        shares
            .filter(|(id, _)| self.circuit.part(*id).designator == supply.designator)
            .fold(1.0, |most, (_, share)| share.max(most))
    }
}

#[cfg(test)]
mod tests {
    use units::{Figure, Unit};

    use super::*;
    use crate::circuit::Origin;
    use crate::manual::{PrintedAs, Quantity};
    use crate::meter_class::meter_by_name;

    fn entry(point: &str, meter: &str, meter_unknown: bool) -> ManualEntry {
        ManualEntry {
            point: point.into(),
            at: "plate1".into(),
            against: "chassis".into(),
            port: None,
            quantity: Quantity::DcVolts,
            figure: Figure::parse("145", Unit::Volt).unwrap(),
            printed_as: PrintedAs::Value,
            meter: meter_by_name(meter).unwrap(),
            meter_unknown,
            range: Some(250.0),
            tolerance: None,
            source: None,
            signal: Default::default(),
            settings: Vec::new(),
            note: String::new(),
            origin: Origin::default(),
        }
    }

    fn job(manual: Vec<ManualEntry>) -> Job {
        Job {
            title: String::new(),
            serial: String::new(),
            hot_chassis: false,
            folder: String::new(),
            circuit: Circuit::default(),
            manual,
            readings: Vec::new(),
            own_meters: Vec::new(),
            own_tubes: Vec::new(),
            documented: Documented {
                line: None,
                tolerance: None,
                conditions: String::new(),
            },
            bench: Bench {
                meters: Vec::new(),
                line: None,
                guard: Bench::USUAL_GUARD,
                rails: Vec::new(),
            },
            stage_order: Vec::new(),
            ages: Vec::new(),
            age: None,
            hazard_penalty: None,
            left_out: Vec::new(),
            unprinted: Vec::new(),
        }
    }

    #[test]
    fn a_class_goes_into_the_entries_of_the_unknown_meter_and_no_others() {
        let before = job(vec![
            entry("1", "20k/V", true),
            entry("2", "20k/V", false),
            entry("3", "20k/V", true),
        ]);
        assert_eq!(before.unknown_meter_entries(), [0, 2]);
        let after = before.with_unknown_meter(&meter_by_name("1k/V").unwrap());
        assert_eq!(after.unknown_meter_entries(), Vec::<usize>::new());
        let meters: Vec<&str> = after
            .manual
            .iter()
            .map(|entry| entry.meter.name.as_str())
            .collect();
        assert_eq!(meters, ["1k/V", "20k/V", "1k/V"]);
        assert_eq!(after.manual[0].range, Some(250.0));
        assert_eq!(before.unknown_meter_entries(), [0, 2]);
    }

    #[test]
    fn a_class_that_the_job_describes_takes_the_place_of_the_one_built_in() {
        let mut job = job(Vec::new());
        let mut own = meter_by_name("20k/V").unwrap();
        own.name = "1 kΩ/V".into();
        job.own_meters = vec![own.clone()];
        let classes = job.meter_classes();
        assert_eq!(classes.len(), meter_classes().len());
        assert_eq!(classes[0], own);
        assert_eq!(classes[1..], meter_classes()[1..]);
    }

    #[test]
    fn a_job_without_an_unknown_meter_stays_as_it_is() {
        let before = job(vec![entry("1", "11M", false)]);
        assert_eq!(
            before.with_unknown_meter(&meter_by_name("1k/V").unwrap()),
            before
        );
    }
}
