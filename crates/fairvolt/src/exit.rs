//! How a run ended, as an exit status.

use translate::Translation;

/// How a run ended.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Exit {
    /// Done, and nothing flagged.
    #[default]
    Done,
    /// Done, and something flagged: a reading that is a finding, or a doubted value of the manual.
    Flagged,
    /// The input or the command line is wrong.
    BadInput,
    /// The circuit has no trustworthy solution, or none for any row.
    Unsolved,
    /// Output could not be written.
    NotWritten,
}

impl Exit {
    /// Of a job that is flagged, or is not.
    pub(crate) fn flagged(is_flagged: bool) -> Exit {
        match is_flagged {
            true => Exit::Flagged,
            false => Exit::Done,
        }
    }

    /// Of a translation: whether the circuit refused it all.
    pub(crate) fn of(translation: &Translation) -> Exit {
        match translation.is_unsolved() {
            true => Exit::Unsolved,
            false => Exit::Done,
        }
    }

    /// The status for the calling process.
    pub fn status(self) -> u8 {
        match self {
            Exit::Done => 0,
            Exit::Flagged => 1,
            Exit::BadInput => 2,
            Exit::Unsolved => 3,
            Exit::NotWritten => 4,
        }
    }

    /// The one to report of two, for a run over several jobs: what kept a job from being done
    /// goes before what was found in one.
    pub fn worse(self, other: Exit) -> Exit {
        let rank = |exit: Exit| match exit {
            Exit::Done => 0,
            Exit::Flagged => 1,
            Exit::Unsolved => 2,
            Exit::BadInput => 3,
            Exit::NotWritten => 4,
        };
        if rank(other) > rank(self) {
            other
        } else {
            self
        }
    }
}
