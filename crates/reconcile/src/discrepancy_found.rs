//! What the drawing seems to lack at a port, as manual and drawing together have it.
//!
//! A port of the reconciled circuit comes in; the current or the volts that the drawing lacks there go out, with their
//! standard deviation. How large a discrepancy may be is not known here ([`crate::discrepancy`]).

use circuit::Port;

use crate::discrepancy::DiscrepancyPort;
use crate::reconciled::Reconciled;

/// What the drawing seems to lack at a port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DiscrepancyFound {
    /// As a share of what would move the manual's reading by as much as it shows.
    pub share: f64,
    /// Standard deviation of that share.
    pub standard: f64,
    /// As a current into the port, in amperes; 0 where a source holds it.
    pub amperes: f64,
    /// As volts in series with a port that a source holds; 0 elsewhere.
    pub volts: f64,
}

impl Reconciled {
    /// What the drawing seems to lack at a port; none where no value of the fit was read.
    pub fn discrepancy(&self, port: Port) -> Option<DiscrepancyFound> {
        let (place, own) = self.discrepancy_at(port)?;
        // V − V δᵀS⁻¹δ V
        let effect = |row: usize| own.variance * self.discrepancies.effect[row];
        let each = self.rows_at(place).map(|row| {
            let others = self.rows_at(place);
            let by_others = others.map(|other| self.fit.inverse[(row, other)] * effect(other));
            effect(row) * by_others.sum::<f64>()
        });
        let learnt: f64 = each.sum();
        Some(DiscrepancyFound {
            share: own.at,
            standard: (own.variance - learnt).max(0.0).sqrt(),
            amperes: own.amperes(),
            volts: own.volts(),
        })
    }

    /// The discrepancy of a port, with its place among all.
    pub(crate) fn discrepancy_at(&self, port: Port) -> Option<(usize, &DiscrepancyPort)> {
        let mut ports = self.discrepancies.ports.iter().enumerate();
        ports.find(|(_, known)| known.port == port)
    }

    /// The rows that were read at the port of this place.
    pub(crate) fn rows_at(&self, place: usize) -> impl Iterator<Item = usize> + '_ {
        let each = self.discrepancies.of_row.iter().enumerate();
        each.filter(move |(_, port)| **port == place)
            .map(|(row, _)| row)
    }
}
