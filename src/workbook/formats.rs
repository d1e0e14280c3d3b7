//! Number formats: what stands in a format besides the number, and whether it shows a date.

/// What a number format adds to the number that it shows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NumberFormat {
    /// Literal text before the number, as `1:`.
    pub prefix: String,
    /// Literal text behind the number, as `kW`.
    pub suffix: String,
    /// Whether the number is shown a hundredfold, with `%`.
    pub percent: bool,
    /// Whether it shows a date or a time.
    pub date: bool,
    /// Whether hours, minutes or seconds run on past a day or an hour.
    pub elapsed: bool,
}

impl NumberFormat {
    /// Reads the first section of a format code.
    ///
    /// Letters of dates count only where a date could be: with digits placeholders (`0`, `#`, `?`)
    /// beside them, as in `0 rpm`, they are text that nobody put into quotes.
    #[must_use]
    pub fn read(code: &str) -> Self {
        let mut format = Self::default();
        let mut bare = String::new();
        let mut seen_digits = false;
        let mut chars = code.chars();
        let put = |format: &mut Self, text: char, digits: bool| {
            if digits { format.suffix.push(text) } else { format.prefix.push(text) }
        };
        while let Some(c) = chars.next() {
            match c {
                ';' => break,
                '"' => {
                    for quoted in chars.by_ref().take_while(|c| *c != '"') {
                        put(&mut format, quoted, seen_digits);
                    }
                }
                '\\' | '!' => {
                    if let Some(literal) = chars.next() {
                        put(&mut format, literal, seen_digits);
                    }
                }
                '_' | '*' => {
                    chars.next();
                }
                '[' => {
                    let inner: String = chars.by_ref().take_while(|c| *c != ']').collect();
                    let low = inner.to_lowercase();
                    if !low.is_empty() && low.chars().all(|c| "hms".contains(c)) {
                        format.elapsed = true;
                    } else if let Some(currency) = inner.strip_prefix('$') {
                        let sign = currency.split('-').next().unwrap_or_default();
                        sign.chars().for_each(|c| put(&mut format, c, seen_digits));
                    }
                }
                '0' | '#' | '?' => seen_digits = true,
                '%' => format.percent = true,
                '$' | '€' | '£' | '¥' => put(&mut format, c, seen_digits),
                c => bare.push(if seen_digits { c } else { c.to_ascii_lowercase() }),
            }
        }
        let general = ["general", "standard", "@"].contains(&bare.trim().to_lowercase().as_str());
        let letters: String = bare.chars().filter(|c| c.is_alphabetic()).collect();
        let low = letters.to_lowercase();
        let dated = !low.is_empty() && low.chars().all(|c| "dmyhsapaegb".contains(c));
        // Seconds may have digits behind them: `mm:ss.0`.
        let fraction_of_seconds = low.contains('s') && code.contains("ss.0");
        format.date =
            format.elapsed || (!general && dated && (!seen_digits || fraction_of_seconds));
        if !format.date && !general && !letters.is_empty() {
            format.suffix.push_str(bare.trim_matches([' ', ',', '.', '-', '(', ')', '/']));
        }
        let trimmed = |text: &str| text.trim().to_owned();
        Self { prefix: trimmed(&format.prefix), suffix: trimmed(&format.suffix), ..format }
    }

    /// Whether a reader of cells gains anything by knowing this format.
    #[must_use]
    pub fn says_something(&self) -> bool {
        self.percent || !self.prefix.is_empty() || !self.suffix.is_empty()
    }
}

/// The code of a built-in format (ECMA-376-1, 18.8.30), where it matters here.
pub(super) fn built_in(id: u32) -> &'static str {
    match id {
        9 => "0%",
        10 => "0.00%",
        12 => "# ?/?",
        13 => "# ??/??",
        14 => "mm-dd-yy",
        15 => "d-mmm-yy",
        16 => "d-mmm",
        17 => "mmm-yy",
        18 => "h:mm AM/PM",
        19 => "h:mm:ss AM/PM",
        20 => "h:mm",
        21 => "h:mm:ss",
        22 => "m/d/yy h:mm",
        45 => "mm:ss",
        46 => "[h]:mm:ss",
        47 => "mm:ss.0",
        _ => "General",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_told_from_units() {
        for code in ["d-mmm", "mmm-yy", "[h]:mm:ss", "h:mm", "mm:ss.0", "dd/mm/yyyy", "m/d/yy h:mm"]
        {
            assert!(NumberFormat::read(code).date, "{code}");
        }
        for code in
            ["General", "0", "0.00", "0 rpm", "Standard", "0.0\" \"mm", "# ?/?", "@", "#,##0", "0%"]
        {
            assert!(!NumberFormat::read(code).date, "{code}");
        }
    }

    #[test]
    fn what_stands_beside_the_number_is_kept() {
        let said = |code: &str| {
            let f = NumberFormat::read(code);
            (f.prefix, f.suffix)
        };
        let pair = |a: &str, b: &str| (a.to_owned(), b.to_owned());
        assert_eq!(said("0.0\" kW\""), pair("", "kW"));
        assert_eq!(said("0 rpm"), pair("", "rpm"));
        assert_eq!(said("0.0\" \"mm"), pair("", "mm"));
        assert_eq!(said("\"1:\"0.00"), pair("1:", ""));
        assert_eq!(said("0\":1\""), pair("", ":1"));
        assert_eq!(said("#,##0\\ [$€-407]"), pair("", "€"));
        assert_eq!(said("#,##0.00;[Red]-#,##0.00"), pair("", ""));
        assert!(NumberFormat::read("0.0%").percent);
    }
}
