//! The published points of a tube type, as its data sheet prints them.
//!
//! Rows of two tables come in, points in volts, amperes, siemens and ohms go out. Nothing is
//! fitted here.

use super::class::TubeClass;
use super::rows::{rows, CatalogueError, Row};

/// What a point of a data sheet states.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PointKind {
    /// Typical operation.
    OperatingPoint,
    /// Grid volts for a plate current near zero.
    Cutoff,
    /// Transconductance at a large negative bias of a remote-cutoff grid.
    RemoteTail,
    /// A point read off published curves.
    PublishedCurve,
    /// A point of curves measured on real tubes: the fit uses their shape, and their emission may
    /// differ.
    MeasuredCurve,
    /// A measurement that is not fitted, to check a fit.
    Check,
    /// Volts across a diode at a current.
    Drop,
    /// Converter, its oscillator not running; the plate current is the whole cathode's.
    ConverterAtRest,
    /// Converter in service; the grid volts are those of the signal grid.
    ConverterOscillating,
    /// Glow tube at its middle current.
    Regulator,
    /// Operating point that is not fitted, to check the fit.
    HeldBack,
    /// Current of a tuning eye's target; the plate volts are the target's.
    Target,
    /// Average current of a converter's oscillator anode; the plate volts are the anode's.
    OscillatorAnode,
    /// Rectified current of a converter's oscillator grid.
    OscillatorGrid,
    /// Typical operation of the triode beside a pentode.
    TriodeSection,
    /// A heptode as a mixer; the grid volts are the average ones of its injection grid, the control grid's those
    /// of its operating point.
    Mixing,
}

impl PointKind {
    /// Whether the point is not used by any fit, so that it can check one.
    pub fn is_kept_from_fit(self) -> bool {
        matches!(self, PointKind::Check | PointKind::HeldBack)
    }
}

/// One point of a data sheet; volts are relative to the cathode.
#[derive(Clone, Debug, PartialEq)]
pub struct DataPoint {
    /// What it states.
    pub kind: PointKind,
    /// Plate volts.
    pub plate_volts: f64,
    /// Grid volts; 0 for a diode.
    pub grid_volts: f64,
    /// Screen volts; none for a tube without a screen.
    pub screen_volts: Option<f64>,
    /// Plate current in amperes.
    pub plate_amperes: Option<f64>,
    /// Screen current in amperes.
    pub screen_amperes: Option<f64>,
    /// Transconductance of grid 1 to the plate, in siemens.
    pub gm: Option<f64>,
    /// Plate resistance in ohms.
    pub rp: Option<f64>,
    /// Amplification factor.
    pub mu: Option<f64>,
    /// How far it can be trusted: read, from memory, measured.
    pub status: String,
    /// Where it is from.
    pub source: String,
}

/// The points of one type.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeSheet {
    /// Type.
    pub name: String,
    /// What it is.
    pub class: TubeClass,
    /// Amplification factor expected of a fit, where the points themselves do not say: of grid 1
    /// to the screen, for tubes with a screen. From memory or assumed.
    pub expected_mu: Option<f64>,
    /// How far the fit may differ from the expected factor, as a fraction.
    pub mu_spread: Option<f64>,
    /// Its points.
    pub points: Vec<DataPoint>,
}

const KINDS: [(&str, PointKind); 16] = [
    ("operating point", PointKind::OperatingPoint),
    ("cut-off", PointKind::Cutoff),
    ("remote tail", PointKind::RemoteTail),
    ("published curve", PointKind::PublishedCurve),
    ("measured curve", PointKind::MeasuredCurve),
    ("check", PointKind::Check),
    ("drop", PointKind::Drop),
    ("converter at rest", PointKind::ConverterAtRest),
    ("converter oscillating", PointKind::ConverterOscillating),
    ("regulator", PointKind::Regulator),
    ("held back", PointKind::HeldBack),
    ("target", PointKind::Target),
    ("oscillator anode", PointKind::OscillatorAnode),
    ("oscillator grid", PointKind::OscillatorGrid),
    ("triode section", PointKind::TriodeSection),
    ("mixing", PointKind::Mixing),
];

pub(crate) fn read(types: &str, points: &str) -> Result<Vec<TubeSheet>, CatalogueError> {
    let mut sheets = Vec::new();
    for row in rows("tube types", types)? {
        sheets.push(TubeSheet {
            name: row.text("type")?.to_owned(),
            class: TubeClass::from_words(row.text("class")?).ok_or_else(|| row.fault("class"))?,
            expected_mu: row.optional("fit_mu")?,
            mu_spread: row.optional("fit_mu_spread_percent")?.map(|p| p / 100.0),
            points: Vec::new(),
        });
    }
    for row in rows("tube points", points)? {
        let name = row.text("type")?;
        let sheet = sheets
            .iter_mut()
            .find(|sheet| sheet.name == name)
            .ok_or_else(|| row.fault("type"))?;
        sheet.points.push(point(&row)?);
    }
    Ok(sheets)
}

fn point(row: &Row<'_>) -> Result<DataPoint, CatalogueError> {
    let words = row.text("kind")?;
    let scaled = |column, factor: f64| Ok(row.optional(column)?.map(|value| value * factor));
    Ok(DataPoint {
        kind: KINDS
            .iter()
            .find(|(own, _)| *own == words)
            .map(|(_, kind)| *kind)
            .ok_or_else(|| row.fault("kind"))?,
        plate_volts: row.number("plate_volts")?,
        grid_volts: row.optional("grid_volts")?.unwrap_or(0.0),
        screen_volts: row.optional("screen_volts")?,
        plate_amperes: scaled("plate_milliamperes", 1e-3)?,
        screen_amperes: scaled("screen_milliamperes", 1e-3)?,
        gm: scaled("gm_micromhos", 1e-6)?,
        rp: row.optional("rp_ohms")?,
        mu: row.optional("mu")?,
        status: row.text("status")?.to_owned(),
        source: row.text("source")?.to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::tube_sheets;
    use super::*;

    /// 12AX7 at 250 V, −2 V: 1.2 mA, 1600 µmho, 62.5 kΩ, as on its published sheet.
    #[test]
    fn a_point_is_read_in_basic_units() {
        let sheet = tube_sheets().iter().find(|s| s.name == "12AX7").unwrap();
        let point = &sheet.points[1];
        assert_eq!(point.kind, PointKind::OperatingPoint);
        let got = [
            point.plate_volts,
            point.grid_volts,
            point.plate_amperes.unwrap(),
            point.gm.unwrap(),
            point.rp.unwrap(),
        ];
        // One part in 1e12: the factor of the unit is rounded once.
        for (got, want) in got.into_iter().zip([250.0, -2.0, 1.2e-3, 1600e-6, 62.5e3]) {
            assert!((got - want).abs() <= 1e-12 * f64::abs(want));
        }
        assert_eq!(point.status, "read");
    }

    #[test]
    fn every_point_has_a_status_and_a_source() {
        for point in tube_sheets().iter().flat_map(|sheet| &sheet.points) {
            assert!(!point.status.is_empty() && !point.source.is_empty());
        }
    }

    #[test]
    fn a_point_of_an_unknown_type_is_refused() {
        let types = "type,class,fit_mu,fit_mu_spread_percent\n6C4,triode,,\n";
        let points = "type,kind\n6C5,operating point\n";
        assert!(read(types, points).is_err());
    }
}
