//! Reads a cell of a number: its unit, its bounds, and why it cannot be read.

use super::cell::{CellRead, Column};
use super::number::{self, Decimal, NoNumber};
use super::{bounds, money, spoken};
use crate::findings::name;
use crate::policy::Policy;
use crate::records::{Field, Value};
use crate::units::{Dimension, Unit, find_unit};
use crate::workbook::{NumberFormat, Raw};

/// Reads a cell of a number with its unit.
pub(super) fn read(
    column: &Column,
    dimension: Dimension,
    raw: &Raw,
    format: Option<&NumberFormat>,
    policy: &Policy,
) -> CellRead {
    let heading = column.field.heading();
    let (value, own_unit, decided) = match raw {
        Raw::Number(n) => {
            let shown = format.filter(|f| f.percent && dimension == Dimension::Percent);
            let unit = format.and_then(|f| find_unit(&f.suffix));
            if let Some(unit) = unit.filter(|u| contradicts(u.dimension, dimension)) {
                let message =
                    format!("{heading} is {n}, and its number format says {}", unit.symbol);
                let hint = "correct the format, or move the value".to_owned();
                return CellRead::bad(&name::WRONG_UNIT, message, Some(hint));
            }
            let unit = unit.filter(|u| number::same_family(u.dimension, dimension));
            (if shown.is_some() { n * 100.0 } else { *n }, unit, false)
        }
        Raw::Text(text) if dimension == Dimension::Money && money::named(text).is_some() => {
            return money::read(heading, text, policy);
        }
        Raw::Text(text) => match number::read(text, decimal_for(column, dimension)) {
            Ok(q) => (q.value, q.unit, q.decided),
            Err(why) => match otherwise(column, dimension, text, why) {
                Some((value, unit)) => (value, unit, true),
                None => return refused(heading, text, why, dimension, policy),
            },
        },
        Raw::Time(serial) if spoken::is_24_7(column, *serial) => (24.0, None, true),
        Raw::Flag(_) | Raw::Time(_) | Raw::Elapsed(_) => {
            let kind = if matches!(raw, Raw::Flag(_)) { "yes or no" } else { "a time or date" };
            let message = format!("{heading} is {kind} (`{}`), not a number", raw.shown());
            return CellRead::bad(
                &name::NOT_A_NUMBER,
                message,
                Some("format the cell as a number".into()),
            );
        }
    };
    let unit = own_unit.or(column.unit);
    if unit.is_none() && column.own_units_only {
        let message =
            format!("{heading} is `{}` without a unit, and its column has none", raw.shown());
        let hint = format!("write it with its unit, as `{} {}`", raw.shown(), dimension.symbol());
        return CellRead::bad(&name::NO_UNIT, message, Some(hint));
    }
    // `1 day` stands for 24 h where the cell itself says so; `Hours per day` is in no days.
    let times = [Dimension::Hours, Dimension::Days];
    let said_here = own_unit.is_some() && column.field != Field::hours_per_day;
    if let Some(unit) = unit
        && !number::same_family(unit.dimension, dimension)
        && !(said_here && times.contains(&unit.dimension) && times.contains(&dimension))
    {
        if let Raw::Text(text) = raw
            && digits_for_letters(text).is_some()
        {
            return refused(heading, text, NoNumber::Text, dimension, policy);
        }
        let message = format!("{heading} is in {}, which does not belong here", unit.symbol);
        return CellRead::bad(&name::WRONG_UNIT, message, None);
    }
    let mut value = unit.map_or(value, |unit| unit.to_record(value));
    if let Some(unit) = unit {
        value *= match (unit.dimension, dimension) {
            (Dimension::Distance, Dimension::Length) => 1e3,
            (Dimension::Length, Dimension::Distance) => 1e-3,
            (Dimension::Days, Dimension::Hours) => 24.0,
            (Dimension::Hours, Dimension::Days) => 1.0 / 24.0,
            _ => 1.0,
        };
    }
    if dimension == Dimension::Percent && column.field == Field::efficiency && value <= 1.0 {
        value *= 100.0;
    }
    if value <= 0.0 && bounds::must_be_positive(column.field, dimension) {
        let message = format!("{heading} is {value}, which cannot be; it counts as unknown");
        return CellRead::bad(&name::NOT_A_NUMBER, message, None);
    }
    if let Some(why) = bounds::impossible(column.field, value) {
        let message = format!("{heading} is {}, {why}; it counts as unknown", raw.shown());
        let inches = value * 25.4;
        let hint = (dimension == Dimension::Length
            && bounds::impossible(column.field, inches).is_none())
        .then(|| format!("if it is in inches, it is {inches:.1} mm"));
        return CellRead::bad(&name::NOT_A_NUMBER, message, hint);
    }
    if let Some(code) = currency_of(column, dimension, format) {
        return money::converted(heading, value, code, policy);
    }
    if decided {
        let message = format!("{heading} `{}` was read as {value}", raw.shown());
        return CellRead::noted(Value::Number(value), &name::DECIDED_NUMBER, message);
    }
    CellRead::good(Value::Number(value))
}

/// What a text that is no plain number says all the same: a habit of its field, the one reading that
/// can be, the safe end of a range.
fn otherwise(
    column: &Column,
    dimension: Dimension,
    text: &str,
    why: NoNumber,
) -> Option<(f64, Option<Unit>)> {
    let bare = spoken::a_day(column.field, text)
        .or_else(|| spoken::at_once(column.field, text))
        .or_else(|| spoken::starts(column.field, text))
        .or_else(|| bounds::by_what_it_can_be(column.field, why));
    bare.map(|value| (value, None))
        .or_else(|| bounds::by_its_unit(column, dimension, text, why))
        .or_else(|| spoken::safe_end(column, text, why))
        .or_else(|| spoken::among_words(column, text))
}

/// Whether a unit in a number format cannot be meant of a field: both are of the trade, and differ.
fn contradicts(shown: Dimension, wanted: Dimension) -> bool {
    use Dimension as D;
    let of_trade =
        |d| matches!(d, D::Power | D::Torque | D::Speed | D::Frequency | D::Voltage | D::Force);
    of_trade(shown) && of_trade(wanted) && shown != wanted
}

/// The currency that the number format shows, else that of the heading.
fn currency_of(
    column: &Column,
    dimension: Dimension,
    format: Option<&NumberFormat>,
) -> Option<&'static str> {
    if dimension != Dimension::Money {
        return None;
    }
    let shown = format.and_then(|f| money::named(&f.prefix).or_else(|| money::named(&f.suffix)));
    shown.map(|(code, _)| code).or(column.currency)
}

/// Amounts have two decimals or none, whatever the column's other numbers do.
fn decimal_for(column: &Column, dimension: Dimension) -> Decimal {
    if dimension == Dimension::Money { Decimal::Unknown } else { column.decimal }
}

fn refused(
    heading: &str,
    text: &str,
    why: NoNumber,
    dimension: Dimension,
    policy: &Policy,
) -> CellRead {
    match why {
        NoNumber::Ambiguous(decimal, joined) => CellRead::bad(
            &name::AMBIGUOUS_NUMBER,
            format!(
                "{heading} is `{text}`, which is {} or {}",
                f64::from_bits(decimal),
                f64::from_bits(joined)
            ),
            Some("type it without the sign between the thousands".into()),
        ),
        NoNumber::TwoValues => CellRead::bad(
            &name::NOT_A_NUMBER,
            format!("{heading} is `{text}`, two values that do not say the same"),
            Some("type the right one".into()),
        ),
        NoNumber::Range => CellRead::bad(
            &name::NOT_A_NUMBER,
            format!("{heading} is `{text}`, a range; one number is wanted"),
            None,
        ),
        NoNumber::Text if dimension == Dimension::Money => money::read(heading, text, policy),
        NoNumber::Text => {
            let hint = digits_for_letters(text)
                .map(|digits| format!("a letter may stand for a digit; did you mean `{digits}`?"));
            CellRead::bad(&name::NOT_A_NUMBER, format!("{heading} is `{text}`, not a number"), hint)
        }
    }
}

/// The text with digits for the letters that look like them, if that makes a number of it.
fn digits_for_letters(text: &str) -> Option<String> {
    let digits = text.replace(['l', 'I'], "1").replace('O', "0");
    let is_number = number::read(&digits, Decimal::Unknown).is_ok_and(|q| q.unit.is_none());
    (digits != text && is_number).then_some(digits)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(crate::units::depth::cases())]

        /// A number with a unit behind it, in one cell, with the sign that parts decimals.
        #[test]
        fn a_number_keeps_its_unit(hundredths in 1_u32..10_000_000, unit in 0..6_usize, comma in any::<bool>(), gap in any::<bool>()) {
            let symbol = ["kW", "mm", "kg", "hp", "in", "lb"][unit];
            let value = f64::from(hundredths) / 100.0;
            let digits = format!("{value:.2}");
            let digits = if comma { digits.replace('.', ",") } else { digits };
            let text = format!("{digits}{}{symbol}", if gap { " " } else { "" });
            let sign = if comma { Decimal::Comma } else { Decimal::Point };
            let got = number::read(&text, sign).expect("a number");
            prop_assert!((got.value - value).abs() < 1e-9 && got.unit.is_some_and(|u| u.symbol == symbol), "{}", text);
        }
    }
}
