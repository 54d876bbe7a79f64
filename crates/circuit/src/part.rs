//! Parts and what is written on them.
//!
//! A part is a reference designation, a kind with its values, and the nodes of its terminals in the
//! fixed order that [`PartKind::terminals`] names. Values are in volts, ohms, farads, henries,
//! amperes, hertz; tolerances are fractions (0.1 for ±10 %). The behaviour of a part is the
//! solver's task.

use crate::capacitor::Capacitor;
use crate::circuit::{NodeId, Origin};
use crate::device::{Device, DeviceClass};

/// One component of the drawn circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Reference designation, such as `R7`.
    pub designator: String,
    /// What it is, with its values.
    pub kind: PartKind,
    /// Nodes of its terminals, in the order of [`PartKind::terminals`].
    pub nodes: Vec<NodeId>,
    /// The netlist line that states it.
    pub origin: Origin,
}

/// What a part is.
#[derive(Clone, Debug, PartialEq)]
pub enum PartKind {
    /// Fixed resistor.
    Resistor(Resistor),
    /// Resistor with a wiper.
    Potentiometer(Potentiometer),
    /// Capacitor: open for direct current except for its leakage.
    Capacitor(Capacitor),
    /// Choke or coil: its winding resistance for direct current.
    Inductor(Inductor),
    /// Two windings, with no direct current between them.
    Transformer(Transformer),
    /// Power supply or battery.
    Supply(Supply),
    /// Signal generator: its own source resistance for direct current.
    Generator(Generator),
    /// Filament lamp.
    Lamp(Lamp),
    /// Switch or fuse.
    Contact(Contact),
    /// Tube or semiconductor.
    Device(Device),
}

/// Fixed resistor.
#[derive(Clone, Debug, PartialEq)]
pub struct Resistor {
    /// Marked resistance in ohms.
    pub ohms: f64,
    /// Half-width of its tolerance as a fraction, if stated.
    pub tolerance: Option<f64>,
}

/// Potentiometer or rheostat.
#[derive(Clone, Debug, PartialEq)]
pub struct Potentiometer {
    /// Resistance from end to end, in ohms.
    pub ohms: f64,
    /// Half-width of its tolerance as a fraction, if stated.
    pub tolerance: Option<f64>,
    /// Share of the resistance between the counter-clockwise end and the wiper, 0 to 1.
    pub setting: f64,
    /// Whether the drawing says where the wiper stands; if it does not, `setting` stands for any.
    pub is_stated: bool,
    /// How far the wiper is from where it is said to be, as [`Potentiometer::moved`] counts it; 0 as drawn.
    pub offset: f64,
    /// Fixed taps of the track, as shares from the counter-clockwise end, at most two.
    pub taps: Vec<f64>,
}

/// Choke or coil.
#[derive(Clone, Debug, PartialEq)]
pub struct Inductor {
    /// Inductance in henries; none if it is not stated.
    pub henries: Option<f64>,
    /// Winding resistance in ohms; 0 is allowed.
    pub ohms: f64,
}

/// Transformer of two windings.
#[derive(Clone, Debug, PartialEq)]
pub struct Transformer {
    /// Primary turns over secondary turns.
    pub ratio: f64,
    /// Primary winding resistance in ohms.
    pub primary_ohms: f64,
    /// Secondary winding resistance in ohms.
    pub secondary_ohms: f64,
}

/// Whether a source of direct voltage is a supply or a battery.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SupplyKind {
    /// Mains-fed or otherwise external supply.
    Supply,
    /// Battery.
    Battery,
}

/// Power supply or battery.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Supply or battery.
    pub kind: SupplyKind,
    /// Open-circuit volts of the plus terminal relative to the minus terminal.
    pub volts: f64,
    /// Half-width of its tolerance as a fraction, if stated.
    pub tolerance: Option<f64>,
    /// Own resistance in ohms; 0 is an ideal source.
    pub source: f64,
    /// Whether its volts follow the line voltage.
    pub follows_line: bool,
    /// Its resistance in ohms with the power off, as an ohmmeter sees it; none is open.
    pub off: Option<f64>,
}

/// Signal generator.
#[derive(Clone, Debug, PartialEq)]
pub struct Generator {
    /// Open-circuit volts, root mean square.
    pub volts: f64,
    /// Frequency in hertz.
    pub hertz: f64,
    /// Own resistance in ohms.
    pub source: f64,
    /// What it is with the power off; none if that is not stated, and it is its own resistance.
    pub off: Option<WithoutPower>,
}

/// Frequencies of power lines in hertz.
const LINES: [f64; 2] = [50.0, 60.0];

/// Whether this is the frequency of a power line, in hertz.
pub fn is_line_frequency(hertz: f64) -> bool {
    LINES.iter().any(|line| (hertz / line - 1.0).abs() < 1e-6)
}

/// What a source is to an ohmmeter with the power off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WithoutPower {
    /// Disconnected: the line with the plug out.
    Open,
    /// A resistance in ohms.
    Ohms(f64),
}

/// Filament lamp, taken at the resistance of its rating.
#[derive(Clone, Debug, PartialEq)]
pub struct Lamp {
    /// Rated volts.
    pub volts: f64,
    /// Rated amperes.
    pub amperes: f64,
}

/// What a contact is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ContactKind {
    /// Switch.
    Switch,
    /// Fuse.
    Fuse,
    /// Jack: closed while it is empty, open while a plug is in it.
    Jack,
}

/// A contact that connects two nodes if it is closed.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    /// Switch, fuse or jack.
    pub kind: ContactKind,
    /// Whether it conducts.
    pub closed: bool,
}

impl Part {
    /// A part that no netlist line states.
    pub fn new(designator: impl Into<String>, kind: PartKind, nodes: Vec<NodeId>) -> Self {
        Part {
            designator: designator.into(),
            kind,
            nodes,
            origin: Origin::default(),
        }
    }

    /// The nodes at the numbered grids of a tube; none of another part. A screen is none of them.
    pub fn grids(&self) -> impl Iterator<Item = NodeId> + '_ {
        let is_tube = matches!(&self.kind, PartKind::Device(own) if own.class == DeviceClass::Tube);
        let names = self.kind.terminals().into_iter().zip(&self.nodes);
        let grids = names.filter(move |(name, _)| is_tube && name.starts_with("grid"));
        grids.map(|(_, node)| *node)
    }
}

impl PartKind {
    /// A fixed resistor without a stated tolerance, by its ohms.
    pub fn resistor(ohms: f64) -> Self {
        PartKind::Resistor(Resistor {
            ohms,
            tolerance: None,
        })
    }

    /// Names of the terminals, in the order in which [`Part::nodes`] holds their nodes.
    pub fn terminals(&self) -> Vec<&str> {
        match self {
            PartKind::Potentiometer(pot) => {
                let taps = ["tap", "tap2"].into_iter().take(pot.taps.len());
                ["cw", "wiper", "ccw"].into_iter().chain(taps).collect()
            }
            PartKind::Supply(_) => vec!["plus", "minus"],
            PartKind::Transformer(_) => vec![
                "primary start",
                "primary end",
                "secondary start",
                "secondary end",
            ],
            PartKind::Resistor(_)
            | PartKind::Capacitor(_)
            | PartKind::Inductor(_)
            | PartKind::Generator(_)
            | PartKind::Lamp(_)
            | PartKind::Contact(_) => vec!["first", "second"],
            PartKind::Device(device) => device.terminals.iter().map(|own| &*own.name).collect(),
        }
    }

    /// The kind in one or two words, as in the netlist and the reports.
    pub fn noun(&self) -> &'static str {
        match self {
            PartKind::Resistor(_) => "resistor",
            PartKind::Potentiometer(_) => "potentiometer",
            PartKind::Capacitor(_) => "capacitor",
            PartKind::Inductor(_) => "inductor",
            PartKind::Transformer(_) => "transformer",
            PartKind::Supply(supply) => match supply.kind {
                SupplyKind::Supply => "supply",
                SupplyKind::Battery => "battery",
            },
            PartKind::Generator(_) => "signal generator",
            PartKind::Lamp(_) => "lamp",
            PartKind::Contact(contact) => match contact.kind {
                ContactKind::Switch => "switch",
                ContactKind::Fuse => "fuse",
                ContactKind::Jack => "jack",
            },
            PartKind::Device(device) => device.class.noun(),
        }
    }

    /// Its direct volts and source resistance, if it is a direct source.
    pub fn supply(&self) -> Option<&Supply> {
        match self {
            PartKind::Supply(supply) => Some(supply),
            PartKind::Resistor(_)
            | PartKind::Potentiometer(_)
            | PartKind::Capacitor(_)
            | PartKind::Inductor(_)
            | PartKind::Transformer(_)
            | PartKind::Generator(_)
            | PartKind::Lamp(_)
            | PartKind::Contact(_)
            | PartKind::Device(_) => None,
        }
    }

    /// Whether it brings volts of its own, direct or alternating.
    pub fn is_source(&self) -> bool {
        match self {
            PartKind::Supply(_) | PartKind::Generator(_) => true,
            PartKind::Resistor(_)
            | PartKind::Potentiometer(_)
            | PartKind::Capacitor(_)
            | PartKind::Inductor(_)
            | PartKind::Transformer(_)
            | PartKind::Lamp(_)
            | PartKind::Contact(_)
            | PartKind::Device(_) => false,
        }
    }

    /// Groups of terminals that are connected inside the part, by whatever means: each winding of a
    /// transformer and each section of a tube is a separate group.
    pub fn joined_terminals(&self) -> Vec<Vec<usize>> {
        match self {
            PartKind::Transformer(_) => vec![vec![0, 1], vec![2, 3]],
            PartKind::Potentiometer(pot) => vec![(0..3 + pot.taps.len()).collect()],
            PartKind::Device(device) => device.units.iter().map(|unit| unit.at.clone()).collect(),
            PartKind::Resistor(_)
            | PartKind::Capacitor(_)
            | PartKind::Inductor(_)
            | PartKind::Supply(_)
            | PartKind::Generator(_)
            | PartKind::Lamp(_)
            | PartKind::Contact(_) => vec![vec![0, 1]],
        }
    }
}

impl Lamp {
    /// Resistance in ohms at its rating: volts over amperes.
    pub fn ohms(&self) -> f64 {
        self.volts / self.amperes
    }
}
