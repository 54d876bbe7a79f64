//! Labels of points and parts in sentences: held together, each once, gathered, cut short.
//!
//! Labels come in, in the order of the manual; texts and lists go out in the same order. What is said of a
//! point is not known here.

/// A label whose words are not parted at the end of a line: `V1 pin 6`.
pub(crate) fn unbroken(label: &str) -> String {
    label.replace(' ', "\u{a0}")
}

/// Unbroken labels one after the other: `V1 pin 6, 7`.
pub(crate) fn listed<'a>(labels: impl IntoIterator<Item = &'a str>) -> String {
    let each: Vec<String> = labels.into_iter().map(unbroken).collect();
    each.join(", ")
}

/// `Point 3`, `Points 3, 4`.
pub(crate) fn named(points: &[&str]) -> String {
    let noun = if points.len() == 1 { "Point" } else { "Points" };
    format!("{noun} {}", listed(points.iter().copied()))
}

/// The first labels, the rest counted where it is more than one.
pub(crate) fn first_few(labels: &[&str], shown: usize) -> String {
    match labels.len().checked_sub(shown) {
        Some(more) if more > 1 => {
            format!(
                "{} and {more} more",
                listed(labels[..shown].iter().copied())
            )
        }
        _ => listed(labels.iter().copied()),
    }
}

/// Names with a word before the last: `V5, V4 or V2`.
pub(crate) fn with_last(names: impl Iterator<Item = String>, word: &str) -> String {
    let names: Vec<String> = names.collect();
    match &names[..] {
        [most @ .., end] if !most.is_empty() => format!("{} {word} {end}", most.join(", ")),
        few => few.concat(),
    }
}

/// The text, or as many letters of it as allowed with `…` behind them.
pub(crate) fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most - 1).collect();
    format!("{}…", kept.trim_end())
}

/// Each thing once, as first met with.
pub(crate) fn each_once<T: PartialEq>(things: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut kept = Vec::new();
    for thing in things {
        if !kept.contains(&thing) {
            kept.push(thing);
        }
    }
    kept
}

/// Things of one key together, the keys as first met with.
pub(crate) fn gathered<K: PartialEq, T>(
    each: impl IntoIterator<Item = (K, T)>,
) -> Vec<(K, Vec<T>)> {
    let mut groups: Vec<(K, Vec<T>)> = Vec::new();
    for (key, thing) in each {
        match groups.iter_mut().find(|(known, _)| *known == key) {
            Some((_, things)) => things.push(thing),
            None => groups.push((key, vec![thing])),
        }
    }
    groups
}

/// A sentence with its first letter large.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_labels_are_counted_and_few_are_not() {
        let labels = ["1"; 15];
        assert_eq!(first_few(&labels[..13], 12), ["1"; 13].join(", "));
        let want = format!("{} and 3 more", ["1"; 12].join(", "));
        assert_eq!(first_few(&labels, 12), want);
    }

    #[test]
    fn keys_stay_in_the_order_in_which_they_are_met() {
        let each = [("b", 1), ("a", 2), ("b", 3)];
        assert_eq!(gathered(each), [("b", vec![1, 3]), ("a", vec![2])]);
        assert_eq!(each_once(["b", "a", "b"]), ["b", "a"]);
    }
}
