//! Where to put the probe next.
//!
//! The suspects as they stand come in; of the manual's points not yet read and every node of the
//! drawing, those go out whose reading is expected to lower the entropy of the faults most, also of
//! those that no reading so far tells apart. The
//! meter is the first of the bench. How a suspect was found is not known here.

use circuit::{Job, MeterRange, Port, Quantity};
use rayon::prelude::*;
use reconcile::choose_range;

use crate::hazard::{Reach, HAZARDOUS_DC};

use crate::suspects::altered_set::PartStep;
use crate::suspects::costs::StepKind;
use crate::suspects::entropy::{expected_gain_bits, Predicted};
use crate::suspects::group::{Suspect, Weighed};
use crate::suspects::ranking::SuspectOptions;
use crate::suspects::reading::{meter_noise, state, Readings, Sources};
use crate::suspects::trial::{Trials, Tried};
use crate::suspects::view::{Look, Sized};

/// Faults that are looked at, at most.
const LEADING: usize = 16;

/// Probability below which a fault is not worth a probe.
const LEAST: f64 = 1e-3;

/// Expected gain in bits below which no place is named.
pub(crate) const LEAST_GAIN: f64 = 0.01;

/// Two suspects of at least [`TELLING`] have to lie so many standard deviations of the meter apart
/// for a probe to be named: no meter tells −0.082 from −0.085 V.
const APART: f64 = 4.0;
pub(crate) const TELLING: f64 = 0.02;

/// Probability from which a wrong reading is worth being read again.
const READ_AGAIN: f64 = 0.05;

/// A measurement worth making.
#[derive(Clone, Debug, PartialEq)]
pub struct NextProbe {
    /// Where the probes go.
    pub port: Port,
    /// The manual's entry there, as an index into [`Job::manual`]; none for a bare node.
    pub entry: Option<usize>,
    /// Index into [`circuit::Bench::meters`].
    pub meter: usize,
    /// The lowest range that holds what every leading suspect predicts.
    pub range: MeterRange,
    /// Expected drop of the entropy of the faults, in bits, before any penalty.
    pub gain_bits: f64,
    /// The highest volts the point may reach, either sign.
    pub reach: f64,
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

/// A point of the manual that has not been read.
#[derive(Clone, Debug)]
pub(crate) struct Unread {
    /// Index into [`Job::manual`].
    pub(crate) entry: usize,
    pub(crate) look: Look,
}

/// The manual's direct-volt points that no used reading is of, on the first bench meter.
pub(crate) fn unread_points(job: &Job, sources: &Sources<'_>, read: &mut Readings) -> Vec<Unread> {
    let mut found: Vec<Unread> = Vec::new();
    for point in &sources.comparison.translation.points {
        let entry = &job.manual[point.entry];
        let taken = read.used.iter().any(|used| used.entry == Some(point.entry));
        let (Ok(carried), Some(port), false) = (&point.outcome, entry.port, taken) else {
            continue;
        };
        let doubted = sources.doubted.contains(&point.entry);
        if entry.quantity != Quantity::DcVolts || entry.source.is_some() || doubted {
            continue;
        }
        let Some(side) = carried.bench.first() else {
            continue;
        };
        if !(side.expected.is_finite() && side.input_ohms > 0.0) {
            continue;
        }
        let look = Look {
            port,
            siemens: 1.0 / side.input_ohms,
            state: state(&mut read.states, &entry.settings, job.line_factor()),
        };
        // A socket chart repeats the table: one place under one condition is one point.
        let known = |other: Port, at: usize| other == port && at == look.state;
        let read_already = read.used.iter().any(|used| known(used.port, used.state));
        let listed = found
            .iter()
            .any(|other| known(other.look.port, other.look.state));
        if !read_already && !listed {
            found.push(Unread {
                entry: point.entry,
                look,
            });
        }
    }
    found
}

/// A place for the probe.
pub(crate) struct Place {
    pub(crate) look: Look,
    pub(crate) entry: Option<usize>,
    pub(crate) reach: f64,
    /// The used reading that was taken here before.
    pub(crate) again: Option<usize>,
}

/// What one fault predicts at every place.
struct Outlook {
    suspect: usize,
    member: usize,
    probability: f64,
    /// Volts and variance without the meter's.
    at: Vec<(f64, f64)>,
}

/// The likeliest faults: suspect, member, and place among the trials.
pub(crate) fn leading(
    weighed: &[Weighed],
    suspects: &[(Vec<usize>, Suspect)],
) -> Vec<(usize, usize, usize)> {
    let members = suspects
        .iter()
        .enumerate()
        .flat_map(|(suspect, (trials, _))| {
            let each = trials.iter().enumerate();
            each.map(move |(member, trial)| (suspect, member, *trial))
        });
    let mut leading: Vec<(usize, usize, usize)> = members
        .filter(|(_, _, trial)| weighed[*trial].probability >= LEAST)
        .collect();
    leading.sort_by(|a, b| {
        weighed[b.2]
            .probability
            .total_cmp(&weighed[a.2].probability)
    });
    leading.truncate(LEADING);
    leading
}

/// The most telling measurements.
pub(crate) fn next_probes(
    (job, reach): (&Job, &Reach),
    options: &SuspectOptions,
    trials: &Trials<'_>,
    read: &Readings,
    unread: &[Unread],
    (weighed, suspects): (&[Weighed], &[(Vec<usize>, Suspect)]),
) -> Vec<NextProbe> {
    let Some(meter) = job.bench.meters.first().filter(|_| options.probes > 0) else {
        return Vec::new();
    };
    let places = places((job, reach), trials, (read, unread), weighed);
    let leading = leading(weighed, suspects);
    let outlooks: Vec<Outlook> = leading
        .par_iter()
        .filter_map(|(suspect, member, trial)| {
            Some(Outlook {
                suspect: *suspect,
                member: *member,
                probability: weighed[*trial].probability,
                at: outlook(trials, &weighed[*trial].tried, &places, None)?,
            })
        })
        .collect();
    let penalty = options.hazard_penalty.clamp(0.0, 1.0);
    let mut found: Vec<(f64, NextProbe)> = places
        .par_iter()
        .enumerate()
        .filter_map(|(index, place)| {
            let volts = outlooks.iter().map(|outlook| outlook.at[index].0.abs());
            let range = choose_range(meter, None, volts.fold(0.0, f64::max)).range;
            let predicted: Vec<Predicted> = outlooks
                .iter()
                .filter_map(|outlook| {
                    let (volts, variance) = outlook.at[index];
                    Some(Predicted {
                        probability: outlook.probability,
                        volts,
                        sigma: (variance + meter_noise(meter, range, volts)?).sqrt(),
                    })
                })
                .collect();
            let gain_bits = expected_gain_bits(&predicted);
            if !tells_apart((meter, range), &predicted) {
                return None;
            }
            let hazardous = place.reach >= HAZARDOUS_DC;
            let kept = if hazardous { 1.0 - penalty } else { 1.0 };
            let kind = match place.again {
                Some(_) => StepKind::ReadAgain,
                None => StepKind::ReadNew,
            };
            let worth = gain_bits * kept / kind.cost();
            let of = |outlook: &Outlook| ProbePrediction {
                suspect: outlook.suspect,
                member: outlook.member,
                volts: outlook.at[index].0,
            };
            let probe = NextProbe {
                port: place.look.port,
                entry: place.entry,
                meter: 0,
                range,
                gain_bits,
                reach: place.reach,
                hazardous,
                again: place.again.is_some(),
                predictions: outlooks.iter().map(of).collect(),
            };
            (gain_bits > LEAST_GAIN).then_some((worth, probe))
        })
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.truncate(options.probes);
    found.into_iter().map(|(_, probe)| probe).collect()
}

/// Whether a meter tells two of the faults of some weight apart.
pub(crate) fn tells_apart(
    (meter, range): (&circuit::Meter, MeterRange),
    predicted: &[Predicted],
) -> bool {
    let most = predicted
        .iter()
        .fold(0.0f64, |most, one| most.max(one.volts.abs()));
    let Some(noise) = meter_noise(meter, range, most) else {
        return false;
    };
    let telling = predicted.iter().filter(|one| one.probability >= TELLING);
    let ends = telling.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), one| {
        (a.min(one.volts), b.max(one.volts))
    });
    ends.1 - ends.0 >= APART * noise.sqrt()
}

/// Points whose reading may well be wrong: to read them again costs nothing.
fn read_again(job: &Job, read: &Readings, weighed: &[Weighed], reach: &Reach) -> Vec<Place> {
    let wrong = weighed.iter().filter(|one| one.probability >= READ_AGAIN);
    let places = wrong.filter_map(|one| {
        let index = one.tried.faults.first()?.0.reading?;
        let place = read.used.iter().position(|used| used.reading == index)?;
        let used = &read.used[place];
        if used.quantity != Quantity::DcVolts {
            return None;
        }
        let meter = job.bench.meters.first()?;
        let range = meter.ranges.last()?;
        Some(Place {
            look: Look {
                port: used.port,
                siemens: 1.0 / meter.input_ohms(*range),
                state: used.state,
            },
            entry: used.entry,
            reach: reach.at(used.port),
            again: Some(place),
        })
    });
    places.collect()
}

/// Unread points of the manual, then every node against its island's reference.
pub(crate) fn places(
    (job, reach): (&Job, &Reach),
    trials: &Trials<'_>,
    (read, unread): (&Readings, &[Unread]),
    weighed: &[Weighed],
) -> Vec<Place> {
    let mut found: Vec<Place> = unread
        .iter()
        .map(|point| Place {
            look: point.look,
            entry: Some(point.entry),
            reach: reach.at(point.look.port),
            again: None,
        })
        .collect();
    found.extend(read_again(job, read, weighed, reach));
    let Some(siemens) = job.bench.meters.first().and_then(|meter| {
        let range = meter.ranges.last()?;
        Some(1.0 / meter.input_ohms(*range))
    }) else {
        return found;
    };
    for island in circuit::islands(&job.circuit) {
        let Some(minus) = island.references.first().copied() else {
            continue;
        };
        for plus in island.nodes.iter().copied().filter(|node| *node != minus) {
            let port = Port { plus, minus };
            let known = found
                .iter()
                .any(|place| place.again.is_none() && place.look.port == port);
            let taken = read
                .used
                .iter()
                .any(|used| used.port == port && used.state == 0);
            let floats = trials.bench.floats(0, port);
            if !known && !taken && !floats {
                found.push(Place {
                    look: Look {
                        port,
                        siemens,
                        state: 0,
                    },
                    entry: None,
                    reach: reach.at(port),
                    again: None,
                });
            }
        }
    }
    found
}

/// Whether a trial takes a used reading to be wrong.
fn is_wrong(tried: &Tried, trials: &Trials<'_>, place: usize) -> bool {
    let reading = trials.readings.get(place);
    let mut faults = tried.faults.iter();
    faults.any(|(hypothesis, _)| {
        hypothesis.reading.is_some() && hypothesis.reading.as_ref() == reading
    })
}

/// What a suspect predicts at every place, after what the readings say of the parts:
/// `ŷ + sᵀS⁻¹r` with variance `mᵀCm − sᵀS⁻¹s`, `s = M C m`, and what its size leaves open, `C` being
/// what the manual leaves open of the numbers. After a step on a part the circuit is the altered one,
/// and of a tube just plugged in the readings so far say nothing.
pub(crate) fn outlook(
    trials: &Trials<'_>,
    tried: &Tried,
    places: &[Place],
    step: Option<PartStep>,
) -> Option<Vec<(f64, f64)>> {
    let looks: Vec<Look> = places.iter().map(|place| place.look).collect();
    let circuit = trials.bench.circuit;
    let after = |faults: &[Sized]| match step {
        Some(step) => step.after(circuit, faults),
        None => faults.to_vec(),
    };
    let left = after(&tried.faults);
    let (view, mut spread) = trials.bench.spread(&left, &looks).ok()?;
    let stand_ins = trials.bench.stand_ins(&left, &looks, &view);
    trials.bench.with_stand_ins(&mut spread, &stand_ins);
    let shift = trials.bench.lacking(&looks, &view);
    let larger = tried
        .faults
        .split_first()
        .filter(|_| tried.log_size_sigma > 0.0);
    let larger = larger.map(|((first, size), rest)| {
        let own = (*first, size * tried.log_size_sigma.exp());
        let all: Vec<Sized> = std::iter::once(own).chain(rest.iter().copied()).collect();
        after(&all)
    });
    let larger = larger.filter(|larger| *larger != left);
    let larger = larger.and_then(|larger| trials.bench.view(&larger, &looks).ok());
    let moved: Vec<f64> = match larger {
        Some(other) => (other.volts.iter().zip(&view.volts))
            .map(|(a, b)| a - b)
            .collect(),
        None => vec![0.0; looks.len()],
    };
    // What the readings so far speak of.
    let mut told = spread.clone();
    if let Some(step) = step {
        for column in trials.bench.columns_of(&step.fresh(circuit)) {
            told.column_mut(column).fill(0.0);
        }
    }
    let rows = tried.joint.valued.iter().copied();
    let rows: Vec<usize> = rows.collect();
    let own = nalgebra::DMatrix::from_fn(rows.len(), spread.ncols(), |i, j| {
        tried.spread[(rows[i], j)]
    });
    let residuals = tried.joint.residuals(&trials.shown, &tried.predicted);
    let learnt = &tried.joint.covariance.inverse * residuals;
    // One column a place.
    let known = &trials.bench.known;
    let taught = &told * known;
    let shared = &own * told.transpose() - (&own * known) * taught.transpose();
    let weighted = &tried.joint.covariance.inverse * &shared;
    let at = |place: usize| {
        let volts = view.volts[place] + shift[place] + shared.column(place).dot(&learnt);
        let before = spread.row(place).norm_squared() - taught.row(place).norm_squared();
        let open = before - shared.column(place).dot(&weighted.column(place));
        // Where a reading was taken before it says itself what will be read again, unless it is the
        // one that is taken to be wrong.
        let again = places[place].again;
        match again.filter(|again| !is_wrong(tried, trials, *again)) {
            Some(again) => (
                trials.shown.volts[again].unwrap_or(volts),
                trials.shown.noise[again],
            ),
            None => (volts, open.max(0.0) + moved[place].powi(2)),
        }
    };
    Some((0..places.len()).map(at).collect())
}
