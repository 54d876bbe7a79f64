//! Reads the fitted parameters of a type, `name=value` pairs, into a characteristic.
//!
//! The table is written only by the fit. A tube of the catalogue is a new tube, with the grid
//! current of its class.

use super::class::TubeClass;
use super::rows::{CatalogueError, Row};
use crate::characteristic::{
    Characteristic, GridCurrent, Heptode, OscillatorTriode, Pentagrid, Pentode, RemoteSection,
    Triode, VacuumDiode, Wear,
};

/// Grid current of a class. It determines the volts across a 10 MΩ grid leak; see [`GridCurrent`].
pub(crate) fn grid_current(class: TubeClass) -> GridCurrent {
    if class.is_power() {
        GridCurrent::POWER
    } else {
        GridCurrent::RECEIVING
    }
}

/// The characteristic of a row of the parameter table.
pub(crate) fn characteristic(
    row: &Row<'_>,
    class: TubeClass,
) -> Result<Characteristic, CatalogueError> {
    let grid = grid_current(class);
    let wear = Wear::NONE;
    Ok(match row.text("section")? {
        "diode" => Characteristic::VacuumDiode(VacuumDiode {
            perveance: row.parameter("perveance")?,
            contact: row.parameter("contact")?,
            emission: 1.0,
        }),
        "triode" => {
            let triode = Triode {
                perveance: row.parameter("perveance")?,
                exponent: row.parameter("exponent")?,
                mu: row.parameter("mu")?,
                softness: row.parameter("softness")?,
                contact: row.parameter("contact")?,
                grid,
                wear,
            };
            match row.named("parameters", "swing")? {
                Some(swing) => Characteristic::Oscillator(OscillatorTriode {
                    triode,
                    swing,
                    fed_at: None,
                }),
                None => Characteristic::Triode(triode),
            }
        }
        "pentode" => Characteristic::Pentode(pentode(row, grid)?),
        "heptode" => Characteristic::Heptode(Heptode {
            pentode: pentode(row, grid)?,
            injection_scale: row.parameter("injection_scale")?,
        }),
        "pentagrid" => Characteristic::Pentagrid(Pentagrid {
            perveance: row.parameter("perveance")?,
            exponent: row.parameter("exponent")?,
            mu: row.parameter("mu")?,
            screen_share: row.parameter("screen_share")?,
            share_exponent: row.parameter("share_exponent")?,
            knee: row.parameter("knee")?,
            knee_power: row.parameter("knee_power")?,
            signal_scale: row.parameter("signal_scale")?,
            oscillating_grid: row.parameter("oscillating_grid")?,
            fed_at: None,
            oscillator_amperes: row
                .named("parameters", "oscillator_amperes")?
                .unwrap_or(Pentagrid::OSCILLATOR_AMPERES),
            oscillates: true,
            grid,
            wear,
        }),
        _ => return Err(row.fault("section")),
    })
}

fn pentode(row: &Row<'_>, grid: GridCurrent) -> Result<Pentode, CatalogueError> {
    Ok(Pentode {
        perveance: row.parameter("perveance")?,
        exponent: row.parameter("exponent")?,
        mu: row.parameter("mu")?,
        softness: row.parameter("softness")?,
        contact: row.parameter("contact")?,
        screen_share: row.parameter("screen_share")?,
        share_exponent: row.parameter("share_exponent")?,
        mu_plate: row.parameter("mu_plate")?,
        knee: row.parameter("knee")?,
        knee_power: row.parameter("knee_power")?,
        remote: remote(row)?,
        grid,
        wear: Wear::NONE,
    })
}

fn remote(row: &Row<'_>) -> Result<Option<RemoteSection>, CatalogueError> {
    if row.named("parameters", "remote_share")?.is_none() {
        return Ok(None);
    }
    Ok(Some(RemoteSection {
        share: row.parameter("remote_share")?,
        reach: row.parameter("remote_reach")?,
    }))
}

#[cfg(test)]
mod tests {
    use super::super::rows::rows;
    use super::*;

    fn read(text: &str) -> Result<Characteristic, CatalogueError> {
        let text = format!("type,section,parameters\nT,{text}\n");
        characteristic(&rows("trial", &text).unwrap()[0], TubeClass::BeamPower)
    }

    #[test]
    fn a_power_type_gets_the_grid_current_of_its_class() {
        let row = "triode,perveance=1e-3;exponent=1.4;mu=20;softness=400;contact=0.3";
        let Characteristic::Triode(triode) = read(row).unwrap() else {
            panic!("a triode was stated");
        };
        assert_eq!(triode.grid, GridCurrent::POWER);
        assert_eq!(triode.wear, Wear::NONE);
    }

    #[test]
    fn a_parameter_left_out_is_refused() {
        assert!(read("diode,perveance=1e-3").is_err());
        assert!(read("heptode,perveance=1e-3").is_err());
    }
}
