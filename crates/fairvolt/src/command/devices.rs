//! `devices`: tubes and semiconductors built in, or one of them with its base and its numbers.

use circuit::{
    semiconductor, semiconductors, tube_sheets, tube_type, tube_types, DataPoint, PointKind,
    TubeType,
};
use fit::SheetQuantity;
use input::{begins_alike, nearest_few};
use report::{DeviceView, PointFigure, PointQuantity, Report, TubeView};

use crate::args::DevicesArgs;
use crate::command::deliver;
use crate::console::Console;
use crate::exit::Exit;

/// Most types to suggest for one that is unknown.
const SUGGESTIONS: usize = 4;

pub(crate) fn run(args: &DevicesArgs, console: &mut Console) -> Exit {
    let report = match &args.device {
        None => {
            let tubes = tube_types().map(|tube| DeviceView::Tube(view(tube)));
            let others = semiconductors().iter().map(DeviceView::Semiconductor);
            let all: Vec<DeviceView> = tubes.chain(others).collect();
            Report::devices(all)
        }
        Some(name) => match find(name.trim()) {
            Some(device) => Report::device(device),
            None => return unknown(name.trim(), console),
        },
    };
    deliver(&report, args.output.format(), &args.output, &[], console)
}

fn find(name: &str) -> Option<DeviceView<'static>> {
    let tube = tube_type(name).map(|tube| DeviceView::Tube(view(tube)));
    tube.or_else(|| semiconductor(name).map(DeviceView::Semiconductor))
}

/// A tube with its sheet's numbers and what its model makes of them.
fn view(tube: &TubeType) -> TubeView<'_> {
    let sheet = tube_sheets().iter().find(|sheet| sheet.name == tube.name);
    let points = sheet.map_or(&[][..], |sheet| &sheet.points);
    // The points are those of the first section; the others are like it, or diodes without points. The triode
    // beside a pentode has points of its own.
    let with_points = match tube.class.is_triode_pentode() {
        true => tube.units.len(),
        false => 1,
    };
    let units = tube.units.iter().take(with_points);
    let residuals: Vec<fit::Residual> = units
        .flat_map(|unit| fit::compare(&unit.characteristic, points))
        .collect();
    let mut figures = Vec::new();
    for (index, point) in points.iter().enumerate() {
        let own = residuals.iter().filter(|own| own.point == index);
        let compared = own.map(|own| PointFigure {
            point,
            quantity: quantity(own.quantity, point),
            sheet: own.want,
            model: Some(own.got),
        });
        let before = figures.len();
        figures.extend(compared);
        if figures.len() == before {
            figures.extend(not_compared(point));
        }
    }
    TubeView { tube, figures }
}

/// A check of a tube with a screen was made with the screen on the plate.
fn quantity(quantity: SheetQuantity, point: &DataPoint) -> PointQuantity {
    match quantity {
        SheetQuantity::PlateCurrent
            if point.kind == PointKind::Check && point.screen_volts.is_some() =>
        {
            PointQuantity::CathodeCurrent
        }
        SheetQuantity::PlateCurrent => PointQuantity::PlateCurrent,
        SheetQuantity::ScreenCurrent => PointQuantity::ScreenCurrent,
        SheetQuantity::Transconductance => PointQuantity::Transconductance,
        SheetQuantity::PlateResistance => PointQuantity::PlateResistance,
    }
}

/// The current of a point that the model is not held against.
fn not_compared(point: &DataPoint) -> Option<PointFigure<'_>> {
    Some(PointFigure {
        point,
        quantity: match point.kind {
            PointKind::ConverterAtRest => PointQuantity::CathodeCurrent,
            PointKind::Regulator => PointQuantity::ThroughCurrent,
            _ => PointQuantity::PlateCurrent,
        },
        sheet: point.plate_amperes?,
        model: None,
    })
}

/// Says which types are near, and how to describe one's own.
fn unknown(name: &str, console: &mut Console) -> Exit {
    let near = nearest(name);
    let near = match near.is_empty() {
        true => String::new(),
        false => format!("help: nearest: {}\n", near.join(", ")),
    };
    console.complain(&format!(
        "error: no tube or semiconductor '{name}' is built in\n\
         {near}\
         help: 'fairvolt devices' lists all that are\n\
         help: describe another type in devices.toml in the job folder: its class, its pins, and \
         points of its data sheet (docs/files.md)\n"
    ));
    Exit::BadInput
}

/// Types that begin alike or are a slip or two away, the nearest first.
fn nearest(name: &str) -> Vec<&'static str> {
    let tubes = tube_types().map(|tube| tube.name.as_str());
    let others = semiconductors()
        .iter()
        .flat_map(|own| own.names.iter().map(String::as_str));
    // 6SN7GTB is a 6SN7, and 12A may be the beginning of 12AX7.
    let near = nearest_few(name, tubes.chain(others), |known| known, begins_alike).into_iter();
    near.take(SUGGESTIONS).map(|(_, known)| known).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_and_a_suffix_find_their_type() {
        assert_eq!(nearest("6SN7GTB"), ["6SN7"]);
        assert_eq!(nearest("12XA7")[0], "12AX7");
        assert!(nearest("12a").contains(&"12AX7"));
        assert!(nearest("nonsense").is_empty());
    }

    #[test]
    fn every_current_of_every_sheet_is_shown() {
        for (tube, sheet) in tube_types().zip(tube_sheets()) {
            let shown = view(tube);
            for point in sheet
                .points
                .iter()
                .filter(|point| point.plate_amperes.is_some())
            {
                let own = |figure: &PointFigure<'_>| std::ptr::eq(figure.point, point);
                assert!(shown.figures.iter().any(own), "{}: {point:?}", tube.name);
            }
        }
    }
}
