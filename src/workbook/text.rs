//! Delimited text: encoding, separator and line ends are found out from the bytes.

use std::borrow::Cow;
use std::sync::Arc;

use super::{Book, Cell, Limits, Raw, Sheet};
use crate::findings::{Finding, Place, name};

/// As many columns as a spreadsheet has.
const COLUMNS_AT_MOST: u32 = 16_384;

pub(super) fn read(bytes: &[u8], book: &mut Book, limits: Limits) -> Result<(), String> {
    let limit = limits.unpacked_bytes / 4;
    if bytes.len() as u64 > limit {
        return Err(format!(
            "it holds {} MB of text, more than the {} MB allowed; \
             if that is right, raise `max_unpacked_mb` in policy.toml",
            bytes.len() >> 20,
            limit >> 20
        ));
    }
    let (text, odd) = decode(bytes);
    if odd {
        book.findings.push(Finding::new(
            &name::ODD_BYTES,
            Place::file(&book.path),
            "the file is not UTF-8; it was read as Windows-1252",
        ));
    }
    let (text, named) = drop_separator_line(&text);
    let text = if text.contains('\n') {
        Cow::Borrowed(text)
    } else {
        Cow::Owned(text.replace('\r', "\n"))
    };
    let separator = named.unwrap_or_else(|| likely_separator(&text));
    let place = Place { file: book.path.as_str().into(), sheet: "csv".into(), cell: None };
    let mut sheet = Sheet { at: Arc::new(place), ..Sheet::default() };
    if separator == b';' {
        sheet.decimal_comma = Some(true);
    }
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .from_reader(text.as_bytes());
    for (row, record) in (u32::from(named.is_some())..).zip(reader.records()) {
        let record = record.map_err(|error| format!("line {}: {error}", row + 1))?;
        for (col, field) in (0_u32..).zip(record.iter()) {
            if field.matches('\n').count() > 20 {
                let place = Place { cell: Some((row, col)), ..(*sheet.at).clone() };
                let message = "a quote that opens here does not close; the lines after it were taken as one cell";
                book.findings.push(Finding::new(&name::UNREADABLE_CELL, place, message));
            }
            if col >= COLUMNS_AT_MOST {
                return Err(format!("line {} has more than {COLUMNS_AT_MOST} fields", row + 1));
            }
            if !field.trim().is_empty() {
                sheet.cells.push(Cell { row, col, raw: Raw::Text(super::printable(field).into()) });
            }
        }
        if sheet.cells.len() > limits.cells {
            return Err(format!("it holds more than {} cells", limits.cells));
        }
    }
    book.sheets.push(sheet);
    Ok(())
}

/// Byte order mark, then UTF-8, then Windows-1252.
fn decode(bytes: &[u8]) -> (String, bool) {
    if let Some((encoding, skip)) = encoding_rs::Encoding::for_bom(bytes) {
        let (text, _) = encoding.decode_without_bom_handling(&bytes[skip..]);
        return (text.into_owned(), false);
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        return (text.to_owned(), false);
    }
    let (text, _, _) = encoding_rs::WINDOWS_1252.decode(bytes);
    (text.into_owned(), true)
}

/// Takes off a first line such as `sep=;`.
fn drop_separator_line(text: &str) -> (&str, Option<u8>) {
    let Some((first, rest)) = text.split_once('\n') else { return (text, None) };
    match first.trim().strip_prefix("sep=").map(str::as_bytes) {
        Some([separator]) => (rest, Some(*separator)),
        _ => (text, None),
    }
}

/// The separator that stands in most lines, and equally often in each.
fn likely_separator(text: &str) -> u8 {
    let lines: Vec<&str> = text.lines().filter(|line| !line.trim().is_empty()).take(50).collect();
    let score = |separator: char| {
        let counts: Vec<usize> = lines.iter().map(|line| outside_quotes(line, separator)).collect();
        let most = counts.iter().copied().max().unwrap_or(0);
        let alike = counts.iter().filter(|count| **count == most && most > 0).count();
        (alike * most.min(3), most)
    };
    [';', '\t', '|', ',']
        .into_iter()
        .max_by_key(|separator| score(*separator))
        .filter(|separator| score(*separator).1 > 0)
        .map_or(b',', |separator| separator as u8)
}

fn outside_quotes(line: &str, separator: char) -> usize {
    let mut quoted = false;
    line.chars()
        .filter(|c| {
            quoted ^= *c == '"';
            *c == separator && !quoted
        })
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_separator_is_the_one_that_every_line_has() {
        assert_eq!(likely_separator("tag;kW\nA;1,5\nB;2,5\n"), b';');
        assert_eq!(likely_separator("tag,kW\nA,\"1,5\"\n"), b',');
        assert_eq!(likely_separator("a\tb\n1\t2\n"), b'\t');
        assert_eq!(likely_separator("one column\nonly\n"), b',');
    }

    #[test]
    fn a_separator_line_is_taken_off() {
        assert_eq!(drop_separator_line("sep=;\na;b"), ("a;b", Some(b';')));
    }
}
