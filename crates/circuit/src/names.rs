//! Names and the places they stand for, found in constant time.

use std::collections::HashMap;

/// Places in a list of names, by the name in lower case.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Names(HashMap<String, Vec<usize>>);

impl Names {
    /// Adds a name; a name with several places stands for each of them.
    pub(crate) fn add(&mut self, name: &str, place: usize) {
        let places = self.0.entry(name.to_ascii_lowercase()).or_default();
        places.push(place);
    }

    /// The first place of exactly this name; `at` tells the name of a place.
    pub(crate) fn exactly<'a>(&self, name: &str, at: impl Fn(usize) -> &'a str) -> Option<usize> {
        let mut places = self.0.get(&name.to_ascii_lowercase())?.iter().copied();
        places.find(|place| at(*place) == name)
    }

    /// An exact match first, otherwise a match ignoring case if it is the only one.
    pub(crate) fn find<'a>(&self, name: &str, at: impl Fn(usize) -> &'a str) -> Option<usize> {
        let only = || match self.0.get(&name.to_ascii_lowercase())?.as_slice() {
            [only] => Some(*only),
            _ => None,
        };
        self.exactly(name, at).or_else(only)
    }
}
