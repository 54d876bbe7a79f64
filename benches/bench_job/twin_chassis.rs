//! A chassis of twin triodes, as many as one likes, for the growth of the suspects.

use std::fmt::Write as _;

/// The texts of a job: so many stages of twelve parts on one rail, each a triode that drives a cathode
/// follower in the same socket, with decoupling, bypassed cathode, a divider and the coupler to the next
/// stage; and four points of each in the manual.
pub fn twin_chassis(stages: usize) -> [(String, String); 3] {
    // A larger chassis has a stouter supply, so that every stage stands as in one of twelve.
    let source = 1800.0 / stages as f64;
    let mut netlist =
        format!("ground chassis\nPS1: 280V source={source}R line, plus=rail, minus=chassis\n");
    let mut manual = String::from("point,at,value\n");
    for stage in 1..=stages {
        let next = stage % stages + 1;
        let lines = [
            format!("R{stage}01: {}k, rail to dec{stage}", 5 + (stage - 1) % 12),
            format!("C{stage}01: 16uF, dec{stage} to chassis"),
            format!("R{stage}02: 100k, dec{stage} to plate{stage}"),
            format!("R{stage}03: 1.5k, cath{stage} to chassis"),
            format!("C{stage}02: 25uF, cath{stage} to chassis"),
            format!("R{stage}04: 1M, grid{stage} to chassis"),
            format!("V{stage}A: 12AX7, plate=plate{stage}, grid=grid{stage}, cathode=cath{stage}"),
            format!("V{stage}B: 12AX7, plate=rail, grid=plate{stage}, cathode=out{stage}"),
            format!("R{stage}05: 47k, out{stage} to chassis"),
            format!("R{stage}07: 470k, out{stage} to tap{stage}"),
            format!("R{stage}08: 470k, tap{stage} to chassis"),
            format!("C{stage}03: 0.02uF, out{stage} to grid{next}"),
        ];
        for line in lines {
            let _ = writeln!(netlist, "{line}");
        }
        for (node, volts) in [("plate", 155), ("cath", 1), ("out", 150), ("dec", 240)] {
            let _ = writeln!(manual, "{node} {stage},{node}{stage},{volts}");
        }
    }
    let settings = "title = \"chassis\"\n[as-documented]\nmeter = \"20k/V\"\n\
                    tolerance = \"20%\"\n[on-the-bench]\nmeter = \"10M\"\n";
    [
        ("job.toml".into(), settings.into()),
        ("circuit.netlist".into(), netlist),
        ("manual.csv".into(), manual),
    ]
}
