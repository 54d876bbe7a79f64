//! The model beside the numbers of a sheet.
//!
//! Figures come in, a table and a line for each set of curves go out. Curves hold many points that
//! nobody reads one by one: they are summed up, and listed in the other formats.

use circuit::{DataPoint, PointKind};
use units::{engineering, significant, Unit};

use super::view::{PointFigure, PointQuantity, TubeView};
use crate::document::Block;
use crate::figures::{decimal, signed_percent, stated};
use crate::table::{Align, Cell, Column, Table};

/// The table of single points, and what there is to say beside it.
pub(crate) fn blocks(view: &TubeView<'_>) -> Vec<Block> {
    let columns = vec![
        Column::new("point", "", Align::Left),
        Column::new("volts above the cathode", "", Align::Left),
        Column::new("", "", Align::Left),
        Column::new("sheet", "", Align::Right),
        Column::new("model", "", Align::Right),
        Column::new("off by %", "", Align::Decimal),
        Column::new("status", "", Align::Left),
    ];
    let mut rows = Vec::new();
    let mut before = None;
    for figure in view
        .figures
        .iter()
        .filter(|own| !is_of_many(own.point.kind))
    {
        let goes_on = before.is_some_and(|point| std::ptr::eq(point, figure.point));
        before = Some(figure.point);
        rows.push(row(figure, goes_on));
    }
    let mut blocks = Vec::new();
    if !rows.is_empty() {
        blocks.push(Block::Table(Table { columns, rows }));
    }
    let mut lines = Vec::new();
    for kind in [
        PointKind::PublishedCurve,
        PointKind::MeasuredCurve,
        PointKind::Check,
    ] {
        lines.extend(sum(view, kind));
    }
    let has_gm = |own: &PointFigure<'_>| own.quantity == PointQuantity::Transconductance;
    if view.figures.iter().any(has_gm) {
        lines.push("1 µS is what manuals call a micromho.".to_owned());
    }
    if view.figures.iter().any(|own| own.model.is_none()) {
        lines.push(
            "— is not compared: the model was set by that number, or it belongs to another state."
                .to_owned(),
        );
    }
    if !lines.is_empty() {
        blocks.push(Block::Lines(lines));
    }
    blocks
}

fn row(figure: &PointFigure<'_>, goes_on: bool) -> Vec<Cell> {
    let point = figure.point;
    let mut cells = match goes_on {
        true => vec![Cell::default(), Cell::default()],
        false => vec![kind_words(point.kind).into(), place(point).into()],
    };
    let off = difference_percent(figure).map(signed_percent);
    cells.extend([
        Cell::from(figure.quantity.words()),
        value(figure.quantity, figure.sheet).into(),
        figure
            .model
            .map_or("—".to_owned(), |model| value(figure.quantity, model))
            .into(),
        off.unwrap_or_else(|| "—".to_owned()).into(),
        Cell::from(if goes_on { "" } else { status(&point.status) }),
    ]);
    cells
}

/// Model less sheet, percent of the sheet.
pub(crate) fn difference_percent(figure: &PointFigure<'_>) -> Option<f64> {
    let model = figure.model?;
    let share = model / figure.sheet - 1.0;
    share.is_finite().then_some(100.0 * share)
}

/// The status in the words of the rest of the page.
fn status(own: &str) -> &str {
    match own {
        "memory" => "from memory",
        other => other,
    }
}

/// A number of a sheet with its unit, three digits and more where it has them.
fn value(quantity: PointQuantity, value: f64) -> String {
    let text = match quantity {
        PointQuantity::PlateCurrent
        | PointQuantity::ScreenCurrent
        | PointQuantity::CathodeCurrent
        | PointQuantity::ThroughCurrent => engineering(value, Unit::Ampere, 3),
        PointQuantity::Transconductance => {
            let micro = value * 1e6;
            let digits = if micro < 1000.0 { 3 } else { 4 };
            format!("{} µS", significant(micro, digits))
        }
        PointQuantity::PlateResistance => engineering(value, Unit::Ohm, 3),
    };
    text.replace('-', "\u{2212}")
}

/// Where a point lies: `250 V, grid −2 V, screen 100 V`.
fn place(point: &DataPoint) -> String {
    let volts = |volts| stated(volts, Unit::Volt);
    let mut text = volts(point.plate_volts);
    if has_grid(point.kind) {
        let grid = match point.kind {
            PointKind::ConverterOscillating | PointKind::Mixing => "grid 3",
            _ => "grid",
        };
        text.push_str(&format!(", {grid} {}", volts(point.grid_volts)));
    }
    if let Some(screen) = point.screen_volts {
        text.push_str(&format!(", screen {}", volts(screen)));
    }
    text
}

/// Whether a point of this kind has a grid to speak of.
pub(crate) fn has_grid(kind: PointKind) -> bool {
    !matches!(
        kind,
        PointKind::Drop
            | PointKind::Regulator
            | PointKind::Target
            | PointKind::OscillatorAnode
            | PointKind::OscillatorGrid
    )
}

pub(crate) fn kind_words(kind: PointKind) -> &'static str {
    match kind {
        PointKind::OperatingPoint => "typical operation",
        PointKind::Cutoff => "cut-off",
        PointKind::RemoteTail => "remote cut-off",
        PointKind::PublishedCurve => "published curve",
        PointKind::MeasuredCurve => "measured curve",
        PointKind::Check => "check",
        PointKind::Drop => "drop",
        PointKind::ConverterAtRest => "not oscillating",
        PointKind::ConverterOscillating => "oscillating",
        PointKind::Regulator => "running",
        PointKind::HeldBack => "not used by the fit",
        PointKind::Target => "target",
        PointKind::OscillatorAnode => "oscillator anode",
        PointKind::OscillatorGrid => "oscillator grid",
        PointKind::TriodeSection => "triode section",
        PointKind::Mixing => "mixing",
    }
}

fn is_of_many(kind: PointKind) -> bool {
    matches!(
        kind,
        PointKind::PublishedCurve | PointKind::MeasuredCurve | PointKind::Check
    )
}

/// All points of a kind in one line.
fn sum(view: &TubeView<'_>, kind: PointKind) -> Option<String> {
    let pairs: Vec<(f64, f64)> = view
        .figures
        .iter()
        .filter(|own| own.point.kind == kind)
        .filter_map(|own| own.model.map(|model| (own.sheet, model)))
        .collect();
    if pairs.is_empty() {
        return None;
    }
    // Measured tubes have an emission of their own, their share of the model's by least squares.
    let share = match kind {
        PointKind::PublishedCurve => 1.0,
        _ => {
            let both: f64 = pairs.iter().map(|(sheet, model)| sheet * model).sum();
            both / pairs.iter().map(|(_, model)| model * model).sum::<f64>()
        }
    };
    let misses = || {
        pairs
            .iter()
            .map(|(sheet, model)| 1e3 * (share * model - sheet).abs())
    };
    let count = pairs.len();
    let rms = (misses().map(|miss| miss * miss).sum::<f64>() / count as f64).sqrt();
    let worst = misses().fold(0.0, f64::max);
    let full = 1e3 * pairs.iter().map(|(sheet, _)| *sheet).fold(0.0, f64::max);
    let what = match kind {
        PointKind::PublishedCurve => "Published curves",
        PointKind::MeasuredCurve => "Measured curves",
        _ => "Measured tubes that no fit has seen",
    };
    let emission = match kind {
        PointKind::PublishedCurve => String::new(),
        _ => format!(
            "they carry {} times the model's current; beside that ",
            decimal(share, 2)
        ),
    };
    Some(format!(
        "{what}, {count} points up to {} mA: {emission}the model misses by {} mA rms, {} mA at worst.",
        significant(full, 3),
        decimal(rms, 2),
        decimal(worst, 2),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::tube_sheets;

    #[test]
    fn a_difference_is_the_model_s_in_percent_of_the_sheet() {
        let sheet = tube_sheets()
            .iter()
            .find(|own| own.name == "12AX7")
            .unwrap();
        let figure = |model| PointFigure {
            point: &sheet.points[1],
            quantity: PointQuantity::PlateCurrent,
            sheet: 1.2e-3,
            model,
        };
        // 1.26 is 1.05 times 1.2; one part in 1e9 for the rounding of both.
        assert!((difference_percent(&figure(Some(1.26e-3))).unwrap() - 5.0).abs() <= 1e-9);
        assert_eq!(difference_percent(&figure(None)), None);
        let texts: Vec<String> = row(&figure(Some(1.26e-3)), false)
            .into_iter()
            .map(|cell| cell.text)
            .collect();
        assert_eq!(
            texts,
            [
                "typical operation",
                "250 V, grid −2 V",
                "plate current",
                "1.20 mA",
                "1.26 mA",
                "+5.0",
                "read"
            ]
        );
    }
}
