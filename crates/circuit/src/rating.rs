//! What a part may bear, as parts lists print it beside the value.

/// Ratings of a part.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rating {
    /// The most watts, if stated.
    pub watts: Option<f64>,
    /// The most volts across it, if stated.
    pub volts: Option<f64>,
}

impl Rating {
    /// Whether nothing is stated.
    pub fn is_blank(&self) -> bool {
        self.watts.is_none() && self.volts.is_none()
    }
}
