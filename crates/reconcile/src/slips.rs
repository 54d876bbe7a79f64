//! Slips that could have led to a doubted value.
//!
//! An entry comes in; every slip of reading or printing that is tried goes out, each with the place,
//! meter, range and digits that it would make of the value. Whether it fits is not known here.

use std::collections::HashMap;

use crate::range_choice::choose_range;
use circuit::{Job, Meter, MeterRange, Port, Setting};

use crate::explanation::Explanation;
use crate::manual_table::Taken;
use crate::misprint::{negated, shifted, swapped};
use crate::observation::{noise_of, MeterSetup, Printed};
use crate::place::other_places;

/// A slip to be tried.
pub(crate) struct Slip {
    pub(crate) explanation: Explanation,
    pub(crate) port: Port,
    meter: Meter,
    pub(crate) range: MeterRange,
    pub(crate) printed: Printed,
}

/// A port, the control positions by their place among those met, and the load in siemens by its
/// bits: what a reading depends on besides the digits.
pub(crate) type ReadingKey = (Port, usize, u64);

impl Slip {
    pub(crate) fn setup<'a>(&'a self, settings: &'a [Setting]) -> MeterSetup<'a> {
        MeterSetup {
            settings,
            meter: &self.meter,
            range: self.range,
        }
    }

    /// Variance of rounding and meter in V², where it can be told.
    pub(crate) fn noise(&self) -> Option<f64> {
        let Printed { value, resolution } = self.printed;
        let noise = noise_of(&self.meter, self.range, value, resolution).ok()?;
        (noise.is_finite() && noise > 0.0).then_some(noise)
    }

    pub(crate) fn key(&self, settings: usize) -> ReadingKey {
        (self.port, settings, self.setup(&[]).siemens().to_bits())
    }
}

/// A doubted value.
pub(crate) struct Doubted<'a> {
    pub(crate) job: &'a Job,
    pub(crate) taken: &'a Taken,
    pub(crate) entries_at: &'a HashMap<Port, Vec<usize>>,
}

impl Doubted<'_> {
    /// Every slip to be tried, with its share: one kind of slip is taken as likely as another, and
    /// shared out among its forms.
    pub(crate) fn slips(&self) -> Vec<(Slip, f64)> {
        let kinds = [
            self.ranges(),
            self.meters(),
            self.digits(swapped(self.figure()), |reads_as| {
                Explanation::SwappedDigits { reads_as }
            }),
            self.digits(shifted(self.printed()), |reads_as| {
                Explanation::DecimalPoint { reads_as }
            }),
            self.digits(self.millivolts(), |reads_as| Explanation::DecimalPoint {
                reads_as,
            }),
            self.digits(negated(self.printed()), |reads_as| Explanation::WrongSign {
                reads_as,
            }),
            self.places(),
        ];
        let shared = kinds.into_iter().flat_map(|slips| {
            let share = 1.0 / slips.len().max(1) as f64;
            slips.into_iter().map(move |slip| (slip, share))
        });
        shared.collect()
    }

    fn entry(&self) -> &circuit::ManualEntry {
        &self.job.manual[self.taken.entries[0]]
    }

    fn figure(&self) -> &units::Figure {
        &self.entry().figure
    }

    fn printed(&self) -> Printed {
        Printed::of(self.job, self.taken.entries[0])
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

    /// A figure without its unit from a chart in millivolts.
    fn millivolts(&self) -> Vec<Printed> {
        let is_bare = self
            .figure()
            .text
            .ends_with(|last: char| last.is_ascii_digit());
        let Printed { value, resolution } = self.printed();
        let meant = Printed {
            value: value / 1e3,
            resolution: resolution / 1e3,
        };
        Vec::from_iter((is_bare && value != 0.0).then_some(meant))
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

    /// The usual classes, as the job has them, and its own meters, that load the point otherwise.
    fn meters(&self) -> Vec<Slip> {
        let entry = self.entry();
        let own = entry.meter.input_ohms(self.taken.range.range);
        let mut slips = Vec::new();
        let mut meters = self.job.meter_classes();
        for own in &self.job.own_meters {
            if !meters.iter().any(|meter| meter.name == own.name) {
                meters.push(own.clone());
            }
        }
        for meter in meters {
            let range = choose_range(&meter, entry.range, self.printed().value).range;
            if range.holds(self.printed().value) && unlike(own, meter.input_ohms(range)) {
                let explanation = Explanation::OtherMeter {
                    meter: Box::new(meter.clone()),
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
            let explanation = Explanation::OtherPlace {
                port,
                entries: self.entries_at.get(&port).cloned().unwrap_or_default(),
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
