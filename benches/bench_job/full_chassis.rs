//! A chassis of triode stages with all that a real one has, for the benchmark of the suspects.

use std::fmt::Write as _;

/// Links of the divider chain that each stage carries for its neighbours.
const LINKS: usize = 11;

/// The texts of a job: so many stages of 34 parts on one rail, each with decoupling, plate load,
/// bypassed cathode resistor, grid leak and stopper, coupler to the next stage, and a chain of
/// bypassed dividers; and five points of each in the manual.
pub fn full_chassis(stages: usize) -> [(String, String); 3] {
    let mut netlist =
        String::from("ground chassis\nPS1: 280V source=150R line, plus=rail, minus=chassis\n");
    let mut manual = String::from("point,at,value\n");
    for stage in 1..=stages {
        let next = stage % stages + 1;
        let mut lines = vec![
            format!("R{stage}1: {}k, rail to dec{stage}", 4 + stage),
            format!("C{stage}1: 16uF leak=2M, dec{stage} to chassis"),
            format!("C{stage}2: 0.1uF leak=500M, dec{stage} to chassis"),
            format!("R{stage}2: 100k, dec{stage} to plate{stage}"),
            format!("R{stage}3: 1.5k, cath{stage} to chassis"),
            format!("C{stage}3: 25uF leak=1M, cath{stage} to chassis"),
            format!("R{stage}4: 1M, grid{stage} to chassis"),
            format!("R{stage}5: 10k, grid{stage} to stop{stage}"),
            format!("V{stage}A: 12AX7, plate=plate{stage}, grid=stop{stage}, cathode=cath{stage}"),
            format!(
                "C{stage}4: 0.02uF leak={}M, plate{stage} to grid{next}",
                300 + 10 * stage
            ),
            format!("C{stage}5: 100pF, plate{stage} to chassis"),
        ];
        let mut above = format!("dec{stage}");
        for link in 1..=LINKS {
            let here = format!("d{stage}_{link}");
            lines.push(format!(
                "R{stage}6{link}: {}k, {above} to {here}",
                10 * link
            ));
            lines.push(format!(
                "C{stage}6{link}: 0.01uF leak=400M, {here} to chassis"
            ));
            above = here;
        }
        lines.push(format!("R{stage}7: 47k, {above} to chassis"));
        for line in lines {
            let _ = writeln!(netlist, "{line}");
        }
        for (label, node, volts) in [
            ("plate", format!("plate{stage}"), 155),
            ("cath", format!("cath{stage}"), 1),
            ("grid", format!("grid{stage}"), 0),
            ("dec", format!("dec{stage}"), 240),
            ("d", format!("d{stage}_4"), 100),
        ] {
            let _ = writeln!(manual, "{label} {stage},{node},{volts}");
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
