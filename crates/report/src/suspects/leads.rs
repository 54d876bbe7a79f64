//! Where the leads of a meter go, on which range, and how dangerous that is.
//!
//! Ports, entries and ranges come in; words go out.

use circuit::{Job, MeterRange, NodeId, PartId, PartKind, Port, Setting, SettingValue};
use diagnose::LETHAL_DC;

use crate::figures;
use crate::places::{probes, settings_words};

/// Where both probes of a measurement go.
pub(crate) struct ProbePlace {
    /// The manual's label; none for a bare node.
    pub point: Option<String>,
    /// What the red probe touches.
    pub red: String,
    /// What the black probe touches.
    pub black: String,
    /// Controls to set first, in a sentence; empty without any.
    pub settings: String,
}

/// Direct volts to read.
#[derive(Clone, Copy, Debug)]
pub(super) struct VoltsToRead<'a> {
    pub(super) port: Port,
    /// The manual's entry there, as an index into [`Job::manual`].
    pub(super) entry: Option<usize>,
    /// How controls and supplies stand, where that differs from the netlist.
    pub(super) settings: &'a [Setting],
    /// Index into [`circuit::Bench::meters`].
    pub(super) meter: usize,
    pub(super) range: MeterRange,
    /// Volts that the place may reach, where that is dangerous to touch.
    pub(super) danger: Option<f64>,
}

/// Where both probes go, in words.
pub(crate) fn place(
    job: &Job,
    port: Port,
    entry: Option<usize>,
    settings: &[Setting],
) -> ProbePlace {
    let mut set = settings.to_vec();
    set.extend(wipers_at(job, port, settings));
    let settings = settings_words(job, &set);
    if let Some(entry) = entry.and_then(|entry| job.manual.get(entry)) {
        let (red, black) = probes(job, entry);
        return ProbePlace {
            point: Some(entry.point.clone()),
            red,
            black,
            settings,
        };
    }
    let is_reference = |node: NodeId| job.circuit.nodes()[node.0].is_reference;
    let touched = |node: NodeId| {
        let name = job.circuit.node_name(node);
        match terminal_at(job, node).filter(|_| !is_reference(node)) {
            Some(terminal) => format!("{name} ({terminal})"),
            None => name.to_owned(),
        }
    };
    ProbePlace {
        point: None,
        red: touched(port.plus),
        black: touched(port.minus),
        settings,
    }
}

/// The drawn positions of the controls whose wipers are probed: what a wiper shows depends on nothing so
/// much. Those that are set for the reading anyway are left out.
fn wipers_at(job: &Job, port: Port, set: &[Setting]) -> Vec<Setting> {
    let parts = job.circuit.parts().iter().enumerate();
    parts
        .filter_map(|(at, part)| {
            let PartKind::Potentiometer(pot) = &part.kind else {
                return None;
            };
            let [cw, wiper, ccw, ..] = part.nodes[..] else {
                return None;
            };
            let id = PartId(at);
            // A wiper on the reference has its volts wherever it stands.
            let held = job.circuit.nodes()[wiper.0].is_reference;
            let at_end = wiper == cw || wiper == ccw;
            let probed = [port.plus, port.minus].contains(&wiper) && !held && !at_end;
            let is_set = set.iter().any(|setting| setting.part == id);
            (probed && !is_set && pot.is_stated).then_some(Setting {
                part: id,
                value: SettingValue::Turn(pot.setting),
            })
        })
        .collect()
}

/// A device's terminal on a node, which is easy to find in the set.
fn terminal_at(job: &Job, node: NodeId) -> Option<String> {
    let mut devices = job.circuit.parts().iter();
    devices.find_map(|part| {
        let PartKind::Device(_) = part.kind else {
            return None;
        };
        let place = part.nodes.iter().position(|at| *at == node)?;
        let terminal = part.kind.terminals().get(place).copied()?.to_owned();
        Some(format!("{} of {}", terminal, part.designator))
    })
}

/// Where both probes go, with what, which controls to set first, and how dangerous it is.
pub(super) fn volts_line(job: &Job, read: VoltsToRead<'_>) -> String {
    let place = place(job, read.port, read.entry, read.settings);
    let point = place
        .point
        .map_or(String::new(), |point| format!("point {point}: "));
    let range = match read.range.full_scale.is_finite() {
        true => format!(" on {}", figures::range(read.range.full_scale, false)),
        false => String::new(),
    };
    let settings = match place.settings.as_str() {
        "" => String::new(),
        words => format!(". {}", words.trim_end_matches('.')),
    };
    let danger = read
        .danger
        .map_or(String::new(), |volts| format!(". {}", danger(volts)));
    format!(
        "{point}red to {}, black to {}, {}{range}{settings}{danger}",
        place.red,
        place.black,
        meter_name(job, read.meter)
    )
}

/// The mark of a dangerous place, as on the worksheet.
fn danger(volts: f64) -> String {
    let reach = figures::with_volts(&figures::decimal(volts.ceil(), 0));
    let mark = match volts >= LETHAL_DC {
        true => "!!\u{a0}LETHAL",
        false => "!\u{a0}HAZARDOUS",
    };
    format!("{mark}: may reach {reach}")
}

/// A meter of the bench, by its place there.
pub(super) fn meter_name(job: &Job, meter: usize) -> &str {
    let meter = job.bench.meters.get(meter);
    meter.map_or("the meter", |meter| meter.name.as_str())
}
