//! The inputs of a translated value, in the words of the trade.
//!
//! A line of a budget comes in; what it is, its limits, and how many volts it moves come out as
//! texts. Which lines matter is not known here.

use circuit::{
    spread_of, Accuracy, Job, ManualEntry, Meter, Nominal, Part, PartKind, PartParameter,
};
use circuit::{Reading, Shown, SpreadBasis, SpreadScale};
use reconcile::RangeChoice;
use translate::{BenchSide, BudgetLine, Distribution, Input};
use units::{engineering, Unit};

use crate::figures::{printed, range, short, stated, with_volts};

/// Digits of limits: parts are marked with two or three.
const DIGITS: usize = 3;

/// The value whose inputs are told.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rested<'a> {
    /// The job.
    pub job: &'a Job,
    /// The manual's row.
    pub entry: &'a ManualEntry,
    /// The range of the manual's meter.
    pub manual_range: RangeChoice,
    /// The bench meter's side.
    pub side: &'a BenchSide,
    /// The reading that it is held against.
    pub reading: Option<&'a Reading>,
}

impl Rested<'_> {
    /// What an input is: `rounding of the printed 145 V`, `R7 220 kΩ`.
    pub(crate) fn words(&self, input: Input) -> String {
        match input {
            Input::PrintedRounding => {
                format!(
                    "rounding of the printed {}",
                    with_volts(&printed(&self.entry.figure))
                )
            }
            Input::ManualMeter => {
                let on = self.manual_range;
                let on = range(on.range.full_scale, on.assumed);
                format!("manual's meter {} on {on}", self.entry.meter.name)
            }
            Input::ManualScale(entry) => match self.job.manual.get(entry) {
                Some(other) => format!(
                    "manual's meter {}, alike on the range of {}",
                    other.meter.name, other.point
                ),
                None => "manual's meter, alike on a range".to_owned(),
            },
            Input::StatedSource => {
                let ohms = self.entry.source.unwrap_or(f64::NAN);
                format!("stated source {}", stated(ohms, Unit::Ohm))
            }
            Input::Number(id) => part_words(self.job.circuit.part(id.part), id.parameter),
            Input::OtherValue(entry) => match self.job.manual.get(entry) {
                Some(other) => format!(
                    "printed {} at {}",
                    with_volts(&printed(&other.figure)),
                    other.point
                ),
                None => "another printed value".to_owned(),
            },
            Input::Discrepancy => "what the drawing may lack".to_owned(),
            Input::BenchMeter => {
                let on = range(self.side.range.full_scale, false);
                format!("bench meter {} on {on}", self.side.meter)
            }
            Input::ReadingRounding => match self.reading.map(|reading| &reading.shown) {
                Some(Shown::Value(figure)) => {
                    format!("rounding of the reading {}", with_volts(&printed(figure)))
                }
                _ => "rounding of the reading".to_owned(),
            },
        }
    }

    /// Its limits: `±10 %`, `±0.5 V`, `factor 2`; in brackets where they are assumed.
    pub(crate) fn limits(&self, line: &BudgetLine) -> String {
        let text = match (line.input, line.basis) {
            (Input::ManualMeter, SpreadBasis::Stated) => accuracy_words(&self.entry.meter),
            (Input::BenchMeter, SpreadBasis::Stated) => self.bench_meter().and_then(accuracy_words),
            _ => None,
        };
        let text = text.unwrap_or_else(|| match self.half_width(line) {
            Some(half) => self.scale(line.input).limits(half),
            None => String::new(),
        });
        match line.basis {
            SpreadBasis::Assumed if !text.is_empty() => format!("({text})"),
            _ => text,
        }
    }

    /// Half the distance of an input's limits, in its own unit. That of a number is the written one,
    /// however much wider the manual's values make it look.
    pub(crate) fn half_width(&self, line: &BudgetLine) -> Option<f64> {
        let Input::Number(id) = line.input else {
            return half_width(&line.spread);
        };
        let part = self.job.circuit.part(id.part);
        Some(spread_of(part, id.parameter).half_width)
    }

    /// Volts for a sensible amount of the input, and that amount: `-0.31` and `V/%`.
    pub(crate) fn slope(&self, line: &BudgetLine) -> (f64, &'static str) {
        let (amount, unit) = self.scale(line.input).step();
        (line.sensitivity * amount, unit)
    }

    /// The unit of an input's own number, for programs; a plain share or logarithm is `1`.
    pub(crate) fn unit(&self, input: Input) -> &'static str {
        match self.scale(input) {
            Scale::Volts => "V",
            Scale::Percent { .. } if is_volts(input) => "V",
            Scale::Ohms | Scale::Percent { .. } => "Ω",
            Scale::Amperes => "A",
            Scale::Share | Scale::Logarithm | Scale::Travel { .. } => "1",
        }
    }

    fn bench_meter(&self) -> Option<&Meter> {
        let used = self.reading.map(|reading| &reading.meter);
        let own = || {
            let mut meters = self.job.bench.meters.iter();
            meters.find(|meter| meter.name == self.side.meter)
        };
        used.or_else(own)
    }

    fn scale(&self, input: Input) -> Scale {
        match input {
            Input::StatedSource => percent_of(self.entry.source, Scale::Ohms),
            Input::Number(id) => scale_of(self.job.circuit.part(id.part), id.parameter),
            _ => Scale::Volts,
        }
    }
}

/// How an input is measured.
enum Scale {
    /// In volts.
    Volts,
    /// In ohms.
    Ohms,
    /// In amperes.
    Amperes,
    /// In percent of a nominal value, which is not zero.
    Percent { nominal: f64 },
    /// As a share of the whole.
    Share,
    /// By its natural logarithm.
    Logarithm,
    /// A wiper's position, by the logarithm of the travel below it over that above it; a share of the travel by it.
    Travel { share: f64 },
}

impl Scale {
    fn limits(&self, half: f64) -> String {
        match self {
            Scale::Volts => format!("±{}", with_volts(&short(half, DIGITS))),
            Scale::Ohms => format!("±{}", engineering(half, Unit::Ohm, 2)),
            Scale::Amperes => format!("±{} µA", short(half * 1e6, DIGITS)),
            Scale::Percent { nominal } => {
                format!("±{} %", short(100.0 * half / nominal.abs(), DIGITS))
            }
            Scale::Share => format!("±{} %", short(100.0 * half, DIGITS)),
            Scale::Logarithm => format!("factor {}", short(half.exp(), DIGITS)),
            Scale::Travel { share } => {
                format!("±{} % of travel", short(100.0 * half * share, DIGITS))
            }
        }
    }

    /// A sensible amount in the input's own unit, and the unit of volts by it.
    fn step(&self) -> (f64, &'static str) {
        match self {
            Scale::Volts => (1.0, "V/V"),
            Scale::Ohms => (1.0, "V/Ω"),
            Scale::Amperes => (1e-6, "V/µA"),
            Scale::Percent { nominal } => (nominal / 100.0, "V/%"),
            // A logarithm changes by 0.01 where the number changes by 1 %.
            Scale::Share | Scale::Logarithm => (0.01, "V/%"),
            Scale::Travel { share } => (0.01 / share, "V/%"),
        }
    }
}

fn is_volts(input: Input) -> bool {
    matches!(input, Input::Number(id) if id.parameter == PartParameter::Volts)
}

/// Percent where there is something to take them of.
fn percent_of(nominal: Option<f64>, otherwise: Scale) -> Scale {
    match nominal {
        Some(nominal) if nominal.is_finite() && nominal != 0.0 => Scale::Percent { nominal },
        _ => otherwise,
    }
}

/// How a number is measured: in percent of what is written, where something is.
fn scale_of(part: &Part, parameter: PartParameter) -> Scale {
    let spread = spread_of(part, parameter);
    let written = |otherwise| percent_of(Some(spread.nominal), otherwise);
    match spread.scale {
        SpreadScale::Volts => written(Scale::Volts),
        SpreadScale::Ohms => written(Scale::Ohms),
        SpreadScale::Amperes => Scale::Amperes,
        SpreadScale::Share => Scale::Share,
        SpreadScale::Logarithm => Scale::Logarithm,
        SpreadScale::Travel => match &part.kind {
            PartKind::Potentiometer(pot) => Scale::Travel {
                share: pot.by_offset(None),
            },
            _ => Scale::Logarithm,
        },
    }
}

/// `R7 220 kΩ`, `C3 leakage 10 MΩ`, `V1A emission`.
fn part_words(part: &Part, parameter: PartParameter) -> String {
    let what = match parameter {
        PartParameter::Resistance => "",
        PartParameter::WiperPosition => "wiper position",
        PartParameter::Leak => "leakage",
        PartParameter::Volts => "",
        PartParameter::SourceResistance => "own resistance",
        PartParameter::PrimaryResistance => "primary",
        PartParameter::SecondaryResistance => "secondary",
        PartParameter::Device(parameter) => parameter.name(),
    };
    let unit = match parameter {
        PartParameter::Volts => Unit::Volt,
        _ => Unit::Ohm,
    };
    let nominal = part.number(parameter).map(|number| number.nominal);
    let value = match nominal {
        Some(Nominal::Marked(value)) => Some(stated(value, unit)),
        Some(Nominal::Reckoned(ohms)) => Some(crate::figures::ohms(ohms)),
        Some(Nominal::ByType | Nominal::BySetting) | None => None,
    };
    [
        part.designator.as_str(),
        what,
        value.as_deref().unwrap_or(""),
    ]
    .into_iter()
    .filter(|word| !word.is_empty())
    .collect::<Vec<_>>()
    .join(" ")
}

/// A meter's stated accuracy: `±3 % full scale`, `±(0.5 % + 2 counts)`.
fn accuracy_words(meter: &Meter) -> Option<String> {
    Some(match meter.accuracy? {
        Accuracy::OfFullScale(share) => format!("±{} % full scale", short(100.0 * share, DIGITS)),
        Accuracy::OfReading { share, counts } => format!(
            "±({} % + {} counts)",
            short(100.0 * share, DIGITS),
            short(counts, DIGITS)
        ),
    })
}

/// Half the distance of its limits, in its own unit; none for an input without limits.
pub(crate) fn half_width(spread: &Distribution) -> Option<f64> {
    match *spread {
        Distribution::Rectangular { half_width } => Some(half_width),
        Distribution::Normal { .. } => None,
    }
}

#[cfg(test)]
#[path = "inputs_tests.rs"]
mod tests;
