//! Arbitrary and mutilated netlists: reading them ends with marks inside the text, whatever it says.

use circuit::PartKind;
use input::{parse_settings, read_netlist, Sources};
use proptest::prelude::*;

const GOOD: &str = include_str!("good/linear.netlist");

/// As [`GOOD`], with tubes and semiconductors.
const DEVICES: &str = include_str!("good/devices.netlist");

/// Pieces that mean something in a netlist, to be thrown together in any order.
const PIECES: [&str; 72] = [
    "title",
    "ground",
    "R1",
    "R2",
    "PS1",
    "BT1",
    "C1",
    "L1",
    "T1",
    "S1",
    "F1",
    "DS1",
    "G1",
    "TP1",
    "V1A",
    ":",
    ",",
    "=",
    "#",
    "\n",
    "\r\n",
    " ",
    " ",
    "\t",
    "to",
    "at",
    "pot",
    "closed",
    "open",
    "1k",
    "4,7k",
    "9V",
    "1uF",
    "26:1",
    "10%",
    "source",
    "plus",
    "minus",
    "primary",
    "a",
    "chassis",
    "µΩ\u{a0}∞",
    "V1",
    "V2",
    "VR1",
    "CR1",
    "Q1",
    "12AX7",
    "6AQ5",
    "6BE6",
    "5Y3GT",
    "0D3",
    "triode",
    "neon",
    "zener",
    "selenium",
    "plates",
    "npn",
    "p-jfet",
    "silicon",
    "hfe",
    "vp",
    "emission",
    "gas",
    "mu",
    "ip",
    "plate",
    "grid",
    "cathode",
    "3",
    "7",
    "1e999",
];

fn check(text: &str) -> Result<(), TestCaseError> {
    let mut sources = Sources::default();
    let id = sources.add("circuit.netlist", text);
    let text = &sources.get(id).text;
    let netlist = read_netlist(&sources, id, &[]);
    let mut last = 0;
    for found in &netlist.diagnostics {
        prop_assert!(
            !found.message.is_empty() && !found.label.is_empty(),
            "{found:?}"
        );
        let related = found.related.iter().map(|(span, _)| span);
        for span in found.span.iter().chain(related) {
            prop_assert!(
                text.get(span.bytes.clone()).is_some(),
                "{found:?} in {text:?}"
            );
        }
        let start = found.span.as_ref().map_or(0, |span| span.bytes.start);
        prop_assert!(start >= last, "not in order: {found:?}");
        last = start;
    }
    for part in netlist.circuit.parts() {
        prop_assert_eq!(part.nodes.len(), part.kind.terminals().len());
        prop_assert!(part
            .nodes
            .iter()
            .all(|node| node.0 < netlist.circuit.nodes().len()));
        if let PartKind::Device(device) = &part.kind {
            for unit in &device.units {
                prop_assert_eq!(unit.at.len(), unit.characteristic.terminals());
                prop_assert!(unit.at.iter().all(|at| *at < part.nodes.len()));
            }
        }
    }
    if netlist.diagnostics.is_empty() {
        prop_assert!(netlist.circuit.references().next().is_some());
    }
    Ok(())
}

proptest! {
    // Regressions are kept as cases beside the code, not in files of seeds.
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn any_text(text in "\\PC*|[ -~\\n]{0,200}") {
        check(&text)?;
    }

    #[test]
    fn known_words_in_any_order(picks in prop::collection::vec(0..PIECES.len(), 0..60)) {
        let text: String = picks.into_iter().map(|pick| PIECES[pick]).collect();
        check(&text)?;
    }

    #[test]
    fn a_good_netlist_with_a_few_letters_changed(
        edits in prop::collection::vec((0..GOOD.len(), 0..3, any::<char>()), 1..6)
    ) {
        let mut letters: Vec<char> = GOOD.chars().collect();
        for (at, what, letter) in edits {
            let at = at % letters.len().max(1);
            match what {
                0 if !letters.is_empty() => { letters.remove(at); }
                1 => letters.insert(at, letter),
                _ => letters.insert(at, if letter.is_alphabetic() { ',' } else { '=' }),
            }
        }
        check(&letters.into_iter().collect::<String>())?;
    }

    #[test]
    fn a_good_netlist_with_lines_missing_or_doubled(
        picks in prop::collection::vec(0usize..64, 0..40)
    ) {
        let lines: Vec<&str> = GOOD.lines().collect();
        let text: Vec<&str> = picks.into_iter().map(|pick| lines[pick % lines.len()]).collect();
        check(&text.join("\n"))?;
    }

    #[test]
    fn good_devices_with_a_few_letters_changed(
        line in 0usize..64, edits in prop::collection::vec((0usize..80, 0..3, any::<char>()), 1..5)
    ) {
        let lines: Vec<&str> = DEVICES.lines().collect();
        let mut letters: Vec<char> = lines[line % lines.len()].chars().collect();
        for (at, what, letter) in edits {
            let at = at % letters.len().max(1);
            match what {
                0 if !letters.is_empty() => { letters.remove(at); }
                1 => letters.insert(at, letter),
                _ => letters.insert(at, if letter.is_alphabetic() { ',' } else { '=' }),
            }
        }
        check(&format!("ground chassis\n{}", letters.into_iter().collect::<String>()))?;
    }

    #[test]
    fn good_devices_with_lines_missing_or_doubled(
        picks in prop::collection::vec(0usize..64, 0..30)
    ) {
        let lines: Vec<&str> = DEVICES.lines().collect();
        let text: Vec<&str> = picks.into_iter().map(|pick| lines[pick % lines.len()]).collect();
        check(&text.join("\n"))?;
    }

    #[test]
    fn known_words_in_a_device_line(picks in prop::collection::vec(0..PIECES.len(), 0..20)) {
        let words: Vec<&str> = picks.into_iter().map(|pick| PIECES[pick]).collect();
        check(&format!("V1: {}", words.join(" ")))?;
    }

    #[test]
    fn any_setting(text in "\\PC*|[RS19;=% ,a-z]{0,20}") {
        let mut sources = Sources::default();
        let id = sources.add("circuit.netlist", GOOD);
        let circuit = read_netlist(&sources, id, &[]).circuit;
        if let Err(faults) = parse_settings(&circuit, &text) {
            for fault in faults {
                prop_assert!(text.get(fault.bytes.clone()).is_some(), "{fault:?} in {text:?}");
            }
        }
    }
}
