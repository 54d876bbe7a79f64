//! The laws of tubes and semiconductors, through [`solver::evaluate`].
//!
//! Proof of three kinds: derivatives against differences of the currents themselves
//! (`derivatives`), properties that every law must have (`invariants`), and currents and voltages
//! from published points or from an independent fitting script (`triodes`, `pentodes`,
//! `vacuum_diodes`, `semiconductors`).

mod bisection;
mod derivatives;
mod figure;
mod invariants;
mod pentodes;
mod samples;
mod semiconductors;
mod triodes;
mod vacuum_diodes;
