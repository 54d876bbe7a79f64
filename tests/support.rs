//! What the tests share: a scratch folder, and running a command line in-process.

use std::cell::RefCell;
use std::ffi::OsString;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;

use fairvolt::{run, Console, Exit};

/// A stream that remembers what was written to it.
#[derive(Clone, Default)]
struct Memory(Rc<RefCell<Vec<u8>>>);

impl Write for Memory {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.borrow_mut().write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Memory {
    fn text(&self) -> String {
        String::from_utf8(self.0.borrow().clone()).unwrap()
    }
}

/// What a run came to.
pub struct Run {
    pub exit: Exit,
    pub out: String,
    pub err: String,
}

impl Run {
    /// What was complained of, without the breaks of its lines.
    pub fn complained(&self) -> String {
        self.err.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// Runs `fairvolt` with these arguments, in-process, plain, 80 columns wide.
pub fn fairvolt<S: AsRef<std::ffi::OsStr>>(arguments: &[S]) -> Run {
    fairvolt_at(arguments, false)
}

/// The same as at a terminal with colours.
pub fn fairvolt_in_colour<S: AsRef<std::ffi::OsStr>>(arguments: &[S]) -> Run {
    fairvolt_at(arguments, true)
}

fn fairvolt_at<S: AsRef<std::ffi::OsStr>>(arguments: &[S], colour: bool) -> Run {
    let (out, err) = (Memory::default(), Memory::default());
    let mut console = Console::plain(out.clone(), err.clone());
    (console.colour, console.colour_errors) = (colour, colour);
    let line = std::iter::once(OsString::from("fairvolt")).chain(
        arguments
            .iter()
            .map(|argument| argument.as_ref().to_owned()),
    );
    let exit = run(line, &mut console);
    drop(console);
    Run {
        exit,
        out: out.text(),
        err: err.text(),
    }
}

/// The root of the workspace.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .ancestors()
        .nth(2)
        .unwrap()
        .to_owned()
}

/// A sample job's folder, as an argument.
pub fn sample(name: &str) -> String {
    root().join("sample-data").join(name).display().to_string()
}

/// A folder that goes away with the test.
pub struct Scratch(tempfile::TempDir);

impl Scratch {
    pub fn new() -> Self {
        Scratch(tempfile::tempdir().unwrap())
    }

    pub fn path(&self) -> String {
        self.0.path().display().to_string()
    }

    pub fn write(&self, name: &str, text: &str) -> String {
        let path = self.0.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.display().to_string()
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.0.path().join(name)).unwrap()
    }
}

/// The output as a JSON document.
pub fn json(run: &Run) -> serde_json::Value {
    serde_json::from_str(&run.out).unwrap_or_else(|error| panic!("{error}\n{}", run.out))
}

/// The point of a document with this label.
pub fn point<'a>(document: &'a serde_json::Value, label: &str) -> &'a serde_json::Value {
    let points = document["points"].as_array().unwrap();
    points.iter().find(|point| point["point"] == label).unwrap()
}

/// A text with its breaks between lines taken out.
pub fn said(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A practice job of these texts, read with this meter and measured with 10M; without a netlist where that is
/// empty.
pub fn practice(meter: &str, netlist: &str, manual: &str) -> Scratch {
    let scratch = Scratch::new();
    if !netlist.is_empty() {
        scratch.write("circuit.netlist", netlist);
    }
    scratch.write("manual.csv", manual);
    let settings = format!(
        "title = \"practice\"\n[as-documented]\nmeter = \"{meter}\"\ntolerance = \"20%\"\n\
         [on-the-bench]\nmeter = \"10M\"\n"
    );
    scratch.write("job.toml", &settings);
    scratch
}

/// A small job whose files can be spoilt.
pub fn small_job(scratch: &Scratch) {
    scratch.write(
        "circuit.netlist",
        "ground c\nPS1: 250V source=1k, plus=b, minus=c\nR1: 220k, b to p\nR2: 100k, p to c\n",
    );
    scratch.write(
        "job.toml",
        "[as-documented]\nmeter = \"20k/V\"\n[on-the-bench]\nmeter = \"10M\"\n",
    );
    scratch.write("manual.csv", "point,at,value\n1,p,72\n");
}
