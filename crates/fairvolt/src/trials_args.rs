//! Options of the commands that run Monte Carlo trials.

use clap::Args;
use translate::TrialsRequest;

/// Fewer trials tell nothing of an interval that leaves out 5 % of them.
const LEAST_TRIALS: u64 = 100;

/// More trials than this only use memory: the figures are stable long before.
const MOST_TRIALS: u64 = 1_000_000;

/// The default seed.
const USUAL_SEED: u64 = 1;

/// How many trials, and which.
#[derive(Clone, Copy, Debug, Args)]
pub(crate) struct TrialsArgs {
    /// Also run at most this many Monte Carlo trials, with every number drawn within its limits, and
    /// say where the first-order uncertainty is not good enough; 100 or more, about 50000 for stable
    /// figures
    #[arg(
        long,
        value_name = "N",
        value_parser = clap::value_parser!(u64).range(LEAST_TRIALS..=MOST_TRIALS)
    )]
    trials: Option<u64>,
    /// Seed of the trials; the same seed gives the same result [default: 1]
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
