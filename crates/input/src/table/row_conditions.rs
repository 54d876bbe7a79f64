//! What a row of `manual.csv` states beside its value: the quantity, the signal, a source resistance, the
//! control positions.
//!
//! A row comes in; each goes out, or a diagnostic at its cell.

use circuit::{Quantity, Setting, SettingValue, Signal, Wave};
use units::{parse_cell, CellContent, Unit};

use crate::diagnostic::Diagnostic;
use crate::netlist::parse_settings;
use crate::table::decibel;
use crate::table::read_context::Drawn;
use crate::table::row::RowReader;
use crate::values::Reported;

/// Quantities as manuals write them, besides the names of [`Quantity`]; blanks are ignored.
const SPELLINGS: [(&str, Quantity); 6] = [
    ("vdc", Quantity::DcVolts),
    ("vac", Quantity::AcVolts),
    ("ohms", Quantity::Ohms),
    ("ω", Quantity::Ohms),
    ("madc", Quantity::DcMilliamperes),
    ("ma", Quantity::DcMilliamperes),
];

impl RowReader<'_> {
    pub(super) fn quantity(&self, out: &mut Vec<Diagnostic>) -> Result<Quantity, Reported> {
        let Some(words) = self.filled("quantity") else {
            return Ok(self.quantity_of_cell());
        };
        let plain = |text: &str| text.replace(char::is_whitespace, "").to_lowercase();
        let wanted = plain(&words.text);
        let named = Quantity::ALL
            .into_iter()
            .find(|q| plain(q.name()) == wanted);
        let spelled = SPELLINGS.iter().find(|(text, _)| *text == wanted);
        named
            .or(spelled.map(|(_, quantity)| *quantity))
            .ok_or_else(|| {
                let message = format!("'{}' is not a quantity", words.text);
                words.unknown(message, &Quantity::ALL.map(Quantity::name), out)
            })
    }

    /// The quantity of the value's cell, which may itself state alternating volts.
    fn quantity_of_cell(&self) -> Quantity {
        match parse_cell(&self.words("value").text, Quantity::default().unit()) {
            Ok(CellContent::Value(cell)) if cell.alternating == Some(true) => Quantity::AcVolts,
            _ if decibel::says_decibels(&self.words("value").text) => Quantity::AcVolts,
            _ => Quantity::default(),
        }
    }

    /// Frequency and wave of an alternating value.
    pub(super) fn signal(
        &self,
        quantity: Result<Quantity, Reported>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Signal, Reported> {
        let (freq, wave) = (self.filled("freq"), self.filled("wave"));
        if let (Ok(quantity), Some(words)) = (quantity, freq.as_ref().or(wave.as_ref())) {
            if quantity != Quantity::AcVolts {
                let what = self.what("freq");
                let message = format!("{what}: only alternating volts have a frequency and a wave");
                let help = "leave the cell empty, or write `ac V` in the column 'quantity'";
                out.push(Diagnostic::warning(words.span.clone(), message).help(help));
            }
        }
        let hertz = freq.map(|words| words.positive(Unit::Hertz, out));
        let wave = wave.map(|words| {
            let wanted = words.text.to_lowercase().replace([' ', '_'], "-");
            let known = Wave::WORDS.iter().find(|(word, _)| *word == wanted);
            known.map(|(_, wave)| *wave).ok_or_else(|| {
                let names = Wave::WORDS.map(|(word, _)| word);
                let help = format!("write one of: {}", names.join(", "));
                let error = words.error(format!("'{}' is no wave", words.text));
                error.help(help).report(out)
            })
        });
        Ok(Signal {
            hertz: hertz.transpose()?,
            wave: wave.transpose()?.unwrap_or_default(),
        })
    }

    /// The source resistance that the row states instead of a drawn circuit.
    pub(super) fn source(&self, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(words) = self.filled("source") else {
            return Ok(None);
        };
        let ohms = words.resistance(out)?;
        if let Some(circuit) = self.context.circuit.circuit() {
            let at = self.words("at").text;
            if circuit::resolve(circuit, &at, "", &self.context.commons).is_ok() {
                out.push(words.note("the stated ohms are used, not the drawn circuit"));
            }
        }
        Ok(Some(ohms))
    }

    /// What the row says was set, and done to parts. Ohms of a part with a lifted lead are its own.
    pub(super) fn settings(
        &self,
        quantity: Result<Quantity, Reported>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Vec<Setting>, Reported> {
        let Some(words) = self.filled("setting") else {
            return Ok(Vec::new());
        };
        let circuit = match self.context.circuit {
            Drawn::Whole(circuit) => circuit,
            // A control that seems to be missing may be in a line that could not be read.
            Drawn::Faulty(_) => return Ok(Vec::new()),
            Drawn::Absent => {
                out.push(words.warning("without a netlist there is no control to set"));
                return Ok(Vec::new());
            }
        };
        let mut settings = parse_settings(circuit, &words.text).map_err(|faults| {
            for fault in faults {
                let error = words.error_in(&fault.bytes, fault.message);
                out.push(error.help(fault.help));
            }
            Reported
        })?;
        if quantity == Ok(Quantity::Ohms) {
            let at = self.words("at").text;
            let own = circuit
                .part_named(&at)
                .filter(|_| circuit.node(&at).is_none());
            for setting in &mut settings {
                if Some(setting.part) == own && setting.value == SettingValue::Out {
                    setting.value = SettingValue::Alone;
                }
            }
        }
        Ok(settings)
    }
}
