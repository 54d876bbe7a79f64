//! A job from its texts: every file read, every fault of all of them in one run.
//!
//! The texts come in as values; the command decides which files there are. The job goes out, or
//! none if there is an error that stops it.

use circuit::{
    Bench, Circuit, Commons, Documented, Job, LeftOutRow, Meter, NodeId, Origin, TubeType,
};

use crate::diagnostic::Diagnostic;
use crate::job_meters::{bench_meters, manual_meter};
use crate::meters::read_meters;
use crate::nearest::did_you_mean;
use crate::netlist::read_netlist;
use crate::settings::{read_settings, JobSettings, Named};
use crate::source::{SourceId, Sources, Span};
use crate::stage_order::stage_order;
use crate::table::manual::{read_manual, Manual, RowDefaults};
use crate::table::pin_cell::ChartOf;
use crate::table::pin_chart::{read_pin_chart, Charting};
use crate::table::read_context::{Drawn, ReadContext};
use crate::table::readings::{read_readings, Readings};

/// The text of each file of the job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JobSources {
    /// The folder as the user named it.
    pub folder: String,
    /// `job.toml`.
    pub settings: Option<SourceId>,
    /// `circuit.netlist`.
    pub netlist: Option<SourceId>,
    /// `manual.csv`.
    pub manual: Option<SourceId>,
    /// `pin-chart.csv`.
    pub pin_chart: Option<SourceId>,
    /// `pin-chart-ohms.csv`.
    pub pin_chart_ohms: Option<SourceId>,
    /// `meters.toml`.
    pub meters: Option<SourceId>,
    /// `devices.toml`. It is read by [`crate::read_devices`] before the job, because its tubes have
    /// to be fitted in between.
    pub devices: Option<SourceId>,
    /// Files of readings.
    pub readings: Vec<SourceId>,
}

/// The result of reading a job.
#[derive(Clone, Debug)]
pub struct JobRead {
    /// The job; none if a diagnostic is an error that costs more than a row.
    pub job: Option<Job>,
    /// Everything found, file by file, each in the order of its text.
    pub diagnostics: Vec<Diagnostic>,
}

/// Reads a whole job. `own_tubes` are the fitted tube types that its `devices.toml` describes;
/// [`crate::read_devices`] reports the faults of that file, and they are not reported again.
pub fn read_job(sources: &Sources, parts: &JobSources, own_tubes: &[TubeType]) -> JobRead {
    let read = parts.settings.map(|id| read_settings(sources, id));
    let (settings, mut found) = read.unwrap_or_default();
    let out = &mut found;
    let netlist = parts.netlist.map(|id| read_netlist(sources, id, own_tubes));
    let netlist_faulty = netlist
        .as_ref()
        .map(|netlist| netlist.diagnostics.iter().any(Diagnostic::is_error));
    let circuit = netlist.map_or_else(Circuit::default, |netlist| {
        out.extend(netlist.diagnostics);
        netlist.circuit
    });
    let drawn = match netlist_faulty {
        None => Drawn::Absent,
        Some(true) => Drawn::Faulty(&circuit),
        Some(false) => Drawn::Whole(&circuit),
    };
    let mut left_out: Vec<LeftOutRow> = Vec::new();
    let own = OwnMeters::read(sources, parts.meters, &mut left_out, out);
    let reference_name = settings.documented.reference.as_ref();
    let reference = reference_name.and_then(|named| reference(named, drawn, out));
    let context = ReadContext {
        circuit: drawn,
        netlist_name: &settings.netlist.name,
        reference_name: reference_name.map_or("", |named| named.name.as_str()),
        commons: Commons::of(&circuit, reference),
        own_meters: &own.meters,
        faulty_meters: &own.faulty,
        meters_whole: own.whole,
    };
    let (meters, bench_default) = bench_meters(&settings, &context, out);
    let mut manual = manual((sources, parts), own_tubes, &settings, &context, out);
    left_out.append(&mut manual.left_out);
    let mut readings = Readings::default();
    for id in &parts.readings {
        let against = (&manual, &bench_default);
        read_readings(sources, *id, &context, against, &mut readings, out);
    }
    let stage_order = stage_order(&settings.worksheet.order, drawn, &manual, out);
    left_out.append(&mut readings.left_out);
    nothing_left(&manual, &left_out, out);
    sort(&mut found, parts);
    let sound = !found.iter().any(Diagnostic::stops_job);
    let title = settings
        .title
        .clone()
        .unwrap_or_else(|| circuit.title().to_owned());
    let job = Job {
        title,
        serial: settings.serial,
        hot_chassis: settings.hot_chassis,
        folder: parts.folder.clone(),
        manual: manual.entries,
        readings: readings.readings,
        documented: Documented {
            line: settings.documented.line,
            tolerance: settings.documented.tolerance,
            conditions: settings.documented.conditions,
        },
        bench: Bench {
            meters,
            line: settings.bench.line,
            guard: settings.bench.guard.unwrap_or(Bench::USUAL_GUARD),
            rails: Vec::new(),
        },
        stage_order,
        ages: settings.suspects.ages,
        age: settings.suspects.age,
        hazard_penalty: settings.suspects.hazard_penalty,
        circuit,
        own_meters: own.meters,
        own_tubes: own_tubes.to_vec(),
        left_out,
        unprinted: {
            manual.unprinted.extend(readings.own_rows);
            manual.unprinted
        },
    };
    JobRead {
        job: sound.then_some(job),
        diagnostics: found,
    }
}

/// Reports a job whose points are all left out, because nothing is left to compute.
fn nothing_left(manual: &Manual, left_out: &[LeftOutRow], out: &mut Vec<Diagnostic>) {
    let nothing = manual.entries.is_empty() && manual.unprinted.is_empty();
    if nothing && !left_out.is_empty() && !out.iter().any(Diagnostic::stops_job) {
        let message = "no row of the manual could be read";
        out.push(Diagnostic::of_job(message).help("mend the rows named above"));
    }
}

/// The meters that the job describes.
struct OwnMeters {
    meters: Vec<Meter>,
    /// Names of those that could not be read.
    faulty: Vec<String>,
    /// Whether the whole text was read.
    whole: bool,
}

impl OwnMeters {
    /// Reads them, and adds those that could not be read to the rows left out.
    fn read(
        sources: &Sources,
        id: Option<SourceId>,
        left_out: &mut Vec<LeftOutRow>,
        out: &mut Vec<Diagnostic>,
    ) -> Self {
        let Some(id) = id else {
            return OwnMeters {
                meters: Vec::new(),
                faulty: Vec::new(),
                whole: true,
            };
        };
        let read = read_meters(sources, id);
        out.extend(read.diagnostics);
        let names = read.left_out.iter().map(|meter| meter.name.clone());
        let faulty = names.collect();
        left_out.extend(read.left_out.into_iter().map(|meter| LeftOutRow {
            what: format!("meter '{}'", meter.name),
            reason: meter.reason,
            origin: Origin {
                file: sources.get(id).label.clone(),
                line: meter.line,
            },
        }));
        OwnMeters {
            meters: read.meters,
            faulty,
            whole: read.whole,
        }
    }
}

fn reference(named: &Named, drawn: Drawn<'_>, out: &mut Vec<Diagnostic>) -> Option<NodeId> {
    let circuit = drawn.circuit()?;
    let node = circuit
        .node(&named.name)
        .or_else(|| circuit.test_point(&named.name));
    if let (None, Drawn::Whole(_), Some(span)) = (node, drawn, &named.span) {
        let message = format!(
            "'reference': no node or test point is called '{}'",
            named.name
        );
        let nodes = circuit.nodes().iter().map(|node| node.name.as_str());
        let points = circuit.test_points().iter().map(|(name, _)| name.as_str());
        let ground = circuit.references().next();
        let ground = ground.map(|node| circuit.node_name(node));
        let near = did_you_mean(&named.name, nodes.chain(points)).or_else(|| {
            ground.map(|node| format!("the netlist's `ground` is '{node}': write that here if the manual measures against it"))
        });
        out.push(Diagnostic::error(span.clone(), message).maybe_help(near));
    }
    node
}

fn manual(
    (sources, parts): (&Sources, &JobSources),
    own: &[TubeType],
    settings: &JobSettings,
    context: &ReadContext<'_>,
    out: &mut Vec<Diagnostic>,
) -> Manual {
    let defaults = RowDefaults {
        meter: manual_meter(settings, context, out),
        tolerance: settings.documented.tolerance,
        range: settings.documented.range,
        decibel_zero: settings.documented.decibel_zero,
    };
    let charts = [
        (parts.pin_chart, ChartOf::Volts),
        (parts.pin_chart_ohms, ChartOf::Ohms),
    ];
    let mut manual = match parts.manual {
        Some(id) => read_manual(sources, id, context, &defaults, out),
        None => Manual {
            whole: true,
            ..Manual::default()
        },
    };
    if parts.manual.is_none() && charts.iter().all(|(id, _)| id.is_none()) {
        let message = format!("the job has no {}", settings.manual.name);
        let help = format!(
            "make a table of the manual's test points; its header row: \
             point,at,value,meter,range; a socket chart goes into {}",
            settings.pin_chart.name
        );
        out.push(Diagnostic::of_job(message).help(help));
        return Manual::default();
    }
    let by = Charting {
        sources,
        context,
        defaults: &defaults,
        own,
    };
    for (id, of) in charts {
        if let Some(id) = id {
            read_pin_chart(&by, id, of, &mut manual, out);
        }
    }
    manual
}

/// File by file in the order in which they are read, each in the order of its text.
fn sort(found: &mut [Diagnostic], parts: &JobSources) {
    let files = [
        parts.settings,
        parts.netlist,
        parts.meters,
        parts.manual,
        parts.pin_chart,
        parts.pin_chart_ohms,
    ];
    let order: Vec<SourceId> = files
        .into_iter()
        .flatten()
        .chain(parts.readings.iter().copied())
        .collect();
    let key = |span: &Option<Span>| {
        span.as_ref().map(|span| {
            let file = order.iter().position(|id| *id == span.source);
            (file.unwrap_or(order.len()), span.bytes.start)
        })
    };
    found.sort_by_key(|diagnostic| key(&diagnostic.span));
}
