//! What slip would make a doubted value right.
//!
//! A doubted value and the fit of the believed ones come in. Each slip that could have led to it
//! is tried by reading the circuit anew, and those that fit go out, the likeliest first. None is
//! ever applied: a printed value is changed by a person with the page in hand, or not at all.

use circuit::{meter_classes, Job, Meter, MeterRange, Port};
use translate::choose_range;

use crate::error::DiagnoseError;
use crate::fit::{Fit, Prediction};
use crate::misprint::{negated, shifted, swapped};
use crate::place::other_places;
use crate::row::{NoRow, Printed, Probe, Reader};
use crate::sheet::Taken;

/// A slip explains a value that it brings within so many standard deviations: tighter than what
/// is believed unasked, since several slips are tried for each value and one in twenty wrong ones
/// may then still fit.
pub const EXPLAINS: f64 = 2.0;

/// A meter or range explains a value by its load only if it takes away at least this share of the
/// misfit in volts; else a coarse range would explain anything by its error alone.
const LEAST_SHIFT: f64 = 0.5;

/// A slip that would explain a doubted value.
#[derive(Clone, Debug, PartialEq)]
pub enum Explanation {
    /// It was read on another range of the same meter.
    OtherRange {
        /// That range.
        range: MeterRange,
    },
    /// It was read with a meter of another built-in class.
    OtherMeter {
        /// That class.
        meter: Meter,
        /// The range of it.
        range: MeterRange,
    },
    /// Two neighbouring digits changed places.
    SwappedDigits {
        /// What it was meant to read, in volts.
        reads_as: f64,
    },
    /// The decimal point was dropped or misplaced.
    DecimalPoint {
        /// What it was meant to read, in volts.
        reads_as: f64,
    },
    /// The sign is wrong, or the probes were the other way round.
    WrongSign {
        /// What it was meant to read, in volts.
        reads_as: f64,
    },
    /// It belongs to another place.
    OtherPlace {
        /// That place.
        port: Port,
        /// Indices into [`Job::manual`] of the entries that stand there.
        entries: Vec<usize>,
    },
}

/// An explanation and how well it fits.
#[derive(Clone, Debug, PartialEq)]
pub struct Explained {
    /// What may have happened.
    pub explanation: Explanation,
    /// What the value should then be.
    pub predicted: Prediction,
    /// Distance of the value from it in standard deviations, within [`EXPLAINS`].
    pub residual_sigma: f64,
    /// Logarithm of the probability that this slip prints just these digits, up to a constant
    /// that is the same for all explanations of one value.
    pub log_likelihood: f64,
}

/// A slip to be tried.
struct Slip {
    explanation: Explanation,
    port: Port,
    meter: Meter,
    range: MeterRange,
    printed: Printed,
}

/// A doubted value.
pub(crate) struct Doubted<'a> {
    pub(crate) job: &'a Job,
    pub(crate) taken: &'a Taken,
    /// Its misfit as printed, in volts.
    pub(crate) misfit: f64,
}

/// Every slip that explains a value, the likeliest first.
///
/// # Errors
/// [`DiagnoseError::Unsolved`], which cannot be where the value itself was read.
pub(crate) fn explanations(
    reader: &mut Reader<'_>,
    fit: &Fit<'_>,
    doubted: &Doubted<'_>,
) -> Result<Vec<Explained>, DiagnoseError> {
    let mut found = Vec::new();
    let kinds = [
        doubted.ranges(),
        doubted.meters(),
        doubted.digits(swapped(doubted.figure()), |reads_as| {
            Explanation::SwappedDigits { reads_as }
        }),
        doubted.digits(shifted(doubted.printed()), |reads_as| {
            Explanation::DecimalPoint { reads_as }
        }),
        doubted.digits(negated(doubted.printed()), |reads_as| {
            Explanation::WrongSign { reads_as }
        }),
        doubted.places(),
    ];
    for slips in kinds {
        // One kind of slip is taken as likely as another, and shared out among its forms.
        let share = 1.0 / slips.len().max(1) as f64;
        for slip in slips {
            found.extend(tried(reader, fit, doubted, slip, share)?);
        }
    }
    found.sort_by(|a: &Explained, b| b.log_likelihood.total_cmp(&a.log_likelihood));
    Ok(found)
}

fn tried(
    reader: &mut Reader<'_>,
    fit: &Fit<'_>,
    doubted: &Doubted<'_>,
    slip: Slip,
    share: f64,
) -> Result<Option<Explained>, DiagnoseError> {
    let probe = Probe {
        port: slip.port,
        settings: &doubted.job.manual[doubted.taken.entries[0]].settings,
        meter: &slip.meter,
        range: slip.range,
    };
    let row = match reader.read(&probe, slip.printed) {
        Ok(row) => row,
        Err(NoRow::Unsolved(error)) => return Err(error.into()),
        Err(_) => return Ok(None),
    };
    let predicted = fit.predict(&row);
    let residual_sigma = predicted.sigmas(slip.printed.value);
    let by_load = matches!(
        slip.explanation,
        Explanation::OtherRange { .. } | Explanation::OtherMeter { .. }
    );
    let misfit = (slip.printed.value - predicted.volts).abs();
    let shifted_enough = !by_load || misfit <= (1.0 - LEAST_SHIFT) * doubted.misfit.abs();
    if residual_sigma.abs() > EXPLAINS || !shifted_enough {
        return Ok(None);
    }
    // The digits stand for an interval of one resolution: p = share · δ/s · exp(−z²/2)/√2π
    let density = slip.printed.resolution / predicted.standard;
    Ok(Some(Explained {
        explanation: slip.explanation,
        predicted,
        residual_sigma,
        log_likelihood: (share * density).ln() - 0.5 * residual_sigma.powi(2),
    }))
}

impl Doubted<'_> {
    fn entry(&self) -> &circuit::ManualEntry {
        &self.job.manual[self.taken.entries[0]]
    }

    fn figure(&self) -> &units::Figure {
        &self.entry().figure
    }

    fn printed(&self) -> Printed {
        Printed::of(self.entry())
    }

    fn slip(&self, explanation: Explanation) -> Slip {
        Slip {
            explanation,
            port: self.taken.port,
            meter: self.entry().meter.clone(),
            range: self.taken.range.range,
            printed: self.printed(),
        }
    }

    /// The other ranges of the meter that hold the value.
    fn ranges(&self) -> Vec<Slip> {
        let meter = &self.entry().meter;
        let own = meter.input_ohms(self.taken.range.range);
        let other = |range: &&MeterRange| {
            range.holds(self.printed().value) && unlike(own, meter.input_ohms(**range))
        };
        let ranges = meter.ranges.iter().filter(other);
        ranges
            .map(|range| Slip {
                range: *range,
                ..self.slip(Explanation::OtherRange { range: *range })
            })
            .collect()
    }

    /// The built-in classes that load the point otherwise.
    fn meters(&self) -> Vec<Slip> {
        let entry = self.entry();
        let own = entry.meter.input_ohms(self.taken.range.range);
        let mut slips = Vec::new();
        for meter in meter_classes() {
            let range = choose_range(&meter, entry.range, self.printed().value).range;
            if range.holds(self.printed().value) && unlike(own, meter.input_ohms(range)) {
                let explanation = Explanation::OtherMeter {
                    meter: meter.clone(),
                    range,
                };
                slips.push(Slip {
                    meter,
                    range,
                    ..self.slip(explanation)
                });
            }
        }
        slips
    }

    /// Other digits, on the range that would hold them.
    fn digits(&self, meant: Vec<Printed>, kind: impl Fn(f64) -> Explanation) -> Vec<Slip> {
        let entry = self.entry();
        let mut slips = Vec::new();
        for printed in meant {
            let range = choose_range(&entry.meter, entry.range, printed.value).range;
            if range.holds(printed.value) {
                slips.push(Slip {
                    range,
                    printed,
                    ..self.slip(kind(printed.value))
                });
            }
        }
        slips
    }

    fn places(&self) -> Vec<Slip> {
        let at = |port: Port| {
            let entries = self.job.manual.iter().enumerate();
            let there = entries.filter(|(_, other)| other.port == Some(port));
            let explanation = Explanation::OtherPlace {
                port,
                entries: there.map(|(index, _)| index).collect(),
            };
            Slip {
                port,
                ..self.slip(explanation)
            }
        };
        let places = other_places(self.job, self.taken.entries[0], self.taken.port);
        places.into_iter().map(at).collect()
    }
}

/// Whether two loads in ohms differ at all.
fn unlike(one: f64, other: f64) -> bool {
    (one - other).abs() > 1e-6 * one.abs()
}
