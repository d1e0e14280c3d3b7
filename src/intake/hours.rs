//! Hours a day as plants write them: `24/7`, `3 shifts`, `2 x 8`, `16 h/day`, `continuous`.

use super::number::{self, Decimal, plain};

/// A shift; common practice, no source.
const SHIFT_H: f64 = 8.0;

/// Words for a shift in English, German, French, Spanish and Italian.
const SHIFTS: [&str; 12] = [
    "shifts",
    "shift",
    "schichten",
    "schichtig",
    "schicht",
    "équipes",
    "équipe",
    "postes",
    "turnos",
    "turno",
    "turni",
    "shft",
];

/// Words for running all day.
const ALL_DAY: [&str; 12] = [
    "continuous",
    "continuously",
    "cont",
    "cont.",
    "24h",
    "dauerbetrieb",
    "dauernd",
    "continu",
    "en continu",
    "continuo",
    "rund um die uhr",
    "all day",
];

/// Numbers as words, where shifts are counted.
const COUNTS: [(&str, f64); 12] = [
    ("single", 1.0),
    ("one", 1.0),
    ("double", 2.0),
    ("two", 2.0),
    ("three", 3.0),
    ("triple", 3.0),
    ("ein", 1.0),
    ("zwei", 2.0),
    ("drei", 3.0),
    ("deux", 2.0),
    ("trois", 3.0),
    ("tres", 3.0),
];

/// Hours a day of a text, where it is more than a number; `None` if it is not understood.
pub(super) fn a_day(text: &str) -> Option<f64> {
    let low = plain(text).to_lowercase();
    if ALL_DAY.contains(&low.as_str()) {
        return Some(24.0);
    }
    let hours = shifts(&low).or_else(|| times(&low)).or_else(|| per_day(&low));
    hours.filter(|h| (0.0..=24.0).contains(h))
}

/// `3 shifts`, `3-shift`, `dreischichtig`.
fn shifts(low: &str) -> Option<f64> {
    let word = SHIFTS.iter().find(|w| low.contains(**w))?;
    let count = low.replace(word, " ").replace(['-', '(', ')', '/'], " ");
    let count = count.split_whitespace().next()?;
    let number = count.parse().ok().or_else(|| COUNTS.iter().find(|c| c.0 == count).map(|c| c.1));
    number.map(|n: f64| n * SHIFT_H)
}

/// `2 x 8` are hours in shifts; `24/7`, `16/5` and `24x7` are hours a day and days a week.
fn times(low: &str) -> Option<f64> {
    let mut numbers = low
        .split(['/', 'x', '×'])
        .map(|part| part.trim().trim_end_matches(['h', 'd', '.', ' ']).trim().parse::<f64>().ok());
    let (a, b) = (numbers.next()??, numbers.next()??);
    let weeks = numbers.next();
    match weeks {
        Some(third) if third != Some(365.0) && third != Some(52.0) => None,
        _ if a <= 4.0 && (6.0..=12.0).contains(&b) && !low.contains('/') => Some(a * b),
        _ if a > 4.0 && a <= 24.0 && (1.0..=7.0).contains(&b) => Some(a),
        _ => None,
    }
}

/// `16 h/day`, `8 hours per day`.
fn per_day(low: &str) -> Option<f64> {
    const ENDS: [&str; 10] = [
        "/day", "/d", "per day", "a day", "/tag", "pro tag", "/jour", "par jour", "/día", "/giorno",
    ];
    let head = ENDS.iter().find_map(|end| low.strip_suffix(end))?.trim();
    let read = number::read(head, Decimal::Unknown).ok()?;
    let hours = read.unit.is_none_or(|u| u.symbol == "h");
    hours.then_some(read.value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_are_read_as_plants_write_them() {
        for (text, want) in [
            ("24/7", Some(24.0)),
            ("24x7", Some(24.0)),
            ("24/7/365", Some(24.0)),
            ("16/5", Some(16.0)),
            ("3 shifts", Some(24.0)),
            ("2-shift", Some(16.0)),
            ("three shifts", Some(24.0)),
            ("2-schichtig", Some(16.0)),
            ("3 x 8", Some(24.0)),
            ("2x8 h", Some(16.0)),
            ("16 h/day", Some(16.0)),
            ("8 hrs per day", Some(8.0)),
            ("continuous", Some(24.0)),
            ("Dauerbetrieb", Some(24.0)),
            ("3 équipes", Some(24.0)),
            ("4 shifts", None),
            ("5/8", None),
            ("often", None),
            ("7/24/11", None),
            ("", None),
        ] {
            assert_eq!(a_day(text), want, "{text}");
        }
    }
}
