//! A manual held against itself: doubted values, and a meter that it does not name.

use fairvolt::Exit;
use serde_json::Value;

use crate::support::{fairvolt, json, point, practice, said, sample};

const MISPRINTED: &str = "ferry-landing-amplifier";

/// A divider of 100 kΩ and 100 kΩ on 200 V: 50 kΩ behind 100 V.
const DIVIDER: &str = "ground gnd\nPS1: 200V 2%, plus=top, minus=gnd\n\
                       R1: 100k 5%, top to mid\nR2: 100k 5%, mid to gnd\n";

#[test]
fn the_sample_s_meter_is_told_and_its_misprint_found() {
    let run = fairvolt(&["check", &sample(MISPRINTED), "--format", "json"]);
    assert_eq!((run.exit, run.err.as_str()), (Exit::Flagged, ""));
    let document = json(&run);
    // The sample was made up with 1,000 ohms per volt, and with 115 misprinted as 151.
    assert_eq!(document["unnamed_meter"]["taken_as"], "1k/V");
    assert_eq!(document["unnamed_meter"]["decisive"], true);
    let classes = document["meter_classes"].as_array().unwrap();
    let sum: f64 = classes
        .iter()
        .map(|class| class["probability"].as_f64().unwrap())
        .sum();
    // Probabilities of all classes, each rounded once.
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    let doubted: Vec<&Value> = document["points"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|point| point["believable"] == false)
        .collect();
    assert_eq!(doubted.len(), 1);
    assert_eq!(doubted[0]["point"], "5");
    assert_eq!(doubted[0]["explanations"][0]["kind"], "swapped_digits");
    assert_eq!(doubted[0]["explanations"][0]["reads_as"], 115.0);
}

#[test]
fn a_doubt_goes_along_and_nothing_is_changed_for_it() {
    for command in ["translate", "compare", "worksheet"] {
        let run = fairvolt(&[command, &sample(MISPRINTED)]);
        let text = said(&run.out);
        assert!(text.contains("DOUBTED by check"), "{command}: {text}");
        assert!(text.contains("taken as 1k/V, decisive"), "{command}");
    }
    let document = json(&fairvolt(&[
        "translate",
        &sample(MISPRINTED),
        "--format",
        "json",
    ]));
    assert_eq!(point(&document, "5")["manual"]["value"], 151.0);
    assert!(point(&document, "5")["manual_doubt"]["predicted"].is_number());
    assert!(point(&document, "3")["manual_doubt"].is_null());
    assert!(point(&document, "3")["otherwise"].is_null());
}

/// Volts of the ladder with its right values, by hand: 250 V behind 10 kΩ, then 10 kΩ to the chassis beside
/// 47 kΩ and 33 kΩ in series, read without load.
#[test]
fn a_slip_in_the_netlist_is_named_with_its_line() {
    let netlist = |ohms: &str| {
        format!(
            "ground gnd\nPS1: 250V 2%, plus=top, minus=gnd\nR1: 10k 5%, top to a\n\
             R2: {ohms} 5%, a to gnd\nR3: 47k 5%, a to b\nR4: 33k 5%, b to gnd\n"
        )
    };
    // 10 kΩ beside 80 kΩ is 8.889 kΩ: 250 · 8.889/18.889 = 117.6 V, and 33/80 of that is 48.5 V.
    let manual = "point,at,value\n1,top,250\n2,a,118\n3,b,48.5\n4,R3,69\n5,R1,132\n";
    let right = practice("11M", &netlist("10k"), manual);
    let run = fairvolt(&["check", &right.path()]);
    assert_eq!(run.exit, Exit::Done, "{}", run.out);
    assert!(!run.out.contains("slip in the drawing"), "{}", run.out);

    let wrong = practice("11M", &netlist("100k"), manual);
    let run = fairvolt(&["check", &wrong.path()]);
    assert_eq!(run.exit, Exit::Flagged);
    let text = said(&run.out);
    assert!(text.contains("slip in the drawing would explain"), "{text}");
    assert!(text.contains("R2 (netlist line 4): "), "{text}");
    assert!(
        text.contains("in place of 100 kΩ; one decade down: 10 kΩ"),
        "{text}"
    );
    let text = said(&fairvolt(&["translate", &wrong.path()]).out);
    assert!(text.contains("looks for a slip in the netlist"), "{text}");
    let document = json(&fairvolt(&["check", &wrong.path(), "--format", "json"]));
    let slips = document["drawing_slips"].as_array().unwrap();
    let own = slips.iter().find(|slip| slip["part"] == "R2").unwrap();
    assert_eq!(
        (&own["kind"], &own["decade"]),
        (&"number".into(), &10e3.into())
    );
    let [low, high] = ["low", "high"].map(|key| own[key].as_f64().unwrap());
    assert!(low < 10e3 && high > 10e3, "{low} {high}");
}

/// Fixed bias: 62 V behind 1.5 kΩ, 10 kΩ, a control of 25 kΩ and 10 kΩ, together 46.5 kΩ and 1.3333 mA. −36 V are
/// 27 kΩ from the chassis, 17 of the 25 kΩ: 68 %. The voltmeter's 11 MΩ take a thousandth of that.
#[test]
fn a_control_is_named_with_the_position_for_its_printed_value() {
    let netlist =
        "ground c\nPS1: 62V source=1.5k line, plus=c, minus=neg\nR3: 10k 10%, neg to top\n\
                   R4: pot 25k 10% at 50%, cw=top, wiper=grid, ccw=end\nR5: 10k 10%, end to c\n";
    let manual = "point,at,value\n1,neg,-60\n2,grid,-36\n3,top,-47\n";
    let job = practice("11M", netlist, manual);
    let text = said(&fairvolt(&["check", &job.path()]).out);
    let words = "(1) R4 (netlist line 4): at about 68 % in place of 50 %";
    assert!(text.contains(words), "{text}");
}

/// A class-B stage whose control sets the idle current by a transistor that multiplies its own base volts: 14 mV across
/// 1 Ω. Wherever the control is drawn, the position that is named makes the drawing read the printed value within
/// what a percent of the control does there.
#[test]
fn an_idle_current_is_set_by_the_position_that_is_named() {
    let netlist = |percent: f64| {
        format!(
            "ground c\nPS1: 18V, plus=b, minus=c\nR21: 2.2k 5%, b to top\nR31: 1k 5%, top to t1\n\
             R20: pot 1k 20% at {percent}%, cw=t1, wiper=bm, ccw=t2\nR32: 1k 5%, t2 to bot\n\
             Q3: npn silicon hfe=100, c=top, b=bm, e=bot\nR22: 2.2k 5%, bot to c\n\
             Q1: npn silicon power hfe=60, c=b, b=top, e=e1\n\
             Q2: pnp silicon power hfe=60, c=c, b=bot, e=e2\nR25: 1R 5%, e1 to out\nR26: 1R 5%, out to e2\n"
        )
    };
    let manual = "point,at,against,value\n1,b,c,18\n2,out,c,9\n3,e1,out,14mV\n";
    let checked = |percent: f64| {
        let job = practice("10M", &netlist(percent), manual);
        json(&fairvolt(&["check", &job.path(), "--format", "json"]))
    };
    let drawn = |percent: f64| {
        let document = checked(percent);
        let volts = &point(&document, "3")["model"]["as_documented"];
        volts.as_f64().unwrap()
    };
    for percent in [20.0, 60.0] {
        let document = checked(percent);
        let first = &document["drawing_slips"][0];
        let kind = (&first["kind"], &first["part"]);
        assert_eq!(kind, (&"position".into(), &"R20".into()), "{percent}");
        let named = first["likely"].as_f64().unwrap();
        let percent_does = (drawn(named - 1.0) - drawn(named + 1.0)).abs() / 2.0;
        let off = (drawn(named) - 0.014).abs();
        assert!(off <= percent_does, "{named} %: {off} {percent_does}");
    }
}

/// σ with two digits is off by up to 5 %, the volts by half of its last digit, at most another 5 %: whoever divides the
/// difference by it gets what is said within a tenth, and the rounding of that.
#[test]
fn the_sigmas_said_of_a_doubted_value_follow_from_the_figures_beside_them() {
    let netlist =
        "ground c\nPS1: 9V 2%, plus=top, minus=c\nR1: 100k 10%, top to a\nR2: 2.2k 10%, a to c\n";
    for printed in ["0.51", "0.9", "3.0"] {
        let manual = format!("point,at,value\n1,top,9.0\n2,a,{printed}\n");
        let job = practice("11M", netlist, &manual);
        let text = said(&fairvolt(&["check", &job.path()]).out);
        let (_, said) = text.split_once("the others and the circuit say ").unwrap();
        let words: Vec<&str> = said.split(' ').collect();
        // 0.19 V ± 0.09 V (1 σ): 3.4 σ off
        let [volts, "V", "±", sigma, "V", "(1", "σ):", off, ..] = words[..] else {
            panic!("{said}");
        };
        let [volts, sigma, off, printed] =
            [volts, sigma, off, printed].map(|text| text.parse::<f64>().unwrap());
        let followed = (printed - volts) / sigma;
        assert!(
            (followed - off).abs() <= 0.1 * off + 0.05,
            "{said}: {followed}"
        );
    }
}

#[test]
fn a_table_that_does_not_tell_the_meter_gets_both_answers() {
    // 98 V behind 50 kΩ: within what ±5 % of two resistors and a supply of ±2 % leave open, every
    // light meter reads much the same there.
    let job = practice("unknown", DIVIDER, "point,at,value\n1,mid,98\n");
    let path = job.path();
    let check = fairvolt(&["check", &path]);
    assert_eq!(check.exit, Exit::Done, "{}{}", check.out, check.err);
    assert!(said(&check.out).contains("NOT DECISIVE"), "{}", check.out);
    let run = fairvolt(&["translate", &path, "--format", "json"]);
    let document = json(&run);
    let unnamed = &document["unnamed_meter"];
    assert_eq!(unnamed["decisive"], false);
    let other = &point(&document, "1")["otherwise"][0];
    assert_eq!(other["manual_meter"], unnamed["next"]);
    assert!(other["expected"].is_number());
    for format in ["table", "csv", "markdown"] {
        for command in ["translate", "worksheet"] {
            let run = fairvolt(&[command, &path, "--format", format]);
            let words = format!("read with {}", unnamed["next"].as_str().unwrap());
            assert!(
                said(&run.out).contains(&words),
                "{command} {format}: {}",
                run.out
            );
        }
    }
}

#[test]
fn a_meter_that_nothing_tells_has_to_be_named() {
    let bare = practice("unknown", "", "point,at,value,source\n1,plate,98,50k\n");
    for command in ["check", "translate", "worksheet"] {
        let run = fairvolt(&[command, &bare.path()]);
        assert_eq!(
            run.exit,
            Exit::BadInput,
            "{command}: {}{}",
            run.out,
            run.err
        );
        assert!(run.err.contains("does not name the meter"), "{}", run.err);
        assert!(run.err.contains("help: name it in job.toml"), "{}", run.err);
    }
}

#[test]
fn a_drawing_that_is_wrong_throughout_is_told_as_a_whole() {
    // Twelve dividers of their own. Standard deviations of each reading of 100 V, by hand: supply
    // 2 %, 2/√3 = 1.15 V; resistors 5 %, 100 · ½ · 0.05 · √2/√3 = 2.04 V; meter 3 % of 250 V,
    // 7.5/√3 = 4.33 V; together 4.9 V. 114 V is 2.9 of them off, so none stands out. Of the meter's
    // error 1.77 V are common to all, √0.8 · 4.33 · 114/250, which leaves 4.6 V to each: the squares add up to
    // 12 · (14/4.6)² = 112, less 72 for what the meter may read wrong alike; 40, where chance gives
    // more than 32 once in 700 times.
    let mut netlist = "ground gnd\n".to_owned();
    let mut manual = "point,at,value,range\n".to_owned();
    for k in 1..=12 {
        netlist.push_str(&format!(
            "PS{k}: 200V 2%, plus=t{k}, minus=gnd\nR{k}: 1k 5%, t{k} to m{k}\n\
             R{}: 1k 5%, m{k} to gnd\n",
            k + 20
        ));
        manual.push_str(&format!("{k},m{k},114,250V\n"));
    }
    let run = fairvolt(&["check", &practice("20k/V", &netlist, &manual).path()]);
    assert_eq!(run.exit, Exit::Flagged, "{}", run.out);
    let text = said(&run.out);
    assert!(text.contains("None of 12 values stands out"), "{text}");
    assert!(text.contains("DISAGREE with the drawn circuit"), "{text}");
}

#[test]
fn trials_in_check_name_the_points_or_say_that_they_are_too_few() {
    let job = practice("20k/V", DIVIDER, "point,at,value\n1,mid,98\n");
    let few = fairvolt(&["check", &job.path(), "--trials", "200"]);
    assert_eq!(few.exit, Exit::Done, "{}", few.err);
    assert!(said(&few.out).contains("Too few trials"), "{}", few.out);
    let arguments = ["check", &job.path(), "--trials", "200", "--format", "json"];
    assert_eq!(json(&fairvolt(&arguments))["trials"]["run"], 200);
    let run = fairvolt(&["check", &job.path(), "--trials", "5"]);
    assert_eq!(run.exit, Exit::BadInput);
}
