//! Many random networks: how often a healthy value is doubted, how often a class that stands out
//! is the wrong one, and how many planted slips are found and named.
//!
//! Parts are drawn from within their tolerances, meters from within their accuracy, values are
//! rounded as printed. The draws are seeded, so the counts are the same on every run.

use super::jobs::figure;
use super::networks::{healthy, healthy_off_by_ranges, healthy_read, Network};
use reconcile::{alike, belief, decisive, meter_classes, Explanation};
use translate::Draws;

/// Networks in order.
const HEALTHY: u64 = 500;

/// Networks for each kind of slip.
const NETWORKS: u64 = 150;

#[test]
fn healthy_manuals_are_believed_and_their_meters_found() {
    let (mut values, mut doubted) = (0, 0);
    for trial in 0..HEALTHY {
        let job = healthy(&mut Draws::new(2024, trial)).job;
        let points = belief(&job).unwrap().points;
        values += points.len();
        doubted += points.iter().filter(|point| !point.believable()).count();
    }
    let (right, decided) = told(healthy, 2024, HEALTHY);
    // Were all normal, 0.27 % of the values would lie beyond three; rectangular spreads have no
    // tails, so fewer do: 6 of 31,523 in a longer run of 3,000 networks.
    assert!(values > 1000);
    assert!(doubted * 1000 <= values, "{doubted} of {values}");
    // Decided at more than 20 to 1, so at most one in 21 should be wrong; in the longer run 3 of
    // 2,025 were.
    assert!(decided * 3 > HEALTHY as usize, "{decided}");
    assert!(right * 100 >= decided * 95, "{right} of {decided}");
}

/// Of so many tables, drawn from one seed, how many have a class that stands out, and in how many of these it is
/// the right one.
fn told(read: impl Fn(&mut Draws) -> Network, seed: u64, tables: u64) -> (usize, usize) {
    let (mut decided, mut right) = (0, 0);
    for trial in 0..tables {
        let network = read(&mut Draws::new(seed, trial));
        let vary: Vec<usize> = (0..network.job.manual.len()).collect();
        let inferred = meter_classes(&network.job, &vary).unwrap();
        if let Some(decision) = decisive(&inferred.likelihoods) {
            decided += 1;
            let best = &decision.best.meter;
            right += usize::from(*best == network.meter || alike(best, &network.meter));
        }
    }
    (right, decided)
}

/// How often a technician stops a range short who likes to read in comfort.
const COMFORTABLE: f64 = 0.3;

#[test]
fn a_table_read_on_comfortable_ranges_is_not_told_to_be_of_another_class() {
    let read = |draws: &mut Draws| healthy_read(COMFORTABLE, draws);
    let (right, decided) = told(read, 2025, NETWORKS);
    // As above: at most one in 21 of those decided should be wrong.
    assert!(decided * 3 > NETWORKS as usize, "{decided}");
    assert!(right * 100 >= decided * 95, "{right} of {decided}");
}

/// Where a meter is off by a whole range and was read on comfortable ranges besides, a class that is decided at more
/// than 20 to 1 is right less often than that: docs/method.md says how often.
#[test]
fn the_class_of_a_meter_that_is_off_by_ranges_is_told_as_often_as_the_page_says() {
    let page = include_str!("../../../../docs/method.md");
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    let of = |short: f64| move |draws: &mut Draws| healthy_off_by_ranges(short, draws);
    let (right, decided) = told(of(0.0), 2024, HEALTHY);
    let (comfortable, of_these) = told(of(COMFORTABLE), 2025, NETWORKS);
    // As above: at most one in 21 of those decided should be wrong.
    assert!(right * 100 >= decided * 95, "{right} of {decided}");
    for words in [
        format!("{right} of {decided} are right"),
        format!("{comfortable} of {of_these} comfortable tables"),
    ] {
        assert!(page.contains(&words), "docs/method.md lacks '{words}'");
    }
}

/// Slips planted in turn.
#[derive(Clone, Copy, Debug)]
enum Planted {
    Sign,
    PointLost,
    PointMoved,
    Swapped,
}

/// The figure with a slip, if it can have this one.
fn with_slip(slip: Planted, text: &str) -> Option<String> {
    match slip {
        Planted::Sign => Some(format!("-{text}")),
        Planted::PointLost => text.contains('.').then(|| text.replace('.', "")),
        Planted::PointMoved => (text.len() == 3 && !text.contains('.'))
            .then(|| format!("{}.{}", &text[..2], &text[2..])),
        Planted::Swapped => {
            let letters: Vec<char> = text.chars().collect();
            let [a, b, rest @ ..] = letters.as_slice() else {
                return None;
            };
            // A swap that changes less than a third drowns in the parts' tolerances.
            let (one, other) = (a.to_digit(10)?, b.to_digit(10)?);
            (other > 0 && 2 * one.abs_diff(other) > one)
                .then(|| [*b, *a].iter().chain(rest).collect())
        }
    }
}

fn names(slip: Planted, explanation: &Explanation) -> bool {
    match slip {
        Planted::Sign => matches!(explanation, Explanation::WrongSign { .. }),
        Planted::PointLost | Planted::PointMoved => {
            matches!(explanation, Explanation::DecimalPoint { .. })
        }
        Planted::Swapped => matches!(explanation, Explanation::SwappedDigits { .. }),
    }
}

#[test]
fn planted_slips_are_found_and_named() {
    let slips = [
        Planted::Sign,
        Planted::PointLost,
        Planted::PointMoved,
        Planted::Swapped,
    ];
    for slip in slips {
        let (mut planted, mut found, mut first, mut others) = (0, 0, 0, 0);
        for trial in 0..NETWORKS {
            let draws = &mut Draws::new(77, trial);
            let mut job = healthy(draws).job;
            let index = (draws.uniform() * job.manual.len() as f64) as usize;
            let Some(text) = with_slip(slip, &job.manual[index].figure.text) else {
                continue;
            };
            planted += 1;
            job.manual[index].figure = figure(&text);
            for judged in belief(&job).unwrap().points {
                if judged.believable() {
                    continue;
                }
                if judged.entry != index {
                    others += 1;
                    continue;
                }
                found += 1;
                let likeliest = judged.explanations.first();
                first += usize::from(likeliest.is_some_and(|l| names(slip, &l.explanation)));
            }
        }
        let counts = format!("{slip:?}: {planted} {found} {first} {others}");
        // What is missed are values near zero, whose slips drown in the meter's error; what is
        // named otherwise fits another slip as well. Measured: 97 % found, 90 % named first.
        assert!(planted > 50, "{counts}");
        assert!(found * 100 >= planted * 95, "{counts}");
        assert!(first * 100 >= planted * 85, "{counts}");
        // A slip must not drag healthy values with it.
        assert!(others <= 1, "{counts}");
    }
}
