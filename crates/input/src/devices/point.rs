//! The points of a described tube, as a data sheet prints them.
//!
//! Sections come in, points in volts, amperes, siemens and ohms go out. Which points a fit needs
//! is not known here.

use circuit::{DataPoint, Electrode, PointKind, TubeClass};
use units::Unit;

use super::transconductance::siemens;
use crate::diagnostic::Diagnostic;
use crate::settings::tree::Section;
use crate::values::{self, Reported};

const POINT: [&str; 10] = [
    "kind",
    "section",
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
    pub class: TubeClass,
    /// The source of its points.
    pub source: &'a str,
}

struct PointReader<'a> {
    printed: &'a Printed<'a>,
    /// Its class, or a triode where the point is one of the triode beside a pentode.
    class: TubeClass,
    section: &'a Section<'a>,
}

pub(super) fn read_points(
    printed: &Printed<'_>,
    sections: &[Section<'_>],
    out: &mut Vec<Diagnostic>,
) -> Result<Vec<DataPoint>, Reported> {
    let read = |section| {
        let class = section_class(printed.class, section, out)?;
        PointReader {
            printed,
            class,
            section,
        }
        .point(out)
    };
    values::all(sections.iter().map(read))
}

/// The class whose keys a point has. A triode-pentode's point may be one of its triode.
fn section_class(
    class: TubeClass,
    section: &Section<'_>,
    out: &mut Vec<Diagnostic>,
) -> Result<TubeClass, Reported> {
    let Some(words) = section.words("section", out)? else {
        return Ok(class);
    };
    if !class.is_triode_pentode() {
        let error = words.error(format!(
            "the points of a {} are of one section",
            class.words()
        ));
        return Err(error.help("leave it out").report(out));
    }
    match words.text.to_lowercase().as_str() {
        "triode" => Ok(TubeClass::Triode),
        "pentode" => Ok(class),
        _ => {
            let message = format!("a {} has no section '{}'", class.words(), words.text);
            Err(words.unknown(message, &["pentode", "triode"], out))
        }
    }
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
        let has = |electrode| !self.class.sections_with(electrode).is_empty();
        let kind = self.kind(out);
        let plate = self.section.positive("plate", Unit::Volt, out);
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
            let screen = self.section.positive("screen", Unit::Volt, out);
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
        let rp = self.section.positive("rp", Unit::Ohm, out);
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
        let beside_pentode = self.class != self.printed.class;
        let kinds = match beside_pentode {
            true => &[("operating", PointKind::TriodeSection)],
            false => kinds(self.class),
        };
        let Some(words) = self.section.words("kind", out)? else {
            return kinds.first().map(|(_, kind)| *kind).ok_or(Reported);
        };
        let plain = |text: &str| text.to_lowercase().replace([' ', '-'], "");
        let found = kinds
            .iter()
            .find(|(word, _)| plain(word) == plain(&words.text));
        found.map(|(_, kind)| *kind).ok_or_else(|| {
            let class = self.class.words();
            let message = format!("a {class} has no point of the kind '{}'", words.text);
            let known: Vec<&str> = kinds.iter().map(|(word, _)| *word).collect();
            words.unknown(message, &known, out)
        })
    }

    /// A current in amperes. Sheets print milliamperes, so a current without a unit is refused
    /// rather than guessed.
    fn current(&self, key: &str, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(words) = self.section.words(key, out)? else {
            return Ok(None);
        };
        if words.text.parse::<f64>().is_ok() {
            let help = format!("write `{}mA` if milliamperes are meant", words.text);
            let error = words.error("a current needs its unit");
            return Err(error.help(help).report(out));
        }
        words.positive(Unit::Ampere, out).map(Some)
    }

    fn grid(&self, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(words) = self.section.words("grid", out)? else {
            return Ok(None);
        };
        let volts = words.figure(Unit::Volt, out)?.value;
        if volts > 0.0 {
            let help = format!("sheets may leave out the sign: `-{}`?", words.text);
            let warning = words.warning("this grid is above its cathode");
            out.push(warning.help(help));
        }
        Ok(Some(volts))
    }

    fn gm(&self, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let words = self.section.words("gm", out)?;
        words.map(|words| siemens(&words, out)).transpose()
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
                let error = words.error("a number above zero was expected here");
                Err(error.help("write `mu = 100`").report(out))
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
        let example = format!("{key} = \"{example}\"");
        read?.ok_or_else(|| self.section.lacks(key, &example, out))
    }

    /// A key that this class of tube does not use.
    fn foreign(&self, key: &str, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(entry) = self.section.entry(key) else {
            return Ok(None);
        };
        let class = self.class.words();
        let error = entry.error_at_key(format!("a {class} has none"));
        Err(error.help("leave it out").report(out))
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
            Ok(PointKind::OperatingPoint | PointKind::TriodeSection) | Err(Reported) => {
                numbers.iter().any(|number| *number != Ok(None))
            }
            Ok(_) => plate_current != Ok(None),
        };
        if enough {
            return Ok(());
        }
        let (key, example) = ("plate-current", "plate-current = \"1.2mA\"");
        Err(self.section.lacks(key, example, out))
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
}
