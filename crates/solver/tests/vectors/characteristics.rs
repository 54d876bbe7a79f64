//! Characteristics as `operating_points.toml` writes them: one flat table a unit.

use circuit::{
    Bipolar, Characteristic, FieldEffect, GridCurrent, Junction, Pentagrid, Pentode, Polarity,
    RemoteSection, SoftKnee, Triode, VacuumDiode, Wear,
};
use serde::Deserialize;

/// The law of a unit, with its numbers.
#[derive(Deserialize)]
#[serde(tag = "law", rename_all = "snake_case")]
pub enum Law {
    VacuumDiode(DiodeNumbers),
    Triode(TriodeNumbers),
    Pentode(PentodeNumbers),
    Pentagrid(PentagridNumbers),
    Junction(JunctionNumbers),
    SoftKnee(KneeNumbers),
    Bipolar(BipolarNumbers),
    FieldEffect(ChannelNumbers),
}

#[derive(Deserialize)]
pub struct DiodeNumbers {
    perveance: f64,
    contact: f64,
    emission: f64,
}

#[derive(Deserialize)]
pub struct TriodeNumbers {
    perveance: f64,
    exponent: f64,
    mu: f64,
    softness: f64,
    contact: f64,
    #[serde(flatten)]
    condition: Condition,
}

#[derive(Deserialize)]
pub struct PentodeNumbers {
    perveance: f64,
    exponent: f64,
    mu: f64,
    softness: f64,
    contact: f64,
    screen_share: f64,
    share_exponent: f64,
    mu_plate: f64,
    knee: f64,
    knee_power: f64,
    remote_share: Option<f64>,
    remote_reach: Option<f64>,
    #[serde(flatten)]
    condition: Condition,
}

#[derive(Deserialize)]
pub struct PentagridNumbers {
    perveance: f64,
    exponent: f64,
    mu: f64,
    screen_share: f64,
    share_exponent: f64,
    knee: f64,
    knee_power: f64,
    signal_scale: f64,
    oscillating_grid: f64,
    oscillates: bool,
    #[serde(flatten)]
    condition: Condition,
}

#[derive(Deserialize)]
pub struct Condition {
    grid_perveance: f64,
    grid_onset: f64,
    emission: f64,
    gas: f64,
}

#[derive(Deserialize)]
pub struct JunctionNumbers {
    saturation: f64,
    slope_volts: f64,
    leak_ohms: f64,
}

#[derive(Deserialize)]
pub struct KneeNumbers {
    knee_volts: f64,
    slope_ohms: f64,
    softness: f64,
    leak_ohms: f64,
}

#[derive(Deserialize)]
pub struct BipolarNumbers {
    polarity: Sign,
    saturation: f64,
    forward_gain: f64,
    reverse_gain: f64,
    leakage: f64,
    early_volts: f64,
}

#[derive(Deserialize)]
pub struct ChannelNumbers {
    polarity: Sign,
    idss: f64,
    pinch_off: f64,
    lambda: f64,
    gate_saturation: f64,
}

#[derive(Clone, Copy, Deserialize)]
pub enum Sign {
    N,
    P,
}

impl Sign {
    fn polarity(self) -> Polarity {
        match self {
            Sign::N => Polarity::N,
            Sign::P => Polarity::P,
        }
    }
}

impl Condition {
    fn grid(&self) -> GridCurrent {
        GridCurrent {
            perveance: self.grid_perveance,
            onset: self.grid_onset,
        }
    }

    fn wear(&self) -> Wear {
        Wear {
            emission: self.emission,
            gas: self.gas,
        }
    }
}

impl Law {
    /// The same as the circuit's own noun.
    pub fn characteristic(&self) -> Characteristic {
        match self {
            Law::VacuumDiode(n) => Characteristic::VacuumDiode(VacuumDiode {
                perveance: n.perveance,
                contact: n.contact,
                emission: n.emission,
            }),
            Law::Triode(n) => Characteristic::Triode(Triode {
                perveance: n.perveance,
                exponent: n.exponent,
                mu: n.mu,
                softness: n.softness,
                contact: n.contact,
                grid: n.condition.grid(),
                wear: n.condition.wear(),
            }),
            Law::Pentode(n) => Characteristic::Pentode(Pentode {
                perveance: n.perveance,
                exponent: n.exponent,
                mu: n.mu,
                softness: n.softness,
                contact: n.contact,
                screen_share: n.screen_share,
                share_exponent: n.share_exponent,
                mu_plate: n.mu_plate,
                knee: n.knee,
                knee_power: n.knee_power,
                remote: n
                    .remote_share
                    .zip(n.remote_reach)
                    .map(|(share, reach)| RemoteSection { share, reach }),
                grid: n.condition.grid(),
                wear: n.condition.wear(),
            }),
            Law::Pentagrid(n) => Characteristic::Pentagrid(Pentagrid {
                perveance: n.perveance,
                exponent: n.exponent,
                mu: n.mu,
                screen_share: n.screen_share,
                share_exponent: n.share_exponent,
                knee: n.knee,
                knee_power: n.knee_power,
                signal_scale: n.signal_scale,
                oscillating_grid: n.oscillating_grid,
                oscillator_amperes: 0.5e-3,
                fed_at: None,
                oscillates: n.oscillates,
                grid: n.condition.grid(),
                wear: n.condition.wear(),
            }),
            Law::Junction(n) => Characteristic::Junction(Junction {
                saturation: n.saturation,
                slope_volts: n.slope_volts,
                leak_ohms: n.leak_ohms,
            }),
            Law::SoftKnee(n) => Characteristic::SoftKnee(SoftKnee {
                knee_volts: n.knee_volts,
                slope_ohms: n.slope_ohms,
                softness: n.softness,
                leak_ohms: n.leak_ohms,
            }),
            Law::Bipolar(n) => Characteristic::Bipolar(Bipolar {
                polarity: n.polarity.polarity(),
                saturation: n.saturation,
                forward_gain: n.forward_gain,
                reverse_gain: n.reverse_gain,
                leakage: n.leakage,
                early_volts: n.early_volts,
            }),
            Law::FieldEffect(n) => Characteristic::FieldEffect(FieldEffect {
                polarity: n.polarity.polarity(),
                idss: n.idss,
                pinch_off: n.pinch_off,
                lambda: n.lambda,
                gate_saturation: n.gate_saturation,
            }),
        }
    }
}
