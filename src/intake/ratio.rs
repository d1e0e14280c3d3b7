//! Gear ratios in every spelling of the trade, and as what a spreadsheet turned them into.

use jiff::civil::Date;

use super::number::{Decimal, plain, read};

/// A ratio read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct RatioRead {
    /// Input over output.
    pub(super) value: f64,
    /// Whether it was written as output over input.
    pub(super) inverted: bool,
}

/// Reads `25`, `25:1`, `1:25`, `25/1`, `i = 24,97`, `73/17 × 67/16`, `25 to 1`.
pub(super) fn parse(text: &str, decimal: Decimal) -> Option<RatioRead> {
    let low = plain(text).to_lowercase();
    // `40 (2-stage)`: what stands in brackets is a remark.
    let mut body = match low.rfind('(') {
        Some(at) if at > 0 && low.ends_with(')') => low[..at].trim_end(),
        _ => low.as_str(),
    };
    for lead in ["ratio", "nominal", "approx.", "approx", "ca.", "i", "=", ":", "~"] {
        body = body.trim_start().strip_prefix(lead).unwrap_or(body);
    }
    let body = body
        .trim()
        .replace(" to ", ":")
        .replace(" zu ", ":")
        .replace(" a ", ":")
        .replace(" à ", ":")
        .replace(" : ", ":")
        .replace(" / ", "/");
    let product: f64 = body
        .split(['×', '*', 'x', '·'])
        .map(|factor| pair(factor.trim(), decimal))
        .product::<Option<f64>>()?;
    whole(product)
}

fn pair(text: &str, decimal: Decimal) -> Option<f64> {
    let number = |text: &str| {
        let q = read(text.trim(), decimal).ok()?;
        q.unit.is_none().then_some(q.value).filter(|v| *v > 0.0)
    };
    // `25:01:00` is how a csv shows 25:1 after a spreadsheet took it for a time.
    let text = text.strip_suffix(":00").filter(|t| t.contains(':')).unwrap_or(text);
    match text.split_once(':').or_else(|| text.split_once('/')) {
        Some((a, b)) => Some(number(a)? / number(b)?),
        None => number(text),
    }
}

/// A number as a ratio; below one it is output over input.
pub(super) fn whole(value: f64) -> Option<RatioRead> {
    if !value.is_finite() || value <= 0.0 {
        None
    } else if value < 1.0 {
        Some(RatioRead { value: tidy(1.0 / value), inverted: true })
    } else {
        Some(RatioRead { value, inverted: false })
    }
}

/// Takes off the float noise of a reciprocal: 1 / (1 / 25) is 25.
fn tidy(value: f64) -> f64 {
    let rounded = (value * 1e9).round() / 1e9;
    if (rounded - value).abs() < 1e-8 { rounded } else { value }
}

/// A ratio that was stored as elapsed time or a time of day, in days.
///
/// `25:1` is stored as 25 h 01 min; hours and minutes give it back when one of them is 1.
pub(super) fn from_time(days: f64) -> Option<(f64, String)> {
    let minutes = days * 1440.0;
    if (minutes - minutes.round()).abs() < 1e-4 {
        let minutes = minutes.round();
        return sides((minutes / 60.0).floor(), minutes % 60.0);
    }
    // `1:7.5` is stored as 1 min 7.5 s.
    let halves = days * 172_800.0;
    if (halves - halves.round()).abs() < 1e-3 {
        let seconds = halves.round() / 2.0;
        return sides((seconds / 60.0).floor(), seconds % 60.0);
    }
    None
}

fn sides(a: f64, b: f64) -> Option<(f64, String)> {
    let is_one = |v: f64| (v - 1.0).abs() < 1e-9;
    match (is_one(a), is_one(b)) {
        (_, true) if a > 1.0 => Some((a, format!("{a}:1"))),
        (true, _) if b > 1.0 => Some((b, format!("1:{b}"))),
        _ => None,
    }
}

/// A ratio that was stored as a date: `1/25` is 25 January, `1/60` is January 1960.
pub(super) fn from_date(date: Date) -> Option<(f64, String)> {
    let (month, day) = (f64::from(date.month()), f64::from(date.day()));
    let year = f64::from(date.year() % 100);
    match (month, day) {
        (1.0, 1.0) if year > 1.0 => Some((year, format!("1/{year}"))),
        (1.0, 1.0) => None,
        (1.0, day) => Some((day, format!("1/{day}"))),
        (month, 1.0) => Some((month, format!("{month}/1"))),
        _ => None,
    }
}

/// A ratio that a text file holds as the date it became: `25-Jan`, `Jan-60`, `2025-01-25`.
pub(super) fn from_date_text(text: &str) -> Option<(f64, String)> {
    if let Some((number, month)) = super::date::day_and_month(text) {
        let (number, month) = (number as f64, month as f64);
        return match (month, number) {
            (1.0, n) if n > 1.0 => Some((n, format!("1/{n}"))),
            (m, 1.0) => Some((m, format!("{m}/1"))),
            _ => None,
        };
    }
    let dashes = text.matches(['-', '/', '.']).count();
    let date = super::date::parse(text, None).filter(|_| dashes == 2)?;
    from_date(date)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn value(text: &str) -> Option<f64> {
        parse(text, Decimal::Unknown).map(|r| (r.value * 1e4).round() / 1e4)
    }

    #[test]
    fn a_ratio_is_understood_in_every_spelling() {
        for (text, want) in [
            ("20", 20.0),
            ("1:20", 20.0),
            ("20:1", 20.0),
            ("i=20", 20.0),
            ("20/1", 20.0),
            ("1/20", 20.0),
            ("i = 24,97", 24.97),
            ("25 to 1", 25.0),
            ("25∶1", 25.0),
            ("25:01:00", 25.0),
            ("01:25", 25.0),
            ("73/17 × 67/16", 17.9816),
            ("73/17 x 67/16 x 59/19", 55.8377),
            ("approx. 25", 25.0),
            ("40 (2-stufig)", 40.0),
        ] {
            assert_eq!(value(text), Some(want), "{text}");
        }
        for text in ["", "abc", "25:l", "25 kW", "0", "-5"] {
            assert_eq!(value(text), None, "{text}");
        }
    }

    #[test]
    fn times_and_dates_give_their_ratio_back() {
        assert_eq!(from_time(25.0 / 24.0 + 1.0 / 1440.0), Some((25.0, "25:1".into())));
        assert_eq!(from_time(0.625_694_444_4), Some((15.0, "15:1".into())));
        assert_eq!(from_time(0.059_027_777_8), Some((25.0, "1:25".into())));
        assert_eq!(from_time(4.167_361_111_1), Some((100.0, "100:1".into())));
        assert_eq!(from_time(0.000_781_25), Some((7.5, "1:7.5".into())));
        assert_eq!(from_time(0.354_166_666_7), None);
        assert_eq!(from_date(Date::constant(2025, 1, 25)).map(|r| r.0), Some(25.0));
        assert_eq!(from_date(Date::constant(1960, 1, 1)).map(|r| r.0), Some(60.0));
        assert_eq!(from_date(Date::constant(2025, 3, 4)), None);
        assert_eq!(from_date_text("25-Jan").map(|r| r.0), Some(25.0));
        assert_eq!(from_date_text("Jan-60").map(|r| r.0), Some(60.0));
        assert_eq!(from_date_text("1. Apr").map(|r| r.0), Some(4.0));
        assert_eq!(from_date_text("2025-01-25").map(|r| r.0), Some(25.0));
        assert_eq!(from_date_text("4-Mar"), None);
        assert_eq!(from_date_text("GR-101"), None);
    }

    proptest! {
        #![proptest_config(crate::units::depth::cases())]

        #[test]
        fn no_text_makes_it_panic(text in ".{0,30}") {
            let _ = parse(&text, Decimal::Unknown);
        }

        /// Whatever stands around it, a ratio of at least one is itself.
        #[test]
        fn a_ratio_comes_back_from_every_form(hundredths in 101_u32..2_000_000, form in 0..6_usize) {
            let number = f64::from(hundredths) / 100.0;
            let text = [
                format!("{number}"), format!("{number}:1"), format!("1:{number}"), format!("i={number}"),
                format!("{number}/1"), format!("{number} to 1"),
            ][form].clone();
            let read = parse(&text, Decimal::Point).map(|r| r.value);
            prop_assert!(read.is_some_and(|r| (r / number - 1.0).abs() < 1e-9), "{text}: {read:?}");
        }

        #[test]
        fn a_time_of_whole_hours_and_one_minute_is_a_ratio(hours in 2_u32..300) {
            let days = f64::from(hours) / 24.0 + 1.0 / 1440.0;
            prop_assert_eq!(from_time(days).map(|r| r.0), Some(f64::from(hours)));
        }
    }
}
