//! Readings of a direct current as evidence for faults.
//!
//! An ammeter in a lead is a resistor with a contact across it, which is open while that reading is
//! taken and closed for all others: the volts across it follow the faults and the parts together
//! with all other volts, so that the current is weighed jointly with them. What the drawing lacks
//! there is as the current's own row of the manual has it.

use circuit::{Circuit, Job, Port, Quantity, SeriesLead, Setting, SettingValue, Shown};
use reconcile::{Lack, SecondSet};
use solver::solve;
use translate::{Comparison, Input, QuantityRemark};

use crate::suspects::bounds::{floating_grid, hangs_grids_only};
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::reading::{state, ReadingUsed, Readings, Sources, WhyUnused};

/// What the drawing lacks is never better known than to this share of the current (common practice, no
/// source).
const LEAST_SHARE: f64 = 0.01;

/// Less than this has no direction: picoamperes.
const NO_CURRENT: f64 = 1e-12;

/// One reading that could count.
struct Current {
    lead: SeriesLead,
    settings: Vec<Setting>,
    /// What the manual's row makes of it, in amperes.
    expected: f64,
    /// Standard deviation of what the drawing lacks, in amperes.
    lacking: f64,
    used: ReadingUsed,
}

/// The drawing with ammeters in it, and the likely set on the bench.
pub(crate) struct WithAmmeters {
    pub(crate) drawn: Circuit,
    pub(crate) second: SecondSet,
}

/// Puts the currents among those readings that say nothing of volts where they count; they leave
/// that list.
pub(crate) fn with_currents(
    job: &Job,
    sources: &Sources<'_>,
    second: SecondSet,
    read: &mut Readings,
) -> WithAmmeters {
    let mut made = WithAmmeters {
        drawn: job.circuit.clone(),
        second,
    };
    let unused = std::mem::take(&mut read.unused);
    for unused in unused {
        let is_current = unused.why == WhyUnused::Quantity(Quantity::DcMilliamperes);
        let current = match is_current {
            true => current(job, sources.comparison, unused.reading),
            false => None,
        };
        let placed = current.and_then(|current| made.place(job, current, read));
        if placed.is_none() {
            read.unused.push(unused);
        }
    }
    made
}

impl WithAmmeters {
    /// Draws one more ammeter, and counts its reading; none where the circuit has no solution with it.
    fn place(&mut self, job: &Job, current: Current, read: &mut Readings) -> Option<()> {
        let ohms = current.used.input_ohms;
        let (drawn, _, _) = self.drawn.with_bridged_ammeter(&current.lead, ohms);
        let (circuit, port, contact) = self
            .second
            .circuit
            .with_bridged_ammeter(&current.lead, ohms);
        let mut settings = current.settings.clone();
        settings.push(Setting {
            part: contact,
            value: SettingValue::Closed(false),
        });
        let place = state(&mut read.states, &settings, job.line_factor());
        let solution = solve(&circuit, &read.states[place]);
        let Ok(solution) = solution else {
            read.states.truncate(place);
            return None;
        };
        // The sign of a current is left aside: the ends stand as it flows in order.
        let volts = solution.unloaded(port).volts;
        let port = match volts < 0.0 {
            true => Port {
                plus: port.minus,
                minus: port.plus,
            },
            false => port,
        };
        let amperes = volts.abs() / ohms;
        let least = LEAST_SHARE * current.expected.abs().max(amperes);
        let standard = current.lacking.max(least).max(NO_CURRENT);
        self.drawn = drawn;
        self.second.circuit = circuit;
        self.second = self.second.clone().with_lack(Lack {
            port,
            at: (current.expected - amperes) / standard,
            amperes: 0.0,
            unseen: None,
            // It follows the current down where a fault lowers that.
            volts: standard * ohms,
        });
        read.used.push(ReadingUsed {
            port,
            state: place,
            ..current.used
        });
        Some(())
    }
}

/// Whether a control grid hangs on this lead: no ammeter shows its current, and a floating grid is told by
/// what is drawn next to it.
fn hangs_a_grid(circuit: &Circuit, lead: &SeriesLead) -> bool {
    let (part, terminal) = lead.first;
    hangs_grids_only(circuit, part)
        || floating_grid(circuit, &Hypothesis::LeadLost { part, terminal }).is_some()
}

/// The reading of a job at a place of its list; none where its lead is not drawn, or nothing is known
/// of its meter.
fn current(job: &Job, comparison: &Comparison, reading: usize) -> Option<Current> {
    let taken = job.readings.get(reading)?;
    let (at, side) = comparison.readings.get(reading)?.quantity.as_ref()?;
    let point = comparison.translation.quantities.get(*at)?;
    let place = job.row(point.row).at;
    let lead = job.circuit.series_lead(place)?;
    let carried = point.outcome.as_ref().ok()?;
    if carried.remarks.contains(&QuantityRemark::NoCurrent) || hangs_a_grid(&job.circuit, &lead) {
        return None;
    }
    let own = &side.side;
    let of = |wanted: Input| {
        let mut lines = own.budget.lines.iter();
        lines.find(|line| line.input == wanted)
    };
    let variance = |wanted: Input| of(wanted).map_or(0.0, |line| line.volts().powi(2));
    let noise = variance(Input::BenchMeter) + variance(Input::ReadingRounding);
    let (shown, noise) = match &taken.shown {
        Shown::Value(figure) => (Some(figure.value.abs()), noise),
        Shown::Overrange => (
            None,
            noise.max((LEAST_SHARE * own.range.full_scale).powi(2)),
        ),
    };
    let finite = shown.is_none_or(f64::is_finite) && noise.is_finite() && noise > 0.0;
    let sound = own.input_ohms > 0.0 && own.input_ohms.is_finite() && own.expected.is_finite();
    let node = job.circuit.outside(&lead);
    (finite && sound).then(|| Current {
        lead,
        settings: job.row(point.row).settings.to_vec(),
        expected: own.expected,
        lacking: of(Input::Discrepancy).map_or(0.0, translate::BudgetLine::volts),
        used: ReadingUsed {
            reading,
            entry: match point.row {
                circuit::RowId::Printed(entry) => Some(entry),
                circuit::RowId::Unprinted(_) => None,
            },
            // Until the ammeter is drawn.
            port: Port {
                plus: node,
                minus: node,
            },
            quantity: Quantity::DcMilliamperes,
            range: own.range,
            input_ohms: own.input_ohms,
            shown,
            by_manual: Some(own.expected),
            noise,
            state: 0,
        },
    })
}
