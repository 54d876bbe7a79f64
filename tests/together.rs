//! Manual and drawing weighed against each other on small jobs, through the commands.

use serde_json::Value;

use crate::support::{fairvolt, json, point, practice, sample, Scratch};

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or(f64::NAN)
}

/// A triode's plate, coupled to a grid behind 470 kΩ of which the manual prints 0.
const COUPLED: &str = "ground gnd\nPS1: 250V 5%, plus=bplus, minus=gnd\n\
    R1: 100k 10%, bplus to plate\nR2: 1.5k 10%, cath to gnd\nR3: 470k 10%, grid to gnd\n\
    V1A: 12AX7, plate=plate, grid=grid, cathode=cath\nC1: 0.02uF leak=500M, plate to next\n\
    R4: 470k 10%, next to bias\nR5: 100R, bias to gnd\n\
    V2: 6V6, plate=bplus, screen=bplus, grid=next, cathode=k2\nR6: 470R 10%, k2 to gnd\n";
const COUPLED_MANUAL: &str = "point,at,value,range\n1,plate,150,250V\n2,cath,1.0,2.5V\n\
    3,next,0,2.5V\n4,k2,14.5,50V\n5,bplus,250,250V\n";

fn translated(scratch: &Scratch) -> Value {
    json(&fairvolt(&[
        "translate",
        &scratch.path(),
        "--format",
        "json",
    ]))
}

#[test]
fn a_printed_zero_leaves_what_healthy_sets_show_and_no_more() {
    let scratch = practice("20k/V", COUPLED, COUPLED_MANUAL);
    let document = translated(&scratch);
    let grid = &point(&document, "3")["bench"][0];
    // 0 of a 2.5 V range, carried over from 50 kΩ to 10 MΩ behind 470 kΩ, is ±0.3 V by its last division
    // alone; 250 V is what the plate's supply could put there. Healthy sets lie within some tenths.
    let [low, high] = [0, 1].map(|side| number(&grid["band"][side]));
    assert!(low > -1.0 && low < 0.0, "{low}");
    assert!(high > 0.0 && high < 1.0, "{high}");
    assert_eq!(grid["band_basis"], "drawing");
    let text = fairvolt(&["translate", &scratch.path()]).out;
    assert!(text.contains("limits by what healthy sets"), "{text}");
}

#[test]
fn no_limit_lies_beyond_the_drawn_sources() {
    // 250 V ± 20 % would be 300 V.
    let scratch = practice("20k/V", COUPLED, COUPLED_MANUAL);
    let document = translated(&scratch);
    for found in document["points"].as_array().unwrap() {
        let side = &found["bench"][0];
        for limit in [0, 1].map(|side_of| number(&side["band"][side_of])) {
            // 250 V and 5 % of it, and 2 V that contact potentials may add.
            assert!(limit.abs() <= 264.5 + 1e-6, "{}: {limit}", found["point"]);
        }
        assert!(
            number(&side["expected"]).abs() <= 264.5,
            "{}",
            found["point"]
        );
    }
}

#[test]
fn every_value_tells_what_either_source_says_and_what_the_drawing_lacks() {
    let scratch = practice("20k/V", COUPLED, COUPLED_MANUAL);
    let document = translated(&scratch);
    for found in document["points"].as_array().unwrap() {
        let side = &found["bench"][0];
        for source in ["manual_alone", "drawing_alone"] {
            assert!(side[source]["expected"].is_number(), "{found}");
            assert!(number(&side[source]["standard_uncertainty"]) > 0.0);
        }
        assert!(number(&side["uncertainty"]) > 0.0);
        let share = number(&side["by_printed"]);
        assert!((0.0..=1.0).contains(&share), "{share}");
        assert!(number(&found["discrepancy"]["standard"]) >= 0.0, "{found}");
        assert!(found["discrepancy"]["share"].is_number());
    }
    let checked = json(&fairvolt(&["check", &scratch.path(), "--format", "json"]));
    let numbers = checked["numbers"].as_array().unwrap();
    let load = |one: &&Value| one["part"] == "R1" && one["parameter"] == "resistance";
    let load = numbers.iter().find(load).unwrap();
    assert!((number(&load["written"]) - 100e3).abs() < 1e-6);
    assert!(number(&load["standard"]) > 0.0);
    // Which of the two spoke, in words.
    let explained = fairvolt(&["translate", &scratch.path(), "--explain", "3"]).out;
    for words in [
        "the printed value alone",
        "the drawing alone",
        "by the printed value",
    ] {
        assert!(explained.contains(words), "{explained}");
    }
}

#[test]
fn meters_that_load_alike_are_as_likely_as_each_other() {
    // Dividers on 100 V as 10 MΩ reads them: 100·R/(R₁ + R) with R₂ ∥ 10 MΩ, by hand.
    let netlist = "ground gnd\nPS1: 100V 1%, plus=top, minus=gnd\n\
        R1: 1M 1%, top to a\nR2: 1M 1%, a to gnd\nR3: 2.2M 1%, top to b\nR4: 2.2M 1%, b to gnd\n\
        R5: 3.3M 1%, top to c\nR6: 1M 1%, c to gnd\n";
    let loaded = |upper: f64, lower: f64| 100.0 / (1.0 + upper / (lower * 10.0 / (lower + 10.0)));
    let manual = format!(
        "point,at,value\n1,top,100\n2,a,{:.1}\n3,b,{:.1}\n4,c,{:.1}\n",
        loaded(1.0, 1.0),
        loaded(2.2, 2.2),
        loaded(3.3, 1.0)
    );
    let scratch = practice("unknown", netlist, &manual);
    let document = json(&fairvolt(&["check", &scratch.path(), "--format", "json"]));
    let classes = document["meter_classes"].as_array().unwrap();
    let of = |name: &str| {
        let mut named = classes.iter().filter(|class| class["meter"] == name);
        number(&named.next().unwrap()["probability"])
    };
    let (ten, eleven) = (of("10M"), of("11M"));
    assert!(ten > 0.4 && (ten - eleven).abs() < 1e-9, "{ten} {eleven}");
}

/// What the drawing may lack is in the value told, and the range has to hold that: −20 V were drawn at this grid and
/// −22 V told, on a range of 20 V, with the remark that no range of the meter holds them.
#[test]
fn the_range_of_a_bench_meter_holds_what_it_should_show() {
    let netlist =
        std::fs::read_to_string(format!("{}/circuit.netlist", sample("lookout-intercom")));
    // Read off an independent solution of this drawing with other tube laws, as a 20 kΩ/V meter shows it.
    let scratch = practice(
        "20k/V",
        &netlist.unwrap(),
        "point,at,value,meter,range\n2,TP2,290,1k/V,500V\n19,V2A cathode,74,,\n21,V2B grid,-14.5,,50V\n\
         22,V2B plate,285,1k/V,500V\n23,V2B cathode,0,,\n",
    );
    let table = fairvolt(&["translate", &scratch.path(), "--all"]);
    assert!(!table.out.contains("above every range"), "{}", table.out);
    let found = json(&fairvolt(&[
        "translate",
        &scratch.path(),
        "--format",
        "json",
    ]));
    for point in found["points"].as_array().unwrap() {
        for side in point["bench"].as_array().unwrap() {
            let figure = |key: &str| side[key].as_f64().unwrap();
            assert!(figure("expected").abs() <= figure("range"), "{point}");
        }
    }
}
