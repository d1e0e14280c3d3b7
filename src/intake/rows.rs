//! Reads a sheet's table into records; every cell is used or named in a finding.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::assemble::{self, Seen};
use super::cell::{self, Column};
use super::date;
use super::evidence;
use super::form;
use super::grid::{self, Grid};
use super::headings::{Heading, fold};
use super::layout::{self, Layout, RowKind};
use super::number::{self, Decimal};
use super::words::Words;
use super::{values, whole};
use crate::findings::{Finding, Lies, Place, Severity, name};
use crate::policy::{Columns, Mapping, Policy};
use crate::records::{ColumnRead, Field, How, Kind, Record, SheetRead, Table, Value};
use crate::units::{Unit, find_unit};
use crate::workbook::{Cell, Raw, Sheet};

/// What one sheet gave.
#[derive(Debug, Default)]
pub(super) struct SheetRows {
    pub(super) read: SheetRead,
    pub(super) table: Option<Table>,
    pub(super) records: Vec<Record>,
    pub(super) findings: Vec<Finding>,
}

struct Reading<'a> {
    sheet: &'a Sheet,
    rows: &'a Grid<'a>,
    layout: Layout,
    policy: &'a Policy,
    findings: Vec<Finding>,
}

/// What a column holds that its unit and its decimal sign are judged by.
#[derive(Debug, Default)]
struct Judged<'a> {
    texts: Vec<&'a str>,
    numbers: Vec<f64>,
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
    layouts.into_iter().map(|layout| table(sheet, &rows, layout, policy, mapping)).collect()
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
        .take(6)
        .filter_map(|at| sheet.cells.iter().find(|c| (c.row, c.col) == *at))
        .map(|c| format!("`{}`", c.raw.shown()))
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
    out.records = reading.records(&columns, &mut out.read);
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
                unit: used.and_then(|c| c.unit).map(|u| u.symbol.to_owned()),
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
        });
        (line.column.as_str(), heading)
    };
    mapping.column.iter().filter(meant).map(decided).collect()
}

impl<'a> Reading<'a> {
    fn place(&self, row: u32, col: u32) -> Place {
        Place { cell: Some(self.sheet.lies.cell(row, col)), ..(*self.sheet.at).clone() }
    }

    fn heading_place(&self, col: u32) -> Place {
        self.place(*self.layout.rows.last().unwrap_or(&0), col)
    }

    fn data_rows(&self) -> impl Iterator<Item = (u32, &'a [Cell])> + '_ {
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
            let guess = values::looks_like(&values::below(raws));
            let finding = Finding::new(&name::UNKNOWN_HEADING, place, message);
            self.findings.push(match guess {
                Some(field) => finding.hint(format!(
                    "its values look like {field}; map it in columns.toml if that is right"
                )),
                None => finding,
            });
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

    /// Leaves out, with a question, the columns whose values do not go with their heading.
    fn sure_enough(&mut self, meant: Vec<(u32, String, Heading)>) -> Vec<(u32, String, Heading)> {
        let (sure, doubtful): (Vec<_>, Vec<_>) =
            meant.into_iter().partition(|(_, _, m)| m.score >= self.policy.column_score_min);
        for (col, heading, meaning) in doubtful {
            let place = self.heading_place(col);
            let message = format!(
                "`{heading}` reads like {}, but only {:.0} % of its values do; the column was not used",
                meaning.field.name(),
                100.0 * meaning.score
            );
            let hint = format!(
                "is it {}? map the column in columns.toml, or ignore it there",
                meaning.field.name()
            );
            self.findings.push(Finding::new(&name::ASK_COLUMN, place, message).hint(hint));
        }
        sure
    }

    /// The decimal sign that all columns of numbers together speak for.
    fn decimal_of_all(&self, meant: &[(u32, String, Heading)], judged: &[Judged<'_>]) -> Decimal {
        let numeric = meant.iter().zip(judged).filter(|((_, _, m), _)| m.field.kind().is_numeric());
        let texts = numeric.flat_map(|(_, judged)| judged.texts.iter().copied());
        match number::decimal_sign(texts) {
            Decimal::Unknown if self.sheet.decimal_comma == Some(true) => Decimal::Comma,
            sign => sign,
        }
    }

    /// Of two columns for one field, puts first the one to be used; a second tag that repeats is a
    /// machine.
    fn order_of_two(&self, meant: &mut [(u32, String, Heading)]) {
        let fields: Vec<Field> = meant.iter().map(|m| m.2.field).collect();
        let alone = |field: Field| fields.iter().filter(|f| **f == field).count() == 1;
        if fields.iter().all(|f| alone(*f)) {
            return;
        }
        let different = |col: u32| -> usize {
            let raws = self.data_rows().filter_map(|(_, cells)| grid::at(cells, col));
            raws.map(Raw::shown).collect::<std::collections::BTreeSet<_>>().len()
        };
        let rank = |(col, heading, m): &(u32, String, Heading)| {
            if alone(m.field) {
                return (0, 0, 0);
            }
            let folded = fold(heading);
            let own = folded != fold(m.field.heading());
            // An exact ratio says more than a nominal one, a motor's power that it is the motor's.
            let exact =
                ["exact", "actual", "real", "ist", "effektiv", "réel", "motor", "mtr", "moteur"];
            let rough = ["nominal", "nenn", "nominale", "approx"];
            let holds = |words: &[&str]| folded.split(' ').any(|w| words.contains(&w));
            let sure = if holds(&exact) {
                0
            } else if holds(&rough) {
                2
            } else {
                1
            };
            let names = if m.field.kind() == Kind::Text { different(*col) } else { 0 };
            (i32::from(own).min(sure), sure, usize::MAX - names)
        };
        meant.sort_by_key(rank);
        self.second_tag(meant, different);
        second_power(meant);
    }

    /// A second column of tags whose values repeat names machines or areas.
    fn second_tag(&self, meant: &mut [(u32, String, Heading)], different: impl Fn(u32) -> usize) {
        let rows = self.data_rows().count();
        let has =
            |meant: &[(u32, String, Heading)], field| meant.iter().any(|m| m.2.field == field);
        let tags: Vec<usize> =
            (0..meant.len()).filter(|at| meant[*at].2.field == Field::tag).skip(1).collect();
        for at in tags {
            let repeats = different(meant[at].0) * 10 < rows * 9 || {
                let words = |(_, cells): (u32, &[Cell])| {
                    grid::at(cells, meant[at].0).is_some_and(|raw| raw.shown().contains(' '))
                };
                self.data_rows().filter(|row| words(*row)).count() * 2 > rows
            };
            if repeats && !has(meant, Field::driven_machine) {
                meant[at].2.field = Field::driven_machine;
            } else if repeats && !has(meant, Field::area) {
                meant[at].2.field = Field::area;
            }
        }
    }

    /// What the columns of numbers and dates hold, gathered in one pass over the rows.
    fn judged(&self, meant: &[(u32, String, Heading)]) -> Vec<Judged<'a>> {
        let mut judged: Vec<Judged<'a>> = meant.iter().map(|_| Judged::default()).collect();
        // Where a column's values are gathered, and whether its numbers matter: only a column
        // without a unit is asked for them.
        let last = meant.iter().map(|m| m.0).max().unwrap_or(0) as usize;
        let mut wanted: Vec<Option<(usize, bool)>> = vec![None; last + 1];
        for (at, (col, _, meaning)) in meant.iter().enumerate() {
            let kind = meaning.field.kind();
            let without =
                matches!(kind, Kind::Number(d) if !d.needs_no_unit() && meaning.unit.is_none());
            if kind.is_numeric() || kind == Kind::Date {
                wanted[*col as usize] = Some((at, without));
            }
        }
        for (row, cells) in self.data_rows() {
            for cell in cells {
                let found = wanted.get(cell.col as usize).copied().flatten();
                let Some((at, without)) = found else { continue };
                match &cell.raw {
                    Raw::Text(text) => judged[at].texts.push(text),
                    Raw::Number(n)
                        if without && !self.says_unit(row, cell.col, meant[at].2.field) =>
                    {
                        judged[at].numbers.push(*n);
                    }
                    _ => {}
                }
            }
        }
        judged
    }

    /// The columns to read, each with its unit and habits.
    fn columns(&mut self, mapping: &Columns) -> Vec<(u32, Column)> {
        let meant: Vec<_> = self
            .layout
            .columns
            .iter()
            .filter_map(|(col, h, m)| m.map(|m| (*col, h.clone(), m)))
            .collect();
        let mut meant = self.sure_enough(meant);
        self.order_of_two(&mut meant);
        let judged = self.judged(&meant);
        let whole_sheet = self.decimal_of_all(&meant, &judged);
        let mut columns: Vec<(u32, Column)> = Vec::new();
        for (at, (col, heading, meaning)) in meant.iter().cloned().enumerate() {
            let Judged { texts, numbers } = &judged[at];
            let is_date = meaning.field.kind() == Kind::Date;
            let numeric = texts.iter().copied().filter(|_| !is_date);
            let mut decimal = number::decimal_sign(numeric);
            if decimal == Decimal::Unknown {
                decimal = whole_sheet;
            }
            let order = date::order(texts.iter().copied().filter(|_| is_date));
            let recover = !mapping.column.iter().any(|l| l.column == heading && l.times == "keep");
            let mut own_units_only = false;
            let unit = match self.unit_of(
                col,
                &heading,
                meaning.field,
                meaning.unit,
                texts,
                numbers,
                decimal,
                &meant,
            ) {
                Ok((unit, noted)) => {
                    self.findings.extend(noted);
                    unit
                }
                // Cells that say their own unit are read; the bare ones are told one by one.
                Err(_) if self.has_own_units(col, meaning.field, texts, decimal) => {
                    own_units_only = true;
                    None
                }
                Err(finding) => {
                    self.findings.push(finding);
                    continue;
                }
            };
            let field = meaning.field;
            if let Some((first, _)) = columns.iter().find(|(_, c)| c.field == field) {
                let message = format!(
                    "the columns {} and {} both mean {}; the first filled one of each row is used",
                    crate::findings::column_letters(*first),
                    crate::findings::column_letters(col),
                    field.name()
                );
                self.findings.push(Finding::new(
                    &name::TWO_COLUMNS,
                    self.heading_place(col),
                    message,
                ));
            }
            let epoch_shift = self.sheet.epoch_shift;
            let column =
                Column { field, unit, decimal, order, epoch_shift, recover, own_units_only };
            columns.push((col, column));
        }
        // Values come in the order in which a record keeps them; of two columns the first stays first.
        columns.sort_by_key(|(_, column)| column.field);
        columns
    }

    /// Whether some cells of a column say their own unit, in their text or their format.
    fn has_own_units(&self, col: u32, field: Field, texts: &[&str], decimal: Decimal) -> bool {
        let in_text = |text: &&str| number::read(text, decimal).is_ok_and(|q| q.unit.is_some());
        texts.iter().any(in_text)
            || self.data_rows().any(|(row, cells)| {
                grid::at(cells, col).is_some() && self.says_unit(row, col, field)
            })
    }

    /// Whether a cell's number format holds a unit of its field.
    fn says_unit(&self, row: u32, col: u32, field: Field) -> bool {
        let Kind::Number(dimension) = field.kind() else { return false };
        let unit = self.sheet.format_of(row, col).and_then(|f| find_unit(&f.suffix));
        unit.is_some_and(|u| number::same_family(u.dimension, dimension))
    }

    /// The unit of a column: heading, then policy, then what its values tell.
    #[allow(clippy::too_many_arguments)] // one question with much evidence
    fn unit_of(
        &self,
        col: u32,
        heading: &str,
        field: Field,
        written: Option<Unit>,
        texts: &[&str],
        numbers: &[f64],
        decimal: Decimal,
        others: &[(u32, String, Heading)],
    ) -> Result<(Option<Unit>, Option<Finding>), Finding> {
        let Kind::Number(dimension) = field.kind() else { return Ok((None, None)) };
        let named = self.layout.units.iter().any(|(value, _)| *value == col);
        if written.is_some() || dimension.needs_no_unit() || named {
            return Ok((written, None));
        }
        if let Some(unit) = self.policy.default_units.get(field.name()).and_then(|u| find_unit(u)) {
            return Ok((Some(unit), None));
        }
        let read: Vec<_> = texts.iter().filter_map(|t| number::read(t, decimal).ok()).collect();
        let mut bare: Vec<f64> =
            read.iter().filter(|q| q.unit.is_none()).map(|q| q.value).collect();
        bare.extend(numbers);
        if bare.is_empty() {
            return Ok((None, None));
        }
        let place = self.heading_place(col);
        let rows: Vec<&[Cell]> = self.data_rows().map(|(_, cells)| cells).take(500).collect();
        let around = evidence::Around { columns: others, rows: &rows };
        match evidence::unit_of(col, dimension, &bare, &around) {
            Some((symbol, share)) => {
                let message = format!(
                    "`{heading}` has no unit; {symbol} fits {:.0} % of its {} values and was taken",
                    100.0 * share,
                    bare.len()
                );
                Ok((find_unit(symbol), Some(Finding::new(&name::UNIT_FROM_DATA, place, message))))
            }
            None => Err(Finding::new(
                &name::NO_UNIT,
                place,
                format!(
                    "`{heading}` has no unit and its values do not tell which; it was not used"
                ),
            )
            .hint(format!("write it into the heading, as `{heading} [{}]`", dimension.symbol()))),
        }
    }

    /// Reads the data rows, the second half of a long table on the other core.
    fn records(&mut self, columns: &[(u32, Column)], read: &mut SheetRead) -> Vec<Record> {
        /// Below this many rows a second thread is not worth its start.
        const LONG: usize = 2_000;
        let rows: Vec<(u32, &'a [Cell])> = self.data_rows().collect();
        let half = if rows.len() < LONG { rows.len() } else { rows.len() / 2 };
        let (upper, lower) = rows.split_at(half);
        let part = |rows: &[(u32, &'a [Cell])], first: bool| {
            let mut part = Reading { findings: Vec::new(), layout: self.layout.clone(), ..*self };
            let mut read = SheetRead::default();
            let records = part.part(columns, rows, first, &mut read);
            (records, read, part.findings)
        };
        let (above, below) = std::thread::scope(|scope| {
            let below = (!lower.is_empty()).then(|| scope.spawn(|| part(lower, false)));
            (part(upper, true), below.map(std::thread::ScopedJoinHandle::join))
        });
        let below = below.map(|half| half.unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        let mut records = Vec::with_capacity(rows.len());
        for (more, counts, findings) in std::iter::once(above).chain(below) {
            records.extend(more);
            read.rows_read += counts.rows_read;
            read.rows_used += counts.rows_used;
            read.rows_set_aside += counts.rows_set_aside;
            self.findings.extend(findings);
        }
        records
    }

    /// Reads some of the data rows; `first` if the first of the table is among them.
    fn part(
        &mut self,
        columns: &[(u32, Column)],
        rows: &[(u32, &'a [Cell])],
        mut first: bool,
        read: &mut SheetRead,
    ) -> Vec<Record> {
        let at: Arc<Place> = self.sheet.at.clone();
        let taken_at =
            self.layout.columns.iter().find_map(|c| c.2.and_then(|m| m.taken_at.map(|t| (c.0, t))));
        let mut settled = Vec::new();
        let mut seen = Seen::default();
        let mut words = Words::new(columns.len());
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
            settled.extend(assemble::settle(self.layout.table, &mut record, &mut seen));
            records.push(record);
        }
        self.findings.extend(settled);
        records
    }

    /// Whether a line with too many fields holds values that cannot stand where they stand.
    fn is_shifted(&self, row: u32, columns: &[(u32, Column)], cells: &[Cell]) -> bool {
        let wrong = |(col, column): &(u32, Column)| {
            let Some(raw) = grid::at(cells, *col) else { return false };
            let missing = matches!(raw, Raw::Text(t) if number::is_missing(t));
            !missing && cell::read(column, raw, None, self.policy).value.is_none()
        };
        self.sheet.suspect.contains(&row) && columns.iter().any(wrong)
    }

    fn tell_shifted(&mut self, row: u32, cells: &[Cell]) {
        let col = cells.first().map_or(0, |c| c.col);
        let message = "the line holds more fields than its headings, and its values do not go with them; it was set aside";
        let mut finding = Finding::new(&name::RAGGED, self.place(row, col), message);
        finding.severity = Severity::Error;
        let hint = "put a text or number that holds the separator into quotes";
        self.findings.push(finding.hint(hint));
    }

    fn kind_of(&self, row: u32, cells: &[Cell], first: bool) -> RowKind {
        if self.sheet.totals.contains(&row) {
            RowKind::Total
        } else if row >= self.layout.titles {
            RowKind::Remark
        } else {
            layout::kind_of_row(cells, &self.layout, first)
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

    fn fill(
        &mut self,
        record: &mut Record,
        columns: &[(u32, Column)],
        cells: &'a [Cell],
        words: &mut Words<'a>,
    ) {
        for (at, (col, column)) in columns.iter().enumerate() {
            let Some((raw, inherited)) = self.content(record.row, *col, cells) else {
                self.ditto_of_nothing(record.row, *col, column, cells);
                continue;
            };
            if record.knows(column.field) {
                self.compare(record, *col, column, raw);
                continue;
            }
            if let Some(value) = words.get(at, raw).filter(|_| !inherited) {
                record.set(column.field, value, How::Read, *col as u16);
                continue;
            }
            let named = self.with_named_unit(*col, raw, cells);
            let meant = named.as_ref().unwrap_or(raw);
            let read =
                cell::read(column, meant, self.sheet.format_of(record.row, *col), self.policy);
            if named.is_none() {
                words.keep(at, column.field, raw, &read);
            }
            if let Some((code, message, hint)) = read.finding {
                let mut finding = Finding::new(code, self.place(record.row, *col), message);
                finding.hint = hint;
                self.findings.push(finding);
            }
            if let Some(value) = read.value {
                if inherited {
                    let from = if grid::at(cells, *col).is_some() {
                        "from above the ditto sign"
                    } else {
                        "over the merged range"
                    };
                    let message = format!("{} was taken {from}", column.field.heading());
                    let place = self.place(record.row, *col);
                    self.findings.push(Finding::new(&name::INHERITED, place, message));
                }
                record.set(column.field, value, How::Read, *col as u16);
            }
        }
    }

    /// Tells of a ditto sign with nothing above it.
    fn ditto_of_nothing(&mut self, row: u32, col: u32, column: &Column, cells: &[Cell]) {
        if grid::at(cells, col).is_some_and(is_ditto) {
            let message =
                format!("{} is a ditto sign with no value above it", column.field.heading());
            self.findings.push(Finding::new(&name::MISSING_WORD, self.place(row, col), message));
        }
    }

    /// Holds a second column of the same meaning against the first.
    fn compare(&mut self, record: &mut Record, col: u32, column: &Column, raw: &Raw) {
        /// Plates and lists round each unit for itself.
        const SAME_WITHIN: f64 = 0.07;
        let Some(first) = record.number(column.field) else { return };
        let format = self.sheet.format_of(record.row, col);
        let Some(Value::Number(second)) = cell::read(column, raw, format, self.policy).value else {
            return;
        };
        if (first - second).abs() <= SAME_WITHIN * first.abs() {
            return;
        }
        let here = self.place(record.row, col);
        let message = format!(
            "{} is {first} in {} and {second} in {}, both in the same unit; which is right is not known",
            column.field.heading(),
            record.place(column.field).address().unwrap_or_default(),
            here.address().unwrap_or_default()
        );
        self.findings.push(Finding::new(&name::CONTRADICTION, here, message));
        if let Some(entry) = record.entry(column.field).cloned() {
            record.set(entry.field, entry.value, How::Disputed, entry.col);
        }
    }

    /// A number with the unit that the column beside it names.
    fn with_named_unit(&self, col: u32, raw: &Raw, cells: &[Cell]) -> Option<Raw> {
        let (_, unit) = self.layout.units.iter().find(|(value, _)| *value == col)?;
        let unit = grid::at(cells, *unit)?.shown();
        find_unit(&unit)?;
        match raw {
            Raw::Number(n) => Some(Raw::Text(format!("{n} {unit}").into())),
            Raw::Text(text)
                if number::read(text, Decimal::Comma).is_ok_and(|q| q.unit.is_none()) =>
            {
                Some(Raw::Text(format!("{text} {unit}").into()))
            }
            _ => None,
        }
    }

    /// The cell's content, or that of the first cell of the merged range it lies in.
    fn content(&self, row: u32, col: u32, cells: &'a [Cell]) -> Option<(&'a Raw, bool)> {
        match grid::at(cells, col) {
            Some(raw) if is_ditto(raw) => return Some((self.above(row, col)?, true)),
            Some(raw) => return Some((raw, false)),
            None => {}
        }
        if self.sheet.merges.is_empty() {
            return None;
        }
        let merge = self.sheet.merges.iter().find(|m| {
            m.start.0 <= row
                && row <= m.end.0
                && m.start.1 <= col
                && col <= m.end.1
                && m.start.0 < row
        })?;
        let head = self.layout.rows.last().copied().unwrap_or(0);
        if merge.start.0 <= head || merge.start.1 != col {
            return None;
        }
        let first = grid::at(self.rows.get(merge.start.0)?, merge.start.1)?;
        Some((first, true))
    }

    /// The content above a ditto sign, past those above it.
    fn above(&self, row: u32, col: u32) -> Option<&'a Raw> {
        let head = self.layout.rows.last().copied().unwrap_or(0);
        self.rows
            .above(row)
            .take_while(|(row, _)| *row > head)
            .map(|(_, cells)| grid::at(cells, col))
            .find(|found| !found.is_some_and(is_ditto))?
    }
}

/// Beside a column of the motor's power, one that only says power is the unit's.
fn second_power(meant: &mut [(u32, String, Heading)]) {
    let motors = |heading: &str| {
        fold(heading)
            .split(' ')
            .any(|w| ["motor", "mtr", "mot", "moteur", "motore", "drive"].contains(&w))
    };
    let power = |m: &(u32, String, Heading)| m.2.field == Field::motor_power_kw;
    let named = meant.iter().any(|m| power(m) && motors(&m.1));
    if !named || meant.iter().any(|m| m.2.field == Field::rated_power_kw) {
        return;
    }
    let unit = |m: &(u32, String, Heading)| m.2.unit.map(|u| u.symbol);
    let of_motor = meant.iter().find(|m| power(m) && motors(&m.1)).and_then(unit);
    // The same power in another unit is the motor's still.
    let other = |m: &(u32, String, Heading)| power(m) && !motors(&m.1) && unit(m) == of_motor;
    if let Some(at) = meant.iter().position(other) {
        meant[at].2.field = Field::rated_power_kw;
    }
}

/// Whether a cell only says that it holds the same as the one above.
pub(super) fn is_ditto(raw: &Raw) -> bool {
    #[rustfmt::skip]
    const SIGNS: [&str; 20] = [
        "\"", "''", "``", "same", "″", "〃", "„", "”", "-\"-", "- \" -", "ditto", "do.", "dto.", "dto", "id.", "idem", "as above", "same as above",
        "wie oben", "s.o.",
    ];
    let Raw::Text(text) = raw else { return false };
    let begins =
        |first: &u8| !first.is_ascii() || b"\"'`-diasw".contains(&first.to_ascii_lowercase());
    let text = text.trim();
    text.len() <= 13
        && text.as_bytes().first().is_some_and(begins)
        && SIGNS.iter().any(|sign| sign.eq_ignore_ascii_case(text))
}
