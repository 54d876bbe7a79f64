//! What meters would show in a circuit with given faults.
//!
//! How that follows the tolerances is in [`sensitivities`].
//! The circuit in order is solved once for each set of conditions; a faulty one is that circuit
//! with a few parts altered, and is solved by itself only where that will not do. The circuit in order
//! is another set of the make whose manual is known: its likeliest numbers, what is open of them, and
//! what the drawing lacks ([`reconcile::SecondSet`]).

mod probe;
mod sensitivities;

use std::collections::HashMap;
use std::sync::{Arc, Mutex, RwLock};

use circuit::{Alteration, Circuit, Conditions, ManualEntry, NodeId, PartId, PartParameter, Port};
use nalgebra::DMatrix;
use reconcile::{seen_in_manual, stable_state, SecondSet, Seen};
use solver::{
    solve, solve_all, solve_near, Alterable, Altered, PortReading, Probes, Solution, SolveError,
};

use crate::suspects::faulty::alteration;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likely_set::standard;
use crate::suspects::probe_set::{loads, ProbeSet};
use crate::suspects::reading::Readings;

pub(crate) use probe::Probe;
pub(crate) use sensitivities::SensitivityMatrix;

/// An electrode counts as disconnected if the resistance to it rises by more than this factor.
const RISEN: f64 = 3.0;

/// How much a printed value counts beside a reading for the state of the set: it only decides where no
/// reading does.
const BESIDE_READINGS: f64 = 1e-3;

/// A fault of a given size; one without a size has 1.
pub(crate) type SizedFault = (Hypothesis, f64);

/// Which part a number is of, where one was replaced by another of its type.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Specimen {
    /// The one that was found in the set.
    Found,
    /// The one in its place.
    Replacement,
}

impl Specimen {
    fn of(conditions: &Conditions, part: PartId) -> Self {
        match conditions.is_replaced(part) {
            true => Specimen::Replacement,
            false => Specimen::Found,
        }
    }
}

/// The circuit in order, under every set of conditions.
#[derive(Debug)]
pub(crate) struct BenchModel<'a> {
    pub(crate) circuit: &'a Circuit,
    pub(crate) second: &'a SecondSet,
    pub(crate) states: Vec<Conditions>,
    /// `B`, one row for each column of a spread.
    pub(crate) known: DMatrix<f64>,
    /// What each probe reads in order, by port, load and state.
    pub(crate) healthy: Mutex<HashMap<(Port, u64, usize), PortReading>>,
    /// Sets of probes that are asked for again and again.
    pub(crate) probe_sets: RwLock<Vec<Arc<ProbeSet>>>,
    pub(crate) in_order: Vec<Alterable<'a>>,
    /// Whether the readings show the other of two stable states than the manual's values.
    pub(crate) in_other_state: bool,
    /// Numbers of the circuit: each one's column and its standard deviation. Those of a part that stands in the
    /// place of another are its own.
    numbers: HashMap<(PartId, PartParameter, Specimen), (usize, f64)>,
    /// The column and standard deviation of each state's own numbers, in their order.
    columns: Vec<Vec<(usize, f64)>>,
    /// Resistance that each electrode hangs on in each state.
    terminal_ohms: Vec<Vec<f64>>,
}

/// What the loads see.
#[derive(Clone, Debug)]
pub(crate) struct Response {
    /// The meters' readings in volts.
    pub(crate) volts: Vec<f64>,
    /// Resistance in ohms seen at each port with its meter on it.
    pub(crate) ohms: Vec<f64>,
    /// Volts by which each reading may move beside that, because an electrode of a tube or semiconductor hangs
    /// on far more ohms than in order: what is next to nothing elsewhere, such as its leakage, then moves everything
    /// that it governs.
    pub(crate) swing: Vec<f64>,
}

impl<'a> BenchModel<'a> {
    pub(crate) fn new(
        second: &'a SecondSet,
        drawn: &Circuit,
        read: &Readings,
        manual: &[ManualEntry],
    ) -> Result<Self, SolveError> {
        let circuit = &second.circuit;
        let states = read.states.clone();
        let mut in_other_state = false;
        let mut in_order = Vec::with_capacity(states.len());
        for (place, conditions) in states.iter().enumerate() {
            let mut found = solve_all(circuit, conditions)?;
            let printed = seen_in_manual(manual, conditions);
            let own = stable_state(&found, conditions, &seen(place, read, &printed));
            in_other_state |=
                !printed.is_empty() && own != stable_state(&found, conditions, &printed);
            in_order.push(found.swap_remove(own).alterable(circuit, conditions));
        }
        let mut bench = BenchModel {
            circuit,
            second,
            in_order,
            in_other_state,
            states,
            known: DMatrix::zeros(0, 0),
            healthy: Mutex::default(),
            probe_sets: RwLock::default(),
            numbers: HashMap::new(),
            columns: Vec::new(),
            terminal_ohms: Vec::new(),
        };
        for (place, (id, standard)) in second.numbers.iter().enumerate() {
            let own = (place, *standard);
            let key = (id.part, id.parameter, Specimen::Found);
            bench.numbers.insert(key, own);
        }
        for (state, conditions) in bench.in_order.iter().zip(&bench.states) {
            let mut columns = Vec::new();
            for id in state.numbers() {
                let next = bench.numbers.len();
                let specimen = Specimen::of(conditions, id.part);
                let place = bench.numbers.entry((id.part, id.parameter, specimen));
                columns.push(
                    *place.or_insert_with(|| {
                        (next, standard((drawn, circuit), id.part, id.parameter))
                    }),
                );
            }
            bench.columns.push(columns);
            let nothing = Alteration::none(conditions);
            let drawn = state.altered(&nothing);
            let ohms = drawn.and_then(|drawn| drawn.terminal_ohms());
            bench.terminal_ohms.push(ohms.unwrap_or_default());
        }
        bench.known = bench.known_columns();
        Ok(bench)
    }

    /// Whether no direct current can reach a port, drawn and in order.
    pub(crate) fn floats(&self, state: usize, port: Port) -> bool {
        self.in_order[state].solution().floats(port)
    }

    /// What the loads read with these faults.
    pub(crate) fn response(
        &self,
        faults: &[SizedFault],
        probes: &[Probe],
    ) -> Result<Response, SolveError> {
        let set = self.probe_set(probes);
        let mut readings = vec![None; probes.len()];
        let mut swing = vec![0.0; probes.len()];
        let mut each = faults.iter();
        let may_raise_electrode_ohms =
            each.any(|(hypothesis, _)| hypothesis.may_raise_electrode_ohms());
        for (state, places, prepared) in &set.by_state {
            let alteration = alteration(self.circuit, &self.states[*state], faults);
            let altered = self.in_order[*state].altered(&alteration);
            if may_raise_electrode_ohms {
                let own = self.swing(*state, altered.as_ref(), prepared);
                for (row, place) in places.iter().enumerate() {
                    swing[*place] = own.as_ref().map_or(f64::INFINITY, |own| own[row]);
                }
            }
            let found = match altered.and_then(|altered| altered.all_seen(prepared)) {
                Some(found) => found,
                None => {
                    let (_, solution) = self.anew(*state, &alteration)?;
                    let loads = loads(probes, places);
                    let each = loads.iter();
                    let each = each.map(|(port, siemens)| solution.port_reading(*port, *siemens));
                    each.collect::<Vec<PortReading>>()
                }
            };
            for (place, own) in places.iter().zip(found) {
                readings[*place] = Some(own);
            }
        }
        Ok(Response {
            swing,
            ..Response::of(readings.into_iter().flatten().collect())
        })
    }

    /// Volts by which electrodes that hang on far more ohms than in order may move each of some probes: as
    /// far as any terminal of their device takes the probe with it when it moves by the highest volts of
    /// the set. None where nobody knows.
    fn swing(
        &self,
        state: usize,
        altered: Option<&Altered<'_>>,
        probes: &Probes,
    ) -> Option<Vec<f64>> {
        let ohms = &self.terminal_ohms[state];
        let altered = altered?;
        let rows = altered.rows_of_risen_devices(ohms, RISEN)?;
        let solution = self.in_order[state].solution();
        let nodes = 0..self.circuit.nodes().len();
        let volts = nodes.map(|node| solution.node_volts(NodeId(node)).abs());
        let highest = volts.fold(0.0, f64::max);
        let by_volt = probes.most_by_volt_at(&rows, ohms).into_iter();
        Some(by_volt.map(|by_volt| by_volt * highest).collect())
    }

    /// The altered circuit solved by itself.
    fn anew(
        &self,
        state: usize,
        alteration: &Alteration,
    ) -> Result<(Circuit, Solution), SolveError> {
        let circuit = self.circuit.altered(alteration);
        let near = self.in_order[state].solution();
        let solution = solve_near(&circuit, &alteration.conditions, near)
            .or_else(|_| solve(&circuit, &alteration.conditions))?;
        Ok((circuit, solution))
    }

    pub(crate) fn by_state(&self, probes: &[Probe]) -> Vec<(usize, Vec<usize>)> {
        (0..self.states.len())
            .map(|state| {
                let places = (0..probes.len()).filter(|place| probes[*place].state == state);
                (state, places.collect::<Vec<_>>())
            })
            .filter(|(_, places)| !places.is_empty())
            .collect()
    }
}

/// What tells in which of several stable states the set is: its own readings, and where they leave it open
/// what the manual prints.
fn seen(place: usize, read: &Readings, printed: &[Seen]) -> Vec<Seen> {
    let own = read.used.iter().filter(|used| used.state == place);
    let own = own.filter_map(|used| {
        Some(Seen {
            port: used.port,
            siemens: used.siemens(),
            volts: used.shown? * used.volts_per_unit(),
            resolution: used.noise.sqrt() * used.volts_per_unit(),
            weight: 1.0,
        })
    });
    let beside = printed.iter().map(|printed| Seen {
        weight: BESIDE_READINGS,
        ..*printed
    });
    own.chain(beside).collect()
}

impl Response {
    fn of(readings: Vec<PortReading>) -> Self {
        Response {
            volts: readings.iter().map(|readings| readings.volts).collect(),
            ohms: readings.iter().map(|readings| readings.ohms).collect(),
            swing: vec![0.0; readings.len()],
        }
    }
}
