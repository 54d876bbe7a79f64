//! The uncertainty budget of a translated value.
//!
//! A translated value depends on the printed value, on the errors of the manual's meter and the bench
//! meter, and on every number of the drawn circuit. Each comes in with its limits and its derivative and
//! is one line. The combined standard uncertainty and the expanded interval go out
//! (JCGM 100:2008, 5.1.2).
//!
//! The manual's tolerance has no line here. It says what a healthy set may show, not how well that is
//! known. It also covers parts and meter already, so adding it would count them twice (4.3.10).

use circuit::{spread_of, Circuit, ManualEntry, Meter, MeterRange, SpreadBasis, STATED_SOURCE};
use reconcile::{permitted_error, PosteriorReading, Reconciled, TermInput};
use solver::ParameterId;
use units::Figure;

use crate::derivative::Derivatives;
use crate::manual_side::ManualSide;
use crate::uncertainty::{combine, coverage_of_sum, Contribution, Distribution};

/// Coverage probability of the expanded uncertainty.
pub const COVERAGE: f64 = 0.95;

/// A line whose share of the variance is smaller is left out.
const NEGLIGIBLE: f64 = 1e-6;

/// What a line of a budget stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Input {
    /// The printed value was rounded to its last digit.
    PrintedRounding,
    /// The manual's meter was not exact.
    ManualMeter,
    /// The source resistance stated for the point.
    StatedSource,
    /// A number of the circuit.
    Number(ParameterId),
    /// Another value of the manual, with its rounding and meter; by the first entry that prints it.
    OtherValue(usize),
    /// The error of the manual's meter that all values of one range have in common, in volts at full scale;
    /// by the first entry read there.
    ManualScale(usize),
    /// What the drawing may lack, here and at the points whose values contribute.
    Discrepancy,
    /// The bench meter is not exact.
    BenchMeter,
    /// The bench reading was rounded to its last digit.
    ReadingRounding,
}

/// One input of a translated value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BudgetLine {
    /// What it is.
    pub input: Input,
    /// How it may lie round its stated value, in its own unit.
    pub spread: Distribution,
    /// Whether its limits are stated or a default.
    pub basis: SpreadBasis,
    /// Derivative of the value by it, volts per unit.
    pub sensitivity: f64,
}

impl BudgetLine {
    /// What it adds by itself, in volts.
    pub fn volts(&self) -> f64 {
        Contribution::new(self.sensitivity, self.spread.standard()).size()
    }
}

/// The uncertainty of one value.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Budget {
    /// Inputs that contribute, the largest contribution first.
    pub lines: Vec<BudgetLine>,
    /// Combined standard uncertainty in volts.
    pub standard: f64,
    /// Coverage factor for [`COVERAGE`]: 1.96 for many inputs, down to 1.65 for one.
    pub coverage: f64,
}

impl Budget {
    /// Of these lines; those that contribute nothing are left out.
    pub(crate) fn of(mut lines: Vec<BudgetLine>) -> Self {
        lines.retain(|line| line.volts() > 0.0);
        let all: f64 = lines.iter().map(|line| line.volts().powi(2)).sum();
        // A thousand lines as small as this would add a thousandth to the whole.
        lines.retain(|line| line.volts().powi(2) > NEGLIGIBLE * all);
        lines.sort_by(|a, b| b.volts().total_cmp(&a.volts()));
        let contributions: Vec<Contribution> = lines
            .iter()
            .map(|line| Contribution::new(line.sensitivity, line.spread.standard()))
            .collect();
        let shapes: Vec<(f64, Distribution)> = lines
            .iter()
            .map(|line| (line.volts(), line.spread))
            .collect();
        Budget {
            standard: combine(&contributions),
            coverage: coverage_of_sum(&shapes, COVERAGE).unwrap_or(f64::NAN),
            lines,
        }
    }

    /// Expanded uncertainty U = k·u in volts: the value lies within it with a probability of
    /// [`COVERAGE`].
    pub fn expanded(&self) -> f64 {
        crate::uncertainty::expanded(self.standard, self.coverage)
    }
}

/// The lines of what the manual says, by the derivative of the value by the printed one. A meter
/// whose permitted error cannot be told has no line.
pub(crate) fn manual_lines(
    entry: &ManualEntry,
    manual: &ManualSide,
    by_printed: f64,
) -> Vec<BudgetLine> {
    let rounding = BudgetLine {
        input: Input::PrintedRounding,
        spread: Distribution::of_resolution(manual.resolution),
        basis: SpreadBasis::Stated,
        sensitivity: by_printed,
    };
    let meter = permitted_error(&entry.meter, manual.range.range, manual.value);
    let meter = meter.ok().map(|error| BudgetLine {
        input: Input::ManualMeter,
        spread: Distribution::Rectangular {
            half_width: error.half_width,
        },
        basis: error.basis,
        sensitivity: by_printed,
    });
    std::iter::once(rounding).chain(meter).collect()
}

/// Those lines without what the manual's meter reads wrong alike at all values of its range, which has a
/// line of its own.
pub(crate) fn own_lines(
    reconciled: &Reconciled,
    entry: usize,
    mut lines: Vec<BudgetLine>,
) -> Vec<BudgetLine> {
    let whole = reconciled.printed_noise(entry);
    let rounding: f64 = lines
        .iter()
        .filter(|line| line.input == Input::PrintedRounding)
        .map(|line| line.spread.standard().powi(2))
        .sum();
    let left = (reconciled.own_noise(entry) - rounding) / (whole - rounding).max(f64::MIN_POSITIVE);
    for line in &mut lines {
        if let (Input::ManualMeter, Distribution::Rectangular { half_width }) =
            (line.input, &mut line.spread)
        {
            *half_width *= left.clamp(0.0, 1.0).sqrt();
        }
    }
    lines
}

/// The lines of the circuit, or of the source resistance that stands for it.
pub(crate) fn circuit_lines(
    circuit: &Circuit,
    stated_ohms: Option<f64>,
    derivatives: &Derivatives,
) -> Vec<BudgetLine> {
    let stated = stated_ohms.zip(derivatives.by_stated_ohms);
    let stated = stated.map(|(ohms, slope)| BudgetLine {
        input: Input::StatedSource,
        spread: Distribution::of_tolerance(ohms, STATED_SOURCE),
        basis: SpreadBasis::Assumed,
        sensitivity: slope,
    });
    let numbers = derivatives.by_parameter.iter().map(|(id, slope)| {
        let limits = spread_of(circuit.part(id.part), id.parameter);
        BudgetLine {
            input: Input::Number(*id),
            spread: Distribution::Rectangular {
                half_width: limits.half_width,
            },
            basis: limits.basis,
            sensitivity: *slope,
        }
    });
    numbers.chain(stated).collect()
}

/// The lines of a value that manual and drawing decide together, but for those of the printed value
/// at the point itself, whose entry is `own`.
pub(crate) fn reconciled_lines(
    reconciled: &Reconciled,
    own: Option<usize>,
    posterior_reading: &PosteriorReading,
) -> Vec<BudgetLine> {
    let mut lines = Vec::with_capacity(posterior_reading.terms.len());
    let mut lacking = 0.0;
    for term in &posterior_reading.terms {
        match term.input {
            TermInput::Number(id, spread) => lines.push(BudgetLine {
                input: Input::Number(id),
                spread: Distribution::Rectangular {
                    half_width: spread.half_width,
                },
                basis: spread.basis,
                sensitivity: term.slope,
            }),
            TermInput::Discrepancy(standard) => lacking += (term.slope * standard).powi(2),
            TermInput::Printed(entry) if Some(entry) == own => {}
            TermInput::Printed(entry) => lines.push(BudgetLine {
                input: Input::OtherValue(entry),
                spread: Distribution::Normal {
                    standard: reconciled.own_noise(entry).sqrt(),
                },
                basis: SpreadBasis::Assumed,
                sensitivity: term.slope,
            }),
            TermInput::Scale(entry) => {
                // In volts at full scale.
                let standard = reconciled.scale_noise(entry);
                lines.push(BudgetLine {
                    input: Input::ManualScale(entry),
                    spread: Distribution::Rectangular {
                        half_width: 3f64.sqrt() * standard,
                    },
                    basis: SpreadBasis::Assumed,
                    sensitivity: term.slope / standard.max(f64::MIN_POSITIVE),
                });
            }
        }
    }
    lines.push(BudgetLine {
        input: Input::Discrepancy,
        spread: Distribution::Normal {
            standard: lacking.sqrt(),
        },
        basis: SpreadBasis::Assumed,
        sensitivity: 1.0,
    });
    lines
}

/// The lines of the bench meter that shows, or should show, so many volts. The digits written
/// down count only where there is a reading.
pub(crate) fn bench_lines(
    meter: &Meter,
    range: MeterRange,
    expected: f64,
    reading: Option<&Figure>,
) -> Vec<BudgetLine> {
    let volts = reading.map_or(expected, |figure| figure.value);
    let meter_counts = meter.counts.filter(|counts| *counts > 0);
    let error = permitted_error(meter, range, volts).ok();
    let meter = error.map(|error| BudgetLine {
        input: Input::BenchMeter,
        spread: Distribution::Rectangular {
            half_width: error.half_width,
        },
        basis: error.basis,
        sensitivity: 1.0,
    });
    // Nobody writes the places of a bare `0`: a display of counts that shows a zero shows all of them.
    let count = meter_counts.map(|counts| range.full_scale / f64::from(counts));
    let step = |figure: &Figure| match count {
        Some(count) if figure.value == 0.0 && figure.resolution >= 1.0 => {
            figure.resolution.min(count)
        }
        _ => figure.resolution,
    };
    let rounding = reading.map(|figure| BudgetLine {
        input: Input::ReadingRounding,
        spread: Distribution::of_resolution(step(figure)),
        basis: SpreadBasis::Stated,
        sensitivity: 1.0,
    });
    meter.into_iter().chain(rounding).collect()
}
