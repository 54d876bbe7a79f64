//! What went wrong in how many circuits, and the worst of it.

use std::collections::BTreeMap;

/// Misses of many circuits, by kind.
#[derive(Default)]
pub struct Tally {
    pub checks: usize,
    kinds: BTreeMap<String, Kind>,
}

#[derive(Default)]
struct Kind {
    count: usize,
    worst: f64,
    where_worst: String,
}

impl Tally {
    /// Counts a comparison that may miss by `allowed`.
    pub fn compare(&mut self, kind: &str, what: &str, (got, want): (f64, f64), allowed: f64) {
        self.checks += 1;
        let over = (got - want).abs() / allowed;
        // Not a number must not pass.
        if !matches!(over.partial_cmp(&1.0), Some(order) if order.is_le()) {
            self.add(
                kind,
                over,
                format!("{what}: got {got:e}, want {want:e}, allowed {allowed:e}"),
            );
        }
    }

    /// Counts something that should not be there at all.
    pub fn refused(&mut self, kind: &str, what: &str, why: &dyn std::fmt::Display) {
        self.checks += 1;
        self.add(kind, f64::INFINITY, format!("{what}: {why}"));
    }

    fn add(&mut self, kind: &str, over: f64, line: String) {
        let kind = self.kinds.entry(kind.to_owned()).or_default();
        kind.count += 1;
        if kind.where_worst.is_empty() || over > kind.worst {
            kind.worst = over;
            kind.where_worst = line;
        }
    }

    /// Fails with a line for every kind of miss.
    pub fn none_of(self, at_least: usize) {
        assert!(self.checks >= at_least, "only {} checks", self.checks);
        let lines: Vec<String> = self
            .kinds
            .iter()
            .map(|(name, kind)| {
                format!(
                    "{} × {name}, worst {:.3e} of what is allowed\n    {}",
                    kind.count, kind.worst, kind.where_worst
                )
            })
            .collect();
        assert!(
            lines.is_empty(),
            "of {} checks\n{}",
            self.checks,
            lines.join("\n")
        );
    }
}
