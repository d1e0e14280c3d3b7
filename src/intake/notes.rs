//! What a remark says of a stock line: that it may not be used, or for whom it is kept.

use crate::findings::{Finding, name};
use crate::records::{Field, How, Record, Value};

/// Words that take a unit out of use, whatever its condition column says.
const OUT_OF_USE: [&str; 25] = [
    "do not use",
    "don't use",
    "not to be used",
    "not usable",
    "unusable",
    "quarantine",
    "condemned",
    "cracked",
    "scrap",
    "defective",
    "broken",
    "nicht verwenden",
    "nicht benutzen",
    "gesperrt",
    "defekt",
    "ne pas utiliser",
    "fissuré",
    "hors service",
    "no usar",
    "no utilizar",
    "averiad",
    "non usare",
    "non utilizzare",
    "guasto",
    "rotto",
];

/// Words before the one for whom a unit is kept.
const KEPT_FOR: [&str; 8] = [
    "reserved for",
    "earmarked for",
    "kept for",
    "held for",
    "reserviert für",
    "réservé pour",
    "reservado para",
    "riservato per",
];

/// Heeds the remark of a stock line.
pub(super) fn heed(record: &mut Record) -> Vec<Finding> {
    let Some(entry) = record.entry(Field::note).cloned() else { return Vec::new() };
    let text = entry.value.to_string();
    let low = text.to_lowercase();
    let mut findings = Vec::new();
    let mut say = |record: &Record, what: &str| {
        let message = format!("the note `{text}` {what}");
        findings.push(Finding::new(&name::UNUSUAL, record.place(Field::note), message));
    };
    let turned = ["not cracked", "no crack", "nicht defekt", "not broken", "not defective"];
    let out = OUT_OF_USE.iter().any(|word| low.contains(word));
    if out
        && !turned.iter().any(|word| low.contains(word))
        && record.condition() != Some("as-removed")
    {
        record.set(Field::condition, Value::Text("as-removed".into()), How::Read, entry.col);
        say(record, "says that the unit is not fit for use; the line counts as `as-removed`");
    }
    if let Some(at) = KEPT_FOR.iter().find_map(|word| low.find(word).map(|at| at + word.len()))
        && !record.knows(Field::reserved_for)
        && let Some(rest) = text.get(at..).filter(|_| low.len() == text.len())
    {
        let who = rest.split([',', ';', '.']).next().unwrap_or_default().trim();
        if !who.is_empty() {
            record.set(Field::reserved_for, Value::Text(who.into()), How::Read, entry.col);
            say(record, &format!("was taken as a reservation for `{who}`"));
        }
    }
    findings
}
