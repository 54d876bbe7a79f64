//! The parameters of the laws of tubes.
//!
//! Data only, as in [`crate::Characteristic`]. Units are volts and amperes; perveances are in A/V^x.

/// Vacuum diode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VacuumDiode {
    /// Perveance in A/V^1.5.
    pub perveance: f64,
    /// Contact potential in volts.
    pub contact: f64,
    /// Share of its full emission, 1 for a good tube; no unit.
    pub emission: f64,
}

/// Current into a grid that has become positive enough to draw it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridCurrent {
    /// Perveance in A/V^1.5.
    pub perveance: f64,
    /// Onset in volts.
    pub onset: f64,
}

/// Triode section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Triode {
    /// Perveance at the equivalent-diode voltage, in A/V^x.
    pub perveance: f64,
    /// Exponent `x`.
    pub exponent: f64,
    /// Amplification factor.
    pub mu: f64,
    /// Cut-off softness `kp`.
    pub softness: f64,
    /// Contact potential and initial velocity, in volts.
    pub contact: f64,
    /// Its grid current.
    pub grid: GridCurrent,
    /// Condition of the tube.
    pub wear: Wear,
}

/// Pentode or beam tetrode section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pentode {
    /// Perveance at the equivalent-diode voltage, in A/V^x.
    pub perveance: f64,
    /// Exponent `x`.
    pub exponent: f64,
    /// Amplification factor of grid 1 to the screen.
    pub mu: f64,
    /// Cut-off softness `kp`.
    pub softness: f64,
    /// Contact potential and initial velocity, in volts.
    pub contact: f64,
    /// Screen current over plate current at equal voltages, `D`.
    pub screen_share: f64,
    /// How that share falls as the plate rises above the screen, exponent `n`.
    pub share_exponent: f64,
    /// Residual amplification factor of the plate.
    pub mu_plate: f64,
    /// Knee voltage as a share of the screen's, `kk`.
    pub knee: f64,
    /// Steepness of the knee, `m`.
    pub knee_power: f64,
    /// The wide part of a remote-cutoff grid.
    pub remote: Option<RemoteSection>,
    /// Its grid current.
    pub grid: GridCurrent,
    /// Condition of the tube.
    pub wear: Wear,
}

/// The widely wound part of a remote-cutoff grid, as a second section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RemoteSection {
    /// Its perveance as a share of the main section's, `b`.
    pub share: f64,
    /// Share of the grid voltage that acts on it, `beta`.
    pub reach: f64,
}

/// Pentagrid converter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pentagrid {
    /// Perveance in A/V^x.
    pub perveance: f64,
    /// Exponent `x`.
    pub exponent: f64,
    /// Amplification factor of grid 1 to the screen.
    pub mu: f64,
    /// Screen share at equal voltages, `D`.
    pub screen_share: f64,
    /// How that share falls as the plate rises above the screen, exponent `n`.
    pub share_exponent: f64,
    /// Knee voltage as a share of the screen's.
    pub knee: f64,
    /// Steepness of the knee.
    pub knee_power: f64,
    /// Volts of the signal grid that change the plate's share by a factor e.
    pub signal_scale: f64,
    /// Volts of grid 1 that would give the average current of the oscillating tube.
    pub oscillating_grid: f64,
    /// Rectified current of its oscillator into grid 1, in amperes.
    pub oscillator_amperes: f64,
    /// Whether its oscillator runs.
    pub oscillates: bool,
    /// Screen volts above the cathode at which its oscillator has these figures, in proportion to which it has them
    /// at others; none where it has them at any.
    pub fed_at: Option<f64>,
    /// Its grid current.
    pub grid: GridCurrent,
    /// Condition of the tube.
    pub wear: Wear,
}

/// Triode that oscillates: its grid swings about the volts that its leak makes of its own current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OscillatorTriode {
    /// The triode at rest.
    pub triode: Triode,
    /// Peak of the grid's alternating volts.
    pub swing: f64,
    /// Plate volts above the cathode at which it swings so far, in proportion to which it swings at others; none
    /// where it swings so far at any.
    pub fed_at: Option<f64>,
}

/// Heptode mixer: a pentode whose third grid turns plate current into screen current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heptode {
    /// The tube with its third grid at the cathode's volts.
    pub pentode: Pentode,
    /// Volts of the third grid below the cathode that change the plate's share by a factor e.
    pub injection_scale: f64,
}

/// Condition of a tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wear {
    /// Share of its full emission, 1 for a good tube; no unit.
    pub emission: f64,
    /// Ion current in amperes that leaves the tube at its grid, 0 for a hard tube.
    pub gas: f64,
}

impl Wear {
    /// Emission of a cold cathode as a share: next to nothing, but the laws stay smooth.
    pub const COLD: f64 = 1e-9;

    /// A new tube.
    pub const NONE: Wear = Wear {
        emission: 1.0,
        gas: 0.0,
    };
}

impl OscillatorTriode {
    /// Peak grid volts of a receiver's oscillator where nothing else is known (common practice, no source: its
    /// grid leak shows 5 to 12 V).
    pub const USUAL_SWING: f64 = 10.0;
}

impl Pentagrid {
    /// Rectified oscillator current into grid 1 of most types, in amperes (from memory of makers'
    /// data).
    pub const OSCILLATOR_AMPERES: f64 = 0.5e-3;
}

impl GridCurrent {
    /// Small receiving types: 0.5 mA/V^1.5 from −0.157 V, so that a grid with a 10 MΩ grid leak is
    /// at −0.70 V (from memory of makers' data).
    pub const RECEIVING: GridCurrent = GridCurrent {
        perveance: 0.5e-3,
        onset: -0.157,
    };

    /// Power types: 2 mA/V^1.5 (from memory).
    pub const POWER: GridCurrent = GridCurrent {
        perveance: 2e-3,
        onset: -0.157,
    };
}
