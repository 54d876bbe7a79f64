//! The curve drawn with letters, for a terminal and for paper.
//!
//! What it owns: rows and columns of the plot. What comes in: a [`CurveView`]. What goes out: lines of at most
//! 76 columns, and what their letters mean. Not known here: colour, of which it needs none.

use paper::{ticks, Scale};

use super::named::{classes, scope, Scope};
use crate::clean::clean;
use crate::pictures::{ohms_tick, volts_ticks};
use crate::views::CurveView;
use crate::wrap::{columns, pad_left};

/// Rows of the plot.
const ROWS: usize = 13;

/// Columns of the whole plot, ticks included.
const COLUMNS: usize = 76;

/// Letters for the meters of the bench; further ones share the last.
const BENCH: [char; 9] = ['1', '2', '3', '4', '5', '6', '7', '8', '9'];

/// A plot and its legend.
pub(super) struct Plot {
    /// Its lines.
    pub lines: Vec<String>,
    /// What its letters mean.
    pub legend: Vec<String>,
}

/// Letters on a grid, row 0 on top.
struct Grid {
    scope: Scope,
    width: usize,
    letters: Vec<Vec<char>>,
}

impl Grid {
    fn row(&self, volts: f64) -> Option<usize> {
        let (low, high) = self.scope.volts;
        place((high - volts) / (high - low), ROWS)
    }

    fn column(&self, ohms: f64) -> Option<usize> {
        let (low, high) = self.scope.ohms;
        place((ohms / low).ln() / (high / low).ln(), self.width)
    }

    fn put(&mut self, ohms: f64, volts: Option<f64>, letter: char) {
        let row = volts.and_then(|volts| self.row(volts));
        if let (Some(row), Some(column)) = (row, self.column(ohms)) {
            if let Some(cell) = self
                .letters
                .get_mut(row)
                .and_then(|row| row.get_mut(column))
            {
                *cell = letter;
            }
        }
    }
}

impl Grid {
    /// Puts a meter's letter where it belongs, or beside another meter's that stands there already.
    fn put_beside(&mut self, ohms: f64, volts: f64, letter: char) {
        let (Some(row), Some(column)) = (self.row(volts), self.column(ohms)) else {
            return;
        };
        let Some(line) = self.letters.get_mut(row) else {
            return;
        };
        let beside = [0, 1, -1, 2, -2, 3, -3];
        let free = beside
            .into_iter()
            .filter_map(|by| column.checked_add_signed(by))
            .find(|at| line.get(*at).is_some_and(|cell| !is_meter(*cell)));
        if let Some(cell) = free.and_then(|at| line.get_mut(at)) {
            *cell = letter;
        }
    }
}

/// Whether the letter stands for a meter with a name.
fn is_meter(letter: char) -> bool {
    letter == 'M' || BENCH.contains(&letter)
}

/// Which of so many places a share of the way falls on; none beyond either end.
fn place(share: f64, places: usize) -> Option<usize> {
    // A thousandth more than the whole is rounding, such as at the ends themselves.
    (-1e-3..=1.001).contains(&share).then(|| {
        let last = places.saturating_sub(1);
        ((share * last as f64).round() as usize).min(last)
    })
}

/// The plot; none where nothing could be computed.
pub(super) fn plot(view: &CurveView<'_>) -> Option<Plot> {
    let scope = scope(view)?;
    let (low, high) = scope.volts;
    let marked = ticks(Scale::Linear, low, high, ROWS / 2);
    let words: Vec<String> = marked
        .iter()
        .copied()
        .map(volts_ticks((low, high)))
        .collect();
    let margin = words.iter().map(|word| columns(word)).max().unwrap_or(0);
    let width = COLUMNS.saturating_sub(margin + 3);
    let mut grid = Grid {
        scope,
        width,
        letters: vec![vec![' '; width]; ROWS],
    };
    let legend = fill(&mut grid, view);
    let mut ticked = vec![String::new(); ROWS];
    for (volts, word) in marked.iter().zip(words) {
        if let Some(line) = grid.row(*volts).and_then(|row| ticked.get_mut(row)) {
            *line = word;
        }
    }
    let mut lines: Vec<String> = grid
        .letters
        .iter()
        .zip(&ticked)
        .map(|(letters, tick)| {
            let edge = if tick.is_empty() { '│' } else { '┤' };
            let letters: String = letters.iter().collect();
            format!("{} {edge}{letters}", pad_left(tick, margin))
        })
        .collect();
    lines.extend(foot(&grid, margin));
    Some(Plot { lines, legend })
}

/// Puts everything on the grid, what matters most last; answers the legend.
fn fill(grid: &mut Grid, view: &CurveView<'_>) -> Vec<String> {
    let mut legend = Vec::new();
    if let Some(volts) = view.unloaded {
        for column in 0..grid.width {
            let row = grid.row(volts).and_then(|row| grid.letters.get_mut(row));
            if let Some(cell) = row.and_then(|row| row.get_mut(column)) {
                *cell = if column % 2 == 0 { '-' } else { ' ' };
            }
        }
        legend.push("- without any meter".to_owned());
    }
    let banded = view.samples.iter().any(|sample| {
        let band = sample.band;
        band.low.is_some() || band.high.is_some()
    });
    if banded {
        for sample in view.samples {
            grid.put(sample.ohms, sample.band.low, ':');
            grid.put(sample.ohms, sample.band.high, ':');
        }
        legend.push(": limits".to_owned());
    }
    for sample in view.samples {
        grid.put(sample.ohms, sample.volts, '*');
    }
    legend.push("* reading".to_owned());
    let classes = classes(view);
    for side in &classes {
        grid.put(side.input_ohms, Some(side.expected), '+');
    }
    if !classes.is_empty() {
        legend.push("+ common classes, in the order of the table".to_owned());
    }
    let manual = &view.carried.manual;
    grid.put(manual.input_ohms, Some(manual.value), 'M');
    for (side, letter) in view.carried.bench.iter().zip(letters()) {
        grid.put_beside(side.input_ohms, side.expected, letter);
    }
    legend.push("M the manual's meter".to_owned());
    legend.extend(bench_words(view));
    vec![legend.join(";  ")]
}

fn letters() -> impl Iterator<Item = char> {
    let last = BENCH.last().copied();
    BENCH.into_iter().chain(std::iter::repeat(last).flatten())
}

fn bench_words(view: &CurveView<'_>) -> Vec<String> {
    view.carried
        .bench
        .iter()
        .zip(letters())
        .map(|(side, letter)| format!("{letter} {}", clean(&side.meter)))
        .collect()
}

/// The axis with its ticks, and their words.
fn foot(grid: &Grid, margin: usize) -> [String; 2] {
    let (low, high) = grid.scope.ohms;
    let mut axis = vec!['─'; grid.width];
    let mut words = String::new();
    let start = margin + 2;
    for ohms in ticks(Scale::Logarithmic, low, high, grid.width / 9) {
        let Some(column) = grid.column(ohms) else {
            continue;
        };
        if let Some(cell) = axis.get_mut(column) {
            *cell = '┬';
        }
        let word = ohms_tick(ohms);
        let from = (start + column).saturating_sub(columns(&word) / 2);
        let taken = columns(&words);
        let room = taken == 0 || from > taken + 1;
        if room && from + columns(&word) <= COLUMNS {
            words.push_str(&" ".repeat(from - taken));
            words.push_str(&word);
        }
    }
    let axis: String = axis.into_iter().collect();
    [format!("{} └{axis}", " ".repeat(margin)), words]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_spread_from_end_to_end() {
        assert_eq!(
            [0.0, 0.5, 1.0].map(|share| place(share, 13)),
            [Some(0), Some(6), Some(12)]
        );
        assert_eq!(
            [-0.1, 1.1, f64::NAN].map(|share| place(share, 13)),
            [None; 3]
        );
    }

    #[test]
    fn the_axis_fits_and_its_words_stand_apart() {
        let grid = Grid {
            scope: Scope {
                ohms: (1e3, 1e9),
                volts: (0.0, 1.0),
            },
            width: 70,
            letters: Vec::new(),
        };
        let [axis, words] = foot(&grid, 4);
        assert!(columns(&axis) <= COLUMNS && columns(&words) <= COLUMNS);
        assert!(
            words.contains("1 kΩ ") && words.contains(" 1 MΩ "),
            "{words}"
        );
    }
}
