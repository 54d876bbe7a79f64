//! Ratings of a part, as parts lists print them after the value.

/// Ratings of a part.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rating {
    /// Maximum dissipation in watts, if stated.
    pub watts: Option<f64>,
    /// Maximum volts across it, if stated.
    pub volts: Option<f64>,
}

impl Rating {
    /// Whether no rating is stated.
    pub fn is_blank(&self) -> bool {
        self.watts.is_none() && self.volts.is_none()
    }
}
