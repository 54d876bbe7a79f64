//! What stands in for the writer of PDF files where it was not built.

use crate::document::{Document, PageSize};
use crate::error::PaperError;

/// The document as a PDF file.
///
/// # Errors
/// Always [`PaperError::NotBuilt`]: this build has no writer of PDF files.
pub fn pdf(_document: &Document, _size: PageSize) -> Result<Vec<u8>, PaperError> {
    Err(PaperError::NotBuilt)
}
