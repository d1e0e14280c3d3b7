//! One row: every cell goes into its field, or into a finding.

use super::cell::{self, Column};
use super::grid;
use super::money;
use super::number::{self, Decimal};
use super::rows::Reading;
use super::words::Words;
use crate::findings::{Finding, Severity, name};
use crate::records::{Field, How, Record, Value};
use crate::units::find_unit;
use crate::workbook::{Cell, Raw};

impl<'a> Reading<'a> {
    /// Whether a line with too many fields holds values that cannot stand where they stand.
    pub(super) fn is_shifted(&self, row: u32, columns: &[(u32, Column)], cells: &[Cell]) -> bool {
        let wrong = |(col, column): &(u32, Column)| {
            let Some(raw) = grid::at(cells, *col) else { return false };
            let missing = matches!(raw, Raw::Text(t) if number::is_missing(t));
            !missing && cell::read(column, raw, None, self.policy).value.is_none()
        };
        self.sheet.suspect.contains(&row) && columns.iter().any(wrong)
    }

    pub(super) fn tell_shifted(&mut self, row: u32, cells: &[Cell]) {
        let col = cells.first().map_or(0, |c| c.col);
        let message = "the line holds more fields than its headings, and its values do not go with them; it was set aside";
        let mut finding = Finding::new(&name::RAGGED, self.place(row, col), message);
        finding.severity = Severity::Error;
        let hint = "put a text or number that holds the separator into quotes";
        self.findings.push(finding.hint(hint));
    }

    pub(super) fn fill(
        &mut self,
        record: &mut Record,
        columns: &[(u32, Column)],
        cells: &'a [Cell],
        words: &mut Words<'a>,
    ) {
        for (at, (col, column)) in columns.iter().enumerate() {
            let Some((raw, inherited)) = self.content(record.row, *col, cells) else {
                self.ditto_of_nothing(record.row, *col, column, cells);
                continue;
            };
            if record.knows(column.field) {
                self.compare(record, *col, column, raw);
                continue;
            }
            if let Some(value) = words.get(at, raw).filter(|_| !inherited) {
                record.set(column.field, value, How::Read, *col as u16);
                continue;
            }
            let named = self.with_named_unit(*col, raw, cells);
            let meant = named.as_ref().unwrap_or(raw);
            let read =
                cell::read(column, meant, self.sheet.format_of(record.row, *col), self.policy);
            if named.is_none() {
                words.keep(at, column.field, raw, &read);
            }
            if read.value.is_none()
                && read.finding.as_ref().is_some_and(|found| found.0 != &name::MISSING_WORD)
            {
                record.keep_unread(column.field, *col as u16, raw.shown().into());
            }
            if let Some((code, message, hint)) = read.finding {
                let mut finding = Finding::new(code, self.place(record.row, *col), message);
                finding.hint = hint;
                self.findings.push(finding);
            }
            if let Some(value) = read.value {
                if inherited {
                    let from = if grid::at(cells, *col).is_some() {
                        "from above the ditto sign"
                    } else {
                        "over the merged range"
                    };
                    let message = format!("{} was taken {from}", column.field.heading());
                    let place = self.place(record.row, *col);
                    self.findings.push(Finding::new(&name::INHERITED, place, message));
                }
                record.set(column.field, value, How::Read, *col as u16);
            }
        }
    }

    /// Tells of a ditto sign with nothing above it.
    fn ditto_of_nothing(&mut self, row: u32, col: u32, column: &Column, cells: &[Cell]) {
        if grid::at(cells, col).is_some_and(is_ditto) {
            let message =
                format!("{} is a ditto sign with no value above it", column.field.heading());
            self.findings.push(Finding::new(&name::MISSING_WORD, self.place(row, col), message));
        }
    }

    /// Holds a second column of the same meaning against the first.
    fn compare(&mut self, record: &mut Record, col: u32, column: &Column, raw: &Raw) {
        /// Plates and lists round each unit for itself.
        const SAME_WITHIN: f64 = 0.07;
        let Some(first) = record.number(column.field) else { return };
        let format = self.sheet.format_of(record.row, col);
        let Some(Value::Number(second)) = cell::read(column, raw, format, self.policy).value else {
            return;
        };
        if (first - second).abs() <= SAME_WITHIN * first.abs() {
            return;
        }
        let here = self.place(record.row, col);
        let message = format!(
            "{} is {first} in {} and {second} in {}, both in the same unit; which is right is not known",
            column.field.heading(),
            record.place(column.field).address().unwrap_or_default(),
            here.address().unwrap_or_default()
        );
        self.findings.push(Finding::new(&name::CONTRADICTION, here, message));
        if let Some(entry) = record.entry(column.field).cloned() {
            record.set(entry.field, entry.value, How::Disputed, entry.col);
        }
    }

    /// A number with the unit that the column beside it names.
    fn with_named_unit(&self, col: u32, raw: &Raw, cells: &[Cell]) -> Option<Raw> {
        let (_, unit) = self.layout.units.iter().find(|(value, _)| *value == col)?;
        let unit = grid::at(cells, *unit)?.shown();
        if find_unit(&unit).is_none() && money::named(&unit).is_none() {
            return None;
        }
        match raw {
            Raw::Number(n) => Some(Raw::Text(format!("{n} {unit}").into())),
            Raw::Text(text)
                if number::read(text, Decimal::Comma).is_ok_and(|q| q.unit.is_none()) =>
            {
                Some(Raw::Text(format!("{text} {unit}").into()))
            }
            _ => None,
        }
    }

    /// The cell's content, or that of the first cell of the merged range it lies in.
    fn content(&self, row: u32, col: u32, cells: &'a [Cell]) -> Option<(&'a Raw, bool)> {
        match grid::at(cells, col) {
            Some(raw) if is_ditto(raw) && !self.is_name(raw, col) => {
                return Some((self.above(row, col)?, true));
            }
            Some(raw) => return Some((raw, false)),
            None => {}
        }
        if self.sheet.merges.is_empty() {
            return None;
        }
        let merge = self.sheet.merges.iter().find(|m| {
            m.start.0 <= row
                && row <= m.end.0
                && m.start.1 <= col
                && col <= m.end.1
                && m.start.0 < row
        })?;
        let head = self.layout.rows.last().copied().unwrap_or(0);
        if merge.start.0 <= head || merge.start.1 != col {
            return None;
        }
        let first = grid::at(self.rows.get(merge.start.0)?, merge.start.1)?;
        Some((first, true))
    }

    /// Whether a word such as `SAME` stands in a column of names, where it is one.
    fn is_name(&self, raw: &Raw, col: u32) -> bool {
        let names = [Field::item, Field::tag, Field::serial, Field::part];
        let shouted = matches!(raw, Raw::Text(t) if t.trim().len() > 1 && t.trim().bytes().all(|b| b.is_ascii_uppercase()));
        shouted
            && self.layout.columns.iter().any(|(c, _, meaning)| {
                *c == col && meaning.is_some_and(|m| names.contains(&m.field))
            })
    }

    /// The content above a ditto sign, past those above it.
    fn above(&self, row: u32, col: u32) -> Option<&'a Raw> {
        let head = self.layout.rows.last().copied().unwrap_or(0);
        self.rows
            .above(row)
            .take_while(|(row, _)| *row > head)
            .map(|(_, cells)| grid::at(cells, col))
            .find(|found| !found.is_some_and(is_ditto))?
    }
}

/// Whether a cell only says that it holds the same as the one above.
pub(super) fn is_ditto(raw: &Raw) -> bool {
    #[rustfmt::skip]
    const SIGNS: [&str; 20] = [
        "\"", "''", "``", "same", "″", "〃", "„", "”", "-\"-", "- \" -", "ditto", "do.", "dto.", "dto", "id.", "idem", "as above", "same as above",
        "wie oben", "s.o.",
    ];
    let Raw::Text(text) = raw else { return false };
    let begins =
        |first: &u8| !first.is_ascii() || b"\"'`-diasw".contains(&first.to_ascii_lowercase());
    let text = text.trim();
    text.len() <= 13
        && text.as_bytes().first().is_some_and(begins)
        && SIGNS.iter().any(|sign| sign.eq_ignore_ascii_case(text))
}
