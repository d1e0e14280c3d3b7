//! A month of a year.

use crate::records::Plant;

/// A month, as `2026-10`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Month {
    /// Year.
    pub year: i16,
    /// Month, 1 to 12.
    pub month: i8,
}

impl Month {
    /// Reads `2026-10`.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let (year, month) = text.trim().split_once('-')?;
        if year.len() != 4 || month.len() != 2 {
            return None;
        }
        let (year, month) = (year.parse().ok()?, month.parse().ok()?);
        (1..=12).contains(&month).then_some(Self { year, month })
    }

    /// The month of the newest dated event.
    #[must_use]
    pub fn newest(plant: &Plant) -> Option<Self> {
        let date = plant.newest_event()?;
        Some(Self { year: date.year(), month: date.month() })
    }

    /// The month before.
    #[must_use]
    pub const fn before(self) -> Self {
        if self.month == 1 {
            Self { year: self.year - 1, month: 12 }
        } else {
            Self { year: self.year, month: self.month - 1 }
        }
    }
}

impl std::fmt::Display for Month {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:04}-{:02}", self.year, self.month)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_are_read_and_count_back_over_the_year() {
        let month = Month::read("2026-01").expect("a month");
        assert_eq!(month.before().to_string(), "2025-12");
        for text in ["2026-13", "2026-1", "26-10", "October"] {
            assert_eq!(Month::read(text), None, "{text}");
        }
    }
}
