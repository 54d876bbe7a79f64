//! What several files of these tests share.

use std::path::{Path, PathBuf};

use input::{read_netlist, Diagnostic, Netlist, Sources};

/// Where the faulty jobs are.
pub fn folder_of_faults() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/faults")
}

/// A netlist by itself.
pub fn netlist(text: &str) -> Netlist {
    let mut sources = Sources::default();
    let id = sources.add("circuit.netlist", text);
    read_netlist(&sources, id, &[])
}

pub fn messages(diagnostics: &[Diagnostic]) -> Vec<&str> {
    diagnostics.iter().map(|d| d.message.as_str()).collect()
}

/// For values that are a short decimal times a power of ten: 1e-12 of it is rounding and no more.
pub fn near(got: f64, want: f64) -> bool {
    (got - want).abs() <= 1e-12 * want.abs()
}
