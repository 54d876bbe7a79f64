//! The resolution to which a printed value was read.
//!
//! That is one unit of its last digit, except for a bare 0, which says that the needle did not leave its
//! stop, and not that it was within half a volt of it.

use circuit::{Job, ManualEntry, PrintedAs, Quantity};

use crate::range_choice::choose_range;

/// Divisions of a scale (common practice, no source: a needle is read to a fiftieth of full scale).
const DIVISIONS: f64 = 50.0;

/// One unit of the last digit that an entry was read to, in volts.
///
/// A 0 without a decimal point was read as finely as its neighbours in the table, those of the same meter
/// on the same range, or to the scale's smallest division, whichever is less.
pub fn read_to(job: &Job, entry: usize) -> f64 {
    let own = &job.manual[entry];
    // Of two limits the whole spread between them is open.
    let printed = match own.printed_as {
        PrintedAs::Limits { spread } => spread.max(own.figure.resolution),
        _ => own.figure.resolution,
    };
    if own.figure.value != 0.0 || own.figure.text.contains('.') {
        return printed;
    }
    let full_scale = full_scale(own);
    let neighbour = |other: &&ManualEntry| {
        other.figure.value != 0.0
            && other.quantity == Quantity::DcVolts
            && other.meter == own.meter
            && (self::full_scale(other) - full_scale).abs() <= 1e-9 * full_scale
    };
    let neighbours = job.manual.iter().filter(neighbour);
    let digits = neighbours.map(|other| other.figure.resolution);
    let division = full_scale / DIVISIONS;
    digits.fold(printed.min(division), f64::min)
}

fn full_scale(entry: &ManualEntry) -> f64 {
    let choice = choose_range(&entry.meter, entry.range, entry.figure.value);
    choice.range.full_scale
}

#[cfg(test)]
mod tests {
    use super::*;
    use input::{read_job, JobSources, Sources};

    fn read(manual: &str) -> Vec<f64> {
        let mut sources = Sources::default();
        let netlist =
            "ground gnd\nPS1: 100V, plus=a, minus=gnd\nR1: 1k, a to b\nR2: 1k, b to gnd\n";
        let parts = JobSources {
            settings: Some(sources.add("job.toml", "[as-documented]\nmeter = \"20k/V\"\n")),
            netlist: Some(sources.add("circuit.netlist", netlist)),
            manual: Some(sources.add("manual.csv", manual)),
            ..JobSources::default()
        };
        let job = read_job(&sources, &parts, &[]).job.unwrap();
        (0..job.manual.len())
            .map(|entry| read_to(&job, entry))
            .collect()
    }

    #[test]
    fn a_bare_zero_is_read_as_finely_as_the_scale_or_its_neighbours() {
        let near = |got: f64, want: f64| assert!((got - want).abs() < 1e-12, "{got} {want}");
        // 10 V in fifty divisions.
        near(
            read("point,at,value,range\n1,a,0,10V\n2,b,100,250V\n")[0],
            0.2,
        );
        // A neighbour on the same range was read to a tenth.
        near(
            read("point,at,value,range\n1,a,0,10V\n2,b,8.5,10V\n")[0],
            0.1,
        );
        // On a coarse scale a digit is less than a division.
        near(
            read("point,at,value,range\n1,a,0,250V\n2,b,8,10V\n")[0],
            1.0,
        );
        // Digits that are printed are meant, and so are those of other values.
        let both = read("point,at,value,range\n1,a,0.0,2.5V\n2,b,7,10V\n");
        near(both[0], 0.1);
        near(both[1], 1.0);
    }
}
