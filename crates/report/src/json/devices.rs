//! The document of the tubes and semiconductors that are built in.

use circuit::{SemiconductorType, TubeType};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

use super::kind::Kind;
use super::{finite, of_no_job};
use crate::devices::{
    difference_percent, has_grid, kind_words, letter, material, of_section, of_semiconductor,
    symbol, terminals, words, DeviceView, Parameter, PointFigure, Socket, TubeView,
};
use crate::error::ReportError;

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/devices/3",
    commands: "fairvolt devices",
    about: "Tubes and semiconductors built in; with a type, that one alone.",
};

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Body<'a> {
    /// The tubes: all of them, or the one asked for.
    tubes: Vec<TubeRecord<'a>>,
    /// The semiconductors, likewise.
    semiconductors: Vec<SemiconductorRecord<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct TubeRecord<'a> {
    /// Its type.
    name: &'a str,
    /// What it is.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["triode", "twin triode", "duo-diode triode", "beam power", "power pentode", "sharp-cutoff pentode", "low-noise pentode", "remote-cutoff pentode", "pentagrid converter", "full-wave rectifier", "half-wave rectifier", "twin diode", "glow regulator", "tuning eye", "anode-grid converter", "triode-hexode", "triode-heptode", "joined triode-hexode", "diode triode", "diode pentode", "duo-diode pentode", "triode-pentode", "triode power pentode", "triple-diode triode"])))]
    class: &'static str,
    /// Designation of its base.
    base: &'a str,
    /// What the base plugs into. Null where the base does not tell it, or a pin is beyond it.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["7-pin miniature", "octal", "loctal", "9-pin miniature", "B8A", "4-pin", "5-pin", "6-pin", "7-pin", null])))]
    socket: Option<&'static str>,
    /// How far base and pins can be trusted.
    base_status: &'a str,
    /// Ways to heat it, the whole heater first; empty for a cold cathode.
    heater: Vec<Heater>,
    /// Its pins.
    pins: Vec<PinRecord>,
    /// Its sections.
    sections: Vec<Section>,
    /// Limits of a glow tube. Null for others.
    glow: Option<Glow>,
    /// Numbers of its sheet beside those of the model.
    points: Vec<PointRecord<'a>>,
    /// How far the points can be trusted, together.
    status: &'a str,
    /// Where the points are from, together.
    source: &'a str,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Heater {
    /// Volts.
    volts: Option<f64>,
    /// Amperes.
    amperes: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct PinRecord {
    /// Its number; from below they count clockwise.
    number: u8,
    /// Its symbol on a basing diagram.
    symbol: String,
    /// What it leads to.
    electrode: &'static str,
    /// Letter of the section it belongs to. Null for what all sections share.
    section: Option<String>,
    /// The same in a few more words.
    words: String,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Section {
    /// Its letter: section A of V1 is V1A.
    letter: String,
    /// Its electrodes.
    electrodes: Vec<&'static str>,
    /// Numbers of its model.
    parameters: Vec<ParameterRecord>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct ParameterRecord {
    /// Its name.
    name: &'static str,
    /// Its value, in the unit.
    value: Option<f64>,
    /// Symbol of its unit; empty for a plain number. In A/V^x the exponent is a parameter of its
    /// own.
    unit: &'static str,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Glow {
    /// Volts at which it strikes.
    strike_volts: Option<f64>,
    /// Amperes below which it goes out.
    least_amperes: Option<f64>,
    /// Amperes above which it is overloaded.
    most_amperes: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct PointRecord<'a> {
    /// What the point is.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["typical operation", "cut-off", "remote cut-off", "published curve", "measured curve", "check", "drop", "not oscillating", "oscillating", "running", "not used by the fit", "target", "oscillator anode", "oscillator grid", "triode section", "mixing"])))]
    kind: &'static str,
    /// Plate volts above the cathode.
    plate_volts: Option<f64>,
    /// Grid volts. Null for a diode or glow tube.
    grid_volts: Option<f64>,
    /// Screen volts. Null without a screen.
    screen_volts: Option<f64>,
    /// Which number.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["plate current", "screen current", "cathode current", "current through it", "transconductance", "plate resistance"])))]
    quantity: &'static str,
    /// Its unit.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["A", "S", "Ω"])))]
    unit: &'static str,
    /// What the sheet says.
    sheet: Option<f64>,
    /// What the model gives. Null where the two are not compared.
    model: Option<f64>,
    /// Model less sheet, percent of the sheet.
    difference_percent: Option<f64>,
    /// Read, from memory or measured.
    status: &'a str,
    /// Where it is from.
    source: &'a str,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct SemiconductorRecord<'a> {
    /// Its names; the first is the one to print.
    names: &'a [String],
    /// Material and kind in words.
    class: &'a str,
    /// Its material. Null where it is not known.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["silicon", "germanium", "selenium", null])))]
    material: Option<&'static str>,
    /// Its terminals.
    terminals: &'static [&'static str],
    /// Numbers of its model at 27 °C.
    parameters: Vec<ParameterRecord>,
    /// What else is to be known; may be empty.
    note: &'a str,
    /// Figures that the numbers were set to, and what they make of them.
    check: &'a str,
    /// How far it can be trusted.
    status: &'a str,
    /// Where it is from.
    source: &'a str,
}

/// The one document of the list; it belongs to no job.
pub(crate) fn devices(views: &[DeviceView<'_>]) -> Result<String, ReportError> {
    let mut body = Body {
        tubes: Vec::new(),
        semiconductors: Vec::new(),
    };
    for view in views {
        match view {
            DeviceView::Tube(view) => body.tubes.push(tube(view)),
            DeviceView::Semiconductor(own) => body.semiconductors.push(semiconductor(own)),
        }
    }
    of_no_job(&KIND, body)
}

fn tube<'a>(view: &TubeView<'a>) -> TubeRecord<'a> {
    let tube: &'a TubeType = view.tube;
    let heater = tube.heater.iter().map(|own| Heater {
        volts: finite(own.volts),
        amperes: finite(own.amperes),
    });
    let pins = tube.pins.iter().map(|pin| PinRecord {
        number: pin.number,
        symbol: symbol(tube, *pin),
        electrode: pin.electrode.words(),
        section: pin.unit.map(|unit| letter(unit).to_string()),
        words: words(tube, *pin),
    });
    let sections = tube.units.iter().enumerate().map(|(index, unit)| Section {
        letter: letter(index).to_string(),
        electrodes: unit.electrodes.iter().map(|own| own.words()).collect(),
        parameters: records(of_section(unit)),
    });
    TubeRecord {
        name: &tube.name,
        class: tube.class.words(),
        base: &tube.base,
        socket: Socket::of(tube).map(Socket::words),
        base_status: &tube.base_status,
        heater: heater.collect(),
        pins: pins.collect(),
        sections: sections.collect(),
        glow: tube.glow.map(|own| Glow {
            strike_volts: finite(own.strike_volts),
            least_amperes: finite(own.least_amperes),
            most_amperes: finite(own.most_amperes),
        }),
        points: view.figures.iter().map(point).collect(),
        status: &tube.data_status,
        source: &tube.source,
    }
}

fn records(parameters: Vec<Parameter>) -> Vec<ParameterRecord> {
    let record = |own: Parameter| ParameterRecord {
        name: own.name,
        value: finite(own.value),
        unit: own.unit,
    };
    parameters.into_iter().map(record).collect()
}

fn point<'a>(figure: &PointFigure<'a>) -> PointRecord<'a> {
    let point = figure.point;
    let has_grid = has_grid(point.kind);
    PointRecord {
        kind: kind_words(point.kind),
        plate_volts: finite(point.plate_volts),
        grid_volts: finite(point.grid_volts).filter(|_| has_grid),
        screen_volts: point.screen_volts.and_then(finite),
        quantity: figure.quantity.words(),
        unit: figure.quantity.unit(),
        sheet: finite(figure.sheet),
        model: figure.model.and_then(finite),
        difference_percent: difference_percent(figure),
        status: &point.status,
        source: &point.source,
    }
}

fn semiconductor(own: &SemiconductorType) -> SemiconductorRecord<'_> {
    SemiconductorRecord {
        names: &own.names,
        class: &own.words,
        material: Some(material(own)).filter(|material| !material.is_empty()),
        terminals: terminals(own.kind),
        parameters: records(of_semiconductor(own)),
        note: &own.note,
        check: &own.check,
        status: &own.status,
        source: &own.source,
    }
}
