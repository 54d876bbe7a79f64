//! The table of fitted parameters, as the catalogue keeps it.

use circuit::{Characteristic, DataPoint, Pentagrid, PointKind, TubeSheet};

use crate::error::FitError;
use crate::fitting::{fit_tube, Fit};
use crate::residual::{compare, Residual, SheetQuantity};
use crate::sheet::DataSheet;

/// The parameter table of these types, glow tubes left out, with a head row.
///
/// # Errors
/// The type whose sheet was refused, and why.
pub fn parameter_table(sheets: &[TubeSheet]) -> Result<String, (String, FitError)> {
    let mut text = String::from("type,section,parameters,residuals\n");
    let sections = sheets.iter().flat_map(|own| {
        let both = [DataSheet::of_type(own), DataSheet::of_triode_section(own)];
        both.into_iter().flatten().map(move |sheet| (own, sheet))
    });
    for (own, sheet) in sections {
        let fit = fit_tube(&sheet).map_err(|fault| (own.name.clone(), fault))?;
        let (section, pairs) = parameters(&fit.characteristic);
        let pairs: Vec<String> = pairs
            .iter()
            .map(|(name, value)| format!("{name}={}", digits(*value)))
            .collect();
        let residuals = residuals_in_words(&fit, &sheet.points);
        let row = format!(
            "{},{section},{},\"{residuals}\"\n",
            own.name,
            pairs.join(";")
        );
        text.push_str(&row);
    }
    Ok(text)
}

/// Ten digits: enough for a repeated fit to be compared to one part in a million.
fn digits(value: f64) -> String {
    let rounded: f64 = format!("{value:.9e}").parse().unwrap_or(value);
    format!("{rounded}")
}

/// Word of a section, and its parameters by the names of the table.
pub fn parameters(characteristic: &Characteristic) -> (&'static str, Vec<(&'static str, f64)>) {
    match characteristic {
        Characteristic::VacuumDiode(own) => (
            "diode",
            vec![("perveance", own.perveance), ("contact", own.contact)],
        ),
        Characteristic::Triode(own) => (
            "triode",
            vec![
                ("perveance", own.perveance),
                ("exponent", own.exponent),
                ("mu", own.mu),
                ("softness", own.softness),
                ("contact", own.contact),
            ],
        ),
        Characteristic::Oscillator(own) => {
            let (section, mut all) = parameters(&Characteristic::Triode(own.triode));
            all.push(("swing", own.swing));
            (section, all)
        }
        Characteristic::Pentode(own) => {
            let mut all = vec![
                ("perveance", own.perveance),
                ("exponent", own.exponent),
                ("mu", own.mu),
                ("softness", own.softness),
                ("contact", own.contact),
                ("screen_share", own.screen_share),
                ("share_exponent", own.share_exponent),
                ("mu_plate", own.mu_plate),
                ("knee", own.knee),
                ("knee_power", own.knee_power),
            ];
            if let Some(remote) = own.remote {
                all.extend([
                    ("remote_share", remote.share),
                    ("remote_reach", remote.reach),
                ]);
            }
            ("pentode", all)
        }
        Characteristic::Heptode(own) => {
            let (_, mut all) = parameters(&Characteristic::Pentode(own.pentode));
            all.push(("injection_scale", own.injection_scale));
            ("heptode", all)
        }
        Characteristic::Pentagrid(own) => {
            let mut all = vec![
                ("perveance", own.perveance),
                ("exponent", own.exponent),
                ("mu", own.mu),
                ("screen_share", own.screen_share),
                ("share_exponent", own.share_exponent),
                ("knee", own.knee),
                ("knee_power", own.knee_power),
                ("signal_scale", own.signal_scale),
                ("oscillating_grid", own.oscillating_grid),
            ];
            if (own.oscillator_amperes - Pentagrid::OSCILLATOR_AMPERES).abs() > 1e-9 {
                all.push(("oscillator_amperes", own.oscillator_amperes));
            }
            ("pentagrid", all)
        }
        _ => ("", Vec::new()),
    }
}

/// The residuals at each point, in words: `100 V/-1 V: plate +0.1 %, gm -2.3 %`. Curves are summed
/// up.
pub fn residuals_in_words(fit: &Fit, points: &[DataPoint]) -> String {
    let mut parts = Vec::new();
    for (index, point) in points.iter().enumerate() {
        let own: Vec<String> = fit
            .residuals
            .iter()
            .filter(|residual| residual.point == index && !is_curve(point.kind))
            .map(|residual| in_words(residual, point.kind))
            .collect();
        if !own.is_empty() {
            parts.push(format!("{}: {}", place(point), own.join(", ")));
        }
    }
    for (kind, words) in [
        (PointKind::PublishedCurve, "published curves"),
        (PointKind::MeasuredCurve, "measured curves"),
    ] {
        let own: Vec<f64> = fit
            .residuals
            .iter()
            .filter(|residual| points[residual.point].kind == kind)
            .map(|residual| 1e3 * (residual.got - residual.want))
            .collect();
        if own.is_empty() {
            continue;
        }
        let rms = (own.iter().map(|miss| miss * miss).sum::<f64>() / own.len() as f64).sqrt();
        let worst = own
            .iter()
            .fold(0.0_f64, |worst, miss| worst.max(miss.abs()));
        let scale = match (kind, fit.curve_scale) {
            (PointKind::MeasuredCurve, Some(scale)) => format!("{scale:.2} of this emission, "),
            _ => String::new(),
        };
        let count = own.len();
        parts.push(format!(
            "{words} ({count} points): {scale}rms {rms:.3} mA, worst {worst:.3} mA"
        ));
    }
    parts.extend(held_back(fit, points));
    parts.join("; ")
}

/// The residuals at the points that were not fitted.
fn held_back(fit: &Fit, points: &[DataPoint]) -> Option<String> {
    let own: Vec<String> = compare(&fit.characteristic, points)
        .iter()
        .filter(|residual| points[residual.point].kind == PointKind::HeldBack)
        .map(|residual| {
            let point = &points[residual.point];
            format!("{} {}", place(point), in_words(residual, point.kind))
        })
        .collect();
    (!own.is_empty()).then(|| format!("not used: {}", own.join(", ")))
}

fn is_curve(kind: PointKind) -> bool {
    matches!(kind, PointKind::PublishedCurve | PointKind::MeasuredCurve)
}

fn place(point: &DataPoint) -> String {
    match (point.kind, point.screen_volts) {
        (PointKind::Drop, _) => format!("{} V", point.plate_volts),
        (_, Some(screen)) => {
            format!("{} V/{} V/{screen} V", point.plate_volts, point.grid_volts)
        }
        (_, None) => format!("{} V/{} V", point.plate_volts, point.grid_volts),
    }
}

fn in_words(residual: &Residual, kind: PointKind) -> String {
    let name = match residual.quantity {
        SheetQuantity::PlateCurrent => "plate",
        SheetQuantity::ScreenCurrent => "screen",
        SheetQuantity::Transconductance => "gm",
        SheetQuantity::PlateResistance => "rp",
    };
    match kind {
        PointKind::Cutoff => format!(
            "plate {:.1} uA for {:.1} uA",
            1e6 * residual.got,
            1e6 * residual.want
        ),
        _ => {
            let percent = 100.0 * (residual.got / residual.want - 1.0);
            // No minus sign for what rounds to nothing.
            let percent = if percent.abs() < 0.05 { 0.0 } else { percent };
            format!("{name} {percent:+.1} %")
        }
    }
}
