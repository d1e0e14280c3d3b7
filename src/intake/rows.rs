//! Reads a sheet's table into records; every cell is used or named in a finding.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::assemble::{self, Seen};
use super::cell::Column;
use super::form;
use super::grid::{self, Grid};
use super::headings::{self, Heading};
use super::layout::{self, Layout};
use super::row_kind::{self, RowKind};
use super::tags::Tally;
use super::words::Words;
use super::{money, values, whole};
use crate::findings::{Finding, Lies, Place, Severity, name};
use crate::policy::{Columns, Mapping, Policy};
use crate::records::{ColumnRead, Field, How, Kind, Record, SheetRead, Table, Value};
use crate::units::find_unit;
use crate::workbook::{Cell, Sheet};

/// What one sheet gave.
#[derive(Debug, Default)]
pub(super) struct SheetRows {
    pub(super) read: SheetRead,
    pub(super) table: Option<Table>,
    pub(super) records: Vec<Record>,
    pub(super) tally: Tally,
    pub(super) findings: Vec<Finding>,
}

/// A table being read.
pub(super) struct Reading<'a> {
    pub(super) sheet: &'a Sheet,
    pub(super) rows: &'a Grid<'a>,
    pub(super) layout: Layout,
    pub(super) policy: &'a Policy,
    pub(super) findings: Vec<Finding>,
}

/// Reads the sheet's tables.
pub(super) fn read(sheet: &Sheet, policy: &Policy, mapping: &Columns) -> Vec<SheetRows> {
    let blocks = whole::side_by_side(sheet, &mapped(sheet, mapping));
    if blocks.len() > 1 {
        return blocks.iter().flat_map(|block| read_block(block, policy, mapping)).collect();
    }
    read_block(sheet, policy, mapping)
}

fn read_block(sheet: &Sheet, policy: &Policy, mapping: &Columns) -> Vec<SheetRows> {
    let rows = Grid::of(sheet);
    let layouts = layout::find_all(sheet, &rows, &mapped(sheet, mapping));
    if layouts.is_empty() {
        return on_its_side(sheet, policy, mapping)
            .unwrap_or_else(|| vec![whole::no_table(sheet, &rows)]);
    }
    if let Some(better) = says_more_on_its_side(sheet, &layouts, policy, mapping) {
        return better;
    }
    layouts.into_iter().map(|layout| table(sheet, &rows, layout, policy, mapping)).collect()
}

/// A small sheet that tells more when its headings are looked for in a column: a card whose first
/// row happens to hold two known words.
fn says_more_on_its_side(
    sheet: &Sheet,
    layouts: &[Layout],
    policy: &Policy,
    mapping: &Columns,
) -> Option<Vec<SheetRows>> {
    /// A table of more columns is no card.
    const FEW: usize = 4;
    /// A larger sheet is a list.
    const SMALL: usize = 600;
    let upright = layouts.iter().map(|l| l.columns.len()).max()?;
    if upright > FEW || sheet.cells.len() > SMALL {
        return None;
    }
    let turned = on_its_side(sheet, policy, mapping)?;
    let fields = |rows: &SheetRows| rows.read.columns.iter().filter(|c| c.field.is_some()).count();
    (turned.iter().map(fields).max()? >= upright + 2).then_some(turned)
}

/// Reads a sheet whose headings stand in columns: a form, or a table on its side.
fn on_its_side(sheet: &Sheet, policy: &Policy, mapping: &Columns) -> Option<Vec<SheetRows>> {
    if let Some((moved, left)) = form::form(sheet)
        && let Some(mut read) = read_moved(sheet, &moved, policy, mapping)
    {
        read[0].findings.extend(left_of_form(sheet, &left));
        return Some(read);
    }
    read_moved(sheet, &whole::turned(sheet)?, policy, mapping)
}

/// Names the cells of a form that are neither label nor value.
fn left_of_form(sheet: &Sheet, left: &[(u32, u32)]) -> Option<Finding> {
    let first = left.first()?;
    let shown: Vec<String> = left
        .iter()
        .take(60)
        .filter_map(|at| sheet.cells.iter().find(|c| (c.row, c.col) == *at))
        .map(|c| {
            let letters = crate::findings::column_letters(c.col);
            format!("{letters}{} `{}`", c.row + 1, c.raw.shown())
        })
        .collect();
    let more = left.len() - shown.len();
    let tail = if more > 0 { format!(" and {more} more") } else { String::new() };
    let message = format!("cells of the form that were not used: {}{tail}", shown.join(", "));
    let place = Place { cell: Some(*first), ..(*sheet.at).clone() };
    Some(Finding::new(&name::AFTER_TABLE, place, message))
}

fn read_moved(
    sheet: &Sheet,
    moved: &Sheet,
    policy: &Policy,
    mapping: &Columns,
) -> Option<Vec<SheetRows>> {
    let rows = Grid::of(moved);
    let layouts = layout::find_all(moved, &rows, &mapped(moved, mapping));
    let head = layouts.first().and_then(|l| l.rows.last().copied()).unwrap_or(0);
    let message = if moved.lies == Lies::Form {
        "the sheet is a form; the values beside its labels were read as one row".to_owned()
    } else {
        let letters = crate::findings::column_letters(head);
        format!(
            "the headings stand in column {letters}; each column to its right was read as a row"
        )
    };
    let tables = layouts.into_iter().map(|layout| table(moved, &rows, layout, policy, mapping));
    let mut read: Vec<SheetRows> = tables.filter(|read| !read.records.is_empty()).collect();
    let finding = Finding::new(&name::ON_ITS_SIDE, (*sheet.at).clone(), message);
    read.first_mut()?.findings.push(finding);
    Some(read)
}

fn table<'a>(
    sheet: &'a Sheet,
    rows: &'a Grid<'a>,
    layout: Layout,
    policy: &'a Policy,
    mapping: &Columns,
) -> SheetRows {
    let mut out = SheetRows::default();
    out.read.name = sheet.at.sheet.to_string();
    let mut reading = Reading { sheet, rows, layout, policy, findings: Vec::new() };
    let columns = reading.columns(mapping);
    reading.unknown_headings(&columns);
    reading.without_heading();
    (out.records, out.tally) = reading.records(&columns, &mut out.read);
    out.table = Some(reading.layout.table);
    out.read.table = out.table;
    out.read.header_rows = reading.layout.rows.iter().map(|r| r + 1).collect();
    out.read.columns = reading
        .layout
        .columns
        .iter()
        .map(|(col, heading, meaning)| {
            let used = columns.iter().find(|(c, _)| c == col).map(|(_, column)| column);
            ColumnRead {
                column: if sheet.lies == Lies::Form { *col / form::SIDE } else { *col },
                heading: heading.clone(),
                field: used.map(|c| c.field),
                unit: used.and_then(|c| c.unit.map(|u| u.symbol).or(c.currency)).map(str::to_owned),
                score: meaning.map_or(0.0, |m| (m.score * 100.0).round() / 100.0),
            }
        })
        .collect();
    out.findings = reading.findings;
    out
}

/// The lines of `columns.toml` that speak of this sheet.
fn mapped<'a>(sheet: &Sheet, mapping: &'a Columns) -> Vec<(&'a str, Option<Heading>)> {
    let file = sheet.at.file.rsplit('/').next().unwrap_or_default();
    let meant = |line: &&Mapping| {
        (line.file.is_empty() || line.file == file)
            && (line.sheet.is_empty() || *line.sheet == *sheet.at.sheet)
    };
    let decided = |line: &'a Mapping| {
        let heading = Field::find(&line.field).map(|field| Heading {
            field,
            unit: find_unit(&line.unit),
            score: 1.0,
            taken_at: None,
            currency: money::named(&line.unit).map(|(code, _)| code),
        });
        (line.column.as_str(), heading)
    };
    mapping.column.iter().filter(meant).map(decided).collect()
}

impl<'a> Reading<'a> {
    pub(super) fn place(&self, row: u32, col: u32) -> Place {
        Place { cell: Some(self.sheet.lies.cell(row, col)), ..(*self.sheet.at).clone() }
    }

    pub(super) fn heading_place(&self, col: u32) -> Place {
        self.place(*self.layout.rows.last().unwrap_or(&0), col)
    }

    pub(super) fn data_rows(&self) -> impl Iterator<Item = (u32, &'a [Cell])> + '_ {
        let first = self.layout.rows.last().map_or(0, |r| r + 1);
        self.rows.range(first..self.layout.end)
    }

    fn unknown_headings(&mut self, columns: &[(u32, Column)]) {
        let unknown: Vec<_> = self
            .layout
            .columns
            .iter()
            .filter(|(col, _, meaning)| meaning.is_none() && columns.iter().all(|(c, _)| c != col))
            .map(|(col, heading, _)| (*col, heading.clone()))
            .collect();
        for (col, heading) in unknown {
            let place = self.heading_place(col);
            let message = format!("the heading `{heading}` is not known; its column was not used");
            let raws = self.data_rows().filter_map(|(_, cells)| grid::at(cells, col));
            // A heading that is nothing but a letter says no unit.
            let unit = headings::strip_unit(&heading).1.filter(|_| heading.len() > 2);
            let unit = unit.map(|u| u.dimension);
            let fits = |name: &&str| {
                let kind = Field::find(name).map(|field| field.kind());
                unit.is_none_or(|unit| kind == Some(Kind::Number(unit)))
            };
            let guess = values::looks_like(&values::below(raws)).filter(fits);
            let mut finding = Finding::new(&name::UNKNOWN_HEADING, place, message);
            if let Some(field) = guess {
                // What every drive's answer rests on is not left out with a note.
                finding.severity = Severity::Warning;
                finding = finding.hint(format!(
                    "its values look like {field}; map it in columns.toml if that is right"
                ));
            }
            self.findings.push(finding);
        }
    }

    /// Cells to the side of the headed columns are named, not dropped in silence.
    fn without_heading(&mut self) {
        let mut headed: Vec<u32> = self.layout.columns.iter().map(|c| c.0).collect();
        headed.extend(self.layout.units.iter().map(|(_, unit)| *unit));
        let mut stray: BTreeMap<u32, (u32, u32)> = BTreeMap::new();
        for (row, cells) in self.data_rows() {
            for cell in cells.iter().filter(|c| !headed.contains(&c.col)) {
                stray.entry(cell.col).or_insert((row, 0)).1 += 1;
            }
        }
        for (col, (row, count)) in stray {
            let message = format!(
                "{count} cells of this column have no heading above them; they were not used"
            );
            self.findings.push(Finding::new(&name::AFTER_TABLE, self.place(row, col), message));
        }
    }

    /// Reads the data rows, the second half of a long table on the other core.
    fn records(&mut self, columns: &[(u32, Column)], read: &mut SheetRead) -> (Vec<Record>, Tally) {
        /// Below this many rows a second thread is not worth its start.
        const LONG: usize = 2_000;
        let rows: Vec<(u32, &'a [Cell])> = self.data_rows().collect();
        let half = if rows.len() < LONG { rows.len() } else { rows.len() / 2 };
        let (upper, lower) = rows.split_at(half);
        let part = |rows: &[(u32, &'a [Cell])], first: bool| {
            let mut part = Reading { findings: Vec::new(), layout: self.layout.clone(), ..*self };
            let mut read = SheetRead::default();
            let (records, tally) = part.part(columns, rows, first, &mut read);
            (records, tally, read, part.findings)
        };
        let (above, below) = std::thread::scope(|scope| {
            let below = (!lower.is_empty()).then(|| scope.spawn(|| part(lower, false)));
            (part(upper, true), below.map(std::thread::ScopedJoinHandle::join))
        });
        let below = below.map(|half| half.unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        let mut records = Vec::with_capacity(rows.len());
        let mut tally = Tally::default();
        for (more, tags, counts, findings) in std::iter::once(above).chain(below) {
            records.extend(more);
            tally.add(tags);
            read.rows_read += counts.rows_read;
            read.rows_used += counts.rows_used;
            read.rows_set_aside += counts.rows_set_aside;
            self.findings.extend(findings);
        }
        (records, tally)
    }

    /// Reads some of the data rows; `first` if the first of the table is among them.
    fn part(
        &mut self,
        columns: &[(u32, Column)],
        rows: &[(u32, &'a [Cell])],
        mut first: bool,
        read: &mut SheetRead,
    ) -> (Vec<Record>, Tally) {
        let at: Arc<Place> = self.sheet.at.clone();
        let taken_at =
            self.layout.columns.iter().find_map(|c| c.2.and_then(|m| m.taken_at.map(|t| (c.0, t))));
        let mut settled = Vec::new();
        let mut seen = Seen::default();
        let mut words = Words::new(columns.len());
        let mut tally = Tally::default();
        let mut records = Vec::with_capacity(rows.len());
        for &(row, cells) in rows {
            read.rows_read += 1;
            let kind = self.kind_of(row, cells, first);
            first = false;
            if kind != RowKind::Data {
                read.rows_set_aside += 1;
                self.set_aside(row, cells, kind);
                continue;
            }
            if self.is_shifted(row, columns, cells) {
                read.rows_set_aside += 1;
                self.tell_shifted(row, cells);
                continue;
            }
            let mut record = Record::with_room(at.clone(), row, columns.len() + 1);
            record.lies = self.sheet.lies;
            self.fill(&mut record, columns, cells, &mut words);
            if let Some((col, at)) = taken_at
                && record.knows(Field::absorbed_power_kw)
                && !record.knows(Field::absorbed_taken_at)
            {
                record.set(Field::absorbed_taken_at, Value::Text(at.into()), How::Read, col as u16);
            }
            read.rows_used += 1;
            if self.layout.table == Table::Fleet {
                tally.count(record.tag());
                tally.measured |= record.measured() == Some(true);
            }
            settled.extend(assemble::settle(self.layout.table, &mut record, &mut seen));
            records.push(record);
        }
        self.findings.extend(settled);
        (records, tally)
    }

    fn kind_of(&self, row: u32, cells: &[Cell], first: bool) -> RowKind {
        if self.sheet.totals.contains(&row) {
            RowKind::Total
        } else if row >= self.layout.titles {
            RowKind::Remark
        } else {
            row_kind::kind_of_row(cells, &self.layout, first)
        }
    }

    fn set_aside(&mut self, row: u32, cells: &[Cell], kind: RowKind) {
        let shown: String =
            cells.first().map(|c| c.raw.shown()).unwrap_or_default().chars().take(60).collect();
        let (code, what) = match kind {
            RowKind::Total => (&name::TOTAL_ROW, "a row of totals was left out"),
            RowKind::Repeated => (&name::REPEATED_HEADING, "a repeated heading was left out"),
            RowKind::Units => (&name::REPEATED_HEADING, "a row of units was left out"),
            _ => (&name::AFTER_TABLE, "a remark was left out"),
        };
        let col = cells.first().map_or(0, |c| c.col);
        self.findings.push(Finding::new(code, self.place(row, col), format!("{what}: `{shown}`")));
    }
}
