//! A point of the manual before any bench meter is put on it.
//!
//! Either its circuit is drawn, and the reconciled circuit says what any meter should read there;
//! or only its source resistance is stated, and the manual's value is carried over by the closed
//! form. What each of the two sources, manual and drawing, says by itself is found on request.

use std::sync::{Arc, OnceLock};

use circuit::{spread_of, Conditions, Port, Setting};
use reconcile::{DiscrepancyFound, Expected, PosteriorReading, Reconciled};
use solver::{Load, SolveError};

use crate::anchor::{Anchor, Side};
use crate::nonlinear::ManualReading;
use crate::not_carried::NotCarried;
use crate::rails::bench_settings;

/// A point, ready for any meter.
#[derive(Clone, Debug)]
pub enum PointModel {
    /// By its source resistance alone.
    Stated(Anchor),
    /// By its drawn circuit, reconciled with the manual.
    Drawn(Box<DrawnPoint>),
}

/// A point of the drawn circuit.
#[derive(Clone, Debug)]
pub struct DrawnPoint {
    pub(crate) reconciled: Arc<Reconciled>,
    /// Index into [`circuit::Job::manual`].
    pub(crate) entry: usize,
    pub(crate) port: Port,
    pub(crate) manual: Conditions,
    pub(crate) bench: Conditions,
    /// The manual's meter on it, under the manual's conditions.
    pub(crate) documented: Expected,
    /// No meter on it, under the manual's conditions.
    pub(crate) open: Expected,
    reading: ManualReading,
    alone: OnceLock<Result<Anchor, SolveError>>,
    /// How the manual's reading follows the numbers.
    documented_follows: OnceLock<Option<Vec<f64>>>,
}

/// What one source says by itself, in volts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alone {
    /// What the bench meter should show.
    pub volts: f64,
    /// Its standard uncertainty, the meter's own error left out.
    pub standard: f64,
}

impl PointModel {
    /// The model of an entry's point.
    ///
    /// # Errors
    /// [`NotCarried`] where nothing can be said of it.
    pub(crate) fn of(
        reconciled: &Arc<Reconciled>,
        index: usize,
        reading: ManualReading,
    ) -> Result<Self, NotCarried> {
        let job = reconciled.job();
        let entry = &job.manual[index];
        let port = match (entry.source, entry.port) {
            (Some(ohms), _) => {
                return Ok(PointModel::Stated(Anchor::stated(
                    ohms,
                    reading.siemens,
                    reading.printed,
                )))
            }
            (None, Some(port)) => port,
            (None, None) => return Err(NotCarried::NotDrawn),
        };
        let manual = conditions(&entry.settings, 1.0);
        let drawn = reconciled.drawn(&manual).map_err(NotCarried::Unsolved)?;
        if drawn.floats(port) {
            return Err(NotCarried::Floating);
        }
        if let Some(error) = reconciled.too_few_digits(index) {
            return Err(NotCarried::NoState(error.clone()));
        }
        let settings = bench_settings(job, &entry.settings, port);
        let bench = conditions(&settings, job.line_factor());
        let expected = |siemens, near: Option<&Expected>| {
            reconciled
                .expected(port, &manual, siemens, near)
                .map_err(NotCarried::NoState)
        };
        let open = expected(0.0, None)?;
        let documented = expected(reading.siemens, Some(&open))?;
        Ok(PointModel::Drawn(Box::new(DrawnPoint {
            reconciled: Arc::clone(reconciled),
            entry: index,
            port,
            manual,
            bench,
            documented,
            open,
            reading,
            alone: OnceLock::new(),
            documented_follows: OnceLock::new(),
        })))
    }

    /// What a bench meter of this conductance in siemens should read.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit finds no state with that meter on it.
    pub fn carried(&self, siemens: f64) -> Result<f64, SolveError> {
        match self {
            PointModel::Stated(anchor) => anchor.carried(siemens),
            PointModel::Drawn(point) => Ok(point.expected(siemens)?.volts),
        }
    }

    /// The same, to the accuracy that the choice of a range needs.
    pub(crate) fn shown(&self, siemens: f64) -> Result<f64, SolveError> {
        match self {
            PointModel::Stated(anchor) => anchor.carried(siemens),
            PointModel::Drawn(point) => {
                let near = point.near(siemens);
                point.reconciled.shown(&point.bench, siemens, near)
            }
        }
    }

    /// The same by the tangent of the nearer state; none where the bench has other conditions than the manual.
    pub(crate) fn about(&self, siemens: f64) -> Option<f64> {
        match self {
            PointModel::Stated(_) => None,
            PointModel::Drawn(point) => point.about(siemens),
        }
    }

    /// Derivative of a bench reading by the manual's, in volts per volt, if the drawing is right.
    pub(crate) fn ratio(&self, siemens: f64) -> Result<f64, SolveError> {
        match self {
            PointModel::Stated(anchor) => Ok(anchor.stated_ratio(siemens)),
            PointModel::Drawn(point) => Ok(point.ratio(point.expected(siemens)?.ohms)),
        }
    }

    /// Resistance in ohms seen at the point with no meter on it.
    pub fn source_ohms(&self) -> f64 {
        match self {
            PointModel::Stated(anchor) => anchor.source_ohms(),
            PointModel::Drawn(point) => point.open.ohms,
        }
    }

    /// The volts of the point with no meter at all, under the manual's conditions.
    pub fn unloaded(&self) -> f64 {
        match self {
            PointModel::Stated(anchor) => anchor.unloaded(),
            PointModel::Drawn(point) => point.open.volts,
        }
    }

    /// How much the manual's meter moves the reading, as a share of the unloaded volts.
    pub fn loading(&self) -> f64 {
        match self {
            PointModel::Stated(anchor) => anchor.loading(),
            PointModel::Drawn(point) => point.loading(),
        }
    }

    /// What the drawing seems to lack at the point; none where nothing is drawn.
    pub fn discrepancy(&self) -> Option<DiscrepancyFound> {
        match self {
            PointModel::Stated(_) => None,
            PointModel::Drawn(point) => point.reconciled.discrepancy(point.port),
        }
    }

    /// The manual's value by itself, ready to be carried to any meter.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit as drawn finds no state that reads it.
    pub fn anchor(&self) -> Result<&Anchor, SolveError> {
        match self {
            PointModel::Stated(anchor) => Ok(anchor),
            PointModel::Drawn(point) => point.anchor(),
        }
    }

    /// The manual's value carried over by itself; none where it is what the point rests on anyway.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit as drawn finds no state that reads it.
    pub fn manual_alone(&self, siemens: f64) -> Result<Option<Alone>, SolveError> {
        match self {
            PointModel::Stated(_) => Ok(None),
            PointModel::Drawn(point) => point.manual_alone(siemens).map(Some),
        }
    }

    /// What the drawn circuit says by itself; none where nothing is drawn.
    ///
    /// # Errors
    /// [`SolveError`] where it finds no state with that meter on the point.
    pub fn drawing_alone(&self, siemens: f64) -> Result<Option<Alone>, SolveError> {
        match self {
            PointModel::Stated(_) => Ok(None),
            PointModel::Drawn(point) => point.drawing_alone(siemens).map(Some),
        }
    }
}

impl DrawnPoint {
    /// The reconciled circuit with a bench meter on the point.
    pub(crate) fn expected(&self, siemens: f64) -> Result<Expected, SolveError> {
        self.reconciled
            .expected(self.port, &self.bench, siemens, Some(self.near(siemens)))
    }

    fn about(&self, siemens: f64) -> Option<f64> {
        if self.bench != self.manual {
            return None;
        }
        let (near, own) = match self.is_loaded(siemens) {
            true => (&self.documented, self.reading.siemens),
            false => (&self.open, 0.0),
        };
        // With R seen through g₀ a change of g draws y·(g − g₀) more: y = y₀/(1 + (g − g₀)R).
        let about = near.volts / (1.0 + (siemens - own) * near.ohms);
        about.is_finite().then_some(about)
    }

    /// The known state whose load is nearer to this one.
    fn near(&self, siemens: f64) -> &Expected {
        if self.is_loaded(siemens) {
            &self.documented
        } else {
            &self.open
        }
    }

    fn is_loaded(&self, siemens: f64) -> bool {
        siemens > self.reading.siemens / 2.0
    }

    /// The same with its uncertainty terms.
    pub(crate) fn posterior_reading(
        &self,
        expected: &Expected,
    ) -> Result<PosteriorReading, SolveError> {
        self.reconciled.posterior_reading(&self.bench, expected)
    }

    /// `R₁/R₀`, both with their meters on the point.
    pub(crate) fn ratio(&self, bench_ohms: f64) -> f64 {
        let ratio = bench_ohms / self.documented.ohms;
        if ratio.is_finite() {
            ratio
        } else {
            1.0
        }
    }

    fn loading(&self) -> f64 {
        let load = self.reading.siemens * self.open.ohms;
        loading(self.open.volts, self.documented.volts, load)
    }

    /// The drawn circuit with the injected current that makes it read the printed value.
    pub(crate) fn anchor(&self) -> Result<&Anchor, SolveError> {
        let made = self.alone.get_or_init(|| {
            let side = |conditions: &Conditions| {
                let solution = self.reconciled.drawn(conditions)?;
                Ok(Side::new(solution, conditions.clone(), self.port))
            };
            let (manual, bench) = (side(&self.manual)?, side(&self.bench)?);
            Anchor::drawn(manual, bench, self.port, self.reading)
        });
        made.as_ref().map_err(Clone::clone)
    }

    fn manual_alone(&self, siemens: f64) -> Result<Alone, SolveError> {
        let anchor = self.anchor()?;
        let derivatives = anchor.derivatives(&self.reconciled.job().circuit, siemens)?;
        let own = self.reconciled.printed_noise(self.entry) * derivatives.by_printed.powi(2);
        let parts = derivatives.by_parameter.iter().map(|(id, slope)| {
            let spread = spread_of(self.reconciled.job().circuit.part(id.part), id.parameter);
            (slope * spread.standard()).powi(2)
        });
        Ok(Alone {
            volts: anchor.carried(siemens)?,
            standard: (own + parts.sum::<f64>()).sqrt(),
        })
    }

    /// Standard uncertainty in volts of the printed value carried over by itself, by the tangents of the
    /// reconciled circuit.
    pub(crate) fn standard_alone(&self, posterior_reading: &PosteriorReading) -> Option<f64> {
        let documented = self.documented_follows.get_or_init(|| {
            let found = self.reconciled.follows(&self.manual, &self.documented);
            found.ok().flatten()
        });
        let (before, after) = (documented.as_ref()?, posterior_reading.follows.as_ref()?);
        let ratio = self.ratio(posterior_reading.ohms);
        let own = self.reconciled.printed_noise(self.entry) * ratio * ratio;
        let parts = before.iter().zip(after);
        let parts = parts.map(|(before, after)| (ratio * before - after).powi(2));
        Some((own + parts.sum::<f64>()).sqrt())
    }

    fn drawing_alone(&self, siemens: f64) -> Result<Alone, SolveError> {
        let solution = self.reconciled.drawn(&self.bench)?;
        let load = Load {
            siemens,
            amperes: 0.0,
        };
        let state = solution.metered(self.port, load, None)?;
        let sensitivities =
            solution.sensitivities(&self.reconciled.job().circuit, &self.bench, &state);
        let parts = sensitivities.iter().map(|sensitivity| {
            let spread = spread_of(
                self.reconciled.job().circuit.part(sensitivity.id.part),
                sensitivity.id.parameter,
            );
            (sensitivity.value * spread.standard()).powi(2)
        });
        Ok(Alone {
            volts: state.volts,
            standard: parts.sum::<f64>().sqrt(),
        })
    }

    /// What the drawn circuit says of the point as the manual found it.
    pub(crate) fn model(&self) -> Result<DrawnModel, SolveError> {
        let solution = self.reconciled.drawn(&self.manual)?;
        let open = solution.port(self.port);
        let documented = solution.port_reading(self.port, self.reading.siemens).volts;
        let load = self.reading.siemens * open.ohms;
        Ok(DrawnModel {
            documented,
            unloaded: open.open_volts,
            ohms: open.ohms,
            loading: loading(open.open_volts, documented, load),
        })
    }

    /// Volts of the unloaded point in the drawn circuit's other stable state, if it has one.
    pub(crate) fn other_state(&self) -> Option<f64> {
        let solution = self.reconciled.drawn(&self.manual).ok()?;
        solution.port_volts_in_other_state(self.port)
    }

    /// What a bench meter should show if the manual's meter stood on a range of this conductance
    /// in siemens.
    pub(crate) fn on_other_range(
        &self,
        manual_siemens: f64,
        (volts, by_printed): (f64, f64),
    ) -> Result<f64, SolveError> {
        let other = self
            .reconciled
            .shown(&self.manual, manual_siemens, &self.documented)?;
        // The same digits, of a reading that the circuit makes otherwise.
        Ok(volts - by_printed * (other - self.documented.volts))
    }
}

/// A point of the drawn circuit by itself, under the manual's conditions.
pub(crate) struct DrawnModel {
    /// Volts through the manual's meter.
    pub(crate) documented: f64,
    /// Volts with no meter.
    pub(crate) unloaded: f64,
    /// Resistance in ohms with no meter.
    pub(crate) ohms: f64,
    /// What the meter moves, as a share of the unloaded volts.
    pub(crate) loading: f64,
}

/// What a meter moves, as a share of the unloaded volts; `load` is `gR` by the tangent.
fn loading(unloaded: f64, documented: f64, load: f64) -> f64 {
    // A point at zero volts has no share to speak of; there the tangent's is meant.
    if unloaded.abs() > 1e-6 {
        (documented - unloaded) / unloaded
    } else {
        // 1/(1 + g₀R) − 1
        -load / (1.0 + load)
    }
}

fn conditions(settings: &[Setting], line_factor: f64) -> Conditions {
    Conditions {
        settings: settings.to_vec(),
        line_factor,
    }
}
