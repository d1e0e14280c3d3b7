//! What the reading library does not give of an OpenDocument spreadsheet, read from its content in a
//! second pass: hidden rows and columns, notes, strike-through, and what number formats add.

use std::collections::BTreeMap;
use std::io::{BufReader, Cursor, Read};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::formats::NumberFormat;
use super::parts::{Parts, SheetParts, Style};

/// A run of equal cells or rows longer than this is blank paper.
const LONGEST_RUN: u32 = 1_000;

/// As many bytes of the list of parts are looked at.
const LIST: u64 = 1 << 20;

/// Whether the parts are encrypted, as the list of them says.
pub(super) fn is_locked(bytes: &[u8]) -> bool {
    let list = || -> Option<String> {
        let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).ok()?;
        let mut text = String::new();
        zip.by_name("META-INF/manifest.xml").ok()?.take(LIST).read_to_string(&mut text).ok()?;
        Some(text)
    };
    list().is_some_and(|list| list.contains("encryption-data"))
}

/// Reads the content; `None` where it breaks off or its elements do not close: the reading library would look for their
/// ends for ever.
pub(super) fn read(bytes: &[u8]) -> Option<Parts> {
    let mut reading = Content::default();
    reading.walk(bytes)?;
    Some(reading.parts)
}

/// Where the second pass stands.
#[derive(Default)]
struct Content {
    parts: Parts,
    /// Number formats by name, and the one that is being read.
    formats: BTreeMap<String, NumberFormat>,
    open_format: Option<(String, bool)>,
    in_literal: bool,
    /// Cell styles by name, and the one that is being read.
    styles: BTreeMap<String, u16>,
    open_style: Option<u16>,
    row: u32,
    rows: u32,
    col: u32,
    /// Default styles of the columns: first, last, style.
    columns: Vec<(u32, u32, u16)>,
    next_column: u32,
}

impl Content {
    fn walk(&mut self, bytes: &[u8]) -> Option<()> {
        let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).ok()?;
        let content = zip.by_name("content.xml").ok()?;
        let mut xml = Reader::from_reader(BufReader::with_capacity(1 << 16, content));
        let (mut buffer, mut depth) = (Vec::new(), 0_usize);
        loop {
            buffer.clear();
            match xml.read_event_into(&mut buffer).ok()? {
                Event::Start(e) => {
                    depth += 1;
                    self.open(&e);
                }
                Event::Empty(e) => {
                    self.open(&e);
                    self.close(e.local_name().as_ref());
                }
                Event::Text(text) if self.in_literal => self.literal(&text),
                Event::End(e) => {
                    depth = depth.checked_sub(1)?;
                    self.close(e.local_name().as_ref());
                }
                Event::Eof => return (depth == 0).then_some(()),
                _ => {}
            }
        }
    }

    fn open(&mut self, e: &BytesStart<'_>) {
        match e.local_name().as_ref() {
            "number-style" | "percentage-style" | "currency-style" => {
                let name = attribute(e, "name").unwrap_or_default();
                let percent = e.local_name().as_ref() == "percentage-style";
                self.formats
                    .insert(name.clone(), NumberFormat { percent, ..NumberFormat::default() });
                self.open_format = Some((name, false));
            }
            "number" | "scientific-number" | "fraction" => {
                if let Some((_, seen)) = &mut self.open_format {
                    *seen = true;
                }
            }
            "text" | "currency-symbol" if self.open_format.is_some() => self.in_literal = true,
            "style" if attribute(e, "family").is_some_and(|f| f == "table-cell") => {
                let format =
                    attribute(e, "data-style-name").and_then(|n| self.formats.get(&n).cloned());
                let style = Style { format: format.unwrap_or_default(), strike: false };
                let at = self.parts.styles.len() as u16;
                self.parts.styles.push(style);
                self.styles.insert(attribute(e, "name").unwrap_or_default(), at);
                self.open_style = Some(at);
            }
            "text-properties" => {
                let strike = attribute(e, "text-line-through-style").is_some_and(|s| s != "none");
                if let Some(at) = self.open_style.filter(|_| strike) {
                    self.parts.styles[at as usize].strike = true;
                }
            }
            "table" => self.begin_table(e),
            "table-column" => self.column(e),
            "table-row" => self.begin_row(e),
            "table-cell" | "covered-table-cell" => self.cell(e),
            "annotation" => {
                // The cell that the note hangs on was counted already.
                let column = crate::findings::column_letters(self.col.saturating_sub(1));
                let at = format!("{column}{}", self.row + 1);
                if let Some(sheet) = self.parts.sheets.last_mut() {
                    sheet.notes.push(at);
                }
            }
            _ => {}
        }
    }

    fn close(&mut self, name: &str) {
        match name {
            "number-style" | "percentage-style" | "currency-style" => self.open_format = None,
            "text" | "currency-symbol" => self.in_literal = false,
            "style" => self.open_style = None,
            "table-row" => self.row += self.rows,
            _ => {}
        }
    }

    fn literal(&mut self, text: &str) {
        let Some((name, seen_number)) = &self.open_format else { return };
        let Some(format) = self.formats.get_mut(name) else { return };
        let text = if format.percent { text.replace('%', "") } else { text.to_owned() };
        if *seen_number {
            format.suffix.push_str(text.trim());
        } else {
            format.prefix.push_str(text.trim());
        }
    }

    fn begin_table(&mut self, e: &BytesStart<'_>) {
        let name = attribute(e, "name").unwrap_or_default();
        self.parts.sheets.push(SheetParts { name, ..SheetParts::default() });
        (self.row, self.next_column) = (0, 0);
        self.columns.clear();
    }

    fn column(&mut self, e: &BytesStart<'_>) {
        let count = run(e, "number-columns-repeated");
        let first = self.next_column;
        self.next_column = first.saturating_add(count);
        let style =
            attribute(e, "default-cell-style-name").and_then(|n| self.styles.get(&n).copied());
        self.columns.extend(style.map(|style| (first, self.next_column - 1, style)));
        if is_hidden(e)
            && let Some(sheet) = self.parts.sheets.last_mut()
        {
            sheet.hidden_columns.push((first, self.next_column - 1));
        }
    }

    fn begin_row(&mut self, e: &BytesStart<'_>) {
        self.rows = run(e, "number-rows-repeated");
        self.col = 0;
        if is_hidden(e)
            && let Some(sheet) = self.parts.sheets.last_mut()
        {
            sheet.hidden_rows.extend(self.row..self.row.saturating_add(self.rows.min(LONGEST_RUN)));
        }
    }

    fn cell(&mut self, e: &BytesStart<'_>) {
        let count = run(e, "number-columns-repeated");
        let first = self.col;
        self.col = first.saturating_add(count);
        if attribute(e, "value-type").is_none() {
            return;
        }
        let own = attribute(e, "style-name").and_then(|n| self.styles.get(&n).copied());
        for col in first..first + count.min(LONGEST_RUN) {
            let of_column =
                || self.columns.iter().find(|c| (c.0..=c.1).contains(&col)).map(|c| c.2);
            let Some(style) = own.or_else(of_column) else { continue };
            let read = &self.parts.styles[style as usize];
            if !(read.strike || read.format.says_something()) {
                continue;
            }
            let Some(sheet) = self.parts.sheets.last_mut() else { return };
            let rows = self.row..self.row.saturating_add(self.rows.clamp(1, LONGEST_RUN));
            sheet.styled.extend(rows.map(|row| (row, col, style)));
        }
    }
}

fn run(e: &BytesStart<'_>, name: &str) -> u32 {
    attribute(e, name).and_then(|n| n.parse().ok()).unwrap_or(1).max(1)
}

fn is_hidden(e: &BytesStart<'_>) -> bool {
    attribute(e, "visibility").is_some_and(|v| v == "collapse" || v == "filter")
}

/// An attribute by its local name: the prefixes are free.
fn attribute(e: &BytesStart<'_>, local: &str) -> Option<String> {
    let found = e.attributes().with_checks(false).flatten().find(|a| {
        let key = a.key.as_ref();
        key.rsplit_once(':').map_or(key, |(_, name)| name) == local
    })?;
    let value = quick_xml::escape::unescape(&found.value).ok()?;
    Some(value.into_owned())
}
