//! A set with a fault in it, and what the bench meter shows there.

use std::cell::RefCell;
use std::rc::Rc;

use circuit::{
    spread_of, Circuit, Conditions, Job, PartId, PartKind, PartParameter, Port, Quantity, Reading,
    Setting, Shown,
};
use diagnose::{with_fault, Candidate, Hypothesis};
use reconcile::{choose_range, permitted_error};
use solver::{solve, Solution};
use translate::Translation;
use units::{Figure, Unit};

/// Numbers between 0 and 1 from a seed (S. Vigna's SplitMix64; from memory).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn within(&mut self, half_width: f64) -> f64 {
        (2.0 * self.roll() - 1.0) * half_width
    }
}

/// The state of a set under some settings; none where it has no operating point.
type State = (Vec<Setting>, Option<Rc<Solution>>);

/// A set whose numbers are drawn, with a fault.
pub struct Planted<'a> {
    job: &'a Job,
    drawn: Circuit,
    pub fault: Hypothesis,
    pub size: f64,
    /// Its state under each of the conditions asked for so far; none where there is none.
    states: RefCell<Vec<State>>,
}

impl<'a> Planted<'a> {
    /// A size drawn evenly in its logarithm. One without a size is a connection broken or joined by
    /// a resistance that is known to a power of ten.
    pub fn new(job: &'a Job, candidate: &Candidate, dice: &mut Dice) -> Self {
        let at = dice.roll();
        let size = match candidate.sizes {
            Some(sizes) => {
                let (low, high) = (sizes.least.ln(), sizes.most.ln());
                (low + (high - low) * at).exp()
            }
            None => 10f64.powf(2.0 * at - 1.0),
        };
        Planted {
            job,
            drawn: drawn(&job.circuit, dice),
            fault: candidate.hypothesis,
            size,
            states: RefCell::default(),
        }
    }

    pub fn in_order(job: &'a Job, dice: &mut Dice) -> Self {
        Planted {
            job,
            drawn: drawn(&job.circuit, dice),
            fault: Hypothesis::NOTHING_WRONG,
            size: 1.0,
            states: RefCell::default(),
        }
    }

    /// The same set without its fault.
    fn repaired(&self) -> Planted<'a> {
        Planted {
            job: self.job,
            drawn: self.drawn.clone(),
            fault: Hypothesis::NOTHING_WRONG,
            size: 1.0,
            states: RefCell::default(),
        }
    }

    fn state(&self, settings: &[Setting]) -> Option<Rc<Solution>> {
        let mut states = self.states.borrow_mut();
        if let Some((_, known)) = states.iter().find(|(known, _)| known == settings) {
            return known.clone();
        }
        let conditions = Conditions {
            settings: settings.to_vec(),
            line_factor: self.job.line_factor(),
        };
        let faulty = with_fault(&self.drawn, &conditions, &self.fault, self.size);
        let state = solve(&faulty.circuit, &faulty.conditions).ok().map(Rc::new);
        states.push((settings.to_vec(), state.clone()));
        state
    }

    /// What the bench meter shows on a port, less its own error.
    fn volts(&self, port: Port, settings: &[Setting]) -> Option<f64> {
        let meter = self.job.bench.meters.first()?;
        let solution = self.state(settings)?;
        let range = choose_range(meter, None, solution.port_volts(port)).range;
        Some(solution.seen(port, 1.0 / meter.input_ohms(range)).volts)
    }

    /// The same at an entry of the manual.
    fn volts_at(&self, entry: usize) -> Option<f64> {
        let entry = self.job.manual.get(entry)?;
        self.volts(entry.port?, &entry.settings)
    }

    /// The farthest that the fault moves one of these entries of the manual, the same set with and
    /// without it compared, in half-widths of that point's band on the bench meter: the larger half
    /// where the band is lopsided.
    pub fn moves(&self, translation: &Translation, entries: &[usize]) -> f64 {
        let repaired = self.repaired();
        let at = |entry: &usize| {
            let point = translation.points.get(*entry)?;
            let side = point.outcome.as_ref().ok()?.bench.first()?;
            let half =
                |limit: Option<f64>| limit.map_or(0.0, |volts| (volts - side.expected).abs());
            let widest = half(side.band.low).max(half(side.band.high));
            let moved = self.volts_at(*entry)? - repaired.volts_at(*entry)?;
            (widest > 0.0).then(|| moved.abs() / widest)
        };
        entries.iter().filter_map(at).fold(0.0, f64::max)
    }

    /// A reading on a port, within the meter's permitted error.
    pub fn reading(
        &self,
        (point, port): (&str, Port),
        settings: &[Setting],
        dice: &mut Dice,
    ) -> Option<Reading> {
        let meter = self.job.bench.meters.first()?;
        let volts = self.volts(port, settings)?;
        let range = choose_range(meter, None, volts).range;
        let permitted = permitted_error(meter, range, volts).ok()?.half_width;
        let shown = volts + dice.within(permitted);
        let digits = (4 - shown.abs().max(1e-3).log10().floor() as i32).clamp(1, 5) as usize;
        Some(Reading {
            point: point.to_owned(),
            port: Some(port),
            shown: Shown::Value(Figure::parse(&format!("{shown:.digits$}"), Unit::Volt).ok()?),
            meter: meter.clone(),
            range: Some(range.full_scale),
            set: "drawn".into(),
            date: String::new(),
            note: String::new(),
            origin: circuit::Origin::default(),
        })
    }

    /// The reading at an entry of the manual.
    pub fn at_entry(&self, index: usize, dice: &mut Dice) -> Option<Reading> {
        let entry = self.job.manual.get(index)?;
        self.reading((&entry.point, entry.port?), &entry.settings, dice)
    }

    /// The job with these entries of the manual read; none where the set has no operating point.
    pub fn read(&self, entries: &[usize], dice: &mut Dice) -> Option<Job> {
        let mut read = self.job.clone();
        let readings = entries.iter().map(|index| self.at_entry(*index, dice));
        read.readings = readings.collect::<Option<Vec<Reading>>>()?;
        Some(read)
    }
}

/// Entries of the manual that a probe can read: all, or every third.
pub fn entries(job: &Job, third: bool) -> Vec<usize> {
    let readable = (0..job.manual.len()).filter(|index| {
        let entry = &job.manual[*index];
        entry.port.is_some() && entry.quantity == Quantity::DcVolts
    });
    readable.filter(|index| !third || index % 3 == 0).collect()
}

/// The circuit with every number somewhere within its limits.
fn drawn(circuit: &Circuit, dice: &mut Dice) -> Circuit {
    use PartParameter as P;
    let mut changes = Vec::new();
    for (index, part) in circuit.parts().iter().enumerate() {
        let devices = match &part.kind {
            PartKind::Device(device) => device.units.first(),
            _ => None,
        };
        let devices = devices.map_or(&[][..], |unit| unit.characteristic.parameters());
        let all = [P::Resistance, P::Leak, P::Volts, P::SourceResistance]
            .into_iter()
            .chain(devices.iter().copied().map(P::Device));
        for parameter in all {
            let change = dice.within(spread_of(part, parameter).half_width);
            changes.push((PartId(index), parameter, change));
        }
    }
    // A number that a part has not is left alone.
    circuit.varied(changes)
}
