//! Bridges of rectifiers: `CR1: bridge silicon, ac1=a, ac2=b, plus=p, minus=m`.
//!
//! Four diodes like the one that the rest of the line describes; the plates of a selenium stack are
//! those of one arm.

use circuit::TubeType;

use super::pair::pairs;
use super::{Drawn, Piece};
use crate::netlist::lex::Word;
use crate::netlist::part::{diode, Drawn as One};
use crate::netlist::values::Values;

const TERMINALS: [&str; 4] = ["ac1", "ac2", "plus", "minus"];

/// The arms, each from its anode to its cathode.
const ARMS: [(usize, usize); 4] = [(0, 2), (1, 2), (3, 0), (3, 1)];

pub(super) fn read<'a>(
    own: &[TubeType],
    values: &mut Values<'a, '_>,
    connections: &[Word<'a>],
) -> Option<Drawn<'a>> {
    values.flag("bridge");
    let one = diode(own, values);
    let nodes = pairs(values, connections, &TERMINALS, TERMINALS.len())?;
    let One::Part(kind) = one else { return None };
    let nodes: Vec<Word<'a>> = nodes.into_iter().flatten().collect();
    let arms = ARMS
        .into_iter()
        .enumerate()
        .map(|(index, (anode, cathode))| {
            Some(Piece {
                suffix: format!(".{}", index + 1),
                kind: kind.clone(),
                nodes: vec![nodes.get(anode)?.clone(), nodes.get(cathode)?.clone()],
            })
        });
    let pieces = arms.collect::<Option<_>>()?;
    let names = TERMINALS.iter().map(|name| (*name).to_owned());
    let leads = names.zip(nodes).collect();
    Some(Drawn { pieces, leads })
}
