//! Holds the rooms of `src/` to the plan in DEVELOPERS.md.

use std::{fs, path::Path};

/// Each room and the rooms it may look into.
const PLAN: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("findings", &[]),
    ("standards", &["units"]),
    ("policy", &["findings", "standards", "units"]),
    ("workbook", &["findings"]),
    ("records", &["findings", "units"]),
    ("gearing", &["findings", "records", "standards", "units"]),
    ("intake", &["findings", "gearing", "policy", "records", "standards", "units", "workbook"]),
    ("rating", &["findings", "gearing", "policy", "records", "standards", "units"]),
    ("fit", &["findings", "gearing", "policy", "rating", "records", "standards", "units"]),
    (
        "spares",
        &["findings", "fit", "gearing", "policy", "rating", "records", "standards", "units"],
    ),
    (
        "figures",
        &[
            "findings",
            "fit",
            "gearing",
            "policy",
            "rating",
            "records",
            "spares",
            "standards",
            "units",
        ],
    ),
    ("history", &["figures", "findings"]),
    (
        "report",
        &[
            "figures",
            "findings",
            "fit",
            "gearing",
            "history",
            "policy",
            "rating",
            "records",
            "spares",
            "standards",
            "units",
        ],
    ),
    ("template", &["policy", "records", "standards", "units"]),
    (
        "cli",
        &[
            "figures",
            "findings",
            "fit",
            "gearing",
            "history",
            "intake",
            "policy",
            "rating",
            "records",
            "report",
            "spares",
            "standards",
            "template",
            "units",
            "workbook",
        ],
    ),
];

/// Each outside crate and the rooms that may name it.
const DOORS: &[(&str, &[&str])] = &[
    ("calamine::", &["workbook"]),
    ("rust_xlsxwriter::", &["report", "template"]),
    ("clap::", &["cli"]),
    ("polars::", &["figures"]),
    ("csv::", &["workbook", "figures"]),
];

/// What is against the plan in one file of a room.
fn broken(room: &str, allowed: &[&str], file: &Path, text: &str) -> Vec<String> {
    let mut out = Vec::new();
    let lines = (1..).zip(text.lines());
    for (number, line) in lines.filter(|(_, line)| !line.trim_start().starts_with("//")) {
        let mut say = |what: String| out.push(format!("{}:{number}: {what}", file.display()));
        if line.contains("crate::{") || line.contains("super::super") {
            say("name one room per `use`".into());
        }
        for (krate, rooms) in DOORS {
            let named = line.match_indices(krate).any(|(at, _)| {
                !line[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':')
            });
            if named && !rooms.contains(&room) {
                say(format!("`{room}` uses `{krate}`"));
            }
        }
        for (other, _) in PLAN {
            let used = line.contains(&format!("crate::{other}::"))
                || line.contains(&format!("crate::{other};"));
            if used && *other != room && !allowed.contains(other) {
                say(format!("`{room}` uses `{other}`"));
            }
        }
    }
    out
}

#[test]
fn rooms_look_only_where_the_plan_allows() {
    let mut all = Vec::new();
    for (room, allowed) in PLAN {
        for file in rust_files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(room)) {
            let text = fs::read_to_string(&file).unwrap();
            all.extend(broken(room, allowed, &file, &text));
        }
    }
    assert!(all.is_empty(), "against the plan:\n{}", all.join("\n"));
}

#[test]
fn the_plan_test_sees_what_is_planted() {
    let planted =
        "use crate::report::Material;\nuse calamine::Data;\nuse crate::{units, findings};\n";
    assert_eq!(broken("rating", &["units"], Path::new("planted.rs"), planted).len(), 3);
}

#[test]
fn every_room_is_in_the_plan() {
    let mut rooms: Vec<String> = fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("src"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.is_dir())
        .map(|p| p.file_name().unwrap().to_string_lossy().into_owned())
        .collect();
    let mut planned: Vec<String> = PLAN.iter().map(|(room, _)| (*room).to_owned()).collect();
    rooms.sort();
    planned.sort();
    assert_eq!(rooms, planned);
}

/// A code that nothing reports would promise what does not happen.
#[test]
fn every_finding_code_is_reported_somewhere() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let register = fs::read_to_string(src.join("findings/codes.rs")).unwrap();
    let code: String = rust_files(&src)
        .iter()
        .filter(|f| !f.ends_with("findings/codes.rs"))
        .map(|f| fs::read_to_string(f).unwrap())
        .collect();
    let names: Vec<&str> = register
        .lines()
        .filter_map(|line| line.trim().split_once(" \"").map(|(name, _)| name))
        .filter(|name| !name.is_empty() && name.chars().all(|c| c.is_ascii_uppercase() || c == '_'))
        .collect();
    assert_eq!(names.len(), sparemesh::findings::CODES.len());
    for name in names {
        assert!(code.contains(&format!("name::{name}")), "{name} is reported nowhere");
    }
}

fn rust_files(dir: &Path) -> Vec<std::path::PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(rust_files(&path));
        } else if path.extension().is_some_and(|ext| ext == "rs") {
            files.push(path);
        }
    }
    files
}
