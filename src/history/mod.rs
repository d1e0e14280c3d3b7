//! A small snapshot beside each month's workbook, from which later months draw changes and say why.

mod why;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::figures::{Drivers, Figure, Month};

pub use why::{Cause, Moved, why};

/// The figures of one month, kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Snapshot {
    /// Raised when a name changes its meaning.
    pub schema: u32,
    /// The month, as `2026-10`.
    pub month: String,
    /// Currency of the amounts.
    pub currency: String,
    /// The version of the program that wrote it.
    #[serde(default)]
    pub program: String,
    /// Figures by their stable names.
    pub figures: BTreeMap<String, f64>,
    /// The policy that it was made under.
    #[serde(default)]
    pub policy: serde_json::Value,
    /// What the figures rest on; none in the months that the first schema kept.
    #[serde(flatten)]
    pub drivers: Option<Drivers>,
}

/// The schema written by this version; the first one kept figures alone and is read as well.
const SCHEMA: u32 = 2;

/// A snapshot that could not be read or written.
#[derive(Debug, thiserror::Error)]
#[error("cannot {what} `{}`: {reason}", path.display())]
pub struct HistoryError {
    what: &'static str,
    path: PathBuf,
    reason: String,
}

impl Snapshot {
    /// A snapshot of `figures` and what they rest on.
    #[must_use]
    pub fn of(
        month: Month,
        currency: &str,
        figures: &[Figure],
        policy: serde_json::Value,
        drivers: Drivers,
    ) -> Self {
        let known = figures.iter().filter_map(|f| Some((f.key.to_owned(), f.value?)));
        Self {
            schema: SCHEMA,
            month: month.to_string(),
            currency: currency.to_owned(),
            program: env!("CARGO_PKG_VERSION").to_owned(),
            figures: known.collect(),
            policy,
            drivers: Some(drivers),
        }
    }

    /// The file in `folder`/history that it belongs into, and what it will hold; a month kept twice replaces itself.
    ///
    /// # Errors
    /// When the folder cannot be made, or a newer version wrote the file.
    pub fn file(&self, folder: &Path) -> Result<(PathBuf, String), HistoryError> {
        let dir = folder.join("history");
        let path = dir.join(format!("{}.json", self.month));
        let fail = |reason: String| HistoryError { what: "write", path: path.clone(), reason };
        if schema(&path).is_some_and(|schema| schema > u64::from(SCHEMA)) {
            return Err(fail(
                "a newer version wrote it and it is left as it is; use that version, or report into another folder".into(),
            ));
        }
        if dir.is_file() {
            return Err(fail(format!(
                "`{}` is a file; move it away, or report into another folder",
                dir.display()
            )));
        }
        std::fs::create_dir_all(&dir).map_err(|e| fail(e.to_string()))?;
        let text = lines(self).map_err(|e| fail(e.to_string()))?;
        Ok((path, text))
    }
}

/// As JSON with one line for each figure, position and shelf line: small, and two months compare line by line.
fn lines(snapshot: &Snapshot) -> serde_json::Result<String> {
    let mut text = String::from("{\n");
    let serde_json::Value::Object(fields) = serde_json::to_value(snapshot)? else {
        return Ok(text);
    };
    for (at, (name, value)) in fields.iter().enumerate() {
        let end = if at + 1 < fields.len() { ",\n" } else { "\n}\n" };
        text.push_str(&format!("  {}: ", serde_json::to_string(name)?));
        match value {
            serde_json::Value::Object(inner) if !inner.is_empty() => {
                let each: Vec<String> = inner
                    .iter()
                    .map(|(name, value)| {
                        let (name, value) =
                            (serde_json::to_string(name)?, serde_json::to_string(value)?);
                        Ok(format!("    {name}: {value}"))
                    })
                    .collect::<serde_json::Result<_>>()?;
                text.push_str(&format!("{{\n{}\n  }}", each.join(",\n")));
            }
            other => text.push_str(&serde_json::to_string(other)?),
        }
        text.push_str(end);
    }
    Ok(text)
}

/// The newest month kept before `month`; `history` is sorted.
#[must_use]
pub fn newest_before(history: &[Snapshot], month: Month) -> Option<&Snapshot> {
    let month = month.to_string();
    history.iter().rev().find(|s| s.month < month)
}

/// The schema that a file says it has.
fn schema(path: &Path) -> Option<u64> {
    let text = std::fs::read_to_string(path).ok()?;
    serde_json::from_str::<serde_json::Value>(&text).ok()?.get("schema")?.as_u64()
}

/// Every snapshot in `folder`/history in `currency`, oldest first, and a line for each that cannot be used. The
/// month that is being reported is replaced anyway, so its file is not complained about.
#[must_use]
pub fn read(folder: &Path, reported: Month, currency: &str) -> (Vec<Snapshot>, Vec<String>) {
    let Ok(entries) = std::fs::read_dir(folder.join("history")) else {
        return (Vec::new(), Vec::new());
    };
    let (mut out, mut unread) = (Vec::new(), Vec::new());
    let own = format!("{reported}.json");
    let mut paths: Vec<PathBuf> = entries.filter_map(|e| e.ok().map(|e| e.path())).collect();
    paths.sort();
    for path in paths.into_iter().filter(|p| p.extension().is_some_and(|e| e == "json")) {
        let text = std::fs::read_to_string(&path).unwrap_or_default();
        match serde_json::from_str::<Snapshot>(&text) {
            Ok(snapshot) if snapshot.schema <= SCHEMA && snapshot.currency == currency => {
                out.push(snapshot);
            }
            Ok(snapshot) if snapshot.schema <= SCHEMA => unread.push(format!(
                "`{}` is in {}, this report in {currency}: it was passed over",
                path.display(),
                snapshot.currency
            )),
            _ if schema(&path).is_some_and(|schema| schema > u64::from(SCHEMA)) => unread.push(
                format!("`{}` was written by a newer version and was passed over", path.display()),
            ),
            _ if path.file_name().is_some_and(|n| *n == *own) => {}
            _ => unread.push(format!(
                "`{}` cannot be used and was passed over; run that month again to replace it",
                path.display()
            )),
        }
    }
    out.sort_by(|a, b| a.month.cmp(&b.month));
    (out, unread)
}
