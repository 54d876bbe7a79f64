//! What can keep a document from being written.
//!
//! What it owns: the kinds of failure. What comes in: the reason. What goes out: one line for the user.
//! What it refuses to know: how the program ends.

/// A document could not be written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PaperError {
    /// The writer of the file format was left out when the program was built.
    #[error("this fairvolt was built without its writer of PDF files")]
    NotBuilt,
    /// One of the embedded faces could not be read.
    #[error("the embedded {} face cannot be read", if *.bold { "bold" } else { "regular" })]
    Face {
        /// Whether it is the bold one.
        bold: bool,
    },
    /// The writer of the file format gave up.
    #[error("page description of {pages} pages could not be written: {reason}")]
    Writing {
        /// Number of pages laid out.
        pages: usize,
        /// What the writer said.
        reason: String,
    },
}
