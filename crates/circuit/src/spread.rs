//! How far a number of a part may be from its written value.
//!
//! A stated tolerance is used as stated. If none is stated, a default for the kind of part is used
//! and marked as assumed: most are common practice without a source, the scatter of tubes is
//! measured. All are limits with nothing known about the distribution between them, so it is taken
//! as rectangular (JCGM 100:2008, 4.3.7).

/// Limits of a written number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartSpread {
    /// The number as it is written, in its own unit; 0 for a number whose change is given as a
    /// logarithm or an amount.
    pub nominal: f64,
    /// Half of the distance between the limits, in the number's own unit.
    pub half_width: f64,
    /// The scale of the number.
    pub scale: SpreadScale,
    /// Where the limits come from.
    pub basis: SpreadBasis,
    /// The row of [`DEFAULT_SPREADS`] for this kind of number; empty for a number without spread.
    pub what: &'static str,
}

/// The scale on which a number and its change are given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpreadScale {
    /// Volts, of either sign.
    Volts,
    /// Ohms, never negative.
    Ohms,
    /// Amperes.
    Amperes,
    /// A share of the whole, never negative; no unit.
    Share,
    /// The natural logarithm of the changed number over the original; no unit.
    Logarithm,
    /// The natural logarithm of the travel below a wiper over that above it; no unit.
    Travel,
}

/// The source of limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpreadBasis {
    /// The netlist states a tolerance.
    Stated,
    /// A default for this kind of number.
    Assumed,
}

/// One row of the table of defaults.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DefaultSpread {
    /// The kind of number.
    pub what: &'static str,
    /// Half of the distance between the limits: a share of the number, or in its own unit.
    pub half_width: f64,
    /// The limits in text.
    pub limits: &'static str,
    /// Where they come from.
    pub source: &'static str,
}

impl PartSpread {
    /// The spread of a number that a part does not have.
    pub(crate) const NONE: PartSpread = PartSpread {
        nominal: 0.0,
        half_width: 0.0,
        scale: SpreadScale::Ohms,
        basis: SpreadBasis::Assumed,
        what: "",
    };

    /// Standard deviation in the number's own unit. Limits are rectangular: `σ² = a²/3`
    /// (JCGM 100:2008, 4.3.7).
    pub fn standard(&self) -> f64 {
        self.half_width / 3f64.sqrt()
    }

    /// The change of the number, in its own unit, for a deviation of `sigmas` standard deviations.
    /// Ohms and shares are changed by their logarithm, so that none becomes negative.
    pub fn change(&self, sigmas: f64) -> f64 {
        match self.by_ratio() {
            Some(nominal) => nominal * (self.standard() / nominal * sigmas).exp_m1(),
            None => self.standard() * sigmas,
        }
    }

    /// Derivative of [`PartSpread::change`], in the number's own unit per standard deviation.
    pub fn slope(&self, sigmas: f64) -> f64 {
        match self.by_ratio() {
            Some(nominal) => self.standard() * (self.standard() / nominal * sigmas).exp(),
            None => self.standard(),
        }
    }

    fn by_ratio(&self) -> Option<f64> {
        let positive = matches!(self.scale, SpreadScale::Ohms | SpreadScale::Share);
        (positive && self.nominal > 0.0).then_some(self.nominal)
    }
}

/// Half-width of the tolerance of a source resistance that a manual row states, as a fraction.
pub const STATED_SOURCE: f64 = 0.20;

/// Half of the distance between the limits of a wiper in the middle of its track, as a share of the travel. There the
/// logarithm of [`SpreadScale::Travel`] changes four times as fast: `d ln(s/(1−s))/ds = 1/(s(1−s))`.
const WIPER_TRAVEL: f64 = 0.05;

/// The defaults: the kind of number, half of the distance between its limits, these in words, and where
/// they come from.
macro_rules! defaults {
    ($($name:ident: $what:literal, $half_width:expr, $limits:literal, $source:literal;)+) => {
        $(pub(crate) const $name: DefaultSpread = DefaultSpread {
            what: $what,
            half_width: $half_width,
            limits: $limits,
            source: $source,
        };)+

        /// The defaults, for `check` and the docs.
        pub const DEFAULT_SPREADS: &[DefaultSpread] = &[$($name),+];
    };
}

defaults! {
    RESISTOR: "resistor, potentiometer", 0.20, "±20 %",
        "common practice, no source: the unmarked tolerance of composition resistors";
    WIPER: "position of a wiper", 4.0 * WIPER_TRAVEL, "±5 % of travel",
        "common practice, no source: a knob is set by eye to half a division of ten; less towards the ends, which are exact";
    WIPER_ANYWHERE: "unstated position of a wiper", 2.0, "0 … 100 % of travel",
        "own: the standard deviation of its logarithm is, by the tangent in the middle, that of a position even over the travel";
    WINDING: "winding resistance", 0.10, "±10 %", "common practice, no source";
    SUPPLY: "supply or battery volts", 0.05, "±5 %", "common practice, no source";
    SOURCE: "resistance of a source", 0.30, "±30 %", "common practice, no source";
    STATED: "source resistance stated for a point", STATED_SOURCE, "±20 %",
        "common practice, no source: as good as the resistors it is reckoned from";
    LEAK: "leakage of a capacitor", 0.70, "±70 %",
        "common practice, no source: it is a guess to begin with";
    LAMP: "lamp", 0.20, "±20 %", "common practice, no source";
    EMISSION: "emission of a tube", 0.30, "±30 %",
        "measured: 46 sections of one type scatter by 15 to 36 %, 28 power pentodes by 13.5 %; production limits of other types are −25 to +35 %";
    AMPLIFICATION: "amplification factor of a tube", 0.10, "±10 %",
        "from memory of makers' data: ±10 to ±15 % in production";
    CONTACT: "contact potential of a tube", 0.3, "±0.3 V", "from memory of makers' data";
    DIODE_CONTACT: "contact potential of a diode", 0.4, "±0.4 V",
        "from memory of makers' data: its current starts between −0.2 and −0.9 V";
    GRID_ONSET: "start of a tube's grid current", 0.3, "±0.3 V",
        "from memory of makers' data: it starts between −0.3 and −1 V";
    GRID_PERVEANCE: "grid current of a tube", std::f64::consts::LN_2, "factor 2",
        "common practice, no source";
    OSCILLATOR: "grid current of an oscillating converter", std::f64::consts::LN_2, "factor 2",
        "data sheets ask for 0.2 to 0.6 mA";
    SWING: "swing of an oscillator's grid", 0.5, "factor 1.65",
        "common practice, no source: it changes over a band and with the tube";
    SCREEN_SHARE: "share of a screen in the space current", 0.26, "factor 1.3",
        "from memory of makers' data: screen currents scatter by 25 to 40 %";
    GAS: "gas current of a tube", 0.1e-6, "±0.1 µA",
        "production sheets: 0.2 µA at most for new tubes";
    KNEE: "knee or breakdown volts", 0.05, "±5 %", "common practice, no source";
    SLOPE: "resistance of a knee or a junction", 0.5, "factor 1.65", "common practice, no source";
    SATURATION: "saturation current of a junction", 0.7, "factor 2",
        "common practice, no source: ±18 mV of forward voltage";
    SATURATION_OF_A_KIND: "saturation current of a transistor without type number", 1.4, "factor 4",
        "own: small types of one material in the catalogue have 0.5 to 5 times that of the one taken for them; specimens as above";
    JUNCTION_LEAK: "leakage of a diode", 1.1, "factor 3", "common practice, no source";
    GAIN: "current gain", 0.5, "factor 1.65", "data sheets print ranges of 1 to 3";
    REVERSE_GAIN: "reverse current gain of a transistor", 1.1, "factor 3",
        "common practice, no source: data sheets do not print it";
    COLLECTOR: "collector resistance of a transistor", 1.1, "factor 3",
        "from memory of data sheets: their greatest saturated volts are 2 to 3 times the usual ones";
    COLLECTOR_LEAK: "leakage of a transistor", 0.7, "factor 2", "common practice, no source";
    EARLY: "Early voltage of a transistor", 0.5, "factor 1.65", "common practice, no source";
    DRAIN: "drain current of a field-effect transistor", 0.5, "factor 1.65",
        "data sheets print ranges of 1 to 5";
    PINCH_OFF: "pinch-off volts", 1.0, "±1 V", "common practice, no source";
}

impl DefaultSpread {
    /// Limits as a share of the number, and where they come from.
    pub(crate) fn of(
        self,
        nominal: f64,
        stated: Option<f64>,
        scale: SpreadScale,
    ) -> (PartSpread, &'static str) {
        let spread = PartSpread {
            nominal,
            half_width: nominal.abs() * stated.unwrap_or(self.half_width),
            scale,
            basis: match stated {
                Some(_) => SpreadBasis::Stated,
                None => SpreadBasis::Assumed,
            },
            what: self.what,
        };
        match stated {
            Some(_) => (spread, "stated in the netlist"),
            None => (spread, self.source),
        }
    }

    /// Limits of a change on this scale, and where they come from.
    pub(crate) fn by(self, scale: SpreadScale) -> (PartSpread, &'static str) {
        let spread = PartSpread {
            nominal: 0.0,
            half_width: self.half_width,
            scale,
            basis: SpreadBasis::Assumed,
            what: self.what,
        };
        (spread, self.source)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numbers::spread_of;
    use crate::parameter::PartParameter;
    use crate::part::{Part, PartKind, Resistor};

    fn resistor(tolerance: Option<f64>) -> Part {
        Part::new(
            "R1",
            PartKind::Resistor(Resistor {
                ohms: 220e3,
                tolerance,
            }),
            Vec::new(),
        )
    }

    #[test]
    fn a_stated_tolerance_is_taken_as_stated_and_a_missing_one_is_said_to_be_assumed() {
        // 5 % and 20 % of 220 kΩ, by hand.
        let stated = spread_of(&resistor(Some(0.05)), PartParameter::Resistance);
        assert!((stated.half_width - 11e3).abs() < 1e-6);
        assert_eq!(stated.basis, SpreadBasis::Stated);
        let assumed = spread_of(&resistor(None), PartParameter::Resistance);
        assert!((assumed.half_width - 44e3).abs() < 1e-6);
        assert_eq!(assumed.basis, SpreadBasis::Assumed);
    }

    #[test]
    fn ohms_go_by_their_logarithm_and_never_below_zero() {
        // σ of 20 % is 0.1155 of the value: e^0.1155 − 1 = 0.1224 for one σ, by hand.
        let spread = spread_of(&resistor(Some(0.2)), PartParameter::Resistance);
        assert!((spread.change(1.0) / 220e3 - 0.122_401).abs() < 1e-6);
        assert!(spread.change(-100.0) > -220e3);
        // The slope against a central difference of steps of 1e-4: error of order 1e-8.
        let difference = (spread.change(1.0001) - spread.change(0.9999)) / 2e-4;
        assert!((spread.slope(1.0) / difference - 1.0).abs() < 1e-7);
    }
}
