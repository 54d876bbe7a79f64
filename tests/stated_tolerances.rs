//! A tolerance that the netlist states is what the uncertainty of a point rests on.

use crate::support::{fairvolt, json, Scratch};

/// Expanded uncertainty in volts of a point that a Zener diode of this tolerance holds. The manual
/// prints another point, so nothing else is known of the diode.
fn uncertainty(tolerance: &str) -> f64 {
    let scratch = Scratch::new();
    scratch.write(
        "circuit.netlist",
        &format!(
            "ground chassis\nPS1: 100V, plus=bplus, minus=chassis\nR1: 10k 5%, bplus to ref\n\
             VR1: zener 12V {tolerance}, anode=chassis, cathode=ref\n"
        ),
    );
    // A range so wide that the reading says next to nothing of the volts.
    scratch.write("manual.csv", "point,at,value,range\n1,ref,12,1000\n");
    scratch.write(
        "job.toml",
        "title = \"Lookout reference\"\n[as-documented]\nmeter = \"20k/V\"\n\
         [on-the-bench]\nmeter = \"10M\"\n",
    );
    let path = scratch.path();
    let document = json(&fairvolt(&["translate", &path, "--format", "json"]));
    let expected = &document["points"][0]["bench"][0];
    expected["uncertainty"].as_f64().unwrap()
}

/// Limits of 0.12, 1.2 and 2.4 V. What the drawing may lack there is in all three, so they need not
/// stand as 1 to 10 to 20; but each must be clearly more than the one before.
#[test]
fn a_zener_diode_is_as_uncertain_as_its_tolerance() {
    let (narrow, middle, wide) = (uncertainty("1%"), uncertainty("10%"), uncertainty("20%"));
    assert!(middle > 1.1 * narrow, "{narrow} {middle}");
    assert!(wide > 1.1 * middle, "{middle} {wide}");
}
