//! Method and sources: version, inputs, policy, formulas, tables, cautions.

use rust_xlsxwriter::{Workbook, XlsxError};

use super::Material;
use super::styles;
use super::table::{LINE, prepare, wrapped};
use crate::fit::{CLAMP, cautions};
use crate::policy::{KEYS, shown_value};
use crate::records::Table;
use crate::standards::SHEETS;
use crate::units::beside;

/// The name of the cell with the yearly cost of holding, as a share of value.
pub(super) const HOLDING_SHARE: &str = "Holding_share";
/// The name of the cell with what a released unit earns, as a share of value.
pub(super) const SALVAGE_SHARE: &str = "Salvage_share";

/// The row of the heading of the key inputs; the program's own lines stand above.
const KEY_INPUTS: u32 = 6;

/// Widths of the columns.
const WIDTHS: [f64; 4] = [40.0, 46.0, 60.0, 40.0];

/// Formulas used, with their source.
const FORMULAS: &[(&str, &str)] = &[
    ("Torque at a shaft: T = P / ω", "definition of mechanical power"),
    (
        "Service factor installed: rated torque / demand torque, on absorbed and on motor power",
        "AGMA 6013 / 6034 practice, from memory",
    ),
    (
        "Service factor required: the larger of class matrix and machine list, never below 1.00",
        "AGMA 420.04 / 440.04 lineage, from memory",
    ),
    (
        "Rating between listed speeds: power interpolated; below: torque kept; up to 10 % above: power kept",
        "common practice, no source",
    ),
    (
        "Overhung load: F = 2·T·K / D; the unit's rating divided by 1.25 or 1.5 for load class M or H",
        "AGMA 6010 / 6034 practice, from memory",
    ),
    (
        "Back-stop: 1.5 × lift torque, or 2.0 × motor torque where the lift is not known",
        "common practice, no source",
    ),
    (
        "Rate: gamma prior (the plant's own groups by moments, else ½ event round the default) and the events seen",
        "NIST e-Handbook 8.4.6; Atwood, INEL-94/0074",
    ),
    (
        "Demand while a spare is away: negative binomial (Poisson demand, gamma rate)",
        "NIST e-Handbook 8.4.6",
    ),
    (
        "Waiting: expected positions waiting × price of an hour × 8760 × redundancy factor (not below the floor)",
        "Palm's theorem; Little's law",
    ),
    (
        "Choice of spares: least of holding, waiting and purchases spread over years; every assignment looked at while small",
        "enumeration; else best found, with its bound",
    ),
    (
        "Release: the same model stays, ready, in a quantity that meets the level at three times the rate",
        "policy",
    ),
];

pub(super) fn write(book: &mut Workbook, m: &Material<'_>) -> Result<(), XlsxError> {
    let sheet = book.add_worksheet();
    prepare(
        sheet,
        "Method and sources",
        "How the figures came about, from which files, under which policy",
    )?;
    for (col, width) in (0_u16..).zip(WIDTHS) {
        sheet.set_column_width(col, width)?;
    }
    let (text, section) = (styles::text(), styles::section());
    let mut row = 3;
    let mut block = |heading: &str, lines: Vec<[String; 4]>| -> Result<(), XlsxError> {
        for col in 0..4_u16 {
            sheet.write_with_format(row, col, if col == 0 { heading } else { "" }, &section)?;
        }
        row += 1;
        for line in lines {
            let alone = line[1..].iter().all(String::is_empty);
            let mut lines = 1.0_f64;
            for ((col, cell), width) in (0_u16..).zip(line).zip(WIDTHS) {
                let cell = beside(&cell, m.system);
                // A text that stands alone has the whole row.
                let width = if alone { WIDTHS.iter().sum() } else { width };
                lines = lines.max(wrapped(&cell, width));
                if alone && col == 0 {
                    sheet.merge_range(row, 0, row, 3, &cell, &text)?;
                } else if let Some(number) = cell.parse::<f64>().ok().filter(|_| col == 1) {
                    sheet.write_number_with_format(row, col, number, &styles::number("General"))?;
                } else if !cell.is_empty() {
                    sheet.write_string_with_format(row, col, cell, &text)?;
                }
            }
            sheet.set_row_height(row, LINE * lines)?;
            row += 1;
        }
        row += 1;
        Ok(())
    };
    let one = |text: &str| [text.to_owned(), String::new(), String::new(), String::new()];
    block(
        "Program",
        vec![one(&format!("sparemesh {}, report for {}", env!("CARGO_PKG_VERSION"), m.month))],
    )?;
    block(
        "Key inputs: figures of This month follow them when they are changed here; the plan does not",
        [
            (
                "Holding, a year, as a share of value",
                m.policy.holding(),
                "holding cost = value × this",
            ),
            (
                "Salvage, as a share of value",
                m.policy.salvage,
                "cash of releases = book value × this",
            ),
        ]
        .map(|(what, share, used)| {
            [what.to_owned(), share.to_string(), used.to_owned(), String::new()]
        })
        .into(),
    )?;
    let clamp = format!("Where the kind of load is not none, or not known: {CLAMP}");
    let all = std::iter::once(clamp.as_str()).chain(cautions(true));
    block("Cautions", all.map(one).collect())?;
    block("Inputs: file, checksum (CRC-32), sheets and rows", inputs(m))?;
    let policy = toml::Table::try_from(m.policy).unwrap_or_default();
    let keys = KEYS.iter().map(|k| {
        [
            k.key.to_owned(),
            shown_value(&policy, k.key).unwrap_or_default(),
            k.meaning.to_owned(),
            k.reason.to_owned(),
        ]
    });
    block("Policy in force: key, value, meaning, reason of the default", keys.collect())?;
    let formulas = FORMULAS
        .iter()
        .map(|(f, s)| [(*f).to_owned(), String::new(), (*s).to_owned(), String::new()]);
    block("Formulas and their source", formulas.collect())?;
    let figures = m.figures.iter().map(|f| {
        [f.label.to_owned(), f.key.to_owned(), f.means.to_owned(), f.part.words().to_owned()]
    });
    block(
        "Figures of This month: what, name in the data, how it is worked out",
        figures.collect(),
    )?;
    let tables = SHEETS.iter().map(|s| {
        [s.title.clone(), s.source.clone(), s.mark.clone(), format!("checked: {}", s.checked)]
    });
    block("Tables: what, source, certainty, check", tables.collect())?;
    for (name, line) in [(HOLDING_SHARE, 1), (SALVAGE_SHARE, 2)] {
        let row = KEY_INPUTS + 1 + line;
        book.define_name(name, &format!("='Method and sources'!$B${row}"))?;
    }
    Ok(())
}

fn inputs(m: &Material<'_>) -> Vec<[String; 4]> {
    m.plant
        .files
        .iter()
        .map(|file| {
            let sheets: Vec<String> = file
                .sheets
                .iter()
                .map(|s| {
                    let table = s.table.map_or("not used", Table::word);
                    format!(
                        "{} ({table}): {} rows read, {} used, {} set aside",
                        s.name, s.rows_read, s.rows_used, s.rows_set_aside
                    )
                })
                .collect();
            [file.path.clone(), format!("{:08x}", file.checksum), sheets.join("; "), String::new()]
        })
        .collect()
}
