//! Capacitors: what insulates their plates, and how much that leaks.
//!
//! Farads and working volts come in, a dielectric and ohms go out. What a leak does to any reading is not known here.

/// Capacitor.
#[derive(Clone, Debug, PartialEq)]
pub struct Capacitor {
    /// Capacitance in farads.
    pub farads: f64,
    /// Half-width of its tolerance as a fraction, if stated.
    pub tolerance: Option<f64>,
    /// Leakage resistance in ohms; none is an ideal dielectric.
    pub leak: Option<f64>,
    /// What insulates its plates.
    pub dielectric: Dielectric,
}

impl Capacitor {
    /// Leakage resistance in ohms of a sound old capacitor of this size, known to a factor of three or so
    /// (common practice, no source). An electrolytic one has 100 s by its capacitance, the 0.01 µA for
    /// each µF and V of data sheets (from memory).
    pub fn usual_leak(&self) -> f64 {
        match self.dielectric {
            Dielectric::Electrolytic => 100.0 / self.farads,
            Dielectric::Paper => (300.0 / self.farads).min(3e9),
            Dielectric::Mica => 100e9,
        }
    }
}

/// What insulates the plates of a capacitor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dielectric {
    /// The oxide of an electrolytic capacitor.
    Electrolytic,
    /// Paper, waxed or in oil.
    Paper,
    /// Mica, ceramic or plastic film.
    Mica,
}

impl Dielectric {
    /// What a capacitor of this many farads and working volts, where they are printed, usually has (common
    /// practice, no source): 1 or 2 µF for 200 V and more are paper.
    pub fn usual(farads: f64, volts: Option<f64>) -> Dielectric {
        let paper_below = match volts {
            Some(volts) if volts >= 200.0 => 3.9e-6,
            _ => 0.99e-6,
        };
        match farads {
            farads if farads >= paper_below => Dielectric::Electrolytic,
            farads if farads >= 0.99e-9 => Dielectric::Paper,
            _ => Dielectric::Mica,
        }
    }
}
