//! Plain numbers without a unit: `hfe=100`, `mu=20`.

use crate::netlist::values::Values;

/// The number of `word=value` if there is one; reported unless it is above zero.
pub(super) fn plain(values: &mut Values<'_, '_>, word: &'static str) -> Option<f64> {
    let item = values.option_item(word)?;
    let number = item.text.parse::<f64>().ok();
    let found = number.filter(|number| number.is_finite() && *number > 0.0);
    if found.is_none() {
        let message = format!("'{word}' is a plain number above zero");
        let help = format!("write it without a unit, such as `{word}=100`");
        values.reject(&item.bytes, message, &help);
    }
    found
}
