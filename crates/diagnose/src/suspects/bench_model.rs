//! What meters would show in a circuit with given faults, and how that follows the tolerances.
//!
//! The circuit in order is solved once for each set of conditions; a faulty one is that circuit
//! with a few parts altered, and is solved by itself only where that will not do. The circuit in order
//! is another set of the make whose manual is known: its likeliest numbers, what is open of them, and
//! what the drawing lacks ([`reconcile::SecondSet`]).

use std::collections::HashMap;
use std::sync::{Arc, Mutex, RwLock};

use circuit::{Alteration, Circuit, Conditions, PartId, PartParameter, Port};
use nalgebra::DMatrix;
use reconcile::SecondSet;
use solver::{solve, solve_near, Alterable, Altered, Jacobian, PortReading, Solution, SolveError};

use crate::suspects::fault::Fault;
use crate::suspects::faulty::alteration;
use crate::suspects::hypotheses::sections;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likely_set::standard;
use crate::suspects::probe_set::{loads, ProbeSet};
use crate::suspects::reading::ReadingUsed;

/// Probes on a port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Probe {
    pub(crate) port: Port,
    /// Conductance of the meter in siemens.
    pub(crate) siemens: f64,
    /// Which conditions.
    pub(crate) state: usize,
}

impl Probe {
    /// Whether another one is at the same point with the same meter and under the same conditions: 1 with its
    /// leads as they are here, −1 with them exchanged.
    pub(crate) fn sign_beside(&self, other: &Probe) -> Option<f64> {
        let swapped = Port {
            plus: other.port.minus,
            minus: other.port.plus,
        };
        let sign = match self.port {
            port if port == other.port => 1.0,
            port if port == swapped => -1.0,
            _ => return None,
        };
        let alike = (self.siemens - other.siemens).abs() <= 1e-9 * other.siemens;
        (alike && self.state == other.state).then_some(sign)
    }

    /// Where a reading was taken, and with what load.
    pub(crate) fn of(used: &ReadingUsed) -> Self {
        Probe {
            port: used.port,
            siemens: used.siemens(),
            state: used.state,
        }
    }
}

/// An electrode counts as disconnected if the resistance to it rises by more than this factor.
const RISEN: f64 = 3.0;

/// Most faults at once.
const FAULTS: usize = 2;

/// A fault of a given size; one without a size has 1.
pub(crate) type SizedFault = (Hypothesis, f64);

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
    /// Numbers of the circuit: each one's column and its standard deviation.
    numbers: HashMap<(PartId, PartParameter), (usize, f64)>,
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
    /// Whether some electrode of a tube or semiconductor hangs on far more ohms than in order: what
    /// is next to nothing elsewhere, such as its leakage, then moves everything it governs.
    pub(crate) electrode_ohms_risen: bool,
}

/// How the readings follow the circuit: one row a probe, one column a number, in volts for one
/// standard deviation of it. Behind the numbers stand [`FAULTS`] columns more, for the resistances
/// that stand for broken and joined connections, and behind those one for what the drawing lacks at
/// each port that the manual speaks of.
pub(crate) type SensitivityMatrix = DMatrix<f64>;

impl<'a> BenchModel<'a> {
    pub(crate) fn new(
        second: &'a SecondSet,
        drawn: &Circuit,
        states: Vec<Conditions>,
    ) -> Result<Self, SolveError> {
        let circuit = &second.circuit;
        let in_order: Result<Vec<Alterable<'a>>, SolveError> = states
            .iter()
            .map(|conditions| Ok(solve(circuit, conditions)?.alterable(circuit, conditions)))
            .collect();
        let mut bench = BenchModel {
            circuit,
            second,
            in_order: in_order?,
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
            bench.numbers.insert((id.part, id.parameter), own);
        }
        for state in &bench.in_order {
            let mut columns = Vec::new();
            for id in state.numbers() {
                let next = bench.numbers.len();
                let place = bench.numbers.entry((id.part, id.parameter));
                columns.push(
                    *place.or_insert_with(|| {
                        (next, standard((drawn, circuit), id.part, id.parameter))
                    }),
                );
            }
            bench.columns.push(columns);
            let nothing = Alteration::none(&bench.states[bench.terminal_ohms.len()]);
            let drawn = state.altered(&nothing);
            let ohms = drawn.map_or(Vec::new(), |drawn| drawn.terminal_ohms());
            bench.terminal_ohms.push(ohms);
        }
        let mut known = DMatrix::zeros(bench.columns(), second.learnt.ncols());
        let numbers = second.numbers.len();
        known
            .rows_mut(0, numbers)
            .copy_from(&second.learnt.rows(0, numbers));
        let ports = second.lacks.len();
        known
            .rows_mut(bench.first_port(), ports)
            .copy_from(&second.learnt.rows(numbers, ports));
        bench.known = known;
        Ok(bench)
    }

    /// Whether no direct current can reach a port, drawn and in order.
    pub(crate) fn floats(&self, state: usize, port: Port) -> bool {
        self.in_order[state].solution().floats(port)
    }

    /// How many columns a spread has.
    fn columns(&self) -> usize {
        self.first_port() + self.second.lacks.len()
    }

    /// The first column of what the drawing lacks.
    fn first_port(&self) -> usize {
        self.numbers.len() + FAULTS
    }

    /// What the loads read with these faults.
    pub(crate) fn response(
        &self,
        faults: &[SizedFault],
        probes: &[Probe],
    ) -> Result<Response, SolveError> {
        let set = self.probe_set(probes);
        let mut readings = vec![None; probes.len()];
        let mut electrode_ohms_risen = false;
        let mut each = faults.iter();
        let may_raise_electrode_ohms =
            each.any(|(hypothesis, _)| hypothesis.may_raise_electrode_ohms());
        for (state, places, prepared) in &set.by_state {
            let alteration = alteration(self.circuit, &self.states[*state], faults);
            let altered = self.in_order[*state].altered(&alteration);
            if may_raise_electrode_ohms {
                electrode_ohms_risen |= self.has_risen_electrode_ohms(*state, altered.as_ref());
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
            electrode_ohms_risen,
            ..Response::of(readings.into_iter().flatten().collect())
        })
    }

    /// Whether some electrode hangs on far more ohms than in order, or nobody knows.
    fn has_risen_electrode_ohms(&self, state: usize, altered: Option<&Altered<'_>>) -> bool {
        let Some(altered) = altered else {
            return true;
        };
        let ohms = altered.terminal_ohms();
        let drawn = &self.terminal_ohms[state];
        let risen = ohms.iter().zip(drawn);
        ohms.len() > drawn.len() || risen.into_iter().any(|(now, then)| now > &(RISEN * then))
    }

    /// The same, with how the readings follow the numbers that the faults leave open. The columns of
    /// [`BenchModel::fault_resistances`] are left at 0.
    pub(crate) fn sensitivities(
        &self,
        faults: &[SizedFault],
        probes: &[Probe],
    ) -> Result<(Response, SensitivityMatrix), SolveError> {
        let mut readings = vec![None; probes.len()];
        let mut sensitivities = DMatrix::zeros(probes.len(), self.columns());
        for (state, places) in self.by_state(probes) {
            let alteration = alteration(self.circuit, &self.states[state], faults);
            let loads = loads(probes, &places);
            let base = &self.in_order[state];
            let quick = base
                .altered(&alteration)
                .and_then(|altered| altered.jacobian(&loads));
            let slopes: Jacobian = match quick {
                Some(slopes) => slopes,
                None => {
                    let (circuit, solution) = self.anew(state, &alteration)?;
                    solution.jacobian(&circuit, &alteration.conditions, &loads)
                }
            };
            let same = slopes.numbers.as_slice() == base.numbers();
            for (column, id) in slopes.numbers.iter().enumerate() {
                let known = if same {
                    self.columns[state].get(column)
                } else {
                    self.numbers.get(&(id.part, id.parameter))
                };
                let Some((place, sigma)) = known else {
                    continue;
                };
                if self.set_by_fault(faults, id.part, id.parameter) {
                    continue;
                }
                for (row, probe) in places.iter().enumerate() {
                    sensitivities[(*probe, *place)] += slopes.by_number[(row, column)] * sigma;
                }
            }
            for (place, port) in places.iter().zip(slopes.readings) {
                readings[*place] = Some(port);
            }
        }
        let response = Response::of(readings.into_iter().flatten().collect());
        for (row, probe) in probes.iter().enumerate() {
            if let Some(own) = self.lack(probe) {
                let now = (response.volts[row], response.ohms[row]);
                sensitivities[(row, self.first_port() + own.place)] = own.effect(now);
            }
        }
        Ok((response, sensitivities))
    }

    /// The columns of numbers that faults set themselves.
    pub(crate) fn columns_set_by_faults(&self, faults: &[SizedFault]) -> Vec<usize> {
        let each = self.numbers.iter();
        let set_by_fault =
            each.filter(|((part, number), _)| self.set_by_fault(faults, *part, *number));
        set_by_fault.map(|(_, (column, _))| *column).collect()
    }

    /// The columns of the numbers of some parts.
    pub(crate) fn columns_of(&self, parts: &[PartId]) -> Vec<usize> {
        let each = self.numbers.iter();
        let own = each.filter(|((part, _), _)| parts.contains(part));
        own.map(|(_, (column, _))| *column).collect()
    }

    /// How the readings follow the resistances that stand for faults: one column a fault, in volts
    /// for one standard deviation. Where there is no state with another one, nothing is known of it.
    pub(crate) fn fault_resistances(
        &self,
        faults: &[SizedFault],
        probes: &[Probe],
        response: &Response,
    ) -> SensitivityMatrix {
        let mut moved = DMatrix::zeros(probes.len(), FAULTS);
        for (place, (hypothesis, _)) in faults.iter().enumerate().take(FAULTS) {
            let Some(factor) = hypothesis.fault_resistance_factor() else {
                continue;
            };
            // How far a connection is broken is its fault's size.
            if hypothesis.breaks() {
                continue;
            }
            let mut other = faults.to_vec();
            other[place].1 *= factor;
            if let Ok(other) = self.response(&other, probes) {
                for (row, (a, b)) in other.volts.iter().zip(&response.volts).enumerate() {
                    moved[(row, place)] = a - b;
                }
            }
        }
        moved
    }

    /// Puts these columns into a spread.
    pub(crate) fn with_fault_resistances(
        &self,
        sensitivities: &mut SensitivityMatrix,
        fault_resistances: &SensitivityMatrix,
    ) {
        let first = self.numbers.len();
        sensitivities
            .columns_mut(first, FAULTS)
            .copy_from(fault_resistances);
    }

    /// Whether a fault sets this number itself.
    fn set_by_fault(&self, faults: &[SizedFault], part: PartId, parameter: PartParameter) -> bool {
        faults.iter().any(|(hypothesis, _)| {
            let own = match hypothesis {
                Hypothesis::Part {
                    part: id,
                    fault: Fault::HeaterOpen,
                } => sections(self.circuit, *id).contains(&part),
                other => other.part() == Some(part),
            };
            own && hypothesis.sets(parameter)
        })
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

impl Response {
    fn of(readings: Vec<PortReading>) -> Self {
        Response {
            volts: readings.iter().map(|readings| readings.volts).collect(),
            ohms: readings.iter().map(|readings| readings.ohms).collect(),
            electrode_ohms_risen: false,
        }
    }
}
