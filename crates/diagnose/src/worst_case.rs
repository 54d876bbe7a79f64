//! The highest voltage that each node of a set can reach when a part fails.
//!
//! A reconciled manual comes in, volts of every node go out; what is dangerous is not known here.
//!
//! **Direct volts** are those of any single fault that the suspects know of, worked out with no meter on, at
//! the higher of the two line voltages, under every condition that the manual reads under; a tenth is added
//! for tolerances. The circuit that breaks has the resistances and volts that manual and drawing make likely
//! together, but no source in it is weaker than it is drawn: the volts err to the safe side. No node at rest
//! lies further from its reference than the sum of its island's sources (resistors, tubes and transistors
//! deliver no power of their own), so that sum, with a tenth as well, is the most that a fault brings, and
//! what is said where the circuit or a faulty one has no operating point.
//!
//! **Alternating volts** are not computed fault by fault. A heater of a series string that opens has the whole
//! line across it, so each node has all generators that reach it through parts other than tubes,
//! semiconductors and references. The heaters of a stated string are such parts, and its nodes have the
//! line at least.
//!
//! The surge of a choke at switching off is not included.

use circuit::{
    sums_by_island, Circuit, Conditions, Groups, HeaterString, Job, NodeId, Part, PartId, PartKind,
    PartParameter, Port, Quantity, Setting,
};
use reconcile::Reconciled;

use crate::suspects::highest_volts;

/// Times what the drawn values give: supplies and resistors of old sets are known to a tenth
/// (common practice, no source).
const TOLERANCES: f64 = 1.1;

/// The highest volts, of either sign, that each node of a circuit can reach.
#[derive(Clone, Debug)]
pub struct WorstCaseVolts {
    direct: Vec<f64>,
    /// Root mean square.
    alternating: Vec<f64>,
    /// The highest volts known anywhere in the job.
    known: f64,
    /// The volts of all sources together.
    sum_of_sources: f64,
}

impl WorstCaseVolts {
    /// Works them out from what manual and drawing make likely.
    pub fn of(reconciled: &Reconciled) -> Self {
        let job = reconciled.job();
        let circuit = with_no_weaker_source(&likely(reconciled), &job.circuit);
        let bound = island_volts(&circuit, job);
        let mut conditions = vec![Conditions::default()];
        for row in job.row_ids().map(|id| job.row(id)) {
            if conditions.iter().all(|one| one.settings != row.settings) {
                conditions.push(conditions_of(row.settings, job));
            }
        }
        for one in &mut conditions {
            one.line_factor = highest_line(job);
        }
        let direct: Vec<f64> = match highest_volts((&circuit, &job.circuit), &conditions, &bound) {
            Some(volts) => volts
                .iter()
                .zip(&bound)
                .map(|(volts, bound)| TOLERANCES * volts.min(*bound))
                .collect(),
            None => bound.iter().map(|bound| TOLERANCES * bound).collect(),
        };
        let printed = job
            .manual
            .iter()
            .filter(|entry| entry.quantity != Quantity::Ohms)
            .filter(|entry| entry.quantity != Quantity::DcMilliamperes)
            .map(|entry| entry.figure.value.abs());
        let alternating = generator_volts(&circuit, job);
        let drawn = direct.iter().chain(&alternating).copied();
        WorstCaseVolts {
            known: printed.chain(drawn).fold(0.0, f64::max),
            direct,
            alternating,
            sum_of_sources: TOLERANCES
                * circuit
                    .parts()
                    .iter()
                    .map(|part| source_volts(part, job))
                    .sum::<f64>(),
        }
    }

    /// The highest volts of either probe's place above its reference: a hand on the chassis closes
    /// the circuit to that one.
    pub fn at(&self, port: Port) -> f64 {
        self.direct(port).max(self.alternating(port))
    }

    /// Direct volts of either probe's place.
    pub(crate) fn direct(&self, port: Port) -> f64 {
        self.direct[port.plus.0].max(self.direct[port.minus.0])
    }

    /// Alternating volts of either probe's place, root mean square.
    pub(crate) fn alternating(&self, port: Port) -> f64 {
        self.alternating[port.plus.0].max(self.alternating[port.minus.0])
    }

    /// The highest volts known anywhere in the job.
    pub(crate) fn known(&self) -> f64 {
        self.known
    }

    /// The volts of all sources together, with a tenth for tolerances.
    pub(crate) fn sum_of_sources(&self) -> f64 {
        self.sum_of_sources
    }
}

/// The conditions of a row of the manual, at the higher line voltage.
pub(crate) fn conditions_of(settings: &[Setting], job: &Job) -> Conditions {
    Conditions {
        settings: settings.to_vec(),
        line_factor: highest_line(job),
    }
}

/// The higher of the two line voltages, over the manual's.
fn highest_line(job: &Job) -> f64 {
    job.line_factor().max(1.0)
}

/// The circuit with its likely resistances and volts. Tubes and semiconductors stay as they are drawn: a little
/// gas current at a grid that has lost its leak would move that to any volts.
fn likely(reconciled: &Reconciled) -> Circuit {
    let numbers = reconciled.numbers().into_iter();
    let own = numbers.filter(|number| !matches!(number.id.parameter, PartParameter::Device(_)));
    let changes = own.map(|number| (number.id.part, number.id.parameter, number.change));
    reconciled.job().circuit.varied(changes)
}

/// A circuit in which each source has at least its drawn volts.
fn with_no_weaker_source(likely: &Circuit, drawn: &Circuit) -> Circuit {
    let pairs = likely.parts().iter().zip(drawn.parts()).enumerate();
    let changes = pairs.filter_map(
        |(place, (likely, drawn))| match (&likely.kind, &drawn.kind) {
            (PartKind::Supply(likely), PartKind::Supply(drawn))
                if likely.volts.abs() < drawn.volts.abs() =>
            {
                let change = drawn.volts - likely.volts;
                Some((PartId(place), PartParameter::Volts, change))
            }
            _ => None,
        },
    );
    likely.varied(changes)
}

/// For each node of a circuit, the sum of the sources' volts in its island.
fn island_volts(circuit: &Circuit, job: &Job) -> Vec<f64> {
    sums_by_island(circuit, |part| source_volts(part, job))
}

/// Volts of a source at the higher line voltage, without sign; 0 for any other part.
fn source_volts(part: &Part, job: &Job) -> f64 {
    match &part.kind {
        PartKind::Supply(supply) => {
            let line = match supply.follows_line {
                true => highest_line(job),
                false => 1.0,
            };
            supply.volts.abs() * line * job.highest_share(part)
        }
        PartKind::Generator(generator) => generator.volts.abs(),
        PartKind::Resistor(_)
        | PartKind::Potentiometer(_)
        | PartKind::Capacitor(_)
        | PartKind::Inductor(_)
        | PartKind::Transformer(_)
        | PartKind::Lamp(_)
        | PartKind::Contact(_)
        | PartKind::Device(_) => 0.0,
    }
}

/// For each node, the volts of all generators that reach it without a device or a reference between, with a tenth for
/// tolerances, at the higher line voltage; root mean square.
fn generator_volts(circuit: &Circuit, job: &Job) -> Vec<f64> {
    let nodes = circuit.nodes();
    let mut groups = Groups::new(nodes.len());
    for part in circuit.parts() {
        if matches!(part.kind, PartKind::Device(_)) {
            continue;
        }
        for joined in part.kind.joined_terminals() {
            let ends = joined.iter().map(|terminal| part.nodes[*terminal].0);
            let live: Vec<usize> = ends.filter(|node| !nodes[*node].is_reference).collect();
            for pair in live.windows(2) {
                groups.join(pair[0], pair[1]);
            }
        }
    }
    let strings = circuit.heater_strings().iter();
    let strings: Vec<Vec<usize>> = strings
        .map(|string| string_nodes(circuit, string))
        .collect();
    for pair in strings.iter().flat_map(|string| string.windows(2)) {
        groups.join(pair[0], pair[1]);
    }
    let factor = TOLERANCES * highest_line(job);
    let mut volts = vec![0.0; nodes.len()];
    for part in circuit.parts() {
        if let PartKind::Generator(generator) = &part.kind {
            let live = part.nodes.iter().find(|node| !nodes[node.0].is_reference);
            if let Some(node) = live {
                volts[groups.root(node.0)] += factor * generator.volts.abs();
            }
        }
    }
    for node in strings.iter().filter_map(|string| string.first()) {
        let volts: &mut f64 = &mut volts[groups.root(*node)];
        *volts = volts.max(across_a_string(job));
    }
    let of_group = |node: usize| volts[groups.root(node)];
    (0..nodes.len()).map(of_group).collect()
}

/// The nodes of a string of heaters, as far as they are drawn, without references: those of its
/// heater pins and of its resistors.
fn string_nodes(circuit: &Circuit, string: &HeaterString) -> Vec<usize> {
    let parts = string.members.iter().flat_map(|member| &member.parts);
    let nodes = parts.flat_map(|id| {
        let part = circuit.part(*id);
        let resistor = matches!(part.kind, PartKind::Resistor(_));
        let terminals = part.kind.terminals().into_iter();
        let ends: Vec<NodeId> = terminals
            .zip(&part.nodes)
            .filter(|(name, _)| resistor || name.starts_with("heater"))
            .map(|(_, node)| *node)
            .collect();
        ends
    });
    let live = nodes.filter(|node| !circuit.nodes()[node.0].is_reference);
    live.map(|node| node.0).collect()
}

/// Alternating volts, root mean square, that an open heater has across it where no generator is
/// drawn: the higher line voltage stated, or else the highest alternating value printed. With a tenth.
fn across_a_string(job: &Job) -> f64 {
    let lines = [job.documented.line, job.bench.line];
    let line = lines.into_iter().flatten().reduce(f64::max);
    let alternating = job.manual.iter();
    let alternating = alternating.filter(|entry| entry.quantity == Quantity::AcVolts);
    let printed = alternating.map(|entry| entry.figure.value.abs());
    TOLERANCES * line.unwrap_or_else(|| highest_line(job) * printed.fold(0.0, f64::max))
}
