//! What goes into a unit before it runs.

use super::candidate::Candidate;
use super::case::Case;
use super::gates::to_fill;

/// The oil to fill, in words.
#[must_use]
pub fn oil_to_fill(case: &Case<'_>, candidate: &Candidate<'_>) -> String {
    to_fill(case, candidate).unwrap_or_else(|| "the grade on its plate".to_owned())
}
