//! The points of a described tube, as a data sheet prints them.
//!
//! Sections come in, points in volts, amperes, siemens and ohms go out. Which points a fit needs
//! is not known here.

use circuit::{DataPoint, Electrode, PointKind, TubeClass};
use units::Unit;

use super::transconductance::siemens;
use crate::diagnostic::Diagnostic;
use crate::nearest::did_you_mean;
use crate::settings::tree::Section;
use crate::values::{self, Reported};

const POINT: [&str; 9] = [
    "kind",
    "plate",
    "grid",
    "screen",
    "plate-current",
    "screen-current",
    "gm",
    "rp",
    "mu",
];

/// Printed factors are rounded separately: `gm·rp` and `mu` of one point differ by less than this
/// share.
const FACTORS_AGREE: f64 = 0.25;

/// What all points of a tube have in common.
pub(super) struct Printed<'a> {
    /// Class of the tube.
    pub class: TubeClass,
    /// The source of its points.
    pub source: &'a str,
    /// Whether the whole text was TOML.
    pub whole: bool,
}

/// One point being read.
struct PointReader<'a> {
    printed: &'a Printed<'a>,
    section: &'a Section<'a>,
}

/// Reads every point.
pub(super) fn read_points(
    printed: &Printed<'_>,
    sections: &[Section<'_>],
    out: &mut Vec<Diagnostic>,
) -> Result<Vec<DataPoint>, Reported> {
    let read: Vec<Result<DataPoint, Reported>> = sections
        .iter()
        .map(|section| PointReader { printed, section }.point(out))
        .collect();
    read.into_iter().collect()
}

/// The kinds of point that a class has, the usual one first.
fn kinds(class: TubeClass) -> &'static [(&'static str, PointKind)] {
    match class {
        TubeClass::FullWaveRectifier | TubeClass::HalfWaveRectifier | TubeClass::TwinDiode => {
            &[("drop", PointKind::Drop)]
        }
        TubeClass::PentagridConverter => &[
            ("oscillating", PointKind::ConverterOscillating),
            ("at rest", PointKind::ConverterAtRest),
        ],
        TubeClass::RemoteCutoffPentode => &[
            ("operating", PointKind::OperatingPoint),
            ("cutoff", PointKind::Cutoff),
            ("curve", PointKind::PublishedCurve),
            ("remote tail", PointKind::RemoteTail),
        ],
        _ => &[
            ("operating", PointKind::OperatingPoint),
            ("cutoff", PointKind::Cutoff),
            ("curve", PointKind::PublishedCurve),
        ],
    }
}

impl PointReader<'_> {
    fn point(&self, out: &mut Vec<Diagnostic>) -> Result<DataPoint, Reported> {
        self.section.only(&POINT, out);
        let class = self.printed.class;
        let has = |electrode| !class.sections_with(electrode).is_empty();
        let kind = self.kind(out);
        let plate = self.positive("plate", Unit::Volt, out);
        let plate = self.needed("plate", plate, "250V", out);
        let has_grid = has(Electrode::Grid) || has(Electrode::SignalGrid);
        let grid = if has_grid {
            let grid = self.grid(out);
            match kind {
                // The signal grid has no effect while the oscillator is at rest.
                Ok(PointKind::ConverterAtRest) => grid.map(|grid| grid.or(Some(0.0))),
                _ => self.needed("grid", grid, "-2V", out).map(Some),
            }
        } else {
            self.foreign("grid", out)
        };
        let (screen, screen_current) = if has(Electrode::Screen) {
            let screen = self.positive("screen", Unit::Volt, out);
            let screen = self.needed("screen", screen, "100V", out).map(Some);
            (screen, self.current("screen-current", out))
        } else {
            let current = self.foreign("screen-current", out);
            (self.foreign("screen", out), current)
        };
        let plate_current = self.current("plate-current", out);
        let (gm, mu) = if has_grid {
            (self.gm(out), self.mu(out))
        } else {
            (self.foreign("gm", out), self.foreign("mu", out))
        };
        let rp = self.positive("rp", Unit::Ohm, out);
        let numbers = [plate_current, gm, rp, mu];
        self.says_something(kind, numbers, out)?;
        self.doubt_factors(numbers, out);
        Ok(DataPoint {
            kind: kind?,
            plate_volts: plate?,
            grid_volts: grid?.unwrap_or(0.0),
            screen_volts: screen?,
            plate_amperes: plate_current?,
            screen_amperes: screen_current?,
            gm: gm?,
            rp: rp?,
            mu: mu?,
            status: "stated by the job".to_owned(),
            source: self.printed.source.to_owned(),
        })
    }

    fn kind(&self, out: &mut Vec<Diagnostic>) -> Result<PointKind, Reported> {
        let kinds = kinds(self.printed.class);
        let Some(entry) = self.section.entry("kind") else {
            return kinds.first().map(|(_, kind)| *kind).ok_or(Reported);
        };
        let words = entry.words(out)?;
        let plain = |text: &str| text.to_lowercase().replace([' ', '-'], "");
        let found = kinds
            .iter()
            .find(|(word, _)| plain(word) == plain(&words.text));
        found.map(|(_, kind)| *kind).ok_or_else(|| {
            let class = self.printed.class.words();
            let message = format!(
                "{}: a {class} has no point of the kind '{}'",
                entry.what(),
                words.text
            );
            let known: Vec<&str> = kinds.iter().map(|(word, _)| *word).collect();
            let near = did_you_mean(&words.text, known.iter().copied());
            let help = format!("write one of: {}", known.join(", "));
            let error = Diagnostic::error(words.span, message).help(help);
            out.push(error.maybe_help(near));
            Reported
        })
    }

    fn positive(
        &self,
        key: &str,
        unit: Unit,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<f64>, Reported> {
        let Some(entry) = self.section.entry(key) else {
            return Ok(None);
        };
        let words = entry.words(out)?;
        values::positive(&words, &entry.what(), unit, out).map(Some)
    }

    /// A current in amperes. Sheets print milliamperes, so a current without a unit is refused
    /// rather than guessed.
    fn current(&self, key: &str, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(entry) = self.section.entry(key) else {
            return Ok(None);
        };
        let words = entry.words(out)?;
        let bare = words.text.parse::<f64>().is_ok();
        if bare {
            let message = format!("{}: a current needs its unit", entry.what());
            let help = format!("write `{}mA` if milliamperes are meant", words.text);
            out.push(Diagnostic::error(words.span, message).help(help));
            return Err(Reported);
        }
        values::positive(&words, &entry.what(), Unit::Ampere, out).map(Some)
    }

    fn grid(&self, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(entry) = self.section.entry("grid") else {
            return Ok(None);
        };
        let words = entry.words(out)?;
        let volts = values::figure(&words, &entry.what(), Unit::Volt, out)?.value;
        if volts > 0.0 {
            let message = format!("{}: this grid is above its cathode", entry.what());
            let help = format!("sheets may leave out the sign: `-{}`?", words.text);
            out.push(Diagnostic::warning(words.span, message).help(help));
        }
        Ok(Some(volts))
    }

    fn gm(&self, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(entry) = self.section.entry("gm") else {
            return Ok(None);
        };
        let words = entry.words(out)?;
        siemens(&words, &entry.what(), out).map(Some)
    }

    /// A factor without a unit.
    fn mu(&self, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(entry) = self.section.entry("mu") else {
            return Ok(None);
        };
        let words = entry.number(out)?;
        match words.text.parse::<f64>() {
            Ok(mu) if mu.is_finite() && mu > 0.0 => Ok(Some(mu)),
            _ => {
                let message = format!("{}: a number above zero was expected here", entry.what());
                out.push(Diagnostic::error(words.span, message).help("write `mu = 100`"));
                Err(Reported)
            }
        }
    }

    fn needed(
        &self,
        key: &str,
        read: Result<Option<f64>, Reported>,
        example: &str,
        out: &mut Vec<Diagnostic>,
    ) -> Result<f64, Reported> {
        if let Some(value) = read? {
            return Ok(value);
        }
        let message = format!("'{key}' is missing");
        Err(self.missing(&message, &format!("{key} = \"{example}\""), out))
    }

    /// A key that this class of tube does not use.
    fn foreign(&self, key: &str, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(entry) = self.section.entry(key) else {
            return Ok(None);
        };
        let class = self.printed.class.words();
        let message = format!("{}: a {class} has none", entry.what());
        out.push(Diagnostic::error(entry.key_span.clone(), message).help("leave it out"));
        Err(Reported)
    }

    /// A point with volts alone states nothing; all kinds except typical operation need the
    /// current.
    fn says_something(
        &self,
        kind: Result<PointKind, Reported>,
        numbers: [Result<Option<f64>, Reported>; 4],
        out: &mut Vec<Diagnostic>,
    ) -> Result<(), Reported> {
        let [plate_current, ..] = numbers;
        let enough = match kind {
            Ok(PointKind::OperatingPoint) | Err(Reported) => {
                numbers.iter().any(|number| *number != Ok(None))
            }
            Ok(_) => plate_current != Ok(None),
        };
        if enough {
            return Ok(());
        }
        let example = "plate-current = \"1.2mA\"";
        Err(self.missing("'plate-current' is missing", example, out))
    }

    fn doubt_factors(
        &self,
        numbers: [Result<Option<f64>, Reported>; 4],
        out: &mut Vec<Diagnostic>,
    ) {
        let (Some(entry), [_, Ok(Some(gm)), Ok(Some(rp)), Ok(Some(mu))]) =
            (self.section.entry("mu"), numbers)
        else {
            return;
        };
        // mu = gm·rp
        let product = gm * rp;
        if (product - mu).abs() > FACTORS_AGREE * mu {
            let message = format!(
                "{}: gm times rp is {}, but mu is {}",
                entry.what(),
                units::significant(product, 3),
                units::significant(mu, 3)
            );
            let help = "one of the three may be misread";
            out.push(Diagnostic::warning(entry.span(), message).help(help));
        }
    }

    fn missing(&self, message: &str, example: &str, out: &mut Vec<Diagnostic>) -> Reported {
        if self.printed.whole {
            let message = format!("{}: {message}", self.section.name);
            let help = format!("add `{example}`");
            out.push(Diagnostic::error(self.section.span.clone(), message).help(help));
        }
        Reported
    }
}
