//! The book: sheets in their order, properties, csv beside it.

use std::path::Path;

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook};
use serde_json::Value;

use super::table::Sheet;
use super::{
    Material, ReportError, data_to_fix, do_next, families, hold_release_buy, measure_next, method,
    month, no_cover, overworked, shared_parts, who_fits_where,
};
use crate::figures::write_csv;
use crate::units::System;

/// How hard the workbook is compressed, of 1 to 9: against the library's own 6 the report takes three quarters of the time, and a few per cent more bytes.
const COMPRESSION: u8 = 3;

/// What was written.
#[derive(Debug)]
pub struct Written {
    /// The workbook's bytes.
    pub bytes: Vec<u8>,
    /// Its sheets.
    pub sheets: usize,
    /// Its tables, as they go into csv and JSON.
    pub tables: Vec<ReportTable>,
}

/// A sheet's table: name, headings with units, and rows.
#[derive(Debug)]
pub struct ReportTable {
    /// The sheet's name in lower case, with dashes.
    pub name: String,
    /// Headings.
    pub headings: Vec<String>,
    /// A name for each heading that stays the same whatever the currency.
    pub keys: Vec<String>,
    /// Rows, a cell for each heading.
    pub rows: Vec<Vec<Value>>,
}

impl ReportTable {
    /// The rows as csv text.
    fn texts(&self) -> Vec<Vec<String>> {
        let text = |value: &Value| match value {
            Value::String(text) => text.clone(),
            Value::Number(n) => n.as_f64().unwrap_or_default().to_string(),
            _ => String::new(),
        };
        self.rows.iter().map(|row| row.iter().map(text).collect()).collect()
    }
}

/// A heading as a name for programs: `risk_a_year` for `Risk a year (EUR)`.
pub(super) fn key(heading: &str) -> String {
    let bare = heading.split(" (").next().unwrap_or(heading).to_lowercase();
    let words = bare.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty());
    words.collect::<Vec<_>>().join("_")
}

/// Makes the workbook in the units asked for; with `csv_folder`, its tables as csv too, in SI units always; `with_tables`
/// gives them back for other programs.
///
/// # Errors
/// When a sheet cannot hold its rows, or the csv folder cannot be written.
pub fn write(
    material: &Material<'_>,
    csv_folder: Option<&Path>,
    with_tables: bool,
) -> Result<Written, ReportError> {
    let mut book = Workbook::new();
    book.set_zip_compression_level(COMPRESSION);
    let made = ExcelDateTime::from_ymd(
        material.month.year.unsigned_abs(),
        material.month.month.unsigned_abs(),
        1,
    )?;
    book.set_properties(
        &DocProperties::new()
            .set_title(format!("sparemesh report {}", material.month))
            .set_subject("gear reducers: cover, risk, spares")
            .set_author("sparemesh")
            .set_comment("sparemesh report")
            .set_creation_datetime(&made),
    );
    let links = who_fits_where::Links::of(material);
    let tables = [
        do_next::sheet(material, &links),
        no_cover::sheet(material, &links),
        hold_release_buy::sheet(material),
        families::sheet(material),
        who_fits_where::sheet(material),
        overworked::sheet(material, &links),
        measure_next::sheet(material, &links),
        shared_parts::sheet(material),
        data_to_fix::sheet(material),
    ];
    month::write(&mut book, material, &tables)?;
    for table in &tables {
        if material.system == System::Si {
            table.write(&mut book)?;
        } else {
            table.in_units(material.system).write(&mut book)?;
        }
    }
    method::write(&mut book, material)?;
    for sheet in book.worksheets_mut() {
        sheet.set_paper_size(material.policy.paper.code());
    }
    let sheets = tables.len() + 2;
    // Other programs' tables are as large again: made only where they are asked for.
    let plain = if with_tables || csv_folder.is_some() {
        let each = tables.iter().flat_map(|t| std::iter::once(t).chain(t.below.as_deref()));
        std::iter::once(figures(material)).chain(each.map(Sheet::plain)).collect()
    } else {
        Vec::new()
    };
    drop(tables);
    if let Some(folder) = csv_folder {
        write_tables(folder, &plain)?;
    }
    Ok(Written { bytes: book.save_to_buffer()?, sheets, tables: plain })
}

/// The tables as csv, one file each.
fn write_tables(folder: &Path, tables: &[ReportTable]) -> Result<(), ReportError> {
    let fail =
        |e: std::io::Error| ReportError::File { path: folder.to_owned(), reason: e.to_string() };
    std::fs::create_dir_all(folder).map_err(fail)?;
    for table in tables {
        let file = folder.join(format!("{}.csv", table.name));
        write_csv(&file, &table.headings, &table.texts())?;
    }
    Ok(())
}

/// The figures of the month, with those of the newest earlier one.
fn figures(m: &Material<'_>) -> ReportTable {
    let last = m.before();
    let earlier = last.map_or("Earlier month", |s| s.month.as_str());
    let headings = ["Name", "Figure", "This month", earlier, "Change"].map(str::to_owned).to_vec();
    let row = |figure: &crate::figures::Figure| {
        let old = last.and_then(|s| s.figures.get(figure.key)).copied();
        vec![
            figure.key.into(),
            figure.label.into(),
            figure.value.into(),
            old.into(),
            figure.value.zip(old).map(|(new, old)| new - old).into(),
        ]
    };
    let keys = ["name", "figure", "this_month", "earlier", "change"].map(str::to_owned).to_vec();
    let rows = m.figures.iter().map(row).collect();
    ReportTable { name: "this-month".into(), headings, keys, rows }
}
