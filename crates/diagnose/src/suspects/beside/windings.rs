//! Windings and generators that give nothing.
//!
//! No direct voltage tells them from sound ones, so that they are tried only where alternating volts
//! were read.

use circuit::{Circuit, PartId, PartKind};

use crate::suspects::fault::{Fault, Hypothesis};
use crate::suspects::hypotheses::Candidate;
use crate::suspects::part_class::PartClass;
use crate::suspects::priors::{weight, AgeFactors};

/// Every generator drawn, dead: as often as a winding opens.
pub(crate) fn dead_windings(circuit: &Circuit, ages: &AgeFactors) -> Vec<Candidate> {
    let weight = weight(PartClass::Transformer, Fault::SecondaryOpen, ages).unwrap_or(0.0);
    let parts = circuit.parts().iter().enumerate();
    let generators = parts.filter(|(_, part)| matches!(part.kind, PartKind::Generator(_)));
    generators
        .filter(|_| weight > 0.0)
        .map(|(index, _)| Candidate {
            hypothesis: Hypothesis::of(PartId(index), Fault::Dead),
            weight,
            sizes: None,
        })
        .collect()
}
