//! A point of the manual on its drawn circuit.
//!
//! The reconciled circuit, an entry and its port come in; what any meter should read there goes out, and on request
//! what the manual or the drawing says by itself. A point that is not drawn is not known here
//! ([`crate::point_model`]).

use std::sync::{Arc, OnceLock};

use circuit::{Conditions, Port, Setting};
use reconcile::{Expected, PosteriorReading, Reconciled};
use solver::{Load, SolveError};

use crate::anchor::{Anchor, Side};
use crate::derivative::variance_by_parts;
use crate::nonlinear::ManualReading;
use crate::not_carried::NotCarried;
use crate::rails::bench_settings;

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

impl DrawnPoint {
    /// The point of an entry at a port that is drawn.
    ///
    /// # Errors
    /// [`NotCarried`] where nothing can be said of it.
    pub(crate) fn of(
        reconciled: &Arc<Reconciled>,
        index: usize,
        port: Port,
        reading: ManualReading,
    ) -> Result<Self, NotCarried> {
        let job = reconciled.job();
        let entry = &job.manual[index];
        if port.plus == port.minus && entry.figure.value != 0.0 {
            return Err(NotCarried::OnOneNode);
        }
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
        Ok(DrawnPoint {
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
        })
    }

    /// The reconciled circuit with a bench meter on the point.
    pub(crate) fn expected(&self, siemens: f64) -> Result<Expected, SolveError> {
        self.reconciled
            .expected(self.port, &self.bench, siemens, Some(self.near(siemens)))
    }

    /// The same by the tangent of the nearer state; none where the bench has other conditions than the manual.
    pub(crate) fn about(&self, siemens: f64) -> Option<f64> {
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
    pub(crate) fn near(&self, siemens: f64) -> &Expected {
        if self.is_loaded(siemens) {
            &self.documented
        } else {
            &self.open
        }
    }

    fn is_loaded(&self, siemens: f64) -> bool {
        siemens > self.reading.siemens / 2.0
    }

    /// An expected reading with its uncertainty terms.
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

    pub(crate) fn loading(&self) -> f64 {
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

    pub(crate) fn manual_alone(&self, siemens: f64) -> Result<Alone, SolveError> {
        let anchor = self.anchor()?;
        let derivatives = anchor.derivatives(&self.reconciled.job().circuit, siemens)?;
        let own = self.reconciled.printed_noise(self.entry) * derivatives.by_printed.powi(2);
        let slopes = derivatives.by_parameter.iter().copied();
        let parts = variance_by_parts(&self.reconciled.job().circuit, slopes);
        Ok(Alone {
            volts: anchor.carried(siemens)?,
            standard: (own + parts).sqrt(),
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

    pub(crate) fn drawing_alone(&self, siemens: f64) -> Result<Alone, SolveError> {
        let solution = self.reconciled.drawn(&self.bench)?;
        let load = Load {
            siemens,
            amperes: 0.0,
        };
        let state = solution.metered(self.port, load, None)?;
        let circuit = &self.reconciled.job().circuit;
        let sensitivities = solution.sensitivities(circuit, &self.bench, &state);
        let slopes = sensitivities.iter().map(|own| (own.id, own.value));
        Ok(Alone {
            volts: state.volts,
            standard: variance_by_parts(circuit, slopes).sqrt(),
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

    /// What a bench meter that should show so many `volts`, and follows the printed value by
    /// `by_printed` volts per volt, should show if the manual's meter stood on a range of this
    /// conductance in siemens.
    pub(crate) fn on_other_range(
        &self,
        manual_siemens: f64,
        volts: f64,
        by_printed: f64,
    ) -> Result<f64, SolveError> {
        let other = self
            .reconciled
            .shown(&self.manual, manual_siemens, &self.documented)?;
        // The same digits, of a reading that the circuit makes otherwise. A volt of a meter that loads less is
        // less of what is there: in a linear circuit, as much less as this one reads more.
        let share = self.documented.volts / other;
        let gain = match share > 0.0 && share < 1.0 {
            true => by_printed * share,
            false => by_printed,
        };
        Ok(volts - gain * (other - self.documented.volts))
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
