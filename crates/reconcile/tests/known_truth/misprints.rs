//! How many misprints are noticed and set aside, and how many values are that are none.

use std::collections::BTreeMap;

use reconcile::{reconcile, ValueStatus};

use super::sets::family;

/// What is thought of each value of a family, with the kind of slip that it has.
fn thought(name: &str, wrong: bool) -> Vec<(Option<String>, ValueStatus)> {
    let sets = family(name);
    let each = parallel::filter_map(&sets, |set| {
        let reconciled = reconcile(&set.job(wrong)?).unwrap();
        let of = |(entry, point): (usize, &super::sets::Point)| {
            let slip = point.slip.as_ref().map(|slip| slip["what"].clone());
            (slip, reconciled.value_status(entry))
        };
        Some(set.points.iter().enumerate().map(of).collect::<Vec<_>>())
    });
    each.into_iter().flatten().collect()
}

/// How many there are, how many of them are doubted or set aside, and how many are set aside.
fn counted<'a>(standings: impl Iterator<Item = &'a ValueStatus>) -> [usize; 3] {
    standings.fold([0; 3], |[all, doubted, misprints], value_status| {
        [
            all + 1,
            doubted + usize::from(*value_status != ValueStatus::Believed),
            misprints + usize::from(*value_status == ValueStatus::Misprint),
        ]
    })
}

#[test]
fn most_slips_are_noticed_and_set_aside() {
    let all = thought("slips", false);
    let mut kinds: BTreeMap<&str, Vec<ValueStatus>> = BTreeMap::new();
    for (kind, value_status) in &all {
        if let Some(kind) = kind {
            kinds.entry(kind).or_default().push(*value_status);
        }
    }
    let counts = |kind: &str| counted(kinds[kind].iter());
    // A sign is off by twice the value, far beyond any tolerance; 33 of them.
    let [signs, _, misprints] = counts("sign");
    assert!(signs >= 30 && misprints * 100 >= signs * 95, "{misprints}");
    // A decimal place is off by nine tenths or by nine times; but 0.1 V printed as 1 V on a range of
    // hundreds of volts is within the meter's error.
    let [places, _, misprints] = counts("decimal place");
    assert!(
        places >= 30 && misprints * 100 >= places * 80,
        "{misprints}"
    );
    // Two digits swapped may move a value by no more than parts do: 220 and 202, 98 and 89. Six in ten
    // are off by more than a fifth. Of those that are doubted nine in ten are set aside.
    let [swaps, doubted, misprints] = counts("swapped digits");
    assert!(swaps >= 30 && doubted * 10 >= swaps * 5, "{doubted}");
    assert!(misprints * 10 >= doubted * 9, "{misprints}");
    // One value in a thousand may be doubted wrongly: a doubt takes odds of a hundred and more.
    let sound = all.iter().filter(|(slip, _)| slip.is_none());
    let [sound, doubted, _] = counted(sound.map(|(_, value_status)| value_status));
    assert!(
        sound > 700 && doubted * 1000 <= sound,
        "{doubted} of {sound}"
    );
}

#[test]
fn sound_values_are_left_alone() {
    for (name, least) in [("networks", 2500), ("chassis", 3000), ("boards", 400)] {
        let all = thought(name, false);
        let [all, doubted, _] = counted(all.iter().map(|(_, value_status)| value_status));
        assert!(all > least && doubted * 1000 <= all, "{name}: {doubted}");
    }
}

/// Screens and the grids of converters hang on numbers that the drawing knows least of, and starved screens
/// most: none is doubted for a number that was taken as exact.
#[test]
fn screens_and_converters_in_order_are_not_doubted() {
    let (mut screens, mut converters) = (0, 0);
    for set in family("chassis") {
        let job = set.job(false).unwrap();
        let reconciled = reconcile(&job).unwrap();
        for (entry, point) in set.points.iter().enumerate() {
            let screen = point.place.ends_with("screen");
            let converter = point.place.ends_with("grid1") || point.place.ends_with("grid3");
            if screen || converter {
                assert_eq!(
                    reconciled.value_status(entry),
                    ValueStatus::Believed,
                    "{} {}",
                    set.id,
                    point.place
                );
                screens += usize::from(screen);
                converters += usize::from(converter);
            }
        }
    }
    assert!(screens > 200 && converters > 100, "{screens} {converters}");
}

#[test]
fn values_that_a_wrong_drawing_contradicts_are_doubted_and_kept() {
    let (mut of_all, mut doubts, mut set_aside) = (0, 0, 0);
    for name in ["networks", "chassis", "boards"] {
        let all = thought(name, true);
        let [all, doubted, misprints] = counted(all.iter().map(|(_, value_status)| value_status));
        assert!(doubted > 0, "{name}");
        of_all += all;
        doubts += doubted;
        set_aside += misprints;
    }
    // What is set aside for a slip is thought to be one in fifty values, and half that often a part ten
    // times too large looks like one.
    let counts = format!("{set_aside} set aside, {doubts} doubted of {of_all}");
    assert!(of_all > 2000 && set_aside * 100 <= of_all, "{counts}");
    // A wrong drawing is no slip of the pen.
    assert!(set_aside * 10 <= doubts, "{counts}");
}
