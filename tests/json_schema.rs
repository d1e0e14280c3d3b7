//! What `--json` prints is what `docs/sparemesh.schema.json` describes: every name, every type.

use serde_json::Value;

use crate::cli::{command, json};

/// Where `value` is not what `schema` says; of the schema language only what the file uses.
fn wrong(schema: &Value, root: &Value, value: &Value, at: &str, out: &mut Vec<String>) {
    if let Some(name) = schema["$ref"].as_str() {
        let target = root.pointer(name.trim_start_matches('#')).expect("the file refers to itself");
        return wrong(target, root, value, at, out);
    }
    if let Some(one) = schema.get("const").filter(|c| *c != value) {
        out.push(format!("{at}: {value} is not {one}"));
    }
    if schema["enum"].as_array().is_some_and(|all| !all.contains(value)) {
        out.push(format!("{at}: {value} is none of {}", schema["enum"]));
    }
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(n) if n.is_f64() => "number",
        Value::Number(_) => "integer",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    let is_kind = |k: &Value| k == kind || (k == "number" && kind == "integer");
    let allowed = match &schema["type"] {
        Value::Array(all) => all.iter().any(is_kind),
        Value::Null => true,
        one => is_kind(one),
    };
    if !allowed {
        out.push(format!("{at}: a {kind}, not {}", schema["type"]));
    }
    for (n, item) in value.as_array().into_iter().flatten().enumerate() {
        wrong(&schema["items"], root, item, &format!("{at}[{n}]"), out);
    }
    if let Some(fields) = value.as_object() {
        for (name, field) in fields {
            match schema["properties"].get(name) {
                Some(inner) => wrong(inner, root, field, &format!("{at}.{name}"), out),
                None => out.push(format!("{at}.{name} is not described")),
            }
        }
        for name in schema["required"].as_array().into_iter().flatten() {
            if !fields.contains_key(name.as_str().unwrap_or_default()) {
                out.push(format!("{at} lacks {name}"));
            }
        }
    }
}

fn schema() -> Value {
    let text = include_str!("../docs/sparemesh.schema.json");
    serde_json::from_str(text).expect("the schema is JSON")
}

fn check(args: &[&str]) {
    let printed = json(args);
    let schema = schema();
    let mut found = Vec::new();
    let part = &schema["$defs"][args[0]];
    assert!(part.is_object(), "{} is not described", args[0]);
    wrong(part, &schema, &printed, args[0], &mut found);
    found.truncate(12);
    assert!(found.is_empty(), "{args:?}\n{}", found.join("\n"));
}

#[test]
fn what_the_commands_print_is_as_described() {
    let sample = "sample-data";
    check(&["check", sample, "--json", "--records"]);
    check(&["rate", sample, "--json"]);
    check(&["rate", sample, "--json", "--working", "CV-501"]);
    check(&["substitute", "CV-503", sample, "--json"]);
    check(&["substitute", "--like", "ratio=25", sample, "--json"]);
    check(&["explain", "CV-503", "shelf:S-1002", sample, "--json"]);
    check(&["plan", sample, "--json"]);
    check(&["plan", sample, "--json", "--rates", "3", "--budget", "20000"]);
    check(&["tables", "--json"]);
    check(&["tables", "findings", "IN-008", "--json"]);
}

#[test]
fn what_report_prints_is_as_described() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = folder.path().join("r.xlsx").display().to_string();
    let earlier = ["report", "sample-data/2026-09", "--month", "2026-09", "-o", &book, "-q"];
    let done = command(&earlier);
    assert!(done.status.success());
    check(&["report", "sample-data", "--month", "2026-10", "-o", &book, "--json"]);
}

/// A description that leaves a name out, or takes text for a number, is noticed.
#[test]
fn what_is_not_described_is_noticed() {
    let schema = schema();
    let finding = serde_json::json!({
        "code": 8, "severity": "grave", "file": null, "sheet": null, "cell": null, "message": "", "more": 1,
    });
    let mut found = Vec::new();
    wrong(&schema["$defs"]["finding"], &schema, &finding, "f", &mut found);
    assert_eq!(found.len(), 4, "{found:?}");
}
