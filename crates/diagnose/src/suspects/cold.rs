//! What gives nothing all at once: where the way of a heater current is broken, or nothing feeds the set.
//!
//! A circuit and a hypothesis come in; tubes without emission and supplies that give nothing go out. How
//! that changes a circuit is `faulty`'s business.

use circuit::{
    is_line_frequency, Circuit, DeviceClass, DeviceParameter, HeaterString, PartId, PartKind,
    PartParameter, SupplyKind,
};

use crate::suspects::fault::Fault;
use crate::suspects::hypothesis::Hypothesis;

/// Parts that give nothing, for no current heats them or nothing feeds them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Cold {
    /// Sections of tubes.
    pub(crate) sections: Vec<PartId>,
    /// Supplies that stand for a rectifier tube; sources that nothing feeds.
    pub(crate) sources: Vec<PartId>,
}

/// What a hypothesis leaves without current; none where it breaks no heater and no feed.
pub(crate) fn cold(circuit: &Circuit, hypothesis: &Hypothesis) -> Option<Cold> {
    if let Some(string) = hypothesis.broken_string(circuit) {
        return Some(Cold {
            sections: string.sections().collect(),
            sources: string.supplies.clone(),
        });
    }
    let part = hypothesis.part()?;
    match hypothesis.fault()? {
        Fault::HeaterOpen => Some(Cold {
            sections: circuit.sections_of(part),
            sources: Vec::new(),
        }),
        Fault::Unfed => Some(Cold {
            sections: heated(circuit),
            sources: fed_together(circuit, part),
        }),
        _ => None,
    }
}

/// All sections of tubes: what feeds a set heats them too.
fn heated(circuit: &Circuit) -> Vec<PartId> {
    let parts = circuit.parts().iter().enumerate();
    let tubes = parts.filter(|(_, part)| {
        matches!(&part.kind, PartKind::Device(device) if device.class == DeviceClass::Tube)
    });
    tubes.map(|(place, _)| PartId(place)).collect()
}

/// The sources that give nothing together where nothing feeds the set, if the part stands for them: the
/// first supply for all that are no batteries and for generators at the line's frequency; the first battery
/// for all batteries, and for the supplies too where none follows the line, for they may be fed by it. One
/// source without any tube that would go cold is dead, which needs no other word; a supply whose feed is
/// drawn goes with that.
pub(crate) fn fed_together(circuit: &Circuit, head: PartId) -> Vec<PartId> {
    let PartKind::Supply(supply) = &circuit.part(head).kind else {
        return Vec::new();
    };
    let sources = |fed: &dyn Fn(&PartKind) -> bool| -> Vec<PartId> {
        let parts = circuit.parts().iter().enumerate();
        let own = parts.filter(|(_, part)| fed(&part.kind));
        let own = own.map(|(place, _)| PartId(place));
        own.filter(|id| !circuit.is_fed(*id)).collect()
    };
    let of_kind =
        |kind: &PartKind| matches!(kind, PartKind::Supply(own) if own.kind == supply.kind);
    let by_line = |kind: &PartKind| match kind {
        PartKind::Supply(own) => own.follows_line,
        PartKind::Generator(own) => is_line_frequency(own.hertz),
        _ => false,
    };
    let on_line = circuit.parts().iter().any(|part| by_line(&part.kind));
    let all = sources(&|kind| match (supply.kind, kind) {
        (SupplyKind::Supply, PartKind::Generator(_)) => by_line(kind),
        (SupplyKind::Battery, PartKind::Supply(_)) => !on_line || of_kind(kind),
        _ => of_kind(kind),
    });
    let heads = sources(&of_kind).first() == Some(&head);
    match heads && (all.len() > 1 || !heated(circuit).is_empty()) {
        true => all,
        false => Vec::new(),
    }
}

impl Cold {
    /// Whether being cold sets this number of this part.
    pub(crate) fn sets(&self, part: PartId, parameter: PartParameter) -> bool {
        match parameter {
            PartParameter::Device(DeviceParameter::Emission) => self.sections.contains(&part),
            PartParameter::Volts | PartParameter::SourceResistance => self.sources.contains(&part),
            _ => false,
        }
    }
}

impl Hypothesis {
    /// The string of heaters that it breaks: by the heater of one of its tubes, whichever that is,
    /// or by a resistor in series with them.
    pub fn broken_string<'c>(&self, circuit: &'c Circuit) -> Option<&'c HeaterString> {
        let part = self.part()?;
        match self.fault()? {
            Fault::HeaterOpen => circuit.heater_string_of_tube(part),
            Fault::Open => circuit.heater_string_of(part),
            _ => None,
        }
    }

    /// The string of heaters of which it says that one is open, and cannot say which.
    pub fn open_heater_of<'c>(&self, circuit: &'c Circuit) -> Option<&'c HeaterString> {
        let string = self.broken_string(circuit)?;
        (self.fault() == Some(Fault::HeaterOpen)).then_some(string)
    }

    /// The sources that it says are not fed.
    pub fn unfed(&self, circuit: &Circuit) -> Vec<PartId> {
        match (self.part(), self.fault()) {
            (Some(part), Some(Fault::Unfed)) => fed_together(circuit, part),
            _ => Vec::new(),
        }
    }

    /// Whether it says something of this part: that it has the fault, or that it may have it.
    pub fn is_about(&self, circuit: &Circuit, part: PartId) -> bool {
        let in_string = || {
            let string = self.open_heater_of(circuit);
            string.is_some_and(|string| string.sections().any(|own| own == part))
        };
        self.part() == Some(part) || in_string() || self.unfed(circuit).contains(&part)
    }
}

#[cfg(test)]
mod tests {
    use circuit::{CircuitBuilder, Feed, Generator, Part, Supply};

    use super::*;

    fn supply(kind: SupplyKind, follows_line: bool) -> PartKind {
        PartKind::Supply(Supply {
            kind,
            volts: 9.0,
            tolerance: None,
            source: 1.0,
            follows_line,
            off: None,
        })
    }

    fn generator(hertz: f64) -> PartKind {
        PartKind::Generator(Generator {
            volts: 6.3,
            hertz,
            source: 0.1,
            off: None,
        })
    }

    /// The groups that each part stands for, of sources side by side; the last supply is fed where that is said.
    fn groups(kinds: &[PartKind], last_is_fed: bool) -> Vec<Vec<usize>> {
        let mut builder = CircuitBuilder::default();
        let ends = [builder.node("a"), builder.node("c")];
        let mut last = PartId(0);
        for (place, kind) in kinds.iter().enumerate() {
            let name = format!("X{place}");
            last = builder.part(Part::new(name, kind.clone(), ends.to_vec()));
        }
        if last_is_fed {
            builder.feed(Feed {
                from: ends[0],
                supplies: vec![last],
            });
        }
        let circuit = builder.finish();
        let of = |place| fed_together(&circuit, PartId(place));
        let places = |ids: Vec<PartId>| ids.into_iter().map(|id| id.0).collect();
        (0..kinds.len()).map(|place| places(of(place))).collect()
    }

    #[test]
    fn the_first_source_stands_for_all_that_one_break_leaves_without_feed() {
        let (line, battery) = (SupplyKind::Supply, SupplyKind::Battery);
        // Two supplies and a winding of the line; a signal is another thing, and so is a bias cell.
        let kinds = [
            supply(line, true),
            generator(60.0),
            supply(line, false),
            generator(400.0),
            supply(battery, false),
        ];
        let none: Vec<usize> = Vec::new();
        let want = [
            vec![0, 1, 2],
            none.clone(),
            none.clone(),
            none.clone(),
            none.clone(),
        ];
        assert_eq!(groups(&kinds, false), want);
        // Without a line the batteries may feed the supply too; one whose feed is drawn goes with that.
        let mobile = [supply(battery, false), supply(line, false)];
        assert_eq!(groups(&mobile, false), [vec![0, 1], none.clone()]);
        assert_eq!(groups(&mobile, true), [none.clone(), none.clone()]);
        // One alone is dead.
        assert_eq!(groups(&[supply(line, true)], false), [none]);
    }
}
