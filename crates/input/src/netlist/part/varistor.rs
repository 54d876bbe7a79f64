//! Varistors: `varistor 100V 1mA alpha=4`, the volts that drive a current and the exponent by which
//! current goes with volts.
//!
//! `I = I₁·(V/V₁)^α` in either direction, drawn as a sum of straight lines that meet the curve at a
//! few volts: within 10 % of the current from a fifth of the stated volts to one and a half times
//! them. Its exponent is about 4 for silicon carbide and 25 for zinc oxide (common practice, no
//! source).

use circuit::{Characteristic, Device, DeviceClass, DeviceUnit, PartKind, SoftKnee};
use units::Unit;

use crate::netlist::values::Values;

/// Exponent of one that states none: silicon carbide, as old sets have it (common practice, no
/// source).
const SILICON_CARBIDE: f64 = 4.0;

/// Shares of the stated volts at which the lines meet.
const JOINTS: [f64; 12] = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.15, 1.3];

/// Share of the stated volts up to which the last line is drawn through the curve.
const LAST: f64 = 1.5;

/// Width of each bend as a share of the stated volts.
const SOFTNESS: f64 = 0.005;

/// `RV1: varistor 100V 1mA alpha=4`.
pub(super) fn varistor(values: &mut Values<'_, '_>) -> PartKind {
    const EXAMPLE: &str = "varistor 100V 1mA alpha=4";
    let volts = values.need("voltage", Unit::Volt, EXAMPLE);
    let amperes = values.need("current", Unit::Ampere, EXAMPLE);
    let help = "write the volts that drive a current, and that current, such as `100V 1mA`";
    let volts = values.above_zero(volts, "a varistor's voltage", help);
    let amperes = values.above_zero(amperes, "a varistor's current", help);
    let alpha = match values.option_item("alpha") {
        Some(item) => match item.text.parse::<f64>() {
            Ok(alpha) if (1.5..=60.0).contains(&alpha) => alpha,
            _ => {
                let message = "an exponent lies between 1.5 and 60";
                values.reject(&item.bytes, message, "write `alpha=4` for silicon carbide");
                SILICON_CARBIDE
            }
        },
        None => SILICON_CARBIDE,
    };
    values.tolerance();
    let lines = lines(volts, amperes, alpha);
    let units = [[0, 1], [1, 0]].into_iter().flat_map(|at| {
        let laws = lines.iter().map(|line| Characteristic::SoftKnee(*line));
        laws.map(move |law| DeviceUnit::new(law, &at))
    });
    let units = units.collect();
    let (class, ends) = (DeviceClass::Regulator, ["first", "second"]);
    PartKind::Device(Device::new("varistor", class, &ends, units))
}

/// Lines that add up to the curve: each begins where the one before has to be bent upwards.
fn lines(volts: f64, amperes: f64, alpha: f64) -> Vec<SoftKnee> {
    let current = |share: f64| amperes * share.powf(alpha);
    let mut slope = 0.0;
    let mut lines = Vec::new();
    for (index, joint) in JOINTS.iter().enumerate() {
        let next = JOINTS.get(index + 1).copied().unwrap_or(LAST);
        // The chord of the curve; below the first joint no current is left.
        let from = if index == 0 { 0.0 } else { current(*joint) };
        let chord = (current(next) - from) / ((next - joint) * volts);
        let added = chord - slope;
        slope = chord;
        if added > 0.0 {
            lines.push(SoftKnee {
                knee_volts: joint * volts,
                slope_ohms: 1.0 / added,
                softness: SOFTNESS * volts,
                leak_ohms: 1e12,
            });
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The power law by itself, at volts between the joints: chords of a curve with exponent 4 miss
    /// it by 10 % of the current at most from a fifth of its volts on, and 1 % at the stated one.
    #[test]
    fn the_lines_follow_the_power_law() {
        let lines = lines(100.0, 1e-3, 4.0);
        let current = |volts: f64| -> f64 {
            let each = lines.iter().map(|line| {
                let above = (volts - line.knee_volts) / line.softness;
                line.softness / line.slope_ohms * above.exp().ln_1p().max(above)
            });
            each.sum()
        };
        for volts in [30.0, 45.0, 55.0, 75.0, 95.0, 120.0, 150.0] {
            let want = 1e-3 * f64::powf(volts / 100.0, 4.0);
            let got = current(volts);
            assert!(
                (got - want).abs() <= 0.10 * want,
                "{volts} V: {got} for {want}"
            );
        }
        let got = current(100.0);
        assert!((got - 1e-3).abs() <= 2e-5, "{got}");
    }
}
