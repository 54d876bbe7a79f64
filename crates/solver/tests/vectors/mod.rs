//! Reads `operating_points.toml` into circuits and what is expected of them.

use circuit::{
    Capacitor, Circuit, CircuitBuilder, Device, DeviceClass, DeviceUnit, Dielectric, Glow,
    Inductor, Origin, Part, PartKind, Potentiometer, Resistor, Supply, SupplyKind, Terminal,
    Transformer,
};
use serde::Deserialize;

mod characteristics;

use characteristics::Law;

const TEXT: &str = include_str!("operating_points.toml");

/// A circuit with its operating point as an independent program found it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Vector {
    pub name: String,
    pub about: String,
    pub parts: Vec<Component>,
    pub volts: Vec<NodeVolts>,
    pub amperes: Vec<DeviceAmperes>,
    pub metered: Vec<MeteredVolts>,
    pub held: Vec<HeldAmperes>,
}

/// Volts of a node.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NodeVolts {
    pub node: String,
    pub volts: f64,
}

/// Amperes into each terminal of each unit.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeviceAmperes {
    pub device: String,
    pub units: Vec<Vec<f64>>,
}

/// What a resistance between two nodes reads.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeteredVolts {
    pub node: String,
    pub to: String,
    pub ohms: f64,
    pub volts: f64,
}

/// The current that makes a meter to ground read given volts.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeldAmperes {
    pub node: String,
    pub ohms: f64,
    pub volts: f64,
    pub amperes: f64,
}

/// A part as the file writes it.
#[derive(Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Component {
    Supply {
        name: String,
        nodes: [String; 2],
        volts: f64,
        ohms: f64,
    },
    Resistor {
        name: String,
        nodes: [String; 2],
        ohms: f64,
    },
    Inductor {
        name: String,
        nodes: [String; 2],
        ohms: f64,
    },
    Capacitor {
        name: String,
        nodes: [String; 2],
        leak_ohms: f64,
    },
    Potentiometer {
        name: String,
        nodes: [String; 3],
        ohms: f64,
        setting: f64,
    },
    Transformer {
        name: String,
        nodes: [String; 4],
        primary_ohms: f64,
        secondary_ohms: f64,
    },
    Device {
        name: String,
        nodes: Vec<String>,
        units: Vec<Unit>,
    },
}

/// A unit of a device as the file writes it.
#[derive(Deserialize)]
pub struct Unit {
    at: Vec<usize>,
    #[serde(default)]
    series_ohms: f64,
    strike_volts: Option<f64>,
    least_amperes: Option<f64>,
    most_amperes: Option<f64>,
    #[serde(flatten)]
    law: Law,
}

/// Every vector of the file.
pub fn vectors() -> Vec<Vector> {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct File {
        circuit: Vec<Vector>,
    }
    let file: File = toml::from_str(TEXT).unwrap_or_else(|fault| panic!("{fault}"));
    file.circuit
}

impl Vector {
    /// The circuit, drawn.
    pub fn circuit(&self) -> Circuit {
        drawn(self.parts.iter())
    }

    /// The circuit with its tubes and semiconductors taken out.
    pub fn without_devices(&self) -> Circuit {
        let left = |part: &&Component| !matches!(part, Component::Device { .. });
        drawn(self.parts.iter().filter(left))
    }
}

fn drawn<'a>(parts: impl Iterator<Item = &'a Component>) -> Circuit {
    let mut builder = CircuitBuilder::new();
    let ground = builder.node("gnd");
    builder.reference(ground);
    for component in parts {
        let (name, nodes, kind) = component.noun();
        let nodes = nodes.iter().map(|node| builder.node(node)).collect();
        builder.part(Part {
            designator: name.into(),
            kind,
            nodes,
            origin: Origin::default(),
        });
    }
    builder.finish()
}

impl Component {
    fn noun(&self) -> (&str, &[String], PartKind) {
        match self {
            Component::Supply {
                name,
                nodes,
                volts,
                ohms,
            } => {
                let supply = Supply {
                    kind: SupplyKind::Supply,
                    volts: *volts,
                    tolerance: None,
                    source: *ohms,
                    follows_line: true,
                    off: None,
                };
                (name, nodes, PartKind::Supply(supply))
            }
            Component::Resistor { name, nodes, ohms } => {
                let resistor = Resistor {
                    ohms: *ohms,
                    tolerance: None,
                };
                (name, nodes, PartKind::Resistor(resistor))
            }
            Component::Inductor { name, nodes, ohms } => {
                let coil = Inductor {
                    henries: Some(1.0),
                    ohms: *ohms,
                };
                (name, nodes, PartKind::Inductor(coil))
            }
            Component::Capacitor {
                name,
                nodes,
                leak_ohms,
            } => {
                let capacitor = Capacitor {
                    farads: 1e-6,
                    tolerance: None,
                    leak: Some(*leak_ohms),
                    dielectric: Dielectric::Paper,
                };
                (name, nodes, PartKind::Capacitor(capacitor))
            }
            Component::Potentiometer {
                name,
                nodes,
                ohms,
                setting,
            } => {
                let control = Potentiometer {
                    ohms: *ohms,
                    tolerance: None,
                    setting: *setting,
                    is_stated: true,
                    offset: 0.0,
                    taps: Vec::new(),
                };
                (name, nodes, PartKind::Potentiometer(control))
            }
            Component::Transformer {
                name,
                nodes,
                primary_ohms,
                secondary_ohms,
            } => {
                let transformer = Transformer {
                    ratio: 25.0,
                    primary_ohms: *primary_ohms,
                    secondary_ohms: *secondary_ohms,
                };
                (name, nodes, PartKind::Transformer(transformer))
            }
            Component::Device { name, nodes, units } => {
                let device = Device {
                    type_name: "vector".into(),
                    class: DeviceClass::Tube,
                    terminals: nodes.iter().map(|node| terminal(node)).collect(),
                    units: units.iter().map(Unit::noun).collect(),
                    tolerance: None,
                };
                (name, nodes, PartKind::Device(device))
            }
        }
    }
}

fn terminal(node: &str) -> Terminal {
    Terminal {
        name: node.into(),
        pins: Vec::new(),
    }
}

impl Unit {
    fn noun(&self) -> DeviceUnit {
        let limits = (self.strike_volts, self.least_amperes, self.most_amperes);
        let glow = match limits {
            (Some(strike_volts), Some(least_amperes), Some(most_amperes)) => Some(Glow {
                strike_volts,
                least_amperes,
                most_amperes,
            }),
            _ => None,
        };
        DeviceUnit {
            characteristic: self.law.characteristic(),
            at: self.at.clone(),
            series_ohms: self.series_ohms,
            glow,
        }
    }
}
