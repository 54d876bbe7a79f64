//! Tests of `grid`.

use super::*;
use crate::table::Column;

fn table() -> Table {
    Table {
        columns: vec![
            Column::new("point", "", Align::Left),
            Column::new("where", "", Align::Left),
            Column::new("manual", "V", Align::Decimal),
            Column::new("range", "", Align::Right),
        ],
        rows: vec![
            ["1", "plate1", "145", "250 V"].map(Cell::from).to_vec(),
            ["2", "grid2", "−1.20", "2.5 V"].map(Cell::from).to_vec(),
        ],
    }
}

const ON: Terminal = Terminal {
    width: 60,
    colour: false,
};

#[test]
fn a_narrow_table_stands_in_one_grid() {
    let want = [
        "point  where   manual  range",
        "                    V",
        "1      plate1  145     250 V",
        "2      grid2    −1.20  2.5 V",
    ];
    assert_eq!(table_lines(&table(), ON), want);
}

#[test]
fn a_group_and_what_is_below_a_row_take_the_whole_width() {
    let mut grouped = table();
    grouped.rows[0][1] = Cell::from("plate1").with("its range is assumed");
    grouped.rows.insert(1, Cell::group("Grids", Tone::Plain));
    let lines = table_lines(&grouped, ON);
    assert_eq!(lines[3..6], ["    its range is assumed", "", "Grids"]);
    assert_eq!(lines[0], "point  where   manual  range");
}

#[test]
fn a_long_name_gets_a_line_of_its_own() {
    let mut wide = table();
    wide.rows[0][1] = Cell::from("the plate of the first tube, behind the tone control");
    let lines = table_lines(&wide, ON);
    assert_eq!(lines[0], "point, where");
    assert!(lines.contains(&"1  the plate of the first tube, behind the tone control".into()));
    assert!(lines.iter().all(|line| columns(line) <= ON.width));
}

/// Of eight rows one is too long: the others stay in one line each.
#[test]
fn a_single_long_name_leaves_the_other_rows_alone() {
    let mut long = table();
    let plain = long.rows[0].clone();
    long.rows.extend(std::iter::repeat_n(plain, 6));
    long.rows[1][1] = Cell::from("the plate of the first tube, behind the tone control");
    let lines = table_lines(&long, ON);
    assert_eq!(lines.len(), 2 + 8 + 1, "{lines:?}");
    let name = "2  the plate of the first tube, behind the tone control";
    assert_eq!(lines[3], name);
    assert!(lines[4].starts_with(' ') && lines[4].trim_start().starts_with("−1.20"));
    let ends = lines[2..].iter().filter(|line| line.ends_with(" V"));
    assert!(ends
        .map(|line| columns(line))
        .all(|end| end == columns(&lines[2])));
    assert!(lines.iter().all(|line| columns(line) <= ON.width));
}

#[test]
fn what_fits_in_no_grid_is_listed() {
    let mut wide = table();
    wide.columns[3].head = "a".repeat(58);
    let lines = table_lines(&wide, ON);
    assert!(lines.contains(&"  manual 145 V,".into()), "{lines:?}");
    assert!(lines.iter().all(|line| columns(line) <= ON.width));
}
