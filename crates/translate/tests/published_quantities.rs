//! Currents, decibels and waves as books print them, and windings by hand.

use circuit::{Job, Response, Wave};
use input::{read_job, JobSources, Sources};
use translate::quantities;

const OWN: &str = "[as-documented]\nmeter = \"own\"\n[on-the-bench]\nmeter = \"own\"\n";

fn job(settings: &str, netlist: &str, manual: &str, meters: &str) -> Job {
    let mut sources = Sources::default();
    let parts = JobSources {
        settings: Some(sources.add("job.toml", settings)),
        netlist: (!netlist.is_empty()).then(|| sources.add("circuit.netlist", netlist)),
        manual: Some(sources.add("manual.csv", manual)),
        meters: (!meters.is_empty()).then(|| sources.add("meters.toml", meters)),
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &[]);
    read.job.unwrap_or_else(|| panic!("{:?}", read.diagnostics))
}

/// What the first bench meter should show at a point.
fn expected(job: &Job, label: &str) -> f64 {
    let points = quantities(job);
    let point = points
        .iter()
        .find(|point| job.row(point.row).point == label);
    let carried = point.unwrap().outcome.clone().unwrap();
    carried.bench[0].side.expected
}

/// An ammeter of next to no ohms; of far fewer the volts across it would drown in the roundings of
/// a kilovolt.
const NO_OHMS: f64 = 1e-3;

/// An ammeter of so many ohms, on one range of an ampere.
fn ammeter(ohms: f64) -> String {
    format!(
        "[own]\ninput = \"1M\"\nranges = [\"1V\"]\n\
         ammeter = {{ burden = \"{ohms}V\", ranges = [\"1A\"], accuracy = \"1% of full scale\" }}\n"
    )
}

fn current(netlist: &str, lead: &str, ohms: f64) -> f64 {
    let manual = format!("point,at,quantity,value\n1,{lead},dc mA,\n");
    expected(&job(OWN, netlist, &manual, &ammeter(ohms)), "1")
}

#[test]
fn power_in_an_ammeter_and_in_its_load() {
    // Bird, Electrical Circuit Theory and Technology, 2nd ed., ch. 10 ex. 4, p. 119: 10 V, 500 Ω and an ammeter
    // of 50 Ω; 16.53 mW in the meter, 165.29 mW in the load. Half of the last printed digit.
    let amperes = current(
        "ground g\nBT1: 10V, plus=a, minus=g\nR1: 500R, a to g\n",
        "R1",
        50.0,
    );
    assert!(
        (amperes.powi(2) * 50.0 - 16.53e-3).abs() < 5e-6,
        "{amperes}"
    );
    assert!((amperes.powi(2) * 500.0 - 165.29e-3).abs() < 5e-6);
}

#[test]
fn shunts_of_ammeters() {
    // Each is fed with so many amperes by a source behind 100 kΩ; the volts are those that make it exact.
    let fed = |amperes: f64, own: f64| amperes * (100e3 + own);
    // US Army Ordnance Subcourse OD0010, lesson 7 fig. 10: 10 mA into 25 Ω beside a movement of 2 kΩ and
    // 3 kΩ: 49.7 µA. The exact 49.75 is 0.05 off, for the print cuts.
    let volts = fed(10e-3, 25.0 * 5e3 / 5025.0);
    let netlist = format!(
        "ground g\nBT1: {volts}V, plus=b, minus=g\nR1: 100k, b to a\nR2: 25R, a to g\nR3: 5k, a to g\n"
    );
    let movement = current(&netlist, "R3", NO_OHMS);
    assert!((movement - 49.7e-6).abs() < 0.06e-6, "{movement}");
    // Bell, Electronic Instrumentation and Measurements, 2nd ed., ex. 3-5, p. 45: 50 µA and 1 kΩ with
    // 4.5, 0.45 and 0.05 Ω in a ring. Printed 100 mA and 1 A, cut from 100.5 and 1.005: with those the
    // movement stands at 50 µA.
    for (amperes, across, rest) in [(0.1005, 0.5, 4.5), (1.005, 0.05, 4.95)] {
        let branch = 1000.0 + rest;
        let volts = fed(amperes, across * branch / (across + branch));
        let netlist = format!(
            "ground g\nBT1: {volts}V, plus=b, minus=g\nR1: 100k, b to a\nR2: {across}R, a to g\n\
             R3: {rest}R, a to m\nR4: 1k, m to g\n"
        );
        let movement = current(&netlist, "R4", NO_OHMS);
        // Half of a unit of the fourth digit.
        assert!((movement - 50e-6).abs() < 5e-9, "{movement}");
    }
}

#[test]
fn resistance_by_voltmeter_and_ammeter() {
    // The voltmeter across the resistor, the ammeter before both: the ratio is that of both side by side.
    // Shinghal, ex. 3.34, p. 208: 180 V, 2 kΩ, 2 A; 94.2408 Ω, read 4.5 % low. Mukhopadhyay and
    // Pant, ex. 5.10, p. 95: 18 V, 5 kΩ, 0.2 A; 91.65 Ω. Gupta, ex. 6.2, p. 156: 38.4 V, 6 kΩ, 0.4 A;
    // 97.56 Ω. Half of the last printed digit of the resistance, and what it makes of the current.
    let mut errors = Vec::new();
    for (volts, voltmeter, ohms, ammeter, want, digit) in [
        (180.0, 2000.0, 94.2408, 0.01, 2.0, 5e-5),
        (18.0, 5000.0, 91.65, 0.1, 0.2, 5e-3),
        (38.4, 6000.0, 97.56, 0.01, 0.4, 5e-3),
    ] {
        let supply = volts + want * ammeter;
        let netlist = format!(
            "ground g\nBT1: {supply}V, plus=b, minus=g\nR3: 0.000001R, b to a\nR1: {ohms}R, a to g\n\
             R2: {voltmeter}R, a to g\n"
        );
        let amperes = current(&netlist, "R3", ammeter);
        let across = supply - amperes * ammeter;
        assert!(
            (amperes - want).abs() < 1.1 * want * digit / ohms,
            "{amperes}"
        );
        let error = across / amperes / ohms - 1.0;
        let side_by_side = -ohms / (ohms + voltmeter);
        // A millionth is far below the digits given.
        assert!((error - side_by_side).abs() < 1e-6, "{error}");
        errors.push(error);
    }
    // The first is printed: −4.5 %.
    assert!((errors[0] + 0.045).abs() < 5e-5, "{errors:?}");
    // The voltmeter across both, ex. 5.10 again: 0.2 A through 91.65 Ω and 0.1 Ω, 18.35 V.
    let netlist = "ground g\nBT1: 18.35V, plus=a, minus=g\nR1: 91.65R, a to g\n";
    let amperes = current(netlist, "R1", 0.1);
    assert!((amperes - 0.2).abs() < 0.2 * 0.005 / 18.35, "{amperes}");
}

#[test]
fn levels_in_volts() {
    let level = |zero: &str, cell: &str| {
        let settings = format!(
            "[as-documented]\nmeter = \"20k/V\"\ndecibel-zero = \"{zero}\"\n[on-the-bench]\nmeter = \"10M\"\n"
        );
        let manual = format!("point,at,value,source,freq\n1,x,{cell},600,1kHz\n2,x,6.3ac,1,60\n");
        job(&settings, "", &manual, "").manual[0].figure.value
    };
    let (line, older) = ("1 mW in 600 ohm", "6 mW in 500 ohm");
    // A text on audio measurement prints 0.77459 V for 0 dBm; 1.228 V for +4 dBm and 1.732 V for the
    // older zero are common practice, no source. Half of the last digit.
    assert!((level(line, "0 dBm") - 0.77459).abs() < 1e-5);
    assert!((level(line, "+4 dBm") - 1.228).abs() < 5e-4);
    assert!((level(older, "0 dB") - 1.732).abs() < 5e-4);
    // The scales of one meter differ by 6.99 dB in volts (own computation), for the powers differ by
    // 10 lg 6 and the resistances by 10 lg (600/500).
    let apart = 20.0 * (level(older, "0 dB") / level(line, "0 dB")).log10();
    assert!((apart - 6.9897).abs() < 5e-5, "{apart}");
    let powers = 10.0 * 6f64.log10();
    assert!((powers - 10.0 * 1.2f64.log10() - apart).abs() < 1e-9);
}

#[test]
fn a_sawtooth_is_a_triangle_to_a_meter() {
    // Root mean square and mean of the size are the same. Bakshi, Electronic Instrumentation and
    // Measurements, 3rd ed., ex. 3.19: read 3.87 % low, by a form factor of 1.11; exactly 3.81 %. A form
    // factor of 1.155 (a companion of Elelectronics Instrumentation, ex. 4.14.2).
    let shown = Wave::Triangle.shown(Response::Average, false) / Wave::Triangle.rms();
    let printed = (shown / 1.110_721 * 1.11 - 1.0) * 100.0;
    assert!((printed + 3.87).abs() < 0.005, "{printed}");
    assert!(((shown - 1.0) * 100.0 + 3.8088).abs() < 5e-4, "{shown}");
    assert!((1.110_721 / shown - 1.155).abs() < 5e-4);
}

#[test]
fn windings_count_in_ohms_and_in_currents() {
    // By hand: a primary of 300 Ω from the supply to the plate's load of 1 kΩ, a secondary of 0.5 Ω with 8 Ω
    // across it.
    let netlist = "ground g\nPS1: 250V source=1R off=open, plus=b, minus=g\n\
                   T1: transformer 25:1 300R 0.5R, primary b to p, secondary s to g\nR1: 1k, p to g\nR2: 8R, s to g\n";
    let manual = "point,at,against,quantity,value\n1,b,p,ohm,\n2,s,g,ohm,\n3,R1,,dc mA,\n";
    let settings =
        "[as-documented]\nmeter = \"20k/V\"\nreference = \"g\"\n[on-the-bench]\nmeter = \"own\"\n";
    let drawn = job(settings, netlist, manual, &ammeter(1e-6));
    // Computed by one solver in closed form: a few roundings.
    assert!((expected(&drawn, "1") - 300.0).abs() < 1e-6);
    assert!((expected(&drawn, "2") - 4.0 / 8.5).abs() < 1e-6);
    assert!((expected(&drawn, "3") - 250.0 / 1301.0).abs() < 1e-6);
    // Both windings in one, the second on top of the first: their ohms add up from end to end.
    let auto = "ground g\nPS1: 250V source=1R off=open, plus=b, minus=g\n\
                T1: transformer 5:1 300R 60R, primary g to m, secondary m to t\nR1: 1k, b to t\nR2: 10k, b to g\n";
    let manual = "point,at,against,quantity,value\n1,t,g,ohm,\n2,m,g,ohm,\n3,R1,,dc mA,\n";
    let drawn = job(settings, auto, manual, &ammeter(1e-6));
    let beside = 11e3;
    let whole = 360.0 * beside / (360.0 + beside);
    assert!((expected(&drawn, "1") - whole).abs() < 1e-6);
    let lower = 300.0 * (60.0 + beside) / (360.0 + beside);
    assert!((expected(&drawn, "2") - lower).abs() < 1e-6);
    let bleeder = 10e3 * 1360.0 / 11_360.0;
    let volts = 250.0 * bleeder / (bleeder + 1.0);
    assert!((expected(&drawn, "3") - volts / 1360.0).abs() < 1e-6);
}
