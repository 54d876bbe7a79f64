//! How high points may reach when something breaks.

use circuit::Job;
use diagnose::{Danger, Hazard, Hazards};
use translate::translate;

use super::jobs::{job, sample};

fn hazards(job: &Job) -> Vec<Hazard> {
    let hazards = Hazards::of(&translate(job).unwrap());
    job.row_ids().map(|id| hazards.at(id)).collect()
}

/// A triode at 250 V with a coupler to the next grid.
const STAGE: &str = "ground chassis\nPS1: 250V, plus=bplus, minus=chassis\n\
    R1: 100k, bplus to plate\nR2: 1.5k, cath to chassis\nR3: 470k, grid to chassis\n\
    V1A: 12AX7, plate=plate, grid=grid, cathode=cath\nC1: 0.02uF leak=500M, plate to next\n\
    R4: 470k, next to chassis\nR5: 10k, low to chassis\nBT1: 9V, plus=low, minus=chassis\n";

#[test]
fn a_point_is_marked_by_what_a_single_fault_puts_there() {
    let settings = "[as-documented]\nmeter = \"20k/V\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let manual = "point,at,value\nplate,plate,150\ncathode,cath,1.2\nnext grid,next,0\nlow,low,9\n";
    let job = job(settings, STAGE, manual, "point,reading\nplate,150\n");
    let marks = hazards(&job);
    // The plate reaches the supply when the tube draws nothing: 250 V, and no more is there but the
    // battery's 9 V in the same island; either may be a tenth higher.
    assert_eq!(marks[0].danger, Danger::Lethal);
    assert!(marks[0].volts >= 250.0 && marks[0].volts <= 1.1 * 259.0);
    // Through a shorted tube and an open resistor at once it would be 250 V; a single fault leaves
    // the plate resistor between: 250 V · 1.5/101.5 = 3.7 V by the short, and by the open cathode
    // resistor what cuts the tube off, some volts.
    assert!(marks[1].danger < Danger::Lethal, "{:?}", marks[1]);
    // A shorted coupler puts the plate's divider on the next grid: less than
    // 250 V · 470/570 = 206 V, more than what the tube leaves of it.
    assert_eq!(marks[2].danger, Danger::Lethal);
    assert!(marks[2].volts > 120.0 && marks[2].volts < 1.1 * 206.2);
    // Nothing but the battery reaches its own terminal; it may be off by 30 %.
    assert_eq!(marks[3].danger, Danger::Low);
    assert!(marks[3].volts >= 9.0 && marks[3].volts < 1.1 * 1.3 * 9.0 + 0.1);
}

#[test]
fn a_transistor_set_on_a_battery_has_nothing_that_hurts() {
    let marks = hazards(&sample("gate-post-preamplifier"));
    assert!(marks.iter().all(|mark| mark.danger == Danger::Low));
}

#[test]
fn a_tube_set_has_points_of_each_kind() {
    let job = sample("lookout-intercom");
    let marks = hazards(&job);
    let of = |danger: Danger| marks.iter().filter(|mark| mark.danger == danger).count();
    // The supply side and every plate and coupled grid can kill; the heaters' returns and the
    // cathodes with small resistors cannot.
    assert!(
        of(Danger::Lethal) >= marks.len() / 3,
        "{}",
        of(Danger::Lethal)
    );
    assert!(of(Danger::Low) > 0);
}

/// A supply may be above its drawn volts in a set in order. Its point was marked by the drawn volts, below limits
/// that stood on the same sheet.
#[test]
fn no_mark_is_below_a_limit_on_the_same_sheet() {
    let settings = "[as-documented]\nmeter = \"20k/V\"\ntolerance = \"10%\"\n\
        [on-the-bench]\nmeter = \"10M\"\n";
    let netlist = "ground chassis\nPS1: 115V, plus=top, minus=chassis\n\
        R1: 220k, top to mid\nR2: 1M, mid to chassis\n";
    let manual = "point,at,value,quantity,tolerance,source\ntop,top,115,,,\nline,line cord,110,ac V,15%,1R\n";
    let marks = hazards(&job(settings, netlist, manual, "point,reading\n"));
    // 115 V and a tenth more: by the manual's tolerance, and by that of a source.
    assert!(marks[0].volts >= 126.5, "{:?}", marks[0]);
    // Nothing is drawn round the line; 15 % above what is printed is allowed, and no more is known.
    assert!((marks[1].volts - 126.5).abs() < 1e-9, "{:?}", marks[1]);
    assert_eq!(marks[1].danger, Danger::Lethal);
}

/// A supply that the manual finds higher than it is drawn raises what its points may reach; one that it
/// finds lower takes nothing off.
#[test]
fn marks_start_from_what_manual_and_drawing_say_together() {
    let settings = "[as-documented]\nmeter = \"20k/V\"\n[on-the-bench]\nmeter = \"10M\"\n";
    // A divider of two alike, far lighter than any meter.
    let netlist = |volts: &str| {
        format!(
            "ground chassis\nPS1: {volts}, plus=top, minus=chassis\n\
             R1: 1k 1%, top to mid\nR2: 1k 1%, mid to chassis\n"
        )
    };
    let marks = |volts: &str, printed: [&str; 2]| {
        let manual = format!(
            "point,at,value,range\ntop,top,{},250V\nmid,mid,{},250V\n",
            printed[0], printed[1]
        );
        hazards(&job(settings, &netlist(volts), &manual, "point,reading\n"))
    };
    // 100 V is drawn, give or take 30 %, and both values say 130 V. With R2 open the middle is at the
    // top's volts: by the drawing 100 V, which is all that its sources have.
    let higher = marks("100V 30%", ["130", "65"]);
    assert!(higher[1].volts > 120.0, "{:?}", higher[1]);
    assert_eq!(higher[1].danger, Danger::Lethal);
    // Where the manual finds 100 V and 140 V are drawn, the middle may still reach 140 V.
    let lower = marks("140V", ["100", "50"]);
    assert!(lower[1].volts >= 140.0, "{:?}", lower[1]);
}

/// The heater that opens in a series string has the line across it, so that every joint of the string may be at the
/// line; a resistance there is read where the line is. A cathode is not joined to the string, nor is the secondary
/// winding of a transformer to what feeds its primary.
#[test]
fn a_joint_of_a_heater_string_may_be_at_the_line() {
    let settings = "[as-documented]\nmeter = \"20k/V\"\nline = \"110V\"\n\
        [on-the-bench]\nmeter = \"10M\"\nline = \"121V\"\n";
    let netlist = "ground bminus common\nG1: 110V ac 60Hz source=0.5R, line to bminus\n\
        R1: 233R, line to h1\nR2: 333R, h1 to h2\nR3: 84R, h2 to bminus\n\
        PS1: 100V, plus=bplus, minus=bminus\nR4: 10k, bplus to cath\nR5: 150R, cath to bminus\n\
        T1: transformer 20:1 100R 0.5R, primary line to bminus, secondary bell to common\n\
        R6: 10R, bell to common\n";
    let manual = "point,at,quantity,value\nh2,h2,ac V,14\nstring,h1,ohm,417\ncathode,cath,,1.5\n\
        bell,bell,ac V,5\n";
    let marks = hazards(&job(settings, netlist, manual, "point,reading\n"));
    // 110 V, a tenth more on the bench's line and a tenth for tolerances.
    for mark in &marks[..2] {
        assert!((mark.volts - 110.0 * 1.1 * 1.1).abs() < 1e-9, "{mark:?}");
        assert_eq!(mark.danger, Danger::Lethal);
    }
    // 100 V and a tenth through the open resistor.
    assert!(marks[2].volts <= 1.1 * 1.1 * 100.0, "{:?}", marks[2]);
    assert_eq!(marks[3].danger, Danger::Low, "{:?}", marks[3]);
}
