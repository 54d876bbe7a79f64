//! The progress of a long run, shown on the error stream.
//!
//! Counts come in, from any thread; one line that overwrites itself goes out, and is wiped at the
//! end. If that is no terminal, nothing is written.

use std::io::{self, Write};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Signs between the ends of the bar.
const SIGNS: usize = 40;

/// A bar that fills up.
pub(crate) struct Bar {
    what: &'static str,
    most: usize,
    watched: bool,
    /// Percent shown, plus one; nothing is shown yet at 0.
    shown: AtomicUsize,
}

impl Bar {
    /// A bar of so many of something, not shown yet.
    pub(crate) fn new(what: &'static str, most: usize, watched: bool) -> Self {
        Bar {
            what,
            most,
            watched,
            shown: AtomicUsize::new(0),
        }
    }

    /// Shows that so many are done. What comes late or moves it by less than a percent is left out.
    pub(crate) fn show(&self, done: usize) {
        let percent = percent(done, self.most);
        if !self.watched || self.shown.fetch_max(percent + 1, Ordering::Relaxed) > percent {
            return;
        }
        self.write(&format!("\r{}", line(self.what, percent)));
    }

    /// Wipes the line.
    pub(crate) fn clear(&self) {
        if self.shown.load(Ordering::Relaxed) > 0 {
            let width = line(self.what, 100).chars().count();
            self.write(&format!("\r{}\r", " ".repeat(width)));
        }
    }

    /// A failure to show the bar is ignored.
    fn write(&self, text: &str) {
        let mut stream = io::stderr().lock();
        let _ = stream.write_all(text.as_bytes());
        let _ = stream.flush();
    }
}

fn percent(done: usize, most: usize) -> usize {
    (done.min(most) * 100).checked_div(most).unwrap_or(100)
}

fn line(what: &str, percent: usize) -> String {
    let full = percent * SIGNS / 100;
    let (done, left) = ("#".repeat(full), ".".repeat(SIGNS - full));
    format!("{what} [{done}{left}] {percent:>3} %")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_fills_and_keeps_its_width() {
        assert_eq!(
            [0, 50, 199, 200, 300].map(|n| percent(n, 200)),
            [0, 25, 99, 100, 100]
        );
        assert_eq!(percent(0, 0), 100);
        let (start, end) = (line("trials", 0), line("trials", 100));
        assert_eq!(start.len(), end.len());
        assert!(end.contains(&"#".repeat(SIGNS)));
    }

    #[test]
    fn nobody_is_shown_nothing() {
        let bar = Bar::new("trials", 10, false);
        bar.show(5);
        assert_eq!(bar.shown.load(Ordering::Relaxed), 0);
    }
}
