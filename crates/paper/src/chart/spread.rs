//! Labels that must not cover each other.
//!
//! What it owns: moving labels apart along one line, and stacking them in levels. What comes in: the
//! preferred place and the length of each label. What goes out: where it stands. Not known here: letters
//! and pictures.

/// A label along one line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Segment {
    /// Preferred place of its middle, in points.
    pub centre: f64,
    /// Its length, in points.
    pub length: f64,
}

struct Cluster {
    /// Numbers of the labels in it, in order.
    members: Vec<usize>,
    /// Preferred place of the middle of the cluster.
    centre: f64,
    length: f64,
}

/// Middles of the labels, moved no further than needed so that none overlaps another and all lie between
/// `low` and `high`. Answers in the order given.
///
/// Labels that touch form a cluster, which stands at the mean of the places its members prefer (the
/// least-squares answer for equal labels). If there is not enough room for all, they are laid end to end
/// from `low` on.
pub(crate) fn spread(wanted: &[Segment], low: f64, high: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    let preferred = |n: usize| {
        wanted.get(n).map_or((low, 0.0), |s| {
            (
                if s.centre.is_finite() { s.centre } else { low },
                s.length.max(0.0),
            )
        })
    };
    order.sort_by(|a, b| preferred(*a).0.total_cmp(&preferred(*b).0));
    let bounded = |centre: f64, length: f64| {
        let (least, most) = (low + length / 2.0, high - length / 2.0);
        if least > most {
            least
        } else {
            centre.clamp(least, most)
        }
    };
    let mut clusters: Vec<Cluster> = Vec::new();
    for n in order {
        let (centre, length) = preferred(n);
        clusters.push(Cluster {
            members: vec![n],
            centre: bounded(centre, length),
            length,
        });
        while let [.., before, after] = clusters.as_mut_slice() {
            if before.centre + before.length / 2.0 <= after.centre - after.length / 2.0 {
                break;
            }
            before.members.append(&mut after.members);
            before.length += after.length;
            before.centre = bounded(mean_preferred(&before.members, &preferred), before.length);
            clusters.pop();
        }
    }
    let mut placed = vec![low; wanted.len()];
    for cluster in &clusters {
        let mut edge = cluster.centre - cluster.length / 2.0;
        for n in &cluster.members {
            let length = preferred(*n).1;
            if let Some(place) = placed.get_mut(*n) {
                *place = edge + length / 2.0;
            }
            edge += length;
        }
    }
    placed
}

/// Mean of the places of the whole cluster if each member in turn stood at its preferred place.
fn mean_preferred(members: &[usize], preferred: &impl Fn(usize) -> (f64, f64)) -> f64 {
    let total: f64 = members.iter().map(|n| preferred(*n).1).sum();
    let mut before = 0.0;
    let mut sum = 0.0;
    for n in members {
        let (centre, length) = preferred(*n);
        sum += centre - before - length / 2.0 + total / 2.0;
        before += length;
    }
    sum / members.len().max(1) as f64
}

/// For each label the level (0, 1, 2, …) on which it covers no other, each label staying where it is.
/// Answers in the order given.
pub(crate) fn levels(wanted: &[Segment], gap: f64) -> Vec<usize> {
    let mut order: Vec<(usize, &Segment)> = wanted.iter().enumerate().collect();
    order.sort_by(|a, b| a.1.centre.total_cmp(&b.1.centre));
    let mut ends: Vec<f64> = Vec::new();
    let mut chosen = vec![0; wanted.len()];
    for (n, span) in order {
        let (from, to) = (
            span.centre - span.length / 2.0,
            span.centre + span.length / 2.0,
        );
        let level = ends
            .iter()
            .position(|end| end + gap <= from)
            .unwrap_or(ends.len());
        match ends.get_mut(level) {
            Some(end) => *end = to,
            None => ends.push(to),
        }
        if let Some(place) = chosen.get_mut(n) {
            *place = level;
        }
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spans(centres: &[f64], length: f64) -> Vec<Segment> {
        centres
            .iter()
            .map(|c| Segment { centre: *c, length })
            .collect()
    }

    fn overlap(placed: &[f64], wanted: &[Segment]) -> f64 {
        let mut ends: Vec<(f64, f64)> = placed
            .iter()
            .zip(wanted)
            .map(|(c, s)| (c - s.length / 2.0, c + s.length / 2.0))
            .collect();
        ends.sort_by(|a, b| a.0.total_cmp(&b.0));
        ends.windows(2)
            .map(|w| w[0].1 - w[1].0)
            .fold(f64::NEG_INFINITY, f64::max)
    }

    #[test]
    fn labels_with_room_stay_where_they_are() {
        assert_eq!(
            spread(&spans(&[10.0, 50.0, 30.0], 10.0), 0.0, 100.0),
            [10.0, 50.0, 30.0]
        );
    }

    #[test]
    fn crowded_labels_end_up_without_overlap_and_inside() {
        for centres in [
            vec![50.0; 7],
            vec![1.0, 2.0, 3.0, 97.0, 98.0, 99.0, 99.5],
            vec![-40.0, 300.0, 50.0, 51.0, 52.0],
            vec![20.0, 26.0, 32.0, 38.0, 29.0, 30.0],
        ] {
            let wanted = spans(&centres, 12.0);
            let placed = spread(&wanted, 0.0, 100.0);
            // Sums of a few numbers below 400: rounding stays below 1e-9.
            assert!(overlap(&placed, &wanted) <= 1e-9, "{centres:?} {placed:?}");
            assert!(
                placed.iter().all(|p| *p >= 6.0 - 1e-9 && *p <= 94.0 + 1e-9),
                "{placed:?}"
            );
        }
    }

    #[test]
    fn two_labels_at_one_place_move_apart_evenly() {
        let placed = spread(&spans(&[50.0, 50.0], 10.0), 0.0, 100.0);
        assert!(
            (placed[0] - 45.0).abs() <= 1e-9 && (placed[1] - 55.0).abs() <= 1e-9,
            "{placed:?}"
        );
    }

    #[test]
    fn too_little_room_or_no_number_does_no_harm() {
        let wanted = spans(&[f64::NAN, 5.0, 5.0], 10.0);
        let placed = spread(&wanted, 0.0, 20.0);
        assert!(overlap(&placed, &wanted) <= 1e-9);
        assert!(spread(&[], 0.0, 1.0).is_empty());
    }

    #[test]
    fn levels_hold_no_overlap() {
        let wanted = spans(&[10.0, 12.0, 30.0, 14.0, 33.0], 8.0);
        let chosen = levels(&wanted, 2.0);
        assert_eq!(chosen, [0, 1, 0, 2, 1]);
    }
}
