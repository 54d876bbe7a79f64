//! The parameters of each kind of section, what is usual for them, and the characteristic they
//! make.
//!
//! What is usual is assumed, from the data of this catalogue and the three-halves law; the
//! published figures say little about parameters such as the knee.

use circuit::{Characteristic, Pentode, RemoteSection, Triode, VacuumDiode, Wear};

use crate::coordinate::Coordinate;
use crate::error::FitError;
use crate::sheet::{DataSheet, ExpectedMu, SectionKind};

/// Amperes per V^x between which a perveance can lie.
const PERVEANCE: (f64, f64) = (1e-6, 1.0);

/// Plate volts over cut-off softness of a usual tube.
const SOFTNESS: f64 = 400.0;

/// Name of the scale of measured curves.
pub(crate) const CURVE_SCALE: &str = "curve_scale";

/// Parameters to search for, in the order that [`characteristic`] takes them.
pub(crate) fn coordinates(sheet: &DataSheet) -> Result<Vec<Coordinate>, FitError> {
    let mut found = match sheet.kind {
        SectionKind::VacuumDiode { .. } => {
            vec![Coordinate::positive("perveance", 1e-3, PERVEANCE)]
        }
        SectionKind::Triode => space(sheet, 1.45, SOFTNESS)?,
        SectionKind::Pentode | SectionKind::BeamTetrode => pentode(sheet)?,
        SectionKind::RemotePentode | SectionKind::Heptode => {
            let mut all = pentode(sheet)?;
            all.push(Coordinate::positive("remote_share", 0.3, (0.01, 3.0)).near(0.5));
            all.push(Coordinate::positive("remote_reach", 0.2, (0.02, 0.8)).near(0.3));
            all
        }
        SectionKind::Pentagrid => Vec::new(),
    };
    if sheet.has_measured_curves() {
        found.push(Coordinate::positive(CURVE_SCALE, 1.0, (0.1, 10.0)).near(0.5));
    }
    Ok(found)
}

/// Perveance, exponent, mu, softness, contact: what makes the space current.
fn space(sheet: &DataSheet, exponent: f64, softness: f64) -> Result<Vec<Coordinate>, FitError> {
    let ExpectedMu { value: mu, spread } = sheet.mu()?;
    let contact = 0.2;
    let perveance = sheet
        .operating_points()
        .find_map(|point| {
            let amperes = point.plate_amperes? + point.screen_amperes.unwrap_or(0.0);
            let driver = point.screen_volts.unwrap_or(point.plate_volts);
            // I = G·U^x,  U = Vg + V0 + V/mu, at least the volt of a tube near cut-off
            let volts = (point.grid_volts + contact + driver / mu).max(0.5);
            Some(amperes / volts.powf(exponent))
        })
        .ok_or(FitError::NoOperatingPoint {
            missing: "a plate current",
        })?;
    Ok(vec![
        Coordinate::positive("perveance", perveance, PERVEANCE),
        Coordinate::linear("exponent", exponent, (1.0, 2.2)).near(0.12),
        Coordinate::positive("mu", mu, (mu / 3.0, mu * 3.0)).near(spread),
        Coordinate::positive("softness", softness, (5.0, 2e4)).near(1.0),
        Coordinate::linear("contact", contact, (-2.0, 2.0)).near(0.3),
    ])
}

fn pentode(sheet: &DataSheet) -> Result<Vec<Coordinate>, FitError> {
    let mu = sheet.mu()?.value;
    let mut all = space(sheet, 1.5, softness_of_screen(mu))?;
    let share = sheet
        .operating_points()
        .find_map(|point| Some(point.screen_amperes? / point.plate_amperes?))
        .ok_or(FitError::NoOperatingPoint {
            missing: "a screen current",
        })?;
    // How fast the screen's share falls with the plate: aligned grids of a beam tube leave it less.
    let exponent = match sheet.kind {
        SectionKind::BeamTetrode => {
            Coordinate::linear("share_exponent", 0.8, (-0.5, 3.0)).near(0.4)
        }
        _ => Coordinate::linear("share_exponent", 0.15, (-0.5, 3.0)).near(0.1),
    };
    all.extend([
        Coordinate::positive("screen_share", share, (1e-3, 20.0)),
        exponent,
        // Two grids shield the plate: its own factor is of the order of mu² (assumed).
        Coordinate::positive("mu_plate", 50.0 * mu, (5.0, 1e7)).near(2.0),
        Coordinate::positive("knee", 0.09, (0.005, 0.8)).near(0.2),
    ]);
    Ok(all)
}

/// A coarse grid shields its cathode unevenly: softness goes with mu.
fn softness_of_screen(mu: f64) -> f64 {
    6.0 * mu
}

/// Steepness of the knee (from memory of plate curves, not fitted).
fn knee_power(kind: SectionKind) -> f64 {
    match kind {
        SectionKind::BeamTetrode => 3.0,
        _ => 2.0,
    }
}

/// The characteristic of these parameters; none for a kind that is not searched for.
pub(crate) fn characteristic(sheet: &DataSheet, values: &[f64]) -> Option<Characteristic> {
    let wear = Wear::NONE;
    let grid = sheet.grid;
    Some(match (sheet.kind, values) {
        (SectionKind::VacuumDiode { contact }, [perveance, ..]) => {
            Characteristic::VacuumDiode(VacuumDiode {
                perveance: *perveance,
                contact,
                emission: 1.0,
            })
        }
        (SectionKind::Triode, [perveance, exponent, mu, softness, contact, ..]) => {
            Characteristic::Triode(Triode {
                perveance: *perveance,
                exponent: *exponent,
                mu: *mu,
                softness: *softness,
                contact: *contact,
                grid,
                wear,
            })
        }
        (
            SectionKind::Pentode
            | SectionKind::BeamTetrode
            | SectionKind::RemotePentode
            | SectionKind::Heptode,
            [perveance, exponent, mu, softness, contact, screen_share, share_exponent, mu_plate, knee, rest @ ..],
        ) => Characteristic::Pentode(Pentode {
            perveance: *perveance,
            exponent: *exponent,
            mu: *mu,
            softness: *softness,
            contact: *contact,
            screen_share: *screen_share,
            share_exponent: *share_exponent,
            mu_plate: *mu_plate,
            knee: *knee,
            knee_power: knee_power(sheet.kind),
            remote: match (sheet.kind, rest) {
                (SectionKind::RemotePentode | SectionKind::Heptode, [share, reach, ..]) => {
                    Some(RemoteSection {
                        share: *share,
                        reach: *reach,
                    })
                }
                _ => None,
            },
            grid,
            wear,
        }),
        _ => return None,
    })
}
