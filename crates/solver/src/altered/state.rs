//! The altered circuit's operating point.

use circuit::Alteration;
use nalgebra::{DMatrix, DVector};

use super::change::{Change, Changes};
use super::Alterable;
use crate::device::Device;
use crate::reduced::{currents, Reduced, Settled, CLOSELY};

/// An altered circuit at its operating point.
#[derive(Debug)]
pub struct Altered<'a> {
    pub(super) base: &'a Alterable<'a>,
    pub(super) changes: Changes,
    /// `J⁻¹W` and `J⁻ᵀW`
    pub(super) pushed: DMatrix<f64>,
    pub(super) pulled: DMatrix<f64>,
    /// `(1 + D WᵀJ⁻¹W)⁻¹D`
    pub(super) middle: DMatrix<f64>,
    /// `Q`, first for the changes and then for the terminals whose slopes have moved.
    pub(super) correction: DMatrix<f64>,
    /// For each of those the row of its node, or of the node before its broken lead; none for a
    /// reference.
    pub(super) moved: Vec<Option<usize>>,
    /// `Zᵀ Nᵀ`, from those terminals to all: what the devices answer to a current.
    pub(super) answer: DMatrix<f64>,
    /// The same terminals among those of all devices.
    pub(super) moved_nodes: Vec<usize>,
    /// Volts of the devices' nodes, then of those behind broken leads.
    pub(super) volts: DVector<f64>,
    /// All unknowns.
    pub(super) x: DVector<f64>,
}

impl<'a> Alterable<'a> {
    /// The circuit with these changes. None where it has to be solved anew: the changes are of
    /// another kind, or the iteration does not settle.
    pub fn altered(&'a self, alteration: &Alteration) -> Option<Altered<'a>> {
        let changes = Changes::of(self, alteration)?;
        let mut start = self.volts.clone();
        for lead in &changes.leads {
            let outer = lead.outer.map_or(0.0, |place| self.volts[place]);
            start = start.push(outer);
        }
        Altered::settle(self, changes, &start)
    }
}

impl<'a> Altered<'a> {
    pub(super) fn settle(
        base: &'a Alterable<'a>,
        changes: Changes,
        start: &DVector<f64>,
    ) -> Option<Self> {
        let mut changes = changes;
        let (size, nodes) = (base.driven.len(), base.rows.len());
        let (count, leads) = (changes.list.len(), changes.leads.len());
        let column = |of: &DMatrix<f64>, change: &Change| {
            let at = |row: Option<usize>| match row {
                Some(row) => of.column(row).into_owned(),
                None => DVector::zeros(size),
            };
            at(change.plus) - at(change.minus)
        };
        let columns = |of: &DMatrix<f64>| {
            let mut found = DMatrix::zeros(size, count);
            for (place, change) in changes.list.iter().enumerate() {
                found.set_column(place, &column(of, change));
            }
            found
        };
        let (pushed, pulled) = (columns(&base.inverse), columns(&base.transposed));
        // M = (1 + D WᵀJ⁻¹W)⁻¹D
        let strength = DMatrix::from_fn(count, count, |i, j| {
            if i == j {
                changes.list[i].strength
            } else {
                0.0
            }
        });
        let own = DMatrix::from_fn(count, count, |i, j| {
            changes.list[i].across(&pushed.column(j))
        });
        let middle = if count == 0 {
            strength
        } else {
            let yielding = DMatrix::identity(count, count) + &strength * own;
            yielding.lu().solve(&strength)?
        };
        // K = J⁻¹ − J⁻¹W M WᵀJ⁻¹; x = K(b + We) − K Pᵀr
        let push = DVector::from_iterator(count, changes.list.iter().map(|change| change.push));
        let driven = &base.driven + &pushed * push;
        let across = |vector: &DVector<f64>| {
            let each = changes.list.iter().map(|change| change.across(vector));
            DVector::from_iterator(count, each)
        };
        let free = &driven - &pushed * (&middle * across(&driven));
        let to_nodes = pushed.select_rows(base.rows.iter());
        let from_nodes = pulled.select_rows(base.rows.iter()).transpose();
        let taken = &to_nodes * &middle * &from_nodes;
        let inner = &base.impedances - taken;
        let outer_of = |place: usize| {
            if place < nodes {
                Some(place)
            } else {
                changes.leads[place - nodes].outer
            }
        };
        let whole = nodes + leads;
        let outer: Vec<Option<usize>> = (0..whole).map(outer_of).collect();
        let impedances = DMatrix::from_fn(whole, whole, |i, j| {
            let shared = match (outer[i], outer[j]) {
                (Some(i), Some(j)) => inner[(i, j)],
                _ => 0.0,
            };
            let lead = if i == j && i >= nodes {
                changes.leads[i - nodes].ohms
            } else {
                0.0
            };
            shared + lead
        });
        let origin = DVector::from_fn(whole, |place, _| {
            outer[place].map_or(0.0, |node| free[base.rows[node]])
        });
        let slopes = base.slopes.clone().resize(whole, whole, 0.0);
        let empty = Reduced {
            devices: &[],
            before: if leads == 0 { &[] } else { &base.devices },
            slopes: &slopes,
            origin: &origin,
            impedances: &impedances,
        };
        let settled = rest(&mut changes, empty, start)?;
        // What flows behind a broken lead flows out of the node before it.
        let mut left_over: DVector<f64> = settled.left_over.rows(0, nodes).into_owned();
        for (place, lead) in changes.leads.iter().enumerate() {
            if let Some(outer) = lead.outer {
                left_over[outer] += settled.left_over[nodes + place];
            }
        }
        let mut x = free;
        x -= &base.pushed * &left_over;
        x += &pushed * (&middle * (&from_nodes * &left_over));
        // N = B(1 + ZB)⁻¹,  B = G′ − G
        let (_, now) = currents(&changes.devices, &settled.volts);
        let reduced = Reduced {
            devices: &changes.devices,
            ..empty
        };
        let moved = reduced.moved(&now, CLOSELY)?;
        let answer = (&moved.slopes * impedances.select_rows(moved.nodes.iter())).transpose();
        // Q = [M 0; 0 0] + L N L′ᵀ,  L = [−M WᵀJ⁻¹Pᵀ; 1],  L′ᵀ = [−P J⁻¹W M, 1]
        let at_moved: Vec<Option<usize>> = moved.nodes.iter().map(|node| outer[*node]).collect();
        let terminals = at_moved.len();
        let left = -&middle
            * DMatrix::from_fn(count, terminals, |i, j| {
                at_moved[j].map_or(0.0, |node| from_nodes[(i, node)])
            });
        let right = -DMatrix::from_fn(terminals, count, |i, j| {
            at_moved[i].map_or(0.0, |node| to_nodes[(node, j)])
        }) * &middle;
        let by_left = &left * &moved.slopes;
        let mut correction = DMatrix::zeros(count + terminals, count + terminals);
        correction
            .view_mut((0, 0), (count, count))
            .copy_from(&(&middle + &by_left * &right));
        correction
            .view_mut((0, count), (count, terminals))
            .copy_from(&by_left);
        correction
            .view_mut((count, 0), (terminals, count))
            .copy_from(&(&moved.slopes * &right));
        correction
            .view_mut((count, count), (terminals, terminals))
            .copy_from(&moved.slopes);
        let of_node = |node: Option<usize>| node.map(|node| base.rows[node]);
        x.iter().all(|value| value.is_finite()).then_some(Altered {
            base,
            changes,
            pushed,
            pulled,
            middle,
            correction,
            moved: at_moved.into_iter().map(of_node).collect(),
            answer,
            moved_nodes: moved.nodes,
            volts: settled.volts,
            x,
        })
    }
}

/// A discharge that is lit had to strike once. It surely did if the volts without its current,
/// by the tangent, are this many times what it strikes at; else it is looked at from the dark.
const SURELY_STRUCK: f64 = 1.15;

/// Lets the devices settle, and the glow discharges among them strike and go out. Each may change
/// its mind once; one that never rests has no operating point.
fn rest(changes: &mut Changes, empty: Reduced<'_>, start: &DVector<f64>) -> Option<Settled> {
    let mut start = start.clone();
    let mut looked_at_dark = false;
    for _ in 0..=2 * changes.devices.len() + 1 {
        let reduced = Reduced {
            devices: &changes.devices,
            ..empty
        };
        let settled = reduced.settle(&start)?;
        let struck = |(place, device): (usize, &Device)| match device.lit_from() {
            Some(strikes) => reduced
                .volts_without(place, &settled.volts)
                .is_some_and(|volts| volts >= SURELY_STRUCK * strikes),
            None => true,
        };
        if !looked_at_dark && !changes.devices.iter().enumerate().all(struck) {
            looked_at_dark = true;
            changes.devices = changes.devices.iter().map(Device::dark).collect();
            continue;
        }
        looked_at_dark = true;
        let mut devices = changes.devices.iter_mut();
        // One at a time: the first to strike may keep the next from doing so.
        if !devices.any(|device| device.settle_glow(&settled.volts)) {
            return Some(settled);
        }
        start = settled.volts;
    }
    None
}
