//! What a column's values say about its meaning: a column of 1450s is a speed.

use super::date::{self, DayMonth};
use super::number::{self, Decimal, NoNumber};
use super::{bounds, fill, hours, ratio, sentences, word};
use crate::gearing::Train;
use crate::records::{Field, Kind};
use crate::standards::{pole_counts, standard_powers, synchronous_speed_rpm};
use crate::workbook::Raw;

/// A column's meaning is judged by this many of its values.
const LOOKED_AT: usize = 200;

/// Fewer values than this say nothing.
const FEWEST: usize = 5;

/// The content of a column below its heading, as far as it is looked at.
pub(super) fn below<'a>(cells: impl Iterator<Item = &'a Raw>) -> Vec<&'a Raw> {
    let says = |raw: &&Raw| {
        !fill::is_ditto(raw) && !matches!(raw, Raw::Text(text) if number::is_missing(text))
    };
    cells.filter(says).take(LOOKED_AT).collect()
}

/// The share of values that `field` could hold; `None` where too few say anything.
pub(super) fn readable(field: Field, values: &[&Raw]) -> Option<f64> {
    (values.len() >= FEWEST).then(|| share(values, |raw| could_be(field, raw)))
}

/// The likeliest of several meanings; the first where the values do not decide.
pub(super) fn likeliest(fields: &[Field], values: &[&Raw]) -> Option<Field> {
    let mut best = (*fields.first()?, 0.0);
    for field in fields {
        let fits = share(values, |raw| typical(*field, raw));
        // A text column can hold anything, which proves nothing.
        let proves = [
            Field::gear_train,
            Field::description,
            Field::driven_machine,
            Field::hours_per_day,
            Field::driver,
            Field::output_connection,
        ]
        .contains(field);
        let weight = if proves || field.kind() != Kind::Text { 1.0 } else { 0.6 };
        if fits * weight > best.1 + 1e-9 {
            best = (*field, fits * weight);
        }
    }
    Some(best.0)
}

/// What a column with an unknown heading looks like, in words.
pub(super) fn looks_like(values: &[&Raw]) -> Option<&'static str> {
    if values.len() < FEWEST {
        return None;
    }
    let most = |test: &dyn Fn(&Raw) -> bool| share(values, test) >= 0.8;
    if most(&|raw| number_of(raw).is_some_and(is_motor_speed)) {
        Some("motor_speed_rpm")
    } else if most(
        &|raw| matches!(raw, Raw::Text(t) if t.contains(':') && ratio::parse(t, Decimal::Unknown).is_some()),
    ) {
        Some("ratio")
    } else if most(
        &|raw| matches!(raw, Raw::Text(t) if crate::standards::find_flange(t.trim()).is_some()),
    ) {
        Some("input_flange")
    } else if most(&|raw| matches!(raw, Raw::Text(t) if Train::read(t).is_some())) {
        Some("gear_train")
    } else if most(&|raw| number_of(raw).is_some_and(is_standard_power)) {
        Some("motor_power_kw")
    } else {
        None
    }
}

fn share(values: &[&Raw], fits: impl Fn(&Raw) -> bool) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    values.iter().filter(|raw| fits(raw)).count() as f64 / values.len() as f64
}

fn number_of(raw: &Raw) -> Option<f64> {
    match raw {
        Raw::Number(n) => Some(*n),
        Raw::Text(text) => match number::read(text, Decimal::Unknown) {
            Ok(q) => Some(q.value),
            // Two readings: the larger is the usual one where it matters here.
            Err(NoNumber::Ambiguous(_, joined)) => Some(f64::from_bits(joined)),
            Err(_) => None,
        },
        _ => None,
    }
}

/// An induction motor runs up to a tenth below a synchronous speed of 50 or 60 Hz.
pub(super) fn is_motor_speed(n: f64) -> bool {
    let runs_at = |hz: f64| {
        pole_counts().iter().any(|p| (0.92..=1.0).contains(&(n / synchronous_speed_rpm(hz, *p))))
    };
    runs_at(50.0) || runs_at(60.0)
}

fn is_standard_power(n: f64) -> bool {
    standard_powers("kW").iter().any(|p| (n / p - 1.0).abs() < 0.005)
}

/// Whether `field` could hold the value at all.
fn could_be(field: Field, raw: &Raw) -> bool {
    match field.kind() {
        Kind::Text => true,
        Kind::Word(_) => {
            let said = || field == Field::event && sentences::event(&raw.shown()).is_some();
            field == Field::consequence || word::read(field, &raw.shown()).is_some() || said()
        }
        Kind::Flag => {
            matches!(raw, Raw::Flag(_) | Raw::Number(_)) || word::flag(&raw.shown()).is_some()
        }
        Kind::Date => match raw {
            Raw::Time(_) => true,
            Raw::Number(n) => (1950.0..2100.0).contains(n),
            raw => date::parse(&raw.shown(), Some(DayMonth::DayFirst)).is_some(),
        },
        Kind::Ratio => match raw {
            Raw::Text(text) => {
                ratio::parse(text, Decimal::Unknown).is_some()
                    || number_of(raw).is_some_and(|n| n > 0.0)
                    || ratio::from_date_text(text).is_some()
            }
            Raw::Number(n) => *n > 0.0,
            _ => true,
        },
        Kind::Number(_) => match raw {
            Raw::Text(text) if text.chars().any(|c| c.is_ascii_digit()) => true,
            raw => number_of(raw).is_some_and(|n| {
                // A share of one stands for per cent.
                let n = if field == Field::efficiency && n <= 1.0 { 100.0 * n } else { n };
                bounds::impossible(field, n).is_none()
            }),
        },
    }
}

/// Whether the value is what `field` usually holds.
fn typical(field: Field, raw: &Raw) -> bool {
    let within = |low: f64, high: f64| number_of(raw).is_some_and(|n| (low..=high).contains(&n));
    match field {
        Field::motor_speed_rpm | Field::rated_input_speed_rpm => within(500.0, 6000.0),
        Field::output_speed_rpm | Field::wanted_speed_rpm => within(0.01, 499.9),
        Field::gear_train => matches!(raw, Raw::Text(t) if Train::read(t).is_some()),
        Field::description => matches!(raw, Raw::Text(t) if super::describe::speaks_of_a_unit(t)),
        Field::shaft_height_mm => within(20.0, 2000.0),
        Field::driven_machine => {
            matches!(raw, Raw::Text(t) if crate::standards::find_machine(t).is_some())
        }
        Field::hours_per_day => match raw {
            Raw::Text(text) => hours::a_day(text).is_some() || within(0.1, 24.0),
            _ => within(0.1, 24.0),
        },
        Field::area => {
            matches!(raw, Raw::Text(t) if crate::standards::find_machine(t).is_none())
        }
        field => could_be(field, raw),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers(values: &[f64]) -> Vec<Raw> {
        values.iter().map(|v| Raw::Number(*v)).collect()
    }

    #[test]
    fn a_speed_is_told_by_its_size() {
        let both = [Field::motor_speed_rpm, Field::output_speed_rpm];
        let fast = numbers(&[1450.0, 1460.0, 975.0, 2920.0]);
        let slow = numbers(&[58.0, 36.5, 112.0, 4.2]);
        assert_eq!(likeliest(&both, &fast.iter().collect::<Vec<_>>()), Some(both[0]));
        assert_eq!(likeliest(&both, &slow.iter().collect::<Vec<_>>()), Some(both[1]));
        assert_eq!(likeliest(&both, &[]), Some(both[0]));
    }

    #[test]
    fn an_unknown_column_of_1450s_looks_like_a_speed() {
        let values = numbers(&[1450.0, 1460.0, 975.0, 1470.0, 2920.0]);
        assert_eq!(looks_like(&values.iter().collect::<Vec<_>>()), Some("motor_speed_rpm"));
        let values = numbers(&[3.0, 17.0, 19.0, 23.0, 41.0]);
        assert_eq!(looks_like(&values.iter().collect::<Vec<_>>()), None);
    }
}
