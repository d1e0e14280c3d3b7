//! A sheet as a table of columns: heading with unit, width, kind, cell.

use std::sync::LazyLock;

use rust_xlsxwriter::{
    ConditionalFormatDataBar, Format, Formula, Table, TableColumn, TableStyle, Url, Workbook,
    Worksheet, XlsxError,
};

use serde_json::Value;

use super::book::{ReportTable, key};
use super::styles;
use crate::units::{Dimension, System, beside, show};

/// The most characters a cell may hold, in UTF-16 units.
const CELL_LIMIT: usize = 32_000;
/// The most links a sheet may hold.
pub(super) const LINK_LIMIT: usize = 65_000;

/// The most rows a sheet is given; it may hold 1,048,576, headings and totals among them.
const ROW_LIMIT: usize = 1_000_000;

/// Sheets with more rows are written row by row.
const STREAMED_ABOVE: usize = 20_000;

/// How a column's numbers are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Show {
    Text,
    Money,
    Whole,
    Two,
    Share,
}

impl Show {
    pub(super) const fn format(self) -> &'static str {
        match self {
            Self::Text => "@",
            Self::Money | Self::Whole => "#,##0",
            Self::Two => "0.00",
            Self::Share => "0.0%",
        }
    }
}

/// A column.
#[derive(Clone)]
pub(super) struct Column {
    pub(super) heading: String,
    pub(super) width: f64,
    pub(super) show: Show,
    /// Whether the last row sums it.
    pub(super) summed: bool,
    /// Whether a bar in each cell shows its size.
    pub(super) bar: bool,
    /// What its numbers measure; the heading then gains their unit.
    pub(super) of: Option<Dimension>,
    /// Its name for other programs, where it is not that of the heading.
    pub(super) key: Option<&'static str>,
}

impl Column {
    /// The column with a bar in each cell that shows its size: length, not colour.
    pub(super) fn with_bar(self) -> Self {
        Self { bar: true, ..self }
    }

    /// The column under a name for other programs that the heading does not give.
    pub(super) fn keyed(self, key: &'static str) -> Self {
        Self { key: Some(key), ..self }
    }
}

pub(super) fn column(heading: impl Into<String>, width: f64, show: Show) -> Column {
    Column { heading: heading.into(), width, show, summed: false, bar: false, of: None, key: None }
}

pub(super) fn summed(heading: impl Into<String>, width: f64, show: Show) -> Column {
    Column { heading: heading.into(), width, show, summed: true, bar: false, of: None, key: None }
}

/// A column of quantities, its unit in the heading.
pub(super) fn quantity(heading: &str, of: Dimension, width: f64, show: Show) -> Column {
    let heading = format!("{heading} ({})", of.symbol());
    Column { of: Some(of), ..column(heading, width, show) }
}

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cell {
    Text(String),
    Number(f64),
    Link { target: String, text: String },
    Blank,
}

impl Cell {
    pub(super) fn text(text: impl Into<String>) -> Self {
        let text = text.into();
        if text.is_empty() { Self::Blank } else { Self::Text(text) }
    }

    pub(super) fn number(value: Option<f64>) -> Self {
        value.filter(|v| v.is_finite()).map_or(Self::Blank, Self::Number)
    }

    fn in_units(&self, of: Option<Dimension>, system: System) -> Self {
        match (self, of) {
            (Self::Text(text), _) => Self::Text(beside(text, system)),
            (Self::Number(n), Some(of)) => Self::Number(show(*n, of, system).value),
            _ => self.clone(),
        }
    }

    /// The cell for other programs.
    fn value(&self) -> Value {
        match self {
            Self::Text(text) | Self::Link { text, .. } => text.as_str().into(),
            Self::Number(n) => (*n).into(),
            Self::Blank => Value::Null,
        }
    }
}

/// A sheet: name, one line that says what it answers, columns and rows.
pub(super) struct Sheet {
    pub(super) name: &'static str,
    pub(super) says: String,
    pub(super) columns: Vec<Column>,
    pub(super) rows: Vec<Vec<Cell>>,
    /// A second, short table under it.
    pub(super) below: Option<Box<Sheet>>,
}

/// Height of a line of text (points).
pub(super) const LINE: f64 = 15.5;

/// Lines that a text takes in a column of `width` characters; words are not broken.
pub(super) fn wrapped(text: &str, width: f64) -> f64 {
    // Proportional type runs a little wider than its count of characters.
    let limit = (width * 0.95).max(4.0) as usize;
    if text.len() <= limit {
        return 1.0;
    }
    let mut lines = 1.0;
    let mut length = 0;
    for word in text.split(' ') {
        let size = word.chars().count();
        if length > 0 && length + 1 + size > limit {
            lines += 1.0;
            length = 0;
        }
        length += size + usize::from(length > 0);
        while length > limit {
            lines += 1.0;
            length -= limit;
        }
    }
    lines
}

/// The row of the headings; above it stand title and explanation.
pub(super) const HEADING_ROW: u32 = 3;

impl Sheet {
    /// The sheet for other programs.
    pub(super) fn plain(&self) -> ReportTable {
        ReportTable {
            name: self.name.to_lowercase().replace(", ", "-").replace(' ', "-"),
            headings: self.columns.iter().map(|c| c.heading.clone()).collect(),
            keys: self
                .columns
                .iter()
                .map(|c| c.key.map_or_else(|| key(&c.heading), str::to_owned))
                .collect(),
            rows: self.rows.iter().map(|row| row.iter().map(Cell::value).collect()).collect(),
        }
    }

    /// The sheet in the units of `system`: columns of quantities in them, texts with them beside.
    pub(super) fn in_units(&self, system: System) -> Self {
        let columns = self.columns.iter().map(|c| {
            let heading = c.of.map(|of| {
                let shown = format!("({})", show(0.0, of, system).symbol);
                c.heading.replace(&format!("({})", of.symbol()), &shown)
            });
            Column { heading: heading.unwrap_or_else(|| c.heading.clone()), ..c.clone() }
        });
        let rows = self.rows.iter().map(|row| {
            let cells = row.iter().zip(&self.columns);
            cells.map(|(cell, column)| cell.in_units(column.of, system)).collect()
        });
        Self {
            name: self.name,
            says: beside(&self.says, system),
            columns: columns.collect(),
            rows: rows.collect(),
            below: self.below.as_ref().map(|below| Box::new(below.in_units(system))),
        }
    }

    /// The rows that the sheet can hold; other programs are given all.
    fn shown(&self) -> &[Vec<Cell>] {
        &self.rows[..self.rows.len().min(ROW_LIMIT)]
    }

    /// Whether a sheet cannot hold its rows.
    pub(super) fn is_cut(&self) -> bool {
        self.rows.len() > ROW_LIMIT
    }

    /// What stands under the title.
    fn said(&self) -> String {
        if self.is_cut() {
            return format!(
                "Only the first {ROW_LIMIT} of {} rows, the most that a sheet holds; `--csv FOLDER` writes all. {}",
                self.rows.len(),
                self.says
            );
        }
        self.says.clone()
    }

    /// Whether the sheet is written row by row, without being held in memory.
    fn is_streamed(&self) -> bool {
        self.rows.len() > STREAMED_ABOVE
    }

    /// Writes the sheet.
    pub(super) fn write(&self, book: &mut Workbook) -> Result<(), XlsxError> {
        let sheet = if self.is_streamed() {
            book.add_worksheet_with_constant_memory()?
        } else {
            book.add_worksheet()
        };
        prepare(sheet, self.name, &self.said())?;
        let heading = styles::heading();
        let formats = self.formats();
        // Formats of whole columns: looked up for every cell they take longer than the cell itself.
        for ((col, column), format) in (0_u16..).zip(&self.columns).zip(&formats) {
            sheet.set_column_width(col, column.width)?;
            sheet.set_column_format(col, format)?;
            sheet.write_with_format(HEADING_ROW, col, &column.heading, &heading)?;
        }
        sheet.set_row_height(HEADING_ROW, LINE * self.heading_lines())?;
        if self.rows.is_empty() {
            sheet.write_with_format(HEADING_ROW + 1, 0, "nothing to list", &styles::subtitle())?;
        }
        let mut links = 0;
        for (row, cells) in (HEADING_ROW + 1..).zip(self.shown()) {
            for (col, cell) in (0_u16..).zip(cells) {
                write_cell(sheet, row, col, cell, None, &mut links)?;
            }
            // Not every viewer fits wrapped rows by itself.
            sheet.set_row_height(row, LINE * self.lines(cells))?;
        }
        self.close(sheet)?;
        self.below
            .as_ref()
            .map_or(Ok(()), |below| below.write_below(sheet, self.shown().len() as u32))
    }

    fn formats(&self) -> Vec<Format> {
        let format = |c: &Column| match c.show {
            Show::Text => styles::text(),
            other => styles::number(other.format()),
        };
        self.columns.iter().map(format).collect()
    }

    /// Writes this table under one of so many rows, in its columns.
    fn write_below(&self, sheet: &mut Worksheet, above: u32) -> Result<(), XlsxError> {
        // Under the rows stand their totals and an empty row.
        let top = HEADING_ROW + above + 4;
        sheet.write_with_format(top, 0, self.name, &styles::section())?;
        sheet.write_with_format(top + 1, 0, &self.says, &styles::subtitle())?;
        for (col, column) in (0_u16..).zip(&self.columns) {
            sheet.write_with_format(top + 2, col, &column.heading, &styles::heading())?;
        }
        sheet.set_row_height(top + 2, LINE * self.heading_lines())?;
        let (formats, mut links) = (self.formats(), LINK_LIMIT);
        for (row, cells) in (top + 3..).zip(&self.rows) {
            for ((col, cell), format) in (0_u16..).zip(cells).zip(&formats) {
                write_cell(sheet, row, col, cell, Some(format), &mut links)?;
            }
            sheet.set_row_height(row, LINE * self.lines(cells))?;
        }
        Ok(())
    }

    fn heading_lines(&self) -> f64 {
        let lines = |c: &Column| wrapped(&c.heading, c.width - 2.0);
        self.columns.iter().map(lines).fold(1.0, f64::max)
    }

    fn lines(&self, cells: &[Cell]) -> f64 {
        let lines = |(column, cell): (&Column, &Cell)| match cell {
            Cell::Text(text) | Cell::Link { text, .. } => wrapped(text, column.width),
            _ => 1.0,
        };
        self.columns.iter().zip(cells).map(lines).fold(1.0, f64::max).min(25.0)
    }

    /// Filter, frozen headings, totals and print set-up.
    fn close(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        let last_col = self.columns.len().saturating_sub(1) as u16;
        let last_row = HEADING_ROW + self.shown().len() as u32;
        sheet.set_freeze_panes(HEADING_ROW + 1, 1)?;
        sheet.set_repeat_rows(HEADING_ROW, HEADING_ROW)?;
        if self.rows.is_empty() {
            return Ok(());
        }
        if self.is_streamed() {
            // A table would write its headings over rows that are already out.
            sheet.autofilter(HEADING_ROW, 0, last_row, last_col)?;
        } else {
            sheet.add_table(HEADING_ROW, 0, last_row, last_col, &self.table())?;
        }
        for (col, _) in (0_u16..).zip(&self.columns).filter(|(_, c)| c.bar) {
            let bar = ConditionalFormatDataBar::new()
                .set_fill_color(styles::HUE_LIGHT)
                .set_border_off(true)
                .set_solid_fill(true);
            sheet.add_conditional_format(HEADING_ROW + 1, col, last_row, col, &bar)?;
        }
        let mut any = false;
        for (col, column) in (0_u16..).zip(&self.columns).filter(|(_, c)| c.summed) {
            any = true;
            let formula = format!(
                "=SUBTOTAL(109,{0}{1}:{0}{2})",
                crate::findings::column_letters(u32::from(col)),
                HEADING_ROW + 2,
                last_row + 1
            );
            let sum = self.sum(col as usize);
            sheet.write_formula_with_format(
                last_row + 1,
                col,
                Formula::new(formula).set_result(sum.to_string()),
                &styles::total(column.show.format()),
            )?;
        }
        if any {
            sheet.write_with_format(last_row + 1, 0, "Total", &styles::total("@"))?;
        }
        Ok(())
    }

    /// The rows as a table of their own, so that it sorts, filters and can be named in formulas.
    fn table(&self) -> Table {
        let heading = styles::heading();
        let columns: Vec<TableColumn> = self
            .columns
            .iter()
            .map(|c| TableColumn::new().set_header(&c.heading).set_header_format(&heading))
            .collect();
        Table::new()
            .set_name(self.name.replace(", ", "_").replace(' ', "_"))
            .set_style(TableStyle::None)
            .set_columns(&columns)
    }

    /// Sum of a column's numbers.
    pub(super) fn sum(&self, col: usize) -> f64 {
        self.shown()
            .iter()
            .map(|row| match row.get(col) {
                Some(Cell::Number(n)) => *n,
                _ => 0.0,
            })
            .sum()
    }

    /// First and last row of the data, counted as the sheet does.
    pub(super) fn span(&self) -> (u32, u32) {
        (HEADING_ROW + 2, HEADING_ROW + 1 + (self.shown().len() as u32).max(1))
    }
}

/// The format of links, made once.
static LINK: LazyLock<Format> = LazyLock::new(styles::link);

/// Writes a cell in a format, or in that of its column.
fn write_cell(
    sheet: &mut Worksheet,
    row: u32,
    col: u16,
    cell: &Cell,
    format: Option<&Format>,
    links: &mut usize,
) -> Result<(), XlsxError> {
    match cell {
        Cell::Blank => {}
        Cell::Number(n) => {
            match format {
                Some(format) => sheet.write_number_with_format(row, col, *n, format)?,
                None => sheet.write_number(row, col, *n)?,
            };
        }
        Cell::Link { target, text } if *links < LINK_LIMIT && target.len() < 2000 => {
            *links += 1;
            let link = Url::new(target).set_text(clean(text));
            sheet.write_url_with_format(row, col, link, &LINK)?;
        }
        Cell::Text(text) | Cell::Link { text, .. } => {
            match format {
                Some(format) => sheet.write_string_with_format(row, col, clean(text), format)?,
                None => sheet.write_string(row, col, clean(text))?,
            };
        }
    }
    Ok(())
}

/// Text without control characters, cut to what a cell can hold.
fn clean(text: &str) -> String {
    if text.len() <= CELL_LIMIT && !text.bytes().any(|b| b.is_ascii_control() || b >= 0x80) {
        return text.to_owned();
    }
    let kept: String = text.chars().filter(|c| !c.is_control() || *c == '\n').collect();
    let mut size = 0;
    let cut: String = kept
        .chars()
        .take_while(|c| {
            size += c.len_utf16();
            size <= CELL_LIMIT
        })
        .collect();
    if cut.len() < kept.len() { format!("{cut}… [cut]") } else { cut }
}

/// Width of a column of tags: links do not break into lines everywhere, so the longest must fit, within reason.
pub(super) fn tag_width(m: &super::Material<'_>) -> f64 {
    let longest = m.plant.positions.iter().filter_map(|p| p.tag()).map(|t| t.chars().count()).max();
    (longest.unwrap_or(0) as f64 + 2.0).clamp(12.0, 32.0)
}

/// A row of headings from a column on.
pub(super) fn headings<T: AsRef<str>>(
    sheet: &mut Worksheet,
    row: u32,
    from: u16,
    titles: impl IntoIterator<Item = T>,
) -> Result<(), XlsxError> {
    let heading = styles::heading();
    sheet.set_row_height(row, 30.0)?;
    for (col, title) in (from..).zip(titles) {
        sheet.write_with_format(row, col, title.as_ref(), &heading)?;
    }
    Ok(())
}

/// Name, title, explanation, page set-up.
pub(super) fn prepare(sheet: &mut Worksheet, name: &str, says: &str) -> Result<(), XlsxError> {
    sheet.set_name(name)?;
    sheet.write_with_format(0, 0, name, &styles::title())?;
    sheet.write_with_format(1, 0, says, &styles::subtitle())?;
    sheet.set_landscape().set_paper_size(9).set_print_fit_to_pages(1, 0);
    sheet.set_margins(0.5, 0.5, 0.6, 0.6, 0.3, 0.3);
    sheet.set_footer("&L&A&C&F&RPage &P of &N");
    sheet.set_screen_gridlines(false);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sheet of more rows than a workbook can hold is written as far as it goes, says so, and other programs get all.
    #[test]
    fn more_rows_than_a_sheet_holds() {
        let sheet = Sheet {
            name: "Many",
            says: "All of them.".into(),
            columns: vec![summed("Number", 10.0, Show::Whole)],
            rows: vec![vec![Cell::Number(1.0)]; ROW_LIMIT + 7],
            below: None,
        };
        let mut book = Workbook::new();
        sheet.write(&mut book).expect("the rows fit");
        assert!(
            sheet.is_cut() && sheet.said().starts_with("Only the first 1000000 of 1000007 rows")
        );
        assert!((sheet.sum(0) - 1e6).abs() < 1e-9);
        assert_eq!(sheet.plain().rows.len(), ROW_LIMIT + 7);
    }
}
