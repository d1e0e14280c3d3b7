//! Calendar dates: serial numbers and text.

use jiff::{ToSpan, civil::Date};

use super::number::plain;

/// Which of day and month a column writes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum DayMonth {
    /// 31/10/2026.
    DayFirst,
    /// 10/31/2026.
    MonthFirst,
}

/// The date of a spreadsheet's serial day in the 1900 system.
pub(super) fn from_serial(serial: f64) -> Option<Date> {
    if !(1.0..200_000.0).contains(&serial) {
        return None;
    }
    // Spreadsheets count a 29 February 1900 that never was.
    let days = serial.floor() as i64 + i64::from(serial < 60.0);
    Date::constant(1899, 12, 30).checked_add(days.days()).ok()
}

/// What a column's texts say about the order of day and month.
pub(super) fn order<'a>(texts: impl Iterator<Item = &'a str>) -> Option<DayMonth> {
    let mut found = None;
    for text in texts {
        let parts = numbers(&plain(text));
        let [a, b, _] = parts[..] else { continue };
        if (13..=31).contains(&a) && b <= 12 {
            found = Some(DayMonth::DayFirst);
        } else if (13..=31).contains(&b) && a <= 12 {
            return Some(DayMonth::MonthFirst);
        }
    }
    found
}

fn numbers(text: &str) -> Vec<i64> {
    text.split(['/', '.', '-', ' '])
        .filter(|p| !p.is_empty())
        .map_while(|p| p.parse().ok())
        .collect()
}

const MONTHS: [&str; 12] =
    ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// Reads a date; day first with dots, else by the column's order.
pub(super) fn parse(text: &str, order: Option<DayMonth>) -> Option<Date> {
    let text = plain(text);
    let day = text.split(['T', ' ']).next().unwrap_or(&text);
    let date_part = if day.contains(['/', '.', '-']) { day } else { text.as_str() };
    let date = |y: i64, m: i64, d: i64| {
        let y = if (0..100).contains(&y) { if y < 70 { 2000 + y } else { 1900 + y } } else { y };
        Date::new(y.try_into().ok()?, m.try_into().ok()?, d.try_into().ok()?).ok()
    };
    let parts = numbers(date_part);
    match parts[..] {
        [y, m, d] if y > 31 => date(y, m, d),
        [d, m, y] if date_part.contains('.') => date(y, m, d),
        [a, b, y] => match order {
            Some(DayMonth::DayFirst) => date(y, b, a),
            Some(DayMonth::MonthFirst) => date(y, a, b),
            None if a == b => date(y, a, b),
            None => None,
        },
        [y, m] if y > 1900 => date(y, m, 1),
        [m, y] if y > 1900 => date(y, m, 1),
        [y] if (1950..2100).contains(&y) && date_part.len() == 4 => date(y, 1, 1),
        _ => named_month(&text, date),
    }
}

/// Months as German, French, Spanish and Italian shorten them, where English does it otherwise.
const OTHER_MONTHS: &[(&str, i64)] = &[
    ("mär", 3),
    ("mrz", 3),
    ("mai", 5),
    ("okt", 10),
    ("dez", 12),
    ("janv", 1),
    ("fév", 2),
    ("fev", 2),
    ("avr", 4),
    ("juin", 6),
    ("juil", 7),
    ("aoû", 8),
    ("aou", 8),
    ("déc", 12),
    ("ene", 1),
    ("abr", 4),
    ("ago", 8),
    ("dic", 12),
    ("gen", 1),
    ("mag", 5),
    ("giu", 6),
    ("lug", 7),
    ("set", 9),
    ("ott", 10),
];

/// The month that a word names.
fn month_number(word: &str) -> Option<i64> {
    if word.chars().count() < 3 || !word.chars().all(char::is_alphabetic) {
        return None;
    }
    let other = OTHER_MONTHS.iter().find(|(m, _)| word.starts_with(m)).map(|(_, n)| *n);
    other.or_else(|| MONTHS.iter().position(|m| word.starts_with(m)).map(|at| at as i64 + 1))
}

/// A month's name and one number: `25-Jan`, `Jan-60`, `1. Apr`.
pub(super) fn day_and_month(text: &str) -> Option<(i64, i64)> {
    let low = plain(text).to_lowercase();
    let words: Vec<&str> =
        low.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let [a, b] = words[..] else { return None };
    match (month_number(a), month_number(b)) {
        (Some(m), None) => Some((b.parse().ok()?, m)),
        (None, Some(m)) => Some((a.parse().ok()?, m)),
        _ => None,
    }
}

fn named_month(text: &str, date: impl Fn(i64, i64, i64) -> Option<Date>) -> Option<Date> {
    let low = text.to_lowercase();
    let words: Vec<&str> =
        low.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let month = words.iter().find_map(|w| month_number(w))?;
    let numbers: Vec<i64> = words.iter().filter_map(|w| w.parse().ok()).collect();
    match numbers[..] {
        [y] => date(y, month, 1),
        [d, y] => date(y, month, d),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(crate::units::depth::cases())]

        #[test]
        fn no_text_makes_it_panic(text in ".{0,30}") {
            let _ = parse(&text, None);
            let _ = parse(&text, Some(DayMonth::DayFirst));
            let _ = day_and_month(&text);
            let _ = order([text.as_str()].into_iter());
        }

        /// The days of 1900-03-01 to 2147 come back from their serial, one after another, and from three ways of
        /// writing them.
        #[test]
        fn every_day_comes_back(serial in 61_u32..90_000) {
            let day = from_serial(f64::from(serial)).expect("a day");
            prop_assert_eq!((day - from_serial(f64::from(serial - 1)).expect("a day")).get_days(), i32::from(serial > 60));
            let (d, m, y) = (day.day(), day.month(), day.year());
            prop_assert_eq!(parse(&format!("{y:04}-{m:02}-{d:02}"), None), Some(day));
            prop_assert_eq!(parse(&format!("{d:02}.{m:02}.{y:04}"), None), Some(day));
            prop_assert_eq!(parse(&format!("{d}/{m}/{y}"), Some(DayMonth::DayFirst)), Some(day));
            prop_assert_eq!(parse(&format!("{m}/{d}/{y}"), Some(DayMonth::MonthFirst)), Some(day));
            let month = MONTHS[m as usize - 1];
            prop_assert_eq!(parse(&format!("{d} {month} {y}"), None), Some(day));
        }
    }

    #[test]
    fn dates_are_read_as_people_write_them() {
        let said = |t: &str| parse(t, None).map_or("?".into(), |d| d.to_string());
        assert_eq!(said("2026-10-31"), "2026-10-31");
        assert_eq!(said("31.10.2026"), "2026-10-31");
        assert_eq!(said("31 Oct 2026"), "2026-10-31");
        assert_eq!(said("2019"), "2019-01-01");
        assert_eq!(said("2026-10-31 14:30"), "2026-10-31");
        assert_eq!(said("03/04/2026"), "?");
        assert_eq!(order(["03/04/2026", "25/04/2026"].into_iter()), Some(DayMonth::DayFirst));
        assert_eq!(from_serial(45_682.0).map(|d| d.to_string()).as_deref(), Some("2025-01-25"));
    }
}
