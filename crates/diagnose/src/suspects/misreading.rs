//! The ways in which a reading may have gone wrong.

/// How a reading went wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Misreading {
    /// In no way that can be told.
    Unexplained,
    /// Read off the scale of another range, or with its point one place off: what was noted is this
    /// many times what the meter showed.
    OtherScale {
        /// The factor.
        factor: f64,
    },
    /// Taken at the point of another entry, as an index into [`circuit::Job::manual`], or written
    /// into the wrong line.
    OtherPoint {
        /// The entry.
        entry: usize,
    },
    /// Two digits changed places.
    SwappedDigits {
        /// What the meter showed, in volts.
        meant: f64,
    },
    /// The sign was lost or added.
    OtherSign,
}
