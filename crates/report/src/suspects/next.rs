//! Where to put the probe next, and what each suspect predicts there.
//!
//! Probes worth making come in; places, meters, warnings and predictions in words go out.

use circuit::{Job, NodeId, PartKind, Port};
use diagnose::{NextProbe, Suspects, LETHAL_DC};

use crate::figures;
use crate::places::{probes, settings_words};

use super::words::short_words;

/// Bits below which a further reading is not worth the walk to the bench.
const WORTH: f64 = 0.01;

/// Bits below which no figure is given.
const LEAST_SHOWN: f64 = 0.001;

/// Predicted figures that are told, faults that are named at each, and the probability below which
/// a fault is left out.
const TOLD: usize = 4;
const NAMED: usize = 3;
const LEAST: f64 = 0.005;

/// Where both probes of a measurement go.
pub(crate) struct ProbePlace {
    /// The manual's label; none for a bare node.
    pub point: Option<String>,
    /// What the red probe touches.
    pub red: String,
    /// What the black probe touches.
    pub black: String,
    /// Controls to set first, in a sentence; empty without any.
    pub settings: String,
}

/// Where both probes go, in words.
pub(crate) fn place(job: &Job, probe: &NextProbe) -> ProbePlace {
    if let Some(entry) = probe.entry.and_then(|entry| job.manual.get(entry)) {
        let (red, black) = probes(job, entry);
        return ProbePlace {
            point: Some(entry.point.clone()),
            red,
            black,
            settings: settings_words(job, entry),
        };
    }
    let name = |node: NodeId| {
        let nodes = job.circuit.nodes().get(node.0);
        nodes.map_or(String::new(), |node| node.name.clone())
    };
    let red = name(probe.port.plus);
    ProbePlace {
        point: None,
        red: match terminal_at(job, probe.port) {
            Some(terminal) => format!("{red} ({terminal})"),
            None => red,
        },
        black: name(probe.port.minus),
        settings: String::new(),
    }
}

/// A device's terminal at the red probe, where a hand finds it.
fn terminal_at(job: &Job, port: Port) -> Option<String> {
    let mut devices = job.circuit.parts().iter();
    devices.find_map(|part| {
        let PartKind::Device(_) = part.kind else {
            return None;
        };
        let place = part.nodes.iter().position(|at| *at == port.plus)?;
        let terminal = part.kind.terminals().get(place).copied()?.to_owned();
        Some(format!("{} of {}", terminal, part.designator))
    })
}

/// Sentences on where to probe next, two a place; one that says so where no reading tells much.
pub(crate) fn next_lines(job: &Job, suspects: &Suspects) -> Vec<String> {
    let worth: Vec<&NextProbe> = worth(suspects).collect();
    if worth.is_empty() {
        return nothing_worth(suspects);
    }
    let told = worth.iter().enumerate();
    told.flat_map(|(number, probe)| {
        [
            format!("{}. {}", number + 1, probe_line(job, probe)),
            format!("there: {}", predictions(job, suspects, probe)),
        ]
    })
    .collect()
}

/// Probes that are worth the walk to the bench.
pub(crate) fn worth(suspects: &Suspects) -> impl Iterator<Item = &NextProbe> {
    let each = suspects.next.iter();
    each.filter(|probe| probe.gain_bits >= WORTH)
}

fn nothing_worth(suspects: &Suspects) -> Vec<String> {
    if suspects.readings.is_empty() {
        return Vec::new();
    }
    let best = suspects.next.iter().map(|probe| probe.gain_bits);
    let Some(best) = best.max_by(f64::total_cmp) else {
        return Vec::new();
    };
    let best = match best < LEAST_SHOWN {
        true => format!("less than {LEAST_SHOWN} bit"),
        false => format!("{} bit", figures::short(best, 1)),
    };
    vec![format!(
        "No further reading in the drawn circuit tells these suspects apart (the best would bring \
         {best}). Test the parts themselves, with the power off."
    )]
}

/// Where, with what, how dangerous, and what it is worth.
fn probe_line(job: &Job, probe: &NextProbe) -> String {
    let place = place(job, probe);
    let point = place.point.map_or("Red to ".to_owned(), |point| {
        format!("Point {point}: red to ")
    });
    let meter = job.bench.meters.get(probe.meter);
    let meter = meter.map_or("the meter", |meter| meter.name.as_str());
    let range = match probe.range.full_scale.is_finite() {
        true => format!(" on {}", figures::range(probe.range.full_scale, false)),
        false => String::new(),
    };
    let settings = match place.settings.as_str() {
        "" => String::new(),
        words => format!(" {words}"),
    };
    let danger = danger(probe).map_or(String::new(), |danger| format!(" {danger}."));
    format!(
        "{point}{}, black to {}, {meter}{range}; worth {} bit.{settings}{danger}",
        place.red,
        place.black,
        figures::short(probe.gain_bits, 2)
    )
}

/// The mark of a dangerous place, as on the worksheet.
fn danger(probe: &NextProbe) -> Option<String> {
    let reach = figures::with_volts(&figures::decimal(probe.reach.ceil(), 0));
    let mark = match probe.reach >= LETHAL_DC {
        true => "!!\u{a0}LETHAL",
        false => "!\u{a0}HAZARDOUS",
    };
    probe
        .hazardous
        .then(|| format!("{mark}: may reach {reach}"))
}

/// `121 V if C6 leaky or R9 open; 92 V if nothing wrong`, faults of one figure together and named by
/// the likeliest of them.
fn predictions(job: &Job, suspects: &Suspects, probe: &NextProbe) -> String {
    let decimals = decimals_on(probe.range.full_scale);
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    let each = probe.predictions.iter().enumerate();
    let leading = each.filter_map(|(rank, predicted)| {
        let suspect = suspects.hypotheses.get(predicted.suspect)?;
        let member = suspect.members.get(predicted.member)?;
        let worth = member.probability >= LEAST || rank < 2;
        worth.then_some((member, predicted.volts))
    });
    for (member, volts) in leading {
        let volts = figures::with_volts(&figures::decimal(volts, decimals));
        let words = short_words(job, member);
        match told.iter_mut().find(|(known, _)| *known == volts) {
            Some((_, names)) => names.push(words),
            None => told.push((volts, vec![words])),
        }
    }
    let each = told.iter().take(TOLD).map(|(volts, names)| {
        let more = match names.len().saturating_sub(NAMED) {
            0 => String::new(),
            1 => " or another".to_owned(),
            more => format!(" or {more} others"),
        };
        let named = &names[..names.len().min(NAMED)];
        format!("{volts} if {}{more}", named.join(" or "))
    });
    each.collect::<Vec<_>>().join("; ")
}

/// Decimals that show a thousandth of full scale.
pub(crate) fn decimals_on(full_scale: f64) -> usize {
    match full_scale.is_finite() && full_scale > 0.0 {
        true => (3.0 - full_scale.log10().ceil()).clamp(0.0, 4.0) as usize,
        false => 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn predictions_show_a_thousandth_of_full_scale() {
        let got = [0.2, 2.0, 2.5, 20.0, 200.0, 1000.0, f64::INFINITY].map(decimals_on);
        assert_eq!(got, [3, 2, 2, 1, 0, 0, 1]);
    }
}
