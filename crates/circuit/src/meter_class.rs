//! The built-in meter classes: the meters that manuals name, with their usual ranges.
//!
//! A manual says `20,000 ohms per volt` or `11 megohm`; the rest of such a meter has to be assumed,
//! and every assumption is listed here with its origin. A job's own `meters.toml` takes precedence.

use units::Sensitivity;

use crate::meter::{AcInput, Accuracy, Meter, MeterInput, MeterRange, Response};
use crate::ohmmeter::{Ammeter, OhmRange, Ohmmeter};

/// One built-in class.
struct Class {
    name: &'static str,
    description: &'static str,
    input: MeterInput,
    ranges: &'static [f64],
}

impl Class {
    fn is_digital(&self) -> bool {
        self.name == DIGITAL
    }
}

/// Classes that manuals name occasionally. They can be named, but are not tried for a manual that
/// names no meter: each loads a point much like a usual class, and would only make that class
/// uncertain.
const RARE: [&str; 4] = ["167/V", "500/V", "25k/V", "11.1M"];

/// The class that is digital; all others have a pointer.
const DIGITAL: &str = "10M";

const fn per_volt(ohms: f64) -> MeterInput {
    MeterInput::Sensitivity(Sensitivity(ohms))
}

const fn fixed(ohms: f64) -> MeterInput {
    MeterInput::Fixed(ohms)
}

/// Of each class the name, the input resistance in ohms, the ranges in volts, the description.
macro_rules! classes {
    ($($name:literal $input:ident($ohms:literal) [$($volts:literal)+] $description:literal;)+) => {
        [$(Class {
            name: $name,
            description: $description,
            input: $input($ohms),
            ranges: &[$($volts),+],
        }),+]
    };
}

/// Range sets. 20 kΩ/V: the scales of TM 9-254 para 8-4 and the 50 kΩ of its 2.5 V range in US
/// Army Ordnance Subcourse OD0010, fig. 9. The others are from memory or common practice, no
/// source; so is the resistance of the digital class.
const CLASSES: [Class; 13] = classes! {
    "167/V" per_volt(167.0) [10.0 50.0 250.0 500.0]
        "167 ohms per volt, panel meter of 6 mA";
    "500/V" per_volt(500.0) [10.0 50.0 100.0 250.0 500.0]
        "500 ohms per volt, pocket meter of 2 mA";
    "1k/V" per_volt(1e3) [5.0 10.0 50.0 100.0 250.0 500.0 1000.0]
        "1,000 ohms per volt, pocket meter of the 1930s and 1940s";
    "5k/V" per_volt(5e3) [5.0 25.0 100.0 500.0 1000.0]
        "5,000 ohms per volt multimeter";
    "10k/V" per_volt(10e3) [2.5 10.0 50.0 250.0 1000.0]
        "10,000 ohms per volt multimeter";
    "20k/V" per_volt(20e3) [2.5 10.0 50.0 250.0 1000.0]
        "20,000 ohms per volt service multimeter";
    "25k/V" per_volt(25e3) [2.5 10.0 50.0 250.0 1000.0]
        "25,000 ohms per volt multimeter";
    "50k/V" per_volt(50e3) [0.5 2.5 10.0 50.0 250.0 1000.0]
        "50,000 ohms per volt multimeter";
    "100k/V" per_volt(100e3) [0.3 3.0 12.0 30.0 120.0 300.0 1200.0]
        "100,000 ohms per volt laboratory multimeter";
    "11.1M" fixed(11.1e6) [1.5 5.0 15.0 50.0 150.0 500.0 1500.0]
        "vacuum-tube voltmeter, 11.1 megohm with its probe";
    "11M" fixed(11e6) [1.5 5.0 15.0 50.0 150.0 500.0 1500.0]
        "vacuum-tube voltmeter, 11 megohm with its probe";
    "10M" fixed(10e6) [0.2 2.0 20.0 200.0 1000.0]
        "digital meter, 10 megohm on every range";
    "1M" fixed(1e6) [1.0 3.0 10.0 30.0 100.0 300.0 1000.0]
        "electronic voltmeter, 1 megohm on every range";
};

/// Permitted error of a pointer meter that states none: 3 % of full scale, the usual figure for
/// service meters and vacuum-tube voltmeters (common practice, no source).
const POINTER_ACCURACY: Accuracy = Accuracy::OfFullScale(0.03);

/// Permitted error of a digital meter that states none: 0.5 % and 2 counts of 2000 (from memory
/// of hand-held meters).
const DIGITAL_ACCURACY: Accuracy = Accuracy::OfReading {
    share: 0.005,
    counts: 2.0,
};

/// The same for its ohms and its amperes (from memory of hand-held meters).
const DIGITAL_OHMS: Accuracy = Accuracy::OfReading {
    share: 0.008,
    counts: 2.0,
};
const DIGITAL_AMPERES: Accuracy = Accuracy::OfReading {
    share: 0.01,
    counts: 2.0,
};

/// The usual built-in classes, from the heaviest load to the lightest.
pub fn meter_classes() -> Vec<Meter> {
    let usual = |class: &&Class| !RARE.contains(&class.name);
    CLASSES.iter().filter(usual).map(build).collect()
}

/// Every built-in class that can be named, from the heaviest load to the lightest.
pub fn named_meter_classes() -> Vec<Meter> {
    CLASSES.iter().map(build).collect()
}

/// Whether two names mean the same meter, ignoring blanks, case and the sign Ω, so that `1 kΩ/V`
/// also means a job's own `1k/V`.
pub fn same_meter_name(a: &str, b: &str) -> bool {
    plain(a) == plain(b)
}

/// Words for a kind of meter and its class as in docs/conventions.md, ignoring blanks and hyphens
/// (common practice, no source).
const KINDS: [(&str, &str); 13] = [
    ("vtvm", "11M"),
    ("tvm", "11M"),
    ("vvm", "11M"),
    ("vacuumtubevoltmeter", "11M"),
    ("tubevoltmeter", "11M"),
    ("valvevoltmeter", "11M"),
    ("electronicvoltmeter", "11M"),
    ("dmm", "10M"),
    ("dvm", "10M"),
    ("digital", "10M"),
    ("digitalmultimeter", "10M"),
    ("digitalvoltmeter", "10M"),
    ("digitalmeter", "10M"),
];

/// The built-in class of this name, ignoring spaces, case and the sign Ω; words for a kind of meter
/// mean a class too.
pub fn meter_by_name(name: &str) -> Option<Meter> {
    let letters = plain(name).replace('-', "");
    let kind = KINDS.iter().find(|(word, _)| *word == letters);
    let wanted = kind.map_or_else(|| plain(name), |(_, class)| plain(class));
    CLASSES
        .iter()
        .find(|class| plain(class.name) == wanted)
        .map(build)
}

fn plain(name: &str) -> String {
    name.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, 'Ω' | '\u{2126}'))
        .flat_map(char::to_lowercase)
        .collect()
}

fn build(class: &Class) -> Meter {
    Meter {
        name: class.name.to_owned(),
        description: class.description.to_owned(),
        input: class.input,
        ranges: class
            .ranges
            .iter()
            .map(|volts| MeterRange {
                full_scale: *volts,
                input: None,
            })
            .collect(),
        counts: class.is_digital().then_some(2000),
        accuracy: Some(if class.is_digital() {
            DIGITAL_ACCURACY
        } else {
            POINTER_ACCURACY
        }),
        probe: None,
        ac: Some(ac_side(class)),
        ohmmeter: Some(ohmmeter(class)),
        ammeter: ammeter(class),
    }
}

/// The ohmmeter. A service multimeter has 12 Ω and 1200 Ω at half scale with 1.5 V, and 120 kΩ with
/// 7.5 V; a tube voltmeter has decades from 10 Ω with 1.5 V; a digital meter tests with half a
/// volt, too little to turn on a silicon junction. All from memory of usual meters.
fn ohmmeter(class: &Class) -> Ohmmeter {
    let pointer = |(ohms, volts)| OhmRange {
        ohms,
        volts,
        full_scale: None,
    };
    let (ranges, accuracy) = match (class.is_digital(), class.input) {
        (true, _) => {
            let digital = |full_scale| OhmRange {
                ohms: full_scale,
                volts: 0.5,
                full_scale: Some(full_scale),
            };
            let scales = [200.0, 2e3, 20e3, 200e3, 2e6, 20e6];
            (scales.map(digital).to_vec(), DIGITAL_OHMS)
        }
        (false, MeterInput::Sensitivity(_)) => {
            let scales = [(12.0, 1.5), (1200.0, 1.5), (120e3, 7.5)];
            (scales.map(pointer).to_vec(), POINTER_ACCURACY)
        }
        (false, MeterInput::Fixed(_)) => {
            let scales = [10.0, 100.0, 1e3, 10e3, 100e3, 1e6, 10e6];
            let decades = scales.map(|ohms| pointer((ohms, 1.5)));
            (decades.to_vec(), POINTER_ACCURACY)
        }
    };
    Ohmmeter {
        ranges,
        accuracy: Some(accuracy),
        red_is_minus: false,
    }
}

/// The ammeter: a quarter of a volt across a pointer meter's shunt, a fifth across a digital one's
/// (common practice, no source). A tube voltmeter has none.
fn ammeter(class: &Class) -> Option<Ammeter> {
    let (burden, ranges, accuracy): (f64, &[f64], Accuracy) =
        match (class.is_digital(), class.input) {
            (true, _) => (0.2, &[200e-6, 2e-3, 20e-3, 200e-3, 2.0], DIGITAL_AMPERES),
            (false, MeterInput::Sensitivity(_)) => {
                (0.25, &[1e-3, 10e-3, 100e-3, 500e-3], POINTER_ACCURACY)
            }
            (false, MeterInput::Fixed(_)) => return None,
        };
    Some(Ammeter {
        burden,
        ranges: ranges.to_vec(),
        accuracy: Some(accuracy),
    })
}

/// The input for alternating volts. A 20 kΩ/V multimeter has 5 kΩ/V and is average-responding (a
/// tutorial on analog multimeters, myengineerings.com/what-is-analog-multimeter); tube voltmeters
/// are peak-responding with about 1 MΩ and 100 pF; both in general from memory.
fn ac_side(class: &Class) -> AcInput {
    let share_of_dc = 0.25;
    match class.input {
        MeterInput::Sensitivity(Sensitivity(ohms_per_volt)) => AcInput {
            input: MeterInput::Sensitivity(Sensitivity((ohms_per_volt * share_of_dc).max(1e3))),
            capacitance: 0.0,
            blocking: None,
            accuracy: Some(Accuracy::OfFullScale(0.05)),
            responds: Response::Average,
        },
        MeterInput::Fixed(_) => AcInput {
            input: MeterInput::Fixed(1e6),
            capacitance: 100e-12,
            blocking: Some(0.1e-6),
            accuracy: Some(if class.is_digital() {
                Accuracy::OfReading {
                    share: 0.01,
                    counts: 5.0,
                }
            } else {
                Accuracy::OfFullScale(0.05)
            }),
            responds: if class.is_digital() {
                Response::Average
            } else {
                Response::Peak
            },
        },
    }
}

impl Meter {
    /// The same meter, with the missing ones of its alternating-volt input, ohmmeter and ammeter
    /// taken from the usual class of its kind: digital, pointer, or tube voltmeter.
    pub fn with_usual_sides(&self) -> Meter {
        let kind = match (self.counts, self.input) {
            (Some(_), _) => "10M",
            (None, MeterInput::Sensitivity(_)) => "20k/V",
            (None, MeterInput::Fixed(_)) => "11M",
        };
        let mut meter = self.clone();
        if let Some(usual) = meter_by_name(kind) {
            meter.ac = meter.ac.or(usual.ac);
            meter.ohmmeter = meter.ohmmeter.or(usual.ohmmeter);
            meter.ammeter = meter.ammeter.or(usual.ammeter);
            meter.counts = meter.counts.or(usual.counts);
        }
        meter
    }
}

#[cfg(test)]
#[path = "meter_class_tests.rs"]
mod tests;
