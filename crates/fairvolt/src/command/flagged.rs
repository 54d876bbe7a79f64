//! Whether a comparison ends with the exit status of a finding.

use circuit::Job;
use translate::Comparison;

/// Whether a reading of the set as it is now lies outside its band; of one point of the manual, if
/// one is named. What was read before a repair is on record and flags nothing.
pub(crate) fn is_flagged(job: &Job, comparison: &Comparison, entry: Option<usize>) -> bool {
    let replaced = circuit::replaced(&job.readings);
    comparison.readings.iter().any(|compared| {
        let asked = entry.is_none() || compared.entry == entry;
        asked && compared.judgement.is_finding() && !replaced.contains(&compared.reading)
    })
}
