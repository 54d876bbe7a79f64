//! A triode that its line describes: `triode mu=20 rp=7.7k ip=9mA at 250V -8V`.
//!
//! Four numbers of a data sheet come in, a [`Triode`] through that operating point goes out.

use circuit::{
    Characteristic, Electrode, GridCurrent, Triode, TubeClass, TubeType, TubeUnit, Wear,
};
use units::Unit;

use crate::netlist::items::ItemKind;
use crate::netlist::values::{Doubted, Values};

const ELECTRODES: &[Electrode] = &[Electrode::Plate, Electrode::Grid, Electrode::Cathode];

const EXAMPLE: &str = "triode mu=20 rp=7.7k ip=9mA at 250V -8V";

/// Exponent of the space current: the middle of the fitted triodes of the catalogue.
const EXPONENT: f64 = 1.4;

/// Cut-off softness, of the same origin.
const SOFTNESS: f64 = 400.0;

/// Contact potential in volts where `rp` does not say it, of the same origin.
const CONTACT: f64 = 0.3;

/// Contact potentials that a real tube may have; outside of these the numbers contradict each other.
const LIKELY: std::ops::RangeInclusive<f64> = -3.0..=3.0;

/// Constants of the triode law: `W0` of an oxide cathode at 1075 K, and the plate volts `VH` at
/// which the plate takes half of the space current.
const W0: f64 = 0.139;
const HALF_COLLECTION: f64 = 2.0;

/// Numbers of a data sheet at one operating point.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Point {
    mu: f64,
    rp: Option<f64>,
    ip: f64,
    plate_volts: f64,
    grid_volts: f64,
}

/// Whether the line states numbers of a triode rather than a type.
pub(super) fn is_described(values: &Values<'_, '_>) -> bool {
    let number = |item: &crate::netlist::items::Item<'_>| match &item.kind {
        ItemKind::Option(name) => ["mu", "rp", "ip"].iter().any(|known| name.is(known)),
        ItemKind::Word => item.text.eq_ignore_ascii_case("at"),
        _ => false,
    };
    values.items.len() == 1 || values.items.iter().any(number)
}

/// The tube type that the line describes; a stand-in if numbers are missing or impossible, which is
/// reported.
pub(super) fn triode(values: &mut Values<'_, '_>) -> TubeType {
    const HELP: &str = "write it as the data sheet prints it";
    let mu = values.plain("mu");
    let rp = values.option("rp", Unit::Ohm, Doubted::Neither);
    let has_rp = rp.is_some();
    let rp = values.above_zero(rp, "a plate resistance", HELP);
    let ip = values.option("ip", Unit::Ampere, Doubted::Neither);
    let has_ip = ip.is_some();
    let ip = values.above_zero(ip, "a plate current", HELP);
    values.flag("at");
    let plate = values.figure("plate voltage", Unit::Volt, Doubted::Both);
    let grid = values.figure("grid voltage", Unit::Volt, Doubted::Both);
    let place = plate.as_ref().map(|placed| placed.bytes.clone());
    for (what, missing) in [
        ("amplification factor", mu.is_none()),
        ("plate current", !has_ip),
        ("plate voltage", plate.is_none()),
        ("grid voltage", grid.is_none()),
    ] {
        if missing {
            values.lacks(what, EXAMPLE);
        }
    }
    let point = Point {
        mu: mu.unwrap_or(20.0),
        rp: has_rp.then_some(rp),
        ip,
        plate_volts: values.above_zero(plate, "a plate voltage", HELP),
        grid_volts: grid.map_or(0.0, |placed| placed.value),
    };
    let whole = values.missing.is_none() && !values.faulty;
    let found = through(point);
    if let (None, true, Some(bytes)) = (found, whole, place) {
        let message = "no triode has these numbers at this point";
        let help = "check mu, rp, the plate current and both voltages against the data sheet; \
                    other tubes are described in devices.toml";
        values.reject(&bytes, message, help);
    }
    let (perveance, contact) = found.unwrap_or((1e-3, CONTACT));
    TubeType {
        name: "triode".to_owned(),
        class: TubeClass::Triode,
        heater: Vec::new(),
        base: String::new(),
        pins: Vec::new(),
        units: vec![TubeUnit {
            electrodes: ELECTRODES,
            characteristic: Characteristic::Triode(Triode {
                perveance,
                exponent: EXPONENT,
                mu: point.mu,
                softness: SOFTNESS,
                contact,
                grid: GridCurrent::RECEIVING,
                wear: Wear::NONE,
            }),
        }],
        glow: None,
        residuals: String::new(),
        base_status: String::new(),
        data_status: String::new(),
        source: "stated in the netlist".to_owned(),
    }
}

/// Perveance and contact potential of the triode through this point, if there is a likely one.
fn through(point: Point) -> Option<(f64, f64)> {
    // w = W0 + P/kp      h = P/(P + VH)      Ip = G·S^x·h
    let w = W0 + point.plate_volts / SOFTNESS;
    let h = point.plate_volts / (point.plate_volts + HALF_COLLECTION);
    let drive = point.grid_volts + point.plate_volts / point.mu;
    let (s, contact) = match point.rp {
        // Far from cut-off gm = mu/rp = x·Ip/S, and S = w·ln(1 + e^u) turned round gives u.
        Some(rp) => {
            let s = EXPONENT * point.ip * rp / point.mu;
            let u = if s / w > 40.0 {
                s / w
            } else {
                (s / w).exp_m1().ln()
            };
            (s, w * u - drive)
        }
        None => {
            let u = (drive + CONTACT) / w;
            (w * (u.max(0.0) + (-u.abs()).exp().ln_1p()), CONTACT)
        }
    };
    let perveance = point.ip / (s.powf(EXPONENT) * h);
    let likely = LIKELY.contains(&contact) && perveance.is_finite() && perveance > 0.0;
    likely.then_some((perveance, contact))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(mu: f64, rp: Option<f64>) -> Point {
        Point {
            mu,
            rp,
            ip: 9e-3,
            plate_volts: 250.0,
            grid_volts: -8.0,
        }
    }

    /// Half of a 6SN7 at its published point (mu 20, rp 7.7 k, 9 mA at 250 V, −8 V), by hand:
    /// w = 0.139 + 0.625 = 0.764; S = 1.4·9 mA·7.7 k/20 = 4.851; e^(−S/w) = 0.00175, so
    /// w·u = 4.851 − 0.0013 = 4.8497 and V0 = 4.8497 + 8 − 12.5 = 0.3497; h = 250/252;
    /// G = 9 mA/(4.851^1.4·0.99206) = 9.943e-4. One in the last digit checked.
    #[test]
    fn the_numbers_of_a_sheet_give_perveance_and_contact_potential() {
        let (perveance, contact) = through(point(20.0, Some(7.7e3))).unwrap();
        assert!((contact - 0.350).abs() <= 1e-3, "{contact}");
        assert!((perveance - 9.94e-4).abs() <= 1e-6, "{perveance}");
        let (_, usual) = through(point(20.0, None)).unwrap();
        // Handed through unchanged.
        assert!((usual - 0.3).abs() < 1e-12);
    }

    #[test]
    fn numbers_that_contradict_each_other_give_none() {
        assert_eq!(through(point(100.0, Some(7.7e3))), None);
        assert_eq!(through(point(f64::MIN_POSITIVE, None)), None);
    }
}
