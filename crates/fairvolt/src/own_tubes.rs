//! The tube types that a job describes itself, fitted to their data sheets.

use circuit::TubeType;
use fit::{fit_tube, DataSheet};
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
            Err(reason) => {
                out.push(
                    Diagnostic::error(
                        tube.span.clone(),
                        format!("{} cannot be fitted: {reason}", tube.sheet.name),
                    )
                    .label("described here")
                    .help("check its points for a slip, or add points"),
                );
                // Kept under its name, so that the netlist gets no second error.
                types.extend(tube.stand_in());
            }
        }
    }
    types
}

fn fitted(tube: &OwnTube) -> Result<TubeType, String> {
    let sheet = DataSheet::of_type(&tube.sheet)
        .ok_or_else(|| "tubes of its class are not fitted".to_owned())?;
    let fit = fit_tube(&sheet).map_err(|error| error.to_string())?;
    tube.fitted(fit.characteristic)
        .map_err(|error| error.to_string())
}
