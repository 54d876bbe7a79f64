//! What meters would show in a circuit with given faults, and how that follows the tolerances.
//!
//! The circuit in order is solved once for each set of conditions; a faulty one is that circuit
//! with a few parts altered, and is solved by itself only where that will not do. The circuit in order
//! is another set of the make whose manual is known: its likeliest numbers, what is open of them, and
//! what the drawing lacks ([`reconcile::SecondSet`]).

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

use circuit::{Alteration, Circuit, Conditions, PartId, PartParameter, Port};
use nalgebra::DMatrix;
use reconcile::SecondSet;
use solver::{solve, solve_near, Alterable, Altered, Seen, Slopes, Solution, SolveError};

use crate::suspects::fault::Hypothesis;
use crate::suspects::faulty::alteration;
use crate::suspects::hypotheses::sections;
use crate::suspects::likely_set::standard;

/// Probes on a port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Look {
    pub(crate) port: Port,
    /// Conductance of the meter in siemens.
    pub(crate) siemens: f64,
    /// Which conditions.
    pub(crate) state: usize,
}

/// An electrode is loose if the resistance that it hangs on rises by more than this factor.
const LOOSE: f64 = 3.0;

/// Most faults at once.
const FAULTS: usize = 2;

/// A fault of a given size; one without a size has 1.
pub(crate) type Sized = (Hypothesis, f64);

/// The circuit in order, under every set of conditions.
#[derive(Debug)]
pub(crate) struct Bench<'a> {
    pub(crate) circuit: &'a Circuit,
    second: &'a SecondSet,
    states: Vec<Conditions>,
    /// `B`, one row for each column of a spread.
    pub(crate) known: DMatrix<f64>,
    /// What the probes see in order, by their look.
    healthy: Mutex<HashMap<(Port, u64, usize), Seen>>,
    in_order: Vec<Alterable<'a>>,
    /// Numbers of the circuit: each one's column and its standard deviation.
    numbers: HashMap<(PartId, PartParameter), (usize, f64)>,
    /// The column and standard deviation of each state's own numbers, in their order.
    columns: Vec<Vec<(usize, f64)>>,
    /// Resistance that each electrode hangs on in each state.
    terminal_ohms: Vec<Vec<f64>>,
}

/// What the probes see.
#[derive(Clone, Debug)]
pub(crate) struct View {
    /// The meters' readings in volts.
    pub(crate) volts: Vec<f64>,
    /// Resistance in ohms seen at each port with its meter on it.
    pub(crate) ohms: Vec<f64>,
    /// Whether some electrode of a tube or semiconductor hangs on far more ohms than in order: what
    /// is next to nothing elsewhere, such as its leakage, then moves everything it governs.
    pub(crate) loose: bool,
}

/// How the readings follow the circuit: one row a probe, one column a number, in volts for one
/// standard deviation of it. Behind the numbers stand [`FAULTS`] columns more, for the resistances
/// that stand for broken and joined connections, and behind those one for what the drawing lacks at
/// each port that the manual speaks of.
pub(crate) type Spread = DMatrix<f64>;

impl<'a> Bench<'a> {
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
        let mut bench = Bench {
            circuit,
            second,
            in_order: in_order?,
            states,
            known: DMatrix::zeros(0, 0),
            healthy: Mutex::default(),
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

    /// What the drawing lacks at a look's port: its place, its likeliest in standard deviations, and
    /// the volts that one of these makes. It follows the port down where a fault lowers its
    /// resistance or its volts, and does not grow with them.
    fn lack(&self, look: &Look, now: (f64, f64)) -> Option<(usize, f64, f64)> {
        let (place, lack) = self.second.lack(look.port)?;
        let then = self.in_order_at(look)?;
        let (volts, ohms) = now;
        let ohms = if then.ohms > 0.0 {
            ohms.min(then.ohms)
        } else {
            then.ohms
        };
        let effect = lack.amperes * ohms;
        let share = match then.volts.abs() > 0.0 {
            true => (volts / then.volts).abs().min(1.0),
            false => 1.0,
        };
        Some((place, lack.at, effect + lack.volts * share))
    }

    /// What a probe sees in order.
    fn in_order_at(&self, look: &Look) -> Option<Seen> {
        let key = (look.port, look.siemens.to_bits(), look.state);
        let lock = || self.healthy.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = lock().get(&key) {
            return Some(*known);
        }
        let found = self.probed(&[], std::slice::from_ref(look)).ok()?.0;
        let seen = *found.first()?;
        lock().insert(key, seen);
        Some(seen)
    }

    /// What the drawing lacks, in volts at each of some looks.
    pub(crate) fn lacking(&self, looks: &[Look], view: &View) -> Vec<f64> {
        let each = looks.iter().enumerate();
        each.map(|(row, look)| {
            let now = (view.volts[row], view.ohms[row]);
            let own = self.lack(look, now);
            own.map_or(0.0, |(_, at, effect)| at * effect)
        })
        .collect()
    }

    /// What the probes read with these faults.
    pub(crate) fn view(&self, faults: &[Sized], looks: &[Look]) -> Result<View, SolveError> {
        let (seen, loose) = self.probed(faults, looks)?;
        Ok(View {
            loose,
            ..View::of(seen)
        })
    }

    fn probed(&self, faults: &[Sized], looks: &[Look]) -> Result<(Vec<Seen>, bool), SolveError> {
        let mut seen = vec![None; looks.len()];
        let mut loose = false;
        let mut each = faults.iter();
        let may_loosen = each.any(|(hypothesis, _)| hypothesis.fault.may_loosen());
        for (state, places) in self.by_state(looks) {
            let alteration = alteration(self.circuit, &self.states[state], faults);
            let probes = probes(looks, &places);
            let altered = self.in_order[state].altered(&alteration);
            if may_loosen {
                loose |= self.is_loose(state, altered.as_ref());
            }
            let quick = altered.and_then(|altered| {
                let each = probes.iter();
                let each = each.map(|(port, siemens)| altered.seen(*port, *siemens));
                each.collect::<Option<Vec<Seen>>>()
            });
            let found = match quick {
                Some(found) => found,
                None => {
                    let (_, solution) = self.anew(state, &alteration)?;
                    let each = probes.iter();
                    let each = each.map(|(port, siemens)| solution.seen(*port, *siemens));
                    each.collect::<Vec<Seen>>()
                }
            };
            for (place, own) in places.into_iter().zip(found) {
                seen[place] = Some(own);
            }
        }
        Ok((seen.into_iter().flatten().collect(), loose))
    }

    /// Whether some electrode hangs on far more ohms than in order, or nobody knows.
    fn is_loose(&self, state: usize, altered: Option<&Altered<'_>>) -> bool {
        let Some(altered) = altered else {
            return true;
        };
        let ohms = altered.terminal_ohms();
        let drawn = &self.terminal_ohms[state];
        let risen = ohms.iter().zip(drawn);
        ohms.len() > drawn.len() || risen.into_iter().any(|(now, then)| now > &(LOOSE * then))
    }

    /// The same, with how the readings follow the numbers that the faults leave open. The columns of
    /// [`Bench::stand_ins`] are left at 0.
    pub(crate) fn spread(
        &self,
        faults: &[Sized],
        looks: &[Look],
    ) -> Result<(View, Spread), SolveError> {
        let mut seen = vec![None; looks.len()];
        let mut spread = DMatrix::zeros(looks.len(), self.columns());
        for (state, places) in self.by_state(looks) {
            let alteration = alteration(self.circuit, &self.states[state], faults);
            let probes = probes(looks, &places);
            let base = &self.in_order[state];
            let quick = base
                .altered(&alteration)
                .and_then(|altered| altered.slopes(&probes));
            let slopes: Slopes = match quick {
                Some(slopes) => slopes,
                None => {
                    let (circuit, solution) = self.anew(state, &alteration)?;
                    solution.slopes(&circuit, &alteration.conditions, &probes)
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
                if self.settled(faults, id.part, id.parameter) {
                    continue;
                }
                for (row, look) in places.iter().enumerate() {
                    spread[(*look, *place)] += slopes.by_number[(row, column)] * sigma;
                }
            }
            for (place, port) in places.iter().zip(slopes.seen) {
                seen[*place] = Some(port);
            }
        }
        let view = View::of(seen.into_iter().flatten().collect());
        for (row, look) in looks.iter().enumerate() {
            let now = (view.volts[row], view.ohms[row]);
            if let Some((place, _, effect)) = self.lack(look, now) {
                spread[(row, self.first_port() + place)] = effect;
            }
        }
        Ok((view, spread))
    }

    /// The columns of numbers that faults set themselves.
    pub(crate) fn settled_columns(&self, faults: &[Sized]) -> Vec<usize> {
        let each = self.numbers.iter();
        let settled = each.filter(|((part, number), _)| self.settled(faults, *part, *number));
        settled.map(|(_, (column, _))| *column).collect()
    }

    /// The columns of the numbers of some parts.
    pub(crate) fn columns_of(&self, parts: &[PartId]) -> Vec<usize> {
        let each = self.numbers.iter();
        let own = each.filter(|((part, _), _)| parts.contains(part));
        own.map(|(_, (column, _))| *column).collect()
    }

    /// How the readings follow the resistances that stand for faults: one column a fault, in volts
    /// for one standard deviation. Where there is no state with another one, nothing is known of it.
    pub(crate) fn stand_ins(&self, faults: &[Sized], looks: &[Look], view: &View) -> Spread {
        let mut moved = DMatrix::zeros(looks.len(), FAULTS);
        for (place, (hypothesis, _)) in faults.iter().enumerate().take(FAULTS) {
            let Some(factor) = hypothesis.fault.stand_in_factor() else {
                continue;
            };
            // How far a connection is broken is its fault's size.
            if hypothesis.fault.breaks() {
                continue;
            }
            let mut other = faults.to_vec();
            other[place].1 *= factor;
            if let Ok(other) = self.view(&other, looks) {
                for (row, (a, b)) in other.volts.iter().zip(&view.volts).enumerate() {
                    moved[(row, place)] = a - b;
                }
            }
        }
        moved
    }

    /// Puts these columns into a spread.
    pub(crate) fn with_stand_ins(&self, spread: &mut Spread, stand_ins: &Spread) {
        let first = self.numbers.len();
        spread.columns_mut(first, FAULTS).copy_from(stand_ins);
    }

    /// Whether a fault sets this number itself.
    fn settled(&self, faults: &[Sized], part: PartId, parameter: PartParameter) -> bool {
        faults.iter().any(|(hypothesis, _)| {
            let own = match hypothesis.part {
                Some(id) if hypothesis.fault == crate::suspects::Fault::HeaterOpen => {
                    sections(self.circuit, id).contains(&part)
                }
                own => own == Some(part),
            };
            own && hypothesis.fault.settles(parameter)
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

    fn by_state(&self, looks: &[Look]) -> Vec<(usize, Vec<usize>)> {
        (0..self.states.len())
            .map(|state| {
                let places = (0..looks.len()).filter(|place| looks[*place].state == state);
                (state, places.collect::<Vec<_>>())
            })
            .filter(|(_, places)| !places.is_empty())
            .collect()
    }
}

fn probes(looks: &[Look], places: &[usize]) -> Vec<(Port, f64)> {
    let each = places.iter().map(|place| looks[*place]);
    each.map(|look| (look.port, look.siemens)).collect()
}

impl View {
    fn of(seen: Vec<Seen>) -> Self {
        View {
            volts: seen.iter().map(|seen| seen.volts).collect(),
            ohms: seen.iter().map(|seen| seen.ohms).collect(),
            loose: false,
        }
    }
}
