//! Reads `policy.toml` and `columns.toml`.

use std::path::Path;

use serde::Deserialize;

use super::limits::out_of_range;
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
    let policy = toml::from_str(&text).map_err(|error| fail(explain(&error, &text)))?;
    out_of_range(&policy).map_or(Ok(policy), |why| Err(fail(with_line(&why, &text))))
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
        Err(_) if path.is_dir() => Err(fail("it is a folder; name the file in it".into())),
        Err(error) if error.kind() == std::io::ErrorKind::InvalidData => Err(fail(
            "it holds no text in UTF-8; write it anew with a plain text editor (`sparemesh template DIR` gives one to start from)".into(),
        )),
        Err(error) => Err(fail(error.to_string())),
    }
}

/// A refusal that begins with a key, behind the line on which that key stands.
fn with_line(why: &str, text: &str) -> String {
    let key = why.split('`').nth(1).unwrap_or_default();
    let mut section = "";
    for (at, line) in text.lines().enumerate() {
        let line = line.trim();
        if let Some(named) = line.strip_prefix('[').and_then(|l| l.split_once(']')) {
            section = named.0.trim();
        }
        let Some((name, _)) = line.split_once('=') else { continue };
        let name = match (section, name.trim().trim_matches('"')) {
            ("", name) => name.to_owned(),
            (section, name) => format!("{section}.{name}"),
        };
        // A key may stand in a table that is written on one line.
        if name == key || key.strip_prefix(&name).is_some_and(|rest| rest.starts_with('.')) {
            return format!("line {}: {why}", at + 1);
        }
    }
    why.to_owned()
}

/// One line: where, what, and the nearest known key.
fn explain(error: &toml::de::Error, text: &str) -> String {
    let line =
        error.span().map(|span| text[..span.start.min(text.len())].matches('\n').count() + 1);
    let message = error.message().trim();
    if let Some(said) = line.and_then(|line| wrong_value(message, text, line)) {
        return said;
    }
    if let (Some(words), Some(line)) = (message.strip_prefix("unknown variant "), line) {
        let key = text.lines().nth(line - 1).and_then(|l| l.split_once('='));
        let (key, (typed, allowed)) = (
            key.map_or("", |k| k.0.trim()),
            words.split_once(", expected ").unwrap_or((words, "")),
        );
        return format!(
            "line {line}: `{key}` is {typed}; it may be {}",
            allowed.replace("one of ", "")
        );
    }
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

/// A key whose value is missing or of another kind than it takes.
fn wrong_value(message: &str, text: &str, line: usize) -> Option<String> {
    let (key, typed) = text.lines().nth(line - 1)?.split_once('=')?;
    let (key, typed) = (key.trim(), typed.split('#').next().unwrap_or_default().trim());
    if typed.is_empty() {
        return Some(format!("line {line}: `{key}` has no value; give it one or remove the line"));
    }
    if message == "duplicate key" {
        return Some(format!("line {line}: `{key}` stands twice; leave one of the two lines"));
    }
    if message.starts_with("string values must be quoted") {
        return Some(format!("line {line}: `{key}` is text: put it in quotes, as \"{typed}\""));
    }
    let expected = message.strip_prefix("invalid type: ")?.split_once(", expected ")?.1;
    let takes = match expected {
        "f64" | "f32" => "a number",
        "a boolean" => "true or false",
        "a string" => "text in quotes",
        "a sequence" => "a list in [ ]",
        "usize" | "u32" | "u64" | "i64" => "a whole number",
        _ if expected.starts_with("struct") => "keys of its own, each with a dot before it",
        other => other,
    };
    Some(format!("line {line}: `{key}` takes {takes}, not {typed}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A key is found by itself, under its section, with its section before it, and in a table on one line.
    #[test]
    fn a_refusal_names_the_line() {
        let text = "# ours\nhours_blank = 0\n\n[service_levels]\npeople = 2\n[hours]\n oil = -1\n";
        let line = |why: &str, text: &str| {
            let said = with_line(why, text);
            said.strip_prefix("line ").and_then(|s| s.split(':').next()?.parse::<usize>().ok())
        };
        assert_eq!(line("`hours_blank` is 0; …", text), Some(2));
        assert_eq!(line("`service_levels.people` is 2; …", text), Some(5));
        assert_eq!(line("`hours.oil` is -1; …", text), Some(7));
        assert_eq!(line("`hours.oil` is -1; …", "hours.oil = -1"), Some(1));
        assert_eq!(line("`hours.oil` is -1; …", "\nhours = { oil = -1 }"), Some(2));
        assert_eq!(line("`hours.oil` is -1; …", "hours_blank = 3"), None);
    }
}
