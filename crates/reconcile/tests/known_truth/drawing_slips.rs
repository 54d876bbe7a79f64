//! How often the slip of a drawing is named that is known to be there.

use circuit::{Circuit, Job};
use reconcile::{belief, DrawingChange, DrawingSlip};

use super::sets::{family, Set};

/// Of some jobs whose manual contradicts the drawing: how many there are, in how many the slip that is there
/// comes first, and in how many it is among the first three.
#[derive(Debug, Default)]
struct Named {
    doubted: usize,
    first: usize,
    of_three: usize,
}

impl Named {
    fn of(jobs: Vec<(Job, Slip)>) -> Self {
        let places = parallel::filter_map(jobs, |(job, slip)| {
            let found = belief(&job).unwrap();
            let doubted = found.points.iter().any(|judged| !judged.believable());
            let mut slips = found.drawing_slips.iter();
            let place = slips.position(|own| slip.is(&job.circuit, own));
            (doubted || found.agreement.disagrees()).then_some(place)
        });
        let within = |most: usize| {
            let each = places.iter().flatten();
            each.filter(|place| **place < most).count()
        };
        Named {
            doubted: places.len(),
            first: within(1),
            of_three: within(3),
        }
    }
}

/// The slip that is there.
enum Slip {
    /// Of a number of this part.
    Number(String),
    /// A resistor between these two nodes is missing.
    NotDrawn([String; 2]),
    /// This resistor should lead to that node.
    OtherNode(String, String),
}

impl Slip {
    fn is(&self, circuit: &Circuit, found: &DrawingSlip) -> bool {
        match (self, found.change) {
            (Slip::Number(part), DrawingChange::Number { id, .. }) => {
                circuit.part(id.part).designator == *part
            }
            (Slip::NotDrawn(nodes), DrawingChange::NotDrawn { port, .. }) => {
                [port.plus, port.minus]
                    .iter()
                    .all(|node| nodes.iter().any(|own| own == circuit.node_name(*node)))
            }
            (Slip::OtherNode(own, to), DrawingChange::OtherNode { part, node, .. }) => {
                circuit.part(part).designator == *own && circuit.node_name(node) == to
            }
            _ => false,
        }
    }
}

/// The designator and the two nodes of a resistor's line, such as `R7: 33k, rail to b2`.
fn resistor(line: &str) -> Option<(&str, [&str; 2])> {
    let (designator, rest) = line.split_once(": ")?;
    let (_, ends) = rest.rsplit_once(", ")?;
    let (one, other) = ends.split_once(" to ")?;
    designator
        .starts_with('R')
        .then_some((designator, [one, other]))
}

fn as_made(set: &Set) -> Option<(Job, Slip)> {
    let [line, instead] = set.wrong_lines()?;
    let (designator, _) = line.split_once(':')?;
    let slip = match resistor(line) {
        Some((_, ends)) if instead.is_empty() => Slip::NotDrawn(ends.map(str::to_owned)),
        _ => Slip::Number(designator.to_owned()),
    };
    Some((set.job(true)?, slip))
}

/// A resistor of the set drawn to another node: which one and which node go by the set's number.
fn drawn_elsewhere((count, set): (usize, &Set)) -> Option<(Job, Slip)> {
    let resistors: Vec<_> = set
        .netlist_lines()
        .filter_map(|line| Some((line, resistor(line)?)))
        .collect();
    let mut nodes: Vec<&str> = resistors.iter().flat_map(|(_, (_, ends))| *ends).collect();
    nodes.sort_unstable();
    nodes.dedup();
    let (line, (designator, [stays, moves])) = resistors.get(count % resistors.len().max(1))?;
    let others: Vec<&&str> = nodes
        .iter()
        .filter(|node| *node != stays && *node != moves)
        .collect();
    let to = others.get(count * 7 % others.len().max(1))?;
    let instead = line.replace(&format!("{stays} to {moves}"), &format!("{stays} to {to}"));
    let slip = Slip::OtherNode((*designator).to_owned(), (*moves).to_owned());
    Some((set.with_lines(&[[line, &instead]]), slip))
}

#[test]
fn what_is_drawn_wrong_is_named() {
    let jobs = ["networks", "chassis", "boards"].map(family);
    let jobs = jobs.iter().flatten().filter_map(as_made);
    let all = Named::of(jobs.collect());
    // Both halves of a divider explain its one reading alike, and so does a resistor across one of them: what
    // comes first is a guess there.
    assert!(all.doubted > 100, "{all:?}");
    assert!(all.first * 4 >= all.doubted * 3, "{all:?}");
    assert!(all.of_three * 10 >= all.doubted * 9, "{all:?}");
}

/// Where a resistor leads to a wrong node, another resistor of another size often does the same; and where a value
/// is printed across the resistor itself, its place moves with it. So half are asked for.
#[test]
fn a_resistor_drawn_to_the_wrong_node_is_named() {
    let jobs = ["networks", "chassis", "boards"].map(family);
    let jobs = jobs
        .iter()
        .flat_map(|sets| sets.iter().take(60).enumerate());
    let all = Named::of(jobs.filter_map(drawn_elsewhere).collect());
    assert!(all.doubted > 100, "{all:?}");
    assert!(all.first * 2 >= all.doubted, "{all:?}");
}

/// A resistor of a set, by the number of the set, that was not typed.
fn not_typed((count, set): (usize, &Set)) -> Option<(Job, Slip)> {
    let resistors: Vec<_> = set
        .netlist_lines()
        .filter_map(|line| Some((line, resistor(line)?.1)))
        .collect();
    let (line, ends) = resistors.get(count % resistors.len().max(1))?;
    let slip = Slip::NotDrawn(ends.map(str::to_owned));
    Some((set.with_lines(&[[line, ""]]), slip))
}

/// One to another node of about the same volts does the same, so that half are asked to come first.
#[test]
fn a_resistor_that_was_not_typed_is_named() {
    let jobs = ["networks", "chassis", "boards"].map(family);
    let jobs = jobs
        .iter()
        .flat_map(|sets| sets.iter().take(60).enumerate());
    let all = Named::of(jobs.filter_map(not_typed).collect());
    assert!(all.doubted > 100, "{all:?}");
    assert!(all.first * 2 >= all.doubted, "{all:?}");
    assert!(all.of_three * 5 >= all.doubted * 4, "{all:?}");
}

/// Two resistors of a set, by its number, written with one zero too many or too few.
fn two_decades_off((count, set): (usize, &Set)) -> Option<(Job, [Slip; 2])> {
    let resistors: Vec<_> = set
        .netlist_lines()
        .filter_map(|line| Some((line, resistor(line)?.0)))
        .collect();
    let own = |place: usize| resistors.get(place % resistors.len().max(1));
    let both = [own(count)?, own(count + 1 + count % 3)?];
    let instead: Option<Vec<String>> = both
        .iter()
        .map(|(line, _)| {
            let (head, rest) = line.split_once(": ")?;
            let digits = rest.find(|c: char| !c.is_ascii_digit() && c != '.')?;
            let ohms: f64 = rest[..digits].parse().ok()?;
            let factor = if count % 2 == 0 { 10.0 } else { 0.1 };
            Some(format!("{head}: {}{}", ohms * factor, &rest[digits..]))
        })
        .collect();
    let instead = instead?;
    let job = set.with_lines(&[[both[0].0, &instead[0]], [both[1].0, &instead[1]]]);
    Some((job, both.map(|(_, name)| Slip::Number((*name).to_owned()))))
}

/// Where one of the two shows nowhere, or a single change does for both, no pair is looked for.
#[test]
fn two_slips_of_one_drawing_are_named() {
    let jobs = ["networks", "chassis", "boards"].map(family);
    let jobs = jobs
        .iter()
        .flat_map(|sets| sets.iter().take(40).enumerate());
    let jobs: Vec<(Job, [Slip; 2])> = jobs.filter_map(two_decades_off).collect();
    let named = parallel::filter_map(&jobs, |(job, slips)| {
        let two = belief(job).unwrap().two_drawing_slips?;
        let named = |slip: &&Slip| two.iter().any(|own| slip.is(&job.circuit, own));
        Some(slips.iter().filter(named).count())
    });
    let of_at_least = |count: usize| named.iter().filter(|own| **own >= count).count();
    let all = format!("{named:?} of {}", jobs.len());
    assert!(named.len() > 15, "{all}");
    // A set of eight parts and five readings has several pairs that do alike: half are named whole. Of some 17
    // pairs two more or fewer are chance.
    assert!(of_at_least(2) * 5 >= named.len() * 2, "{all}");
    assert!(of_at_least(1) * 5 >= named.len() * 4, "{all}");
}

/// Nothing is said of a drawing with which the manual agrees, and a misprint seldom looks like a slip of the
/// drawing: one wrong number must explain it without moving the other values.
#[test]
fn a_right_drawing_is_seldom_suspected() {
    let sets = family("slips");
    let found = parallel::map(&sets, |set| {
        let found = belief(&set.job(false).unwrap()).unwrap();
        let doubted = found.points.iter().any(|judged| !judged.believable());
        let suspected = !found.drawing_slips.is_empty() || found.two_drawing_slips.is_some();
        (doubted, suspected)
    });
    let doubted = found.iter().filter(|(doubted, _)| *doubted).count();
    let suspected = found.iter().filter(|(_, suspected)| *suspected).count();
    assert!(doubted > 70, "{doubted}");
    assert!(suspected * 3 <= doubted, "{suspected} of {doubted}");
    assert!(found
        .iter()
        .all(|(doubted, suspected)| *doubted || !suspected));
}
