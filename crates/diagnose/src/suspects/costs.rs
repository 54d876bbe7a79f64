//! What the kinds of steps cost: one table.
//!
//! A new reading in the running set is 1; the others are how many such readings a bench spends on
//! them, with what they wear out and what they risk. Common practice, no source.

/// A kind of step at the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StepKind {
    /// A point that was read already, read again.
    ReadAgain,
    /// A point or node that was not read yet.
    ReadNew,
    /// Two nodes against each other of which neither is a reference.
    ReadDifference,
    /// Ohms in the circuit with the power off.
    OhmsOff,
    /// A tube swapped for a good one of its type, and one reading.
    SwapTube,
    /// Two tubes of one type exchanged, and one reading.
    ExchangeTubes,
    /// One lead of a part unsoldered, one measurement, and the lead soldered again.
    LiftLead,
}

/// The table.
pub const STEP_COSTS: [(StepKind, f64); 7] = [
    (StepKind::ReadAgain, 1.0),
    (StepKind::ReadNew, 1.0),
    // Both leads are live: they are clipped on with the power off.
    (StepKind::ReadDifference, 1.5),
    // Discharging takes time, but the measurement is safe.
    (StepKind::OhmsOff, 1.0),
    // Cooling, warming up.
    (StepKind::SwapTube, 2.0),
    (StepKind::ExchangeTubes, 2.0),
    // Plug out, discharged, unsoldered, soldered; old leads and lugs break.
    (StepKind::LiftLead, 4.0),
];

impl StepKind {
    /// Its cost, in new readings.
    pub fn cost(self) -> f64 {
        let mut table = STEP_COSTS.iter();
        let own = table.find(|(kind, _)| *kind == self);
        own.map_or(1.0, |(_, cost)| *cost)
    }
}
