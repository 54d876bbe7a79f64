//! Uncertainty and verdicts as a user meets them: expanded uncertainty, `--explain`, `--trials`.

use fairvolt::Exit;
use serde_json::Value;

use crate::support::{fairvolt, json, sample, Scratch};

const INTERCOM: &str = "lookout-intercom";

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value}"))
}

#[test]
fn every_translated_value_has_its_uncertainty() {
    let document = json(&fairvolt(&[
        "translate",
        &sample(INTERCOM),
        "--format",
        "json",
    ]));
    let points = document["points"].as_array().unwrap();
    let translated: Vec<&Value> = points
        .iter()
        .filter(|point| point["not_translated"].is_null())
        .collect();
    assert!(translated.len() > 20);
    for point in translated {
        let side = &point["bench"][0];
        let [u, expanded] =
            ["standard_uncertainty", "uncertainty"].map(|field| number(&side[field]));
        assert!(u > 0.0, "{point}");
        let k = expanded / u;
        // From near a rectangle alone, 0.95·√3 = 1.645, of which a little of a normal takes off a
        // thousandth, to a normal.
        assert!((1.64..1.9601).contains(&k), "{point}");
    }
}

#[test]
fn an_explanation_adds_up_to_the_uncertainty_of_the_table() {
    let job = sample(INTERCOM);
    let run = fairvolt(&["translate", &job, "--explain", "11", "--format", "json"]);
    assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""));
    let document = json(&run);
    assert_eq!(document["schema"], "fairvolt/explain/2");
    let value = &document["values"][0];
    let inputs = value["inputs"].as_array().unwrap();
    let squares: f64 = inputs
        .iter()
        .map(|input| number(&input["standard_uncertainty"]).powi(2))
        .sum();
    let u = number(&value["standard_uncertainty"]);
    // Sums of some dozen squares.
    assert!((squares.sqrt() - u).abs() < 1e-9, "{squares} {u}");
    let shares: f64 = inputs.iter().map(|input| number(&input["share"])).sum();
    assert!((shares - 1.0).abs() < 1e-9, "{shares}");
    // The manual's meter has 3 % of 50 V, 1.5 V, on a grid that it pulled down by a third.
    let of_kind = |kind: &str| inputs.iter().find(|input| input["kind"] == kind).unwrap();
    // Of the variance at full scale half is common to all values of that range, and 0.5 · (13/50)² here.
    let own = 1.5 * (1.0 - 0.5 * (13.0f64 / 50.0).powi(2)).sqrt();
    assert!((number(&of_kind("manual meter")["half_width"]) - own).abs() < 1e-9);
    let alike = |input: &&Value| input["kind"] == "manual meter alike";
    let common = 1.5 * 0.5f64.sqrt();
    let mut alike = inputs.iter().filter(alike);
    assert!(alike.any(|input| (number(&input["half_width"]) - common).abs() < 1e-9));
    // So the drawing and the other values decide most of it: each source by itself is told.
    assert!(number(&value["by_printed"]) < 0.5);
    let alone = |source: &str| number(&value[source]["standard_uncertainty"]);
    assert!(alone("manual_alone") > u && alone("drawing_alone") > u);
    assert!(of_kind("other printed value")["half_width"].is_null());
    let resistor = inputs.iter().find(|input| input["part"] == "R9").unwrap();
    assert_eq!(
        (&resistor["basis"], &resistor["unit"]),
        (&"stated".into(), &"Ω".into())
    );
    assert!((number(&resistor["half_width"]) - 47e3).abs() < 1e-6);
}

#[test]
fn compare_explains_the_reading_and_keeps_its_exit_status() {
    let job = sample(INTERCOM);
    let leaky = format!("{job}/readings-leaky-coupler.csv");
    let run = fairvolt(&["compare", &job, "-r", &leaky, "--explain", "11"]);
    assert_eq!(run.exit, Exit::Flagged);
    assert!(
        run.out.contains("read −2.255 V") && run.out.contains("FAIL"),
        "{}",
        run.out
    );
    // A point that passes, in the same file.
    let run = fairvolt(&["compare", &job, "-r", &leaky, "--explain", "1"]);
    assert_eq!(run.exit, Exit::Done, "{}", run.out);
    for format in ["table", "csv", "markdown"] {
        let run = fairvolt(&[
            "translate",
            &job,
            "--explain",
            "v1 PIN 6",
            "--format",
            format,
        ]);
        assert_eq!(run.exit, Exit::Done, "{}", run.err);
        assert!(run.out.contains("manual's meter"), "{format}: {}", run.out);
    }
}

#[test]
fn an_unknown_point_is_refused_with_the_nearest_ones() {
    let run = fairvolt(&["translate", &sample(INTERCOM), "--explain", "V1 pin 66"]);
    assert_eq!((run.exit, run.out.as_str()), (Exit::BadInput, ""));
    assert!(
        run.complained().contains("no point 'V1 pin 66'"),
        "{}",
        run.err
    );
    assert!(run.err.contains("V1 pin 6"), "{}", run.err);
}

#[test]
fn trials_agree_with_first_order_where_the_circuit_is_linear() {
    let job = sample("ridge-line-panel");
    let arguments = [
        "translate",
        &job,
        "--trials",
        "4000",
        "--seed",
        "5",
        "--format",
        "json",
    ];
    let run = fairvolt(&arguments);
    // No bar where nobody watches.
    assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""));
    assert_eq!(run.out, fairvolt(&arguments).out);
    let document = json(&run);
    let trials = &document["trials"];
    assert_eq!((&trials["seed"], &trials["run"]), (&5.into(), &4000.into()));
    let values = trials["values"].as_array().unwrap();
    assert_eq!(values.len(), 5);
    for (value, point) in values.iter().zip(document["points"].as_array().unwrap()) {
        let side = &point["bench"][0];
        let u = number(&side["standard_uncertainty"]);
        // Means and deviations of 4000 values scatter by u/63 and u/89; four times that, and a
        // twentieth of u for what first order leaves out.
        let off = number(&value["mean"]) - number(&side["expected"]);
        assert!(off.abs() < 0.12 * u, "{value}");
        let other = number(&value["standard_uncertainty"]);
        assert!((other - u).abs() < 0.1 * u, "{value} {u}");
    }
    let other = fairvolt(&["translate", &job, "--trials", "4000", "--format", "json"]);
    assert_ne!(other.out, run.out);
}

#[test]
fn too_few_trials_and_a_seed_without_trials_are_refused() {
    let job = sample("ridge-line-panel");
    for extra in [["--trials", "99"], ["--trials", "many"], ["--seed", "3"]] {
        let run = fairvolt(&["translate", &job, extra[0], extra[1]]);
        assert_eq!(run.exit, Exit::BadInput, "{extra:?}");
    }
    let run = fairvolt(&["translate", &job, "--trials", "100", "--explain", "1"]);
    assert_eq!(run.exit, Exit::BadInput);
}

#[test]
fn a_conditional_pass_is_no_finding_and_a_conditional_fail_is() {
    let scratch = Scratch::new();
    let job = sample("ridge-line-panel");
    // Point 1: 24.0 V ± 15 %, so 20.4 to 27.6 V, U about 1.5 V.
    for (reading, exit, word) in [
        ("24.0", Exit::Done, "pass"),
        ("20.9", Exit::Done, "conditional pass"),
        ("19.9", Exit::Flagged, "conditional fail"),
        ("15.0", Exit::Flagged, "fail"),
    ] {
        let file = scratch.write("readings.csv", &format!("point,reading\n1,{reading}\n"));
        let run = fairvolt(&["compare", &job, "-r", &file, "--format", "json"]);
        assert_eq!(run.exit, exit, "{reading}");
        let document = json(&run);
        let found = &document["points"][0]["reading"];
        assert_eq!(found["verdict"], word);
        // Half at the limit, less outside.
        let inside = number(&found["conformity"]) > 0.5;
        assert_eq!(inside, word.ends_with("pass"), "{found}");
    }
}

/// A rail and a divider on it, all read 25 % low; the manual allows 10 %.
fn low_rail() -> Scratch {
    let scratch = Scratch::new();
    scratch.write(
        "job.toml",
        "title = \"Landing light relay\"\n[as-documented]\nmeter = \"20k/V\"\ntolerance = \"10%\"\n\
         [on-the-bench]\nmeter = \"10M\"\n",
    );
    scratch.write(
        "circuit.netlist",
        "ground chassis\nPS1: 200V 2%, plus=rail, minus=chassis\nR1: 10k 5%, rail to tap\n\
         R2: 10k 5%, tap to chassis\n",
    );
    scratch.write("manual.csv", "point,at,value\nA,rail,200\nB,tap,99.5\n");
    scratch.write("readings.csv", "point,reading\nA,150.0\nB,74.9\n");
    scratch
}

#[test]
fn a_low_rail_fails_what_it_feeds_only_if_it_is_not_taken_as_read() {
    let scratch = low_rail();
    let verdicts = |more: &[&str]| {
        let folder = scratch.path();
        let mut args = vec!["compare", &folder, "--format", "json"];
        args.extend(more);
        let run = fairvolt(&args);
        assert_eq!(run.exit, Exit::Flagged, "{}", run.err);
        let document = json(&run);
        let verdict = |k: usize| document["points"][k]["reading"]["verdict"].to_string();
        (verdict(0), verdict(1), document)
    };
    let (rail, tap, _) = verdicts(&[]);
    assert_eq!((rail.as_str(), tap.as_str()), ("\"fail\"", "\"fail\""));
    let (rail, tap, document) = verdicts(&["--rails-as-read"]);
    assert_eq!((rail.as_str(), tap.as_str()), ("\"fail\"", "\"pass\""));
    assert_eq!(document["rails_as_read"][0]["part"], "PS1");
    // By hand, with 5 kΩ behind the tap: the drawing shows 100·5/5.005 = 99.9001 V through the
    // manual's 5 MΩ and, at 150 V, 75·10/10.005 = 74.9625 V through 10 MΩ; the manual's −0.4001 V
    // over its drawing is carried by 1.001/1.0005.
    // That is the manual alone, 74.5622 V; what it says less than its drawing is by half within
    // what its meter may be off, and the drawing says 74.9625 V.
    let expected = number(&document["points"][1]["reading"]["expected"]);
    assert!(expected > 74.5622 && expected < 74.9625, "{expected}");
}

#[test]
fn a_rail_that_nobody_read_cannot_be_taken_as_read() {
    let scratch = low_rail();
    scratch.write("readings.csv", "point,reading\nB,74.9\n");
    let run = fairvolt(&["compare", &scratch.path(), "--rails-as-read"]);
    assert_eq!(run.exit, Exit::BadInput);
    assert!(
        run.err.contains("no reading was taken across a supply"),
        "{}",
        run.err
    );
    scratch.write(
        "readings.csv",
        "point,reading,set\nA,150.0,1\nA,201,2\nB,74.9,1\n",
    );
    let run = fairvolt(&["compare", &scratch.path(), "--rails-as-read"]);
    assert_eq!(run.exit, Exit::BadInput);
    assert!(
        run.err.contains("PS1 was read as 150 V and as 201 V"),
        "{}",
        run.err
    );
}

#[test]
fn what_was_read_before_a_repair_flags_nothing() {
    let scratch = low_rail();
    let before = scratch.write("before.csv", "point,reading\nA,150.0\nB,74.9\n");
    let after = scratch.write("after.csv", "point,reading\nA,199.4\nB,99.1\n");
    let folder = scratch.path();
    let exit =
        |first: &str, last: &str| fairvolt(&["compare", &folder, "-r", first, "-r", last]).exit;
    assert_eq!(exit(&before, &after), Exit::Done);
    assert_eq!(exit(&after, &before), Exit::Flagged);
}

/// The digits told of a point between two supplies of 100 V through equal resistors.
fn digits_told(low: &str, printed: &str) -> f64 {
    let scratch = Scratch::new();
    scratch.write(
        "circuit.netlist",
        &format!(
            "ground chassis\nPS1: 100V, plus=top, minus=chassis\nPS2: {low}, plus=chassis, minus=low\n\
             R1: 10k, top to mid\nR2: 10k, mid to low\n"
        ),
    );
    scratch.write("manual.csv", &format!("point,at,value\n1,mid,{printed}\n"));
    scratch.write(
        "job.toml",
        "title = \"Lookout divider\"\n[as-documented]\nmeter = \"11M\"\n\
         [on-the-bench]\nmeter = \"10M\"\n",
    );
    let run = fairvolt(&["translate", &scratch.path(), "--explain", "1"]);
    let as_json = [
        "translate",
        &scratch.path(),
        "--explain",
        "1",
        "--format",
        "json",
    ];
    let whole = number(&json(&fairvolt(&as_json))["values"][0]["digits"]);
    let start = "Significant digits of the expected value left by rounding errors: ";
    let told = run.out.lines().find_map(|line| line.strip_prefix(start));
    let told = told.unwrap_or_else(|| panic!("{}", run.out));
    let told: f64 = told.trim_end_matches('.').parse().unwrap();
    // The text rounds them down.
    assert!((whole.floor() - told).abs() < 1e-12, "{whole} {told}");
    told
}

#[test]
fn an_explanation_tells_how_many_digits_arithmetic_leaves() {
    // κ = Σ|θ·∂y/∂θ|/|y|, by hand: 50 V of the upper supply, 0.5 V of the lower, 25 V of each resistor
    // about, for 49.5 V: 2, so of 15.95 digits 15.6 are left.
    assert!((digits_told("1V", "49") - 15.0).abs() < 1e-12);
    // 0 V by symmetry: 200 V beside a millionth of 100 V leave 9.6 digits, and no refusal.
    assert!((digits_told("100V", "0.0") - 9.0).abs() < 1e-12);
}
