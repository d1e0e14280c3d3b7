//! One row of a table: its known fields, each with its cell.

use std::sync::Arc;

use compact_str::CompactString;
use jiff::civil::Date;

use super::Field;
use crate::findings::{Lies, Place, is_brief};

/// A value as kept: in the record unit of its field.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Text or word.
    Text(CompactString),
    /// Number.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// Date.
    Date(Date),
}

impl std::fmt::Display for Value {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Text(text) => f.write_str(text),
            Self::Number(number) => write!(f, "{}", (number * 1e9).round() / 1e9),
            Self::Flag(flag) => f.write_str(if *flag { "yes" } else { "no" }),
            Self::Date(date) => write!(f, "{date}"),
        }
    }
}

/// How a value came to be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Read from its cell.
    Read,
    /// Read from a description.
    FromText,
    /// What all catalogue rows of the unit's name say alike, where it is not known which of them it is.
    FromName,
    /// Taken from a default of the policy.
    Assumed,
    /// Read, but another row for the same unit says otherwise.
    Disputed,
    /// Measured by the person who asks.
    Measured,
}

/// A field's value and the column it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Which field.
    pub field: Field,
    /// How it is known.
    pub how: How,
    /// Column, counted from 0.
    pub col: u16,
    /// The value.
    pub value: Value,
}

/// One row of one table. Unknown fields are absent, never zero or empty.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Record {
    /// File and sheet, shared by the rows of a sheet.
    pub at: Arc<Place>,
    /// Row, counted from 0.
    pub row: u32,
    /// How the table's cells lie on the sheet.
    pub lies: Lies,
    entries: Vec<Entry>,
    unread: Vec<Unread>,
}

/// A cell of a field that held something that could not be read.
#[derive(Clone, Debug, PartialEq)]
pub struct Unread {
    /// Which field.
    pub field: Field,
    /// Column, counted from 0.
    pub col: u16,
    /// What stands there.
    pub text: CompactString,
}

impl Record {
    /// An empty row of the sheet at `at`.
    #[must_use]
    pub fn new(at: Arc<Place>, row: u32) -> Self {
        Self { at, row, ..Self::default() }
    }

    /// The same with room for `fields` values.
    #[must_use]
    pub fn with_room(at: Arc<Place>, row: u32, fields: usize) -> Self {
        Self { at, row, entries: Vec::with_capacity(fields), ..Self::default() }
    }

    /// The known fields, in field order.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Sets a field; a later value replaces an earlier one.
    pub fn set(&mut self, field: Field, value: Value, how: How, col: u16) {
        let entry = Entry { field, how, col, value };
        if self.entries.last().is_none_or(|last| last.field < field) {
            self.entries.push(entry);
            return;
        }
        match self.entries.binary_search_by_key(&field, |e| e.field) {
            Ok(at) => self.entries[at] = entry,
            Err(at) => self.entries.insert(at, entry),
        }
    }

    /// Forgets a field.
    pub fn clear(&mut self, field: Field) {
        self.entries.retain(|entry| entry.field != field);
    }

    /// Forgets all that is known in one way.
    pub fn forget(&mut self, how: How) {
        self.entries.retain(|entry| entry.how != how);
    }

    /// The entry of a field, if known.
    #[must_use]
    pub fn entry(&self, field: Field) -> Option<&Entry> {
        self.entries.binary_search_by_key(&field, |e| e.field).ok().map(|at| &self.entries[at])
    }

    /// Whether the field is known.
    #[must_use]
    pub fn knows(&self, field: Field) -> bool {
        self.entry(field).is_some()
    }

    /// Keeps what stands in a cell that could not be read.
    pub fn keep_unread(&mut self, field: Field, col: u16, text: CompactString) {
        self.unread.push(Unread { field, col, text });
    }

    /// What stands in the cell of a field that is not known because it could not be read.
    #[must_use]
    pub fn unread(&self, field: Field) -> Option<&Unread> {
        self.unread.iter().find(|u| u.field == field).filter(|_| !self.knows(field))
    }

    /// The cell a known field came from, that of one that could not be read, or the row's first cell that was used.
    #[must_use]
    pub fn place(&self, field: Field) -> Place {
        if is_brief() {
            return Place::nowhere();
        }
        let first = || self.entries.iter().map(|e| e.col).min().unwrap_or(0);
        let unread = || self.unread(field).map_or_else(first, |unread| unread.col);
        let col = self.entry(field).map_or_else(unread, |entry| entry.col);
        self.cell(u32::from(col))
    }

    /// A cell of this row.
    #[must_use]
    pub fn cell(&self, col: u32) -> Place {
        if is_brief() {
            return Place::nowhere();
        }
        let Place { file, sheet, .. } = (*self.at).clone();
        Place { file, sheet, cell: Some(self.lies.cell(self.row, col)) }
    }

    /// A number, if known.
    #[must_use]
    pub fn number(&self, field: Field) -> Option<f64> {
        match self.entry(field)?.value {
            Value::Number(number) => Some(number),
            _ => None,
        }
    }

    /// A text or word, if known.
    #[must_use]
    pub fn text(&self, field: Field) -> Option<&str> {
        match &self.entry(field)?.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// A flag, if known.
    #[must_use]
    pub fn flag(&self, field: Field) -> Option<bool> {
        match self.entry(field)?.value {
            Value::Flag(flag) => Some(flag),
            _ => None,
        }
    }

    /// A date, if known.
    #[must_use]
    pub fn day(&self, field: Field) -> Option<Date> {
        match self.entry(field)?.value {
            Value::Date(date) => Some(date),
            _ => None,
        }
    }
}
