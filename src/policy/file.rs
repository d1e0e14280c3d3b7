//! Reads `policy.toml` and `columns.toml`.

use std::path::Path;

use serde::Deserialize;

use super::{KEYS, Policy};

/// A policy or mapping file that cannot be used.
#[derive(Debug, thiserror::Error)]
#[error("cannot use `{path}`: {reason}")]
pub struct PolicyError {
    path: String,
    reason: String,
}

/// One line of `columns.toml`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mapping {
    /// File name, without folder; blank means any.
    #[serde(default)]
    pub file: String,
    /// Sheet; blank means any.
    #[serde(default)]
    pub sheet: String,
    /// The heading as written, or the column's letters.
    pub column: String,
    /// The field, or `ignore`.
    pub field: String,
    /// The unit, if the heading has none.
    #[serde(default)]
    pub unit: String,
    /// `keep` to refuse ratios recovered from times or dates.
    #[serde(default)]
    pub times: String,
}

/// The mapping file: headings that the program got wrong.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Columns {
    /// One entry a column.
    pub column: Vec<Mapping>,
}

/// Reads a policy; keys left out keep their defaults.
///
/// # Errors
/// When the file cannot be read, or has a key that is not known.
pub fn load(path: &Path) -> Result<Policy, PolicyError> {
    let (text, fail) = read(path)?;
    toml::from_str(&text).map_err(|error| fail(explain(&error, &text)))
}

/// Reads a mapping file.
///
/// # Errors
/// When the file cannot be read, or has a key that is not known.
pub fn load_columns(path: &Path) -> Result<Columns, PolicyError> {
    let (text, fail) = read(path)?;
    toml::from_str(&text).map_err(|error| fail(explain(&error, &text)))
}

fn read(path: &Path) -> Result<(String, impl Fn(String) -> PolicyError), PolicyError> {
    let shown = path.to_string_lossy().replace('\\', "/");
    let fail = move |reason: String| PolicyError { path: shown.clone(), reason };
    match std::fs::read_to_string(path) {
        Ok(text) => Ok((text, fail)),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            Err(fail("no such file".into()))
        }
        Err(error) => Err(fail(error.to_string())),
    }
}

/// One line: where, what, and the nearest known key.
fn explain(error: &toml::de::Error, text: &str) -> String {
    let line =
        error.span().map(|span| text[..span.start.min(text.len())].matches('\n').count() + 1);
    let message = error.message().trim();
    let what = message.split(", expected").next().unwrap_or(message);
    let mut said = match line {
        Some(line) => format!("line {line}: {what}"),
        None => what.to_owned(),
    };
    if let Some(typed) = what.strip_prefix("unknown field `").and_then(|t| t.strip_suffix('`')) {
        let nearest = KEYS
            .iter()
            .map(|key| key.key.rsplit('.').next().unwrap_or(key.key))
            .map(|key| (strsim::normalized_damerau_levenshtein(typed, key), key))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .filter(|(score, _)| *score > 0.6);
        said = said.replace("unknown field", "unknown key");
        if let Some((_, key)) = nearest {
            said.push_str(&format!("; did you mean `{key}`?"));
        }
        said.push_str(" (`sparemesh tables policy` prints every key)");
    }
    said
}
