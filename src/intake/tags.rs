//! Tags that name several positions at once: `P-101A/B`, `P-101/102`, `A-11 to A-14`.

use std::hash::{DefaultHasher, Hash, Hasher};

use compact_str::CompactString;

/// A tag without what people write differently: case, and signs beside letters; signs between two
/// digits part numbers and stay. A number loses its leading zeros.
pub(super) fn key(tag: &str) -> CompactString {
    let sign = |c: char| matches!(c, ' ' | '-' | '_' | '.' | '/' | '–');
    let mut out = CompactString::default();
    let mut chars = tag.trim().chars().peekable();
    let mut behind_digit = false;
    while let Some(c) = chars.next() {
        if !sign(c) {
            out.extend(c.to_uppercase());
        } else if behind_digit && chars.peek().is_some_and(char::is_ascii_digit) {
            out.push('-');
        }
        behind_digit = c.is_ascii_digit();
    }
    if out.len() >= 6 && out.bytes().all(|b| b.is_ascii_digit()) {
        return out.trim_start_matches('0').into();
    }
    out
}

/// What was seen of the tags of a fleet while its rows were read.
#[derive(Debug, Default)]
pub(super) struct Tally {
    /// Whether a row has none.
    pub(super) missing: bool,
    /// Whether one may name several positions.
    pub(super) joined: bool,
    /// Whether a row holds what a planner measured.
    pub(super) measured: bool,
    hashes: Vec<u64>,
}

impl Tally {
    /// Counts a row's tag.
    pub(super) fn count(&mut self, tag: Option<&str>) {
        let Some(tag) = tag else {
            self.missing = true;
            return;
        };
        self.joined |= may_join(tag);
        let mut hasher = DefaultHasher::new();
        key(tag).hash(&mut hasher);
        self.hashes.push(hasher.finish());
    }

    /// Adds another's rows.
    pub(super) fn add(&mut self, mut other: Self) {
        self.missing |= other.missing;
        self.joined |= other.joined;
        self.measured |= other.measured;
        self.hashes.append(&mut other.hashes);
    }

    /// Whether every row has a tag of its own, so that nothing need be looked for; in doubt `false`.
    pub(super) fn is_plain(&mut self) -> bool {
        self.hashes.sort_unstable();
        !self.missing && !self.joined && self.hashes.windows(2).all(|pair| pair[0] != pair[1])
    }
}

/// A range of more tags than this is more likely a slip than a row for as many units.
const MOST: u32 = 50;

/// Whether a tag holds anything that could join two; most do not.
pub(super) fn may_join(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.iter().any(|b| matches!(b, b'/' | b',' | b'&' | b'+' | b';' | b' '))
        || bytes.windows(2).any(|pair| pair == b"..")
}

/// The tags that a cell names, if there are several.
pub(super) fn several(text: &str) -> Option<Vec<String>> {
    let text = text.trim();
    if !may_join(text) {
        return None;
    }
    range(text).or_else(|| list(text))
}

/// `A-11 to A-14`, `A-11..14`: equal but for the digits at their ends.
fn range(text: &str) -> Option<Vec<String>> {
    const BETWEEN: [&str; 11] =
        [" to ", " thru ", " through ", " bis ", " a ", " à ", "...", "..", " – ", " - ", " — "];
    let (first, last) = BETWEEN.iter().find_map(|word| text.split_once(word))?;
    let (head, from) = end_digits(first.trim())?;
    let last = last.trim();
    let (other, to) = end_digits(last)?;
    let alike = other == head || other.is_empty();
    let (low, high) = (from.parse::<u32>().ok()?, to.parse::<u32>().ok()?);
    let fits = alike && from.len() == to.len() && low < high && high - low < MOST;
    fits.then(|| (low..=high).map(|n| format!("{head}{n:0width$}", width = from.len())).collect())
}

/// `P-101A/B/C`, `P-101 A & B`, `P-101/102`: letters or equally long digits that follow each other.
fn list(text: &str) -> Option<Vec<String>> {
    let spaced =
        text.replace(" and ", "/").replace(" und ", "/").replace(['&', '+', ',', ';'], "/");
    let mut parts = spaced.split('/').map(str::trim);
    let first = parts.next().filter(|f| f.len() >= 3)?;
    let rest: Vec<&str> = parts.collect();
    if rest.is_empty() || rest.len() >= MOST as usize {
        return None;
    }
    let whole = |part: &&&str| part.len() >= first.len() && end_digits(part).is_some();
    if rest.iter().all(|part| whole(&part)) {
        return whole_tags(first, &rest);
    }
    let last = first.chars().next_back()?;
    if last.is_ascii_uppercase() {
        let head = &first[..first.len() - 1];
        let letters: Option<Vec<char>> = rest.iter().map(|part| only_char(part)).collect();
        let follow = follows(last as u32, letters?.into_iter().map(|c| c as u32));
        let has_digit = head.contains(|c: char| c.is_ascii_digit());
        return (follow && has_digit)
            .then(|| with(head, first, rest.iter().map(|part| (*part).to_owned())));
    }
    let (head, from) = end_digits(first)?;
    let digits: Option<Vec<u32>> = rest
        .iter()
        .map(|part| part.parse().ok().filter(|_| part.len() == from.len() && from.len() >= 2))
        .collect();
    let follow = follows(from.parse().ok()?, digits?.into_iter());
    let named = head.contains(|c: char| c.is_alphabetic());
    (follow && named).then(|| with(head, first, rest.iter().map(|part| (*part).to_owned())))
}

/// `P-101, P-102`: every part is a tag of its own, alike but for its last digits.
fn whole_tags(first: &str, rest: &[&str]) -> Option<Vec<String>> {
    let (head, _) = end_digits(first).filter(|(head, _)| head.contains(char::is_alphabetic))?;
    let alike = rest.iter().all(|part| end_digits(part).is_some_and(|(other, _)| other == head));
    alike.then(|| std::iter::once(first).chain(rest.iter().copied()).map(str::to_owned).collect())
}

fn with(head: &str, first: &str, rest: impl Iterator<Item = String>) -> Vec<String> {
    std::iter::once(first.to_owned()).chain(rest.map(|end| format!("{head}{end}"))).collect()
}

fn follows(first: u32, rest: impl Iterator<Item = u32>) -> bool {
    (first + 1..).zip(rest).all(|(want, got)| want == got)
}

fn only_char(text: &str) -> Option<char> {
    let mut chars = text.chars();
    chars.next().filter(|_| chars.next().is_none())
}

/// A tag without and with only the digits at its end.
fn end_digits(text: &str) -> Option<(&str, &str)> {
    let head = text.trim_end_matches(|c: char| c.is_ascii_digit());
    (head.len() < text.len()).then(|| text.split_at(head.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_tag_in_two_spellings_has_one_key() {
        for (a, b) in [("CV-101", "cv101"), ("CV 101", "CV_101"), ("0010004711", "10004711")] {
            assert_eq!(key(a), key(b));
        }
        let pairs = [("CV-1-01", "CV-10-1"), ("CV-101", "CV-1010"), ("007", "7"), ("P-1A", "P-1B")];
        for (a, b) in pairs {
            assert_ne!(key(a), key(b));
        }
    }

    #[test]
    fn tags_that_name_several_positions_are_told_from_those_that_do_not() {
        for (text, want) in [
            ("A-11 to A-14", "A-11 A-12 A-13 A-14"),
            ("P-098..101", "P-098 P-099 P-100 P-101"),
            ("P-98..101", ""),
            ("P-098..099", "P-098 P-099"),
            ("CV-101 bis 103", "CV-101 CV-102 CV-103"),
            ("P-101A/B", "P-101A P-101B"),
            ("P-101 A & B", "P-101 A P-101 B"),
            ("P-101A/B/C", "P-101A P-101B P-101C"),
            ("P-101/102/103", "P-101 P-102 P-103"),
            ("P-101, P-102", "P-101 P-102"),
            ("D-6 – D-9", "D-6 D-7 D-8 D-9"),
            ("CV-101/2", ""),
            ("21/22", ""),
            ("P-101A/C", ""),
            ("GR-101-A", ""),
            ("A to B", ""),
            ("CV-101", ""),
            ("CV-1 to CV-900", ""),
            ("K 1/4", ""),
        ] {
            assert_eq!(several(text).unwrap_or_default().join(" "), want, "{text}");
        }
    }
}
