//! Which class of meter a manual was read with that does not name its meter.

use circuit::{Job, Meter};
use reconcile::{alike, decisive, ClassInference, ClassLikelihood};

use crate::document::Block;
use crate::figures::decimal;
use crate::table::{Align, Cell, Column, Table};
use crate::views::ManualView;

/// Classes less likely than this are counted and not listed.
const LISTED: f64 = 0.0005;

/// Odds above this are not told apart any more.
const MOST_ODDS: f64 = 1000.0;

/// The most probable class and how it stands against the next one.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ClassOdds<'a> {
    /// The most probable class.
    pub best: &'a ClassLikelihood,
    /// Classes that load a point as it does.
    pub alike: Vec<&'a ClassLikelihood>,
    /// The most probable that does not; none if there is none.
    pub next: Option<&'a ClassLikelihood>,
    /// Odds of the best and its like against that; infinite without one.
    pub odds: f64,
    /// Whether that decides.
    pub decisive: bool,
}

impl<'a> ClassOdds<'a> {
    /// How the classes stand; none without any.
    pub(crate) fn of(inference: &'a ClassInference) -> Option<Self> {
        let classes = &inference.likelihoods;
        let best = classes.first()?;
        let others = classes.iter().skip(1);
        let (like, unlike): (Vec<_>, Vec<_>) =
            others.partition(|class| alike(&class.meter, &best.meter));
        let next = unlike.first().copied();
        let together = like
            .iter()
            .map(|class| class.probability)
            .fold(best.probability, |sum, share| sum + share);
        Some(ClassOdds {
            best,
            alike: like,
            next,
            odds: next.map_or(f64::INFINITY, |next| together / next.probability),
            decisive: decisive(classes).is_some(),
        })
    }

    /// `odds 85 to 1`.
    fn odds_words(&self) -> String {
        if self.odds > MOST_ODDS {
            return "odds above 1000 to 1".to_owned();
        }
        let decimals = usize::from(self.odds < 9.95);
        format!("odds {} to 1", decimal(self.odds, decimals))
    }

    fn next_words(&self) -> String {
        self.next.map_or(String::new(), |next| {
            format!(" against {}", next.meter.name)
        })
    }

    /// Classes that load alike, where the table cannot decide between them.
    fn alike_words(&self) -> Option<String> {
        let names: Vec<&str> = self.alike.iter().map(|class| &*class.meter.name).collect();
        (!names.is_empty()).then(|| {
            format!(
                "{} load{} a point much as {} does, so between them nothing needs deciding.",
                names.join(" and "),
                if names.len() == 1 { "s" } else { "" },
                self.best.meter.name
            )
        })
    }
}

/// What stands above the tables of a job whose manual does not name its meter.
pub(crate) fn heading(classes: Option<&ClassInference>) -> Option<String> {
    let standing = ClassOdds::of(classes?)?;
    let name = &standing.best.meter.name;
    let (odds, next) = (standing.odds_words(), standing.next_words());
    Some(match (standing.decisive, standing.next) {
        (true, _) => {
            format!("The manual does not name its meter: taken as {name}, decisive, {odds}{next}.")
        }
        (false, Some(other)) => format!(
            "The manual does not name its meter: taken as {name}, but NOT DECISIVE, {odds}{next}; \
             translate shows beside it what would hold with {}.",
            other.meter.name
        ),
        (false, None) => format!("The manual does not name its meter: taken as {name}."),
    })
}

/// The same as a block.
pub(crate) fn heading_block(manual: ManualView<'_>) -> Option<Block> {
    Some(Block::Lines(vec![heading(manual.classes)?]))
}

/// The classes with their probabilities, as `check` shows them.
pub(crate) fn class_blocks(job: &Job, inference: &ClassInference) -> Vec<Block> {
    let Some(standing) = ClassOdds::of(inference) else {
        return Vec::new();
    };
    let mut table = Table {
        columns: vec![
            Column::new("class", "", Align::Left),
            Column::new("meter", "", Align::Left),
            Column::new("probability", "%", Align::Right),
        ],
        rows: Vec::new(),
    };
    let listed = |class: &&ClassLikelihood| class.probability >= LISTED;
    let mut classes: Vec<&ClassLikelihood> = inference.likelihoods.iter().filter(listed).collect();
    classes.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    for class in classes {
        let cells = [
            class.meter.name.clone(),
            description(&class.meter),
            probability(class.probability),
        ];
        table.rows.push(cells.map(Cell::from).to_vec());
    }
    let rest = inference.likelihoods.len() - table.rows.len();
    let mut lines = vec![verdict(&standing)];
    lines.extend(standing.alike_words());
    if rest > 0 {
        let below = decimal(LISTED * 100.0, 2);
        lines.push(match rest {
            1 => format!("One more class is below {below} %."),
            _ => format!("{rest} more classes are below {below} % each."),
        });
    }
    let misprints: Vec<&str> = inference
        .without
        .iter()
        .filter_map(|index| Some(job.manual.get(*index)?.point.as_str()))
        .collect();
    if !misprints.is_empty() {
        lines.push(format!(
            "Left out of this, for no class fits it: {}.",
            misprints.join(", ")
        ));
    }
    lines.push(
        "All classes are taken as equally likely beforehand, and each value as read on the lowest \
         range that holds it or the next one up, unless the manual states its range."
            .to_owned(),
    );
    vec![
        Block::Caption("Which meter did they use?".to_owned()),
        Block::Table(table),
        Block::Lines(lines),
    ]
}

fn verdict(standing: &ClassOdds<'_>) -> String {
    let name = &standing.best.meter.name;
    let (odds, next) = (standing.odds_words(), standing.next_words());
    match standing.decisive {
        true => format!("{name} is decisive: {odds}{next}. The job is computed with it."),
        false => format!(
            "NOT DECISIVE: {odds} for {name}{next}. Both answers are shown wherever the manual is \
             carried over."
        ),
    }
}

fn description(meter: &Meter) -> String {
    match meter.description == meter.name {
        true => String::new(),
        false => meter.description.clone(),
    }
}

/// Percent; never a whole 100 or 0 for what is not quite.
fn probability(share: f64) -> String {
    match share * 100.0 {
        percent if percent > 99.9 => ">99.9".to_owned(),
        percent if percent < 0.1 => "<0.1".to_owned(),
        percent => decimal(percent, 1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::meter_by_name;

    fn inference(classes: &[(&str, f64)]) -> ClassInference {
        let class = |(name, probability): &(&str, f64)| ClassLikelihood {
            meter: meter_by_name(name).unwrap(),
            log_likelihood: probability.ln(),
            probability: *probability,
        };
        ClassInference {
            likelihoods: classes.iter().map(class).collect(),
            without: Vec::new(),
        }
    }

    #[test]
    fn a_decided_class_and_an_open_one() {
        // 0.85/0.01 and 0.6/0.3 by hand.
        let decided = inference(&[("20k/V", 0.85), ("1k/V", 0.01)]);
        let text = heading(Some(&decided)).unwrap();
        assert!(text.contains("taken as 20k/V, decisive, odds 85 to 1 against 1k/V"));
        let open = inference(&[("20k/V", 0.6), ("1k/V", 0.3)]);
        let text = heading(Some(&open)).unwrap();
        assert!(
            text.contains("NOT DECISIVE, odds 2.0 to 1 against 1k/V"),
            "{text}"
        );
        assert_eq!(heading(None), None);
        assert_eq!(heading(Some(&inference(&[]))), None);
    }

    #[test]
    fn classes_that_load_alike_stand_together() {
        // (0.5 + 0.46)/0.02 = 48.
        let digital = inference(&[("10M", 0.5), ("11M", 0.46), ("20k/V", 0.02)]);
        let standing = ClassOdds::of(&digital).unwrap();
        assert_eq!(standing.next.unwrap().meter.name, "20k/V");
        assert!(standing.decisive && (standing.odds - 48.0).abs() < 1e-9);
    }

    #[test]
    fn probabilities_do_not_look_like_certainty() {
        assert_eq!(probability(0.99999), ">99.9");
        assert_eq!(probability(0.0004), "<0.1");
        assert_eq!(probability(0.625), "62.5");
    }
}
