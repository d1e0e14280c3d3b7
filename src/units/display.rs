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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kilowatt_reads_as_horsepower_where_asked() {
        let shown = show(7.456_999, Dimension::Power, System::Us);
        assert!((shown.value - 10.0).abs() < 1e-6);
        assert_eq!(shown.to_string(), "10.00 hp");
    }
}
