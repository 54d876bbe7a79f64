//! What the owner of a radio, an amplifier or a signal generator types from its schematic and its chart.

use fairvolt::Exit;

use crate::support::{fairvolt, json, point, practice, said};

/// The oscillator of a signal generator on a regulated supply; its grid leak goes to `leak`.
const OSCILLATOR: &str = "ground c\nPS1: 150V source=100R, plus=reg, minus=c\nR3: 10k, reg to op\n\
     V1: 6C4, 1=op, 6=og, 7=c\nR4: 47k, og to leak\n";

/// Its chart, by a meter of 1,000 ohms per volt.
const OF_OSCILLATOR: &str =
    "point,at,value,range,note\n1,reg,150,250V,\n2,op,90-130,250V,varies with frequency\n3,og,-4.6,50V,\n";

#[test]
fn two_printed_limits_stay_where_they_are_printed() {
    // 150 V behind 10 kΩ and 100 kΩ are 136 V behind 9.09 kΩ; 250 kΩ show 131.6 V of them, more than the limits
    // that the manual prints. 10 MΩ show 3.5 % more than 250 kΩ, of the lower limit too. The limits went with
    // the drawing: 90 V became 106 V, and 95 V failed.
    let netlist = "ground c\nPS1: 150V, plus=b, minus=c\nR1: 10k 5%, b to p\nR2: 100k 5%, p to c\n";
    let manual = "point,at,value,range\n1,p,90-110,250V\n";
    let scratch = practice("1k/V", netlist, manual);
    let translated = fairvolt(&["translate", &scratch.path(), "--format", "json"]);
    let document = json(&translated);
    let side = &point(&document, "1")["bench"][0];
    let low = side["band"][0].as_f64().unwrap();
    let by_hand = 90.0 * (1.0 + 9.091e3 / 250e3) / (1.0 + 9.091e3 / 10e6);
    // What the values say of the resistance behind the point moves it by less.
    assert!((low - by_hand).abs() < 0.01 * by_hand, "{low} {by_hand}");
    // What the set should show is never outside.
    let high = side["band"][1].as_f64().unwrap();
    assert!(side["expected"].as_f64().unwrap() <= high, "{side}");
    let readings = scratch.write("r.csv", "point,reading\n1,99\n");
    let found = fairvolt(&["compare", &scratch.path(), "-r", &readings]);
    assert_eq!(found.exit, Exit::Done, "{}", found.out);
    // Ohms are carried in the same way: their meters do not load, and the limits stay.
    let manual = "point,at,quantity,value\n1,p,ohm,60k-80k\n";
    let scratch = practice("1k/V", netlist, manual);
    let translated = fairvolt(&["translate", &scratch.path(), "--format", "json"]);
    let document = json(&translated);
    let band = &document["quantities"][0]["bench"][0]["band"];
    let low = band[0].as_f64().unwrap();
    assert!((low - 60e3).abs() < 0.01 * 60e3, "{band}");
}

#[test]
fn a_reading_between_printed_limits_accuses_nothing_that_the_drawing_lacks() {
    // While it oscillates the tube draws what its bias alone does not say: 97 V are what the manual prints, and
    // 139 V what is drawn. The plate resistor was *very likely* 800 kΩ.
    let netlist = OSCILLATOR.to_owned() + "PS9: 9V 30% off=0, plus=c, minus=leak\n";
    let scratch = practice("1k/V", &netlist, OF_OSCILLATOR);
    let readings = scratch.write("r.csv", "point,reading\n1,150.4\n2,97\n3,-8.95\n");
    let line = ["suspects", &scratch.path(), "-r", &readings, "--outside"];
    let found = said(&fairvolt(&line).out);
    assert!(found.contains("The readings are in order"), "{found}");
    assert!(
        found.contains("read as printed where the drawing says otherwise (see check): 2"),
        "{found}"
    );
    // Nobody is sent there again: the drawing does not know what to expect.
    assert!(
        !found.contains("Red to op") && !found.contains("red to op"),
        "{found}"
    );
    // A reading that the limits do not allow counts as ever.
    let readings = scratch.write("r.csv", "point,reading\n1,150.4\n2,40\n3,-8.95\n");
    let line = ["suspects", &scratch.path(), "-r", &readings, "--outside"];
    let found = said(&fairvolt(&line).out);
    assert!(!found.contains("in order"), "{found}");
}

#[test]
fn the_source_of_a_bias_has_the_volts_without_a_meter() {
    // 4.6 V under 50 kΩ behind a leak of 47 kΩ come from 4.6 · 97/50 = 8.92 V. It said `PS9: 4.6V`, with which
    // 10 MΩ were expected to show −5.4 V.
    let at_rest = OSCILLATOR.replace("og to leak", "og to c");
    let scratch = practice("1k/V", &at_rest, OF_OSCILLATOR);
    let told = said(&fairvolt(&["check", &scratch.path()]).out);
    let (_, after) = told.split_once("such as `PS9: ").unwrap();
    let (line, _) = after.split_once('`').unwrap();
    let (volts, _) = line.split_once('V').unwrap();
    let volts: f64 = volts.parse().unwrap();
    // Two digits.
    assert!((volts - 8.92).abs() < 0.06, "{line}");
    // A reading as such a set shows it is not taken for a wrong one, though much is open there.
    let readings = scratch.write("r.csv", "point,reading\n1,150.4\n2,97\n3,-8.95\n");
    let line_of_suspects = ["suspects", &scratch.path(), "-r", &readings, "--outside"];
    let found = said(&fairvolt(&line_of_suspects).out);
    assert!(!found.contains("reading of point 3 wrong"), "{found}");
    // The line as it stands can be drawn, and ohms at the grid are those of its leak: what oscillates is no
    // open circuit with the power off.
    let drawn = format!("{OSCILLATOR}PS9: {line}\n");
    let manual = "point,at,quantity,value\n1,reg,,150\n2,og,ohm,47k\n";
    let scratch = practice("1k/V", &drawn, manual);
    let translated = fairvolt(&["translate", &scratch.path()]);
    assert_eq!(translated.exit, Exit::Done, "{}", translated.err);
    assert!(
        !translated.out.contains("open circuit"),
        "{}",
        translated.out
    );
}

#[test]
fn an_open_field_coil_in_the_negative_lead_stops_the_oscillator() {
    // The rectifier gives its volts, and no current of it finds a way back: the converter's screen has none. Its
    // grid was expected to keep its own −11 V, which one reading of 0 V then contradicted.
    let netlist = "ground gnd\nPS1: 420V source=300R, plus=b, minus=ct\nC1: 8uF, b to ct\n\
         L1: field coil 250R 1250R, gnd to tap to ct\nR12: 100k, tap to bias\nR11: 500k, bias to g5\n\
         V5: 6F6, plate=p5, screen=b, grid=g5, cathode=gnd\nT1: output transformer 400R 0.4R, primary b to p5, secondary vc to gnd\n\
         R9: 4R, vc to gnd\nR3: 12k, b to scr\nR4: 20k, scr to gnd\n\
         V1: 6A8, plate=b, screen=scr, oscillator-anode=oa, grid1=og, grid4=gnd, cathode=k1\n\
         R1: 300R, k1 to gnd\nR2: 20k, b to oa\nR16: 50k, og to k1\n";
    let manual = "point,at,against,value\nb,b,,278\nct,ct,,-120\ntap,tap,,-20\nscr,scr,,120\nk,k1,,3.7\ng1,og,k1,-10\n";
    let scratch = practice("1k/V", netlist, manual);
    for (open, tap) in [("L1.2", "0"), ("L1.1", "-410")] {
        let text = format!("point,reading\nb,0\nct,-415\ntap,{tap}\nscr,0\nk,0\ng1,0\n");
        let readings = scratch.write("r.csv", &text);
        let line = ["suspects", &scratch.path(), "-r", &readings, "--outside"];
        let found = said(&fairvolt(&line).out);
        let verdict = found.split("Suspects").next().unwrap();
        assert!(
            verdict.contains(&format!("{open} ")) && verdict.contains("open"),
            "{found}"
        );
        assert!(!found.contains("It does not fit"), "{found}");
    }
    // Nor does a supply feed it whose ends are shorted, neither of them being a reference.
    let readings = scratch.write(
        "r.csv",
        "point,reading\nb,0\nct,0\ntap,0\nscr,0\nk,0\ng1,0\n",
    );
    let line = ["suspects", &scratch.path(), "-r", &readings, "--outside"];
    let found = said(&fairvolt(&line).out);
    let first = found.split("<1 %").next().unwrap();
    assert!(first.contains("C1 8 µF, b to ct: shorted"), "{found}");
}

#[test]
fn controls_and_phones_are_called_by_their_use() {
    let scratch = practice(
        "20k/V",
        "ground c\nBT1: 9V, plus=b, minus=c\nR1: bias pot 25k at 50%, cw=b, wiper=w, ccw=c\n\
         R2: balance pot 10k at 50%, cw=b, wiper=w2, ccw=c\nR3: hum control 100R at 50%, cw=b, wiper=w3, ccw=c\n\
         R4: attenuator pot 1k at 50%, cw=b, wiper=w4, ccw=c\nR5: level control 1k at 50%, cw=b, wiper=w5, ccw=c\n\
         R6: 1M, w to c\nR7: 1M, w2 to c\nR8: 1M, w3 to c\nR9: 1M, w4 to c\nR10: 1M, w5 to c\n\
         LS1: headphones 2000R, b to c\nR11: earphones 4k, b to c\n\
         BT2: A battery 6V, plus=b2, minus=c\nBT3: C battery 4.5V, plus=c, minus=m\n\
         T1: AF transformer 3:1 700R 5k, primary b2 to c, secondary m to c\n",
        "point,at,value\n1,b,9\n",
    );
    let told = fairvolt(&["check", &scratch.path()]);
    assert_eq!(told.err, "", "{}", told.err);
}

#[test]
fn words_of_a_chart_are_answered_with_where_they_belong() {
    let scratch = practice(
        "1k/V",
        "ground c\nPS1: 250V source=1k, plus=b, minus=c\nL1: field coil 250R 1250R, c to tap to k\nR1: 10k, b to k\n",
        "point,at,value,range\n1,b,varies,\n2,b,240,0-250\n3,b,240,250V DC\n4,L1,30,\n5,b,240,250 volts\n",
    );
    let told = fairvolt(&["check", &scratch.path()]).complained();
    for words in [
        "leave the cell blank and put its words into the column 'note'",
        "L1 is drawn in sections: write `L1.1` or `L1.2`",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    assert_eq!(
        told.matches("a range is stated by its full scale alone")
            .count(),
        2,
        "{told}"
    );
    assert!(
        told.contains("write `250 V`") && told.contains("4 errors"),
        "{told}"
    );
    assert!(!told.contains("only as a tolerance"), "{told}");
    let scratch = practice(
        "1k/V",
        "ground c\nPS1: 250V source=1k, plus=b, minus=c\nV1: 6C4, 1=b, 6=c, 7=k\nR1: 1k, k to c\n",
        "point,at,value\n1,b,245\n",
    );
    scratch.write("pin-chart.csv", "tube,1,6,7\nV1,245,varies,9\n");
    let told = fairvolt(&["check", &scratch.path()]).complained();
    assert!(told.contains("leave the cell blank"), "{told}");
}

#[test]
fn a_drawn_pin_without_a_row_has_its_danger_mark() {
    // The manual prints the screen of one of two output tubes; the other has the same 300 V.
    let scratch = practice(
        "20k/V",
        "ground c\nPS1: 300V source=100R, plus=b, minus=c\nR1: 220R, k to c\nR2: 470k, g to c\n\
         V1: 6AQ5, 1=g, 2=k, 5=b, 6=s1\nV2: 6AQ5, 1=g, 2=k, 5=b, 6=s2\nR3: 470R, b to s1\nR4: 470R, b to s2\n",
        "point,at,value\n1,V1 pin 6,295\n",
    );
    let sheet = fairvolt(&["worksheet", &scratch.path(), "--sockets"]).out;
    let screens: Vec<&str> = sheet
        .lines()
        .filter(|line| line.contains("screen"))
        .collect();
    assert_eq!(screens.len(), 2, "{sheet}");
    assert!(screens.iter().all(|line| line.contains("!!")), "{sheet}");
    // What is not drawn has none to be told.
    let heaters: Vec<&str> = sheet
        .lines()
        .filter(|line| line.contains("heater"))
        .collect();
    assert!(heaters.iter().all(|line| !line.contains('!')), "{sheet}");
}

#[test]
fn a_rheostat_between_two_nodes_is_told_its_terminals() {
    let scratch = practice(
        "20k/V",
        "ground c\nBT1: 6V, plus=a, minus=c\nR1: rheostat 20R at 10%, f to c\nR2: 20R, a to f\n",
        "point,at,value\n1,f,1\n",
    );
    let told = fairvolt(&["check", &scratch.path()]).complained();
    assert!(
        told.contains("as a rheostat `cw=f, wiper=f, ccw=c`"),
        "{told}"
    );
    // A word that no part has is told where it may stand.
    let netlist = "ground c\nBT1: 6V, plus=a, minus=c\nL1: coupler 5R, a to c\n";
    let scratch = practice("20k/V", netlist, "point,at,value\n1,a,6\n");
    let told = fairvolt(&["check", &scratch.path()]).complained();
    assert!(
        told.contains("leave it out, or write it after a `#`"),
        "{told}"
    );
}

/// A detector and the stage before it, in a set on batteries.
const BATTERY_SET: &str = "ground n\nBT1: 6V, plus=a, minus=n\nBT2: 45V source=10R, plus=b45, minus=n\n\
     BT3: 45V source=10R, plus=b90, minus=b45\nR1: 2R, f1 to n\nR2: 4R, f2 to n\n\
     R21: 10R, a to f1\nR23: 20R, a to f2\n\
     V1: triode mu=8 rp=11k ip=2.5mA at 90V -4.5V, plate=p1, grid=n, cathode=f1\n\
     V3: triode mu=8 rp=11k ip=2.5mA at 90V -4.5V, plate=p3, grid=g3, cathode=f2\n\
     L2: 15R, b90 to p1\nR4: 2M, g3 to a\nT1: interstage transformer 700R 5k, primary b45 to p3, secondary n to g5\n\
     R5: 1M, g5 to n\n";

#[test]
fn a_tube_that_may_be_shorted_is_put_into_no_other_socket() {
    // The detector has no plate volts: its transformer is open, or the tube shorted. In the stage before it the short
    // would put 90 V behind 15 ohms on the filaments.
    let scratch = practice(
        "1k/V",
        BATTERY_SET,
        "point,at,against,value\na,a,,6.0\nf1,a,f1,5.0\nf3,a,f2,5.0\np1,p1,,89\np3,p3,,43\n",
    );
    let readings = scratch.write(
        "r.csv",
        "point,reading\na,6.0\nf1,4.98\nf3,4.99\np1,89.5\np3,0.0\n",
    );
    let line = ["suspects", &scratch.path(), "-r", &readings, "--outside"];
    let found = said(&fairvolt(&line).out);
    assert!(
        found.contains("V3 triode, plate at p3: plate-cathode short"),
        "{found}"
    );
    assert!(found.contains("Swap V3"), "{found}");
    assert!(!found.contains("Exchange V"), "{found}");
}
