//! What can be wrong with a part: faults by kind.
//!
//! Words only. How a fault changes a circuit is `faulty`'s business, how likely it is
//! `priors`'.

use circuit::{DeviceParameter, PartParameter};

/// A fault of a part by its kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fault {
    /// The part carries no current.
    Open,
    /// The part's ends are joined.
    Shorted,
    /// A resistor's value has risen beyond its tolerance.
    DriftedHigh,
    /// A resistor's value has fallen beyond its tolerance.
    DriftedLow,
    /// A resistor of ten times the value was fitted.
    TenTimes,
    /// A resistor of a tenth of the value was fitted.
    ATenth,
    /// A potentiometer's track is broken between the wiper and the clockwise end.
    TrackOpenAbove,
    /// A potentiometer's track is broken between the wiper and the counter-clockwise end.
    TrackOpenBelow,
    /// A potentiometer's wiper touches nothing.
    WiperOpen,
    /// A control stands nearer to its clockwise end than is said.
    SetHigher,
    /// A control stands nearer to its counter-clockwise end than is said.
    SetLower,
    /// A capacitor, diode or junction lets through current that it should not.
    Leaky,
    /// The primary winding carries no current.
    PrimaryOpen,
    /// The secondary winding carries no current.
    SecondaryOpen,
    /// Turns of a winding are joined, so its resistance is low.
    ShortedTurns,
    /// A supply or a regulator gives more than its tolerance allows.
    VoltsHigh,
    /// A supply or a regulator gives less than its tolerance allows.
    VoltsLow,
    /// A supply's own resistance has risen.
    WeakSource,
    /// A supply gives nothing.
    Dead,
    /// Nothing feeds the set: all its supplies give nothing, or all its batteries too.
    Unfed,
    /// A contact does not close.
    StuckOpen,
    /// A contact does not open.
    StuckClosed,
    /// A contact has a resistance while it is closed.
    DirtyContact,
    /// A tube's cathode gives too little current.
    LowEmission,
    /// A tube draws ion current through its grid.
    Gassy,
    /// A tube draws no current: its cathode lead is open or its heater is.
    NoEmission,
    /// The heater of a socket is open, so no section of it draws current; or that of any tube of a
    /// string of heaters in series, so no tube of it does.
    HeaterOpen,
    /// A tube of another type with the same base is plugged in.
    OtherType,
    /// An earlier repair has exchanged two sections of a tube, or a lead of one with that of the other.
    SectionsSwapped,
    /// One electrode has lost its connection.
    ElectrodeOpen,
    /// Current leaks from the cathode to the heater, which stands at the reference.
    HeaterCathodeLeak,
    /// Grid and cathode touch.
    GridCathodeShort,
    /// Current leaks from grid to cathode, over a film on the mica.
    GridCathodeLeak,
    /// Plate and cathode touch.
    PlateCathodeShort,
    /// A tube that is drawn as an oscillator is at rest: its coil, its capacitors, or too weak.
    NotOscillating,
    /// A glow discharge never strikes.
    NoStrike,
    /// A selenium rectifier's forward resistance has risen.
    Aged,
    /// Collector and emitter, or drain and source, are joined.
    EndsShorted,
    /// Current leaks from a transistor's collector to its emitter.
    CollectorEmitterLeak,
    /// Base and emitter are joined.
    BaseEmitterShort,
    /// Collector and base are joined.
    CollectorBaseShort,
    /// Current leaks from the gate of a field-effect transistor to its source, down to a short.
    GateSourceLeak,
    /// The same from its gate to its drain.
    GateDrainLeak,
    /// A transistor's current gain, or a field-effect transistor's drain current, is low.
    LowGain,
}

impl Fault {
    /// The fault in the words of the trade.
    pub fn name(self) -> &'static str {
        match self {
            Fault::Open => "open",
            Fault::Shorted => "shorted",
            Fault::DriftedHigh => "drifted high",
            Fault::DriftedLow => "drifted low",
            Fault::TenTimes => "ten times its value",
            Fault::ATenth => "a tenth of its value",
            Fault::TrackOpenAbove => "track open above the wiper",
            Fault::TrackOpenBelow => "track open below the wiper",
            Fault::WiperOpen => "wiper open",
            Fault::SetHigher => "set higher",
            Fault::SetLower => "set lower",
            Fault::Leaky => "leaky",
            Fault::PrimaryOpen => "primary open",
            Fault::SecondaryOpen => "secondary open",
            Fault::ShortedTurns => "shorted turns",
            Fault::VoltsHigh => "volts high",
            Fault::VoltsLow => "volts low",
            Fault::WeakSource => "weak",
            Fault::Dead => "dead",
            Fault::Unfed => "not fed",
            Fault::StuckOpen => "does not close",
            Fault::StuckClosed => "does not open",
            Fault::DirtyContact => "dirty contact",
            Fault::LowEmission => "low emission",
            Fault::Gassy => "gassy",
            Fault::NoEmission => "open cathode or no heater",
            Fault::HeaterOpen => "heater open",
            Fault::ElectrodeOpen => "open electrode",
            Fault::OtherType => "another type",
            Fault::SectionsSwapped => "two sections swapped",
            Fault::HeaterCathodeLeak => "heater-cathode leakage",
            Fault::GridCathodeShort => "grid-cathode short",
            Fault::GridCathodeLeak => "grid-cathode leakage",
            Fault::PlateCathodeShort => "plate-cathode short",
            Fault::NotOscillating => "does not oscillate",
            Fault::NoStrike => "does not strike",
            Fault::Aged => "aged",
            Fault::EndsShorted => "shorted through",
            Fault::CollectorEmitterLeak => "collector-emitter leakage",
            Fault::BaseEmitterShort => "base-emitter short",
            Fault::CollectorBaseShort => "collector-base short",
            Fault::GateSourceLeak => "gate-source leakage",
            Fault::GateDrainLeak => "gate-drain leakage",
            Fault::LowGain => "low gain",
        }
    }

    /// For a fault without a size, the factor by which the resistance that stands for it may well
    /// be off, on the side of a connection that is neither quite broken nor quite joined: that
    /// resistance is known to a power of ten, and a number even in its logarithm within one power
    /// either way has a standard deviation of `ln 10 · 2/√12`, a factor of 3.8.
    pub(crate) fn fault_resistance_factor(self) -> Option<f64> {
        const FACTOR: f64 = 3.8;
        match self {
            Fault::Open
            | Fault::TrackOpenAbove
            | Fault::TrackOpenBelow
            | Fault::WiperOpen
            | Fault::PrimaryOpen
            | Fault::SecondaryOpen
            | Fault::Dead
            | Fault::Unfed
            | Fault::ElectrodeOpen => Some(1.0 / FACTOR),
            Fault::Shorted
            | Fault::GridCathodeShort
            | Fault::PlateCathodeShort
            | Fault::EndsShorted
            | Fault::BaseEmitterShort
            | Fault::CollectorBaseShort => Some(FACTOR),
            _ => None,
        }
    }

    /// Whether it may leave an electrode hanging on next to nothing.
    pub(crate) fn may_raise_electrode_ohms(self) -> bool {
        self.breaks() || self == Fault::StuckOpen
    }

    /// Whether it joins two nodes as a wire does.
    pub(crate) fn joins(self) -> bool {
        matches!(
            self,
            Fault::Shorted
                | Fault::GridCathodeShort
                | Fault::PlateCathodeShort
                | Fault::EndsShorted
                | Fault::BaseEmitterShort
                | Fault::CollectorBaseShort
        )
    }

    /// Whether a connection is broken, by more ohms than anybody can tell.
    pub(crate) fn breaks(self) -> bool {
        self.fault_resistance_factor()
            .is_some_and(|factor| factor < 1.0)
    }

    /// Whether the fault itself sets a number of its part, so that its tolerance counts no more.
    pub(crate) fn sets(self, parameter: PartParameter) -> bool {
        use DeviceParameter as D;
        use PartParameter as P;
        match self {
            Fault::Open
            | Fault::Shorted
            | Fault::DriftedHigh
            | Fault::DriftedLow
            | Fault::TenTimes
            | Fault::ATenth => matches!(
                parameter,
                P::Resistance | P::Leak | P::Volts | P::SourceResistance
            ),
            Fault::TrackOpenAbove | Fault::TrackOpenBelow | Fault::WiperOpen => {
                matches!(parameter, P::Resistance | P::WiperPosition)
            }
            Fault::SetHigher | Fault::SetLower => parameter == P::WiperPosition,
            Fault::Leaky => matches!(parameter, P::Leak | P::Device(D::Leakage)),
            Fault::PrimaryOpen | Fault::ShortedTurns => {
                matches!(parameter, P::PrimaryResistance | P::Resistance)
            }
            Fault::SecondaryOpen => parameter == P::SecondaryResistance,
            Fault::VoltsHigh | Fault::VoltsLow => {
                matches!(parameter, P::Volts | P::Device(D::KneeVolts))
            }
            Fault::Aged => parameter == P::Device(D::SlopeResistance),
            Fault::WeakSource => parameter == P::SourceResistance,
            Fault::Dead | Fault::Unfed => {
                matches!(parameter, P::Volts | P::SourceResistance)
            }
            Fault::LowEmission | Fault::NoEmission | Fault::HeaterOpen => {
                parameter == P::Device(D::Emission)
            }
            Fault::Gassy => parameter == P::Device(D::GasCurrent),
            Fault::NotOscillating => {
                matches!(
                    parameter,
                    P::Device(D::OscillatorSwing | D::OscillatorCurrent)
                )
            }
            Fault::NoStrike => parameter == P::Device(D::KneeVolts),
            Fault::LowGain => matches!(parameter, P::Device(D::CurrentGain | D::DrainCurrent)),
            _ => false,
        }
    }
}
