//! Options of the commands that carry the manual over many times.

use clap::Args;
use translate::TrialsRequest;

/// Fewer trials tell nothing of an interval that leaves out 5 % of them.
const LEAST_TRIALS: u64 = 100;

/// More trials than this only fill the memory: the figures stand still long before.
const MOST_TRIALS: u64 = 1_000_000;

/// Where draws start unless told otherwise.
const USUAL_SEED: u64 = 1;

/// How many trials, and which.
#[derive(Clone, Copy, Debug, Args)]
pub(crate) struct TrialsArgs {
    /// Also carry the manual over this many times at most, with every number drawn within its
    /// limits, and say where the uncertainty by first order is not good enough; 100 or more, some
    /// 50000 to tell whether the figures stand still
    #[arg(
        long,
        value_name = "N",
        value_parser = clap::value_parser!(u64).range(LEAST_TRIALS..=MOST_TRIALS)
    )]
    trials: Option<u64>,
    /// Where the draws of the trials start; the same number gives the same result [default: 1]
    #[arg(long, value_name = "S", requires = "trials")]
    seed: Option<u64>,
}

impl TrialsArgs {
    /// What is asked for; nothing without `--trials`.
    pub(crate) fn request(self) -> Option<TrialsRequest> {
        self.trials.map(|most| TrialsRequest {
            seed: self.seed.unwrap_or(USUAL_SEED),
            most_trials: usize::try_from(most).unwrap_or(usize::MAX),
        })
    }
}
