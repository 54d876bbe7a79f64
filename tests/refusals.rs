//! What is refused for the circuit's sake: the reason, where it stands, what to look at, and no number.

use fairvolt::Exit;

use crate::support::{fairvolt, json, point, practice, said, Run, Scratch};

/// A direct-coupled balanced amplifier without feedback: pairs of transistors, NPN and PNP by turns, each
/// pair driven by the collectors of the one before.
fn balanced(stages: usize) -> String {
    let mut text = "ground chassis\n\
                    PS1: 12V source=1R, plus=plus, minus=chassis\n\
                    PS2: 12V source=1R, plus=chassis, minus=neg\n\
                    R1: 10k, a0 to chassis\nR2: 10k, b0 to chassis\n"
        .to_owned();
    for stage in 1..=stages {
        let before = stage - 1;
        let (kind, tail, load) = match stage % 2 {
            1 => ("npn", "5.6k, e{n} to neg", "4.7k, plus"),
            _ => ("pnp", "2k, e{n} to plus", "12k, neg"),
        };
        let tail = tail.replace("{n}", &stage.to_string());
        let (q, r) = (2 * stage, 3 * stage);
        text += &format!(
            "Q{}: {kind} silicon hfe=100, emitter=e{stage}, base=a{before}, collector=a{stage}\n\
             Q{q}: {kind} silicon hfe=100, emitter=e{stage}, base=b{before}, collector=b{stage}\n\
             R{r}: {tail}\nR{}: {load} to a{stage}\nR{}: {load} to b{stage}\n",
            q - 1,
            r + 1,
            r + 2
        );
    }
    text
}

/// The same as a job: the first collector, and the last two against each other, balanced.
fn balanced_job(stages: usize) -> Scratch {
    let manual = format!("point,at,against,value\n1,a1,,7.0\n2,a{stages},b{stages},0.0\n");
    practice("20k/V", &balanced(stages), &manual)
}

const TOO_FEW: &str = "arithmetic leaves 2 of 16 digits of this value, too few for an answer";

#[test]
fn a_reading_with_fewer_than_three_digits_left_is_refused_everywhere() {
    // κ of a balanced output grows by the gain of a stage, some sixty times; the fifth takes the digits
    // from four to two.
    let job = balanced_job(5);
    let folder = job.path();
    let table = fairvolt(&["translate", &folder]);
    let told = said(&table.out);
    assert!(
        told.contains(&format!("Not translated: 2 (0.0 V); {TOO_FEW}")),
        "{}",
        table.out
    );
    assert!(
        told.contains("look for a missing part of feedback or bias"),
        "{}",
        table.out
    );
    // It costs its row alone.
    assert_eq!(table.exit, Exit::Done, "{}", table.err);
    assert!(
        table.out.lines().any(|line| line.starts_with("1      a1 ")),
        "{}",
        table.out
    );
    assert!(
        !table.out.lines().any(|line| line.starts_with("2 ")),
        "{}",
        table.out
    );

    let translated = json(&fairvolt(&["translate", &folder, "--format", "json"]));
    let refused = point(&translated, "2");
    assert!(refused["not_translated"]
        .as_str()
        .unwrap()
        .contains(TOO_FEW));
    // What the row says stands there, and nothing else.
    let own = [
        "point",
        "at",
        "against",
        "quantity",
        "manual",
        "not_translated",
    ];
    for (key, value) in refused.as_object().unwrap() {
        let nothing = value.is_null() || value.as_array().is_some_and(Vec::is_empty);
        assert!(own.contains(&key.as_str()) || nothing, "{key}: {value}");
    }

    let checked = fairvolt(&["check", &folder]);
    let told = said(&checked.out);
    assert!(
        told.contains(&format!("Not judged ({TOO_FEW}")),
        "{}",
        checked.out
    );
    assert_eq!(checked.exit, Exit::Done);
    let own = checked
        .out
        .lines()
        .find(|line| line.starts_with("2      a5 to b5"))
        .unwrap();
    // The printed value, and neither a prediction nor a difference.
    assert_eq!(
        own.split_whitespace().collect::<Vec<_>>(),
        ["2", "a5", "to", "b5", "0.0"]
    );

    // With that row alone no row has an answer, and the status says so; the page says why.
    let manual = "point,at,against,value\n2,a5,b5,0.0\n";
    let alone = practice("20k/V", &balanced(5), manual);
    let table = fairvolt(&["translate", &alone.path()]);
    assert_eq!(table.exit, Exit::Unsolved, "{}", table.err);
    assert!(said(&table.out).contains(TOO_FEW), "{}", table.out);
    alone.write("readings.csv", "point,reading\n2,0.1\n");
    let compared = fairvolt(&["compare", &alone.path()]);
    assert_eq!(compared.exit, Exit::Unsolved, "{}", compared.out);

    let curve = fairvolt(&["curve", &folder, "2"]);
    assert_eq!((curve.exit, curve.out.as_str()), (Exit::Unsolved, ""));
    assert!(curve.complained().contains(TOO_FEW), "{}", curve.err);
}

#[test]
fn the_digits_of_a_balanced_output_go_with_its_gain_and_one_stage_less_has_an_answer() {
    let job = balanced_job(4);
    let run = fairvolt(&[
        "translate",
        &job.path(),
        "--explain",
        "2",
        "--format",
        "json",
    ]);
    let digits = json(&run)["values"][0]["digits"].as_f64().unwrap();
    // Three to five of a reading next to nothing, which is a millionth of 12 V; the fit may leave what the
    // printed zero's rounding hides, 0.05 V, of which there are log₁₀(0.05 V/12 µV) = 3.6 more.
    assert!((3.0..8.6).contains(&digits), "{digits}");
    let run = fairvolt(&["translate", &job.path()]);
    assert!(!run.out.contains("Not translated"), "{}", run.out);
}

/// A resistive drawing cannot be refused for its digits unless it has thousands of parts: a reading is a
/// quotient of two linear functions of each resistance, so no resistance moves it by more than half
/// of the sources' sum, and 10⁶·(N/2 + 1)·S bounds κ with N resistors and S sources.
#[test]
fn large_sources_that_nearly_cancel_keep_their_digits_in_a_resistive_circuit() {
    let netlist = "ground chassis\n\
                   PS1: 1000V source=0.1R, plus=top, minus=chassis\n\
                   PS2: 999.9999V source=0.1R, plus=chassis, minus=low\n\
                   R1: 100M, top to mid\nR2: 100M, mid to low\n\
                   R3: 0.1R, mid to out\nR4: 0.1R, out to chassis\n";
    let job = practice("20k/V", netlist, "point,at,value\n1,out,0\n");
    let run = fairvolt(&[
        "translate",
        &job.path(),
        "--explain",
        "1",
        "--format",
        "json",
    ]);
    let digits = json(&run)["values"][0]["digits"].as_f64().unwrap();
    // κ ≤ 10⁶·(6/2 + 1)·2, six resistances with those of the sources.
    assert!(digits > 15.95 - 8e6f64.log10(), "{digits}");
}

/// A refusal of the whole job: nothing on standard output, and this on the other stream.
fn refused(netlist: &str, at: &str) -> Run {
    let job = practice("20k/V", netlist, &format!("point,at,value\n1,{at},1.0\n"));
    let run = fairvolt(&["translate", &job.path()]);
    assert_eq!(
        (run.exit, run.out.as_str()),
        (Exit::Unsolved, ""),
        "{netlist}{}",
        run.err
    );
    run
}

const RAILS: &str = "ground chassis\nPS1: 9V, plus=rail, minus=chassis\n\
                     PS2: 9V, plus=chassis, minus=neg\nR1: 1k, rail to c\nR2: 1k, c to neg\n";

#[test]
fn a_junction_across_an_ideal_supply_is_named_with_its_ends_its_line_and_the_supply() {
    // What stands on line 6, the way of the current, and the supply that holds it.
    let cases = [
        (
            "Q1: npn silicon hfe=100, emitter=chassis, base=rail, collector=c",
            "from the base of Q1 (node rail) to its emitter (node chassis)",
            "PS1",
        ),
        (
            "Q1: npn germanium hfe=100, emitter=chassis, base=rail, collector=c",
            "from the base of Q1 (node rail) to its emitter (node chassis)",
            "PS1",
        ),
        (
            "Q1: pnp silicon hfe=100, emitter=chassis, base=neg, collector=c",
            "from the emitter of Q1 (node chassis) to its base (node neg)",
            "PS2",
        ),
        (
            "Q1: 2N404, emitter=chassis, base=neg, collector=c",
            "from the emitter of Q1 (node chassis) to its base (node neg)",
            "PS2",
        ),
        (
            "Q1: n-jfet idss=8mA vp=-6V, drain=c, gate=rail, source=chassis",
            "from the gate of Q1 (node rail) to its source (node chassis)",
            "PS1",
        ),
    ];
    for (line, path, supply) in cases {
        let run = refused(&format!("{RAILS}{line}\n"), "c");
        let reason = format!("nothing limits the current {path}");
        assert!(run.complained().contains(&reason), "{line}\n{}", run.err);
        assert!(
            run.complained().contains(": circuit.netlist, line 6: "),
            "{line}\n{}",
            run.err
        );
        let hint = format!("help: a resistor in series is missing, or a lead is on the wrong node, or {supply} lacks");
        assert!(run.complained().contains(&hint), "{line}\n{}", run.err);
    }
    // A diode has a resistance of its own: it takes kilovolts to reach what no wire carries.
    let run = refused(
        "ground chassis\nPS1: 25kV, plus=rail, minus=chassis\nR1: 1k, rail to c\nR2: 1k, c to chassis\n\
         CR1: silicon, anode=rail, cathode=chassis\n",
        "c",
    );
    let path = "from the anode of CR1 (node rail) to its cathode (node chassis)";
    assert!(run.complained().contains(path), "{}", run.err);
}

#[test]
fn a_junction_behind_another_is_named_where_the_current_is_largest() {
    let run = refused(
        "ground chassis\nPS1: 9V, plus=rail, minus=chassis\nR1: 1k, rail to c\n\
         Q1: npn silicon hfe=100, emitter=e, base=rail, collector=rail\n\
         Q2: npn silicon hfe=100, emitter=chassis, base=e, collector=c\n",
        "c",
    );
    assert!(run.complained().contains("line 5: "), "{}", run.err);
    let path = "from the base of Q2 (node e) to its emitter (node chassis)";
    assert!(run.complained().contains(path), "{}", run.err);
}

/// A cathode and a grid without a connection for direct current, beside parts on ideal supplies that
/// are in order. The reason once named whatever else hung between rail and chassis.
#[test]
fn where_a_tube_hangs_loose_no_other_part_is_blamed() {
    let loose = "ground chassis\nPS1: 250V, plus=rail, minus=chassis\nR2: 100k, rail to p\n\
                 V1: 6AQ5 gas=0.3uA, 1=g, 2=k, 5=rail, 6=rail, 7=g\n\
                 C1: 1uF, g to chassis\nC2: 330uF, k to chassis\n";
    let innocent = [
        "V2A: 12AX7, plate=p, grid=chassis, cathode=chassis\n",
        "V2A: 12AX7, plate=rail, grid=chassis, cathode=p\n",
        "CR1: silicon, anode=chassis, cathode=p\n",
        "Q1: npn silicon hfe=100, emitter=chassis, base=b, collector=c\nR4: 1M, rail to b\nR5: 10k, rail to c\n",
    ];
    for beside in innocent {
        let run = refused(&format!("{loose}{beside}"), "p");
        assert!(run.complained().contains("line 4: "), "{beside}{}", run.err);
        assert!(
            run.complained().contains("most of it through V1 help: "),
            "{beside}{}",
            run.err
        );
        let hint = "help: no resistor, winding or supply leads direct current away from g or k:";
        assert!(run.complained().contains(hint), "{beside}{}", run.err);
    }
}

#[test]
fn check_says_on_its_page_why_there_is_no_solution_and_sends_nobody_on() {
    let netlist =
        format!("{RAILS}Q1: npn silicon hfe=100, emitter=chassis, base=rail, collector=c\n");
    let job = practice("20k/V", &netlist, "point,at,value\n1,c,1.0\n");
    let folder = job.path();
    let run = fairvolt(&["check", &folder]);
    assert_eq!(run.exit, Exit::Unsolved);
    let reason =
        "nothing limits the current from the base of Q1 (node rail) to its emitter (node chassis)";
    assert!(said(&run.out).contains(reason), "{}", run.out);
    assert!(
        run.out.contains("Next: mend what is named above"),
        "{}",
        run.out
    );
    let document = json(&fairvolt(&["check", &folder, "--format", "json"]));
    assert!(
        document["not_judged"].as_str().unwrap().contains(reason),
        "{document}"
    );
}

/// A cathode whose resistor is left out of the drawing, printed far above what the drawn tube can be
/// brought to: that row has no answer, the others have.
#[test]
fn a_row_without_an_answer_has_the_hint_of_a_refused_job() {
    let netlist = "ground chassis\nPS1: 250V source=1k, plus=b, minus=chassis\n\
                   V1: 12AX7, 1=p1, 2=g1, 3=k1\nR1: 100k, b to p1\nR3: 1M, g1 to chassis\n\
                   R5: 10k, b to z\nR6: 10k, z to chassis\n";
    let job = practice("20k/V", netlist, "point,at,value\n2,k1,90\n4,z,120\n");
    job.write("readings.csv", "point,reading\n2,88\n4,121\n");
    let folder = job.path();
    let reason = "no operating point found in ";
    let hint =
        "most of it through V1B. Hint: no resistor, winding or supply leads direct current away \
                from k1: look for a connection that is missing.";
    for arguments in [
        vec!["translate", &folder],
        vec!["check", &folder],
        vec!["compare", &folder],
        vec!["compare", &folder, "--all"],
        vec!["translate", &folder, "--explain", "2"],
    ] {
        let run = fairvolt(&arguments);
        let told = said(&run.out);
        assert!(told.contains(reason), "{arguments:?}: {}", run.out);
        assert!(told.contains(hint), "{arguments:?}: {}", run.out);
    }
    let curve = fairvolt(&["curve", &folder, "2"]);
    assert_eq!(curve.exit, Exit::Unsolved);
    let hint = "help: no resistor, winding or supply leads direct current away from k1:";
    assert!(curve.complained().contains(hint), "{}", curve.err);
    // On the sheet a phrase that follows another sentence does not follow its full stop.
    let sheet = fairvolt(&["worksheet", &folder]);
    assert!(!sheet.out.contains(".;"), "{}", sheet.out);
}

#[test]
fn no_message_is_wider_than_the_screen() {
    let job = practice(
        "20k/V",
        "ground chassis\nPS1: 9V, plus=rail, minus=chassis\n\
         Q1: npn silicon hfe=100, emitter=chassis, base=rail, collector=c\nR1: 1k, rail to c\n\
         R2: 1k, c to lonely\n",
        "point,at,value\n1,c,1.0\n",
    );
    let run = fairvolt(&["translate", &job.path()]);
    assert!(
        run.err.contains("\nerror: ") && run.err.contains("\nhelp: "),
        "{}",
        run.err
    );
    for err in [
        run.err,
        fairvolt(&["check", &crate::support::sample("mistakes")]).err,
    ] {
        // The lines of a file are quoted as they are.
        let own = err.lines().filter(|line| !line.contains(" | "));
        for line in own {
            assert!(line.chars().count() <= 80, "{line}\n{err}");
        }
    }
}
