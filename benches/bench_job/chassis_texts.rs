//! A chassis of triode stages, as many as one likes, for the benchmarks.

use std::fmt::Write as _;

/// The texts of a job: so many stages of 12 nodes on one rail, each with decoupling, plate load, cathode and grid resistors, a leaky
/// coupler to the next grid, and a divider chain of its own.
pub fn chassis_texts(stages: usize, meters: &[&str]) -> [(String, String); 3] {
    // A larger chassis has a stouter supply, so that every stage stands as in one of twelve.
    let source = 1800.0 / stages as f64;
    let mut netlist =
        format!("ground chassis\nPS1: 280V source={source}R line, plus=rail, minus=chassis\n");
    let mut manual = String::from("point,at,value\n");
    for stage in 1..=stages {
        let lines = [
            format!("R{stage}01: {}k, rail to dec{stage}", 5 + (stage - 1) % 12),
            format!("R{stage}02: 100k, dec{stage} to plate{stage}"),
            format!("R{stage}03: 1.5k, cath{stage} to chassis"),
            format!("R{stage}04: 1M, grid{stage} to chassis"),
            format!("V{stage}A: 12AX7, plate=plate{stage}, grid=grid{stage}, cathode=cath{stage}"),
            format!(
                "C{stage}01: 0.02uF leak={}M, plate{stage} to grid{}",
                300 + 10 * stage,
                stage % stages + 1
            ),
        ];
        for line in lines {
            let _ = writeln!(netlist, "{line}");
        }
        let mut above = format!("dec{stage}");
        for link in 1..=8 {
            let here = format!("d{stage}_{link}");
            let _ = writeln!(
                netlist,
                "R{stage}5{link}: {}k, {above} to {here}",
                10 * link
            );
            above = here;
        }
        let _ = writeln!(netlist, "R{stage}06: 47k, {above} to chassis");
        for (label, value) in [
            ("plate", 155),
            ("cath", 1),
            ("grid", 0),
            ("dec", 240),
            ("d", 100),
        ] {
            let node = if label == "d" {
                format!("d{stage}_4")
            } else {
                format!("{label}{stage}")
            };
            let _ = writeln!(manual, "{label} {stage},{node},{value}");
        }
    }
    let settings = format!(
        "title = \"chassis\"\n[as-documented]\nmeter = \"20k/V\"\ntolerance = \"20%\"\n\
         [on-the-bench]\nmeter = {meters:?}\n"
    );
    [
        ("job.toml".into(), settings),
        ("circuit.netlist".into(), netlist),
        ("manual.csv".into(), manual),
    ]
}
