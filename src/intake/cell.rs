//! Reads one cell into the value of its field.

use std::collections::BTreeMap;

use compact_str::CompactString;

use super::date::{self, DayMonth};
use super::number::{self, Decimal, NoNumber};
use super::{hours, ratio, sentences, word};
use crate::findings::{Code, name};
use crate::policy::Policy;
use crate::records::{Field, Kind, Value};
use crate::units::{Dimension, Unit, find_unit};
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
}

/// A cell read: its value and perhaps something to say about it.
#[derive(Debug)]
pub(super) struct CellRead {
    pub(super) value: Option<Value>,
    pub(super) finding: Option<(&'static Code, String, Option<String>)>,
}

impl CellRead {
    fn good(value: Value) -> Self {
        Self { value: Some(value), finding: None }
    }
    fn noted(value: Value, code: &'static Code, message: String) -> Self {
        Self { value: Some(value), finding: Some((code, message, None)) }
    }
    fn bad(code: &'static Code, message: String, hint: Option<String>) -> Self {
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
        return CellRead { value: None, finding: Some((&name::MISSING_WORD, message, None)) };
    }
    match column.field.kind() {
        Kind::Text => text(column, raw),
        Kind::Word(_) => read_word(column.field, &raw.shown(), policy),
        Kind::Flag => read_flag(column, raw),
        Kind::Date => read_date(column, raw),
        Kind::Ratio => read_ratio(column, raw),
        Kind::Number(dimension) => read_number(column, dimension, raw, format, policy),
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
        Some(read) if read.mapped && field == Field::consequence => CellRead::noted(
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

fn read_flag(column: &Column, raw: &Raw) -> CellRead {
    let flag = match raw {
        Raw::Flag(flag) => Some(*flag),
        Raw::Number(n) if *n == 0.0 || (*n - 1.0).abs() < f64::EPSILON => Some(*n > 0.5),
        raw => word::flag(&raw.shown()),
    };
    match flag {
        Some(flag) => CellRead::good(Value::Flag(flag)),
        None => CellRead::bad(
            &name::UNKNOWN_WORD,
            format!("{} is `{}`; wanted yes or no", column.field.heading(), raw.shown()),
            None,
        ),
    }
}

/// Amounts have two decimals or none, whatever the column's other numbers do.
fn decimal_for(column: &Column, dimension: Dimension) -> Decimal {
    if dimension == Dimension::Money { Decimal::Unknown } else { column.decimal }
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

fn read_date(column: &Column, raw: &Raw) -> CellRead {
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

fn read_number(
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
            let unit = unit.filter(|u| number::same_family(u.dimension, dimension));
            (if shown.is_some() { n * 100.0 } else { *n }, unit, false)
        }
        Raw::Text(text) => match number::read(text, decimal_for(column, dimension)) {
            Ok(q) => (q.value, q.unit, q.decided),
            Err(why) => {
                let bare = a_day(column.field, text)
                    .or_else(|| at_once(column.field, text))
                    .or_else(|| starts(column.field, text))
                    .or_else(|| by_what_it_can_be(column.field, why))
                    .map(|value| (value, None));
                let longer = || safe_end(column, text, why);
                match bare.or_else(longer).or_else(|| among_words(column, text)) {
                    Some((value, unit)) => (value, unit, true),
                    None => return refused(heading, text, why, dimension, policy),
                }
            }
        },
        Raw::Time(serial) if is_24_7(column, *serial) => (24.0, None, true),
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
    if value <= 0.0 && must_be_positive(column.field, dimension) {
        let message = format!("{heading} is {value}, which cannot be; it counts as unknown");
        return CellRead::bad(&name::NOT_A_NUMBER, message, None);
    }
    if let Some(why) = impossible(column.field, value) {
        let message = format!("{heading} is {}, {why}; it counts as unknown", raw.shown());
        let inches = value * 25.4;
        let hint = (dimension == Dimension::Length && impossible(column.field, inches).is_none())
            .then(|| format!("if it is in inches, it is {inches:.1} mm"));
        return CellRead::bad(&name::NOT_A_NUMBER, message, hint);
    }
    if decided {
        let message = format!("{heading} `{}` was read as {value}", raw.shown());
        return CellRead::noted(Value::Number(value), &name::DECIDED_NUMBER, message);
    }
    CellRead::good(Value::Number(value))
}

/// What was done, where an event is a sentence.
fn said_of_event(field: Field, text: &str) -> Option<&'static str> {
    if field == Field::event { sentences::event(text) } else { None }
}

/// Starts an hour from starts a day or a shift.
fn starts(field: Field, text: &str) -> Option<f64> {
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
fn at_once(field: Field, text: &str) -> Option<f64> {
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
fn safe_end(column: &Column, text: &str, why: NoNumber) -> Option<(f64, Option<Unit>)> {
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
    let (_, high) = plain.rsplit_once(['-', '…']).or_else(|| plain.rsplit_once("to"))?;
    number::read(high, column.decimal).ok().map(|q| (q.value, q.unit))
}

/// A number among words that say its kind: `hollow 100 mm`, `Ø80h6x140`, `1.5 (AGMA)`.
fn among_words(column: &Column, text: &str) -> Option<(f64, Option<Unit>)> {
    const WORDS: [&str; 22] = [
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
fn a_day(field: Field, text: &str) -> Option<f64> {
    if field == Field::hours_per_day { hours::a_day(text) } else { None }
}

/// `24/7` that a spreadsheet took for 24 July.
fn is_24_7(column: &Column, serial: f64) -> bool {
    let date = date::from_serial(serial + column.epoch_shift);
    column.field == Field::hours_per_day
        && date.is_some_and(|date| (date.month(), date.day()) == (7, 24))
}

/// Why a value cannot be, where the field has bounds that nothing real passes.
pub(super) fn impossible(field: Field, value: f64) -> Option<&'static str> {
    /// No plant has a figure above this; beyond it sums lose their meaning.
    const LARGEST: f64 = 1e9;
    let (low, high) = match field {
        Field::hours_per_day => (0.0, 24.0),
        Field::efficiency => (5.0, 100.0),
        Field::ambient_c => (-80.0, 200.0),
        Field::altitude_m => (-500.0, 9000.0),
        Field::shaft_offset_mm => (-LARGEST, LARGEST),
        Field::motor_speed_rpm | Field::max_input_speed_rpm | Field::rated_input_speed_rpm => {
            (20.0, 50_000.0)
        }
        Field::output_shaft_mm | Field::input_shaft_mm | Field::driven_shaft_mm => (4.0, 2_000.0),
        Field::rated_torque_nm => (0.05, 2e7),
        Field::mass_kg => (0.1, 150_000.0),
        Field::shaft_height_mm => (20.0, 2_000.0),
        Field::listed_service_factor => (0.3, 12.0),
        Field::motor_power_kw | Field::rated_power_kw => (0.005, 100_000.0),
        Field::poles => (2.0, 100.0),
        _ => (0.0, LARGEST),
    };
    if value < low {
        Some("less than can be")
    } else if value > high {
        Some("more than can be")
    } else {
        None
    }
}

fn must_be_positive(field: Field, dimension: Dimension) -> bool {
    use Dimension as D;
    matches!(dimension, D::Power | D::Torque | D::Speed | D::Mass | D::Frequency | D::Voltage)
        || (dimension == D::Length && field != Field::shaft_offset_mm)
}

/// The one reading of an ambiguous number that the field can hold.
fn by_what_it_can_be(field: Field, why: NoNumber) -> Option<f64> {
    let NoNumber::Ambiguous(decimal, joined) = why else { return None };
    let range = match field {
        Field::motor_speed_rpm | Field::rated_input_speed_rpm | Field::max_input_speed_rpm => {
            100.0..=6000.0
        }
        Field::hours_per_day => 0.0..=24.0,
        Field::motor_voltage_v => 100.0..=15_000.0,
        Field::poles => 2.0..=24.0,
        // Amounts have two decimals or none.
        field if field.kind() == Kind::Number(Dimension::Money) => {
            return Some(f64::from_bits(joined));
        }
        _ => return None,
    };
    let (decimal, joined) = (f64::from_bits(decimal), f64::from_bits(joined));
    match (range.contains(&decimal), range.contains(&joined)) {
        (true, false) => Some(decimal),
        (false, true) => Some(joined),
        _ => None,
    }
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
        NoNumber::Text if dimension == Dimension::Money => money(heading, text, policy),
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

/// An amount with a currency: `USD 1,250` or `1250 $`.
fn money(heading: &str, text: &str, policy: &Policy) -> CellRead {
    const SIGNS: [(&str, &str); 6] =
        [("€", "EUR"), ("$", "USD"), ("£", "GBP"), ("CHF", "CHF"), ("EUR", "EUR"), ("USD", "USD")];
    let upper = text.to_uppercase();
    let Some((sign, code)) = SIGNS.into_iter().find(|(sign, _)| upper.contains(sign)) else {
        return CellRead::bad(
            &name::NOT_A_NUMBER,
            format!("{heading} is `{text}`, not an amount"),
            None,
        );
    };
    let bare = upper.replace(sign, "");
    let value = match number::read(bare.trim(), Decimal::Unknown) {
        Ok(q) => q.value,
        Err(NoNumber::Ambiguous(_, joined)) => f64::from_bits(joined),
        Err(_) => {
            return CellRead::bad(
                &name::NOT_A_NUMBER,
                format!("{heading} is `{text}`, not an amount"),
                None,
            );
        }
    };
    if code == policy.currency {
        return CellRead::good(Value::Number(value));
    }
    let rates: &BTreeMap<String, f64> = &policy.currency_rates;
    match rates.get(code) {
        Some(rate) => CellRead::good(Value::Number(value * rate)),
        None => CellRead::bad(
            &name::OTHER_CURRENCY,
            format!("{heading} is in {code}, the policy's currency is {}", policy.currency),
            Some(format!("add `{code} = …` to [currency_rates] in policy.toml")),
        ),
    }
}
