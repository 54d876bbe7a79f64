//! Derivatives of translated values against central differences of the whole translation.
//!
//! Independently derived: each number of the circuit is changed on the part itself, and the job
//! is translated anew from there.

use circuit::{DeviceParameter, Job, Part, PartKind, PartParameter};
use input::{read_job, JobSources, Sources};
use translate::{translate, Carried};

use crate::support::root;

/// The intercom, with one bench meter.
fn job() -> Job {
    let folder = root().join("sample-data/lookout-intercom");
    let mut sources = Sources::default();
    let mut add = |name: &str| {
        let text = std::fs::read_to_string(folder.join(name)).unwrap();
        Some(sources.add(name, &text))
    };
    let parts = JobSources {
        folder: "lookout-intercom".into(),
        settings: add("job.toml"),
        netlist: add("circuit.netlist"),
        manual: add("manual.csv"),
        meters: add("meters.toml"),
        ..JobSources::default()
    };
    read_job(&sources, &parts, &[]).job.unwrap()
}

/// A part in a thousand of a number, or what stands for it.
fn step(part: &Part, parameter: PartParameter) -> f64 {
    match (&part.kind, parameter) {
        (PartKind::Resistor(resistor), _) => resistor.ohms * 1e-3,
        (PartKind::Potentiometer(pot), PartParameter::Resistance) => pot.ohms * 1e-3,
        (_, PartParameter::WiperPosition) => 1e-3,
        (PartKind::Inductor(coil), _) => coil.ohms * 1e-3,
        (PartKind::Capacitor(capacitor), _) => capacitor.leak.unwrap() * 1e-3,
        (PartKind::Supply(supply), PartParameter::Volts) => supply.volts * 1e-3,
        (_, PartParameter::Device(DeviceParameter::GasCurrent)) => 1e-8,
        (_, PartParameter::Device(_)) => 1e-3,
        _ => 1e-2,
    }
}

fn carried(job: &Job, point: usize) -> Carried {
    let mut one = job.clone();
    one.manual = vec![job.manual[point].clone()];
    let translation = translate(&one).unwrap();
    translation.points[0].outcome.as_ref().unwrap().clone()
}

#[test]
fn derivatives_of_a_whole_set_meet_central_differences() {
    let job = job();
    let mut moved = 0;
    for label in ["5", "7", "11", "18", "21", "16"] {
        let point = job
            .manual
            .iter()
            .position(|entry| entry.point == label)
            .unwrap();
        let here = carried(&job, point);
        let siemens = 1.0 / here.bench[0].input_ohms;
        let derivatives = here
            .point_model
            .anchor()
            .unwrap()
            .derivatives(&job.circuit, siemens)
            .unwrap();

        let by_hand = |delta: f64| {
            let mut other = job.clone();
            other.manual[point].figure.value += delta;
            carried(&other, point)
                .point_model
                .anchor()
                .unwrap()
                .carried(siemens)
                .unwrap()
        };
        let slope = (by_hand(1e-3) - by_hand(-1e-3)) / 2e-3;
        // Two solutions settled to some 1e-9 V, 2 mV apart, and curvature below that.
        assert!(
            (derivatives.by_printed - slope).abs() < 1e-5,
            "{label}: {slope}"
        );

        for (id, value) in &derivatives.by_parameter {
            let part = job.circuit.part(id.part);
            let step = step(part, id.parameter);
            let with = |amount: f64| {
                let mut other = job.clone();
                other.circuit = job.circuit.varied([(id.part, id.parameter, amount)]);
                carried(&other, point)
                    .point_model
                    .anchor()
                    .unwrap()
                    .carried(siemens)
                    .unwrap()
            };
            let want = (with(step) - with(-step)) / 2.0;
            let got = value * step;
            // A step of 1e-3 leaves curvature of some 1e-4 of the change, rounding some 1e-9 V.
            let allowed = 1e-3 * want.abs() + 1e-7;
            assert!(
                (got - want).abs() <= allowed,
                "point {label}, {} {}: got {got:e}, want {want:e}",
                part.designator,
                id.parameter.name()
            );
            moved += usize::from(want.abs() > 1e-5);
        }
    }
    // Numbers round each point must really matter, or nothing was checked.
    assert!(moved > 20, "{moved}");
}
