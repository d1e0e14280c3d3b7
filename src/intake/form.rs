//! Forms, as name plates are copied: labels with a value beside each, in several columns, or
//! `Label: value` in one cell.

use std::collections::BTreeSet;

use super::grid::Grid;
use super::headings;
use crate::findings::Lies;
use crate::records::{Field, Table};
use crate::units::find_unit;
use crate::workbook::{Cell, Raw, Sheet};

/// A form is no larger; its addresses are packed into one number.
pub(super) const SIDE: u32 = 256;

/// A label with its value, and the cells that they took.
struct Pair<'a> {
    label: String,
    value: &'a Cell,
    raw: Raw,
    inline: bool,
}

/// The form as one row under its labels, and the cells that it leaves; `None` if the sheet is no
/// form.
pub(super) fn form(sheet: &Sheet) -> Option<(Sheet, Vec<(u32, u32)>)> {
    if sheet.cells.len() > 600 || sheet.cells.iter().any(|c| c.row >= SIDE || c.col >= SIDE) {
        return None;
    }
    let mut used: BTreeSet<(u32, u32)> = BTreeSet::new();
    let mut pairs = Vec::new();
    for (_, cells) in Grid::of(sheet).range(0..SIDE) {
        pairs_of_row(cells, &mut pairs, &mut used);
    }
    let fields: Vec<Field> = pairs.iter().filter_map(|p| known(&p.label)).collect();
    let distinct: BTreeSet<Field> = fields.iter().copied().collect();
    let columns: BTreeSet<u32> = pairs.iter().map(|p| p.value.col).collect();
    let inline = pairs.iter().filter(|p| p.inline).count();
    let labels: BTreeSet<&str> = pairs.iter().map(|p| p.label.as_str()).collect();
    let one_unit = distinct.contains(&Field::tag) && labels.len() == pairs.len();
    let mostly = used.len() * 10 >= sheet.cells.len() * 6;
    let scattered = columns.len() >= 2 || inline >= 3;
    if !(one_unit && mostly && scattered && distinct.len() >= 4) {
        return None;
    }
    let left = sheet.cells.iter().map(|c| (c.row, c.col)).filter(|at| !used.contains(at));
    Some((as_row(sheet, pairs), left.collect()))
}

fn as_row(sheet: &Sheet, pairs: Vec<Pair<'_>>) -> Sheet {
    let mut cells = Vec::new();
    for pair in pairs {
        let col = pair.value.col * SIDE + pair.value.row;
        cells.push(Cell { row: 0, col, raw: Raw::Text(pair.label.into()) });
        cells.push(Cell { row: 1, col, raw: pair.raw });
    }
    cells.sort_by_key(|c| (c.row, c.col));
    let at = sheet.at.clone();
    Sheet { at, cells, epoch_shift: sheet.epoch_shift, lies: Lies::Form, ..Sheet::default() }
}

fn known(label: &str) -> Option<Field> {
    headings::known(label, Table::Fleet).map(|m| m.field)
}

/// The label that a cell holds, without its colon.
fn label_of(raw: &Raw) -> Option<String> {
    let Raw::Text(text) = raw else { return None };
    let text = text.trim();
    let bare = text.trim_end_matches([':', ' ']);
    (bare.len() < text.len() || known(bare).is_some()).then(|| bare.to_owned())
}

fn ends_as_label(raw: &Raw) -> bool {
    matches!(raw, Raw::Text(text) if text.trim().ends_with(':'))
}

fn pairs_of_row<'a>(cells: &'a [Cell], pairs: &mut Vec<Pair<'a>>, used: &mut BTreeSet<(u32, u32)>) {
    let mut at = 0;
    while at < cells.len() {
        let cell = &cells[at];
        let taken = inline(cell).map(|pair| (pair, 1)).or_else(|| beside(&cells[at..]));
        match taken {
            Some((pair, count)) => {
                used.extend(cells[at..at + count].iter().map(|c| (c.row, c.col)));
                pairs.push(pair);
                at += count;
            }
            None => at += 1,
        }
    }
}

/// `Make: Stanwick` in one cell.
fn inline(cell: &Cell) -> Option<Pair<'_>> {
    let Raw::Text(text) = &cell.raw else { return None };
    let (label, value) = text.split_once(':')?;
    let (label, value) = (label.trim(), value.trim());
    known(label).filter(|_| !value.is_empty())?;
    let raw = Raw::Text(value.into());
    Some(Pair { label: label.to_owned(), value: cell, raw, inline: true })
}

/// A label, the value to its right, and perhaps a unit behind it.
fn beside(cells: &[Cell]) -> Option<(Pair<'_>, usize)> {
    let (label, value) = (label_of(&cells[0].raw)?, cells.get(1)?);
    // Two words that are both labels head groups of labels.
    let heads_groups =
        !ends_as_label(&cells[0].raw) && matches!(&value.raw, Raw::Text(t) if known(t).is_some());
    if ends_as_label(&value.raw) || heads_groups {
        return None;
    }
    // A word that is a unit may be the next label; then a value stands behind it.
    let next = cells.get(3).is_none_or(|c| label_of(&c.raw).is_some());
    let number = value.raw.shown().contains(|c: char| c.is_ascii_digit());
    let unit = cells.get(2).filter(|_| next && number).map(|c| c.raw.shown());
    let unit = unit.filter(|u| find_unit(u).is_some());
    let (raw, count) = match unit {
        Some(unit) => (Raw::Text(format!("{} {unit}", value.raw.shown()).into()), 3),
        None => (value.raw.clone(), 2),
    };
    Some((Pair { label, value, raw, inline: false }, count))
}
