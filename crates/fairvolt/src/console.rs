//! The two streams that a run writes to, and what is known of the terminal.

use std::borrow::Cow;
use std::io::{self, IsTerminal, Write};

use report::hanging_message;

/// Columns of paper and of output into a pipe.
const PLAIN_WIDTH: usize = 80;

/// Fewer columns than this are treated as this many.
const LEAST_WIDTH: usize = 60;

/// More columns than this make a table harder to read, not easier.
const MOST_WIDTH: usize = 120;

/// What a message starts with.
const LEADS: [&str; 4] = ["error: ", "warning: ", "note: ", "help: "];

/// Where a run writes, and how wide and whether in colour.
pub struct Console {
    out: Box<dyn Write>,
    err: Box<dyn Write>,
    /// Columns for tables.
    pub width: usize,
    /// Whether the output stream may carry colour.
    pub colour: bool,
    /// Whether the error stream may carry colour.
    pub colour_errors: bool,
    /// Whether the output stream is a terminal, which a file that is not text would garble.
    pub at_terminal: bool,
    /// Whether the error stream of this process is a terminal, where progress is shown.
    pub watched: bool,
    /// Whether an existing file may be replaced, whoever wrote it.
    pub force: bool,
    /// Whether a job may name files outside its folder.
    pub outside: bool,
}

impl Console {
    /// The streams of this process. Colour is left out for a pipe, a dumb terminal, and where
    /// NO_COLOR is set.
    pub fn of_process() -> Self {
        let coloured = |choice: anstream::ColorChoice| choice != anstream::ColorChoice::Never;
        Console {
            colour: coloured(anstream::AutoStream::choice(&io::stdout())),
            colour_errors: coloured(anstream::AutoStream::choice(&io::stderr())),
            at_terminal: io::stdout().is_terminal(),
            watched: io::stderr().is_terminal(),
            width: terminal_width(),
            force: false,
            outside: false,
            out: Box::new(io::BufWriter::new(io::stdout())),
            err: Box::new(io::stderr()),
        }
    }

    /// Any two streams, plain, 80 columns wide.
    pub fn plain(out: impl Write + 'static, err: impl Write + 'static) -> Self {
        Console {
            out: Box::new(out),
            err: Box::new(err),
            width: PLAIN_WIDTH,
            colour: false,
            colour_errors: false,
            at_terminal: false,
            watched: false,
            force: false,
            outside: false,
        }
    }

    /// Writes to the output stream.
    ///
    /// # Errors
    /// Whatever the stream says. A closed pipe is no error.
    pub fn print(&mut self, text: &str) -> io::Result<()> {
        self.print_bytes(text.as_bytes())
    }

    /// Writes a finished file to the output stream.
    ///
    /// # Errors
    /// As for [`Console::print`].
    pub fn print_bytes(&mut self, bytes: &[u8]) -> io::Result<()> {
        let written = self.out.write_all(bytes).and_then(|()| self.out.flush());
        match written {
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
            other => other,
        }
    }

    /// Writes to the error stream, control characters escaped. A line that starts with `error: `,
    /// `help: ` or the like is broken where it is longer than a table may be wide.
    pub fn complain(&mut self, text: &str) {
        let width = self.width;
        let line = |line: &str| match LEADS.iter().find(|lead| line.starts_with(**lead)) {
            Some(lead) => hanging_message(lead, &line[lead.len()..], width),
            None => line.to_owned(),
        };
        let text = escaped(text);
        let lines: Vec<String> = text.split('\n').map(line).collect();
        self.complain_drawn(&lines.join("\n"));
    }

    /// Writes a finished drawing, which may hold colours, to the error stream. A failure is
    /// ignored, because there is no other stream for it.
    pub(crate) fn complain_drawn(&mut self, text: &str) {
        let _ = self.err.write_all(text.as_bytes());
        let _ = self.err.flush();
    }
}

/// The text with every control character and every mark of writing direction shown by its number.
/// Line breaks and tabs stay.
pub(crate) fn escaped(text: &str) -> Cow<'_, str> {
    let strange = |c: char| report::is_unprintable(c) && !matches!(c, '\n' | '\t');
    if !text.contains(strange) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len());
    for letter in text.chars() {
        match strange(letter) {
            true => shown.extend(letter.escape_unicode()),
            false => shown.push(letter),
        }
    }
    Cow::Owned(shown)
}

fn terminal_width() -> usize {
    if !io::stdout().is_terminal() {
        return PLAIN_WIDTH;
    }
    terminal_size::terminal_size().map_or(PLAIN_WIDTH, |(width, _)| {
        usize::from(width.0).clamp(LEAST_WIDTH, MOST_WIDTH)
    })
}
