//! Numbers that are written wrong: a resistance, or the volts of a source or Zener diode.

use circuit::{
    semiconductor, Alteration, Characteristic, Conditions, DeviceClass, DeviceParameter, PartKind,
    PartParameter, PartSpread, SemiconductorKind, SpreadScale,
};
use solver::ParameterId;

use super::search::{worth_a_search, Fitted, SlipSearch};
use super::{best, DrawingChange, DrawingSlip, DrawnTable, LikelyValue, Tried, READINGS};
use crate::prior::Prior;

/// Numbers that are tried in the full circuit, those that promise most.
const NUMBERS: usize = 12;

/// Standard deviation of the logarithm of a resistance that is written wrong: a factor of thirty either way,
/// between a slip of one decade and of three.
pub(super) const WRONG_OHMS: f64 = 3.4;

/// The same of the volts of a source, as a share of what is written.
const WRONG_VOLTS: f64 = 0.5;

/// Where the search for a resistance begins, as multiples of what is written or the inverse of them: tangents
/// at the written value may be far from the truth, as where a transistor is saturated.
const STARTS: [f64; 4] = [3.0, 10.0, 100.0, 1000.0];

/// Share of numbers that are written wrong (common practice, no source).
const WRONG: f64 = 0.04;

/// Of the resistances that are written wrong, the share whose digits are right: a decimal point, a letter or a
/// stripe of the colour code (common practice, no source).
const BY_DECADES: f64 = 0.5;

/// Those decades.
const DECADES: [i32; 6] = [-3, -2, -1, 1, 2, 3];

/// The numbers that would explain what is doubted.
pub(super) fn wrong_numbers(drawn: &DrawnTable<'_>) -> Vec<Tried> {
    parallel::filter_map(searched(drawn), |done| slip(&done))
}

/// The likeliest wrong numbers, each by its place and how many of its standard deviations it is off what is written;
/// the likeliest first.
pub(crate) fn numbers_elsewhere(search: SlipSearch<'_>) -> Vec<(usize, f64)> {
    let Some(drawn) = DrawnTable::of(search) else {
        return Vec::new();
    };
    let mut found = searched(&drawn);
    found.sort_by(|one, other| other.log_likelihood().total_cmp(&one.log_likelihood()));
    let each = found.iter().filter_map(|done| {
        let place = done.free?;
        Some((
            place,
            done.prior.at[place] * widening(&search.reader.prior, place)?,
        ))
    });
    each.collect()
}

/// The numbers that promise most, each where the values lead it.
fn searched(drawn: &DrawnTable<'_>) -> Vec<Fitted> {
    let search = &drawn.search;
    let table = search.table;
    // Where a device is cut off or saturated, the tangents may ask for the wrong way.
    let both_ways = 2 * NUMBERS * STARTS.len() * table.rows.len() <= READINGS;
    let mut begun = parallel::filter_map(promising(drawn), |(place, larger)| {
        begun(search, place, larger, both_ways)
    });
    worth_a_search(&mut begun, |fitted| fitted);
    parallel::map(begun, |begun| search.finished(begun))
}

/// The numbers that promise most by the tangents, and whether a larger one is asked for.
fn promising(drawn: &DrawnTable<'_>) -> Vec<(usize, bool)> {
    let DrawnTable {
        search,
        jacobian,
        fit,
    } = drawn;
    let prior = &search.reader.prior;
    let (a, b) = (
        jacobian.squares(&fit.inverse),
        jacobian.times(&fit.weighted),
    );
    let gain = |place: usize| {
        let widening = widening(prior, place)?;
        let (a, b) = (*a.get(place)?, b[place]);
        if prior.numbers[place].1.scale == SpreadScale::Ohms {
            // The tangent of a resistance says in which way the readings go, not how far: what the others
            // draw ends it.
            return (a > 0.0).then(|| ((place, b > 0.0), 0.5 * b * b / a));
        }
        // t ~ N(0, c) more of the number: √(τ²/c)·exp(τ²b²/2) times as likely, τ² = c/(1 + c a).
        let more = widening.powi(2) - 1.0;
        let open = more / (1.0 + more * a);
        let gain = 0.5 * (open * b.powi(2) + (open / more).ln());
        Some(((place, b > 0.0), gain))
    };
    best(NUMBERS, (0..prior.numbers.len()).filter_map(gain).collect()).collect()
}

/// The best of the starts of a number, larger or smaller ones, or both.
fn begun(search: &SlipSearch<'_>, place: usize, larger: bool, both_ways: bool) -> Option<Fitted> {
    let prior = &search.reader.prior;
    let wide = prior.widened(place, widening(prior, place)?);
    let is_ohms = prior.numbers[place].1.scale == SpreadScale::Ohms;
    let starts: &[f64] = if is_ohms { &STARTS } else { &[1.0] };
    let signs: &[f64] = match (both_ways, larger) {
        (true, _) => &[1.0, -1.0],
        (false, true) => &[1.0],
        (false, false) => &[-1.0],
    };
    let starts = signs.iter().flat_map(|sign| {
        let of = move |start: &f64| sign * start.ln() / WRONG_OHMS;
        starts.iter().map(of)
    });
    search.begun(place, &wide, starts)
}

/// How many times as far as by its tolerance a number is spread where it is written wrong; none of a number
/// that is not read off a schematic.
pub(super) fn widening(prior: &Prior, place: usize) -> Option<f64> {
    let (id, spread) = prior.numbers[place];
    let is_written = matches!(
        id.parameter,
        PartParameter::Resistance
            | PartParameter::Volts
            | PartParameter::PrimaryResistance
            | PartParameter::SecondaryResistance
    ) || above_knee(prior, id).is_some();
    let wide = match spread.scale {
        SpreadScale::Ohms => WRONG_OHMS,
        _ => WRONG_VOLTS,
    };
    let size = spread.nominal.abs();
    (is_written && size > 0.0 && spread.standard() > 0.0).then(|| wide * size / spread.standard())
}

/// By how much the volts that a Zener diode is marked with are above its knee; none of any other number.
fn above_knee(prior: &Prior, id: ParameterId) -> Option<f64> {
    let knee = PartParameter::Device(DeviceParameter::KneeVolts);
    let PartKind::Device(device) = &prior.job.circuit.part(id.part).kind else {
        return None;
    };
    let Some(SemiconductorKind::Zener(zener)) = semiconductor("zener").map(|of| of.kind) else {
        return None;
    };
    let is_zener = device.class == DeviceClass::Regulator
        && device.units.iter().all(|unit| unit.glow.is_none());
    let mut units = device.units.iter();
    let slope = units.find_map(|unit| match &unit.characteristic {
        Characteristic::SoftKnee(knee) => Some(knee.slope_ohms),
        _ => None,
    });
    slope
        .filter(|_| is_zener && id.parameter == knee)
        .map(|slope| slope * zener.test_amperes)
}

fn slip(done: &Fitted) -> Option<Tried> {
    let (id, spread) = done.free_number()?;
    let (by_decades, decade) = decades(done, &spread)?;
    let likely = done.likely()?;
    let above = above_knee(&done.prior, id).unwrap_or(0.0);
    // A source the other way round has its terminals exchanged.
    if likely.value * spread.nominal <= 0.0 {
        return None;
    }
    // With all sizes by the wide distribution, the density at one of them is that of the posterior over that
    // of the prior.
    let wide = done.log_likelihood();
    let log_odds = match spread.scale {
        SpreadScale::Ohms => wide + (1.0 - BY_DECADES + BY_DECADES * by_decades).ln(),
        _ => wide,
    };
    let slip = DrawingSlip {
        change: DrawingChange::Number {
            id,
            written: spread.nominal + above,
            likely: LikelyValue {
                value: likely.value + above,
                low: likely.low + above,
                high: likely.high + above,
            },
            decade,
        },
        agreement: done.agreement(),
        log_odds: log_odds + WRONG.ln(),
    };
    let circuit = &done.prior.job.circuit;
    let change = decade.unwrap_or(likely.value) - spread.nominal;
    let part = circuit.part(id.part).varied(id.parameter, change);
    let mut alteration = Alteration::none(&Conditions::default());
    alteration.parts.push((id.part, part));
    Some(Tried {
        slip,
        alteration,
        agrees: done.agrees(),
    })
}

/// How many times as likely as any size by the wide distribution the digits that are written make the table,
/// by decades from what is written, and the number of the likeliest decade where it fits.
fn decades(done: &Fitted, wide: &PartSpread) -> Option<(f64, Option<f64>)> {
    let (at, standard) = done.free_posterior()?;
    // The part itself is within its tolerance of what should be written.
    let tolerance = 0.1 / WRONG_OHMS;
    let width = standard.hypot(tolerance);
    let decade = |power: &i32| {
        let there = f64::from(*power) * std::f64::consts::LN_10 / WRONG_OHMS;
        let distance = (there - at) / width;
        let density = (-0.5 * (distance.powi(2) - there.powi(2))).exp() / width;
        (*power, distance, density / DECADES.len() as f64)
    };
    let each: Vec<(i32, f64, f64)> = DECADES.iter().map(decade).collect();
    let sum = each.iter().map(|(_, _, density)| density).sum();
    let best = each.iter().max_by(|one, other| one.2.total_cmp(&other.2));
    let fits =
        best.filter(|(_, distance, _)| wide.scale == SpreadScale::Ohms && distance.abs() < 1.96);
    Some((
        sum,
        fits.map(|(power, ..)| wide.nominal * 10f64.powi(*power)),
    ))
}
