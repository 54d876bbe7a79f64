//! A linear network of any size, for the benchmarks.

use std::fmt::Write as _;

/// The texts of a job of so many nodes and points. A ladder with rungs and cross links: every node hangs on earlier ones, as stages on a rail.
pub fn ladder_texts(nodes: usize, points: usize, meters: &[&str]) -> [(String, String); 3] {
    let mut netlist = String::from("ground n0\nPS1: 250V source=100R, plus=n1, minus=n0\n");
    let mut state = 12_345_u64;
    let mut random = |bound: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) as usize) % bound
    };
    let mut part = 0;
    for node in 1..nodes {
        let above = node.saturating_sub(1 + random(4));
        for other in [above, 0] {
            if other != node {
                part += 1;
                let ohms = (10 + random(90)) * 10_usize.pow(1 + random(5) as u32);
                let _ = writeln!(netlist, "R{part}: {ohms}, n{node} to n{other}");
            }
        }
    }
    let mut manual = String::from("point,at,value\n");
    let points = points.min(nodes - 1);
    for point in 0..points {
        let node = 1 + point * (nodes - 1) / points;
        let _ = writeln!(manual, "{point},n{node},{}", 5 + 3 * point);
    }
    let settings = format!(
        "title = \"ladder\"\n[as-documented]\nmeter = \"20k/V\"\ntolerance = \"20%\"\n\
         [on-the-bench]\nmeter = {meters:?}\n"
    );
    [
        ("job.toml".into(), settings),
        ("circuit.netlist".into(), netlist),
        ("manual.csv".into(), manual),
    ]
}
