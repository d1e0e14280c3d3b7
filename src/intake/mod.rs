//! Recognises headings, reads cells into records and checks them against each other.
//!
//! Reading never stops at bad data: it returns what could be read and a list of findings.

mod agreed;
mod assemble;
mod bounds;
mod cell;
mod checks;
mod columns;
mod composed;
mod date;
mod describe;
mod evidence;
mod fill;
mod form;
mod grid;
mod headings;
mod hours;
mod layout;
mod measured;
mod models;
mod money;
mod notes;
mod nouns;
pub(crate) mod number;
mod quantity;
mod ratio;
mod repeated;
mod row_kind;
mod rows;
mod sentences;
mod spoken;
mod table_kind;
mod tags;
mod typed;
mod values;
mod whole;
mod word;
mod words;

use crate::findings::{Finding, Place, name};
use crate::policy::{Columns, Policy};
use crate::records::{FileRead, Plant, Record, Table};
use crate::workbook::Book;

pub use models::{match_again, match_line_again};
pub use typed::read_typed;

/// Everything read, and everything to say about it.
#[derive(Debug, Default)]
pub struct Intake {
    /// The plant.
    pub plant: Plant,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// Reads books into a plant.
#[must_use]
pub fn read(books: Vec<Book>, policy: &Policy, mapping: &Columns) -> Intake {
    let mut intake = Intake::default();
    let mut records: Vec<(Table, Vec<Record>)> = Vec::new();
    let mut tally = tags::Tally::default();
    let mut spent = Vec::new();
    let mut used_lines = vec![false; mapping.column.len()];
    for book in books {
        intake.findings.extend(book.findings);
        let mut file = FileRead { path: book.path, checksum: book.checksum, sheets: Vec::new() };
        for sheet in &book.sheets {
            for rows in rows::read(sheet, policy, mapping) {
                intake.findings.extend(rows.findings);
                for (line, used) in mapping.column.iter().zip(&mut used_lines) {
                    *used |= rows.read.columns.iter().any(|c| {
                        c.heading == line.column
                            || crate::findings::column_letters(c.column) == line.column
                    });
                }
                file.sheets.push(rows.read);
                tally.add(rows.tally);
                records.extend(rows.table.map(|table| (table, rows.records)));
            }
        }
        intake.plant.files.push(file);
        spent.push(book.sheets);
    }
    for (line, _) in mapping.column.iter().zip(used_lines).filter(|(_, used)| !used) {
        let message = format!("columns.toml: no column is headed `{}`", line.column);
        intake.findings.push(Finding::new(&name::MAPPED_UNUSED, Place::default(), message));
    }
    // Millions of cells are let go on the other core.
    std::thread::scope(|scope| {
        scope.spawn(|| drop(spent));
        assemble::assemble(&mut intake, records, tally, policy);
    });
    intake
}
