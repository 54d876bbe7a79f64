//! Small jobs, built by hand and translated for real.

use circuit::{
    meter_by_name, Accuracy, Bench, CircuitBuilder, Documented, Job, ManualEntry, Meter,
    MeterInput, MeterRange, NodeId, Origin, Part, PartKind, Port, PrintedAs, Quantity, Reading,
    Resistor, Shown, Supply, SupplyKind,
};
use diagnose::Hazards;
use report::{DiagnosticRecord, Format, Rendered, Report, Terminal};
use translate::{compare, Comparison};
use units::{Figure, Tolerance, Unit};

/// Everything the reports of one job need.
pub struct Fixture {
    pub job: Job,
    pub comparison: Comparison,
    pub hazards: Hazards,
    pub diagnostics: Vec<DiagnosticRecord>,
}

impl Fixture {
    pub fn of(job: Job) -> Self {
        let comparison = compare(&job).unwrap();
        Fixture {
            hazards: Hazards::of(&comparison.translation),
            comparison,
            diagnostics: vec![DiagnosticRecord {
                severity: "warning".into(),
                message: "column 'colour' is unknown".into(),
                file: Some("manual.csv".into()),
                line: Some(1),
                column: Some(20),
                help: None,
            }],
            job,
        }
    }

    /// The reports of this job, and the lists that belong to none.
    pub fn reports(&self, format: Format, on: Terminal) -> [(&'static str, String); 8] {
        let (job, comparison) = (&self.job, &self.comparison);
        let (translation, diagnostics) = (&comparison.translation, self.diagnostics.as_slice());
        let translated = report::TranslateView {
            asked: report::Asked::default(),
            job,
            translation,
            manual: report::ManualView::default(),
            trials: None,
            diagnostics,
        };
        let compared = report::CompareView {
            asked: report::Asked::default(),
            job,
            comparison,
            manual: report::ManualView::default(),
            diagnostics,
        };
        let explained = report::ExplainView {
            job,
            comparison,
            entry: 0,
            diagnostics,
        };
        let checked = report::CheckView {
            overrated: &[],
            job: Some(job),
            translation: Some(translation),
            manual: report::ManualView::default(),
            not_judged: None,
            trials: None,
            diagnostics,
        };
        let sheet = report::WorksheetView {
            job,
            comparison,
            hazards: &self.hazards,
            manual: report::ManualView::default(),
            suspects: None,
            too_long: None,
            diagnostics,
        };
        let options = diagnose::SuspectOptions::default();
        let found = diagnose::suspects(job, &options).unwrap();
        let suspected = report::SuspectsView {
            asked: report::Asked::default(),
            job,
            comparison,
            suspects: &found,
            explain: None,
            manual: report::ManualView::default(),
            diagnostics,
        };
        let classes = circuit::meter_classes();
        let built_in = classes
            .iter()
            .map(|meter| (meter, report::MeterOrigin::BuiltIn));
        let own = job
            .own_meters
            .iter()
            .map(|meter| (meter, report::MeterOrigin::Job));
        let meters: Vec<_> = built_in
            .chain(own)
            .map(|(meter, origin)| report::MeterListing { meter, origin })
            .collect();
        [
            (
                "translate",
                rendered(Report::translation(vec![translated]), format, on),
            ),
            (
                "compare",
                rendered(Report::comparison(vec![compared]), format, on),
            ),
            (
                "explain",
                rendered(Report::explanation(vec![explained]), format, on),
            ),
            ("check", rendered(Report::check(vec![checked]), format, on)),
            (
                "suspects",
                rendered(Report::suspects(vec![suspected], None), format, on),
            ),
            ("worksheet", rendered(Report::worksheet(sheet), format, on)),
            ("meters", rendered(Report::meters(meters), format, on)),
            ("devices", rendered(Report::devices(devices()), format, on)),
        ]
    }

    /// One of them.
    pub fn report(&self, name: &str, format: Format, on: Terminal) -> String {
        let reports = self.reports(format, on);
        let found = reports.into_iter().find(|(known, _)| *known == name);
        found.unwrap().1
    }
}

/// Every device built in, with figures of no meaning.
pub fn devices() -> Vec<report::DeviceView<'static>> {
    let tubes = circuit::tube_types().zip(circuit::tube_sheets());
    let tubes = tubes.map(|(tube, sheet)| {
        let quantities = [
            report::PointQuantity::PlateCurrent,
            report::PointQuantity::ScreenCurrent,
            report::PointQuantity::CathodeCurrent,
            report::PointQuantity::ThroughCurrent,
            report::PointQuantity::Transconductance,
            report::PointQuantity::PlateResistance,
        ];
        // Every quantity at every point, whether it makes sense there or not; not all compared.
        let figures = sheet.points.iter().flat_map(|point| {
            quantities.map(|quantity| report::PointFigure {
                point,
                quantity,
                sheet: 1.2e-3,
                model: (point.grid_volts < 0.0).then_some(1.26e-3),
            })
        });
        let figures = figures.collect();
        report::DeviceView::Tube(report::TubeView { tube, figures })
    });
    let others = circuit::semiconductors().iter();
    tubes
        .chain(others.map(report::DeviceView::Semiconductor))
        .collect()
}

pub const PLAIN: Terminal = Terminal {
    width: 80,
    colour: false,
};

pub fn volts(text: &str) -> Figure {
    Figure::parse(text, Unit::Volt).unwrap()
}

/// 285 V behind 220 kΩ and 330 kΩ to chassis, and a cathode resistor whose circuit is stated.
pub fn job() -> Job {
    let mut builder = CircuitBuilder::new();
    builder.title("amplifier");
    let bplus = builder.node("bplus");
    let chassis = builder.node("chassis");
    let plate = builder.node("plate1");
    builder.reference(chassis);
    let mut add = |designator: &str, kind, nodes: [NodeId; 2]| {
        builder.part(Part::new(designator, kind, nodes.to_vec()));
    };
    let resistor = |ohms| {
        PartKind::Resistor(Resistor {
            ohms,
            tolerance: Some(0.1),
        })
    };
    let supply = PartKind::Supply(Supply {
        kind: SupplyKind::Supply,
        volts: 285.0,
        tolerance: None,
        source: 0.0,
        follows_line: true,
        off: None,
    });
    add("PS1", supply, [bplus, chassis]);
    add("R1", resistor(220e3), [bplus, plate]);
    add("R2", resistor(330e3), [plate, chassis]);
    let port = |plus, minus| Some(Port { plus, minus });
    let mut cathode = entry("3", "cath1", None, "1.2");
    cathode.source = Some(4700.0);
    let mut heater = entry("4", "heat1", None, "6.3");
    heater.quantity = Quantity::AcVolts;
    heater.note = "centre tap".into();
    let mut across = entry("2", "R1", port(bplus, plate), "110");
    across.against = "plate1".into();
    across.range = Some(250.0);
    Job {
        title: "Practice amplifier, set no. 4".into(),
        serial: String::new(),
        hot_chassis: false,
        folder: "practice".into(),
        circuit: builder.finish(),
        manual: vec![
            entry("1", "plate1", port(plate, chassis), "145"),
            across,
            cathode,
            heater,
        ],
        readings: Vec::new(),
        own_meters: vec![own_meter()],
        own_tubes: Vec::new(),
        documented: Documented {
            line: Some(117.0),
            tolerance: Some(Tolerance::Percent(20.0)),
            conditions: "No signal".into(),
        },
        bench: Bench {
            meters: vec![meter_by_name("10M").unwrap()],
            line: Some(117.0),
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

/// The job with readings: a pass, a fail, an overrange, and one that the manual lacks.
pub fn job_with_readings() -> Job {
    let mut job = job();
    job.readings = vec![
        reading("1", Shown::Value(volts("165.2"))),
        reading("2", Shown::Value(volts("60.1"))),
        reading("3", Shown::Overrange),
        reading("X", Shown::Value(volts("-0.35"))),
    ];
    job.bench.meters.push(own_meter());
    job
}

/// Names and words that are difficult to render.
pub fn awkward_job() -> Job {
    let mut job = job_with_readings();
    job.title = "Set |A| <b>&amp;</b> *x* `y`\u{1b}[31m\nµΩ".into();
    job.documented.conditions = "gain <max> | \"tone\", [flat]".into();
    job.documented.line = None;
    job.manual[0].point = "a|b".into();
    job.manual[0].at = "plate_of_the_first_tube_".repeat(5);
    job.manual[1].point = "Ω<1>".into();
    job.manual[2].point = "a point whose name the manual prints as a whole sentence, sadly".into();
    job.manual[2].meter.name = "a meter with a long name *and* stars".into();
    job.readings[1].set = "no. 4 | <spare>".into();
    job.bench.meters[1].name = "bench-meter-on-the-left-hand-shelf-".repeat(3);
    job
}

pub fn entry(point: &str, at: &str, port: Option<Port>, value: &str) -> ManualEntry {
    ManualEntry {
        point: point.into(),
        at: at.into(),
        against: "chassis".into(),
        port,
        quantity: Quantity::DcVolts,
        printed_as: PrintedAs::Value,
        figure: volts(value),
        meter: meter_by_name("20k/V").unwrap(),
        meter_unknown: false,
        range: None,
        tolerance: Some(Tolerance::Percent(20.0)),
        source: None,
        signal: Default::default(),
        settings: Vec::new(),
        note: String::new(),
        origin: Origin::default(),
    }
}

pub fn reading(point: &str, shown: Shown) -> Reading {
    Reading {
        point: point.into(),
        port: None,
        shown,
        meter: meter_by_name("10M").unwrap(),
        range: None,
        set: String::new(),
        date: String::new(),
        note: String::new(),
        origin: Origin::default(),
    }
}

fn own_meter() -> Meter {
    let range = |full_scale, input| MeterRange { full_scale, input };
    Meter {
        name: "bench-dmm".into(),
        description: "4½-digit bench meter".into(),
        input: MeterInput::Fixed(10e6),
        ranges: vec![range(0.2, Some(1e10)), range(2.0, None), range(200.0, None)],
        counts: Some(20_000),
        accuracy: Some(Accuracy::OfReading {
            share: 0.0005,
            counts: 3.0,
        }),
        probe: None,
        ac: None,
        ohmmeter: None,
        ammeter: None,
    }
}

/// A report in a format that is text.
pub fn rendered(report: Report<'_>, format: Format, on: Terminal) -> String {
    match report.render(format, on).unwrap() {
        Rendered::Text(text) => text,
        Rendered::Bytes(_) => panic!("{format:?} is no text"),
    }
}

/// A text with its lines joined.
pub fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
