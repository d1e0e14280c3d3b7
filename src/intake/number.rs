//! Quantities as people write them: `1 1/2"`, `15 HP`, `11kW`, `1.200,5 Nm`.

use crate::units::{Dimension, Unit, find_unit};

/// How a column writes decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(super) enum Decimal {
    /// `1,299.5`.
    Point,
    /// `1.299,5`.
    Comma,
    /// Nothing tells.
    #[default]
    Unknown,
}

/// Why a text is no number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NoNumber {
    /// It is no number at all.
    Text,
    /// It can be read in two ways.
    Ambiguous(u64, u64),
    /// It is a range.
    Range,
    /// It gives the value in two units that do not say the same.
    TwoValues,
}

/// A number and what stood behind it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Quantity {
    /// The number as written.
    pub(super) value: f64,
    /// The unit as written, if any.
    pub(super) unit: Option<Unit>,
    /// Whether the decimal sign was decided by evidence from elsewhere.
    pub(super) decided: bool,
}

const VULGAR: &[(char, &str)] = &[
    ('½', " 1/2"),
    ('¼', " 1/4"),
    ('¾', " 3/4"),
    ('⅛', " 1/8"),
    ('⅜', " 3/8"),
    ('⅝', " 5/8"),
    ('⅞', " 7/8"),
    ('⅓', " 1/3"),
    ('⅔', " 2/3"),
];

/// Plain characters for look-alikes; vulgar fractions apart from the digit before them.
pub(super) fn plain(text: &str) -> String {
    use unicode_normalization::UnicodeNormalization;
    if text.is_ascii() {
        return text.trim().replace(['\n', '\r', '\t'], " ");
    }
    let mut out = String::new();
    for c in text.chars() {
        match VULGAR.iter().find(|(v, _)| *v == c) {
            Some((_, fraction)) => out.push_str(fraction),
            // Normalising would make two single primes of it.
            None if c == '″' => out.push('"'),
            None => out.push(c),
        }
    }
    out.nfkc()
        .filter(|c| !matches!(c, '\u{200b}'..='\u{200d}' | '\u{2060}' | '\u{feff}' | '\u{ad}'))
        .map(|c| match c {
            '\u{a0}' | '\u{202f}' | '\u{2009}' | '\n' | '\r' | '\t' => ' ',
            '−' | '‐' | '‑' => '-',
            '⁄' | '∕' => '/',
            '∶' => ':',
            '″' | '“' | '”' => '"',
            '’' | '′' | '‘' => '\'',
            c => c,
        })
        .collect::<String>()
        .trim()
        .to_owned()
}

/// What people write for a value that they do not know.
#[rustfmt::skip]
const WORDS_MISSING: [&str; 43] = [
    "n.b.",
    "n.v.",
    "illegible",
    "unleserlich",
    "not legible",
    "tba",
    "not available",
    "no data",
    "k.a.",
    "k. a.",
    "keine angabe",
    "ohne angabe",
    "nicht bekannt",
    "non connu",
    "n.d.",
    "call",
    "on request",
    "poa",
    "auf anfrage",
    "sur demande",
    "a consultar",
    "su richiesta",
    "s/d",
    "desconocido",
    "sconosciuto",
    "x.x",
    "",
    "-",
    "--",
    "---",
    "n/a",
    "na",
    "n.a.",
    "unknown",
    "unk",
    "tbd",
    "tbc",
    "?",
    "??",
    "nil",
    "not known",
    "unbekannt",
    "inconnu",
];

/// Whether a text says that nothing is known.
pub(super) fn is_missing(text: &str) -> bool {
    // Every word is short, and nearly every cell is plain.
    if text.len() > 40 {
        return false;
    }
    let trimmed = text.trim();
    if text.is_ascii() && !text.bytes().any(|b| b.is_ascii_control()) {
        // Few of a cell's first letters begin one of the words.
        let first = trimmed.as_bytes().first().map(u8::to_ascii_lowercase);
        if trimmed.len() > 13 || first.is_some_and(|b| !b"acdiknopsutx-?".contains(&b)) {
            return false;
        }
        return WORDS_MISSING
            .iter()
            .any(|w| w.len() == trimmed.len() && w.eq_ignore_ascii_case(trimmed));
    }
    WORDS_MISSING.contains(&plain(text).to_lowercase().as_str())
}

/// Units of one family may stand for another: metres in a millimetre column and so on.
pub(crate) fn same_family(a: Dimension, b: Dimension) -> bool {
    a == b
        || matches!(
            (a, b),
            (Dimension::Length, Dimension::Distance) | (Dimension::Distance, Dimension::Length)
        )
}

/// Reads a number with an optional unit behind it.
pub(super) fn read(text: &str, decimal: Decimal) -> Result<Quantity, NoNumber> {
    let text = plain(text);
    let lead = text.trim_start_matches(['~', '≈', '±', '=', '>', '≥', ' ', 'Ø', 'ø', '⌀']);
    let low = lead.to_lowercase();
    let skip = ["approx.", "approx", "about", "ca.", "ca ", "circa", "abt", "max.", "max ", "nom."]
        .iter()
        .find(|word| low.starts_with(**word))
        .map_or(0, |word| word.len());
    let body = lead[skip..].trim();
    let mut read = in_two_units(body, decimal).unwrap_or_else(|| one_quantity(body, decimal));
    if let Ok(quantity) = &mut read
        && is_approximate(&text)
    {
        quantity.decided = true;
    }
    read
}

/// Whether a text says that its number is not exact.
fn is_approximate(text: &str) -> bool {
    let low = text.to_lowercase();
    ["~", "≈", "approx", "about", "ca.", "ca ", "circa", "abt"].iter().any(|w| low.starts_with(w))
}

/// Reads one number with an optional unit behind it.
fn one_quantity(body: &str, decimal: Decimal) -> Result<Quantity, NoNumber> {
    let body = body.trim();
    if is_range(body) {
        return Err(NoNumber::Range);
    }
    let (value, rest, decided) = fraction(body).map_or_else(|| number(body, decimal), Ok)?;
    let rest = rest.trim();
    // `60/65` and `2400/2600` are two values, not one and a unit.
    if rest.starts_with('/') && rest[1..].trim_start().starts_with(|c: char| c.is_ascii_digit()) {
        return Err(NoNumber::Text);
    }
    if rest.is_empty() || is_fit(rest) {
        return Ok(Quantity { value, unit: None, decided });
    }
    let unit = find_unit(rest).ok_or(NoNumber::Text)?;
    Ok(Quantity { value, unit: Some(unit), decided })
}

/// Plates round each unit for itself: 7.5 kW stand beside 10 hp.
const SAME_WITHIN: f64 = 0.07;

/// A value that stands there twice: `7.5kW/10HP`, `60 mm (2.362 in)`; `None` if it does not.
fn in_two_units(text: &str, decimal: Decimal) -> Option<Result<Quantity, NoNumber>> {
    let (first, second) = text.split_once(['/', '(', '=', '|', ';'])?;
    let second = second.trim_end_matches([')', ' ']);
    // What one unit leaves open, the other decides.
    let read = |text: &str| -> Vec<Quantity> {
        let as_written = [decimal, Decimal::Point, Decimal::Comma];
        as_written.iter().filter_map(|d| one_quantity(text, *d).ok()).collect()
    };
    let (first, second) = (read(first), read(second));
    let pairs = || first.iter().flat_map(|a| second.iter().map(move |b| (a, b)));
    let in_record = |q: &Quantity| Some((q.unit?.dimension, q.unit?.to_record(q.value)));
    let same = |(a, b): &(&Quantity, &Quantity)| {
        let ((_, a), (_, b)) = in_record(a).zip(in_record(b))?;
        Some((a - b).abs() <= SAME_WITHIN * a.abs())
    };
    let comparable = |(a, b): &(&Quantity, &Quantity)| {
        in_record(a).zip(in_record(b)).is_some_and(|(a, b)| a.0 == b.0)
    };
    let agreed = pairs().filter(comparable).find(|pair| same(pair) == Some(true));
    match agreed {
        Some((first, _)) => Some(Ok(Quantity { decided: false, ..first.clone() })),
        None => pairs().any(|pair| comparable(&pair)).then_some(Err(NoNumber::TwoValues)),
    }
}

/// The tolerance class behind a shaft or bore: `k6`, `h7`, `H7`, `m6`.
fn is_fit(text: &str) -> bool {
    let mut chars = text.chars();
    let letter = chars.next().is_some_and(|c| "fghjkmnprFGHJKMNPR".contains(c));
    letter && matches!(chars.as_str(), "5" | "6" | "7" | "8" | "9" | "s6" | "s7")
}

/// `10-15` or `10 – 15 kW`, but not `1-3/8`.
fn is_range(text: &str) -> bool {
    // `-10 to 40`, `6 à 8 semaines`: the word stands between two numbers.
    let number = |s: &str| {
        s.trim()
            .trim_start_matches('-')
            .bytes()
            .all(|b| b.is_ascii_digit() || b == b'.' || b == b',')
    };
    let by_word = [" to ", " à ", " a ", " bis ", "..."].iter().find_map(|w| text.split_once(w));
    if let Some((a, b)) = by_word
        && !a.trim().is_empty()
        && number(a)
        && b.trim_start().trim_start_matches('-').starts_with(|c: char| c.is_ascii_digit())
    {
        return true;
    }
    let Some((a, b)) = text.split_once(['-', '–', '—']) else { return false };
    let starts_with_digit = |s: &str| s.trim_start().starts_with(|c: char| c.is_ascii_digit());
    !a.trim().is_empty()
        && a.trim().chars().all(|c| c.is_ascii_digit() || ".,".contains(c))
        && starts_with_digit(b)
        && !b.contains('/')
}

/// `1 1/2`, `1-3/8`, `3/8`, with what follows.
fn fraction(text: &str) -> Option<(f64, &str, bool)> {
    let slash = text.find('/')?;
    let (before, after) = (&text[..slash], &text[slash + 1..]);
    let end = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
    let below: f64 = after[..end].parse().ok().filter(|b| *b > 0.0)?;
    let parts: Vec<&str> = before.split([' ', '-']).filter(|p| !p.is_empty()).collect();
    let (whole, above) = match parts[..] {
        [above] => (0.0, above.parse::<f64>().ok()?),
        [whole, above] => (whole.parse::<f64>().ok()?, above.parse::<f64>().ok()?),
        _ => return None,
    };
    // `21/2` is more likely a lost blank than ten and a half, `60/65` two sizes than a fraction.
    let inch_like = [2.0, 3.0, 4.0, 8.0, 16.0, 32.0, 64.0].contains(&below);
    (above < below && inch_like).then_some((whole + above / below, &after[end..], false))
}

/// A number in digits, with what follows.
fn number(text: &str, decimal: Decimal) -> Result<(f64, &str, bool), NoNumber> {
    let bytes = text.as_bytes();
    let mut end = usize::from(text.starts_with(['-', '+']));
    while end < bytes.len() {
        let grouping = matches!(bytes[end], b' ' | b'\'')
            && bytes[end + 1..].len() >= 3
            && bytes[end + 1..end + 4].iter().all(u8::is_ascii_digit)
            && !bytes.get(end + 4).is_some_and(u8::is_ascii_digit)
            && end > 0;
        let digit_at = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
        let signed = bytes.get(end + 1).is_some_and(|b| matches!(b, b'+' | b'-'));
        let exponent = end > 0
            && matches!(bytes[end], b'e' | b'E')
            && (digit_at(end + 1) || (signed && digit_at(end + 2)));
        if exponent {
            end += 1;
        } else if !(bytes[end].is_ascii_digit() || matches!(bytes[end], b'.' | b',') || grouping) {
            break;
        }
        end += 1;
    }
    let digits = text[..end].trim_end_matches(['.', ',']);
    let rest = &text[digits.len()..];
    let rest = rest.strip_prefix(['.', ',']).unwrap_or(rest);
    // `21,-` is an amount without cents.
    let rest = if rest.starts_with(['-', '–']) && digits.len() < end { &rest[1..] } else { rest };
    let clean: String = digits.chars().filter(|c| !matches!(c, ' ' | '\'')).collect();
    if !clean.bytes().any(|b| b.is_ascii_digit()) {
        return Err(NoNumber::Text);
    }
    let (value, decided) = value_of(&clean, decimal)?;
    if value.is_finite() { Ok((value, rest, decided)) } else { Err(NoNumber::Text) }
}

/// The value of digits with points and commas.
fn value_of(digits: &str, decimal: Decimal) -> Result<(f64, bool), NoNumber> {
    let parse = |text: String| text.parse::<f64>().map_err(|_| NoNumber::Text);
    let (points, commas) = (digits.matches('.').count(), digits.matches(',').count());
    let drop = |sign: char| digits.replace(sign, "");
    if digits.contains(['e', 'E']) {
        return Ok((parse(digits.replace(',', "."))?, false));
    }
    match (points, commas) {
        (0, 0) => Ok((parse(digits.to_owned())?, false)),
        (p, c) if p > 0 && c > 0 => {
            let point_last = digits.rfind('.') > digits.rfind(',');
            if point_last && p == 1 {
                Ok((parse(drop(','))?, false))
            } else if !point_last && c == 1 {
                Ok((parse(drop('.').replace(',', "."))?, false))
            } else {
                Err(NoNumber::Text)
            }
        }
        (p, 0) if p > 1 && in_threes(digits, '.') => Ok((parse(drop('.'))?, false)),
        (0, c) if c > 1 && in_threes(digits, ',') => Ok((parse(drop(','))?, false)),
        (p, 0) if p > 1 => Err(NoNumber::Text),
        (0, c) if c > 1 => Err(NoNumber::Text),
        _ => one_sign(digits, if points == 1 { '.' } else { ',' }, decimal),
    }
}

/// Whether the groups behind the first hold three digits each: `25.4.24` is no number.
fn in_threes(digits: &str, sign: char) -> bool {
    digits.split(sign).skip(1).all(|group| group.len() == 3)
}

fn one_sign(digits: &str, sign: char, decimal: Decimal) -> Result<(f64, bool), NoNumber> {
    let (head, tail) = digits.split_once(sign).unwrap_or((digits, ""));
    let as_decimal = format!("{head}.{tail}").parse::<f64>().map_err(|_| NoNumber::Text)?;
    let head_digits = head.trim_start_matches(['-', '+']);
    let can_be_thousands = tail.len() == 3
        && tail.bytes().all(|b| b.is_ascii_digit())
        && (1..=3).contains(&head_digits.len())
        && head_digits != "0"
        && !head_digits.starts_with('0');
    if !can_be_thousands {
        return Ok((as_decimal, false));
    }
    let joined = format!("{head}{tail}").parse::<f64>().map_err(|_| NoNumber::Text)?;
    match (decimal, sign) {
        (Decimal::Point, '.') | (Decimal::Comma, ',') => Ok((as_decimal, true)),
        (Decimal::Point | Decimal::Comma, _) => Ok((joined, true)),
        (Decimal::Unknown, _) => Err(NoNumber::Ambiguous(as_decimal.to_bits(), joined.to_bits())),
    }
}

/// What the texts of a column say about its decimal sign.
pub(super) fn decimal_sign<'a>(texts: impl Iterator<Item = &'a str>) -> Decimal {
    let (mut point, mut comma) = (0_u32, 0_u32);
    // Three digits may be thousands, none is a dash for the cents.
    let decimals = |digits: &str, sign: usize| !matches!(digits.len() - sign - 1, 0 | 3);
    for text in texts {
        let digits: String =
            plain(text).chars().take_while(|c| c.is_ascii_digit() || ".,".contains(*c)).collect();
        match (digits.rfind('.'), digits.rfind(',')) {
            (Some(p), Some(c)) => *(if p > c { &mut point } else { &mut comma }) += 2,
            (Some(p), None) if digits.matches('.').count() == 1 && decimals(&digits, p) => {
                point += 1;
            }
            (None, Some(c)) if digits.matches(',').count() == 1 && decimals(&digits, c) => {
                comma += 1;
            }
            _ => {}
        }
    }
    match (point, comma) {
        (p, 0) if p > 0 => Decimal::Point,
        (0, c) if c > 0 => Decimal::Comma,
        _ => Decimal::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn said(text: &str) -> String {
        match read(text, Decimal::Unknown) {
            Ok(q) => format!("{} {}", q.value, q.unit.map_or("", |u| u.symbol)).trim().to_owned(),
            Err(why) => format!("{why:?}").split('(').next().unwrap_or_default().to_owned(),
        }
    }

    #[test]
    fn quantities_are_read_in_every_spelling() {
        for (text, want) in [
            ("15 HP", "15 hp"),
            ("11kW", "11 kW"),
            ("1.200,5 Nm", "1200.5 N·m"),
            ("1,299.50", "1299.5"),
            ("1 1/2\"", "1.5 in"),
            ("1-3/8 in", "1.375 in"),
            ("3/4", "0.75"),
            ("1½\"", "1.5 in"),
            ("approx. 12", "12"),
            ("1 299", "1299"),
            ("1'299.5", "1299.5"),
            ("7,5", "7.5"),
            ("-3", "-3"),
            ("0.125", "0.125"),
            ("1.299", "Ambiguous"),
            ("10-15", "Range"),
            (">1.5", "1.5"),
            ("21,-", "21"),
            ("21/2", "Text"),
            ("abc", "Text"),
            ("25 apples", "Text"),
            ("１１ｋＷ", "11 kW"),
            ("1E3", "1000"),
            ("7.5kW/10HP", "7.5 kW"),
            ("7.5 kW (10 HP)", "7.5 kW"),
            ("10 HP / 7.5 kW", "10 hp"),
            ("60 mm (2.362 in)", "60 mm"),
            ("7.5kW/20HP", "TwoValues"),
            ("7.5kW/10mm", "Text"),
            ("", "Text"),
        ] {
            assert_eq!(said(text), want, "{text}");
        }
    }

    #[test]
    fn every_word_for_not_known_is_found() {
        for word in [
            "tba",
            "Not available",
            "N/A",
            "s/d",
            "call",
            "POA",
            "auf Anfrage",
            "?",
            "--",
            "",
            "x.x",
        ] {
            assert!(is_missing(word) && is_missing(&format!(" {word} ")), "{word}");
        }
        for text in ["Pump", "25", "name", "unknown model 7"] {
            assert!(!is_missing(text), "{text}");
        }
        assert!(WORDS_MISSING.iter().all(|word| is_missing(word)));
    }

    #[test]
    fn a_column_decides_what_a_cell_cannot() {
        assert_eq!(decimal_sign(["1,5", "2.299"].into_iter()), Decimal::Comma);
        assert_eq!(decimal_sign(["1.5", "2.299"].into_iter()), Decimal::Point);
        assert_eq!(decimal_sign(["1.5", "1,5"].into_iter()), Decimal::Unknown);
        assert!((read("1.450", Decimal::Comma).expect("a number").value - 1450.0).abs() < 1e-9);
        assert!((read("1.450", Decimal::Point).expect("a number").value - 1.45).abs() < 1e-9);
    }

    proptest! {
        #![proptest_config(crate::units::depth::cases())]

        #[test]
        fn no_text_makes_it_panic(text in ".{0,40}") {
            let _ = read(&text, Decimal::Unknown);
            let _ = read(&text, Decimal::Comma);
        }

        #[test]
        fn what_it_prints_it_reads(value in 0.01_f64..99_999.0) {
            let text = format!("{value:.2}");
            let want: f64 = text.parse().expect("a number");
            let got = read(&text, Decimal::Unknown).expect("a number").value;
            prop_assert!((got - want).abs() < 1e-9);
        }
    }
}
