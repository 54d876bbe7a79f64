//! Writes a sample sheet as PDF (both paper sizes), HTML and SVG into the folder given as the argument.
//!
//! The content is invented: the intercom of a lookout station.

use std::error::Error;
use std::path::PathBuf;

use paper::{
    html, pdf, svg, Align, Axis, Bar, BarChart, Block, Cell, Column, Curve, CurveChart, Dash, Day,
    Document, Dot, Fill, Ink, IntervalChart, IntervalRow, Key, Mark, MarkerKind, PageSize, Pen,
    Picture, Running, Scale, Sign, Table, Text, TintedBand,
};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("name a folder")?);
    std::fs::create_dir_all(&folder)?;
    let document = sheet();
    std::fs::write(folder.join("sheet-a4.pdf"), pdf(&document, PageSize::A4)?)?;
    std::fs::write(
        folder.join("sheet-letter.pdf"),
        pdf(&document, PageSize::Letter)?,
    )?;
    std::fs::write(folder.join("sheet.html"), html(&document))?;
    for (name, picture) in [
        ("loudness", loudness()),
        ("lines", lines()),
        ("load", load()),
    ] {
        std::fs::write(folder.join(format!("{name}.svg")), svg(&picture))?;
    }
    Ok(())
}

fn sheet() -> Document {
    let facts = [
        ("Station", "Lookout on the north ridge"),
        ("Stations on the line", "14, in 3 huts"),
        ("Line supply", "24 V ± 10 %"),
        ("Line resistance", "≤ 600 Ω"),
        ("Kept by", ""),
        (
            "Sheet",
            "2 of the log book, copied out for the shelf beside the switchboard",
        ),
    ];
    let facts = facts
        .iter()
        .map(|(label, value)| ((*label).to_string(), Text::from(*value)))
        .collect();
    Document {
        title: "Intercom of the lookout station: round of checks".into(),
        subtitle: "Carry out once a season, with the line at rest and the horn switched off.".into(),
        subject: "Sample of a printed sheet".into(),
        date: Some(Day { year: 2024, month: 5, day: 1 }),
        running: Running { left: "Lookout intercom".into(), right: "Round of checks".into(), foot: "Write in ink.".into() },
        blocks: vec![
            Block::Facts(facts),
            Block::Caution {
                lead: "Danger to hearing.".into(),
                body:                 "The horn may sound at any time while the key of hut 3 is closed. Open the key, hang the tag on it, and \
                 wait until the lamp is out before you put on the headphones."
                    .into(),
            },
            Block::heading(1, "Steps"),
            Block::Numbered(vec![
                Text::from("Measure each station with its handset ").bold("on the hook").then("."),
                "Write the reading into the box, and tick what you heard. A station that is silent gets a line in the notes below.".into(),
                Text::from("Compare with the column “expected”: a difference above ").bold("± 0.5 V").then(" is worth a second look."),
            ]),
            Block::heading(1, "Stations"),
            Block::Table(stations()),
            Block::paragraph("Readings were taken with 20 kΩ/V; “−” is a voltage below earth."),
            Block::KeepTogether(vec![Block::heading(1, "How far the stations are off"), Block::Picture(lines())]),
            Block::KeepTogether(vec![Block::heading(1, "Loudness over frequency"), Block::Picture(loudness())]),
            Block::KeepTogether(vec![Block::heading(2, "Current drawn by each part"), Block::Picture(load())]),
            Block::WriteLines { label: "Notes".into(), lines: 5 },
        ],
        ..Document::default()
    }
}

fn stations() -> Table {
    let mut table = Table::new(
        "Voltage of the line at each station",
        vec![
            Column::new("No.", Align::Right, 1.0).fixed(28.0),
            Column::new("Station", Align::Left, 3.0),
            Column::new("As written in the log", Align::Decimal, 1.4).unit("V"),
            Column::new("Expected today", Align::Decimal, 1.4).unit("V"),
            Column::new("Reading", Align::Centre, 1.6).unit("V"),
            Column::new("Heard", Align::Left, 2.4),
        ],
    );
    let names = [
        "cook house",
        "telescope, east window",
        "Wetterbeobachtungsstationsfernsprechnebenstelle",
        "ladder",
        "store",
    ];
    for hut in 1..=3 {
        table.group(format!("Hut {hut}"));
        for (n, name) in names.iter().cycle().take(9).enumerate() {
            let volts = 24.0 - 2.35 * f64::from(hut) - 0.25 * n as f64;
            let log = if n == 4 {
                "—".to_string()
            } else {
                format!("{volts:.1}")
            };
            table.row(vec![
                format!("{}", n + 1).into(),
                (*name).into(),
                log.into(),
                Cell::Value(if n == 6 {
                    "−0.85".into()
                } else {
                    format!("{:.2}", volts * 1.02)
                }),
                Cell::Blank,
                "clear, faint, silent".into(),
            ]);
        }
    }
    table
}

fn percent(value: f64) -> String {
    format!("{value:+.0} %")
        .replace('-', "−")
        .replace("+0 %", "0 %")
}

fn hertz(value: f64) -> String {
    if value >= 1000.0 {
        format!("{} kHz", value / 1000.0)
    } else {
        format!("{value} Hz")
    }
}

fn decibel(value: f64) -> String {
    format!("{value:.0}").replace('-', "−")
}

fn lines() -> Picture {
    let rows = [
        ("cook house", 2.0, 3.0),
        ("telescope, east window", -4.0, 2.0),
        ("ladder", 9.0, 4.0),
        (
            "store, behind the stove and the third shelf from below",
            45.0,
            5.0,
        ),
        ("horn", -1.0, 1.0),
    ];
    let rows = rows.iter().map(|(label, value, half)| IntervalRow {
        label: (*label).into(),
        interval: Some((value - half, value + half)),
        mark: Some((
            *value,
            if *value > 5.0 {
                MarkerKind::Triangle
            } else {
                MarkerKind::Circle
            },
        )),
        limits: Some((-5.0, 5.0)),
        note: percent(*value),
    });
    IntervalChart {
        title: "Deviation of each station".into(),
        description: "Two stations lie above the limit of 5 %.".into(),
        width: 500.0,
        axis: Axis::new(
            "deviation from the log, %",
            Scale::Linear,
            (-15.0, 20.0),
            &percent,
        ),
        reference: Some(0.0),
        rows: rows.collect(),
        keys: vec![
            Key {
                sign: Sign::Marker(MarkerKind::Circle),
                words: "within the limits".into(),
            },
            Key {
                sign: Sign::Marker(MarkerKind::Triangle),
                words: "beyond the limits".into(),
            },
            Key {
                sign: Sign::Limits,
                words: "limits".into(),
            },
        ],
    }
    .picture()
}

fn loudness() -> Picture {
    let curve = |label: &str, low: f64, dash| Curve {
        label: label.into(),
        points: (0..=80)
            .map(|n| {
                let f = 100.0 * 10_f64.powf(f64::from(n) / 40.0);
                (
                    f,
                    -10.0 * (1.0 + (low / f).powi(2)).log10()
                        - 10.0 * (1.0 + (f / 3400.0).powi(4)).log10(),
                )
            })
            .collect(),
        pen: Pen::new(Ink::Black, 1.1).dashed(dash),
    };
    let mark = |x: f64, label: &str| Mark {
        x,
        label: label.into(),
    };
    CurveChart {
        title: "Loudness over frequency".into(),
        subtitle: String::new(),
        description: "Handset and headphones pass speech, the horn loses its lows.".into(),
        size: (500.0, 230.0),
        x: Axis::new("frequency", Scale::Logarithmic, (100.0, 10_000.0), &hertz),
        y: Axis::new("level, dB", Scale::Linear, (-24.0, 3.0), &decibel),
        curves: vec![
            curve("handset", 250.0, Dash::Solid),
            curve("horn", 900.0, Dash::Dashed),
            curve("headphones", 120.0, Dash::Dotted),
        ],
        band: Some(TintedBand {
            low: -6.0,
            high: 0.0,
            label: "good to the ear".into(),
        }),
        shade: None,
        feet: Default::default(),
        marks: vec![
            mark(300.0, "lowest speech"),
            mark(3400.0, "highest speech"),
            mark(2500.0, "whistle"),
        ],
        dots: vec![
            Dot {
                x: 1000.0,
                y: -2.6,
                kind: MarkerKind::Square,
            },
            Dot {
                x: 2500.0,
                y: -1.0,
                kind: MarkerKind::Cross,
            },
        ],
    }
    .picture()
}

fn load() -> Picture {
    let bar = |label: &str, value: f64, fill| Bar {
        label: label.into(),
        value,
        words: format!("{value:.1} mA").replace('-', "−"),
        fill,
    };
    BarChart {
        title: "Current drawn by each part".into(),
        subtitle: "hatched: several together; open: charging".into(),
        description: "The horn draws most.".into(),
        width: 420.0,
        axis: Axis::new("current, mA", Scale::Linear, (-20.0, 100.0), &|value| {
            format!("{value:.0}")
        }),
        bars: vec![
            bar("horn", 82.0, Fill::Flat(Ink::Dark)),
            bar("lamp of hut 3", 31.5, Fill::Flat(Ink::Light)),
            bar(
                "handsets together, microphones open",
                12.2,
                Fill::Hatch(Ink::Dark),
            ),
            bar("charging", -8.4, Fill::Open),
        ],
    }
    .picture()
}
