//! A sheet as a whole: tables side by side, and sheets that hold none.

use std::collections::BTreeSet;

use super::grid::Grid;
use super::headings;
use super::layout::{self, Decided};
use super::rows::SheetRows;
use crate::findings::{Finding, Lies, Severity, name};
use crate::records::{ColumnRead, SheetRead, Table};
use crate::workbook::{Cell, Merge, Raw, Sheet};

/// The blocks of a sheet that blank columns part, if each of them holds a table of its own.
pub(super) fn side_by_side(sheet: &Sheet, decisions: &Decided<'_>) -> Vec<Sheet> {
    let used: BTreeSet<u32> = sheet.cells.iter().map(|cell| cell.col).collect();
    let mut blocks: Vec<(u32, u32)> = Vec::new();
    for col in used {
        match blocks.last_mut() {
            Some(last) if col == last.1 + 1 => last.1 = col,
            _ => blocks.push((col, col)),
        }
    }
    if !(2..=6).contains(&blocks.len()) {
        return Vec::new();
    }
    let cut = |(first, last): &(u32, u32)| {
        let cells = sheet.cells.iter().filter(|c| (*first..=*last).contains(&c.col));
        Sheet { cells: cells.cloned().collect(), ..sheet.clone() }
    };
    let parts: Vec<Sheet> = blocks.iter().map(cut).collect();
    let has_table = |part: &Sheet| !layout::find_all(part, &Grid::of(part), decisions).is_empty();
    if parts.iter().all(has_table) { parts } else { Vec::new() }
}

/// A sheet with rows and columns exchanged; `None` for one that is too large to be a data sheet.
pub(super) fn turned(sheet: &Sheet) -> Option<Sheet> {
    /// A data sheet is small; a long list is not turned in vain.
    const MOST: usize = 50_000;
    if sheet.cells.len() > MOST {
        return None;
    }
    let swap = |(row, col): (u32, u32)| (col, row);
    let mut cells: Vec<Cell> = sheet
        .cells
        .iter()
        .map(|cell| Cell { row: cell.col, col: cell.row, raw: cell.raw.clone() })
        .collect();
    cells.sort_by_key(|c| (c.row, c.col));
    let mut formatted: Vec<_> = sheet.formatted.iter().map(|(r, c, f)| (*c, *r, *f)).collect();
    formatted.sort_unstable();
    let merges =
        sheet.merges.iter().map(|m| Merge { start: swap(m.start), end: swap(m.end) }).collect();
    Some(Sheet {
        at: sheet.at.clone(),
        cells,
        merges,
        epoch_shift: sheet.epoch_shift,
        formats: sheet.formats.clone(),
        formatted,
        totals: Vec::new(),
        decimal_comma: sheet.decimal_comma,
        lies: Lies::OnItsSide,
        suspect: Vec::new(),
    })
}

pub(super) fn no_table(sheet: &Sheet, rows: &Grid<'_>) -> SheetRows {
    let mut out = SheetRows::default();
    out.read.name = sheet.at.sheet.to_string();
    if !sheet.cells.is_empty() {
        out.read.rows_read = rows.len() as u32;
        out.read.rows_set_aside = rows.len() as u32;
        let (known, said) = likeliest_headings(rows, &mut out.read);
        let message =
            format!("no table of a known kind was found; {} rows were not used{said}", rows.len());
        let mut finding = Finding::new(&name::NO_TABLE, (*sheet.at).clone(), message);
        // A sheet with headings that are known and rows below them was meant as data.
        if known >= 2 && rows.len() >= 3 {
            finding.severity = Severity::Warning;
        }
        out.findings.push(finding);
    }
    out
}

/// Notes the row that reads most like headings, so that a mapping file can be drafted of it; and
/// says what is known of it.
fn likeliest_headings(rows: &Grid<'_>, read: &mut SheetRead) -> (usize, String) {
    // Words without digits, and above all words that are known.
    let word =
        |c: &&Cell| matches!(&c.raw, Raw::Text(t) if !t.contains(|c: char| c.is_ascii_digit()));
    let is_known = |c: &&Cell| matches!(&c.raw, Raw::Text(t) if Table::ALL.iter().any(|k| headings::known(t, *k).is_some()));
    let like = |cells: &[Cell]| {
        (cells.iter().filter(is_known).count() * 2 + cells.iter().filter(word).count(), cells.len())
    };
    let Some((row, cells)) =
        rows.range(0..40).max_by_key(|(row, cells)| (like(cells), std::cmp::Reverse(*row)))
    else {
        return (0, String::new());
    };
    let (mut known, mut unknown) = (Vec::new(), Vec::new());
    for cell in cells {
        let Raw::Text(text) = &cell.raw else { continue };
        let meaning = Table::ALL.iter().find_map(|table| headings::known(text, *table));
        let list = if meaning.is_some() { &mut known } else { &mut unknown };
        list.push(format!("`{}`", text.trim()));
        read.columns.push(ColumnRead {
            column: cell.col,
            heading: text.trim().to_owned(),
            field: meaning.map(|m| m.field),
            unit: meaning.and_then(|m| m.unit).map(|u| u.symbol.to_owned()),
            score: meaning.map_or(0.0, |m| m.score),
        });
    }
    if known.len() + unknown.len() < 2 {
        read.columns.clear();
        return (known.len(), String::new());
    }
    let or_none = |list: &[String]| match list.len() {
        0 => "nothing".to_owned(),
        count @ ..=12 => list[..count].join(", "),
        count => format!("{} and {} more", list[..12].join(", "), count - 12),
    };
    let said = format!(
        "; if row {} holds the headings, known are {}, not known {}",
        row + 1,
        or_none(&known),
        or_none(&unknown)
    );
    (known.len(), said)
}
