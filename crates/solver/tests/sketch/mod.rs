//! Circuits put together in a line each, for tests.

use circuit::{
    Characteristic, Circuit, CircuitBuilder, Device, DeviceClass, DeviceUnit, GridCurrent, Origin,
    Part, PartKind, Pentode, Resistor, Supply, SupplyKind, Terminal, Triode, Wear,
};

/// A circuit in the making, with reference `gnd`.
pub struct Sketch(CircuitBuilder);

impl Sketch {
    pub fn new() -> Self {
        let mut builder = CircuitBuilder::new();
        let ground = builder.node("gnd");
        builder.reference(ground);
        Sketch(builder)
    }

    pub fn part(mut self, designator: &str, kind: PartKind, nodes: &[&str]) -> Self {
        let nodes = nodes.iter().map(|name| self.0.node(name)).collect();
        self.0.part(Part {
            designator: designator.into(),
            kind,
            nodes,
            origin: Origin::default(),
        });
        self
    }

    pub fn resistor(self, designator: &str, ohms: f64, a: &str, b: &str) -> Self {
        let resistor = Resistor {
            ohms,
            tolerance: None,
        };
        self.part(designator, PartKind::Resistor(resistor), &[a, b])
    }

    pub fn supply(self, designator: &str, volts: f64, plus: &str, minus: &str) -> Self {
        let supply = Supply {
            kind: SupplyKind::Supply,
            volts,
            tolerance: None,
            source: 0.0,
            follows_line: true,
            off: None,
        };
        self.part(designator, PartKind::Supply(supply), &[plus, minus])
    }

    /// One characteristic, its terminals on the nodes of these names.
    pub fn device(self, designator: &str, characteristic: Characteristic, nodes: &[&str]) -> Self {
        let unit = DeviceUnit {
            characteristic,
            at: (0..nodes.len()).collect(),
            series_ohms: 0.0,
            glow: None,
        };
        self.unit(designator, unit, nodes)
    }

    pub fn unit(self, designator: &str, unit: DeviceUnit, nodes: &[&str]) -> Self {
        self.units(designator, vec![unit], nodes)
    }

    pub fn units(self, designator: &str, units: Vec<DeviceUnit>, nodes: &[&str]) -> Self {
        let device = Device {
            type_name: "test".into(),
            class: DeviceClass::Tube,
            terminals: nodes
                .iter()
                .map(|name| Terminal {
                    name: (*name).into(),
                    pins: Vec::new(),
                })
                .collect(),
            units,
            tolerance: None,
        };
        self.part(designator, PartKind::Device(device), nodes)
    }

    pub fn done(self) -> Circuit {
        self.0.finish()
    }
}

/// A triode of high amplification, numbers of the 12AX7 as fitted to its data sheet.
pub fn high_mu() -> Characteristic {
    Characteristic::Triode(Triode {
        perveance: 1.4061e-3,
        exponent: 1.3901,
        mu: 106.96,
        softness: 849.08,
        contact: 0.50476,
        grid: GridCurrent::RECEIVING,
        wear: Wear::NONE,
    })
}

/// A beam power tube, numbers of the 6AQ5 as fitted to its data sheet.
pub fn beam_power() -> Characteristic {
    Characteristic::Pentode(Pentode {
        perveance: 0.85088e-3,
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
    })
}
