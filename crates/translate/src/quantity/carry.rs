//! A row carried over to other meters, by its quantity.

use circuit::{Job, ManualRow, Meter, Quantity};

use super::circuits::Circuits;
use super::{alternating, amperes, ohms, NoAnswer, QuantityCarried, QuantityRemark};

/// Carries a row over to these meters.
pub(super) fn carry(
    job: &Job,
    row: &ManualRow<'_>,
    meters: &[Meter],
    known: &mut Circuits<'_>,
) -> Result<QuantityCarried, NoAnswer> {
    // What a meter does not state of itself is as usual for its kind.
    let whole: Vec<Meter> = meters.iter().map(Meter::with_usual_sides).collect();
    let manual = row.meter.map(Meter::with_usual_sides);
    let own = ManualRow {
        meter: manual.as_ref(),
        ..*row
    };
    let mut carried = match row.quantity {
        Quantity::Ohms => ohms::carry(job, &own, &whole, known),
        Quantity::DcMilliamperes => amperes::carry(job, &own, &whole),
        Quantity::AcVolts => alternating::carry(job, &own, &whole, known),
        Quantity::DcVolts => Err(NoAnswer::NothingSaid),
    }?;
    let states = |meter: &Meter| match row.quantity {
        Quantity::Ohms => meter.ohmmeter.is_some(),
        Quantity::DcMilliamperes => meter.ammeter.is_some(),
        _ => meter.ac.is_some(),
    };
    if !meters.iter().all(states) && !carried.remarks.contains(&QuantityRemark::NoFunction) {
        carried.remarks.push(QuantityRemark::UsualSide);
    }
    Ok(carried)
}
