//! Prints the catalogue's table of fitted parameters, made anew from its types and points.
//!
//! `cargo run -p fit --example rebuild-catalogue > new-parameters.csv` after a point was changed; then
//! move that over `crates/circuit/data/tube_parameters.csv`. Not straight into it: the shell would empty
//! the table before the compiler reads it.

use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let written = match fit::parameter_table(circuit::tube_sheets()) {
        Ok(text) => std::io::stdout().write_all(text.as_bytes()),
        Err((name, fault)) => {
            let refusal = format!("{name}: {fault}\n");
            return match std::io::stderr().write_all(refusal.as_bytes()) {
                Ok(()) | Err(_) => ExitCode::FAILURE,
            };
        }
    };
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::FAILURE,
    }
}
