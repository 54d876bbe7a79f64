//! Diodes and transistors as currents through ports, written afresh.
//!
//! W. Shockley's junction; J. J. Ebers and J. L. Moll, "Large-signal behavior of junction
//! transistors", Proc. IRE 42 (1954) 1761 (from memory). Choices of the model, not of the
//! sources: the exponential goes on as its tangent above 40; the Early factor bends smoothly
//! towards one half; the leakage is a straight line for a forward-biased collector.

use circuit::{Bipolar, Characteristic, DeviceUnit, Junction, Polarity};

/// kT/q at 27 °C in volts.
const VT: f64 = 0.025865;

/// A device on nodes of a network.
#[derive(Clone, Copy, Debug)]
pub enum Device {
    Diode {
        junction: Junction,
        series_ohms: f64,
        at: [usize; 2],
    },
    Transistor {
        bipolar: Bipolar,
        at: [usize; 3],
    },
}

/// A silicon rectifier and a germanium point-contact diode: generic numbers. Series resistances
/// are such that their conductances are short in binary.
pub const SILICON: (Junction, f64) = (
    Junction {
        saturation: 5.883e-9,
        slope_volts: 1.924 * VT,
        leak_ohms: 1e9,
    },
    0.64,
);
pub const GERMANIUM: (Junction, f64) = (
    Junction {
        saturation: 3e-6,
        slope_volts: 1.3 * VT,
        leak_ohms: 1e6,
    },
    40.96,
);

/// A small silicon NPN, its PNP twin, and a leaky germanium PNP: generic numbers.
pub const TRANSISTORS: [Bipolar; 3] = [
    Bipolar {
        polarity: Polarity::N,
        saturation: 1.794e-14,
        forward_gain: 200.0,
        reverse_gain: 4.0,
        leakage: 1e-9,
        early_volts: 100.0,
    },
    Bipolar {
        polarity: Polarity::P,
        saturation: 1.794e-14,
        forward_gain: 180.0,
        reverse_gain: 4.0,
        leakage: 1e-9,
        early_volts: 80.0,
    },
    Bipolar {
        polarity: Polarity::P,
        saturation: 3.029e-6,
        forward_gain: 100.0,
        reverse_gain: 15.0,
        leakage: 1.768e-6,
        early_volts: 50.0,
    },
];

fn exp_then_line(u: f64) -> f64 {
    if u <= 40.0 {
        u.exp()
    } else {
        40f64.exp() * (u - 39.0)
    }
}

fn soft(u: f64) -> f64 {
    u.max(0.0) + (-u.abs()).exp().ln_1p()
}

impl Device {
    /// Pairs of nodes through which it draws its currents.
    pub fn ports(&self) -> Vec<(usize, usize)> {
        match self {
            Device::Diode { at, .. } => vec![(at[0], at[1])],
            Device::Transistor { at, .. } => vec![(at[0], at[2]), (at[1], at[2])],
        }
    }

    /// Amperes into the first node of each port, out of its second.
    pub fn amperes(&self, volts: &[f64]) -> Vec<f64> {
        match self {
            Device::Diode {
                junction,
                series_ohms,
                ..
            } => vec![behind(junction, *series_ohms, volts[0])],
            Device::Transistor { bipolar, .. } => transistor(bipolar, volts[0], volts[1]),
        }
    }

    pub fn terminals(&self) -> &[usize] {
        match self {
            Device::Diode { at, .. } => at,
            Device::Transistor { at, .. } => at,
        }
    }

    pub fn unit(&self) -> DeviceUnit {
        let (characteristic, series_ohms) = match self {
            Device::Diode {
                junction,
                series_ohms,
                ..
            } => (Characteristic::Junction(*junction), *series_ohms),
            Device::Transistor { bipolar, .. } => (Characteristic::Bipolar(*bipolar), 0.0),
        };
        DeviceUnit {
            characteristic,
            at: (0..self.terminals().len()).collect(),
            series_ohms,
            glow: None,
        }
    }
}

fn junction(c: &Junction, v: f64) -> f64 {
    let u = v / c.slope_volts;
    // e^u − 1 without the cancellation where nothing else is left of it.
    let more = if u.abs() < 1.0 {
        u.exp_m1()
    } else {
        exp_then_line(u) - 1.0
    };
    c.saturation * more + v / c.leak_ohms
}

/// A junction and a resistance in series: the current that both carry, by bisection.
fn behind(c: &Junction, ohms: f64, volts: f64) -> f64 {
    // The junction takes between none and all of the volts.
    let (mut low, mut high) = (volts.min(0.0), volts.max(0.0));
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle + ohms * junction(c, middle) < volts {
            low = middle;
        } else {
            high = middle;
        }
    }
    let across = 0.5 * (low + high);
    // Whichever of the two the rounding of `across` moves less.
    if ohms * junction(c, across).abs() > 0.5 * volts.abs() {
        (volts - across) / ohms
    } else {
        junction(c, across)
    }
}

/// Into collector and base, over the emitter.
fn transistor(c: &Bipolar, vce: f64, vbe: f64) -> Vec<f64> {
    let turn = match c.polarity {
        Polarity::N => 1.0,
        Polarity::P => -1.0,
    };
    let (vbe, vbc) = (turn * vbe, turn * (vbe - vce));
    let icc = c.saturation * (exp_then_line(vbe / VT) - 1.0);
    let iec = c.saturation * (exp_then_line(vbc / VT) - 1.0);
    let early = 0.5 + 0.02 * soft((0.5 - vbc / c.early_volts) / 0.02);
    let leak = if vbc < 0.0 {
        -c.leakage * (vbc / VT).exp_m1()
    } else {
        -c.leakage * vbc / VT
    };
    let into_collector = (icc - iec) * early - iec / c.reverse_gain + leak;
    let into_base = icc / c.forward_gain + iec / c.reverse_gain - leak;
    vec![turn * into_collector, turn * into_base]
}
