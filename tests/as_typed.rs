//! Cells and part lines as people type them: each means what its row says, or draws that message.

use circuit::{Circuit, DeviceClass, PartKind};
use input::{read_netlist, Diagnostic, Severity, Sources};
use units::{parse_cell, CellContent, Tolerance, Unit};

use crate::support::root;

fn rows(file: &str) -> Vec<Vec<String>> {
    let path = root().join("tests/cases/as-typed").join(file);
    let text = std::fs::read_to_string(path).unwrap();
    let mut rows: Vec<Vec<String>> = Vec::new();
    for line in text.lines().skip(1) {
        rows.push(split(line));
    }
    rows
}

/// One line of a table, quotes and doubled quotes undone.
fn split(line: &str) -> Vec<String> {
    let (mut cells, mut quoted, mut letters) =
        (vec![String::new()], false, line.chars().peekable());
    while let Some(letter) = letters.next() {
        let last = cells.len() - 1;
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                cells[last].push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            letter => cells[last].push(letter),
        }
    }
    cells
}

/// Equal but for the rounding of a decimal number and one operation on it.
fn near(a: f64, b: &str) -> bool {
    let b: f64 = b.parse().unwrap();
    (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

#[test]
fn every_cell_means_what_its_row_says() {
    let rows = rows("cells.csv");
    assert!(rows.len() >= 150, "{}", rows.len());
    let mut wrong = Vec::new();
    for row in &rows {
        let place = match row[0].as_str() {
            "V" => Unit::Volt,
            "ohm" => Unit::Ohm,
            _ => Unit::Ampere,
        };
        let found = parse_cell(&row[1], place);
        if !cell_fits(&row[2], &found) {
            wrong.push(format!("{:?} should be '{}', is {found:?}", row[1], row[2]));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {}:\n{}",
        wrong.len(),
        rows.len(),
        wrong.join("\n")
    );
}

fn cell_fits(means: &str, found: &Result<CellContent, units::ValueError>) -> bool {
    if let Some(message) = means.strip_prefix("error ") {
        return matches!(found, Err(error) if error.to_string().starts_with(message));
    }
    let (means, note) = means.split_once(" note ").unwrap_or((means, ""));
    let words: Vec<&str> = means.split(' ').collect();
    let cell = match (found, means) {
        (Ok(CellContent::Nothing(_)), "nothing") | (Ok(CellContent::Open(_)), "open") => {
            return true
        }
        (Ok(CellContent::Value(cell)), _) => cell,
        _ => return false,
    };
    let value = cell.figure.value;
    let plain = cell.limits.is_none() && !cell.approximate;
    let alternating = cell.alternating == Some(true);
    let body = match words.as_slice() {
        ["value", n] => near(value, n) && plain && !alternating && cell.range.is_none(),
        ["value", n, "ac"] => near(value, n) && plain && alternating,
        ["value", n, "range", full] => {
            near(value, n) && cell.range.is_some_and(|range| near(range, full))
        }
        ["about", n] => near(value, n) && cell.approximate,
        ["limits", least, most, middle] => match cell.limits {
            Some(Tolerance::Limits { low, high }) => {
                near(low, least) && near(high, most) && near(value, middle)
            }
            _ => false,
        },
        ["most", n] => near(value, n) && cell.limits == Some(Tolerance::AtMost(value)),
        ["least", n] => near(value, n) && cell.limits == Some(Tolerance::AtLeast(value)),
        _ => false,
    };
    body && cell.notes.join(" ") == note
}

#[test]
fn every_part_line_means_what_its_row_says() {
    let rows = rows("parts.csv");
    assert!(rows.len() >= 150, "{}", rows.len());
    let mut wrong = Vec::new();
    for row in &rows {
        let text = format!("ground c\nR90: 1k, a to c\nR91: 1k, b to c\n{}\n", row[0]);
        let mut sources = Sources::default();
        let id = sources.add("circuit.netlist", &text);
        let read = read_netlist(&sources, id, &[]);
        if !part_fits(&row[1], &read.circuit, &read.diagnostics) {
            let found: Vec<&str> = read
                .diagnostics
                .iter()
                .map(|d| d.message.as_str())
                .collect();
            let part = read.circuit.parts().get(2).map(|part| &part.kind);
            wrong.push(format!(
                "{:?} should be '{}', is {part:?} {found:?}",
                row[0], row[1]
            ));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {}:\n{}",
        wrong.len(),
        rows.len(),
        wrong.join("\n")
    );
}

fn part_fits(means: &str, circuit: &Circuit, found: &[Diagnostic]) -> bool {
    let says = |severity, text: &str| {
        let mut of = found.iter().filter(|one| one.severity == severity);
        of.any(|one| one.message.contains(text))
    };
    if let Some(message) = means.strip_prefix("error ") {
        return says(Severity::Error, message);
    }
    if let Some(message) = means.strip_prefix("warning ") {
        return says(Severity::Warning, message) && !found.iter().any(Diagnostic::is_error);
    }
    let Some(part) = circuit.parts().get(2) else {
        return false;
    };
    let rating = circuit
        .ratings()
        .first()
        .map(|(_, rating)| *rating)
        .unwrap_or_default();
    let words: Vec<&str> = means.split(' ').collect();
    let doubts = found.iter().any(|one| one.severity > Severity::Note);
    let kind = match (&part.kind, words.as_slice()) {
        (PartKind::Resistor(of), ["ohms", n, rest @ ..]) => {
            near(of.ohms, n)
                && match rest {
                    [] => rating.volts.is_none(),
                    ["watts", n] => rating.watts.is_some_and(|watts| near(watts, n)),
                    ["tolerance", n] => of.tolerance.is_some_and(|share| near(share, n)),
                    _ => false,
                }
        }
        (PartKind::Capacitor(of), ["farads", n, rest @ ..]) => {
            near(of.farads, n)
                && match rest {
                    [] => rating.is_blank(),
                    ["volts", n] => rating.volts.is_some_and(|volts| near(volts, n)),
                    _ => false,
                }
        }
        (PartKind::Inductor(of), ["winding", n]) => near(of.ohms, n),
        (PartKind::Contact(of), ["closed"]) => of.closed,
        (PartKind::Contact(of), ["open"]) => !of.closed,
        (PartKind::Potentiometer(of), ["pot", n, turn]) => {
            near(of.ohms, n) && near(of.setting, turn)
        }
        (PartKind::Device(of), ["type", name]) => of.type_name == *name,
        (PartKind::Device(of), ["diode"]) => of.class == DeviceClass::Diode,
        (PartKind::Device(of), ["transistor"]) => of.class == DeviceClass::Transistor,
        _ => false,
    };
    // A node of a device may hang alone here; that is no fault of its line.
    let lonely = found.iter().all(|one| {
        one.severity <= Severity::Note || one.message.ends_with("is mentioned only here")
    });
    kind && (!doubts || lonely)
}
