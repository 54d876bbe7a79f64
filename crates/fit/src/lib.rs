//! Fits the characteristic of a tube to points of its data sheet.
//!
//! What comes in: operating points, cut-off points and curves of one section, in a [`DataSheet`].
//! What goes out: its [`circuit::Characteristic`] with the residual at every number of the sheet,
//! or a refusal with the numbers that caused it. The laws are the solver's; the catalogue's own
//! parameters are made here, from the points that the catalogue keeps. It knows nothing of jobs,
//! files or circuits.
//!
//! Least squares by the Levenberg-Marquardt method (K. Levenberg, Quart. Appl. Math. 2 (1944) 164;
//! D. W. Marquardt, J. Soc. Indust. Appl. Math. 11 (1963) 431; both cited from memory).

mod admission;
mod coordinate;
mod error;
mod fit_tolerance;
mod fitting;
mod mixer;
mod pentagrid;
mod residual;
mod search;
mod section;
mod sheet;
mod table;

pub use error::FitError;
pub use fit_tolerance::FitTolerance;
pub use fitting::{fit_tube, Fit};
pub use residual::{compare, Residual, SheetQuantity};
pub use sheet::{DataSheet, ExpectedMu, SectionKind};
pub use table::{parameter_table, parameters, residuals_in_words};
