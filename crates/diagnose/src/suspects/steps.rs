//! Progress of a ranking, and whether it continues.

use std::sync::atomic::{AtomicUsize, Ordering};

use crate::suspects::options::GoOn;

/// Steps of a ranking, counted from any thread.
pub(crate) struct Steps<'a> {
    all: usize,
    done: AtomicUsize,
    go_on: GoOn<'a>,
}

impl<'a> Steps<'a> {
    /// So many steps, none done yet.
    pub(crate) fn new(all: usize, go_on: GoOn<'a>) -> Self {
        Steps {
            all,
            done: AtomicUsize::new(0),
            go_on,
        }
    }

    /// One more is done; whether the next shall be.
    pub(crate) fn one(&self) -> bool {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        (self.go_on)(done, self.all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_counted_until_somebody_stops_them() {
        let go_on = |done: usize, all: usize| done < all - 1;
        let steps = Steps::new(3, &go_on);
        assert_eq!([steps.one(), steps.one()], [true, false]);
    }
}
