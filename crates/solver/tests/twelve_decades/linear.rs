//! Resistors and sources alone.

use circuit::Port;
use solver::{Load, Solution, SolveError};

use super::drawing::{drawn, has_source_loop, name, network, solved, Seeded};
use super::exact::{Exact, Network};
use super::tally::Tally;

/// The accuracy promised to users, as a share of the sources' volts or of a resistance.
const PROMISED: f64 = 1e-9;

/// A milliohm resistor is 1e6 times this; no meter feels it.
const SHORT_OHMS: f64 = 1e-9;

const CIRCUITS: u64 = 2000;

fn survey(first_seed: u64, ohms: (f64, f64)) {
    let mut tally = Tally::default();
    let mut loops = 0;
    for seed in first_seed..first_seed + CIRCUITS {
        let mut random = Seeded::new(seed);
        let network = network(&mut random, ohms);
        let circuit = drawn(&network).done();
        let what = format!("seed {seed}");
        let found = solved(&circuit);
        if has_source_loop(&network) {
            loops += 1;
            assert!(
                matches!(found, Err(SolveError::SourceLoop { .. })),
                "{what}: {:?}",
                found.map(|_| ())
            );
            continue;
        }
        let exact = Exact::new(&network).unwrap_or_else(|| panic!("{what} has no solution"));
        match found {
            Err(error) => tally.refused("refused", &what, &error),
            Ok(solution) => {
                for node in 1..network.nodes {
                    let port = Port {
                        plus: circuit.node(&name(node)).unwrap(),
                        minus: circuit.node("gnd").unwrap(),
                    };
                    let what = format!("{what} node {node}");
                    volts(
                        &mut tally,
                        &what,
                        (&network, &exact, node),
                        (&solution, port),
                    );
                    let meter = random.between((1e3, 1e8));
                    let told = 0.05 * (random.share() - 0.5);
                    let asked = (1.0 / meter, told);
                    metered(
                        &mut tally,
                        &what,
                        (&network, &exact, node),
                        (&solution, port),
                        asked,
                    );
                }
            }
        }
    }
    // Both sources ideal, between the same nodes: about one in sixty.
    assert!(loops > 5, "{loops} source loops");
    tally.none_of(4 * CIRCUITS as usize * 6);
}

fn volts(
    tally: &mut Tally,
    what: &str,
    (network, exact, node): (&Network, &Exact, usize),
    (solution, port): (&Solution, Port),
) {
    let want = exact.volts(node);
    tally.compare(
        "node volts",
        what,
        (solution.port_volts(port), want),
        PROMISED * network.all_volts(),
    );
    let ohms = exact.ohms((node, 0), (node, 0));
    tally.compare(
        "port ohms",
        what,
        (solution.port(port).ohms, ohms),
        PROMISED * ohms + SHORT_OHMS,
    );
}

/// With a meter of conductance `g`: v = V/(1 + gR), and the current that makes it read `told`
/// is (told·(1 + gR) − V)/R.
fn metered(
    tally: &mut Tally,
    what: &str,
    (network, exact, node): (&Network, &Exact, usize),
    (solution, port): (&Solution, Port),
    (siemens, share): (f64, f64),
) {
    let (open, ohms) = (exact.volts(node), exact.ohms((node, 0), (node, 0)));
    let allowed = PROMISED * network.all_volts();
    let load = Load {
        siemens,
        amperes: 0.0,
    };
    let reads = open / (1.0 + siemens * ohms);
    match solution.metered(port, load, None) {
        Err(error) => tally.refused("meter refused", what, &error),
        Ok(state) => tally.compare("metered volts", what, (state.volts, reads), allowed),
    }
    // Where an ideal source holds the node, no current makes it read anything else.
    if ohms <= 0.0 {
        return;
    }
    // A node that reads nothing is asked to read something too.
    let told = reads * (1.0 + share) + 0.1 * share * network.all_volts();
    match solution.anchored(port, siemens, told, None) {
        Err(error) => tally.refused("anchor refused", what, &error),
        Ok(state) => {
            tally.compare("anchored volts", what, (state.volts, told), allowed);
            let loaded = ohms / (1.0 + siemens * ohms);
            let want = (told - reads) / loaded;
            // In volts at the port, where a current next to nothing is next to nothing.
            let got = state.load.amperes * loaded;
            tally.compare("anchoring current", what, (got, want * loaded), allowed);
        }
    }
}

#[test]
fn fifteen_decades_of_resistors() {
    survey(0, (1e-3, 1e12));
}

#[test]
fn nine_decades_of_resistors() {
    survey(100_000, (0.1, 1e8));
}
