//! Thermistors by their law: `thermistor 10k B=3950 at 60C`, or two points of their sheet,
//! `thermistor 10k at 25C 1.2k at 85C now 60C`.
//!
//! `R = R₀·exp(B·(1/T − 1/T₀))` with temperatures above absolute zero (IEC 60539-1, from memory).
//! Without a temperature of now it has the ohms that are stated first.

use units::{Figure, Unit};

use crate::netlist::items::{Item, ItemKind};
use crate::netlist::values::Values;

/// Absolute zero in degrees Celsius.
const ABSOLUTE_ZERO: f64 = -273.15;

/// Temperature in degrees Celsius of the ohms of a sheet that says no other.
const SHEET: f64 = 25.0;

/// The ohms by the law; none if the line states no more than ohms.
pub(super) fn ohms(values: &mut Values<'_, '_>) -> Option<f64> {
    let texts: Vec<&str> = values.items.iter().map(|item| item.text).collect();
    let law = values.option_item("B");
    let temperatures = texts.iter().any(|text| celsius(text).is_some());
    if law.is_none() && !temperatures {
        return None;
    }
    let Some((ohms, first)) = point(values) else {
        values.reject_part("has no resistance", HELP);
        return Some(1.0);
    };
    let (b, now) = match &law {
        Some(item) => match item.text.trim_end_matches(['K', 'k']).parse::<f64>() {
            Ok(b) if (500.0..=10_000.0).contains(&b) => {
                // `10k B=3950 at 60C`: the only temperature is that of now.
                let now = temperature_behind(values, "now");
                (b, now.or(first))
            }
            _ => {
                let message = "a constant B lies between 500 and 10000";
                values.reject(&item.bytes, message, HELP);
                return Some(ohms);
            }
        },
        None => match (first, point(values)) {
            (Some(cold), Some((other, Some(hot)))) if apart(cold, hot) => {
                let inverse = 1.0 / (hot - ABSOLUTE_ZERO) - 1.0 / (cold - ABSOLUTE_ZERO);
                let b = (other / ohms).ln() / inverse;
                return Some(at(ohms, b, cold, temperature_behind(values, "now")));
            }
            _ => {
                let bytes = values.subject.bytes.clone();
                let message = format!("the law of {} is not clear", values.subject.name);
                values.reject(&bytes, message, HELP);
                return Some(ohms);
            }
        },
    };
    Some(at(ohms, b, SHEET, now))
}

const HELP: &str =
    "state its law, such as `thermistor 10k B=3950 now 60C`, or two points, such as \
                    `thermistor 10k at 25C 1.2k at 85C now 60C`";

/// The ohms at a temperature in degrees Celsius; the stated ones where none is said.
fn at(ohms: f64, b: f64, stated: f64, now: Option<f64>) -> f64 {
    let now = now.unwrap_or(stated);
    ohms * (b * (1.0 / (now - ABSOLUTE_ZERO) - 1.0 / (stated - ABSOLUTE_ZERO))).exp()
}

/// Whether two temperatures lie far enough apart to tell a law: a tenth of a degree.
fn apart(one: f64, other: f64) -> bool {
    (one - other).abs() >= 0.1
}

/// The next ohms, and the temperature said behind them.
fn point(values: &mut Values<'_, '_>) -> Option<(f64, Option<f64>)> {
    let fits = |item: &Item<'_>| {
        let reads = Figure::parse(item.text, Unit::Ohm).is_ok_and(|read| read.value > 0.0);
        item.kind == ItemKind::Value && reads && celsius(item.text).is_none()
    };
    let (index, item) = values.take(fits)?;
    let ohms = Figure::parse(item.text, Unit::Ohm).ok()?.value;
    let next = values.items.get(index + 1..).unwrap_or(&[]);
    let behind = match next {
        [at, place, ..] if at.text.eq_ignore_ascii_case("at") => celsius(place.text),
        _ => None,
    };
    if behind.is_some() {
        values.taken[index + 1] = true;
        values.taken[index + 2] = true;
        return Some((ohms, behind));
    }
    Some((ohms, temperature_behind(values, "at")))
}

fn temperature_behind(values: &mut Values<'_, '_>, word: &'static str) -> Option<f64> {
    let items = values.items.iter().zip(&values.taken);
    let index = items
        .into_iter()
        .position(|(item, taken)| !taken && item.text.eq_ignore_ascii_case(word))?;
    let found = values
        .items
        .get(index + 1)
        .and_then(|item| celsius(item.text))?;
    values.taken[index] = true;
    values.taken[index + 1] = true;
    Some(found)
}

/// `60C`, `25°C`.
fn celsius(text: &str) -> Option<f64> {
    let number = text.strip_suffix(['C', 'c'])?.trim_end_matches(['°', ' ']);
    let found = number.parse::<f64>().ok()?;
    (-100.0..=500.0).contains(&found).then_some(found)
}

#[cfg(test)]
mod tests {
    use super::at;

    /// 10 kΩ with B = 3435 at 25 °C and 50 °C: 10 kΩ and 4.10 kΩ, by hand from the law.
    #[test]
    fn ohms_fall_by_the_law() {
        assert!((at(10e3, 3435.0, 25.0, None) - 10e3).abs() < 1e-6);
        let hot = at(10e3, 3435.0, 25.0, Some(50.0));
        // exp(3435·(1/323.15 − 1/298.15)) = exp(−0.89130) = 0.41012
        assert!((hot - 4101.2).abs() < 1.0, "{hot}");
    }
}
