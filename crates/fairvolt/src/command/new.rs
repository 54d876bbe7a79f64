//! `new`: a job folder to fill in, with comments in every file.

use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

use crate::args::NewArgs;
use crate::console::Console;
use crate::exit::Exit;

/// The files of a fresh job. They pass `check` as they are: an invented divider chain.
const FILES: [(&str, &str); 5] = [
    ("job.toml", include_str!("../template/job.toml")),
    (
        "circuit.netlist",
        include_str!("../template/circuit.netlist"),
    ),
    ("manual.csv", include_str!("../template/manual.csv")),
    ("meters.toml", include_str!("../template/meters.toml")),
    ("readings.csv", include_str!("../template/readings.csv")),
];

pub(crate) fn run(args: &NewArgs, console: &mut Console) -> Exit {
    let folder = &args.folder;
    if let Some((name, _)) = FILES.iter().find(|(name, _)| folder.join(name).exists()) {
        console.complain(&format!(
            "error: {} exists already and is not overwritten\n\
             help: name a new folder\n",
            folder.join(name).display()
        ));
        return Exit::BadInput;
    }
    match make(folder) {
        Ok(()) => {
            let shown = folder.display();
            let text = format!(
                "Made {shown}. Fill in its files, then:\n\
                 \x20   fairvolt check {shown}\n\
                 \x20   fairvolt translate {shown}\n"
            );
            match console.print(&text) {
                Ok(()) => Exit::Done,
                Err(_) => Exit::NotWritten,
            }
        }
        Err(error) => {
            console.complain(&format!(
                "error: {} could not be made: {error}\n",
                folder.display()
            ));
            Exit::NotWritten
        }
    }
}

fn make(folder: &Path) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    for (name, text) in FILES {
        // `create_new`: a file that has appeared in the meantime is left alone.
        let mut file = OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(folder.join(name))?;
        file.write_all(text.as_bytes())?;
    }
    Ok(())
}
