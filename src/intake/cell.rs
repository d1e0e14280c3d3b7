//! Reads one cell into the value of its field.

use compact_str::CompactString;

use super::date::{self, DayMonth};
use super::number::{self, Decimal, NoNumber};
use super::{quantity, ratio, sentences, word};
use crate::findings::{Code, name};
use crate::policy::Policy;
use crate::records::{Field, Kind, Value};
use crate::units::Unit;
use crate::workbook::{NumberFormat, Raw};

/// What is known of a column before its cells are read.
#[derive(Clone, Debug)]
pub(super) struct Column {
    pub(super) field: Field,
    pub(super) unit: Option<Unit>,
    pub(super) decimal: Decimal,
    pub(super) order: Option<DayMonth>,
    pub(super) epoch_shift: f64,
    /// Whether ratios may be recovered from times and dates.
    pub(super) recover: bool,
    /// Whether only cells that say their own unit can be read.
    pub(super) own_units_only: bool,
    /// The currency that the heading names.
    pub(super) currency: Option<&'static str>,
}

/// A cell read: its value and perhaps something to say about it.
#[derive(Debug)]
pub(super) struct CellRead {
    pub(super) value: Option<Value>,
    pub(super) finding: Option<(&'static Code, String, Option<String>)>,
}

impl CellRead {
    pub(super) fn good(value: Value) -> Self {
        Self { value: Some(value), finding: None }
    }
    pub(super) fn noted(value: Value, code: &'static Code, message: String) -> Self {
        Self { value: Some(value), finding: Some((code, message, None)) }
    }
    pub(super) fn bad(code: &'static Code, message: String, hint: Option<String>) -> Self {
        Self { value: None, finding: Some((code, message, hint)) }
    }
}

/// Reads a cell of `column`.
pub(super) fn read(
    column: &Column,
    raw: &Raw,
    format: Option<&NumberFormat>,
    policy: &Policy,
) -> CellRead {
    if let Raw::Text(text) = raw
        && number::is_missing(text)
    {
        let message = format!("{} is `{}`: not known", column.field.heading(), text.trim());
        // A zone that nobody knows is no place without one.
        if column.field == Field::zone && text.contains(['?', 'u', 'U', 't', 'T']) {
            let value = Value::Text(text.trim().into());
            return CellRead::noted(value, &name::MISSING_WORD, message);
        }
        // A name may look like a word for nothing.
        let is_name =
            matches!(column.field, Field::item | Field::tag | Field::serial | Field::part);
        if is_name && text.trim().len() >= 2 && text.trim().bytes().all(|b| b.is_ascii_uppercase())
        {
            return CellRead::good(Value::Text(text.trim().into()));
        }
        return CellRead { value: None, finding: Some((&name::MISSING_WORD, message, None)) };
    }
    match column.field.kind() {
        Kind::Text => text(column, raw),
        Kind::Word(_) => read_word(column.field, &raw.shown(), policy),
        Kind::Flag => read_flag(column, raw),
        Kind::Date => read_date(column, raw),
        Kind::Ratio => read_ratio(column, raw),
        Kind::Number(dimension) => quantity::read(column, dimension, raw, format, policy),
    }
}

fn text(column: &Column, raw: &Raw) -> CellRead {
    if let Raw::Text(text) = raw
        && !text.contains('+')
    {
        return CellRead::good(Value::Text(one_line(text)));
    }
    let shown = match raw {
        Raw::Time(serial) => match date::from_serial(serial + column.epoch_shift) {
            Some(date) if column.field == Field::tag => {
                let message = format!("the tag is a date, {date}");
                let hint = "type it as text".to_owned();
                return CellRead::bad(&name::UNUSUAL, message, Some(hint));
            }
            Some(date) => date.to_string(),
            None => raw.shown(),
        },
        raw => raw.shown(),
    };
    if let Some(why) = lost_digits(column.field, raw) {
        let message = format!("{} is {shown}, {why}", column.field.heading());
        return CellRead::noted(Value::Text(one_line(&shown)), &name::UNUSUAL, message);
    }
    CellRead::good(Value::Text(one_line(&shown)))
}

/// Why a name that was stored as a number is not what was typed.
fn lost_digits(field: Field, raw: &Raw) -> Option<&'static str> {
    use Field as F;
    let is_name = [F::tag, F::serial, F::item, F::order_code, F::part, F::model].contains(&field);
    match raw {
        Raw::Number(n) if is_name && n.abs() >= 1e15 => Some(
            "a number of more than 15 digits, whose last ones a spreadsheet loses; type it as text",
        ),
        Raw::Text(text) if is_name && is_scientific(text) => Some(
            "which may be a name like 2E10 that a spreadsheet took for a number; type it as text",
        ),
        _ => None,
    }
}

/// `2E+169`: how a spreadsheet saves a name that it took for a number.
fn is_scientific(text: &str) -> bool {
    let Some((digits, power)) = text.trim().split_once(['E', 'e']) else { return false };
    power.starts_with('+')
        && power.len() > 1
        && power[1..].bytes().all(|b| b.is_ascii_digit())
        && digits.parse::<f64>().is_ok()
}

/// Text with single blanks and no ends.
fn one_line(text: &str) -> CompactString {
    let single = |pair: &[u8]| !(pair[0] == b' ' && pair[1] == b' ');
    let tidy = text.bytes().all(|b| (b' '..0x7F).contains(&b))
        && !text.starts_with(' ')
        && !text.ends_with(' ')
        && text.as_bytes().windows(2).all(single);
    if tidy { text.into() } else { text.split_whitespace().collect::<Vec<_>>().join(" ").into() }
}

fn read_word(field: Field, text: &str, policy: &Policy) -> CellRead {
    let heading = field.heading();
    if field == Field::consequence {
        if let Some(at) =
            policy.consequence_order.iter().position(|w| w.eq_ignore_ascii_case(text.trim()))
        {
            const CLASSES: [&str; 4] = ["people", "line", "slow", "minor"];
            return CellRead::good(Value::Text(CLASSES[at.min(3)].into()));
        }
        if text.trim().parse::<f64>().is_ok() {
            return CellRead::bad(
                &name::CONSEQUENCE_NUMBER,
                format!("{heading} is `{text}`; a number could run either way"),
                Some("add `consequence_order = [\"1\", \"2\", \"3\", \"4\"]`, worst first, to policy.toml".into()),
            );
        }
    }
    match word::read(field, text) {
        Some(read) if read.mapped && is_told(field, text) => CellRead::noted(
            Value::Text(read.word.into()),
            &name::WORD_MAPPED,
            format!("{heading} `{text}` was taken as `{}`", read.word),
        ),
        Some(read) => CellRead::good(Value::Text(read.word.into())),
        None => match said_of_event(field, text) {
            Some(event) => CellRead::noted(
                Value::Text(event.into()),
                &name::WORD_MAPPED,
                format!("{heading} `{text}` was taken as `{event}`"),
            ),
            None => CellRead::bad(
                &name::UNKNOWN_WORD,
                format!("{heading} is `{text}`; wanted one of: {}", word::allowed(field)),
                None,
            ),
        },
    }
}

/// Whether a word that was taken for one of the program's own is worth a note.
fn is_told(field: Field, text: &str) -> bool {
    matches!(field, Field::consequence | Field::condition | Field::position_state | Field::ruling)
        || text.trim().contains([' ', ',', '(', '?'])
}

fn read_flag(column: &Column, raw: &Raw) -> CellRead {
    let flag = match raw {
        Raw::Flag(flag) => Some(*flag),
        Raw::Number(n) if *n == 0.0 || (*n - 1.0).abs() < f64::EPSILON => Some(*n > 0.5),
        raw => word::flag(&raw.shown()),
    };
    match flag {
        Some(flag) => CellRead::good(Value::Flag(flag)),
        // A kind of brake is a brake.
        None if column.field == Field::brake && names_a_brake(&raw.shown()) => CellRead::noted(
            Value::Flag(true),
            &name::WORD_MAPPED,
            format!("Brake `{}` was taken as `yes`", raw.shown()),
        ),
        None => CellRead::bad(
            &name::UNKNOWN_WORD,
            format!("{} is `{}`; wanted yes or no", column.field.heading(), raw.shown()),
            None,
        ),
    }
}

fn names_a_brake(text: &str) -> bool {
    const KINDS: [&str; 9] =
        ["disc", "disk", "drum", "electromagnetic", "spring", "brake", "bremse", "frein", "motor"];
    let low = text.to_lowercase();
    let turned =
        ["no ", "not ", "removed", "without", "ohne", "sans"].iter().any(|w| low.contains(w));
    !turned && KINDS.iter().any(|kind| low.contains(kind))
}

/// The day number that a spreadsheet shows for a date without its format: 1954 to 2119.
fn as_serial(raw: &Raw) -> Option<f64> {
    let number = match raw {
        Raw::Number(n) => *n,
        Raw::Text(text) => text.trim().parse().ok()?,
        _ => return None,
    };
    (20_000.0..80_000.0).contains(&number).then_some(number)
}

/// Words for a date that never was.
const NEVER: [&str; 7] = ["never", "not yet", "nie", "noch nie", "jamais", "nunca", "mai"];

fn read_date(column: &Column, raw: &Raw) -> CellRead {
    if let Raw::Text(text) = raw
        && NEVER.contains(&text.trim().to_lowercase().as_str())
    {
        let message = format!("{} is `{}`: no date", column.field.heading(), text.trim());
        return CellRead { value: None, finding: Some((&name::MISSING_WORD, message, None)) };
    }
    let found = match raw {
        Raw::Time(serial) => date::from_serial(serial + column.epoch_shift),
        Raw::Number(n) if (1950.0..2100.0).contains(n) => date::parse(&raw.shown(), None),
        Raw::Text(text) => date::parse(text, column.order),
        _ => None,
    };
    if let (None, Some(day)) = (found, as_serial(raw)) {
        let date = date::from_serial(day + column.epoch_shift);
        let heading = column.field.heading();
        return match date {
            Some(date) => CellRead::noted(
                Value::Date(date),
                &name::DECIDED_NUMBER,
                format!("{heading} `{}` was read as {date}, the day of that number", raw.shown()),
            ),
            None => CellRead { value: None, finding: None },
        };
    }
    match found {
        Some(date) if !(1900..=2100).contains(&date.year()) => CellRead::bad(
            &name::DATE_AS_TEXT,
            format!("{} is {date}, which cannot be", column.field.heading()),
            None,
        ),
        Some(date) => CellRead::good(Value::Date(date)),
        None => CellRead::bad(
            &name::DATE_AS_TEXT,
            format!(
                "{} is `{}`, which is no date that can be told",
                column.field.heading(),
                raw.shown()
            ),
            Some("type it as 2026-10-31".into()),
        ),
    }
}

fn read_ratio(column: &Column, raw: &Raw) -> CellRead {
    let heading = column.field.heading();
    let recovered = match raw {
        Raw::Number(n) => {
            return ratio_found(ratio::whole(*n), heading, raw);
        }
        Raw::Text(text) => {
            let read = ratio::parse(text, column.decimal);
            return match ratio::from_date_text(text).filter(|_| read.is_none() && column.recover) {
                Some((value, typed)) => CellRead::noted(
                    Value::Number(value),
                    &name::RECOVERED_RATIO,
                    format!("{heading} {typed} was recovered from the date `{}`", text.trim()),
                ),
                None => ratio_found(read, heading, raw),
            };
        }
        Raw::Flag(_) => None,
        Raw::Elapsed(days) => ratio::from_time(*days),
        Raw::Time(days) if *days < 15.0 => ratio::from_time(*days),
        Raw::Time(serial) => {
            date::from_serial(serial + column.epoch_shift).and_then(ratio::from_date)
        }
    };
    let shown = match raw {
        Raw::Time(serial) if *serial >= 15.0 => date::from_serial(serial + column.epoch_shift)
            .map_or_else(|| raw.shown(), |date| format!("date {date}")),
        Raw::Time(days) | Raw::Elapsed(days) => format!("time {}", clock(*days)),
        raw => format!("`{}`", raw.shown()),
    };
    match recovered {
        Some((value, typed)) if column.recover => CellRead::noted(
            Value::Number(value),
            &name::RECOVERED_RATIO,
            format!("{heading} {typed} was recovered from the {shown}"),
        ),
        _ => CellRead::bad(
            &name::LOST_RATIO,
            format!("{heading} is the {shown}; the ratio typed cannot be told"),
            Some("type it again as text, as 25:1".into()),
        ),
    }
}

/// A part of days as a spreadsheet shows it: hours, minutes, and seconds if there are any.
fn clock(days: f64) -> String {
    let seconds = (days * 86_400.0).round() as u64;
    let (hours, minutes) = (seconds / 3600, seconds / 60 % 60);
    match seconds % 60 {
        0 => format!("{hours}:{minutes:02}"),
        rest => format!("{hours}:{minutes:02}:{rest:02}"),
    }
}

/// No train of gears has more; common practice, no source.
const LARGEST_RATIO: f64 = 20_000.0;

/// Whether a text can be read in two ways, so that the column decided.
fn was_decided(raw: &Raw) -> bool {
    let Raw::Text(text) = raw else { return false };
    matches!(number::read(text, Decimal::Unknown), Err(NoNumber::Ambiguous(..)))
}

/// Both readings of a number that nothing decides.
fn two_readings(raw: &Raw) -> Option<(f64, f64)> {
    let Raw::Text(text) = raw else { return None };
    match number::read(text, Decimal::Unknown) {
        Err(NoNumber::Ambiguous(a, b)) => Some((f64::from_bits(a), f64::from_bits(b))),
        _ => None,
    }
}

fn ratio_found(found: Option<ratio::RatioRead>, heading: &str, raw: &Raw) -> CellRead {
    match found {
        Some(found) if found.inverted && !raw.shown().contains(['1', ':']) => CellRead::noted(
            Value::Number(found.value),
            &name::RATIO_BELOW_ONE,
            format!(
                "{heading} {} was read as output over input: {:.4}; a unit that speeds up is none that this program rates",
                raw.shown(),
                found.value
            ),
        ),
        Some(found) if found.value > LARGEST_RATIO => CellRead::bad(
            &name::NOT_A_RATIO,
            format!(
                "{heading} is {}, more than any train has; it may have been a date",
                raw.shown()
            ),
            Some("type it again as text, as 25:1".into()),
        ),
        Some(found) if was_decided(raw) => CellRead::noted(
            Value::Number(found.value),
            &name::DECIDED_NUMBER,
            format!("{heading} `{}` was read as {}", raw.shown(), found.value),
        ),
        Some(found) => CellRead::good(Value::Number(found.value)),
        None if two_readings(raw).is_some() => {
            let (decimal, joined) = two_readings(raw).unwrap_or_default();
            CellRead::bad(
                &name::AMBIGUOUS_NUMBER,
                format!("{heading} is `{}`, which is {decimal} or {joined}", raw.shown()),
                Some("type it without the sign between the thousands".into()),
            )
        }
        None => {
            let text = raw.shown();
            let digits = text.replace(['l', 'I'], "1").replace('O', "0");
            let hint = (digits != text && ratio::parse(&digits, Decimal::Unknown).is_some())
                .then(|| format!("a letter may stand for a digit; did you mean `{digits}`?"));
            CellRead::bad(&name::NOT_A_RATIO, format!("{heading} is `{text}`, not a ratio"), hint)
        }
    }
}

/// What was done, where an event is a sentence.
fn said_of_event(field: Field, text: &str) -> Option<&'static str> {
    if field == Field::event { sentences::event(text) } else { None }
}
