//! The document of the tubes and semiconductors that are built in.

use circuit::{SemiconductorType, TubeType};
use serde::Serialize;

use super::{finite, text, Document};
use crate::devices::{
    difference_percent, has_grid, kind_words, letter, material, of_section, of_semiconductor,
    symbol, terminals, words, DeviceView, Parameter, PointFigure, Socket, TubeView,
};
use crate::reports::ReportError;

#[derive(Serialize)]
struct Body<'a> {
    tubes: Vec<TubeRecord<'a>>,
    semiconductors: Vec<SemiconductorRecord<'a>>,
}

#[derive(Serialize)]
struct TubeRecord<'a> {
    name: &'a str,
    class: &'static str,
    base: &'a str,
    socket: Option<&'static str>,
    base_status: &'a str,
    heater: Vec<Heater>,
    pins: Vec<PinRecord>,
    sections: Vec<Section>,
    glow: Option<Glow>,
    points: Vec<PointRecord<'a>>,
    status: &'a str,
    source: &'a str,
}

#[derive(Serialize)]
struct Heater {
    volts: Option<f64>,
    amperes: Option<f64>,
}

#[derive(Serialize)]
struct PinRecord {
    number: u8,
    symbol: String,
    electrode: &'static str,
    section: Option<String>,
    words: String,
}

#[derive(Serialize)]
struct Section {
    letter: String,
    electrodes: Vec<&'static str>,
    parameters: Vec<ParameterRecord>,
}

#[derive(Serialize)]
struct ParameterRecord {
    name: &'static str,
    value: Option<f64>,
    unit: &'static str,
}

#[derive(Serialize)]
struct Glow {
    strike_volts: Option<f64>,
    least_amperes: Option<f64>,
    most_amperes: Option<f64>,
}

#[derive(Serialize)]
struct PointRecord<'a> {
    kind: &'static str,
    plate_volts: Option<f64>,
    grid_volts: Option<f64>,
    screen_volts: Option<f64>,
    quantity: &'static str,
    unit: &'static str,
    sheet: Option<f64>,
    model: Option<f64>,
    difference_percent: Option<f64>,
    status: &'a str,
    source: &'a str,
}

#[derive(Serialize)]
struct SemiconductorRecord<'a> {
    names: &'a [String],
    class: &'a str,
    material: Option<&'static str>,
    terminals: &'static [&'static str],
    parameters: Vec<ParameterRecord>,
    note: &'a str,
    check: &'a str,
    status: &'a str,
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
    text(&[Document {
        schema: "fairvolt/devices/1",
        job: None,
        diagnostics: &[],
        body,
    }])
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
