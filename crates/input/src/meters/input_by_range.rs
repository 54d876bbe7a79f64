//! The input resistance of a meter, one value for all ranges or a table with one for each range:
//! `input = { "200mV" = "10G", "2V" = "10M" }`.
//!
//! A table of the settings comes in; ohms by full scale go out. It refuses a range that the meter
//! does not have, a range that is missing in the table, and a range that is listed twice.

use circuit::MeterInput;
use units::Unit;

use crate::diagnostic::Diagnostic;
use crate::settings::tree::{Entry, Section};
use crate::values::Reported;
use crate::words::Words;

/// Relative difference below which two full scales are the same range: well above the rounding of
/// `0.2` against `200m`, far below any step between ranges.
const SAME_RANGE: f64 = 1e-9;

/// Input resistance of a meter, and of those ranges that have their own.
pub(super) struct Input {
    /// The meter's.
    pub base: MeterInput,
    /// Pairs of full scale in volts and input resistance in ohms.
    pub by_range: Vec<(f64, f64)>,
}

impl Input {
    /// The same on every range.
    pub fn same(base: MeterInput) -> Self {
        let by_range = Vec::new();
        Input { base, by_range }
    }

    /// The input resistance of a range in ohms, if it has its own.
    pub fn on(&self, full_scale: f64) -> Option<f64> {
        own_input(&self.by_range, full_scale)
    }
}

/// An input resistance for each range. On a range that the meter does not list, that of its highest
/// range is used.
pub(super) fn input_by_range(
    entry: &Entry<'_>,
    table: &Section<'_>,
    ranges: Option<&[f64]>,
    out: &mut Vec<Diagnostic>,
) -> Result<Input, Reported> {
    let mut by_range: Vec<(f64, f64)> = Vec::new();
    let mut all_read = Ok(());
    for range in table.entries() {
        match one_range(&range, &by_range, ranges, out) {
            Ok(pair) => by_range.push(pair),
            Err(Reported) => all_read = Err(Reported),
        }
    }
    all_read?;
    let ranges = ranges.ok_or(Reported)?;
    let lacks = |volts: &&f64| own_input(&by_range, **volts).is_none();
    if let Some(volts) = ranges.iter().find(lacks) {
        let range = units::exact(*volts, Unit::Volt);
        let error = entry.error_at_key(format!("the range {range} has no input"));
        let help = "give every range its input, or one input for all";
        return Err(error.help(help).report(out));
    }
    let highest = ranges.last().and_then(|volts| own_input(&by_range, *volts));
    Ok(Input {
        base: MeterInput::Fixed(highest.ok_or(Reported)?),
        by_range,
    })
}

/// Full scale in volts and input resistance in ohms of one line of the table.
fn one_range(
    range: &Entry<'_>,
    before: &[(f64, f64)],
    ranges: Option<&[f64]>,
    out: &mut Vec<Diagnostic>,
) -> Result<(f64, f64), Reported> {
    let key = Words::keyed(range.key_span.clone(), range.key).named(range.what());
    let volts = key.positive(Unit::Volt, out);
    let ohms = range.words(out);
    let ohms = ohms.and_then(|words| words.positive(Unit::Ohm, out));
    let volts = volts?;
    let listed = |ranges: &[f64]| ranges.iter().any(|listed| same_range(*listed, volts));
    if ranges.is_some_and(|ranges| !listed(ranges)) {
        let error = key.error("this range is not among the meter's ranges");
        return Err(error.report(out));
    }
    if own_input(before, volts).is_some() {
        let error = key.error("this range stands here a second time");
        return Err(error.report(out));
    }
    Ok((volts, ohms?))
}

fn own_input(by_range: &[(f64, f64)], full_scale: f64) -> Option<f64> {
    by_range
        .iter()
        .find(|(volts, _)| same_range(*volts, full_scale))
        .map(|(_, ohms)| *ohms)
}

fn same_range(one: f64, other: f64) -> bool {
    (one - other).abs() <= SAME_RANGE * one.abs()
}
