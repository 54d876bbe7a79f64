//! Meters and ranges that are named on the command line.

use std::path::{Path, PathBuf};

use circuit::Meter;
use units::{Figure, Unit};

use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::{ready, Instead};

/// The meters that a job describes; none without a job. Its files are added to `files`.
pub(crate) fn own_meters(
    job: Option<&Path>,
    files: &mut Vec<PathBuf>,
    console: &mut Console,
) -> Result<Vec<Meter>, Exit> {
    match job {
        None => Ok(Vec::new()),
        Some(folder) => {
            let ready = ready(folder, &Instead::default(), files, console)?;
            Ok(ready.job.own_meters)
        }
    }
}

/// Volts above zero; or what is wrong and what to write.
pub(crate) fn positive_volts(text: &str) -> Result<f64, (String, String)> {
    let help = || "write the full scale of the range: 250V".to_owned();
    match Figure::parse(text, Unit::Volt) {
        Ok(figure) if figure.value > 0.0 => Ok(figure.value),
        Ok(_) => Err(("a range must be above zero".to_owned(), help())),
        Err(error) => {
            let said = error.help().unwrap_or_else(help);
            Err((error.kind.to_string(), said))
        }
    }
}
