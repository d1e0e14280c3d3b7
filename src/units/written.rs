//! Units as people write them in headings and cells.

use std::collections::HashMap;
use std::sync::LazyLock;

use super::{HORSEPOWER, INCH, METRIC_HORSEPOWER, POUND, POUND_FORCE, STANDARD_GRAVITY};

/// What kind of thing a number measures; each kind has one unit in the records.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Power (kW).
    Power,
    /// Torque (N·m).
    Torque,
    /// Rotational speed (r/min).
    Speed,
    /// Length (mm).
    Length,
    /// Long length: lift, altitude (m).
    Distance,
    /// Mass (kg).
    Mass,
    /// Force (N).
    Force,
    /// Temperature (°C).
    Temperature,
    /// Hours (h).
    Hours,
    /// Days (d).
    Days,
    /// Frequency (Hz).
    Frequency,
    /// Voltage (V).
    Voltage,
    /// Volume (L).
    Volume,
    /// Money in the policy's currency.
    Money,
    /// Share, written as per cent (%).
    Percent,
    /// Belt speed (m/s).
    Velocity,
    /// Mass flow (t/h).
    MassFlow,
    /// Moment of inertia (kg·m²).
    Inertia,
    /// A plain number: count, factor, ratio.
    Plain,
}

impl Dimension {
    /// The symbol of the unit in which records hold this dimension.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Power => "kW",
            Self::Torque => "N·m",
            Self::Speed => "r/min",
            Self::Length => "mm",
            Self::Distance => "m",
            Self::Mass => "kg",
            Self::Force => "N",
            Self::Temperature => "°C",
            Self::Hours => "h",
            Self::Days => "d",
            Self::Frequency => "Hz",
            Self::Voltage => "V",
            Self::Volume => "L",
            Self::Percent => "%",
            Self::Velocity => "m/s",
            Self::MassFlow => "t/h",
            Self::Inertia => "kg·m²",
            Self::Money | Self::Plain => "",
        }
    }

    /// Whether a number without any unit may be taken in the record's unit: nobody writes
    /// revolutions, hours, volts or counts in anything else.
    #[must_use]
    pub const fn needs_no_unit(self) -> bool {
        matches!(
            self,
            Self::Speed
                | Self::Hours
                | Self::Days
                | Self::Frequency
                | Self::Voltage
                | Self::Money
                | Self::Percent
                | Self::Velocity
                | Self::MassFlow
                | Self::Inertia
                | Self::Plain
        )
    }
}

/// A unit as written, and how to bring it to the unit of the records.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// The symbol by which talk names it.
    pub symbol: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Record units in one of these.
    pub factor: f64,
    /// Added after the factor (temperatures only).
    pub offset: f64,
}

impl Unit {
    /// `value` of this unit in the unit of the records.
    #[must_use]
    pub fn to_record(self, value: f64) -> f64 {
        value * self.factor + self.offset
    }
}

type Row = (&'static str, Dimension, f64, &'static str);

const LBF_IN: f64 = POUND_FORCE * INCH;

/// Symbol, dimension, factor, spellings (normalised: lower case, no spaces, dots or dashes).
#[rustfmt::skip]
const UNITS: &[Row] = &[
    ("kW", Dimension::Power, 1.0, "kw kilowatt kilowatts"),
    ("W", Dimension::Power, 1e-3, "w watt watts"),
    ("hp", Dimension::Power, HORSEPOWER / 1e3, "hp bhp horsepower"),
    ("PS", Dimension::Power, METRIC_HORSEPOWER / 1e3, "ps cv ch pk"),
    ("MW", Dimension::Power, 1e3, "megawatt"),
    ("N·m", Dimension::Torque, 1.0, "nm newtonmetre newtonmetres newtonmeter"),
    ("kN·m", Dimension::Torque, 1e3, "knm"),
    ("daN·m", Dimension::Torque, 10.0, "danm"),
    ("kgf·m", Dimension::Torque, STANDARD_GRAVITY, "kgfm kgm kpm mkg"),
    ("lbf·in", Dimension::Torque, LBF_IN, "lbin inlb inlbs lbfin lbsin poundinch #in"),
    ("lbf·ft", Dimension::Torque, LBF_IN * 12.0, "lbft ftlb ftlbs lbfft"),
    ("r/min", Dimension::Speed, 1.0, "rpm r/min /min 1/min min1 upm umin u/min tr/min trmin t/min giri/min girimin min^1 revmin rev/min rev/mn tpm"),
    ("mm", Dimension::Length, 1.0, "mm millimetre millimetres"),
    ("cm", Dimension::Length, 10.0, "cm"),
    ("in", Dimension::Length, 25.4, "in inch inches \""),
    ("m", Dimension::Distance, 1.0, "m metre metres meter"),
    ("ft", Dimension::Distance, 0.3048, "ft feet"),
    ("kg", Dimension::Mass, 1.0, "kg kilogram kgs"),
    ("lb", Dimension::Mass, POUND, "lb lbs pounds #"),
    ("t", Dimension::Mass, 1e3, "t tonne tonnes"),
    ("N", Dimension::Force, 1.0, "n newton"),
    ("kN", Dimension::Force, 1e3, "kn"),
    ("lbf", Dimension::Force, POUND_FORCE, "lbf"),
    ("kgf", Dimension::Force, STANDARD_GRAVITY, "kgf kp dan"),
    ("°C", Dimension::Temperature, 1.0, "c °c degc celsius"),
    ("°F", Dimension::Temperature, 1.0 / 1.8, "f °f degf fahrenheit"),
    ("h", Dimension::Hours, 1.0, "h hr hrs hour hours hpd h/day hrs/day hours/day h/d std std/d"),
    ("d", Dimension::Days, 1.0, "d j day days tag tage jour jours día dia días dias giorno giorni"),
    ("weeks", Dimension::Days, 7.0, "wk wks week weeks wo sem sett woche wochen semaine semaines semana semanas settimana settimane"),
    ("months", Dimension::Days, 30.0, "month months mois monat monate mes meses mese mesi"),
    ("min", Dimension::Hours, 1.0 / 60.0, "min mins minutes minuten"),
    ("Hz", Dimension::Frequency, 1.0, "hz"),
    ("V", Dimension::Voltage, 1.0, "v volt volts"),
    ("L", Dimension::Volume, 1.0, "l litre litres liter ltr"),
    ("gal", Dimension::Volume, 3.785_411_784, "gal usgal"),
    ("%", Dimension::Percent, 1.0, "% pct percent"),
    ("m/s", Dimension::Velocity, 1.0, "m/s"),
    ("ft/min", Dimension::Velocity, 0.3048 / 60.0, "fpm ft/min"),
    ("t/h", Dimension::MassFlow, 1.0, "t/h tph"),
    ("kg·m²", Dimension::Inertia, 1.0, "kgm2 kgm²"),
    ("per hour", Dimension::Plain, 1.0, "/h 1/h perhour per hour"),
    ("pcs", Dimension::Plain, 1.0, "pcs pc ea each st stk pce set sets satz jeu"),
];

/// Recognises a unit in `text`, whatever its spacing, dots, dashes or case.
///
/// ```
/// use sparemesh::units::find_unit;
/// assert_eq!(find_unit("lb-in").unwrap().symbol, "lbf·in");
/// assert_eq!(find_unit("N.m").unwrap().symbol, "N·m");
/// assert_eq!(find_unit("kW").unwrap().factor, 1.0);
/// ```
#[must_use]
pub fn find_unit(text: &str) -> Option<Unit> {
    /// No spelling is longer, signs that do not count among them.
    const LONGEST: usize = 24;
    if text.len() > LONGEST {
        return None;
    }
    let wanted: String = text
        .trim()
        .chars()
        .filter(|c| !matches!(c, ' ' | '.' | '·' | '-' | '*' | '×' | '⋅' | '(' | ')' | '[' | ']'))
        .flat_map(char::to_lowercase)
        .map(|c| if matches!(c, '″' | '”' | '“') { '"' } else { c })
        .collect();
    if wanted.is_empty() {
        return None;
    }
    if text.trim() == "MW" {
        return find_unit("megawatt");
    }
    let &&(symbol, dimension, factor, _) = BY_SPELLING.get(wanted.as_str())?;
    let offset = if symbol == "°F" { -32.0 / 1.8 } else { 0.0 };
    Some(Unit { symbol, dimension, factor, offset })
}

/// The units by each of their spellings.
static BY_SPELLING: LazyLock<HashMap<&'static str, &'static Row>> = LazyLock::new(|| {
    let spelled = |row: &'static Row| row.3.split(' ').map(move |spelling| (spelling, row));
    // Of two units with one spelling the first counts.
    UNITS.iter().rev().flat_map(spelled).collect()
});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_spelling_stands_for_two_units() {
        let mut seen = std::collections::BTreeMap::new();
        for (symbol, _, _, spellings) in UNITS {
            for spelling in spellings.split(' ').filter(|s| *s != "per" && *s != "hour") {
                if let Some(other) = seen.insert(spelling, symbol) {
                    panic!("`{spelling}` is both {other} and {symbol}");
                }
            }
        }
    }

    #[test]
    fn temperatures_have_an_offset() {
        let unit = find_unit("°F").expect("known");
        assert!((unit.to_record(104.0) - 40.0).abs() < 1e-12);
    }
}
