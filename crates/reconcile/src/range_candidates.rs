//! An entry of the manual on the ranges that it may have been read on.
//!
//! An entry and a meter come in; what the circuit reads there on each range is seen, and the
//! reading on the likelier range goes out.

use crate::range_choice::{choose_range, RangeChoice};
use circuit::{Job, ManualEntry, Meter, MeterRange, Port};

use crate::observation::{MeterSetup, ModelReading, NoObservation, Observation, Printed};
use crate::reader::Reader;

/// How likely a reading was taken one range higher than it had to be, beside on the lowest
/// (common practice, no source: a needle near the end of the scale makes one switch up).
const NEXT_RANGE: f64 = 0.25;

/// An entry on its range.
///
/// A value printed as 100 may have been 100.4 on the next range up, which the rule of the lowest
/// range cannot see; where rounding leaves that open, the range nearer to the drawn circuit is
/// taken. In trials with healthy manuals nearly all false doubts were such values.
///
/// Where the meter is in question, any value may have been read on the next range up: there a
/// heavier meter loads as a lighter one does a range below. That is taken as [`NEXT_RANGE`] times
/// as likely beforehand, and taken where it is likelier all the same. Without it a table read on
/// comfortable ranges was told to be of a lighter class, at odds of over a hundred.
pub(crate) struct RangeCandidates<'a> {
    entry: &'a ManualEntry,
    printed: Printed,
    meter: &'a Meter,
    in_question: bool,
    choice: RangeChoice,
    /// The next range up, if it may have been read on that, and how likely that is beforehand.
    above: Option<(MeterRange, f64)>,
}

impl<'a> RangeCandidates<'a> {
    pub(crate) fn of(job: &'a Job, entry: usize, meter: &'a Meter, in_question: bool) -> Self {
        let printed = Printed::of(job, entry);
        let entry = &job.manual[entry];
        let choice = choose_range(meter, entry.range, printed.value);
        let most = printed.value.abs() + printed.resolution / 2.0;
        let open = choice.assumed && choice.range.holds(printed.value) && !choice.range.holds(most);
        let doubtful = open || (in_question && choice.assumed);
        let (_, above) = meter.neighbours(choice.range);
        let weight = if open { 0.0 } else { NEXT_RANGE.ln() };
        RangeCandidates {
            entry,
            printed,
            meter,
            in_question,
            choice,
            above: above.filter(|_| doubtful).map(|above| (above, weight)),
        }
    }

    fn setup(&self, range: MeterRange) -> MeterSetup<'a> {
        MeterSetup {
            settings: &self.entry.settings,
            meter: self.meter,
            range,
        }
    }

    /// The circuit through every range that comes into question.
    pub(crate) fn seen(
        &self,
        reader: &Reader,
        port: Port,
    ) -> Vec<Result<ModelReading, NoObservation>> {
        let ranges = std::iter::once(self.choice.range).chain(self.above.map(|(above, _)| above));
        let model_reading = |range| {
            let setup = self.setup(range);
            reader.model_reading(port, setup.settings, setup.siemens())
        };
        ranges.map(model_reading).collect()
    }

    pub(crate) fn read(
        &self,
        reader: &mut Reader,
        seen: Vec<Result<ModelReading, NoObservation>>,
    ) -> Result<Read, NoObservation> {
        let mut seen = seen.into_iter();
        let mut on = |range: MeterRange| {
            let seen = seen.next().unwrap_or(Err(NoObservation::NotFinite))?;
            reader.row(&self.setup(range), self.printed, &seen)
        };
        let choice = self.choice;
        let row = on(choice.range)?;
        let Some((above, log_weight)) = self.above else {
            return Ok(Read {
                range: choice,
                row,
                log_weight: 0.0,
                otherwise: None,
            });
        };
        let other = on(above)?;
        let above = RangeChoice {
            range: above,
            ..choice
        };
        let mut read = if other.log_density() + log_weight > row.log_density() {
            Read {
                range: above,
                row: other,
                log_weight,
                otherwise: Some((row, 0.0)),
            }
        } else {
            Read {
                range: choice,
                row,
                log_weight: 0.0,
                otherwise: Some((other, log_weight)),
            }
        };
        if !self.in_question {
            read.otherwise = None;
        }
        Ok(read)
    }
}

/// An entry, read.
pub(crate) struct Read {
    pub(crate) range: RangeChoice,
    pub(crate) row: Observation,
    pub(crate) log_weight: f64,
    pub(crate) otherwise: Option<(Observation, f64)>,
}
