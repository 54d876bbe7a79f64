//! Characteristics of tubes and semiconductors: the parameters of their laws.
//!
//! Data only. The laws, with their sources, are in the solver; the origin of the numbers is in the
//! catalogue. Units are volts, amperes and ohms; perveances are in A/V^x.

/// The currents between a device's terminals, as a family of laws and its parameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Characteristic {
    /// Plate, cathode.
    VacuumDiode(VacuumDiode),
    /// Plate, grid, cathode.
    Triode(Triode),
    /// Plate, screen, grid, cathode.
    Pentode(Pentode),
    /// Plate, screen, oscillator grid, signal grid, cathode.
    Pentagrid(Pentagrid),
    /// Anode, cathode.
    Junction(Junction),
    /// Anode, cathode.
    SoftKnee(SoftKnee),
    /// Collector, base, emitter.
    Bipolar(Bipolar),
    /// Drain, gate, source.
    FieldEffect(FieldEffect),
}

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
    /// Its grid current.
    pub grid: GridCurrent,
    /// Condition of the tube.
    pub wear: Wear,
}

/// Condition of a tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wear {
    /// Share of its full emission, 1 for a good tube; no unit.
    pub emission: f64,
    /// Ion current in amperes that leaves the tube at its grid, 0 for a hard tube.
    pub gas: f64,
}

/// Semiconductor junction; a series resistance is a part of its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Junction {
    /// Saturation current in amperes.
    pub saturation: f64,
    /// Ideality times thermal voltage, `n·V_T`, in volts.
    pub slope_volts: f64,
    /// Leakage resistance across it in ohms.
    pub leak_ohms: f64,
}

/// An element that conducts above a knee along a straight line: a selenium stack, a Zener diode
/// in breakdown, a lit glow tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoftKnee {
    /// Knee in volts.
    pub knee_volts: f64,
    /// Slope above it in ohms.
    pub slope_ohms: f64,
    /// Width of the bend in volts.
    pub softness: f64,
    /// Leakage resistance across it in ohms.
    pub leak_ohms: f64,
}

/// Bipolar transistor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bipolar {
    /// Polarity.
    pub polarity: Polarity,
    /// Transport saturation current in amperes.
    pub saturation: f64,
    /// Forward current gain.
    pub forward_gain: f64,
    /// Reverse current gain.
    pub reverse_gain: f64,
    /// Collector leakage beyond the junction's own, in amperes.
    pub leakage: f64,
    /// Early voltage in volts.
    pub early_volts: f64,
}

/// Junction field-effect transistor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FieldEffect {
    /// Polarity of the channel.
    pub polarity: Polarity,
    /// Drain current at zero gate volts, in amperes.
    pub idss: f64,
    /// Pinch-off voltage of an N channel's gate (negative), in volts; a P channel's with its sign
    /// reversed.
    pub pinch_off: f64,
    /// Channel-length modulation in 1/V.
    pub lambda: f64,
    /// Saturation current of the gate junction in amperes.
    pub gate_saturation: f64,
}

/// NPN or N channel; PNP or P channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Polarity {
    /// NPN, N channel.
    N,
    /// PNP, P channel.
    P,
}

impl Wear {
    /// A new tube.
    pub const NONE: Wear = Wear {
        emission: 1.0,
        gas: 0.0,
    };
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

impl Characteristic {
    /// Grid current and condition of a tube with a grid; none of other devices.
    pub(crate) fn grid_mut(&mut self) -> Option<(&mut GridCurrent, &mut Wear)> {
        match self {
            Characteristic::Triode(Triode { grid, wear, .. })
            | Characteristic::Pentode(Pentode { grid, wear, .. })
            | Characteristic::Pentagrid(Pentagrid { grid, wear, .. }) => Some((grid, wear)),
            Characteristic::VacuumDiode(_)
            | Characteristic::Junction(_)
            | Characteristic::SoftKnee(_)
            | Characteristic::Bipolar(_)
            | Characteristic::FieldEffect(_) => None,
        }
    }

    /// Number of terminals.
    pub fn terminals(&self) -> usize {
        self.terminal_names().len()
    }

    /// Names of the terminals, in their order.
    pub fn terminal_names(&self) -> &'static [&'static str] {
        match self {
            Characteristic::VacuumDiode(_) => &["plate", "cathode"],
            Characteristic::Triode(_) => &["plate", "grid", "cathode"],
            Characteristic::Pentode(_) => &["plate", "screen", "grid", "cathode"],
            Characteristic::Pentagrid(_) => &[
                "plate",
                "screen",
                "oscillator grid",
                "signal grid",
                "cathode",
            ],
            Characteristic::Junction(_) | Characteristic::SoftKnee(_) => &["anode", "cathode"],
            Characteristic::Bipolar(_) => &["collector", "base", "emitter"],
            Characteristic::FieldEffect(_) => &["drain", "gate", "source"],
        }
    }

    /// Whether the device itself limits its current: a tube by its emission and space charge. A
    /// semiconductor or a lit discharge takes what the circuit gives.
    pub fn limits_its_current(&self) -> bool {
        match self {
            Characteristic::VacuumDiode(_)
            | Characteristic::Triode(_)
            | Characteristic::Pentode(_)
            | Characteristic::Pentagrid(_) => true,
            Characteristic::Junction(_)
            | Characteristic::SoftKnee(_)
            | Characteristic::Bipolar(_)
            | Characteristic::FieldEffect(_) => false,
        }
    }

    /// The knee in volts of a device that has one.
    pub fn knee_volts(&self) -> Option<f64> {
        match self {
            Characteristic::SoftKnee(knee) => Some(knee.knee_volts),
            _ => None,
        }
    }
}
