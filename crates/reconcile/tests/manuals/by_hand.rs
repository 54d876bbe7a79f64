//! A divider worked out by hand, and leaving out against leaving out.
//!
//! Independently derived: closed forms of the divider and of matrices of two rows.

use super::jobs::{intercom, job};
use circuit::{meter_by_name, Conditions, PartParameter};
use reconcile::{belief, meter_classes, reconcile, Judged, TermInput, ValueStatus, WhyLeftOut};
use solver::ParameterId;

const DIVIDER: &str = "\
title divider
ground gnd
PS1: 100V 3%, plus=top, minus=gnd
R1: 100k 10%, top to mid
R2: 100k 10%, mid to gnd
";

const MANUAL: &str = "\
point,at,value,source
1,top,104,
2,mid,45,
3,elsewhere,12,1M
";

/// The two readings through a meter of so many ohms per volt, on ranges of these full scales.
struct ByHand {
    residuals: [f64; 2],
    /// `[S₁₁, S₁₂, S₂₂]`
    s: [f64; 3],
}

const SIGMA_VOLTS: f64 = 3.0;
const SIGMA_OHMS: f64 = 10e3;

fn by_hand(ohms_per_volt: f64, top_range: f64, mid_range: f64) -> ByHand {
    // v = V/(1 + R₁(1/R₂ + 1/Rm)), and its derivatives by V, R₁ and R₂.
    let g = 1.0 / 100e3 + 1.0 / (ohms_per_volt * mid_range);
    let d = 1.0 + 100e3 * g;
    let by_r1 = -100.0 * g / (d * d);
    let by_r2 = 100.0 * 100e3 / (100e3 * 100e3) / (d * d);
    // Rectangular: a third of the half-width's square; a digit is worth 1 V.
    let noise = |range: f64| 1.0 / 12.0 + (0.03 * range).powi(2) / 3.0;
    let (var_v, var_r) = (SIGMA_VOLTS.powi(2) / 3.0, SIGMA_OHMS.powi(2) / 3.0);
    ByHand {
        residuals: [104.0 - 100.0, 45.0 - 100.0 / d],
        s: [
            var_v + noise(top_range),
            var_v / d,
            var_v / (d * d) + var_r * (by_r1.powi(2) + by_r2.powi(2)) + noise(mid_range),
        ],
    }
}

/// 1e-9 of numbers below 1000: the solver's rounding and that of a few dozen operations.
const ROUNDING: f64 = 1e-7;

#[test]
fn a_divider_of_two_readings() {
    let job = job(DIVIDER, MANUAL, "20k/V");
    let belief = belief(&job).unwrap();
    // 104 V is on the range of 250 V, 45 V on that of 50 V.
    let ByHand {
        residuals: [r1, r2],
        s: [s11, s12, s22],
    } = by_hand(20e3, 250.0, 50.0);
    let near = |got: f64, want: f64| {
        assert!((got - want).abs() <= ROUNDING, "got {got}, want {want}");
    };

    // Each from the other alone: f + s₁₂/s_jj · r_j, with variance s_kk − s₁₂²/s_jj.
    let [top, mid] = [&belief.points[0], &belief.points[1]];
    near(top.model, 100.0);
    near(top.predicted.volts, 100.0 + s12 / s22 * r2);
    near(top.predicted.standard, (s11 - s12 * s12 / s22).sqrt());
    near(mid.model, 45.0 - r2);
    near(mid.predicted.volts, mid.model + s12 / s11 * r1);
    near(mid.predicted.standard, (s22 - s12 * s12 / s11).sqrt());
    near(
        mid.residual_sigma,
        (45.0 - mid.predicted.volts) / mid.predicted.standard,
    );
    assert!(top.believable() && mid.believable());

    // S⁻¹ = [s₂₂ −s₁₂; −s₁₂ s₁₁]/|S|
    let determinant = s11 * s22 - s12 * s12;
    let weighted = [
        (s22 * r1 - s12 * r2) / determinant,
        (s11 * r2 - s12 * r1) / determinant,
    ];
    near(
        belief.agreement.chi_squared,
        r1 * weighted[0] + r2 * weighted[1],
    );
    assert_eq!(belief.agreement.readings, 2);
}

/// At the most likely numbers the prior and the residuals of the readings balance,
/// `z = Σ m (v − f)/(w + V δ²)`, with the closed forms of the divider and the sizes that were learnt.
#[test]
fn the_likely_numbers_of_the_divider_are_in_balance() {
    // The middle is 47.6 V as drawn.
    let manual = "point,at,value\n1,top,104\n2,mid,42\n";
    let job = job(DIVIDER, manual, "20k/V");
    let reconciled = reconcile(&job).unwrap();
    let drawn = by_hand(20e3, 250.0, 50.0);
    let likely = |designator: &str, parameter: PartParameter| {
        let part = job.circuit.part_named(designator).unwrap();
        let numbers = reconciled.numbers();
        let is = |id: ParameterId| (id.part, id.parameter) == (part, parameter);
        let number = *numbers.iter().find(|number| is(number.id)).unwrap();
        let mut spreads = reconciled.spreads().iter();
        let (_, spread) = spreads.find(|(id, _)| is(*id)).unwrap();
        (number, spread.slope(number.sigmas))
    };
    let (volts, volts_sigma) = likely("PS1", PartParameter::Volts);
    let (upper, upper_sigma) = likely("R1", PartParameter::Resistance);
    let (lower, lower_sigma) = likely("R2", PartParameter::Resistance);
    let (v, r1, r2) = (
        100.0 + volts.change,
        100e3 + upper.change,
        100e3 + lower.change,
    );
    // Sizes of the discrepancies, in shares of 104 V in series with the top, and of the current that
    // makes the middle read as much as it shows.
    let port = job.manual[1].port.unwrap();
    let conditions = Conditions::default();
    let expected = reconciled.expected(port, &conditions, 0.0, None).unwrap();
    let posterior_reading = reconciled
        .posterior_reading(&conditions, &expected)
        .unwrap();
    let sizes: Vec<f64> = posterior_reading
        .terms
        .iter()
        .filter_map(|term| match term.input {
            TermInput::Discrepancy(standard) => Some(standard),
            _ => None,
        })
        .collect();
    let g = 1.0 / r2 + 1.0 / 1e6;
    let d = 1.0 + r1 * g;
    let written = 1.0 / (1.0 / 100e3 + 1.0 / 100e3 + 1.0 / 1e6);
    let middle = (45.0 - drawn.residuals[1]) * (r1 / d) / written;
    let noise = |range: f64| 1.0 / 12.0 + (0.03 * range).powi(2) / 3.0;
    let top = noise(250.0) + (sizes[0] * 104.0).powi(2);
    let mid = noise(50.0) + (sizes[1] * middle).powi(2);
    let residuals = [(104.0 - v) / top, (42.0 - v / d) / mid];
    // With the current in it the middle reads h = R (V/R₁ + I), R being what is seen there.
    let (h, r) = (42.0 - residuals[1] * noise(50.0), r1 / d);
    let by_upper = r / (r1 * r1) * (h - v) * upper_sigma;
    let by_lower = r / (r2 * r2) * h * lower_sigma;
    for (number, want) in [
        (volts, volts_sigma * (residuals[0] + residuals[1] / d)),
        (upper, by_upper * residuals[1]),
        (lower, by_lower * residuals[1]),
    ] {
        // The way down ends with a step below 3 % of a standard deviation, and what a step leaves goes
        // as its square.
        assert!((number.sigmas - want).abs() < 2e-3, "{number:?} {want}");
    }
    // The resistors are far from where they are written.
    assert!(
        upper.sigmas > 0.5 && lower.sigmas < -0.5,
        "{upper:?} {lower:?}"
    );
    // What remains open of R₁, which the top says nothing of: σ²(1 − m²[S⁻¹]₂₂).
    let s11 = volts_sigma.powi(2) + top;
    let s12 = volts_sigma.powi(2) / d;
    let s22 = (volts_sigma / d).powi(2) + by_upper.powi(2) + by_lower.powi(2) + mid;
    let learnt = by_upper.powi(2) * s11 / (s11 * s22 - s12 * s12);
    let open = upper_sigma * (1.0 - learnt).sqrt();
    assert!(
        (upper.standard - open).abs() < 2e-3 * open,
        "{} {open}",
        upper.standard
    );
}

#[test]
fn of_two_values_that_contradict_each_other_either_may_be_wrong() {
    // 47.6 V as drawn, and the parts leave some 2 V open; the meter is good to 0.9 V, so two
    // readings 5 V apart are some 4 standard deviations from each other.
    let manual = "point,at,value\n1,mid,44.5\n2,mid,49.5\n";
    let belief = belief(&job(DIVIDER, manual, "20k/V")).unwrap();
    let doubted: Vec<&Judged> = belief.points.iter().filter(|p| !p.believable()).collect();
    assert_eq!(doubted.len(), 1);
    assert_eq!(doubted[0].rivals, [1 - doubted[0].entry]);
}

#[test]
fn a_value_that_rounds_to_full_scale_may_be_of_the_next_range() {
    // 150 V through two of 100 kΩ, the lower one under 100 kΩ on the range of 100 V: 50.0 V. On
    // the range of 50 V it would be 37.5 V.
    let netlist = DIVIDER.replace("100V", "150V");
    let belief = belief(&job(&netlist, "point,at,value\n1,mid,50\n", "1k/V")).unwrap();
    let judged = &belief.points[0];
    assert!(judged.believable() && judged.range.assumed);
    assert!((judged.range.range.full_scale - 100.0).abs() < 1e-9);
    assert!((judged.model - 50.0).abs() < ROUNDING);
}

#[test]
fn what_is_not_judged_is_said() {
    let belief = belief(&job(DIVIDER, MANUAL, "20k/V")).unwrap();
    assert_eq!(belief.left_out.len(), 1);
    assert_eq!(belief.left_out[0].entry, 2);
    let WhyLeftOut::SourceStated { ohms } = belief.left_out[0].why else {
        panic!("{:?}", belief.left_out);
    };
    assert!((ohms - 1e6).abs() < 1e-6);
}

#[test]
fn likelihood_of_the_divider_by_the_direct_formula() {
    let manual = "point,at,value,range\n1,top,104,250V\n2,mid,45,50V\n";
    let job = job(DIVIDER, manual, "20k/V");
    let inferred = meter_classes(&job, &[0, 1]).unwrap();
    let classes = [
        ("1k/V", 1e3),
        ("5k/V", 5e3),
        ("20k/V", 20e3),
        ("100k/V", 100e3),
    ];
    let (top, mid) = (250.0, 50.0);
    for (name, ohms_per_volt) in classes {
        let ByHand { residuals, s, .. } = by_hand(ohms_per_volt, top, mid);
        // p(v₁)·p(v₂|v₁), each a normal density of one dimension.
        let log_density = |r: f64, variance: f64| {
            -0.5 * (r * r / variance + (std::f64::consts::TAU * variance).ln())
        };
        let given = residuals[1] - s[1] / s[0] * residuals[0];
        let want = log_density(residuals[0], s[0]) + log_density(given, s[2] - s[1] * s[1] / s[0]);
        let class = inferred.likelihoods.iter();
        let got = class
            .filter(|class| class.meter.name == name)
            .map(|class| class.log_likelihood)
            .next()
            .unwrap();
        assert!(
            (got - want).abs() <= ROUNDING,
            "{name}: got {got}, want {want}"
        );
    }
    let sum: f64 = inferred
        .likelihoods
        .iter()
        .map(|class| class.probability)
        .sum();
    // Nine shares of one.
    assert!((sum - 1.0).abs() < 1e-12);
    // Two readings of 10 % parts: nobody could tell.
    assert!(reconcile::decisive(&inferred.likelihoods).is_none());
}

#[test]
fn entries_that_state_their_meter_keep_it() {
    let manual = "point,at,value,meter\n1,top,104,\n2,mid,45,20k/V\n";
    let job = job(DIVIDER, manual, "1k/V");
    let inferred = meter_classes(&job, &[0]).unwrap();
    let of = |name: &str| {
        let mut classes = inferred.likelihoods.iter();
        let wanted = meter_by_name(name).unwrap();
        classes
            .find(|class| class.meter == wanted)
            .unwrap()
            .log_likelihood
    };
    // No meter loads an ideal source, and these two have one accuracy on one range.
    assert!((of("1k/V") - of("20k/V")).abs() < ROUNDING);
    assert!(meter_classes(&job, &[]).unwrap().likelihoods.is_empty());
}

/// A whole set: taking an entry out of the manual lowers `rᵀS⁻¹r` by the square of its deviation.
#[test]
fn deviations_are_those_of_leaving_each_entry_out() {
    let job = intercom(false);
    let whole = belief(&job).unwrap();
    for (index, judged) in whole.points.iter().enumerate() {
        let mut rest = job.clone();
        rest.manual.remove(index);
        let without = belief(&rest).unwrap();
        let drop = whole.agreement.chi_squared - without.agreement.chi_squared;
        let want = judged.residual_sigma.powi(2);
        // Sums of 28 terms; operating points are settled to some 1e-9 V of readings good to 0.1 V.
        assert!((drop - want).abs() < 1e-6, "{index}: {drop} {want}");
    }
}

/// A triode's grid at its contact bias, behind its leak.
const GRID_LEAK: &str = "\
title grid leak
ground gnd
PS1: 250V 5% source=500R, plus=top, minus=gnd
V1: 6AV6, plate=plate, grid=grid, cathode=gnd, diode1=gnd, diode2=gnd
R1: 10M 10%, grid to gnd
R2: 220k 10%, top to plate
";

#[test]
fn a_value_that_its_meter_cannot_have_shown_is_left_out() {
    let manual = "point,at,value\n1,grid,-0.8\n2,plate,100\n3,top,250\n";
    // 50 kΩ of the meter beside 10 MΩ: 0.8 V · (1 + 200) = 161 V would stand there without it.
    let low = reconcile(&job(GRID_LEAK, manual, "20k/V")).unwrap();
    assert_eq!(low.value_status(0), ValueStatus::OtherMeter);
    // 11 MΩ: 0.8 V · (1 + 10/11) = 1.5 V.
    let high = reconcile(&job(GRID_LEAK, manual, "11M")).unwrap();
    assert_eq!(high.value_status(0), ValueStatus::Believed);
    // An oscillator's grid, behind 100 kΩ: 8 V · (1 + 100/200) = 12 V, which a drawing at rest lacks.
    let (drawn, printed) = (
        GRID_LEAK.replace("10M 10%", "100k 10%"),
        manual.replace("-0.8", "-8"),
    );
    let runs = reconcile(&job(&drawn, &printed, "20k/V")).unwrap();
    assert_eq!(runs.value_status(0), ValueStatus::Doubted);
}

/// One resistor of 100 kΩ feeds 100 kΩ, or 10 kΩ while the key is closed: two readings of the one
/// resistor on two curves. Parts and meter are so good that the tangents at 100 kΩ lie beyond all doubt
/// where the resistor has 150 kΩ.
const KEYED: &str = "\
ground gnd
PS1: 100V 0.1%, plus=top, minus=gnd
R1: 100k 50%, top to out
R2: 100k 0.1%, out to gnd
R3: 11.111k 0.1%, out to key
S1: open, key to gnd
";

fn keyed(closed: &str) -> Vec<String> {
    let manual =
        format!("point,at,value,range,setting\n1,out,40.0,200V,\n2,out,{closed},20V,S1=closed\n");
    let job = job(KEYED, &manual, "10M");
    let belief = belief(&job).unwrap();
    let doubted = belief.points.iter().filter(|judged| !judged.believable());
    doubted
        .map(|judged| job.manual[judged.entry].point.clone())
        .collect()
}

#[test]
fn a_doubt_of_the_tangents_alone_is_taken_back() {
    // 150 kΩ: 100 V · 100/250 and 100 V · 10/160. By the tangents at 100 kΩ the first says ln R = +0.40,
    // and the second would be 9.09 V − 0.40 · 8.26 V = 5.79 V, known to 0.1 V.
    assert_eq!(keyed("6.25"), Vec::<String>::new());
}

#[test]
fn a_value_that_agrees_by_the_tangents_alone_is_doubted() {
    // The same 5.79 V, where 6.25 V belong.
    assert_eq!(keyed("5.79").len(), 1);
}
