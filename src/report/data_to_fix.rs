//! Data to fix: every finding, with a link to its cell.

use std::path::{Component, Path, PathBuf};

use super::Material;
use super::table::{Cell, LINK_LIMIT, Sheet, Show, column};
use crate::findings::Finding;

pub(super) fn sheet(m: &Material<'_>) -> Sheet {
    let rows = m
        .findings
        .iter()
        .map(|f| {
            vec![
                Cell::text(f.severity.word()),
                Cell::text(f.code.code),
                Cell::text(&*f.place.file),
                Cell::text(&*f.place.sheet),
                link(f, &m.folder),
                Cell::text(&f.message),
                Cell::text(f.hint.as_deref().unwrap_or(f.code.cure)),
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
    }
}

fn says(findings: usize) -> String {
    let more = if findings > LINK_LIMIT {
        format!("; beyond {LINK_LIMIT} links, the most that a sheet may hold, cells are named only")
    } else {
        String::new()
    };
    format!(
        "Everything that was noticed in the data, worst first; the cell is a link into the workbook (csv files: its address){more}"
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
