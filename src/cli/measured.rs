//! `--save-measured`: what a planner measured, in a csv file that is itself an input.

use std::path::Path;

use super::lookup::Measured;
use crate::figures::write_csv;
use crate::records::Table;
use crate::workbook::{Limits, open};

/// The first heading, by which the file is known again and its rows win over the list's.
const MARK: &str = "Measured";

/// Writes what was measured, a row for each tag and spare; a file of this kind that is there already
/// keeps its other rows.
///
/// # Errors
/// A message when the file is another one, or cannot be written.
pub(super) fn save(path: &Path, measured: &[Measured]) -> Result<(), String> {
    if path.extension().is_none_or(|e| !e.eq_ignore_ascii_case("csv")) {
        return Err(format!("`{}` does not end in .csv", path.display()));
    }
    let (mut headings, mut rows) = before(path)?;
    let of_fleet = Table::Fleet.fields();
    for Measured { of, field, text, .. } in measured {
        if !of_fleet.contains(field) {
            return Err(format!(
                "`{}` cannot be kept in a file of measured values; enter it in the stock list",
                field.name()
            ));
        }
        let at = rows.iter().position(|row| row.get(1).is_some_and(|t| t == of));
        let at = at.unwrap_or_else(|| {
            rows.push(vec!["yes".into(), of.clone()]);
            rows.len() - 1
        });
        let col = headings.iter().position(|h| h == field.name()).unwrap_or_else(|| {
            headings.push(field.name().into());
            headings.len() - 1
        });
        if rows[at].len() <= col {
            rows[at].resize(col + 1, String::new());
        }
        text.clone_into(&mut rows[at][col]);
    }
    for row in &mut rows {
        row.resize(headings.len(), String::new());
    }
    write_csv(path, &headings, &rows).map_err(|why| why.to_string())
}

type Lines = (Vec<String>, Vec<Vec<String>>);

/// What the file holds already.
fn before(path: &Path) -> Result<Lines, String> {
    if !path.exists() {
        return Ok((vec![MARK.into(), "tag".into()], Vec::new()));
    }
    let other = || {
        format!(
            "`{}` is there already and was not written by --save-measured; name another file",
            path.display()
        )
    };
    let book = open(path, &path.to_string_lossy(), Limits::default()).map_err(|_| other())?;
    let sheet = book.sheets.first().ok_or_else(other)?;
    let mut lines: Vec<Vec<String>> = Vec::new();
    for cell in &sheet.cells {
        let (row, col) = (cell.row as usize, cell.col as usize);
        if lines.len() <= row {
            lines.resize(row + 1, Vec::new());
        }
        if lines[row].len() <= col {
            lines[row].resize(col + 1, String::new());
        }
        lines[row][col] = cell.raw.shown();
    }
    let mut lines = lines.into_iter();
    let headings =
        lines.next().filter(|h| h.first().is_some_and(|m| m == MARK)).ok_or_else(other)?;
    Ok((headings, lines.collect()))
}
