//! Resistances, currents and alternating volts of small jobs, from their texts to what a bench meter
//! should show.
//!
//! Expected values are closed forms worked by hand and worked examples named beside them; circuits of
//! any size are checked in `solver`.

use circuit::{Job, Quantity};
use input::{read_job, JobSources, Sources};
use translate::{compare, quantities, NoAnswer, QuantityCarried, QuantityRemark, Said, Verdict};

/// Texts of a job: netlist, manual, chart of resistances, meters, readings.
#[derive(Default)]
struct Texts<'a> {
    netlist: &'a str,
    manual: &'a str,
    ohms: &'a str,
    meters: &'a str,
    readings: &'a str,
    settings: &'a str,
}

fn job(texts: &Texts<'_>) -> Job {
    let mut sources = Sources::default();
    let mut add = |name: &str, text: &str| (!text.is_empty()).then(|| sources.add(name, text));
    let settings = match texts.settings {
        "" => {
            "[as-documented]\nmeter = \"20k/V\"\ntolerance = \"20%\"\n\
               [on-the-bench]\nmeter = \"10M\"\n"
        }
        own => own,
    };
    let parts = JobSources {
        folder: "job".into(),
        settings: add("job.toml", settings),
        netlist: add("circuit.netlist", texts.netlist),
        manual: add("manual.csv", texts.manual),
        pin_chart_ohms: add("pin-chart-ohms.csv", texts.ohms),
        meters: add("meters.toml", texts.meters),
        readings: add("readings.csv", texts.readings).into_iter().collect(),
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &[]);
    read.job.unwrap_or_else(|| panic!("{:?}", read.diagnostics))
}

fn carried(job: &Job, label: &str) -> QuantityCarried {
    let points = quantities(job);
    let point = points
        .iter()
        .find(|point| job.row(point.row).point == label);
    point.unwrap().outcome.clone().unwrap()
}

const DIVIDER: &str = "ground chassis\n\
    PS1: 100V source=100R off=10k, plus=b, minus=chassis\n\
    R1: 47k 5%, b to out\n\
    R2: 22k 5%, out to chassis\n\
    C1: 20uF, out to chassis\n";

#[test]
fn a_resistance_is_the_same_to_every_ohmmeter() {
    let job = job(&Texts {
        netlist: DIVIDER,
        manual: "point,at,quantity,value\n1,out,ohm,16k\n2,b,ohm,\n",
        ..Texts::default()
    });
    // 22k ∥ (47k + 10k), by hand: 15.873 kΩ.
    let found = carried(&job, "1");
    let drawn = found.drawn.unwrap();
    let want = 22.0 * 57.0 / 79.0 * 1e3;
    assert!((drawn.value - want).abs() < 1e-4, "{}", drawn.value);
    // dR/dR₂ = (57/79)², dR/dR₁ = dR/dPS1 = (22/79)²; limits ±5 %, ±5 %, ±20 %, rectangular.
    let (a, b) = ((57.0f64 / 79.0).powi(2), (22.0f64 / 79.0).powi(2));
    let parts: [f64; 3] = [a * 1.1e3, b * 2.35e3, b * 2e3];
    let standard = (parts.iter().map(|one| one * one).sum::<f64>() / 3.0).sqrt();
    assert!((drawn.standard / standard - 1.0).abs() < 1e-9);
    let side = &found.bench[0].side;
    assert!(
        side.expected > want && side.expected < 16e3,
        "{}",
        side.expected
    );
    assert!(found.remarks.contains(&QuantityRemark::Charging));
    // 10k ∥ 69k, and only the drawing speaks.
    let found = carried(&job, "2");
    assert_eq!(found.said, Said::Nothing);
    assert!((found.bench[0].side.expected - 10.0 * 69.0 / 79.0 * 1e3).abs() < 1e-4);
}

#[test]
fn published_networks_read_as_printed() {
    // Kulshreshtha, Basic Electrical Engineering, ex. 2.5 (a) and (c), p. 23: 20 Ω and 15 Ω; Bird,
    // Electrical Circuit Theory and Technology, ch. 5 ex. 10, p. 48: 9 Ω; Schultz, Grob's Basic
    // Electronics, ex. 5-6, p. 158: 40 Ω with 60 Ω across it, 24 Ω. Exact values.
    let cases = [
        (
            "R1: 15R, a to m\nR2: 20R, m to g\nR3: 10R, m to g\nR4: 20R, m to g\n",
            20.0,
        ),
        (
            "R1: 5R, a to m\nR2: 20R, m to g\nR3: 18R, m to n\nR4: 3R, n to g\nR5: 6R, n to g\n",
            15.0,
        ),
        (
            "R1: 1R, a to m\nR2: 2.2R, m to n\nR3: 3R, n to o\nR4: 6R, n to o\nR5: 18R, n to o\n\
          R6: 4R, o to g\n",
            9.0,
        ),
        ("R1: 40R, a to g\nR2: 60R, a to g\n", 24.0),
    ];
    for (parts, want) in cases {
        let job = job(&Texts {
            netlist: &format!("ground g\n{parts}"),
            manual: "point,at,quantity,value\n1,a,ohm,\n",
            ..Texts::default()
        });
        let got = carried(&job, "1").bench[0].side.expected;
        // Ten operations on numbers below 100.
        assert!((got - want).abs() < 1e-7, "{got} {want}");
    }
}

#[test]
fn open_circuits_and_limits_are_inequalities() {
    let job = job(&Texts {
        netlist: DIVIDER,
        manual: "point,at,against,quantity,value\n1,out,,ohm,>10k\n2,far,out,ohm,∞\n",
        ..Texts::default()
    });
    assert!(
        job.manual.len() == 1 && job.unprinted.is_empty(),
        "far is not drawn"
    );
    let job = self::job(&Texts {
        netlist: "ground g\nR1: 1M, a to g\nC1: 1uF, a to b\nR2: 1M, b to c\nR3: 1M, c to b\nS1: open, b to g\n",
        manual: "point,at,quantity,value\n1,a,ohm,>500k\n2,b,ohm,∞\n3,c,ohm,inf\n",
        readings: "point,reading\n1,0.98M\n2,OL\n3,2.2k\n",
        ..Texts::default()
    });
    assert_eq!(carried(&job, "1").said, Said::MoreThan(500e3));
    let found = carried(&job, "2");
    assert!(matches!(found.said, Said::MoreThan(limit) if limit >= 1e6));
    assert!(found.drawn.unwrap().value.is_infinite());
    let compared = compare(&job).unwrap().readings;
    let verdicts: Vec<Verdict> = compared.iter().map(|one| one.judgement.verdict).collect();
    assert_eq!(verdicts, [Verdict::Pass, Verdict::Pass, Verdict::Fail]);
}

#[test]
fn a_socket_chart_of_resistances_is_judged_in_ohms() {
    let job = job(&Texts {
        netlist: "ground g\nPS1: 250V, plus=b, minus=g\nR1: 220k 10%, b to p\nR2: 1k 10%, k to g\n\
                  R3: 470k 10%, gr to g\nV1A: 12AX7, plate=p, grid=gr, cathode=k\n",
        ohms: "tube,6,7,8\nV1,∞,470k,1k\n",
        readings: "point,reading\nV1 pin 7 ohms,510k\nV1 pin 8 ohms,4.1k\n",
        ..Texts::default()
    });
    let found = compare(&job).unwrap();
    let side = |at: usize| found.readings[at].quantity.clone().unwrap().1.side;
    assert!((side(0).expected - 470e3).abs() < 1.0);
    // ±20 % of 470 kΩ.
    assert!((side(0).band.high.unwrap() - 564e3).abs() < 1.0);
    let verdicts = [0, 1].map(|at| found.readings[at].judgement.verdict);
    assert_eq!(verdicts[1], Verdict::Fail);
    let good = matches!(verdicts[0], Verdict::Pass | Verdict::ConditionalPass);
    assert!(good, "{:?} {:?}", verdicts[0], side(0));
    // A resistance has no expected volts.
    assert!(found.readings.iter().all(|one| one.expected.is_none()));
}

#[test]
fn ammeters_take_their_share_of_the_current() {
    // Lessons In Electric Circuits, vol. I, ch. 8: 2 V on 3 Ω and 1.5 Ω; 0.5 Ω in the 3 Ω branch reads
    // 571.43 mA, in the 1.5 Ω branch 1.000 A; undisturbed 666.7 mA and 1.333 A. Printed digits.
    let meters = "[own]\ninput = \"1M\"\nranges = [\"1V\"]\n\
                  ammeter = { burden = \"1V\", ranges = [\"2A\"], accuracy = \"1% of full scale\" }\n";
    let job = job(&Texts {
        netlist: "ground g\nBT1: 2V, plus=a, minus=g\nR1: 3R, a to g\nR2: 1.5R, a to g\n",
        manual: "point,at,quantity,value\n1,R1,dc mA,\n2,R2,dc mA,\n",
        meters,
        settings: "[as-documented]\nmeter = \"own\"\n[on-the-bench]\nmeter = \"own\"\n",
        ..Texts::default()
    });
    for (label, want, digit) in [("1", 0.571_43, 1e-5), ("2", 1.0, 1e-3)] {
        let found = carried(&job, label);
        let got = found.bench[0].side.expected;
        assert!((got - want).abs() < digit / 2.0, "{got} {want}");
        assert!(found.remarks.contains(&QuantityRemark::Burden));
    }
}

#[test]
fn a_current_is_carried_from_one_burden_to_the_other() {
    // 10 V behind 90 Ω: 100 mA less the meters' 250 mV and 200 mV at full scale of 100 mA and 200 mA:
    // 2.5 Ω and 1 Ω, so 108.108 and 109.890 mA, by hand.
    let job = job(&Texts {
        netlist: "ground g\nBT1: 10V, plus=a, minus=g\nR1: 90R 1%, a to g\n",
        manual: "point,at,quantity,value\n1,R1,dc mA,108\n",
        readings: "point,reading\n1,110\n",
        ..Texts::default()
    });
    let found = carried(&job, "1");
    // 108 mA lie on 500 mA of the pointer meter: 0.5 Ω.
    let manual = 10.0 / 90.5;
    assert!((found.drawn.unwrap().value - manual).abs() < 1e-9);
    let bench = 10.0 / 91.0;
    let expected = found.bench[0].side.expected;
    let between = |a: f64, b: f64| (a.min(b) - 1e-9..=a.max(b) + 1e-9).contains(&expected);
    assert!(between(bench, 0.108 * bench / manual), "{expected}");
    let compared = compare(&job).unwrap();
    assert_eq!(compared.readings[0].judgement.verdict, Verdict::Pass);
}

const SIGNAL: &str = "ground g\nG1: 1V ac 1kHz source=100k, a to g\nR1: 100k 10%, a to g\n";

#[test]
fn alternating_volts_through_each_meters_own_load() {
    // 0.5 V behind 50 kΩ. A pointer meter of 5 kΩ/V on 2.5 V loads with 12.5 kΩ: 0.1 V, by hand.
    let job = job(&Texts {
        netlist: SIGNAL,
        manual: "point,at,quantity,value,range,freq\n1,a,ac V,0.10,2.5V,1kHz\n2,a,ac V,,,1kHz\n",
        ..Texts::default()
    });
    let found = carried(&job, "1");
    assert!((found.drawn.unwrap().value - 0.1).abs() < 1e-6);
    // The digital one: 1 MΩ beside 100 pF behind 0.1 µF. Y = 1 µS + j0.628 µS at 1 kHz; 50 kΩ of
    // source leave 0.5/|1 + 0.05 + j0.0314| = 0.47598 V; the blocking capacitor's 1.6 kΩ change it
    // by less than 0.01 %.
    let expected = found.bench[0].side.expected;
    assert!((expected / 0.475_98 - 1.0).abs() < 1e-3, "{expected}");
}

#[test]
fn waves_are_what_each_scale_makes_of_them() {
    // A square of 1 V through two meters that load nothing to speak of: an average-responding one
    // shows π/(2√2) = 1.1107 of its root mean square, a true one 1.
    let meters = "[old]\ninput = \"100M\"\nranges = [\"2.5V\"]\nac = { input = \"1000M\", responds = \"average\" }\n\
                  [new]\ninput = \"100M\"\nranges = [\"2V\"]\nac = { input = \"1000M\", responds = \"true rms\" }\n";
    let job = job(&Texts {
        manual: "point,at,quantity,value,source,freq,wave\n1,x,ac V,1.11,10,400,square\n",
        meters,
        settings: "[as-documented]\nmeter = \"old\"\n[on-the-bench]\nmeter = \"new\"\n",
        ..Texts::default()
    });
    let got = carried(&job, "1").bench[0].side.expected;
    assert!((got - 1.11 / 1.110_721).abs() < 1e-5, "{got}");
}

#[test]
fn decibels_need_their_zero() {
    let text = |zero: &str| {
        format!("[as-documented]\nmeter = \"20k/V\"\n{zero}[on-the-bench]\nmeter = \"10M\"\n")
    };
    let manual = "point,at,value,source,freq\n1,x,-3 dBm,600,1kHz\n2,x,6.3ac,1,60\n";
    let with = text("decibel-zero = \"1 mW in 600 ohm\"\n");
    let stated = job(&Texts {
        manual,
        settings: &with,
        ..Texts::default()
    });
    // 0.774597 V · 10^(−3/20), by hand 0.54837 V.
    assert_eq!(stated.manual[0].quantity, Quantity::AcVolts);
    assert!((stated.manual[0].figure.value - 0.548_37).abs() < 5e-6);
    let without = text("");
    let refused = job(&Texts {
        manual,
        settings: &without,
        ..Texts::default()
    });
    assert_eq!(refused.manual.len(), 1);
    assert!(refused.left_out[0].reason.contains("0 dB"));
}

#[test]
fn a_current_that_is_not_drawn_is_not_held_against_the_drawing() {
    // Filaments are not drawn: no current is drawn through their battery. A switch that is open in the row is a
    // current of nothing that the drawing does speak of, and so is a capacitor's printed nothing.
    let job = job(&Texts {
        netlist: "ground g\nBT1: 90V source=50R, plus=b, minus=g\nR1: 10k, b to p\n\
                  BT2: 1.5V source=0.3R, plus=a, minus=g\nS1: closed, a to f\n\
                  V1: 1T4, 1=g, 2=p, 3=b, 6=g, 7=f\nR2: 1k, b to q\nS2: closed, q to g\n\
                  C1: 1uF, b to g\n",
        manual:
            "point,at,quantity,value,setting,tolerance\n1,BT2,dc mA,50,,10%\n2,BT1,dc mA,90,,\n\
                 3,R2,dc mA,50,S2=open,\n4,C1,dc mA,0,,\n5,S1,dc mA,,,\n",
        readings: "point,reading\n1,40\n",
        ..Texts::default()
    });
    let found = carried(&job, "1");
    assert!(found.drawn.is_none() && found.sigmas.is_none());
    assert_eq!(found.remarks, [QuantityRemark::NoCurrent]);
    // The printed value stands, with its own limits: 40 mA of 50 mA ± 10 % fails.
    let side = &found.bench[0].side;
    assert!((side.expected - 0.05).abs() < 1e-9, "{side:?}");
    let compared = compare(&job).unwrap().readings;
    assert_eq!(compared[0].judgement.verdict, Verdict::Fail);
    for label in ["2", "3", "4"] {
        let found = carried(&job, label);
        assert!(found.drawn.is_some(), "{label}");
        assert!(
            !found.remarks.contains(&QuantityRemark::NoCurrent),
            "{label}"
        );
    }
    assert!(carried(&job, "3")
        .remarks
        .contains(&QuantityRemark::Disagrees));
    let all = quantities(&job);
    let blank = all.iter().find(|point| job.row(point.row).point == "5");
    assert_eq!(
        blank.unwrap().outcome.as_ref().err(),
        Some(&NoAnswer::NoCurrent)
    );
}
