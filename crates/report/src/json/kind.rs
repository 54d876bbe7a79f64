//! The kinds of documents.

/// What tells one kind of document from another.
#[derive(Clone, Copy, Debug)]
#[cfg_attr(
    not(feature = "schema"),
    expect(dead_code, reason = "only the schemas say what a document is for")
)]
pub(super) struct Kind {
    /// Its name and version, such as `fairvolt/translate/4`.
    pub schema: &'static str,
    /// The commands that write it.
    pub commands: &'static str,
    /// What it holds, in a sentence.
    pub about: &'static str,
}
