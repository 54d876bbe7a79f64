//! A set of many stages on one rail: how many connections are tried.

use circuit::NodeId;
use input::{read_job, JobSources, Sources};

use super::search::SlipSearch;
use super::{doubtful_nodes, DrawnTable, DERIVATIVES};
use crate::reconciled::reconcile;

/// Dividers on the rail. Each end at the rail may belong to any of as many nodes.
const STAGES: usize = 400;

/// A point at every so many-th of them.
const EVERY: usize = 4;

#[test]
fn of_a_large_set_the_rail_is_not_tried_and_the_doubtful_point_is() {
    let mut netlist =
        String::from("title stages\nground chassis\nPS1: 100V 3%, plus=rail, minus=chassis\n");
    let mut manual = String::from("point,at,value\n1,rail,100\n");
    for stage in 0..STAGES {
        netlist.push_str(&format!(
            "R{stage}1: 100k 10%, rail to mid{stage}\nR{stage}2: 100k 10%, mid{stage} to chassis\n"
        ));
        if stage % EVERY == 0 {
            let volts = if stage == EVERY { 90 } else { 50 };
            manual.push_str(&format!("{},mid{stage},{volts}\n", stage + 2));
        }
    }
    let mut sources = Sources::default();
    let parts = JobSources {
        settings: Some(sources.add("job.toml", "[as-documented]\nmeter = \"11M\"\n")),
        netlist: Some(sources.add("circuit.netlist", &netlist)),
        manual: Some(sources.add("manual.csv", &manual)),
        ..JobSources::default()
    };
    let job = read_job(&sources, &parts, &[]).job.unwrap();
    let circuit = &job.circuit;
    let name = |node: &NodeId| circuit.node_name(*node).to_owned();
    // Each of the ends at the rail at every other node, two derivatives a reading: over the limit.
    assert!(2 * STAGES * circuit.nodes().len() * job.manual.len() > DERIVATIVES);
    let reconciled = reconcile(&job).unwrap();
    let table = DrawnTable::of(SlipSearch::of(&reconciled)).unwrap();
    let nodes: Vec<String> = doubtful_nodes(&table).iter().map(name).collect();
    assert_eq!(nodes[0], format!("mid{EVERY}"));
    assert!(!nodes.iter().any(|node| node == "rail" || node == "chassis"));
}
