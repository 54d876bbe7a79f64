//! The cautions printed on every sheet, and the sentence that defers to those who decide.
//!
//! A job and its danger marks come in, the cautions that apply go out. Where each comes from, and how
//! the danger thresholds were chosen, is told in docs/safety.md.

use circuit::Job;
use diagnose::Hazards;

use crate::low_volts::has_low_volts_only;

/// The cautions of a job, in the order of the work.
pub(crate) fn cautions(job: &Job, hazards: &Hazards) -> Vec<&'static str> {
    match has_low_volts_only(job, hazards) {
        true => LOW_VOLTS.to_vec(),
        false => CAUTIONS.to_vec(),
    }
}

/// Twelve cautions, in the order of a job: before, during, after.
const CAUTIONS: [&str; 12] = [
    "Unplug the set, and lock or tag its switch, for all work that needs no power.",
    "Discharge every filter capacitor through a resistor, never a screwdriver: for 40 µF at \
     450 V about 20 kΩ, 10 W or more, for 20 seconds. Then prove it dead with a meter just tried \
     on a known voltage.",
    "Measure again after some minutes: an old electrolytic can recover 15 % of its volts. Leave \
     a resistor clipped across it.",
    "A set without a mains transformer can put the line on its chassis: use an isolation \
     transformer, know that an earth-fault breaker no longer protects you behind it, and connect \
     no earthed instrument without it.",
    "Put the ground clip on with the power off; then probe with one hand, the other behind your \
     back or in a pocket.",
    "Do not work alone on live high voltage. The second person must know the switch and how to \
     give first aid.",
    "Do not defeat interlocks, bridge a fuse or leave a cover off unless the manual demands it, and \
     restore them.",
    "Meter, leads and clips must be rated above the highest voltage a point can reach and for \
     its measurement category. Connect for kilovolts with the power off.",
    "Fit the fuse that the maker states, never a bigger one. Bring an old set up through a \
     series lamp or a limited supply.",
    "Mind the polarity of electrolytics and of the mains plug. Only X capacitors across the line, \
     only Y capacitors to the chassis.",
    "Picture tubes hold their charge after switch-off, can implode, and give X-rays at too high \
     an anode voltage or without their shield. Discharge to the outer coating through a \
     resistor; never raise the voltage to get a picture.",
    POISONS,
];

const POISONS: &str =
    "Old oil may hold PCB, heater pads and cords asbestos, and burnt selenium is poisonous: wear \
     gloves, do not heat or sand them, dispose of them properly.";

/// What is left of them where only batteries of few volts can be, and where the others hold again.
const LOW_VOLTS: [&str; 6] = [
    "Take the batteries out for all work that needs no power.",
    "Discharge every filter capacitor through a resistor before you measure ohms.",
    "Put the ground clip on with the power off.",
    "Fit the fuse that the maker states, never a bigger one. Bring an old set up with a limited \
     supply. Mind the polarity of electrolytics and of the batteries.",
    POISONS,
    "Batteries of few volts and no tubes are all that is drawn, so this sheet leaves out the \
     cautions for the line, high voltage and picture tubes (docs/safety.md). They hold for any \
     mains unit, inverter, flash or picture tube that is not drawn.",
];

/// Stands under the cautions.
pub(crate) const DEFERRING: &str =
    "This worksheet is an aid to calculation, not a safety procedure: local codes, the equipment \
     maker's instructions and your workplace rules come first, and live or mains work belongs to \
     persons who are trained, and where the law asks for it licensed, to do it.";

/// Says how the points are marked.
pub(crate) const MARKS: &str =
    "!! LETHAL, ! HAZARDOUS: by the most that a point may reach when a part fails, which stands \
     beside it, not by the manual's value. A point without a mark is not therefore safe.";
