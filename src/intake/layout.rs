//! Finds the table on a sheet: what kind it is, its heading rows, and where it ends.

use std::collections::BTreeMap;

use super::headings::{Heading, fold, known, understand, unit_for};
use crate::records::{Field, Table};
use crate::workbook::{Cell, Raw, Sheet};

/// Headings are looked for in this many rows.
const HEADING_ROWS: u32 = 40;

/// A table found on a sheet.
#[derive(Debug)]
pub(super) struct Layout {
    pub(super) table: Table,
    /// Heading rows, the last one is the row above the data.
    pub(super) rows: Vec<u32>,
    /// Every headed column: its heading as written and what it means.
    pub(super) columns: Vec<(u32, String, Option<Heading>)>,
}

/// The cells of each row, rows in order.
pub(super) fn by_row(sheet: &Sheet) -> BTreeMap<u32, Vec<&Cell>> {
    let mut rows: BTreeMap<u32, Vec<&Cell>> = BTreeMap::new();
    for cell in &sheet.cells {
        rows.entry(cell.row).or_default().push(cell);
    }
    rows
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

/// Finds the table, if the sheet has one of a known kind.
pub(super) fn find(
    sheet: &Sheet,
    rows: &BTreeMap<u32, Vec<&Cell>>,
    decisions: &Decided<'_>,
) -> Option<Layout> {
    let mut best: Option<(f64, Layout)> = None;
    for (&row, cells) in rows.range(..HEADING_ROWS) {
        // Long texts are remarks, not headings, and many rows of a wide sheet are numbers.
        if cells.iter().filter(|c| matches!(c.raw, Raw::Text(_))).count() < 2 {
            continue;
        }
        let above = row.checked_sub(1).and_then(|above| rows.get(&above)).map(Vec::as_slice);
        for table in Table::ALL {
            let single = candidate(sheet, row, cells, None, table, decisions);
            let double =
                above.and_then(|a| candidate(sheet, row, cells, Some(a), table, decisions));
            for found in [single, double].into_iter().flatten() {
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
    Some(layout)
}

fn candidate(
    sheet: &Sheet,
    row: u32,
    cells: &[&Cell],
    above: Option<&[&Cell]>,
    table: Table,
    decisions: &Decided<'_>,
) -> Option<(f64, Layout)> {
    let mut columns = Vec::new();
    for cell in cells {
        let Raw::Text(own) = &cell.raw else { continue };
        let own = own.trim();
        let group = above.and_then(|above| group_over(sheet, row - 1, cell.col, above));
        let alone = known(own, table);
        let (heading, meaning) = match group {
            Some(group) => {
                let joined = format!("{group} {own}");
                match (known(&joined, table), alone) {
                    (Some(both), _) => (joined, Some(both)),
                    (None, alone) => (own.to_owned(), alone),
                }
            }
            None => (own.to_owned(), alone),
        };
        let meaning = match Decision::on(decisions, cell.col, &heading, meaning) {
            Decision::Silent => Decision::on(decisions, cell.col, own, meaning).over(meaning),
            word => word.over(meaning),
        };
        columns.push((cell.col, heading, meaning));
    }
    // A unit may stand in a row of its own below the heading; that row is data to nobody.
    let fields: Vec<Field> = columns.iter().filter_map(|c| c.2.map(|h| h.field)).collect();
    let mut distinct = fields.clone();
    distinct.sort();
    distinct.dedup();
    let sure: f64 = columns.iter().filter_map(|c| c.2.map(|h| h.score)).sum();
    if !has_what_it_must(table, &distinct) {
        return None;
    }
    let headed = columns.len().max(1) as f64;
    let rows = if above.is_some() { vec![row - 1, row] } else { vec![row] };
    let score = distinct.len() as f64 + 0.1 * sure / headed - 0.01 * rows.len() as f64
        + telling(table, &distinct);
    Some((score, Layout { table, rows, columns }))
}

/// The group heading over a column: a text above it, or the first cell of a merged range above.
fn group_over(sheet: &Sheet, row: u32, col: u32, above: &[&Cell]) -> Option<String> {
    let at = sheet
        .merges
        .iter()
        .find(|m| m.start.0 <= row && row <= m.end.0 && m.start.1 <= col && col <= m.end.1)
        .map_or(col, |m| m.start.1);
    above.iter().find(|cell| cell.col == at).and_then(|cell| match &cell.raw {
        Raw::Text(text) => Some(text.trim().to_owned()),
        _ => None,
    })
}

/// Fields without which a table of this kind cannot be.
fn has_what_it_must(table: Table, fields: &[Field]) -> bool {
    use Field as F;
    let has = |field| fields.contains(&field);
    let any = |list: &[Field]| list.iter().any(|f| has(*f));
    match table {
        Table::Fleet => {
            let shortest = fields == [F::tag, F::model] || fields == [F::model, F::tag];
            (has(F::tag) || (has(F::area) && has(F::driven_machine)))
                && any(&[
                    F::model,
                    F::ratio,
                    F::rated_power_kw,
                    F::rated_torque_nm,
                    F::description,
                    F::driven_machine,
                    F::motor_power_kw,
                    F::gear_train,
                    F::tooth_counts,
                ])
                && (fields.len() >= 3 || shortest)
        }
        Table::Catalogue => {
            has(F::model)
                && any(&[F::ratio, F::tooth_counts])
                && any(&[F::maker, F::rated_power_kw, F::rated_torque_nm, F::price])
        }
        Table::Shelf => {
            has(F::quantity)
                && any(&[F::model, F::item, F::description, F::part])
                && any(&[
                    F::bin,
                    F::condition,
                    F::unit_value,
                    F::item,
                    F::stock_date,
                    F::last_moved,
                    F::model,
                ])
        }
        Table::Parts => {
            has(F::model) && has(F::part) && any(&[F::designation, F::kind, F::quantity_per_unit])
        }
        Table::Swaps => has(F::candidate) && has(F::ruling) && any(&[F::tag, F::model]),
        Table::Events => {
            has(F::date) && has(F::tag) && any(&[F::event, F::cause, F::hours_down, F::parts_used])
        }
    }
}

/// Fields that hardly any other table has speak for their table.
fn telling(table: Table, fields: &[Field]) -> f64 {
    use Field as F;
    let own: &[Field] = match table {
        Table::Fleet => &[F::tag, F::driven_machine, F::consequence, F::hours_per_day],
        Table::Catalogue => &[F::price, F::lead_time_days, F::rated_input_speed_rpm, F::status],
        Table::Shelf => &[F::bin, F::quantity, F::unit_value, F::condition],
        Table::Parts => &[F::part, F::designation, F::quantity_per_unit],
        Table::Swaps => &[F::ruling, F::candidate],
        Table::Events => &[F::date, F::event, F::hours_down],
    };
    0.5 * own.iter().filter(|f| fields.contains(f)).count() as f64
}

/// What a row below the headings is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum RowKind {
    Data,
    Total,
    Repeated,
    Remark,
    Units,
}

/// Tells data from totals, repeated headings and remarks.
pub(super) fn kind_of_row(cells: &[&Cell], layout: &Layout, first_row: bool) -> RowKind {
    let texts: Vec<(u32, &str)> = cells
        .iter()
        .filter_map(|cell| match &cell.raw {
            Raw::Text(text) => Some((cell.col, text.trim())),
            _ => None,
        })
        .collect();
    let headed = |col: u32| layout.columns.iter().find(|c| c.0 == col);
    let repeats =
        texts.iter().filter(|(col, text)| headed(*col).is_some_and(|c| same(&c.1, text))).count();
    if repeats >= 2 && repeats * 10 >= cells.len() * 6 {
        return RowKind::Repeated;
    }
    let first = texts.first().map_or("", |t| t.1);
    if texts.len() == 1 && is_total(first) {
        return RowKind::Total;
    }
    if first_row
        && !texts.is_empty()
        && texts.len() == cells.len()
        && texts.iter().all(|(_, t)| crate::units::find_unit(t).is_some() || *t == "-")
    {
        return RowKind::Units;
    }
    let words = first.split_whitespace().count();
    let is_remark = cells.len() == 1
        && texts.len() == 1
        && (words >= 4
            || ["note", "source", "*", "remark", "printed"]
                .iter()
                .any(|w| first.to_lowercase().starts_with(w)));
    let outside = cells.iter().all(|cell| headed(cell.col).is_none_or(|c| c.2.is_none()));
    if is_remark || outside { RowKind::Remark } else { RowKind::Data }
}

fn same(heading: &str, text: &str) -> bool {
    let (a, b) = (fold(heading), fold(text));
    a == b || a.ends_with(&format!(" {b}"))
}

fn is_total(text: &str) -> bool {
    const TOTALS: [&str; 14] = [
        "total",
        "totals",
        "sum",
        "subtotal",
        "sub total",
        "grand total",
        "summe",
        "gesamt",
        "zwischensumme",
        "ergebnis",
        "total général",
        "somme",
        "suma",
        "totale",
    ];
    let folded = fold(text);
    TOTALS.contains(&folded.as_str())
}
