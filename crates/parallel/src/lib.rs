//! Independent work on all processors.
//!
//! Items and what to do with each come in; the results go out in the order of the items, so that they do not depend
//! on the number of threads. The thread pool's generic code is compiled here once, behind `dyn`; with its iterators in
//! each crate it was up to a quarter of what the compiler had to optimize there.

#![forbid(unsafe_code)]

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;

/// What becomes of one item.
enum Slot<T, R> {
    Waiting(T),
    Taken,
    Done(R),
}

/// The result of each item, in the order of the items.
pub fn map<T: Send, R: Send>(
    items: impl IntoIterator<Item = T>,
    work: impl Fn(T) -> R + Sync,
) -> Vec<R> {
    let slots = items
        .into_iter()
        .map(|item| Mutex::new(Slot::Waiting(item)));
    let slots: Vec<Mutex<Slot<T, R>>> = slots.collect();
    each(slots.len(), &|place| {
        // No other thread wants this slot; the lock only hands it over.
        let mut slot = slots[place].lock().unwrap_or_else(PoisonError::into_inner);
        if let Slot::Waiting(item) = std::mem::replace(&mut *slot, Slot::Taken) {
            *slot = Slot::Done(work(item));
        }
    });
    let done = slots.into_iter().filter_map(|slot| {
        match slot.into_inner().unwrap_or_else(PoisonError::into_inner) {
            Slot::Done(result) => Some(result),
            Slot::Waiting(_) | Slot::Taken => None,
        }
    });
    done.collect()
}

/// The results that are some, in the order of the items.
pub fn filter_map<T: Send, R: Send>(
    items: impl IntoIterator<Item = T>,
    work: impl Fn(T) -> Option<R> + Sync,
) -> Vec<R> {
    map(items, work).into_iter().flatten().collect()
}

/// The result of each item, or none at all as soon as one has none: no item is begun after that.
pub fn map_while_some<T: Send, R: Send>(
    items: impl IntoIterator<Item = T>,
    work: impl Fn(T) -> Option<R> + Sync,
) -> Option<Vec<R>> {
    let stopped = AtomicBool::new(false);
    let results = map(items, |item| {
        if stopped.load(Ordering::Relaxed) {
            return None;
        }
        let result = work(item);
        if result.is_none() {
            stopped.store(true, Ordering::Relaxed);
        }
        result
    });
    results.into_iter().collect()
}

/// Both results.
pub fn join<A: Send, B: Send>(
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    rayon::join(one, other)
}

/// Runs it on a thread of the pool, so that loops that begin there need not hand over to the pool and wait for it.
pub fn within<R: Send>(work: impl FnOnce() -> R + Send) -> R {
    rayon::scope(|_| work())
}

/// Calls it with 0 to `count` − 1.
fn each(count: usize, work: &(dyn Fn(usize) + Sync)) {
    (0..count).into_par_iter().for_each(work);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_the_order_of_the_items() {
        let squares = map(0..1000_u64, |item| item * item);
        assert!(squares
            .iter()
            .zip(0..)
            .all(|(square, item)| *square == item * item));
        assert_eq!(squares.len(), 1000);
        assert_eq!(
            filter_map(0..10, |item| (item % 3 == 1).then_some(item)),
            [1, 4, 7]
        );
        assert_eq!(join(|| 1, || "two"), (1, "two"));
    }

    #[test]
    fn items_may_be_changed_in_place() {
        let mut items = vec![1, 2, 3];
        map(&mut items, |item| *item += 1);
        assert_eq!(items, [2, 3, 4]);
    }

    #[test]
    fn nothing_is_begun_after_one_has_no_result() {
        let begun = Mutex::new(0);
        let found = within(|| {
            map_while_some(0..100_000, |item| {
                *begun.lock().ok()? += 1;
                (item < 3).then_some(item)
            })
        });
        assert_eq!(found, None);
        // Each thread may have begun one more at the same time.
        let threads = rayon::current_num_threads();
        assert!(begun.into_inner().is_ok_and(|begun| begun <= 3 + threads));
        assert_eq!(map_while_some(0..3, Some), Some(vec![0, 1, 2]));
    }

    #[test]
    fn loops_may_stand_in_loops() {
        let sums = map(0..50_u64, |one| {
            map(0..50_u64, |other| one * other).iter().sum::<u64>()
        });
        assert_eq!(sums.iter().sum::<u64>(), 1225 * 1225);
    }
}
