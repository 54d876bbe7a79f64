//! Circuits solved against closed forms, exact arithmetic and independent programs.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod closed_forms; // ladders, cubes, rings, grids: resistances known in closed form
mod exact; // volts and resistances against big rationals
mod far_apart; // devices between resistors many decades apart, at 50 digits
mod laws; // the laws of tubes and semiconductors
mod many_stages; // a chassis of forty alike stages against one alone
mod metered; // a meter on a nonlinear circuit, and derivatives of what it reads
mod negative_resistance; // circuits with more states than one
mod numbered; // circuits of the vectors whose nodes are numbers
mod operating_points; // operating points against an independent program
mod oscillators; // triodes that oscillate, against a simulation in time
mod phasors; // alternating volts at one frequency
mod power_off; // ohmmeters on drawings without power
mod random_stages; // two thousand random stages, from zero volts
mod sketch; // circuits drawn in a line of code
mod structure; // circuits without a trustworthy solution
mod twelve_decades; // thousands of circuits whose resistors lie far apart
mod vectors; // circuits and answers of the independent programs
