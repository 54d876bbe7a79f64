//! Rows of published or separately computed figures, and the comparison with them.

use std::cell::RefCell;
use std::collections::BTreeMap;

struct Row {
    what: String,
    want: f64,
    tolerance: f64,
    reason: String,
    source: String,
}

/// Rows still to be compared.
pub struct Cases(RefCell<BTreeMap<String, Row>>);

impl Cases {
    /// The rows of a file whose numbers lie between two, both included.
    pub fn of(text: &str, first: u32, last: u32) -> Self {
        let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
        let rows = lines.map(|line| {
            let cells = cells(line);
            assert_eq!(cells.len(), 7, "{line}");
            let row = Row {
                what: cells[1].clone(),
                want: cells[2].parse().unwrap(),
                tolerance: cells[4].parse().unwrap(),
                reason: cells[5].clone(),
                source: cells[6].clone(),
            };
            assert!(row.tolerance > 0.0 && !row.reason.is_empty() && !row.source.is_empty());
            (cells[0].clone(), row)
        });
        let number = |id: &str| -> u32 { id[1..3].parse().unwrap() };
        let rows: BTreeMap<_, _> = rows
            .filter(|(id, _)| (first..=last).contains(&number(id)))
            .collect();
        Cases(RefCell::new(rows))
    }

    /// Compares one row.
    pub fn check(&self, id: &str, got: f64) {
        let row = self.0.borrow_mut().remove(id);
        let row = row.unwrap_or_else(|| panic!("no row {id}, or compared twice"));
        let miss = (got - row.want).abs();
        assert!(
            miss <= row.tolerance,
            "{id}, {}: want {}, got {got}, miss {miss:e}, allowed {:e} ({}); {}",
            row.what,
            row.want,
            row.tolerance,
            row.reason,
            row.source
        );
    }

    /// Holds that no row was left out.
    pub fn finish(self) {
        let left: Vec<String> = self.0.into_inner().into_keys().collect();
        assert!(left.is_empty(), "not compared: {left:?}");
    }
}

/// Cells of a line; a quoted one may hold commas.
fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            _ => cells.last_mut().unwrap().push(letter),
        }
    }
    cells
}
