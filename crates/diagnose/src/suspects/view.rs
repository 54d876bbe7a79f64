//! What meters would show in a circuit with given faults, and how that follows the tolerances.
//!
//! The circuit in order is solved once for each set of conditions; a faulty one is that circuit
//! with a few parts altered, and is solved by itself only where that will not do. What comes out is the model's own value; where the manual has a say it is put beside
//! it by `anchoring`.

use std::collections::HashMap;

use circuit::{spread_of, Alteration, Circuit, Conditions, PartId, PartParameter, Port};
use nalgebra::DMatrix;
use solver::{solve, solve_near, Alterable, Altered, Seen, Slopes, Solution, SolveError};

use crate::suspects::bounds::floating_grid;
use crate::suspects::fault::Hypothesis;
use crate::suspects::faulty::alteration;
use crate::suspects::hypotheses::sections;

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
    states: Vec<Conditions>,
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
/// that stand for broken and joined connections.
pub(crate) type Spread = DMatrix<f64>;

impl<'a> Bench<'a> {
    pub(crate) fn new(circuit: &'a Circuit, states: Vec<Conditions>) -> Result<Self, SolveError> {
        let in_order: Result<Vec<Alterable<'a>>, SolveError> = states
            .iter()
            .map(|conditions| Ok(solve(circuit, conditions)?.alterable(circuit, conditions)))
            .collect();
        let mut bench = Bench {
            circuit,
            in_order: in_order?,
            states,
            numbers: HashMap::new(),
            columns: Vec::new(),
            terminal_ohms: Vec::new(),
        };
        for state in &bench.in_order {
            let mut columns = Vec::new();
            for id in state.numbers() {
                let next = bench.numbers.len();
                let place = bench.numbers.entry((id.part, id.parameter));
                columns.push(*place.or_insert_with(|| {
                    let spread = spread_of(circuit.part(id.part), id.parameter);
                    // σ² = a²/3 (JCGM 100:2008, 4.3.7)
                    (next, spread.half_width / 3f64.sqrt())
                }));
            }
            bench.columns.push(columns);
            let nothing = Alteration::none(&bench.states[bench.terminal_ohms.len()]);
            let drawn = state.altered(&nothing);
            let ohms = drawn.map_or(Vec::new(), |drawn| drawn.terminal_ohms());
            bench.terminal_ohms.push(ohms);
        }
        Ok(bench)
    }

    /// Whether no direct current can reach a port, drawn and in order.
    pub(crate) fn floats(&self, state: usize, port: Port) -> bool {
        self.in_order[state].solution().floats(port)
    }

    /// How many columns a spread has.
    fn columns(&self) -> usize {
        self.numbers.len() + FAULTS
    }

    /// What the probes read with these faults.
    pub(crate) fn view(&self, faults: &[Sized], looks: &[Look]) -> Result<View, SolveError> {
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
        Ok(View {
            loose,
            ..View::of(seen)
        })
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
        Ok((View::of(seen), spread))
    }

    /// The columns of numbers that faults set themselves.
    pub(crate) fn settled_columns(&self, faults: &[Sized]) -> Vec<usize> {
        let each = self.numbers.iter();
        let settled = each.filter(|((part, number), _)| self.settled(faults, *part, *number));
        settled.map(|(_, (column, _))| *column).collect()
    }

    /// How the readings follow the resistances that stand for faults: one column a fault, in volts
    /// for one standard deviation. Where there is no state with another one, nothing is known of it.
    pub(crate) fn stand_ins(&self, faults: &[Sized], looks: &[Look], view: &View) -> Spread {
        let mut moved = DMatrix::zeros(looks.len(), FAULTS);
        for (place, (hypothesis, _)) in faults.iter().enumerate().take(FAULTS) {
            let Some(factor) = hypothesis.fault.stand_in_factor() else {
                continue;
            };
            if floating_grid(self.circuit, hypothesis).is_some() {
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
    fn of(seen: Vec<Option<Seen>>) -> Self {
        let seen: Vec<Seen> = seen.into_iter().flatten().collect();
        View {
            volts: seen.iter().map(|seen| seen.volts).collect(),
            ohms: seen.iter().map(|seen| seen.ohms).collect(),
            loose: false,
        }
    }
}
