//! What is supposed to be the case: a set in order, a fault in its place, a slip of a reading, or
//! something that none of these is.
//!
//! Two faults at once are two of these in a list. How large a fault is stands beside it.

use circuit::{PartId, PartParameter};

use crate::suspects::fault::Fault;

/// What is supposed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Hypothesis {
    /// A set in order.
    NothingWrong,
    /// Something that no fault of a single part is.
    NoneOfThese,
    /// A reading of the bench is not what it is taken for.
    ReadingWrong {
        /// Which, as an index into [`circuit::Job::readings`].
        reading: usize,
    },
    /// A part has a fault that says all by its kind.
    Part {
        /// The part.
        part: PartId,
        /// What is wrong with it.
        fault: Fault,
    },
    /// An electrode has lost its connection.
    LeadLost {
        /// The part.
        part: PartId,
        /// The terminal, by its place in the part's list of terminals.
        terminal: usize,
    },
    /// A tube of another type with the same base is plugged in.
    OtherType {
        /// The first section of the socket.
        part: PartId,
        /// The type, as an index into [`circuit::tube_types`].
        other: usize,
    },
    /// An earlier repair has exchanged the leads of two sections of a tube.
    SectionsSwapped {
        /// The one.
        part: PartId,
        /// The other.
        with: PartId,
        /// The terminal whose leads are exchanged; none for all of them.
        terminal: Option<usize>,
    },
}

impl Hypothesis {
    pub(crate) fn of(part: PartId, fault: Fault) -> Self {
        Hypothesis::Part { part, fault }
    }

    /// The part that has the fault; none for a set in order, a wrong reading, and none of these.
    pub fn part(&self) -> Option<PartId> {
        match self {
            Hypothesis::NothingWrong
            | Hypothesis::NoneOfThese
            | Hypothesis::ReadingWrong { .. } => None,
            Hypothesis::Part { part, .. }
            | Hypothesis::LeadLost { part, .. }
            | Hypothesis::OtherType { part, .. }
            | Hypothesis::SectionsSwapped { part, .. } => Some(*part),
        }
    }

    /// The kind of fault of that part.
    pub fn fault(&self) -> Option<Fault> {
        match self {
            Hypothesis::NothingWrong
            | Hypothesis::NoneOfThese
            | Hypothesis::ReadingWrong { .. } => None,
            Hypothesis::Part { fault, .. } => Some(*fault),
            Hypothesis::LeadLost { .. } => Some(Fault::ElectrodeOpen),
            Hypothesis::OtherType { .. } => Some(Fault::OtherType),
            Hypothesis::SectionsSwapped { .. } => Some(Fault::SectionsSwapped),
        }
    }

    /// The terminal that it speaks of, by its place in the part's list of terminals.
    pub fn terminal(&self) -> Option<usize> {
        match self {
            Hypothesis::LeadLost { terminal, .. } => Some(*terminal),
            Hypothesis::SectionsSwapped { terminal, .. } => *terminal,
            Hypothesis::NothingWrong
            | Hypothesis::NoneOfThese
            | Hypothesis::ReadingWrong { .. }
            | Hypothesis::Part { .. }
            | Hypothesis::OtherType { .. } => None,
        }
    }

    /// The type that is plugged in instead, as an index into [`circuit::tube_types`].
    pub fn other_type(&self) -> Option<usize> {
        match self {
            Hypothesis::OtherType { other, .. } => Some(*other),
            _ => None,
        }
    }

    /// The reading that is wrong, as an index into [`circuit::Job::readings`].
    pub fn reading(&self) -> Option<usize> {
        match self {
            Hypothesis::ReadingWrong { reading } => Some(*reading),
            _ => None,
        }
    }

    /// What is supposed in the words of the trade.
    pub fn name(&self) -> &'static str {
        match self {
            Hypothesis::NothingWrong => "nothing wrong",
            Hypothesis::NoneOfThese => "none of these",
            Hypothesis::ReadingWrong { .. } => "reading wrong",
            Hypothesis::Part { fault, .. } => fault.name(),
            Hypothesis::LeadLost { .. } => Fault::ElectrodeOpen.name(),
            Hypothesis::OtherType { .. } => Fault::OtherType.name(),
            Hypothesis::SectionsSwapped { .. } => Fault::SectionsSwapped.name(),
        }
    }

    /// See [`Fault::may_raise_electrode_ohms`].
    pub(crate) fn may_raise_electrode_ohms(&self) -> bool {
        self.fault().is_some_and(Fault::may_raise_electrode_ohms)
    }

    /// See [`Fault::joins`].
    pub(crate) fn may_join_nodes(&self) -> bool {
        self.fault().is_some_and(Fault::joins)
    }

    /// See [`Fault::breaks`].
    pub(crate) fn breaks(&self) -> bool {
        self.fault().is_some_and(Fault::breaks)
    }

    /// See [`Fault::fault_resistance_factor`].
    pub(crate) fn fault_resistance_factor(&self) -> Option<f64> {
        self.fault()?.fault_resistance_factor()
    }

    /// See [`Fault::sets`].
    pub(crate) fn sets(&self, parameter: PartParameter) -> bool {
        self.fault().is_some_and(|fault| fault.sets(parameter))
    }
}
