//! Counts of values held, errors and failures.

/// A kind of place: its name, and which places it is.
pub type Kind = (&'static str, fn(&str) -> bool);

/// Kinds of places.
pub const KINDS: [Kind; 3] = [
    ("all", |_| true),
    ("grids", |place| {
        place.contains("grid") || place.contains("base")
    }),
    ("diodes", |place| place.contains("diode")),
];

/// One value by one way.
#[derive(Clone, Copy)]
pub struct Way {
    pub error: f64,
    pub relative: f64,
    pub holds: bool,
}

/// One value.
pub struct Tally {
    pub place: String,
    pub both: Way,
    pub manual: Option<Way>,
    pub drawing: Option<Way>,
    pub failed: bool,
    pub doubted: bool,
}

/// A line of the table; none of nothing.
pub fn line<'a>(all: impl Iterator<Item = &'a Tally>) -> Option<String> {
    let all: Vec<&Tally> = all.collect();
    if all.is_empty() {
        return None;
    }
    let ways: [Vec<Way>; 3] = [
        all.iter().map(|one| one.both).collect(),
        all.iter().filter_map(|one| one.manual).collect(),
        all.iter().filter_map(|one| one.drawing).collect(),
    ];
    let share = |count: usize, of: usize| 100.0 * count as f64 / of.max(1) as f64;
    let held = ways
        .each_ref()
        .map(|ways| share(ways.iter().filter(|way| way.holds).count(), ways.len()));
    let rms = |ways: &[Way], of: fn(&Way) -> f64| {
        (ways.iter().map(|way| of(way).powi(2)).sum::<f64>() / ways.len().max(1) as f64).sqrt()
    };
    let volts = ways.each_ref().map(|ways| rms(ways, |way| way.error));
    let percent = ways
        .each_ref()
        .map(|ways| 100.0 * rms(ways, |way| way.relative));
    let three = |values: [f64; 3], digits: usize| {
        values.map(|value| format!("{value:>8.digits$}")).concat()
    };
    let failed = share(all.iter().filter(|one| one.failed).count(), all.len());
    let doubted = share(all.iter().filter(|one| one.doubted).count(), all.len());
    Some(format!(
        "{:>7} | {} | {} | {} | {failed:>6.1}{doubted:>7.1}",
        all.len(),
        three(held, 1),
        three(volts, 2),
        three(percent, 1)
    ))
}
