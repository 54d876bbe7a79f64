//! Translations and their uncertainties against standards, worked examples and other programs.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod cases; // tables of worked examples
mod conformity; // verdicts: JCGM 106:2012, ILAC-G8:09/2019
mod monte_carlo; // trials: JCGM 101:2008
mod published_quantities; // currents, decibels and waves as books print them
mod quantities; // resistances, currents, alternating volts of small jobs
mod trials; // trials of whole translations against first order
mod uncertainty; // first order: JCGM 100:2008
mod uncertainty_meters; // permitted errors of meters
