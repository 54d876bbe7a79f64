//! Where to put the probe next.
//!
//! The suspects as they stand come in; of the manual's points not yet read, every node of the drawing, and nodes
//! with a winding or small resistor between them, those go out whose reading is expected to lower the entropy of
//! the faults most, also of those that no reading so far tells apart. The meter is the first of the bench. How a
//! suspect was found is not known here.

use circuit::{Circuit, Job, MeterRange, Port, Setting};

use crate::suspects::costs::StepKind;
use crate::suspects::evaluation::Evaluator;
use crate::suspects::fault_predictions::{
    fault_predictions, in_order_at, leading, one_reading, FaultPredictions, TELLING,
};
use crate::suspects::group::{AmbiguityGroup, Posterior};
use crate::suspects::next_places::places;
use crate::suspects::options::SuspectOptions;
use crate::suspects::reading::Readings;
use crate::suspects::unread::UnreadPoint;
use crate::worst_case::WorstCaseVolts;

/// A measurement worth making.
#[derive(Clone, Debug, PartialEq)]
pub struct NextProbe {
    /// Where the probes go.
    pub port: Port,
    /// The manual's entry there, as an index into [`Job::manual`]; none for a bare node.
    pub entry: Option<usize>,
    /// How the controls and supplies stand, where that differs from the netlist.
    pub settings: Vec<Setting>,
    /// Index into [`circuit::Bench::meters`].
    pub meter: usize,
    /// The lowest range that holds what every leading suspect predicts.
    pub range: MeterRange,
    /// Expected drop of the entropy of the faults, in bits, before any penalty.
    pub gain_bits: f64,
    /// The highest volts the point may reach, either sign.
    pub worst_case_volts: f64,
    /// Whether that is dangerous to touch.
    pub hazardous: bool,
    /// Whether the point has been read already, and should be read again: somebody may have written
    /// a reading down wrongly.
    pub again: bool,
    /// What the leading faults predict there, the most probable first. Those that no reading so
    /// far tells apart may well differ here.
    pub predictions: Vec<ProbePrediction>,
}

/// What a fault predicts at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProbePrediction {
    /// The suspect, by its place in [`crate::Suspects::hypotheses`].
    pub suspect: usize,
    /// Which of its members.
    pub member: usize,
    /// Volts on the meter.
    pub volts: f64,
}

impl NextProbe {
    /// What kind of step it is.
    pub fn kind(&self, circuit: &Circuit) -> StepKind {
        match self.again {
            true => StepKind::ReadAgain,
            false if self.is_difference(circuit) => StepKind::ReadDifference,
            false => StepKind::ReadNew,
        }
    }

    /// Whether neither probe is on a reference, at a place that the manual does not have.
    pub fn is_difference(&self, circuit: &Circuit) -> bool {
        self.entry.is_none() && !circuit.nodes()[self.port.minus.0].is_reference
    }
}

/// Two suspects of some weight have to differ by this share of a difference between two live nodes for it to be
/// worth a reading: currents that no drawing has, and ohms of windings that nobody stated, move it by as much (common
/// practice, no source).
const LEAST_DIFFERENCE: f64 = 0.25;

/// Whether they do at the place of this index.
fn differs(by_fault: &[FaultPredictions], index: usize) -> bool {
    let telling = by_fault.iter().filter(|fault| fault.probability >= TELLING);
    let volts: Vec<f64> = telling.map(|fault| fault.at[index].0).collect();
    let most = volts.iter().fold(0.0f64, |most, own| most.max(own.abs()));
    let high = volts.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let low = volts.iter().copied().fold(f64::INFINITY, f64::min);
    high - low >= LEAST_DIFFERENCE * most
}

/// The most telling measurements.
pub(crate) fn next_probes(
    (job, worst_case_volts): (&Job, &WorstCaseVolts),
    options: &SuspectOptions,
    evaluator: &Evaluator<'_>,
    read: &Readings,
    unread: &[UnreadPoint],
    (posteriors, suspects): (&[Posterior], &[(Vec<usize>, AmbiguityGroup)]),
) -> Vec<NextProbe> {
    let Some(meter) = job.bench.meters.first().filter(|_| options.probes > 0) else {
        return Vec::new();
    };
    let places = places(
        (job, worst_case_volts),
        evaluator,
        (read, unread),
        posteriors,
    );
    let Some(in_order) = in_order_at(evaluator, &places) else {
        return Vec::new();
    };
    let by_fault = parallel::filter_map(leading(posteriors, suspects), |fault| {
        let trial = &posteriors[fault.trial];
        Some(FaultPredictions {
            fault,
            probability: trial.probability,
            at: fault_predictions(evaluator, &trial.evaluated, (&places, &in_order), None)?,
        })
    });
    let penalty = options.hazard_penalty.clamp(0.0, 1.0);
    let each = places.iter().enumerate();
    let mut found: Vec<(f64, NextProbe)> = parallel::filter_map(each, |(index, place)| {
        if place.is_difference(&job.circuit) && !differs(&by_fault, index) {
            return None;
        }
        let reading = one_reading(meter, &by_fault, (index, place), penalty)?;
        let predictions = by_fault.iter().map(|own| ProbePrediction {
            suspect: own.fault.suspect,
            member: own.fault.member,
            volts: own.at[index].0,
        });
        let probe = NextProbe {
            port: place.probe.port,
            entry: place.entry,
            settings: read.states[place.probe.state].settings.clone(),
            meter: 0,
            range: reading.range,
            gain_bits: reading.gain_bits,
            worst_case_volts: place.worst_case_volts,
            hazardous: reading.hazardous,
            again: place.again.is_some(),
            predictions: predictions.collect(),
        };
        Some((reading.worth / probe.kind(&job.circuit).cost(), probe))
    });
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.truncate(options.probes);
    found.into_iter().map(|(_, probe)| probe).collect()
}
