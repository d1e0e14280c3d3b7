//! Which files a path means: a file itself, or a folder one level deep in name order.

use std::path::{Path, PathBuf};

use super::{OpenError, is_own_report, said, shown_path};
use crate::findings::{Finding, Place, name};

const ENDINGS: [&str; 8] = ["xlsx", "xlsm", "xlsb", "xls", "ods", "csv", "tsv", "txt"];

/// The files to read, and those left out with a note.
#[derive(Debug, Default)]
pub struct Listing {
    /// Files in name order, in which they are read, with the names for findings.
    pub files: Vec<(PathBuf, String)>,
    /// What was left out.
    pub findings: Vec<Finding>,
    /// The first folder named; `policy.toml` and `columns.toml` are looked for there.
    pub folder: Option<PathBuf>,
    /// Whether every path was a folder, so that one bad file does not stop the run.
    pub from_folder: bool,
}

/// Lists the spreadsheets that `paths` mean.
///
/// # Errors
/// When a path is missing, or a folder holds no spreadsheet.
pub fn list(paths: &[PathBuf]) -> Result<Listing, OpenError> {
    let mut listing = Listing { from_folder: true, ..Listing::default() };
    for path in paths {
        let shown = shown_path(path);
        let fail = |reason: String| OpenError { path: shown.clone(), reason };
        let meta = std::fs::metadata(path).map_err(|e| match e.kind() {
            std::io::ErrorKind::NotFound => fail("no such file or folder".into()),
            _ => fail(said(&e)),
        })?;
        if meta.is_dir() {
            let before = listing.files.len();
            list_folder(path, &mut listing).map_err(|e| fail(said(&e)))?;
            if listing.files.len() == before {
                return Err(fail(
                    "no spreadsheet in this folder (xlsx, xlsm, xlsb, xls, ods, csv, tsv); \
                     name a file, or the folder that holds them"
                        .into(),
                ));
            }
            listing.folder.get_or_insert_with(|| path.clone());
        } else {
            listing.from_folder = false;
            listing.files.push((path.clone(), shown));
            if let Some(parent) = path.parent() {
                let parent = if parent.as_os_str().is_empty() { Path::new(".") } else { parent };
                listing.folder.get_or_insert_with(|| parent.to_owned());
            }
        }
    }
    drop_repeats(&mut listing);
    // The order in which they are named says nothing: the same files give the same answer.
    listing.files.sort_by(|a, b| a.1.cmp(&b.1));
    Ok(listing)
}

/// A file named twice is read once.
fn drop_repeats(listing: &mut Listing) {
    let mut seen = Vec::new();
    let mut notes = Vec::new();
    listing.files.retain(|(path, shown)| {
        let real = std::fs::canonicalize(path).unwrap_or_else(|_| path.clone());
        let again = seen.contains(&real);
        if again {
            let why = "left out: named twice";
            notes.push(Finding::new(&name::LEFT_OUT, Place::file(shown), why));
        }
        seen.push(real);
        !again
    });
    listing.findings.append(&mut notes);
}

fn list_folder(folder: &Path, listing: &mut Listing) -> std::io::Result<()> {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder)?
        .map(|entry| entry.map(|e| e.path()))
        .collect::<Result<_, _>>()?;
    entries.sort();
    for path in entries {
        let shown = shown_path(&path);
        match why_left_out(&path) {
            None => listing.files.push((path, shown)),
            Some("") => {}
            Some(why) => {
                listing.findings.push(Finding::new(&name::LEFT_OUT, Place::file(&shown), why));
            }
        }
    }
    Ok(())
}

/// Why a folder's entry is no input; an empty reason says nothing need be said.
fn why_left_out(path: &Path) -> Option<&'static str> {
    let file = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    if path.is_dir() {
        Some("left out: a subfolder")
    } else if file == "policy.toml" || file == "columns.toml" {
        Some("")
    } else if file.starts_with("~$") {
        Some("left out: a lock file of an open workbook")
    } else if file.starts_with('.') {
        Some("left out: a hidden file")
    } else if !ENDINGS.contains(&ending.as_str()) {
        Some("left out: no spreadsheet")
    } else if ending == "xlsx" && is_own_report(path) {
        Some("left out: a report of this program")
    } else {
        None
    }
}
