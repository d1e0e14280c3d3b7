//! Finds the table on a sheet: what kind it is, its heading rows, and where it ends.

use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};

use super::grid::{self, Grid};
use super::headings::{Heading, alternatives, fold, known, understand, unit_for};
use super::money;
use super::number::same_family;
use super::row_kind::{RowKind, kind_of_row};
use super::table_kind::{has_what_it_must, telling};
use super::values;
use crate::records::{Field, Kind, Table};
use crate::units::{Dimension, find_unit};
use crate::workbook::{Cell, Raw, Sheet};

/// Headings are looked for in this many rows.
const HEADING_ROWS: u32 = 40;

/// A table found on a sheet.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    pub(super) table: Table,
    /// Heading rows, the last one is the row above the data.
    pub(super) rows: Vec<u32>,
    /// Every headed column: its heading as written and what it means.
    pub(super) columns: Vec<(u32, String, Option<Heading>)>,
    /// The headings folded, by column.
    pub(super) folded: Vec<(u32, String)>,
    /// Columns of numbers, and the column beside each that names the unit row by row.
    pub(super) units: Vec<(u32, u32)>,
    /// The row after the table's last.
    pub(super) end: u32,
    /// From here on, rows are titles of the next table.
    pub(super) titles: u32,
}

/// Columns that a person decided, by heading or letters; `None` is to be ignored.
pub(super) type Decided<'a> = [(&'a str, Option<Heading>)];

/// A person's word on a column.
enum Decision {
    Silent,
    Ignore,
    Means(Heading),
}

impl Decision {
    /// What a person decided for a column, with what its own heading says of unit and place.
    fn on(decisions: &Decided<'_>, col: u32, heading: &str, own: Option<Heading>) -> Self {
        let letters = crate::findings::column_letters(col);
        let named = |name: &str| name == heading || name == letters;
        match decisions.iter().find(|(name, _)| named(name)) {
            None => Self::Silent,
            Some((_, None)) => Self::Ignore,
            Some((_, Some(chosen))) => {
                let own = own.filter(|own| own.field == chosen.field);
                Self::Means(Heading {
                    unit: chosen.unit.or_else(|| unit_for(heading, chosen.field)),
                    taken_at: own.and_then(|own| own.taken_at),
                    currency: chosen.currency.or_else(|| own.and_then(|own| own.currency)),
                    ..*chosen
                })
            }
        }
    }

    /// The meaning after the person's word.
    fn over(self, own: Option<Heading>) -> Option<Heading> {
        match self {
            Self::Silent => own,
            Self::Ignore => None,
            Self::Means(heading) => Some(heading),
        }
    }
}

/// What headings mean, each looked up once.
#[derive(Default)]
struct Meanings(RefCell<HashMap<String, [Option<Heading>; 6]>>);

impl Meanings {
    fn of(&self, text: &str, table: Table) -> Option<Heading> {
        let at = Table::ALL.iter().position(|t| *t == table)?;
        let mut known_before = self.0.borrow_mut();
        if let Some(found) = known_before.get(text) {
            return found[at];
        }
        let found = Table::ALL.map(|table| known(text, table));
        known_before.insert(text.to_owned(), found);
        found[at]
    }
}

/// Finds the tables of known kinds on a sheet, from top to bottom.
pub(super) fn find_all(sheet: &Sheet, rows: &Grid<'_>, decisions: &Decided<'_>) -> Vec<Layout> {
    let meanings = Meanings::default();
    let mut found: Vec<Layout> =
        find(sheet, rows, decisions, &meanings, 0..HEADING_ROWS).into_iter().collect();
    above_the_first(sheet, rows, decisions, &meanings, &mut found);
    while let Some(above) = found.last() {
        let start = above.rows.last().map_or(0, |r| r + 1);
        let Some(next) = next_heading(rows, start, above) else { break };
        let Some(below) = find(sheet, rows, decisions, &meanings, next..next + 3) else { break };
        let first = below.rows.first().copied().unwrap_or(next);
        if let Some(above) = found.last_mut() {
            end_before(above, rows, first);
        }
        found.push(below);
    }
    found
}

/// Tables that stand above the one whose headings are the best of the sheet.
fn above_the_first(
    sheet: &Sheet,
    rows: &Grid<'_>,
    decisions: &Decided<'_>,
    meanings: &Meanings,
    found: &mut Vec<Layout>,
) {
    while let Some(first) = found.first().and_then(|below| below.rows.first().copied()) {
        let Some(mut above) = find(sheet, rows, decisions, meanings, 0..first) else { return };
        let head = above.rows.last().map_or(0, |r| r + 1);
        let wide = |(_, cells): &(u32, &[Cell])| cells.len() >= 2;
        let holds_rows = rows.range(head..first).filter(wide).any(|(row, cells)| {
            kind_of_row(cells, &above, row == head) == RowKind::Data
                && cells.iter().any(|c| !matches!(c.raw, Raw::Text(_)) || has_digit(&c.raw))
        });
        if !holds_rows {
            return;
        }
        end_before(&mut above, rows, first);
        found.insert(0, above);
    }
}

fn has_digit(raw: &Raw) -> bool {
    matches!(raw, Raw::Text(text) if text.contains(|c: char| c.is_ascii_digit()))
}

/// Ends a table where the next begins; rows of one cell before it are its titles.
fn end_before(above: &mut Layout, rows: &Grid<'_>, next: u32) {
    above.end = next;
    let is_title = |row: u32| rows.get(row).is_some_and(|cells| cells.len() == 1);
    above.titles = (0..next).rev().take_while(|row| is_title(*row)).last().unwrap_or(next);
}

/// The next row below a gap that reads like headings, and not like those above.
fn next_heading(rows: &Grid<'_>, start: u32, above: &Layout) -> Option<u32> {
    let few = |row: u32| rows.get(row).is_none_or(|cells| cells.len() <= 1);
    let reads_like_headings = |row: u32, cells: &[Cell]| {
        let is = |table: &Table| {
            let meant = |c: &&Cell| matches!(&c.raw, Raw::Text(t) if known(t, *table).is_some());
            cells.iter().filter(meant).count() >= 3
        };
        cells.len() >= 3
            && cells.iter().all(|c| matches!(c.raw, Raw::Text(_)))
            && row.checked_sub(1).is_none_or(few)
            && kind_of_row(cells, above, false) != RowKind::Repeated
            && Table::ALL.iter().any(is)
    };
    rows.range(start..u32::MAX)
        .find(|(row, cells)| reads_like_headings(*row, cells))
        .map(|(row, _)| row)
}

/// Finds the table whose headings stand in a range of rows.
fn find(
    sheet: &Sheet,
    rows: &Grid<'_>,
    decisions: &Decided<'_>,
    meanings: &Meanings,
    range: std::ops::Range<u32>,
) -> Option<Layout> {
    let mut best: Option<(f64, Layout)> = None;
    for (row, cells) in rows.range(range) {
        // Long texts are remarks, not headings, and many rows of a wide sheet are numbers.
        if cells.iter().filter(|c| matches!(c.raw, Raw::Text(_))).count() < 2 {
            continue;
        }
        let above = row.checked_sub(1).and_then(|at| rows.get(at));
        let higher = row.checked_sub(2).and_then(|at| rows.get(at));
        for table in Table::ALL {
            let with = |levels: &[&[Cell]]| {
                candidate(sheet, row, cells, levels, table, decisions, meanings)
            };
            let single = with(&[]);
            let double = above.and_then(|a| with(&[a]));
            let triple = above.zip(higher).and_then(|(a, b)| with(&[a, b]));
            for found in [single, double, triple].into_iter().flatten() {
                if best.as_ref().is_none_or(|(score, _)| found.0 > *score + 1e-9) {
                    best = Some(found);
                }
            }
        }
    }
    let mut layout = best?.1;
    let table = layout.table;
    for (col, heading, meaning) in layout.columns.iter_mut().filter(|c| c.2.is_none()) {
        if matches!(Decision::on(decisions, *col, heading, None), Decision::Silent) {
            *meaning = understand(heading, table);
        }
    }
    units_below(&mut layout, rows);
    unit_columns(&mut layout, rows);
    currency_column(&mut layout, rows);
    by_values(&mut layout, rows, decisions);
    layout.folded = layout.columns.iter().map(|(col, text, _)| (*col, fold(text))).collect();
    Some(layout)
}

/// Finds columns that name the unit of the number to their left, row by row.
fn unit_columns(layout: &mut Layout, rows: &Grid<'_>) {
    const WORDS: [&str; 12] = [
        "unit", "units", "uom", "u o m", "einheit", "me", "unité", "unite", "unidad", "unità",
        "unita", "um",
    ];
    let first = layout.rows.last().map_or(0, |r| r + 1);
    let named: Vec<u32> = layout
        .columns
        .iter()
        .filter(|(_, heading, _)| WORDS.contains(&fold(heading).as_str()))
        .map(|(col, ..)| *col)
        .collect();
    for col in named.into_iter().filter(|col| *col > 0) {
        let is_number = |m: &Option<Heading>| {
            m.is_some_and(|m| matches!(m.field.kind(), Kind::Number(_)) && m.unit.is_none())
        };
        let beside = layout.columns.iter().any(|(c, _, m)| *c == col - 1 && is_number(m));
        let raws: Vec<&Raw> =
            rows.range(first..layout.end).filter_map(|(_, cells)| grid::at(cells, col)).collect();
        let units = raws.iter().filter(|raw| find_unit(&raw.shown()).is_some()).count();
        if beside && units > 0 && units * 10 >= raws.len() * 8 {
            layout.units.push((col - 1, col));
            layout.columns.retain(|(c, ..)| *c != col);
        }
    }
}

/// Finds the column that names the currency of each row's amounts.
fn currency_column(layout: &mut Layout, rows: &Grid<'_>) {
    const WORDS: [&str; 12] = [
        "currency", "curr", "cur", "ccy", "crcy", "währung", "waehrung", "währg", "devise",
        "moneda", "divisa", "valuta",
    ];
    let first = layout.rows.last().map_or(0, |r| r + 1);
    let is_named = |heading: &str| WORDS.contains(&fold(heading).as_str());
    let Some(col) = layout.columns.iter().find(|c| is_named(&c.1)).map(|c| c.0) else { return };
    let mut raws = rows.range(first..layout.end).filter_map(|(_, cells)| grid::at(cells, col));
    if !raws.any(|raw| money::named(&raw.shown()).is_some()) {
        return;
    }
    let is_amount = |m: &Option<Heading>| {
        m.is_some_and(|m| m.field.kind() == Kind::Number(Dimension::Money) && m.currency.is_none())
    };
    let amounts: Vec<u32> =
        layout.columns.iter().filter(|c| is_amount(&c.2)).map(|c| c.0).collect();
    if !amounts.is_empty() {
        layout.units.extend(amounts.into_iter().map(|amount| (amount, col)));
        layout.columns.retain(|(c, ..)| *c != col);
    }
}

/// Takes the units that stand in a row of their own below the headings.
fn units_below(layout: &mut Layout, rows: &Grid<'_>) {
    let Some(row) = layout.rows.last().map(|r| r + 1) else { return };
    let Some(cells) = rows.get(row).filter(|cells| is_units(cells)) else { return };
    for (col, _, meaning) in &mut layout.columns {
        let Some(heading) = meaning.as_mut().filter(|h| h.unit.is_none()) else { continue };
        let Kind::Number(dimension) = heading.field.kind() else { continue };
        let unit = cells
            .iter()
            .find(|c| c.col == *col)
            .and_then(|c| find_unit(c.raw.shown().trim_start_matches(['Ø', 'ø', ' '])));
        heading.unit = unit.filter(|u| same_family(u.dimension, dimension));
    }
}

/// What stands in a row of units where there is none, or another than those of the records.
const UNIT_LIKE: [&str; 21] = [
    "-", "–", "[-]", "(-)", "%", "…", "...", "i", ":1", "1:", "x:1", "i:1", "h/d", "h/tag", "h/j",
    "h/day", "[h/day]", "[h/d]", "date", "yyyy", "text",
];

/// Whether a row holds nothing but units.
pub(super) fn is_units(cells: &[Cell]) -> bool {
    let is_unit = |c: &&Cell| {
        let text = c.raw.shown();
        let bare = text.trim().trim_start_matches(['Ø', 'ø', ' ']);
        find_unit(bare).is_some() || UNIT_LIKE.contains(&bare.to_lowercase().as_str())
    };
    let word = |c: &Cell| {
        is_unit(&c)
            || matches!(&c.raw, Raw::Text(t) if t.chars().count() <= 12 && !has_digit(&c.raw))
    };
    let units = cells.iter().filter(is_unit).count();
    cells.len() >= 2 && units >= 2 && units * 10 >= cells.len() * 7 && cells.iter().all(word)
}

/// Lets a column's values choose among the meanings of its heading, and doubt the one it has.
fn by_values(layout: &mut Layout, rows: &Grid<'_>, decisions: &Decided<'_>) {
    let first = layout.rows.last().map_or(0, |r| r + 1);
    let (table, end) = (layout.table, layout.end);
    for (col, heading, meaning) in &mut layout.columns {
        let Some(meant) = meaning.as_mut() else { continue };
        if !matches!(Decision::on(decisions, *col, heading, None), Decision::Silent) {
            continue;
        }
        let raws = rows.range(first..end).filter_map(|(_, cells)| grid::at(cells, *col));
        let below = values::below(raws);
        let others = alternatives(heading, table);
        if others.len() > 1
            && others.contains(&meant.field)
            && let Some(field) = values::likeliest(&others, &below)
        {
            meant.field = field;
        }
        if let Some(share) = values::readable(meant.field, &below).filter(|share| *share < 0.2) {
            meant.score = meant.score.min(share);
        }
    }
}

fn candidate(
    sheet: &Sheet,
    row: u32,
    cells: &[Cell],
    above: &[&[Cell]],
    table: Table,
    decisions: &Decided<'_>,
    meanings: &Meanings,
) -> Option<(f64, Layout)> {
    let mut columns = Vec::new();
    for cell in cells {
        let Raw::Text(own) = &cell.raw else { continue };
        let own = own.trim();
        let groups: Vec<String> = (1..)
            .zip(above)
            .filter_map(|(up, above)| group_over(sheet, row - up, cell.col, above))
            .collect();
        let alone = meanings.of(own, table);
        let joined = groups.iter().find_map(|group| {
            let joined = format!("{group} {own}");
            meanings.of(&joined, table).map(|both| (joined, both))
        });
        let (heading, meaning) = match joined {
            Some((joined, both)) => (joined, Some(both)),
            None => (own.to_owned(), alone),
        };
        let meaning = match Decision::on(decisions, cell.col, &heading, meaning) {
            Decision::Silent => Decision::on(decisions, cell.col, own, meaning).over(meaning),
            word => word.over(meaning),
        };
        columns.push((cell.col, heading, meaning));
    }
    // A heading of an upper level with nothing below it heads its column alone.
    let own = |col: u32| grid::at(cells, col).is_some();
    let mut taken = BTreeSet::new();
    for upper in above.iter().rev().flat_map(|cells| cells.iter()) {
        let Raw::Text(text) = &upper.raw else { continue };
        if own(upper.col) || !taken.insert(upper.col) {
            continue;
        }
        let text = text.trim();
        let meaning = meanings.of(text, table);
        let meaning = Decision::on(decisions, upper.col, text, meaning).over(meaning);
        columns.push((upper.col, text.to_owned(), meaning));
    }
    columns.sort_by_key(|c| c.0);
    // A unit may stand in a row of its own below the heading; that row is data to nobody.
    let fields: Vec<Field> = columns.iter().filter_map(|c| c.2.map(|h| h.field)).collect();
    let mut distinct = fields.clone();
    distinct.sort();
    distinct.dedup();
    let sure: f64 = columns.iter().filter_map(|c| c.2.map(|h| h.score)).sum();
    if !has_what_it_must(table, &distinct, columns.len()) {
        return None;
    }
    let headed = columns.len().max(1) as f64;
    let rows: Vec<u32> = (row - above.len() as u32..=row).collect();
    let score = distinct.len() as f64 + 0.1 * sure / headed - 0.01 * rows.len() as f64
        + telling(table, &distinct);
    Some((
        score,
        Layout {
            table,
            rows,
            columns,
            folded: Vec::new(),
            end: u32::MAX,
            titles: u32::MAX,
            units: Vec::new(),
        },
    ))
}

/// The group heading over a column: a text above it, or the first cell of a merged range above.
fn group_over(sheet: &Sheet, row: u32, col: u32, above: &[Cell]) -> Option<String> {
    let at = sheet
        .merges
        .iter()
        .find(|m| m.start.0 <= row && row <= m.end.0 && m.start.1 <= col && col <= m.end.1)
        .map_or(col, |m| m.start.1);
    match grid::at(above, at) {
        Some(Raw::Text(text)) => Some(text.trim().to_owned()),
        _ => None,
    }
}
