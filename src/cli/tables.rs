//! `tables`: built-in tables, the policy and the findings.

use serde_json::json;

use super::args::TablesArgs;
use super::{Outcome, Ran, Streams, render};
use crate::findings::{CODES, find_code};
use crate::policy::{KEYS, Policy, shown_value};
use crate::records::{Field, Kind, Table};
use crate::standards::{SHEETS, find_sheet};

pub(super) fn run(args: &TablesArgs, streams: &mut Streams<'_>) -> Ran {
    match args.name.as_deref() {
        None => list(streams),
        Some("policy") => policy(streams),
        Some("fields") => fields(streams),
        Some("findings") => findings(args.code.as_deref(), streams),
        Some(name) => one(name, streams),
    }
}

fn list(streams: &mut Streams<'_>) -> Ran {
    let mut rows: Vec<Vec<String>> =
        SHEETS.iter().map(|s| vec![s.name.to_owned(), s.title.clone(), s.mark.clone()]).collect();
    rows.push(vec![
        "policy".into(),
        "Every choice that is not physics, with its reason".into(),
        String::new(),
    ]);
    rows.push(vec!["fields".into(), "Every field, what it holds and where".into(), String::new()]);
    rows.push(vec!["findings".into(), "Every finding, its meaning and cure".into(), String::new()]);
    print("tables", &["name", "holds", "certainty"], &rows, streams)
}

/// What was typed is not there; the nearest names, and where all are listed.
fn unknown(what: &str, typed: &str, names: &[&str], lister: &str) -> String {
    let near = super::lookup::near(typed, names);
    let offer = match near.first() {
        Some(name) => format!("did you mean `{name}`? "),
        None => String::new(),
    };
    format!("no {what} `{typed}`; {offer}`sparemesh {lister}` lists them")
}

fn fields(streams: &mut Streams<'_>) -> Ran {
    let kind = |field: Field| match field.kind() {
        Kind::Text => "text".to_owned(),
        Kind::Flag => "yes or no".into(),
        Kind::Date => "date".into(),
        Kind::Ratio => "ratio".into(),
        Kind::Word(words) => words.join(", "),
        Kind::Number(dimension) if dimension.symbol().is_empty() => "number".into(),
        Kind::Number(dimension) => dimension.symbol().into(),
    };
    let rows: Vec<Vec<String>> = Field::ALL
        .iter()
        .map(|f| {
            let tables: Vec<&str> =
                Table::ALL.iter().filter(|t| t.fields().contains(f)).map(|t| t.word()).collect();
            vec![f.name().to_owned(), kind(*f), tables.join(", ")]
        })
        .collect();
    print("fields", &["field", "holds", "tables"], &rows, streams)
}

fn one(name: &str, streams: &mut Streams<'_>) -> Ran {
    let Some(sheet) = find_sheet(name) else {
        let names: Vec<_> =
            SHEETS.iter().map(|s| s.name).chain(["policy", "fields", "findings"]).collect();
        return Err(unknown("table", name, &names, "tables").into());
    };
    if !streams.common.json {
        let head = [
            sheet.title.clone(),
            format!("source: {}", sheet.source),
            format!("certainty: {}", sheet.mark),
            format!("checked: {}", sheet.checked),
        ];
        for line in head {
            writeln!(streams.out, "{}", render::wrap(&line, 2))?;
        }
        writeln!(streams.out)?;
    }
    let headings: Vec<&str> = sheet.headings.iter().map(String::as_str).collect();
    print(name, &headings, &sheet.rows, streams)
}

fn policy(streams: &mut Streams<'_>) -> Ran {
    let defaults = toml::Table::try_from(Policy::default())?;
    let rows: Vec<Vec<String>> = KEYS
        .iter()
        .map(|key| {
            let value = shown_value(&defaults, key.key).unwrap_or_default();
            vec![key.key.to_owned(), value, key.meaning.to_owned(), key.reason.to_owned()]
        })
        .collect();
    print("policy", &["key", "default", "meaning", "reason"], &rows, streams)
}

fn findings(code: Option<&str>, streams: &mut Streams<'_>) -> Ran {
    let Some(code) = code else {
        let rows: Vec<Vec<String>> = CODES
            .iter()
            .map(|c| vec![c.code.to_owned(), c.severity.word().to_owned(), c.meaning.to_owned()])
            .collect();
        return print("findings", &["code", "severity", "meaning"], &rows, streams);
    };
    let Some(found) = find_code(code) else {
        let codes: Vec<_> = CODES.iter().map(|c| c.code).collect();
        return Err(unknown("finding", code, &codes, "tables findings").into());
    };
    if streams.common.json {
        let body = json!({ "code": found.code, "severity": found.severity.word(),
                           "meaning": found.meaning, "cure": found.cure });
        render::document("tables", body, streams.out)?;
    } else {
        writeln!(streams.out, "{} ({})", found.code, found.severity.word())?;
        writeln!(streams.out, "{}", render::wrap(&format!("  means: {}", found.meaning), 9))?;
        writeln!(streams.out, "{}", render::wrap(&format!("  cure:  {}", found.cure), 9))?;
    }
    Ok(Outcome::Done)
}

fn print(name: &str, headings: &[&str], rows: &[Vec<String>], streams: &mut Streams<'_>) -> Ran {
    if streams.common.json {
        let body = json!({ "table": name, "headings": headings, "rows": rows });
        render::document("tables", body, streams.out)?;
    } else {
        writeln!(streams.out, "{}", render::table(headings, rows, &[]))?;
    }
    Ok(Outcome::Done)
}
