//! The solved circuit: node voltages, and the data from which metered states are computed.

use std::sync::{Arc, OnceLock};

use circuit::{Circuit, Conditions, NodeId, PartId, Port, SettingValue};
use nalgebra::{DMatrix, DVector};

use crate::convergence::Convergence;
use crate::deviation::Curvature;
use crate::equations::{solved_from, Equations};
use crate::error::SolveError;
use crate::impedances::{Impedances, Parted};
use crate::law::Evaluation;
use crate::network::{Carried, Network};
use crate::newton::FallBacks;
use crate::reduced::Reduced;
use crate::sensitivity::leaving;
use crate::stable::{add_silent_states, is_unstable, stable_states};
use crate::star_mesh::StarMesh;
use crate::terms::Terms;

/// A circuit under given conditions, solved with no meter on it.
#[derive(Clone, Debug)]
pub struct Solution {
    pub(crate) network: Network,
    pub(crate) eliminated: StarMesh,
    /// Currents of the sources after the forward elimination, one entry for each row.
    pub(crate) sources: DVector<f64>,
    pub(crate) reduced: Reduced,
    /// Volts of the rows that devices touch.
    pub(crate) kept: DVector<f64>,
    /// Volts of all rows.
    pub(crate) rows: DVector<f64>,
    /// What each device does there.
    pub(crate) tangents: Vec<Evaluation>,
    /// `Z = (Y + G)⁻¹` in ohms, one row and one column for each row that devices touch.
    pub(crate) impedances: DMatrix<f64>,
    /// The same in low-rank form, where that is smaller.
    pub(crate) parted: Option<Parted>,
    pub(crate) terms: OnceLock<Terms>,
    pub(crate) curvatures: OnceLock<Vec<Curvature>>,
    /// Distinguishes the ports prepared on this solution from those of others.
    pub(crate) identity: Arc<()>,
    /// Volts of all rows in the circuit's other stable state.
    pub(crate) other: Option<DVector<f64>>,
    pub(crate) convergence: Convergence,
}

/// Solves a circuit under given conditions. It returns one of two stable states; see [`solve_all`].
///
/// # Errors
/// [`SolveError`] where the circuit has no trustworthy solution.
pub fn solve(circuit: &Circuit, conditions: &Conditions) -> Result<Solution, SolveError> {
    Ok(solve_all(circuit, conditions)?.swap_remove(0))
}

/// The stable states of a circuit under given conditions: one, or two where the state found
/// first is unstable. Where no stable state is found, the unstable one. Where the conditions ask for
/// one of several, those to which a device without current leads are among them.
///
/// # Errors
/// [`SolveError`] where the circuit has no trustworthy solution.
pub fn solve_all(circuit: &Circuit, conditions: &Conditions) -> Result<Vec<Solution>, SolveError> {
    let equations = Equations::new(Network::new(circuit, conditions)?, None)?;
    let start = equations.network.at_zero();
    let found = solved_from(equations.clone(), start, FallBacks::Tried)?;
    if found.is_linear() {
        return Ok(vec![found]);
    }
    // With the discharges lit or dark as found.
    let equations = Equations {
        reduced: found.reduced.clone(),
        ..equations
    };
    let mut stable = if is_unstable(&equations, &found.kept) {
        stable_states(&equations, &found.kept)
    } else {
        vec![found.clone()]
    };
    if asks_for_state(conditions) {
        add_silent_states(&equations, &mut stable);
    }
    if let [one, two] = stable.as_mut_slice() {
        one.other = Some(two.rows.clone());
        two.other = Some(one.rows.clone());
    }
    Ok(if stable.is_empty() {
        vec![found]
    } else {
        stable
    })
}

/// Whether the conditions ask for one of several stable states.
fn asks_for_state(conditions: &Conditions) -> bool {
    let mut settings = conditions.settings.iter();
    settings.any(|setting| matches!(setting.value, SettingValue::Conducts(_)))
}

impl Solution {
    /// Volts of a node above the reference of its island.
    pub fn node_volts(&self, node: NodeId) -> f64 {
        self.network.node_volts(&self.rows, node.0)
    }

    /// Volts across a port with no meter on it.
    pub fn port_volts(&self, port: Port) -> f64 {
        self.prepare(port).open_volts
    }

    /// Volts across a port in the circuit's other stable state, if it has one.
    pub fn port_volts_in_other_state(&self, port: Port) -> Option<f64> {
        let rows = self.other.as_ref()?;
        let at = |node: NodeId| self.network.node_volts(rows, node.0);
        Some(at(port.plus) - at(port.minus))
    }

    /// Whether no direct current can reach one of a port's nodes.
    pub fn floats(&self, port: Port) -> bool {
        self.network.floats(port.plus) || self.network.floats(port.minus)
    }

    /// Whether the circuit holds neither tube nor semiconductor.
    pub fn is_linear(&self) -> bool {
        self.reduced.devices.is_empty()
    }

    /// How the solution was reached.
    pub fn convergence(&self) -> Convergence {
        self.convergence
    }

    /// Amperes that flow inside a part from its plus or first to its minus or second end, through
    /// the first of its sources, windings and wires; none if it has none.
    pub fn branch_amperes(&self, part: PartId) -> Option<f64> {
        let network = &self.network;
        let is_branch = |kind| matches!(kind, crate::ElementKind::Branch { .. });
        let index = network
            .elements
            .iter()
            .position(|element| element.part == part && is_branch(element.kind))?;
        Some(match network.carried[index] {
            Carried::Resistance(place) => {
                let resistance = &network.resistances[place];
                resistance.siemens * network.drop_of(resistance, &self.rows)
            }
            Carried::Tie => {
                let mut leaving = leaving(network, &self.rows, true);
                for device in &self.reduced.devices {
                    let evaluation = device.at(&self.kept);
                    for (node, current) in device.nodes.iter().zip(evaluation.current) {
                        if let Some(node) = node {
                            leaving[*node] += current;
                        }
                    }
                }
                network.tie_currents(&mut leaving)[index]
            }
        })
    }

    /// Amperes into each terminal of each unit of a device, in the order of its units and of
    /// their characteristics' terminals.
    pub fn device_amperes(&self, part: PartId) -> Vec<Vec<f64>> {
        self.reduced
            .devices
            .iter()
            .filter(|device| device.part == part)
            .map(|device| {
                let count = device.characteristic.terminals();
                device.at(&self.kept).current[..count].to_vec()
            })
            .collect()
    }

    /// The second derivatives of each device here.
    pub(crate) fn curvatures(&self) -> &[Curvature] {
        self.curvatures.get_or_init(|| {
            let impedances = Impedances {
                solved: &self.impedances,
                parted: None,
                driven: None,
                changed: None,
                behind: None,
            };
            let each = self.reduced.devices.iter().zip(&self.tangents);
            each.map(|(device, tangent)| Curvature::of(device, tangent, &self.kept, &impedances))
                .collect()
        })
    }

    /// Number of unknowns.
    pub fn size(&self) -> usize {
        self.network.rows
    }
}
