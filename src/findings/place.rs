//! Where a value stands: file, sheet, cell.

use std::{fmt, sync::Arc};

/// A place in the input, as a person would look it up: `fleet.xlsx 'Gear units'!F23`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Place {
    /// The file's name as given on the command line; empty if no file is meant.
    pub file: Arc<str>,
    /// Sheet name, unquoted; empty for a whole file.
    pub sheet: Arc<str>,
    /// Row and column, counted from 0; `None` for a whole sheet.
    pub cell: Option<(u32, u32)>,
}

impl Place {
    /// A whole file.
    #[must_use]
    pub fn file(file: &str) -> Self {
        Self { file: file.into(), sheet: "".into(), cell: None }
    }

    /// No place: what stands where nobody asks.
    #[must_use]
    pub fn nowhere() -> Self {
        thread_local! {
            static EMPTY: Arc<str> = "".into();
        }
        let empty = EMPTY.with(Arc::clone);
        Self { sheet: empty.clone(), file: empty, cell: None }
    }

    /// The cell as `F23`, or nothing for a whole sheet.
    #[must_use]
    pub fn address(&self) -> Option<String> {
        self.cell.map(|(row, col)| format!("{}{}", column_letters(col), row + 1))
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.file.is_empty() {
            return f.write_str("the whole input");
        }
        f.write_str(&self.file)?;
        if self.sheet.is_empty() {
            return Ok(());
        }
        // Quoting is never wrong; only an all-letter name reads better without.
        if self.sheet.chars().all(|c| c.is_alphabetic() || c == '_') {
            write!(f, " {}", self.sheet)?;
        } else {
            write!(f, " '{}'", self.sheet.replace('\'', "''"))?;
        }
        self.address().map_or(Ok(()), |address| write!(f, "!{address}"))
    }
}

/// Column letters for a zero-based index: 0 → A, 25 → Z, 26 → AA.
#[must_use]
pub fn column_letters(mut col: u32) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'A' + u8::try_from(col % 26).unwrap_or(0)));
        if col < 26 {
            break;
        }
        col = col / 26 - 1;
    }
    letters.iter().rev().collect()
}

/// How a table's cells lie on their sheet, where they were moved to be read as rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Lies {
    /// As they stand.
    #[default]
    Upright,
    /// Rows and columns exchanged.
    OnItsSide,
    /// A form made into one row: the column holds both the value's column and its row.
    Form,
}

impl Lies {
    /// The sheet's cell for a row and column as read.
    #[must_use]
    pub const fn cell(self, row: u32, col: u32) -> (u32, u32) {
        match self {
            Self::Upright => (row, col),
            Self::OnItsSide => (col, row),
            Self::Form => (col % 256, col / 256),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_as_a_spreadsheet_counts() {
        let names: Vec<_> = [0, 25, 26, 701, 702, 16_383].map(column_letters).to_vec();
        assert_eq!(names, ["A", "Z", "AA", "ZZ", "AAA", "XFD"]);
    }

    #[test]
    fn a_place_reads_as_a_reference() {
        let place =
            Place { file: "a.xlsx".into(), sheet: "Gear units".into(), cell: Some((22, 5)) };
        assert_eq!(place.to_string(), "a.xlsx 'Gear units'!F23");
    }
}
