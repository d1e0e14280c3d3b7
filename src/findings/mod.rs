//! Findings: what was noticed in the data, said to the person who can mend it.

mod brief;
mod codes;
mod place;

pub use brief::{in_brief, is_brief};
pub use codes::{CODES, Code, find_code};
pub use place::{Lies, Place, column_letters};

/// Every code by name, for the rooms that make findings.
pub use codes::name;

pub(crate) use brief::words;

/// How serious a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// A cell or row was set aside, or two values contradict each other.
    Error,
    /// Used, but doubtful.
    Warning,
    /// Assumed or recovered.
    Note,
}

impl Severity {
    /// The word printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// Something about the data for a person to see, with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Its stable code, with severity and cure.
    pub code: &'static Code,
    /// Severity here; a code has one, a few are raised by circumstance.
    pub severity: Severity,
    /// Where.
    pub place: Place,
    /// One line: what was found, then what is wanted.
    pub message: String,
    /// What the reader may do, if the program can tell.
    pub hint: Option<String>,
}

impl Finding {
    /// A finding of `code` at `place`.
    #[must_use]
    pub fn new(code: &'static Code, place: Place, message: impl Into<String>) -> Self {
        let message = shortened(message.into());
        Self { code, severity: code.severity, place, message, hint: None }
    }

    /// The same with a hint.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }
}

/// Longer than this a message is no message.
const LONGEST: usize = 600;
/// What is shown of a cell's text in a message that would be longer.
const QUOTED: usize = 80;

/// A message whose quoted texts are cut where the whole would be too long to read; the cell holds them.
fn shortened(message: String) -> String {
    if message.len() <= LONGEST {
        return message;
    }
    let parts: Vec<String> = message
        .split('`')
        .enumerate()
        .map(|(at, part)| match part.char_indices().nth(QUOTED) {
            Some((end, _)) if at % 2 == 1 => format!("{} …", &part[..end]),
            _ => part.to_owned(),
        })
        .collect();
    parts.join("`")
}

impl std::fmt::Display for Finding {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}[{}]: {}", self.severity.word(), self.code.code, self.message)?;
        write!(f, "\n  --> {}", self.place)?;
        if let Some(hint) = &self.hint {
            write!(f, "\n   = hint: {hint}")?;
        }
        Ok(())
    }
}

/// Sorts findings as a reader wants them: worst first, then by place.
pub fn sort(findings: &mut [Finding]) {
    findings.sort_by(|a, b| {
        (a.severity, &a.place, a.code.code, &a.message).cmp(&(
            b.severity,
            &b.place,
            b.code.code,
            &b.message,
        ))
    });
}

/// `1 position`, `3 positions`.
#[must_use]
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_as_long_as_a_book_is_quoted_in_brief() {
        let told = |text: &str| {
            let message = format!("Ratio is `{text}`, not a number");
            Finding::new(&name::NOT_A_NUMBER, Place::default(), message).message
        };
        assert_eq!(told("25 or so"), "Ratio is `25 or so`, not a number");
        let long = told(&"é".repeat(40_000));
        assert_eq!(long, format!("Ratio is `{} …`, not a number", "é".repeat(80)));
    }
}
