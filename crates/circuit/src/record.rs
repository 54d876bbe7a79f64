//! The readings of one point of one set, in the order in which they were taken.
//!
//! Readings come in, in the order of the files. For each point and set its readings go out, the
//! first *as found* and the last *as left*. They are ordered by their dates if all of these are
//! written year first, otherwise by files and rows. Which reading is right is not decided here.

use std::collections::HashMap;

use crate::job::Reading;

/// Every reading of one point of one set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record<'a> {
    /// The point's label.
    pub point: &'a str,
    /// Which set; empty where not noted.
    pub set: &'a str,
    /// Indices of its readings, in the order in which they were taken; at least one.
    pub readings: Vec<usize>,
}

/// The records of some readings, in the order in which their points and sets first occur.
pub fn records(readings: &[Reading]) -> Vec<Record<'_>> {
    let mut records: Vec<Record<'_>> = Vec::new();
    let mut places = HashMap::new();
    for (index, reading) in readings.iter().enumerate() {
        let (point, set) = (reading.point.as_str(), reading.set.as_str());
        let place = *places.entry((point, set)).or_insert_with(|| {
            records.push(Record {
                point,
                set,
                readings: Vec::new(),
            });
            records.len() - 1
        });
        records[place].readings.push(index);
    }
    for record in &mut records {
        let date = |index: &usize| readings[*index].date.as_str();
        if record.readings.iter().all(|index| year_first(date(index))) {
            record.readings.sort_by_key(date);
        }
    }
    records
}

/// Indices of the readings that are replaced by a later reading of the same point and set with the
/// same meter and range: they describe the set before a change.
pub fn replaced(readings: &[Reading]) -> Vec<usize> {
    let mut replaced = Vec::new();
    for record in records(readings) {
        for (at, index) in record.readings.iter().enumerate() {
            let mut later = record.readings.iter().skip(at + 1);
            if later.any(|other| taken_alike(&readings[*index], &readings[*other])) {
                replaced.push(*index);
            }
        }
    }
    replaced.sort_unstable();
    replaced
}

/// Whether one reading was taken before the other, by their dates; none where these do not tell.
pub fn read_before(one: &Reading, other: &Reading) -> Option<bool> {
    let told = year_first(&one.date) && year_first(&other.date) && one.date != other.date;
    told.then(|| one.date < other.date)
}

/// Whether two readings were taken with the same meter on the same range, or both without a stated
/// range.
fn taken_alike(one: &Reading, other: &Reading) -> bool {
    let range = |reading: &Reading| reading.range.map(f64::to_bits);
    one.meter.name == other.meter.name && range(one) == range(other)
}

/// Whether a date is written year-month-day (ISO 8601), so that alphabetical order is the order of
/// the dates.
fn year_first(date: &str) -> bool {
    let bytes = date.as_bytes();
    bytes.len() == 10
        && bytes.iter().enumerate().all(|(at, byte)| match at {
            4 | 7 => *byte == b'-',
            _ => byte.is_ascii_digit(),
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::Origin;
    use crate::job::Shown;
    use crate::meter_class::meter_by_name;

    fn reading(point: &str, meter: &str, date: &str) -> Reading {
        Reading {
            point: point.into(),
            port: None,
            shown: Shown::Overrange,
            meter: meter_by_name(meter).unwrap(),
            range: None,
            set: String::new(),
            date: date.into(),
            note: String::new(),
            origin: Origin::default(),
        }
    }

    #[test]
    fn dates_order_readings_where_all_are_written_year_first() {
        let dated = [
            reading("1", "10M", "1962-05-01"),
            reading("2", "10M", ""),
            reading("1", "10M", "1962-04-30"),
        ];
        let order = |readings: &[Reading]| records(readings)[0].readings.clone();
        assert_eq!(order(&dated), [2, 0]);
        let mut undated = dated.clone();
        undated[2].date = "30.4.62".into();
        assert_eq!(order(&undated), [0, 2]);
    }

    #[test]
    fn only_a_reading_taken_alike_replaces_another() {
        let readings = [
            reading("1", "10M", ""),
            reading("1", "20k/V", ""),
            reading("2", "10M", ""),
            reading("1", "10M", ""),
        ];
        assert_eq!(replaced(&readings), [0]);
        let mut other = readings.to_vec();
        other[3].set = "5".into();
        assert!(replaced(&other).is_empty());
    }

    #[test]
    fn only_dates_with_the_year_first_tell_an_order() {
        assert!(year_first("1961-03-09"));
        for date in ["", "9.3.61", "1961-3-9", "1961/03/09", "yesterday!"] {
            assert!(!year_first(date), "{date}");
        }
    }
}
