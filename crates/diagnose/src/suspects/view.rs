//! What meters would show in a circuit with given faults, and how that follows the tolerances.
//!
//! The circuit in order is solved once for each set of conditions; a faulty one starts from that
//! state. What comes out is the model's own value; where the manual has a say it is put beside
//! it by `anchoring`.

use std::collections::HashMap;

use circuit::{spread_of, Circuit, Conditions, PartId, PartParameter, Port};
use nalgebra::DMatrix;
use solver::{solve, solve_near, Changed, Seen, Solution, SolveError};

use crate::suspects::fault::Hypothesis;
use crate::suspects::faulty::{conductance, with_fault, Faulty};
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

/// A fault of a given size; the size of one without a size is of no account.
pub(crate) type Sized = (Hypothesis, f64);

/// The circuit in order, under every set of conditions.
#[derive(Debug)]
pub(crate) struct Bench<'a> {
    pub(crate) circuit: &'a Circuit,
    pub(crate) states: Vec<Conditions>,
    pub(crate) in_order: Vec<Solution>,
    /// Numbers of the circuit and their standard deviations.
    numbers: HashMap<(PartId, PartParameter), (usize, f64)>,
}

/// What the probes see.
#[derive(Clone, Debug)]
pub(crate) struct View {
    /// The meters' readings in volts.
    pub(crate) volts: Vec<f64>,
    /// Resistance in ohms seen at each port with its meter on it.
    pub(crate) ohms: Vec<f64>,
}

/// How the readings follow the circuit: one row a probe, one column a number, in volts for one
/// standard deviation of it.
pub(crate) type Spread = DMatrix<f64>;

impl<'a> Bench<'a> {
    pub(crate) fn new(circuit: &'a Circuit, states: Vec<Conditions>) -> Result<Self, SolveError> {
        let in_order: Result<Vec<Solution>, SolveError> = states
            .iter()
            .map(|conditions| solve(circuit, conditions))
            .collect();
        let mut bench = Bench {
            circuit,
            in_order: in_order?,
            states,
            numbers: HashMap::new(),
        };
        for (conditions, solution) in bench.states.iter().zip(&bench.in_order) {
            for id in solution.slopes(circuit, conditions, &[])?.numbers {
                let next = bench.numbers.len();
                bench
                    .numbers
                    .entry((id.part, id.parameter))
                    .or_insert_with(|| {
                        let spread = spread_of(circuit.part(id.part), id.parameter);
                        // σ² = a²/3 (JCGM 100:2008, 4.3.7)
                        (next, spread.half_width / 3f64.sqrt())
                    });
            }
        }
        Ok(bench)
    }

    /// How many numbers the circuit has.
    pub(crate) fn numbers(&self) -> usize {
        self.numbers.len()
    }

    /// What the probes read with these faults.
    pub(crate) fn view(&self, faults: &[Sized], looks: &[Look]) -> Result<View, SolveError> {
        let mut seen = vec![None; looks.len()];
        for (state, places) in self.by_state(looks) {
            if let Some(changed) = self.changed(state, faults)? {
                for place in places {
                    let look = looks[place];
                    seen[place] = Some(changed.port(look.port)?.seen(look.siemens));
                }
                continue;
            }
            let (_, solution) = self.solved(state, faults)?;
            for place in places {
                let look = looks[place];
                seen[place] = Some(solution.seen(look.port, look.siemens)?);
            }
        }
        Ok(View::of(seen))
    }

    /// The same, with how the readings follow the numbers that the faults leave open.
    pub(crate) fn spread(
        &self,
        faults: &[Sized],
        looks: &[Look],
    ) -> Result<(View, Spread), SolveError> {
        let mut seen = vec![None; looks.len()];
        let mut spread = DMatrix::zeros(looks.len(), self.numbers());
        for (state, places) in self.by_state(looks) {
            let (faulty, solution) = self.solved(state, faults)?;
            let probes: Vec<(Port, f64)> = places
                .iter()
                .map(|place| (looks[*place].port, looks[*place].siemens))
                .collect();
            let slopes = match &faulty {
                Some(faulty) => solution.slopes(&faulty.circuit, &faulty.conditions, &probes)?,
                None => solution.slopes(self.circuit, &self.states[state], &probes)?,
            };
            for (column, id) in slopes.numbers.iter().enumerate() {
                let Some((place, sigma)) = self.numbers.get(&(id.part, id.parameter)) else {
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

    /// A linear circuit with one fault that is no more than a changed conductance. A fault
    /// on a floating node would change what ties it to the reference: that is solved anew.
    fn changed(&self, state: usize, faults: &[Sized]) -> Result<Option<Changed<'_>>, SolveError> {
        let [(hypothesis, size)] = faults else {
            return Ok(None);
        };
        let Some((port, siemens)) = conductance(self.circuit, hypothesis, *size) else {
            return Ok(None);
        };
        if self.in_order[state].floats(port) {
            return Ok(None);
        }
        self.in_order[state].changed(port, siemens)
    }

    fn solved(
        &self,
        state: usize,
        faults: &[Sized],
    ) -> Result<(Option<Faulty>, Solution), SolveError> {
        let conditions = &self.states[state];
        let mut faulty: Option<Faulty> = None;
        for (hypothesis, size) in faults.iter().filter(|(fault, _)| fault.part.is_some()) {
            let (circuit, conditions) = match &faulty {
                Some(faulty) => (&faulty.circuit, &faulty.conditions),
                None => (self.circuit, conditions),
            };
            faulty = Some(with_fault(circuit, conditions, hypothesis, *size));
        }
        let Some(faulty) = faulty else {
            return Ok((None, self.in_order[state].clone()));
        };
        let near = &self.in_order[state];
        let solution = solve_near(&faulty.circuit, &faulty.conditions, near)
            .or_else(|_| solve(&faulty.circuit, &faulty.conditions))?;
        Ok((Some(faulty), solution))
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

impl View {
    fn of(seen: Vec<Option<Seen>>) -> Self {
        let seen: Vec<Seen> = seen.into_iter().flatten().collect();
        View {
            volts: seen.iter().map(|seen| seen.volts).collect(),
            ohms: seen.iter().map(|seen| seen.ohms).collect(),
        }
    }
}
