//! Data to fix: every finding, with a link to its cell.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};

use super::Material;
use super::table::{Cell, LINK_LIMIT, Sheet, Show, column};
use crate::findings::Finding;

pub(super) fn sheet(m: &Material<'_>) -> Sheet {
    let rows = to_work_down(m.findings)
        .into_iter()
        .map(|f| {
            vec![
                Cell::text(f.severity.word()),
                Cell::text(f.code.code),
                Cell::text(&*f.place.file),
                Cell::text(&*f.place.sheet),
                link(f, &m.folder),
                Cell::text(&f.message),
                Cell::text(to_do(f)),
            ]
        })
        .collect();
    Sheet {
        name: "Data to fix",
        says: says(m.findings.len()),
        columns: vec![
            column("Severity", 10.0, Show::Text),
            column("Code", 9.0, Show::Text),
            column("File", 34.0, Show::Text),
            column("Sheet", 18.0, Show::Text),
            column("Cell", 9.0, Show::Text),
            column("What", 70.0, Show::Text),
            column("What to do", 60.0, Show::Text),
        ],
        rows,
        below: None,
    }
}

/// Worst first; what asks for nothing last; then all of one kind together, the kind with most cells first.
fn to_work_down(findings: &[Finding]) -> Vec<&Finding> {
    let mut cells: BTreeMap<&str, usize> = BTreeMap::new();
    for f in findings {
        *cells.entry(f.code.code).or_default() += 1;
    }
    let mut all: Vec<&Finding> = findings.iter().collect();
    let key = |f: &Finding| {
        (f.severity, f.code.cure.starts_with("Nothing"), Reverse(cells[f.code.code]), f.code.code)
    };
    // Those of one kind stay in the order of file, sheet and cell.
    all.sort_by_key(|f| key(f));
    all
}

/// The remedy of its kind, with what this cell in particular may mean.
fn to_do(finding: &Finding) -> String {
    finding.hint.as_ref().map_or_else(
        || finding.code.cure.to_owned(),
        |hint| format!("{} Here: {hint}", finding.code.cure),
    )
}

fn says(findings: usize) -> String {
    let more = if findings > LINK_LIMIT {
        format!("; beyond {LINK_LIMIT} links, the most that a sheet may hold, cells are named only")
    } else {
        String::new()
    };
    format!(
        "Everything that was noticed in the data: worst first, what asks for nothing last in each, all of one kind together. The cell is a link into the workbook (csv files: its address){more}"
    )
}

/// A link to the finding's cell; text files and whole files have none.
fn link(finding: &Finding, folder: &Path) -> Cell {
    let Some(address) = finding.place.address() else { return Cell::Blank };
    let is_text =
        ["csv", "tsv", "txt"].iter().any(|e| finding.place.file.ends_with(&format!(".{e}")));
    match relative(folder, Path::new(&*finding.place.file)) {
        Some(path) if !is_text => {
            let sheet = finding.place.sheet.replace('\'', "''");
            let target = format!("file:///{path}#'{sheet}'!{address}");
            Cell::Link { target, text: address }
        }
        _ => Cell::text(address),
    }
}

/// `to` as seen from `from`, with `/`; `None` where that cannot be said.
fn relative(from: &Path, to: &Path) -> Option<String> {
    if from.is_absolute() != to.is_absolute() {
        return None;
    }
    let parts = |p: &Path| -> Vec<PathBuf> {
        p.components().filter(|c| *c != Component::CurDir).map(|c| c.as_os_str().into()).collect()
    };
    let (from, to) = (parts(from), parts(to));
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    if from[shared..].iter().any(|p| p.as_os_str() == "..") {
        return None;
    }
    let up = std::iter::repeat_n("..".to_owned(), from.len() - shared);
    let down = to[shared..].iter().map(|p| p.to_string_lossy().into_owned());
    Some(up.chain(down).collect::<Vec<_>>().join("/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_are_relative_to_the_workbook() {
        let from = |a: &str, b: &str| relative(Path::new(a), Path::new(b));
        assert_eq!(from("reports", "sample-data/a.xlsx").as_deref(), Some("../sample-data/a.xlsx"));
        assert_eq!(from("", "a.xlsx").as_deref(), Some("a.xlsx"));
        assert_eq!(from("../out", "a.xlsx"), None);
    }
}
