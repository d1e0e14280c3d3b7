//! `check`: what was understood, and every finding.

use std::collections::BTreeMap;

use serde_json::{Value as Json, json};

use super::args::CheckArgs;
use super::load::{Loaded, load};
use super::{Outcome, Ran, Streams, render};
use crate::findings::{self, Severity, column_letters};
use crate::fit::misplaced;
use crate::rating::rate;
use crate::records::{How, Kind, Plant, Record, SheetRead, Table, Value};
use crate::spares::noticed;
use crate::units::beside;

pub(super) fn run(args: &CheckArgs, streams: &mut Streams<'_>) -> Ran {
    let Loaded { mut intake, policy } = load(&args.paths, streams)?;
    let (_, rated) = rate(&intake.plant, &policy);
    intake.findings.extend(rated);
    intake.findings.extend(misplaced(&intake.plant, &policy));
    intake.findings.extend(noticed(&intake.plant, &policy));
    findings::sort(&mut intake.findings);
    if let Some(path) = &args.write_columns {
        if path.exists() {
            return Err(format!(
                "`{}` is there already and was left as it is; name another file",
                path.display()
            )
            .into());
        }
        std::fs::write(path, draft(&intake.plant))
            .map_err(|e| format!("cannot write `{}`: {e}", path.display()))?;
        streams.say(&format!("wrote {}", path.display()));
    }
    if streams.common.json {
        print_json(&intake.plant, &intake.findings, args.records, streams)?;
    } else {
        print_screen(&intake.plant, &intake.findings, streams)?;
        if args.records {
            print_records(&intake.plant, streams)?;
        }
    }
    if intake.plant.files.iter().flat_map(|f| &f.sheets).all(|s| s.table.is_none()) {
        super::load::need_fleet(&intake)?;
    }
    let errors = intake.findings.iter().any(|f| f.severity == Severity::Error);
    Ok(if errors { Outcome::Findings } else { Outcome::Done })
}

fn print_screen(
    plant: &Plant,
    list: &[findings::Finding],
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    let mut rows = Vec::new();
    for file in &plant.files {
        for sheet in &file.sheets {
            let columns = sheet.columns.iter().filter(|c| c.field.is_some()).count();
            let name = file.path.rsplit('/').next().unwrap_or(&file.path);
            let place = if sheet.name == "csv" {
                name.to_owned()
            } else {
                format!("{name} › {}", sheet.name)
            };
            rows.push(vec![
                place,
                sheet.table.map_or("–", Table::word).to_owned(),
                sheet.rows_read.to_string(),
                sheet.rows_used.to_string(),
                sheet.rows_set_aside.to_string(),
                format!("{columns}/{}", sheet.columns.len()),
            ]);
        }
    }
    let headings = ["sheet", "table", "rows read", "used", "set aside", "columns"];
    writeln!(streams.out, "{}\n", render::table(&headings, &rows, &[2, 3, 4, 5]))?;
    let count = |n: usize, what: &str| format!("{n} {what}");
    writeln!(
        streams.out,
        "{}",
        render::wrap(
            &[
                count(plant.positions.len(), "positions"),
                count(plant.models.len(), "models"),
                count(plant.shelf.len(), "shelf lines"),
                count(plant.parts.len(), "parts"),
                count(plant.swaps.len(), "swaps"),
                count(plant.events.len(), "events"),
            ]
            .join(", "),
            0
        )
    )?;
    writeln!(streams.out, "findings: {}\n", render::tally(list))?;
    let rows = to_do(list);
    if !rows.is_empty() {
        let headings = ["what to do", "cells", "first", "code"];
        writeln!(streams.out, "To work down\n{}\n", render::table(&headings, &rows, &[1]))?;
    }
    render::findings(list, streams.out, streams.common)
}

/// Errors and warnings by what mends them: how many cells, and the first.
fn to_do(list: &[findings::Finding]) -> Vec<Vec<String>> {
    let mut by_code: BTreeMap<(Severity, &str), Vec<&findings::Finding>> = BTreeMap::new();
    for finding in list.iter().filter(|f| f.severity != Severity::Note) {
        by_code.entry((finding.severity, finding.code.code)).or_default().push(finding);
    }
    by_code
        .into_iter()
        .map(|((severity, code), group)| {
            let first = group[0].place.to_string();
            let short = first.rsplit('/').next().unwrap_or(&first).to_owned();
            vec![
                group[0].code.cure.to_owned(),
                group.len().to_string(),
                short,
                format!("{} {code}", severity.word()),
            ]
        })
        .collect()
}

/// Every value, row by row, with its cell and how it came to be known.
fn print_records(plant: &Plant, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let system = render::system(streams.common);
    for (table, record) in every_record(plant) {
        writeln!(streams.out, "{} {}", table.word(), record.cell(0))?;
        let rows: Vec<Vec<String>> = record
            .entries()
            .iter()
            .map(|entry| {
                let how = match entry.how {
                    How::Read => "",
                    How::FromText => "from text",
                    How::FromName => "from its name",
                    How::Assumed => "assumed",
                    How::Disputed => "disputed",
                    How::Measured => "measured",
                };
                vec![
                    entry.field.name().to_owned(),
                    beside(&entry.value.to_string(), system),
                    record.place(entry.field).address().unwrap_or_default(),
                    how.to_owned(),
                ]
            })
            .collect();
        writeln!(
            streams.out,
            "{}\n",
            render::table(&["field", "value", "cell", "how"], &rows, &[])
        )?;
    }
    Ok(())
}

/// The rows of every table, table by table.
fn every_record(plant: &Plant) -> Vec<(Table, &Record)> {
    let fleet = plant.positions.iter().map(|p| (Table::Fleet, &p.record));
    let models = plant.models.iter().flat_map(|m| m.rows()).map(|r| (Table::Catalogue, r));
    let shelf = plant.shelf.iter().map(|s| (Table::Shelf, &s.record));
    let rest = [
        (Table::Parts, &plant.parts),
        (Table::Swaps, &plant.swaps),
        (Table::Events, &plant.events),
    ];
    let rest = rest.into_iter().flat_map(|(table, rows)| rows.iter().map(move |r| (table, r)));
    fleet.chain(models).chain(shelf).chain(rest).collect()
}

fn print_json(
    plant: &Plant,
    list: &[findings::Finding],
    records: bool,
    streams: &mut Streams<'_>,
) -> Result<(), Box<dyn std::error::Error>> {
    let files: Vec<Json> = plant
        .files
        .iter()
        .map(|file| {
            let sheets: Vec<Json> = file.sheets.iter().map(sheet_json).collect();
            json!({ "path": file.path, "sheets": sheets })
        })
        .collect();
    let mut body = json!({
        "files": files,
        "findings": list.iter().map(render::finding_json).collect::<Vec<_>>(),
    });
    if records {
        body["values"] = values(plant);
    }
    render::document("check", body, streams.out)
}

fn sheet_json(sheet: &SheetRead) -> Json {
    let columns: Vec<Json> = sheet
        .columns
        .iter()
        .map(|c| {
            json!({
                "column": column_letters(c.column), "heading": c.heading,
                "field": c.field.map(|f| f.name()), "unit": c.unit, "score": c.score,
            })
        })
        .collect();
    json!({
        "name": sheet.name, "table": sheet.table.map(Table::word), "header_rows": sheet.header_rows,
        "rows_read": sheet.rows_read, "rows_used": sheet.rows_used,
        "rows_set_aside": sheet.rows_set_aside, "columns": columns,
    })
}

/// Every value and its cell.
fn values(plant: &Plant) -> Json {
    let mut out = Vec::new();
    let mut add = |table: Table, record: &Record| {
        for entry in record.entries() {
            let place = record.place(entry.field);
            let unit = match entry.field.kind() {
                Kind::Number(dimension) if !dimension.symbol().is_empty() => {
                    Some(dimension.symbol())
                }
                _ => None,
            };
            let value = match &entry.value {
                Value::Number(n) => json!(n),
                Value::Flag(flag) => json!(flag),
                other => json!(other.to_string()),
            };
            out.push(json!({
                "table": table.word(), "field": entry.field.name(), "file": &*place.file,
                "sheet": &*place.sheet, "cell": place.address(), "value": value, "unit": unit,
            }));
        }
    };
    for (table, record) in every_record(plant) {
        add(table, record);
    }
    Json::Array(out)
}

/// A mapping file with every column as it was understood.
fn draft(plant: &Plant) -> String {
    let mut text = String::from(
        "# What sparemesh took each column for. Correct `field` (`ignore` leaves a column out),\n\
         # set `unit` where the heading has none, and delete the entries that are right.\n",
    );
    for file in &plant.files {
        let name = file.path.rsplit('/').next().unwrap_or(&file.path);
        for sheet in &file.sheets {
            for column in &sheet.columns {
                let field = column.field.map_or("ignore", |f| f.name());
                let entry = |key: &str, value: &str| format!("{key} = {}\n", json!(value));
                text.push_str("\n[[column]]\n");
                text.push_str(&entry("file", name));
                text.push_str(&entry("sheet", &sheet.name));
                text.push_str(&entry("column", &column.heading));
                text.push_str(&entry("field", field));
                if let Some(unit) = &column.unit {
                    text.push_str(&entry("unit", unit));
                }
            }
        }
    }
    text
}
