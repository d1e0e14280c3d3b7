//! Showing quantities in the units a reader asked for.

use super::{Dimension, HORSEPOWER, INCH, POUND, POUND_FORCE};

/// The system of units for screen and workbook.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum System {
    /// kW, N·m, mm, kg.
    #[default]
    Si,
    /// hp, lbf·in, in, lb.
    Us,
}

/// A number and the symbol of its unit, ready to print.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// The value in the unit shown.
    pub value: f64,
    /// Its symbol; empty for plain numbers.
    pub symbol: &'static str,
}

/// Brings a record value to the unit of `system`.
#[must_use]
pub fn show(value: f64, dimension: Dimension, system: System) -> Shown {
    let (factor, symbol) = match (system, dimension) {
        (System::Us, Dimension::Power) => (HORSEPOWER / 1e3, "hp"),
        (System::Us, Dimension::Torque) => (POUND_FORCE * INCH, "lbf·in"),
        (System::Us, Dimension::Length) => (25.4, "in"),
        (System::Us, Dimension::Mass) => (POUND, "lb"),
        (System::Us, Dimension::Force) => (POUND_FORCE, "lbf"),
        (System::Us, Dimension::Distance) => (0.3048, "ft"),
        (System::Us, Dimension::Temperature) => {
            return Shown { value: value * 1.8 + 32.0, symbol: "°F" };
        }
        (_, dimension) => (1.0, dimension.symbol()),
    };
    Shown { value: value / factor, symbol }
}

impl std::fmt::Display for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let size = self.value.abs();
        let digits = if size >= 1000.0 || (self.value.fract() == 0.0 && size >= 10.0) {
            0
        } else if size >= 100.0 {
            1
        } else if self.value.fract() == 0.0 {
            0
        } else {
            2
        };
        write!(f, "{:.digits$}", self.value)?;
        if !self.symbol.is_empty() {
            write!(f, " {}", self.symbol)?;
        }
        Ok(())
    }
}

/// What a sentence holds of quantities, with the other system's beside each: `20 mm (0.787 in)`.
/// Numbers that share a unit (`300 x 200 mm`) are restated together; in SI nothing changes.
///
/// ```
/// use sparemesh::units::{System, beside};
/// assert_eq!(beside("packer of 20.0 mm", System::Us), "packer of 20.0 mm (0.787 in)");
/// assert_eq!(beside("holes 300 x 200 mm", System::Us), "holes 300 x 200 mm (11.811 x 7.874 in)");
/// assert_eq!(beside("at 11 kW, 2 mm", System::Si), "at 11 kW, 2 mm");
/// ```
#[must_use]
pub fn beside(text: &str, system: System) -> String {
    if system == System::Si {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len() + 32);
    let mut pending: Vec<f64> = Vec::new();
    for (at, word) in text.split(' ').enumerate() {
        if at > 0 {
            out.push(' ');
        }
        let bare = word.trim_end_matches([',', '.', ';', ':', ')', '?', '!']);
        let tail = &word[bare.len()..];
        let unit = RESTATED.iter().find(|(symbol, _)| *symbol == bare);
        if let (Some((_, dimension)), false) = (unit, pending.is_empty()) {
            let all: Vec<Shown> = pending.iter().map(|v| show(*v, *dimension, system)).collect();
            let digits = if *dimension == Dimension::Length { 3 } else { 1 };
            let numbers: Vec<String> =
                all.iter().map(|s| format!("{:.digits$}", s.value)).collect();
            out.push_str(&format!("{bare} ({} {}){tail}", numbers.join(" x "), all[0].symbol));
            pending.clear();
            continue;
        }
        match word.trim_start_matches(['(', '+', '−']).parse::<f64>() {
            Ok(value) => {
                if !out.ends_with(" x ") {
                    pending.clear();
                }
                pending.push(value);
            }
            Err(_) if word == "x" => {}
            Err(_) => pending.clear(),
        }
        out.push_str(word);
    }
    out
}

/// Symbols that a reader of the other system wants restated.
const RESTATED: [(&str, Dimension); 6] = [
    ("kW", Dimension::Power),
    ("N·m", Dimension::Torque),
    ("mm", Dimension::Length),
    ("kg", Dimension::Mass),
    ("N", Dimension::Force),
    ("°C", Dimension::Temperature),
];

/// A value in record units with their symbol, in the units of `system`: `60 mm` or `2.362 in`.
#[must_use]
pub fn restated(value: f64, symbol: &str, system: System) -> Option<String> {
    let (_, dimension) = RESTATED.iter().find(|(s, _)| *s == symbol)?;
    let shown = show(value, *dimension, system);
    (system == System::Us).then(|| match dimension {
        Dimension::Length => format!("{:.3} {}", shown.value, shown.symbol),
        _ => shown.to_string(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_keeps_its_own_numbers() {
        let us = |text| beside(text, System::Us);
        assert_eq!(us("not above 7.4569987 kW, set"), "not above 7.4569987 kW (10.0 hp), set");
        assert_eq!(us("5 of 30 N·m"), "5 of 30 N·m (265.5 lbf·in)");
        assert_eq!(us("a mm scale; N, 30 kWh"), "a mm scale; N, 30 kWh");
        assert_eq!(
            us("(now 310 x 200 mm), never"),
            "(now 310 x 200 mm (12.205 x 7.874 in)), never"
        );
    }

    #[test]
    fn a_kilowatt_reads_as_horsepower_where_asked() {
        let shown = show(7.456_999, Dimension::Power, System::Us);
        assert!((shown.value - 10.0).abs() < 1e-6);
        assert_eq!(shown.to_string(), "10.00 hp");
    }
}
