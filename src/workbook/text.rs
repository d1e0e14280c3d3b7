//! Delimited text: encoding, separator and line ends are found out from the bytes.

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
    if let Some(odd) = odd {
        book.findings.push(Finding::new(&name::ODD_BYTES, Place::file(&book.path), odd));
    }
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let (text, named) = drop_separator_line(&text);
    let separator = named.unwrap_or_else(|| likely_separator(text));
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
    let taken_off = u32::from(named.is_some());
    let mut widest = 0;
    let mut ragged: Vec<u32> = Vec::new();
    // Line breaks inside quotes are no rows of a spreadsheet.
    let mut inside = 0;
    for record in reader.records() {
        let record = record.map_err(|error| error.to_string())?;
        let row = first_line(&record, text) + taken_off - inside;
        inside += record.iter().map(|f| f.matches('\n').count() as u32).sum::<u32>();
        let filled = (0..record.len())
            .rev()
            .find(|at| !record[*at].trim().is_empty())
            .map_or(0, |at| at + 1);
        if widest > 2 && filled > widest {
            ragged.push(row);
        } else {
            widest = widest.max(filled);
        }
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
                sheet.cells.push(Cell { row, col, raw: Raw::Text(super::printable(field)) });
            }
        }
        if sheet.cells.len() > limits.cells {
            return Err(format!(
                "it holds more than {} cells, which is what `max_cells` of the policy allows",
                limits.cells
            ));
        }
    }
    if let Some(first) = ragged.first() {
        let lines: Vec<String> = ragged.iter().take(5).map(|row| (row + 1).to_string()).collect();
        let place = Place { cell: Some((*first, widest as u32)), ..(*sheet.at).clone() };
        let message = format!(
            "{} rows hold more fields than those above (rows {}…); what stands beyond has no heading",
            ragged.len(),
            lines.join(", ")
        );
        book.findings.push(Finding::new(&name::RAGGED, place, message));
    }
    sheet.suspect = ragged;
    book.sheets.push(sheet);
    Ok(())
}

/// The line, from 0, on which a record begins: what a text editor shows. The reader's own position
/// is that of the blank lines before it.
fn first_line(record: &csv::StringRecord, text: &str) -> u32 {
    let Some(position) = record.position() else { return 0 };
    let rest = &text.as_bytes()[position.byte() as usize..];
    let blank = rest.iter().take_while(|b| **b == b'\n').count();
    (position.line() as usize + blank).saturating_sub(1) as u32
}

/// Byte order mark, then the zeros of UTF-16, then UTF-8, then Windows-1252; and what is odd.
fn decode(bytes: &[u8]) -> (String, Option<String>) {
    if let Some((encoding, skip)) = encoding_rs::Encoding::for_bom(bytes) {
        let (text, _) = encoding.decode_without_bom_handling(&bytes[skip..]);
        return (text.into_owned(), None);
    }
    if let Some(encoding) = utf_16(bytes) {
        let (text, _) = encoding.decode_without_bom_handling(bytes);
        return (text.into_owned(), None);
    }
    let bad = match std::str::from_utf8(bytes) {
        Ok(text) => return (text.to_owned(), None),
        Err(error) => error.valid_up_to(),
    };
    let line = bytes[..bad].split(|b| *b == b'\n').count();
    let (text, _, _) = encoding_rs::WINDOWS_1252.decode(bytes);
    // Five bytes stand for nothing in Windows-1252.
    let lost = bytes.iter().filter(|b| matches!(b, 0x81 | 0x8D | 0x8F | 0x90 | 0x9D)).count();
    let tail =
        if lost > 0 { format!("; {lost} bytes stand for no letter there") } else { String::new() };
    let odd = format!(
        "the file is not UTF-8 (first at line {line}, byte {:02X}); it was read as Windows-1252{tail}",
        bytes[bad]
    );
    (text.into_owned(), Some(odd))
}

/// UTF-16 without a byte order mark: every other byte of the head is zero.
fn utf_16(bytes: &[u8]) -> Option<&'static encoding_rs::Encoding> {
    let head = &bytes[..bytes.len().min(2000) & !1];
    let zeros = |at: usize| head.iter().skip(at).step_by(2).filter(|b| **b == 0).count();
    let most = head.len() / 2 * 7 / 10;
    if head.len() < 4 {
        None
    } else if zeros(1) > most && zeros(0) < head.len() / 20 {
        Some(encoding_rs::UTF_16LE)
    } else if zeros(0) > most && zeros(1) < head.len() / 20 {
        Some(encoding_rs::UTF_16BE)
    } else {
        None
    }
}

/// Takes off a first line such as `sep=;`.
fn drop_separator_line(text: &str) -> (&str, Option<u8>) {
    let Some((first, rest)) = text.split_once('\n') else { return (text, None) };
    match first.trim().trim_matches('"').strip_prefix("sep=").map(str::as_bytes) {
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
