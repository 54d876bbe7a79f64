//! Characteristics under test, as the independent fitting script found them (status: computed).

use circuit::{
    Bipolar, Characteristic, FieldEffect, GridCurrent, Heptode, Junction, OscillatorTriode,
    Pentagrid, Pentode, Polarity, RemoteSection, SoftKnee, Triode, VacuumDiode, Wear,
};

/// A tube with 40 % of its emission and a strong ion current.
pub const WORN: Wear = Wear {
    emission: 0.4,
    gas: 2e-6,
};

pub const T12AX7: Triode = triode([0.0014061, 1.3901, 106.96, 849.08, 0.50476]);
pub const T12AU7: Triode = triode([0.0012569, 1.3623, 20.329, 91.408, 0.29938]);
pub const T6SN7: Triode = triode([0.0012254, 1.3847, 21.258, 153.48, 0.35684]);

/// G, x, mu, kp, V0.
const fn triode(numbers: [f64; 5]) -> Triode {
    Triode {
        perveance: numbers[0],
        exponent: numbers[1],
        mu: numbers[2],
        softness: numbers[3],
        contact: numbers[4],
        grid: GridCurrent::RECEIVING,
        wear: Wear::NONE,
    }
}

pub const T6AQ5: Pentode = Pentode {
    perveance: 0.00085088,
    exponent: 1.499,
    mu: 9.4012,
    softness: 46.478,
    contact: 0.18965,
    screen_share: 0.1014,
    share_exponent: 0.83173,
    mu_plate: 825.18,
    knee: 0.090055,
    knee_power: 3.0,
    remote: None,
    grid: GridCurrent::POWER,
    wear: Wear::NONE,
};

pub const TEL34: Pentode = Pentode {
    perveance: 0.0026718,
    exponent: 1.4831,
    mu: 10.816,
    softness: 61.87,
    contact: 0.20966,
    screen_share: 0.13858,
    share_exponent: 0.15279,
    mu_plate: 217.01,
    knee: 0.090507,
    knee_power: 2.0,
    remote: None,
    grid: GridCurrent::POWER,
    wear: Wear::NONE,
};

pub const T6BA6: Pentode = Pentode {
    perveance: 0.0022302,
    exponent: 1.5031,
    mu: 26.249,
    softness: 246.02,
    contact: 0.19539,
    screen_share: 0.40364,
    share_exponent: 0.06551,
    mu_plate: 17276.0,
    knee: 0.089886,
    knee_power: 2.0,
    remote: Some(RemoteSection {
        share: 0.22199,
        reach: 0.19356,
    }),
    grid: GridCurrent::RECEIVING,
    wear: Wear::NONE,
};

/// A 12BE6 whose oscillator stands still.
pub const T12BE6_DEAD: Pentagrid = Pentagrid {
    perveance: 0.0024234,
    exponent: 1.45,
    mu: 20.0,
    screen_share: 2.6923,
    share_exponent: 0.15081,
    knee: 0.09,
    knee_power: 2.0,
    signal_scale: 7.382,
    oscillating_grid: -2.4067,
    oscillator_amperes: 0.5e-3,
    fed_at: None,
    oscillates: false,
    grid: GridCurrent::RECEIVING,
    wear: Wear::NONE,
};

pub const T5Y3: VacuumDiode = VacuumDiode {
    perveance: 0.00026896,
    contact: 0.0,
    emission: 1.0,
};

pub const T6AL5: VacuumDiode = VacuumDiode {
    perveance: 0.0019262,
    contact: -0.1,
    emission: 1.0,
};

/// Its 0.6 Ω in series are a part of their own.
pub const D1N4148: Junction = Junction {
    saturation: 5.883e-9,
    slope_volts: 1.924 * solver::THERMAL_VOLTS,
    leak_ohms: 1e9,
};

pub const SELENIUM_PLATE: SoftKnee = SoftKnee {
    knee_volts: 0.45,
    slope_ohms: 5.5,
    softness: 0.08,
    leak_ohms: 58.08e3,
};

pub const Q2N3904: Bipolar = Bipolar {
    polarity: Polarity::N,
    saturation: 1.794e-14,
    forward_gain: 200.0,
    reverse_gain: 4.0,
    leakage: 1e-9,
    early_volts: 100.0,
};

pub const Q2N404: Bipolar = Bipolar {
    polarity: Polarity::P,
    saturation: 3.029e-6,
    forward_gain: 100.0,
    reverse_gain: 15.0,
    leakage: 1.768e-6,
    early_volts: 50.0,
};

pub const J2N5457: FieldEffect = FieldEffect {
    polarity: Polarity::N,
    idss: 0.003,
    pinch_off: -3.058,
    lambda: 0.003333,
    gate_saturation: 1e-10,
};

/// Every law, in every form it has.
pub fn every_law() -> Vec<(&'static str, Characteristic)> {
    use Characteristic as C;
    let oscillating = Pentagrid {
        oscillates: true,
        ..T12BE6_DEAD
    };
    vec![
        ("5Y3", C::VacuumDiode(T5Y3)),
        (
            "worn 6AL5",
            C::VacuumDiode(VacuumDiode {
                emission: WORN.emission,
                ..T6AL5
            }),
        ),
        ("12AX7", C::Triode(T12AX7)),
        ("12AU7", C::Triode(T12AU7)),
        (
            "worn 6SN7",
            C::Triode(Triode {
                wear: WORN,
                ..T6SN7
            }),
        ),
        ("6AQ5", C::Pentode(T6AQ5)),
        ("EL34", C::Pentode(TEL34)),
        ("6BA6", C::Pentode(T6BA6)),
        (
            "worn 6BA6",
            C::Pentode(Pentode {
                wear: WORN,
                ..T6BA6
            }),
        ),
        (
            "oscillating 12AU7",
            C::Oscillator(OscillatorTriode {
                triode: T12AU7,
                swing: 12.0,
                fed_at: None,
            }),
        ),
        (
            "oscillating 12AU7 that follows its plate",
            C::Oscillator(OscillatorTriode {
                triode: T12AU7,
                swing: 12.0,
                fed_at: Some(120.0),
            }),
        ),
        (
            "6BA6 with a third grid",
            C::Heptode(Heptode {
                pentode: T6BA6,
                injection_scale: 14.0,
            }),
        ),
        ("dead 12BE6", C::Pentagrid(T12BE6_DEAD)),
        ("oscillating 12BE6", C::Pentagrid(oscillating)),
        (
            "oscillating 12BE6 that follows its screen",
            C::Pentagrid(Pentagrid {
                fed_at: Some(100.0),
                ..oscillating
            }),
        ),
        (
            "worn dead 12BE6",
            C::Pentagrid(Pentagrid {
                wear: WORN,
                ..T12BE6_DEAD
            }),
        ),
        (
            "worn oscillating 12BE6",
            C::Pentagrid(Pentagrid {
                wear: WORN,
                ..oscillating
            }),
        ),
        ("1N4148", C::Junction(D1N4148)),
        ("selenium plate", C::SoftKnee(SELENIUM_PLATE)),
        ("2N3904", C::Bipolar(Q2N3904)),
        ("2N404", C::Bipolar(Q2N404)),
        (
            "NPN of the 2N404's numbers",
            C::Bipolar(Bipolar {
                polarity: Polarity::N,
                ..Q2N404
            }),
        ),
        ("2N5457", C::FieldEffect(J2N5457)),
        (
            "P channel of the 2N5457's numbers",
            C::FieldEffect(FieldEffect {
                polarity: Polarity::P,
                ..J2N5457
            }),
        ),
    ]
}
