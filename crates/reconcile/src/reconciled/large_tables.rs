//! A large table is fitted the cheap way: one round of learning for each step, and the others at the
//! minimum. Here both ways are compared on a table of medium size.

use std::fmt::Write as _;

use circuit::{Conditions, Job, Port};
use input::{read_job, JobSources, Sources};

use super::{reconcile_by, Reconciled};
use crate::descent::ROUNDS;
use crate::posterior_reading::PosteriorReading;

/// Five readings each.
const STAGES: usize = 42;

/// Stages on one rail, each with its tube, whose printed values lie a few percent about what healthy ones
/// show; every tenth stage is 10 % low.
fn job() -> Job {
    let mut netlist =
        String::from("ground chassis\nPS1: 280V source=40R line, plus=rail, minus=chassis\n");
    let mut manual = String::from("point,at,value\n");
    for stage in 1..=STAGES {
        let _ = writeln!(
            netlist,
            "R{stage}1: {}k, rail to dec{stage}\nR{stage}2: 100k, dec{stage} to plate{stage}\n\
             R{stage}3: 1.5k, cath{stage} to chassis\nR{stage}4: 1M, grid{stage} to chassis\n\
             R{stage}5: 150k, dec{stage} to tap{stage}\nR{stage}6: 100k, tap{stage} to chassis\n\
             V{stage}A: 12AX7, plate=plate{stage}, grid=grid{stage}, cathode=cath{stage}",
            5 + stage % 12
        );
        // Channels of three stages.
        if stage % 3 != 0 {
            let next = stage + 1;
            let _ = writeln!(
                netlist,
                "C{stage}1: 0.02uF leak=400M, plate{stage} to grid{next}"
            );
        }
        let low = if stage % 10 == 0 { 0.9 } else { 1.0 };
        let off = 1.0 + 0.03 * (((stage * 7) % 5) as f64 - 2.0) / 2.0;
        for (node, volts) in [
            ("plate", 165.0),
            ("cath", 1.3),
            ("dec", 255.0),
            ("tap", 98.0),
        ] {
            let printed = volts * low * off;
            let _ = writeln!(manual, "{node} {stage},{node}{stage},{printed:.1}");
        }
        let _ = writeln!(manual, "grid {stage},grid{stage},0");
    }
    let settings = "title = \"chassis\"\n[as-documented]\nmeter = \"20k/V\"\n\
                    tolerance = \"20%\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let mut sources = Sources::default();
    let parts = JobSources {
        settings: Some(sources.add("job.toml", settings)),
        netlist: Some(sources.add("circuit.netlist", &netlist)),
        manual: Some(sources.add("manual.csv", &manual)),
        ..JobSources::default()
    };
    read_job(&sources, &parts, &[]).job.unwrap()
}

fn posterior_reading(reconciled: &Reconciled, port: Port) -> PosteriorReading {
    let conditions = Conditions::default();
    let expected = reconciled.expected(port, &conditions, 1e-7, None).unwrap();
    reconciled
        .posterior_reading(&conditions, &expected)
        .unwrap()
}

#[test]
fn the_cheap_way_of_a_large_table_says_what_the_full_one_says() {
    let job = job();
    let by = |rounds: usize| {
        reconcile_by(&job, |descent| {
            descent.rounds = rounds;
            descent.run()
        })
        .unwrap()
    };
    let (cheap, full) = (by(1), by(ROUNDS));
    let mut farthest: f64 = 0.0;
    for entry in &job.manual {
        let port = entry.port.unwrap();
        let (cheap, full) = (
            posterior_reading(&cheap, port),
            posterior_reading(&full, port),
        );
        let standard = full.by_circuit();
        farthest = farthest.max((cheap.volts - full.volts).abs() / standard);
        farthest = farthest.max((cheap.by_circuit() / standard - 1.0).abs());
    }
    // A fifth of the standard uncertainty, taken as one more part of it, would add 2 % to it: √1.04.
    assert!(farthest < 0.2, "{farthest}");
    // The two ways are two.
    assert!(farthest > 0.0);
}
