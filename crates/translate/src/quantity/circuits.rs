//! The drawing without power and at each frequency, as the rows of a table ask for it.

use std::rc::Rc;

use circuit::{Circuit, Conditions, Job, Setting};
use solver::{Phasors, PowerOff, SolveError};

/// The circuits of a job as its rows need them, each solved once.
pub(crate) struct Circuits<'a> {
    drawn: &'a Circuit,
    off: Option<Circuit>,
    solved: Vec<(Vec<Setting>, Result<PowerOff, SolveError>)>,
    /// The drawing without power in the first moment of a test; none without a large capacitor.
    uncharged: Option<Option<Circuit>>,
    touched: Vec<(Vec<Setting>, Option<PowerOff>)>,
    alternating: Vec<AtFrequency>,
}

/// The drawing at a frequency.
struct AtFrequency {
    conditions: Conditions,
    /// Hertz, and the factor of the generators' volts, in bits: only the very same counts.
    drive: [u64; 2],
    solved: Result<Rc<Phasors>, SolveError>,
}

impl<'a> Circuits<'a> {
    pub(crate) fn new(job: &'a Job) -> Self {
        Circuits {
            drawn: &job.circuit,
            off: None,
            solved: Vec::new(),
            uncharged: None,
            touched: Vec::new(),
            alternating: Vec::new(),
        }
    }

    /// The drawing under these conditions at a frequency, its generators' volts times `drive`.
    pub(super) fn phasors(
        &mut self,
        conditions: Conditions,
        hertz: f64,
        drive: f64,
    ) -> Result<Rc<Phasors>, SolveError> {
        let bits = [hertz.to_bits(), drive.to_bits()];
        let mut known = self.alternating.iter();
        let same = known.find(|own| own.drive == bits && own.conditions == conditions);
        if let Some(known) = same {
            return known.solved.clone();
        }
        let solved = Phasors::new(self.drawn, &conditions, hertz, drive).map(Rc::new);
        self.alternating.push(AtFrequency {
            conditions,
            drive: bits,
            solved: solved.clone(),
        });
        solved
    }

    /// The drawing without power, under these settings.
    pub(super) fn off(&mut self, settings: &[Setting]) -> Result<&PowerOff, SolveError> {
        let known = self.solved.iter().position(|(own, _)| own == settings);
        let place = known.unwrap_or_else(|| {
            let conditions = Conditions {
                settings: settings.to_vec(),
                line_factor: 1.0,
            };
            let off = self.off.get_or_insert_with(|| self.drawn.powered_off());
            let solved = PowerOff::new(off.clone(), &conditions);
            self.solved.push((settings.to_vec(), solved));
            self.solved.len() - 1
        });
        match &self.solved[place].1 {
            Ok(off) => Ok(off),
            Err(error) => Err(error.clone()),
        }
    }

    /// The drawing without power, under these settings, in the first moment of a test: capacitors of at
    /// least so many farads, always the same number, are empty. None without such a capacitor or without
    /// a solution.
    pub(super) fn uncharged(&mut self, settings: &[Setting], farads: f64) -> Option<&PowerOff> {
        let known = self.touched.iter().position(|(own, _)| own == settings);
        let place = known.unwrap_or_else(|| {
            let conditions = Conditions {
                settings: settings.to_vec(),
                line_factor: 1.0,
            };
            let off = self.off.get_or_insert_with(|| self.drawn.powered_off());
            let empty = self.uncharged.get_or_insert_with(|| off.uncharged(farads));
            let solved = empty.clone().map(|empty| PowerOff::new(empty, &conditions));
            self.touched
                .push((settings.to_vec(), solved.and_then(Result::ok)));
            self.touched.len() - 1
        });
        self.touched[place].1.as_ref()
    }
}
