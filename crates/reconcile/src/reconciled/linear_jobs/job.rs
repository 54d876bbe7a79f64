//! A linear job of the vectors, reconciled and carried over to the bench meter.
//!
//! The texts of a job and the sizes of its discrepancies come in; the reconciled circuit, and every value through the
//! bench meter with its covariance, go out. What the other solver found is read here too, and compared elsewhere.

use circuit::Conditions;
use input::{read_job, JobSources, Sources};
use nalgebra::DMatrix;
use serde::Deserialize;

use crate::descent::Place;
use crate::discrepancy::Natural;
use crate::posterior_reading::PosteriorReading;
use crate::reconciled::{reconcile_by, Reconciled};
use crate::uncertainty_terms::TermInput;

const JOBS: &str = include_str!("../../../tests/vectors/least_squares.json");

#[derive(Deserialize)]
pub(super) struct LinearJob {
    pub(super) id: String,
    pub(super) netlist: String,
    pub(super) job: String,
    pub(super) manual: String,
    pub(super) v: Vec<f64>,
    pub(super) numbers: Vec<Number>,
    pub(super) theta0: Vec<f64>,
    #[serde(rename = "P")]
    pub(super) p: Vec<f64>,
    #[serde(rename = "W")]
    pub(super) w: Vec<f64>,
    pub(super) g1: Vec<f64>,
    pub(super) q: Vec<f64>,
    pub(super) h0: Vec<f64>,
    #[serde(rename = "s=0")]
    pub(super) none: Solved,
    #[serde(rename = "s=0.1")]
    pub(super) tenth: Solved,
    #[serde(rename = "s=inf")]
    pub(super) unlimited: Unlimited,
}

#[derive(Deserialize)]
pub(super) struct Number {
    pub(super) part: String,
    pub(super) what: String,
}

#[derive(Deserialize)]
pub(super) struct Solved {
    pub(super) theta: Vec<f64>,
    pub(super) d: Option<Vec<f64>>,
    pub(super) y: Vec<f64>,
    pub(super) cov: Vec<Vec<f64>>,
}

#[derive(Deserialize)]
pub(super) struct Unlimited {
    pub(super) y: Vec<f64>,
    pub(super) cov: Vec<Vec<f64>>,
}

/// All but one: there a place is printed twice, which is one reading here and two there.
pub(super) fn jobs() -> Vec<LinearJob> {
    let mut jobs: Vec<LinearJob> = serde_json::from_str(JOBS).unwrap();
    jobs.retain(|linear| linear.id != "l05");
    assert_eq!(jobs.len(), 19);
    jobs
}

fn read(linear: &LinearJob) -> circuit::Job {
    let mut sources = Sources::default();
    let parts = JobSources {
        settings: Some(sources.add("job.toml", &linear.job)),
        netlist: Some(sources.add("circuit.netlist", &linear.netlist)),
        manual: Some(sources.add("manual.csv", &linear.manual)),
        ..JobSources::default()
    };
    read_job(&sources, &parts, &[]).job.unwrap()
}

/// The job with discrepancies of `sizes`, in amperes into each port, and where they are found; no two
/// readings have a meter error in common.
pub(super) fn reconciled_job(linear: &LinearJob, sizes: &[f64]) -> (Reconciled, Place, Vec<f64>) {
    reconciled_with(linear, sizes, false)
}

pub(super) fn reconciled_with(
    linear: &LinearJob,
    sizes: &[f64],
    in_common: bool,
) -> (Reconciled, Place, Vec<f64>) {
    let mut found = None;
    let reconciled = reconcile_by(&read(linear), |descent| {
        assert_eq!(descent.rows.len(), linear.v.len(), "{}", linear.id);
        for (row, w) in descent.rows.iter_mut().zip(&linear.w) {
            // A value may stand alone against the drawing; here each counts as what it prints.
            row.common = row.common.filter(|_| in_common);
            let common = row.common.map_or(0.0, |common| common.volts.powi(2));
            row.noise = *w - common;
        }
        let mut natural = vec![0.0; sizes.len()];
        for (row, port) in descent.discrepancies.of_row.iter().enumerate() {
            let Natural::Amperes(amperes) = descent.discrepancies.ports[*port].natural else {
                panic!("{}: a port held by a source", linear.id);
            };
            natural[row] = amperes;
            descent.discrepancies.ports[*port].variance = (sizes[row] / amperes).powi(2);
        }
        let (fit, jacobian) = descent.fit()?;
        let mut aim = descent.aim(&fit, &jacobian);
        let of_row = &descent.discrepancies.of_row;
        aim.ports = of_row.iter().map(|port| aim.ports[*port]).collect();
        found = Some((aim, natural));
        Ok((fit, jacobian))
    })
    .unwrap();
    let (aim, natural) = found.unwrap();
    (reconciled, aim, natural)
}

/// Every value through the bench meter, with its terms in their standard deviations: numbers, then
/// discrepancies, printed values, and meter errors in common.
pub(super) fn translated(
    linear: &LinearJob,
    reconciled: &Reconciled,
    in_common: bool,
) -> (Vec<f64>, DMatrix<f64>) {
    let posterior_readings: Vec<PosteriorReading> = (0..linear.v.len())
        .map(|row| {
            let entry = &reconciled.job.manual[row];
            let conditions = Conditions {
                settings: entry.settings.clone(),
                line_factor: reconciled.job.line_factor(),
            };
            let port = entry.port.unwrap();
            let expected = reconciled
                .expected(port, &conditions, linear.g1[row], None)
                .unwrap();
            reconciled
                .posterior_reading(&conditions, &expected)
                .unwrap()
        })
        .collect();
    let numbers = &reconciled.prior.numbers;
    let (n, k) = (numbers.len(), reconciled.discrepancies.ports.len());
    let mut terms = DMatrix::<f64>::zeros(n + k + 2 * linear.v.len(), posterior_readings.len());
    for (row, posterior_reading) in posterior_readings.iter().enumerate() {
        let mut ports = 0;
        for term in &posterior_reading.terms {
            let (place, standard) = match term.input {
                TermInput::Number(id, spread) => {
                    let place = numbers.iter().position(|(known, _)| *known == id);
                    (place.unwrap(), spread.standard())
                }
                TermInput::Discrepancy(standard) => {
                    ports += 1;
                    (n + ports - 1, standard)
                }
                TermInput::Scale(entry) if in_common => (n + k + linear.v.len() + entry, 1.0),
                TermInput::Scale(_) => continue,
                TermInput::Printed(entry) => {
                    let common = reconciled.table.rows[entry].common.filter(|_| in_common);
                    let common = common.map_or(0.0, |common| common.volts.powi(2));
                    (n + k + entry, (linear.w[entry] - common).sqrt())
                }
            };
            terms[(place, row)] += term.slope * standard;
        }
        assert_eq!(ports, k);
    }
    let volts = posterior_readings
        .iter()
        .map(|posterior_reading| posterior_reading.volts)
        .collect();
    (volts, terms.transpose() * terms)
}
