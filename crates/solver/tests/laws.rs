//! The laws of tubes and semiconductors, through [`solver::evaluate`].
//!
//! Proof of three kinds: derivatives against differences of the currents themselves
//! (`derivatives`), properties that every law must have (`invariants`), and currents and voltages
//! from published points or from an independent fitting script (`triodes`, `pentodes`,
//! `vacuum_diodes`, `semiconductors`).

#[path = "laws/bisection.rs"]
mod bisection;
#[path = "laws/derivatives.rs"]
mod derivatives;
#[path = "laws/figure.rs"]
mod figure;
#[path = "laws/invariants.rs"]
mod invariants;
#[path = "laws/pentodes.rs"]
mod pentodes;
#[path = "laws/samples.rs"]
mod samples;
#[path = "laws/semiconductors.rs"]
mod semiconductors;
#[path = "laws/triodes.rs"]
mod triodes;
#[path = "laws/vacuum_diodes.rs"]
mod vacuum_diodes;
