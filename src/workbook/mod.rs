//! Opens spreadsheets of every container and hands their cells inward; the only room that knows
//! the reading libraries. Files are opened read-only.

mod biff;
mod compound;
mod folder;
mod formats;
mod guard;
mod legacy;
mod ods;
mod parts;
mod quiet;
mod sniff;
mod text;
mod xlsx;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use compact_str::CompactString;

use crate::findings::{Finding, Lies, Place, name};

pub use folder::{Listing, list};
pub use formats::NumberFormat;
pub use guard::Limits;

/// A cell's content as stored, before anyone decides what it means.
#[derive(Clone, Debug, PartialEq)]
pub enum Raw {
    /// Text.
    Text(CompactString),
    /// A number.
    Number(f64),
    /// A number shown as a date or a time of day; the serial day number.
    Time(f64),
    /// A number shown as elapsed time; days.
    Elapsed(f64),
    /// True or false.
    Flag(bool),
}

impl Raw {
    /// The content as text, as a person would see it.
    #[must_use]
    pub fn shown(&self) -> String {
        match self {
            Self::Text(text) => text.to_string(),
            Self::Number(n) | Self::Time(n) | Self::Elapsed(n) => {
                // Fifteen significant digits: what a spreadsheet shows, without float noise.
                let text = format!("{n:.14e}");
                text.parse::<f64>().map_or(text, |rounded| rounded.to_string())
            }
            Self::Flag(flag) => flag.to_string(),
        }
    }
}

/// One used cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// Row, from 0.
    pub row: u32,
    /// Column, from 0.
    pub col: u32,
    /// Content.
    pub raw: Raw,
}

/// A merged range: first and last row and column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Merge {
    /// First row and column.
    pub start: (u32, u32),
    /// Last row and column.
    pub end: (u32, u32),
}

/// One sheet: its used cells in row order, and what else is needed to read it.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// File and sheet.
    pub at: Arc<Place>,
    /// Used cells, by row then column.
    pub cells: Vec<Cell>,
    /// Merged ranges.
    pub merges: Vec<Merge>,
    /// Days to add to serials of the 1904 system.
    pub epoch_shift: f64,
    /// Number formats that say something, and the cells that have one, in row order.
    pub formats: Vec<NumberFormat>,
    /// Row, column and index into the formats.
    pub formatted: Vec<(u32, u32, u16)>,
    /// Rows that the file declares to be totals of a table.
    pub totals: Vec<u32>,
    /// For text files: whether the separator or its neighbours speak for decimal commas.
    pub decimal_comma: Option<bool>,
    /// How its cells lie, where they were moved to be read.
    pub lies: Lies,
    /// Rows of a text file that hold more fields than those above.
    pub suspect: Vec<u32>,
}

impl Sheet {
    /// The number format of a cell, where it says something.
    #[must_use]
    pub fn format_of(&self, row: u32, col: u32) -> Option<&NumberFormat> {
        let at = self.formatted.binary_search_by_key(&(row, col), |f| (f.0, f.1)).ok()?;
        self.formats.get(self.formatted[at].2 as usize)
    }
}

/// A file that was read.
#[derive(Clone, Debug, Default)]
pub struct Book {
    /// The path as shown.
    pub path: String,
    /// CRC-32 of its bytes.
    pub checksum: u32,
    /// Its sheets, in order.
    pub sheets: Vec<Sheet>,
    /// What was noticed while reading.
    pub findings: Vec<Finding>,
}

/// A file that could not be read at all.
#[derive(Debug, thiserror::Error)]
#[error("cannot read `{path}`: {reason}")]
pub struct OpenError {
    /// The path as shown.
    pub path: String,
    /// Why, and what to do.
    pub reason: String,
}

/// Reads the spreadsheet at `path`; `shown` is its name in findings.
///
/// # Errors
/// When the file is missing, protected, damaged or no spreadsheet.
pub fn open(path: &Path, shown: &str, limits: Limits) -> Result<Book, OpenError> {
    let fail = |reason: String| OpenError { path: shown.to_owned(), reason };
    let bytes = std::fs::read(path).map_err(|error| fail(said(&error)))?;
    let kind = sniff::kind(&bytes).map_err(fail)?;
    let mut book = Book { path: shown.to_owned(), ..Book::default() };
    book.checksum = guard::checksum(&bytes);
    if let Some(other) = sniff::other_than_named(path, kind) {
        let place = Place::file(shown);
        book.findings.push(Finding::new(&name::OTHER_EXTENSION, place, other));
    }
    if kind.is_zip() {
        guard::check_zip(&bytes, limits).map_err(fail)?;
    } else if kind == sniff::Container::Xls {
        let file = compound::checked(&bytes).map_err(fail)?;
        biff::check(file, limits).map_err(fail)?;
    }
    quiet::catch(|| match kind {
        sniff::Container::Xlsx => xlsx::read(bytes, &mut book, limits),
        sniff::Container::Text => text::read(&bytes, &mut book, limits),
        other => legacy::read(bytes, other, &mut book, limits),
    })
    .unwrap_or_else(|| Err("the file is damaged in a way its reader cannot handle".to_owned()))
    .map_err(fail)?;
    if kind != sniff::Container::Text {
        leave_out_far(&mut book);
    }
    for sheet in &mut book.sheets {
        if !sheet.cells.is_sorted_by_key(|c| (c.row, c.col)) {
            sheet.cells.sort_by_key(|c| (c.row, c.col));
        }
    }
    Ok(book)
}

/// Rows and columns of a sheet (ECMA-376 and [MS-XLSB] allow no more; from memory).
const SHEET: (u32, u32) = (1 << 20, 1 << 14);

/// Leaves out cells that say they stand where no sheet reaches: the file is damaged there.
fn leave_out_far(book: &mut Book) {
    for sheet in &mut book.sheets {
        let before = sheet.cells.len();
        sheet.cells.retain(|c| c.row < SHEET.0 && c.col < SHEET.1);
        let gone = before - sheet.cells.len();
        if gone > 0 {
            let message =
                format!("cells say that they stand beyond the last row or column; {gone} left out");
            book.findings.push(Finding::new(&name::UNREADABLE_CELL, (*sheet.at).clone(), message));
        }
    }
}

/// Whether a workbook was written by this program.
#[must_use]
pub fn is_own_report(path: &Path) -> bool {
    quiet::catch(|| xlsx::carries_own_mark(path)).unwrap_or(false)
}

/// A file's name for findings: relative as given, with `/`.
#[must_use]
pub fn shown_path(path: &Path) -> String {
    let parts: PathBuf = path.components().collect();
    parts.to_string_lossy().replace('\\', "/")
}

/// Stands for the character NUL, which tells of UTF-16 read as bytes.
const NUL_SIGN: char = '\u{2400}';

/// Text without control characters, which could act on a terminal.
fn printable(text: &str) -> CompactString {
    if text.bytes().all(|b| b >= 0x20 && b != 0x7F) && !text.contains('\u{80}') {
        return text.into();
    }
    let plain = |c: char| match c {
        '\0' => NUL_SIGN,
        '\n' => c,
        c if c.is_control() => ' ',
        c => c,
    };
    text.chars().map(plain).collect::<String>().into()
}

fn said(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "no such file".into(),
        std::io::ErrorKind::PermissionDenied => {
            "permission denied; is it open in another program?".into()
        }
        _ => error.to_string(),
    }
}
