//! Numbers as people say them: starts a day, `sofort`, ranges, `hollow 100 mm`.

use super::cell::Column;
use super::number::{self, NoNumber};
use super::{date, hours};
use crate::records::Field;
use crate::units::Unit;

/// Starts an hour from starts a day or a shift.
pub(super) fn starts(field: Field, text: &str) -> Option<f64> {
    const SPANS: [(&str, f64); 7] = [
        ("/day", 24.0),
        ("per day", 24.0),
        ("/d", 24.0),
        ("a day", 24.0),
        ("/shift", 8.0),
        ("per shift", 8.0),
        ("/tag", 24.0),
    ];
    let low = text.trim().to_lowercase();
    let found = SPANS.iter().find_map(|(end, hours)| Some((low.strip_suffix(end)?, *hours)));
    let (count, hours) = found.filter(|_| field == Field::starts_per_hour)?;
    count.trim().parse::<f64>().ok().map(|n| n / hours)
}

/// Lead times of what is in stock.
pub(super) fn at_once(field: Field, text: &str) -> Option<f64> {
    const WORDS: [&str; 10] = [
        "sofort",
        "stock",
        "immediate",
        "immediately",
        "ex stock",
        "from stock",
        "ab lager",
        "en stock",
        "pronta",
        "inmediato",
    ];
    let said = WORDS.contains(&text.trim().to_lowercase().as_str());
    (field == Field::lead_time_days && said).then_some(0.0)
}

/// The end of a range that is on the safe side, where a field has one: the longer wait, more hours,
/// more starts, the warmer room.
pub(super) fn safe_end(column: &Column, text: &str, why: NoNumber) -> Option<(f64, Option<Unit>)> {
    const SAFE_ABOVE: [Field; 5] = [
        Field::lead_time_days,
        Field::hours_per_day,
        Field::starts_per_hour,
        Field::ambient_c,
        Field::repair_days,
    ];
    if why != NoNumber::Range || !SAFE_ABOVE.contains(&column.field) {
        return None;
    }
    let plain = number::plain(text).replace('–', "-");
    let between = [" to ", " à ", " a ", " bis ", "..."];
    let by_word = between.iter().find_map(|word| plain.rsplit_once(word));
    let (_, high) =
        by_word.or_else(|| plain.rsplit_once(['-', '…'])).or_else(|| plain.rsplit_once("to"))?;
    number::read(high, column.decimal).ok().map(|q| (q.value, q.unit))
}

/// A number among words that say its kind: `hollow 100 mm`, `Ø80h6x140`, `1.5 (AGMA)`.
pub(super) fn among_words(column: &Column, text: &str) -> Option<(f64, Option<Unit>)> {
    const WORDS: [&str; 25] = [
        "dry",
        "net",
        "each",
        "hollow",
        "solid",
        "keyed",
        "bore",
        "shaft",
        "dia",
        "diameter",
        "hohlwelle",
        "vollwelle",
        "welle",
        "bohrung",
        "arbre",
        "creux",
        "plein",
        "eje",
        "hueco",
        "macizo",
        "albero",
        "cavo",
        "foro",
        "d",
        "sf",
    ];
    // `1 (at repair)` is none on hand: what stands in brackets behind a count changes it.
    if matches!(column.field, Field::quantity | Field::on_order | Field::at_repair) {
        return None;
    }
    let plain = number::plain(text);
    let before = match plain.rfind('(') {
        Some(at) if at > 0 && plain.ends_with(')') => plain[..at].trim_end(),
        _ => plain.as_str(),
    };
    let is_word =
        |word: &&str| WORDS.contains(&word.to_lowercase().trim_end_matches([':', '.', '=']));
    let bare: Vec<&str> = before.split(' ').filter(|w| !is_word(w)).collect();
    let bare = bare.join(" ");
    let is_shaft = matches!(
        column.field,
        Field::output_shaft_mm | Field::input_shaft_mm | Field::driven_shaft_mm
    );
    let read = |text: &str| number::read(text, column.decimal).ok().map(|q| (q.value, q.unit));
    if bare != plain
        && let Some(found) = read(&bare)
    {
        return Some(found);
    }
    // Diameter times length, with or without a fit: the first is the diameter.
    let (first, length) = bare.split_once(['x', '×', 'X']).filter(|_| is_shaft)?;
    let is_length = length.trim().starts_with(|c: char| c.is_ascii_digit());
    if is_length { read(first) } else { None }
}

/// Hours a day in the words of plants.
pub(super) fn a_day(field: Field, text: &str) -> Option<f64> {
    if field == Field::hours_per_day { hours::a_day(text) } else { None }
}

/// `24/7` that a spreadsheet took for 24 July.
pub(super) fn is_24_7(column: &Column, serial: f64) -> bool {
    let date = date::from_serial(serial + column.epoch_shift);
    column.field == Field::hours_per_day
        && date.is_some_and(|date| (date.month(), date.day()) == (7, 24))
}
