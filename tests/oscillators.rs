//! Triodes that oscillate and triode-heptodes, from the drawing to the suspect.
//!
//! Readings are those of `cases/mixer.py`, which computes other specimens of the tubes apart from the program.

use std::fs;

use fairvolt::Exit;

use crate::support::{fairvolt, json, practice, root, said};

const MIXER: &str = "ground chassis\nPS1: 250V 5% source=200R, plus=bplus, minus=chassis\n\
                     R1: 22k 10%, bplus to s\nR2: 33k 10%, bplus to pt\nR3: 47k 10%, gt to k\n\
                     R4: 150R 10%, k to chassis\nR5: 1M 20%, g to chassis\nL1: 20R, bplus to ph\n\
                     V1A: ECH81, plate=ph, screen=s, grid=g, grid3=gt, cathode=k\n\
                     V1B: ECH81, plate=pt, grid=gt, cathode=k\n";
const MANUAL: &str = "point,at,value,range\n1,V1A plate,248,250V\n2,V1A screen,98,250V\n\
                      3,V1B plate,95,250V\n4,V1B grid,-7.5,10V\n5,V1 cathode,2.2,10V\n6,V1A grid,0,10V\n";
/// What each point of it shows on three sets.
const IN_ORDER: [&str; 6] = ["244.1", "96.68", "101.1", "-5.972", "2.21", "0"];
const DEAD: [&str; 6] = ["242.9", "125.7", "62.81", "2.737", "3.002", "0"];
const SCREEN_RESISTOR_47K: [&str; 6] = ["244.9", "66.95", "101.0", "-6.615", "1.568", "0"];

fn readings(volts: [&str; 6]) -> String {
    let rows = volts.iter().enumerate();
    let rows: Vec<String> = rows
        .map(|(point, volts)| format!("{},{volts}\n", point + 1))
        .collect();
    format!("point,reading\n{}", rows.concat())
}

#[test]
fn a_mixer_agrees_with_its_manual_and_its_faults_are_named() {
    let job = practice("20k/V", MIXER, MANUAL);
    let check = said(&fairvolt(&["check", &job.path()]).out);
    assert!(check.contains("6 of 6 values agree"), "{check}");
    let first = |volts: [&str; 6]| {
        job.write("readings.csv", &readings(volts));
        let found = json(&fairvolt(&["suspects", &job.path(), "--format", "json"]));
        found["hypotheses"][0]["words"].as_str().unwrap().to_owned()
    };
    assert_eq!(first(IN_ORDER), "nothing wrong");
    assert_eq!(first(DEAD), "V1B ECH81, plate at pt: does not oscillate");
    let screen = first(SCREEN_RESISTOR_47K);
    assert!(screen.starts_with("R1 22 kΩ"), "{screen}");
    job.write("readings.csv", &readings(IN_ORDER));
    let compared = fairvolt(&["compare", &job.path()]);
    assert_eq!(compared.exit, Exit::Done, "{}", compared.out);
}

/// A dead second section: volts of a stage without current.
#[test]
fn a_second_section_is_told_however_its_socket_is_drawn() {
    let drawn =
        "ground c\nPS1: 250V source=200R, plus=b, minus=c\nR1: 100k, b to p1\nR2: 1.5k, k1 to c\n\
                 R3: 1M, g1 to c\nR4: 100k, b to p2\nR5: 1.5k, k2 to c\nR6: 1M, g2 to c\n";
    let manual = "point,at,value\n1,p1,160\n2,k1,1.2\n3,V1 plate2,160\n4,V1 pin 3,1.2\n";
    let said_of = |tube: &str| {
        let job = practice("20k/V", &format!("{drawn}{tube}"), manual);
        job.write(
            "readings.csv",
            "point,reading\n1,172\n2,1.25\n3,249\n4,0.0\n",
        );
        said(&fairvolt(&["suspects", &job.path()]).out)
    };
    let whole = said_of("V1: 12AX7, 6=p1, 7=g1, 8=k1, 1=p2, 2=g2, 3=k2\n");
    let apart =
        said_of("V1A: 12AX7, 6=p1, 7=g1, 8=k1\nV1B: 12AX7, plate=p2, grid=g2, cathode=k2\n");
    let dead = "V1B 12AX7, plate at p2: draws no current";
    assert!(whole.contains(dead), "{whole}");
    assert_eq!(whole, apart);
}

#[test]
fn what_check_says_of_an_oscillator_can_be_written_as_it_stands() {
    let drawn = "ground c\nPS1: 200V source=500R line, plus=b, minus=c\n\
                 V1: 6C4, 1=p, 6=g, 7=c\nR1: 10k 10%, b to p\nR2: 22k 10%, g to c\n";
    let manual = "point,at,value\n1,b,196\n2,p,125\n3,g,-3.5\n";
    let job = practice("VTVM", drawn, manual);
    let out = said(&fairvolt(&["check", &job.path()]).out);
    let written = "oscillating swing=4.2V";
    assert!(
        out.contains(&format!("If V1 oscillates, write `{written}` in its line.")),
        "{out}"
    );
    let oscillates = drawn.replace("6C4,", &format!("6C4 {written},"));
    let job = practice("VTVM", &oscillates, manual);
    let out = said(&fairvolt(&["check", &job.path()]).out);
    assert!(out.contains("3 of 3 values agree"), "{out}");
}

#[test]
fn words_that_do_not_fit_an_oscillator_are_refused_where_they_stand() {
    for (line, message) in [
        ("V1: 6C4 oscillating dead, 1=p, 6=g, 7=c", "cannot be both"),
        ("V1: 6C4 swing=9V, 1=p, 6=g, 7=c", "this does not fit 6C4"),
        (
            "V1: 6C4 oscillating swing=0V, 1=p, 6=g, 7=c",
            "between 0.1 and 200 V",
        ),
        (
            "V1: 6C4 oscillating swing=900V, 1=p, 6=g, 7=c",
            "between 0.1 and 200 V",
        ),
        (
            "V1: 6AU6 oscillating, 1=g, 2=c, 5=p, 6=b, 7=c",
            "this does not fit 6AU6",
        ),
    ] {
        let netlist = format!(
            "ground c\nPS1: 200V, plus=b, minus=c\n{line}\nR1: 10k, b to p\nR2: 22k, g to c\n"
        );
        let job = practice("VTVM", &netlist, "point,at,value\n1,b,200\n");
        let run = fairvolt(&["check", &job.path()]);
        assert_eq!(run.exit, Exit::BadInput, "{line}: {}", run.out);
        assert!(
            run.out.contains(message) || run.err.contains(message),
            "{line}: {}{}",
            run.out,
            run.err
        );
    }
}

/// 4.5 and 4.8 mA of average plate current (from memory of makers' data), to which nothing is fitted.
#[test]
fn the_pages_of_mixers_show_what_the_method_says_of_them() {
    let method = fs::read_to_string(root().join("docs/method.md")).unwrap();
    for name in ["ECH81", "ECH42"] {
        let page = fairvolt(&["devices", name]).out;
        let mut rows = page
            .lines()
            .skip_while(|line| !line.starts_with("oscillator anode"))
            .skip(1);
        let row = rows.find(|line| line.contains("plate current")).unwrap();
        let mut words = row.split_whitespace().rev();
        let off: f64 = words
            .find_map(|word| word.replace('\u{2212}', "-").parse().ok())
            .unwrap();
        let said = format!("{} % (`{name}`", off.abs());
        assert!(method.contains(&said), "{said}: {row}");
    }
}

#[test]
fn a_grid_that_two_sections_share_is_one_terminal() {
    let by_pins = "ground c\nPS1: 250V, plus=b, minus=c\n\
                   V1: ECH42, 2=ph, 3=pt, 4=gt, 5=s, 6=g, 7=k\n\
                   R1: 47k, b to s\nR2: 33k, b to pt\nR3: 22k, gt to k\nR4: 200R, k to c\n\
                   R5: 1M, g to c\nR6: 10R, b to ph\n";
    let by_sections = by_pins.replace(
        "V1: ECH42, 2=ph, 3=pt, 4=gt, 5=s, 6=g, 7=k\n",
        "V1A: ECH42, plate=ph, screen=s, grid=g, grid3=gt, cathode=k\n\
         V1B: ECH42, plate=pt, grid=gt, cathode=k\n",
    );
    let manual = "point,at,value\n1,s,85\n2,pt,100\n3,gt,-7\n4,k,2\n";
    // Sections of one line share the condition of the tube, so that only the drawn volts are the same.
    let drawn = |netlist: &str| {
        let job = practice("20k/V", netlist, manual);
        let document = json(&fairvolt(&["translate", &job.path(), "--format", "json"]));
        let points = document["points"].as_array().unwrap().clone();
        let volts = points.iter().map(|point| point["model"].clone());
        volts.collect::<Vec<_>>()
    };
    assert_eq!(drawn(by_pins), drawn(&by_sections));
}

/// The words of each fault that reads the same as the first, the first among them.
fn leaders(job: &str) -> Vec<String> {
    let found = json(&fairvolt(&["suspects", job, "--format", "json"]));
    let first = &found["hypotheses"][0];
    let others = first["indistinguishable_from"].as_array().unwrap().iter();
    let all = std::iter::once(first).chain(others);
    all.map(|one| one["words"].as_str().unwrap().to_owned())
        .collect()
}

const OSCILLATOR: &str = "ground c\nPS1: 200V source=500R line, plus=b, minus=c\n\
                          V1: 6C4 oscillating swing=9V, 1=p, 6=g, 7=c\n\
                          R1: 10k 10%, b to p\nR2: 22k 10%, g to c\n";
const OSCILLATOR_CHART: &str = "point,at,value\n1,b,195\n2,p,140\n3,g,-7.5\n";

/// A leak of 22 kΩ that has become a wire: the grid shows nothing, and the plate is that of a triode at rest at 0 V. By the
/// data sheet a 6C4 takes 11.8 mA at 100 V and 0 V: through 10 kΩ from 195 V it stands at some 91 V.
#[test]
fn a_shorted_grid_leak_stops_its_oscillator() {
    let job = practice("VTVM", OSCILLATOR, OSCILLATOR_CHART);
    job.write("readings.csv", "point,reading\n1,194.8\n2,91.2\n3,0.000\n");
    let leaders = leaders(&job.path());
    for words in ["R2 22 kΩ, g to c: shorted", "grid-cathode short"] {
        let named = leaders.iter().any(|one| one.contains(words));
        assert!(named, "{words}: {leaders:?}");
    }
}

/// With 11 V of supply left an oscillator that swung over 9 V at 140 V swings over less than one, and its grid shows no
/// more than that: the filter capacitor that takes the rest explains every reading.
#[test]
fn an_oscillator_without_supply_shows_no_volts_at_its_grid() {
    let drawn = format!("{OSCILLATOR}C1: 8uF 450V, b to c\n");
    let job = practice("VTVM", &drawn, OSCILLATOR_CHART);
    // 30 Ω across the capacitor: 200 V · 30/530. At its plate and grid what a triode of some ten kilohms leaves of that,
    // and the same share of its bias.
    job.write("readings.csv", "point,reading\n1,11.3\n2,8.2\n3,-0.42\n");
    let found = json(&fairvolt(&["suspects", &job.path(), "--format", "json"]));
    let mut each = found["hypotheses"].as_array().unwrap().iter();
    let leak = each.find(|one| {
        let words = one["words"].as_str().unwrap();
        words.starts_with("C1 8 µF, b to c: leaks")
    });
    let unexplained = &leak.unwrap()["unexplained"];
    assert_eq!(unexplained, &serde_json::json!([]));
}
