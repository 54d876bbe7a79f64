//! The tube types that a job describes itself, fitted to their data sheets.

use circuit::{TubeClass, TubeType};
use fit::{fit_tube, DataSheet, FitError};
use input::{read_devices, Diagnostic, OwnTube, SourceId, Sources};

/// The job's own tube types, fitted to what their data sheets print.
pub(crate) fn own_tubes(
    sources: &Sources,
    devices: Option<SourceId>,
    out: &mut Vec<Diagnostic>,
) -> Vec<TubeType> {
    let Some(id) = devices else {
        return Vec::new();
    };
    let found = read_devices(sources, id);
    out.extend(found.diagnostics);
    let mut types = found.stand_ins;
    for tube in &found.tubes {
        match fitted(tube) {
            Ok(fitted) => types.push(fitted),
            Err((reason, help)) => {
                out.push(
                    Diagnostic::error(
                        tube.span.clone(),
                        format!("{} cannot be fitted: {reason}", tube.sheet.name),
                    )
                    .label("described here")
                    .help(help),
                );
                // Kept under its name, so that the netlist gets no second error.
                types.extend(tube.stand_in());
            }
        }
    }
    types
}

fn fitted(tube: &OwnTube) -> Result<TubeType, (String, &'static str)> {
    let class = tube.sheet.class;
    let sheet = DataSheet::of_type(&tube.sheet)
        .ok_or_else(|| ("tubes of its class are not fitted".to_owned(), SLIP))?;
    let fit = |sheet: &DataSheet| {
        let fit = fit_tube(sheet).map_err(|error| (error.to_string(), help(&error, class)))?;
        Ok::<_, (String, &'static str)>(fit.characteristic)
    };
    let triode = match DataSheet::of_triode_section(&tube.sheet) {
        None if class.is_triode_pentode() => {
            let reason = "no point of its triode is stated".to_owned();
            return Err((reason, "add one that says `section = \"triode\"`"));
        }
        triode => triode.map(|triode| fit(&triode)).transpose()?,
    };
    tube.fitted(fit(&sheet)?, triode)
        .map_err(|error| (error.to_string(), SLIP))
}

const SLIP: &str = "check its points for a slip, or add points";

/// What to write where a sheet prints too little.
fn help(error: &FitError, class: TubeClass) -> &'static str {
    match (error, class) {
        (FitError::TooFewNumbers { .. } | FitError::NoOperatingPoint { .. }, TubeClass::PentagridConverter) => {
            "it needs one point `at rest` and two `oscillating`; if the sheet prints less, draw plate and screen in the \
             netlist as resistors to the cathode, their volts over their currents"
        }
        (FitError::TooFewNumbers { .. }, TubeClass::RemoteCutoffPentode) => {
            "`plate-current`, `screen-current`, `gm` and `rp` of each point count, and the `gm` of a `remote tail`; if the \
             sheet prints no more, call it a `sharp-cutoff pentode`"
        }
        (FitError::TooFewNumbers { .. }, _) => {
            "`plate-current`, `screen-current`, `gm` and `rp` of each point count: add what the sheet prints, or another \
             point"
        }
        _ => SLIP,
    }
}
