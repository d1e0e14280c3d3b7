//! Amounts and their currency: in the cell, in the number format, in a column beside, in the heading.

use super::cell::CellRead;
use super::number::{self, Decimal, NoNumber};
use crate::findings::name;
use crate::policy::Policy;
use crate::records::Value;

/// Signs, and the currency that each stands for; `$` is that of several countries.
const SIGNS: [(&str, &str); 8] = [
    ("US$", "USD"),
    ("C$", "CAD"),
    ("A$", "AUD"),
    ("€", "EUR"),
    ("£", "GBP"),
    ("¥", "JPY"),
    ("$", "$"),
    ("zł", "PLN"),
];

/// Codes of ISO 4217 that plants buy in.
const CODES: [&str; 24] = [
    "EUR", "USD", "GBP", "CHF", "SEK", "NOK", "DKK", "PLN", "CZK", "HUF", "RON", "CAD", "AUD",
    "NZD", "JPY", "CNY", "INR", "BRL", "MXN", "ZAR", "TRY", "AED", "SGD", "CLP",
];

/// Words for a currency.
const WORDS: [(&str, &str); 5] = [
    ("EURO", "EUR"),
    ("EUROS", "EUR"),
    ("DOLLARS", "$"),
    ("POUNDS STERLING", "GBP"),
    ("SFR", "CHF"),
];

/// The currency that a text names, and the text without it.
pub(super) fn named(text: &str) -> Option<(&'static str, String)> {
    if let Some((sign, code)) = SIGNS.iter().find(|(sign, _)| text.contains(sign)) {
        return Some((code, text.replacen(sign, " ", 1)));
    }
    let is_word = |c: char| c.is_alphabetic();
    let word = |word: &str| {
        let upper = word.to_uppercase();
        // `try` is a word, `usd` is none.
        let small = ["EUR", "USD", "GBP", "CHF"].contains(&upper.as_str());
        let code = CODES.iter().find(|c| **c == word || (small && **c == upper)).copied();
        code.or_else(|| WORDS.iter().find(|w| w.0 == upper).map(|w| w.1))
    };
    text.split(|c| !is_word(c)).find_map(|w| Some((word(w)?, text.replacen(w, " ", 1))))
}

/// Takes the currency off a heading: `Cost each £`, `Price (USD)`.
pub(super) fn strip(heading: &str) -> (Option<String>, Option<&'static str>) {
    match named(heading) {
        Some((code, rest)) => {
            let bare = rest.replace("[ ]", "").replace("( )", "").replace("{ }", "");
            let bare = bare.trim().trim_end_matches([',', '/', ' ']);
            let bare = bare.strip_suffix(" in").unwrap_or(bare);
            (Some(bare.trim_end().to_owned()), Some(code))
        }
        None => (None, None),
    }
}

/// The policy's units of one unit of a currency; `None` where the policy does not say.
pub(super) fn rate(code: &str, policy: &Policy) -> Option<f64> {
    let dollars = ["USD", "CAD", "AUD", "NZD", "SGD", "MXN", "CLP"];
    let own = policy.currency.as_str();
    if code == own || (code == "$" && dollars.contains(&own)) {
        return Some(1.0);
    }
    let named = if code == "$" { "USD" } else { code };
    policy.currency_rates.get(named).copied()
}

/// What to say of a currency without a rate.
pub(super) fn no_rate(what: &str, code: &str, policy: &Policy) -> (String, String) {
    let named = if code == "$" { "USD" } else { code };
    (
        format!("{what} is in {code}, the policy's currency is {}", policy.currency),
        format!("add `{named} = …` to [currency_rates] in policy.toml"),
    )
}

/// An amount in a currency, in that of the policy.
pub(super) fn converted(heading: &str, value: f64, code: &str, policy: &Policy) -> CellRead {
    if let Some(rate) = rate(code, policy) {
        return CellRead::good(Value::Number(value * rate));
    }
    let (message, hint) = no_rate(heading, code, policy);
    CellRead::bad(&name::OTHER_CURRENCY, message, Some(hint))
}

/// An amount with a currency in its text: `USD 1,250` or `1250 $`.
pub(super) fn read(heading: &str, text: &str, policy: &Policy) -> CellRead {
    let no_amount = || {
        CellRead::bad(&name::NOT_A_NUMBER, format!("{heading} is `{text}`, not an amount"), None)
    };
    let Some((code, bare)) = named(text) else { return no_amount() };
    match number::read(bare.trim(), Decimal::Unknown) {
        Ok(q) => converted(heading, q.value, code, policy),
        Err(NoNumber::Ambiguous(_, joined)) => {
            converted(heading, f64::from_bits(joined), code, policy)
        }
        Err(_) => no_amount(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_currency_is_found_in_headings_and_amounts() {
        assert_eq!(strip("Cost each £"), (Some("Cost each".into()), Some("GBP")));
        assert_eq!(strip("Price (USD)"), (Some("Price".into()), Some("USD")));
        assert_eq!(strip("Unit price in EUR"), (Some("Unit price".into()), Some("EUR")));
        assert_eq!(strip("Price"), (None, None));
        assert_eq!(named("1,250 US$").map(|n| n.0), Some("USD"));
        assert_eq!(named("CHF 900").map(|n| n.0), Some("CHF"));
        assert_eq!(named("usd 900").map(|n| n.0), Some("USD"));
        assert_eq!(named("try it"), None);
        assert_eq!(named("entry"), None);
    }

    #[test]
    fn a_dollar_is_the_policys_where_that_is_a_dollar() {
        let mut policy = Policy { currency: "CAD".into(), ..Policy::default() };
        assert_eq!(rate("$", &policy), Some(1.0));
        policy.currency = "EUR".into();
        assert_eq!(rate("$", &policy), None);
        policy.currency_rates.insert("USD".into(), 0.9);
        assert_eq!(rate("$", &policy), Some(0.9));
    }
}
