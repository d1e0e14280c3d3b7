//! The figures of one month.

use crate::findings::{Finding, Severity};
use crate::policy::Policy;
use crate::rating::Rated;
use crate::records::Plant;
use crate::spares::{Action, Plan, RateFrom};

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
        let date = plant.events.iter().filter_map(|e| e.date()).max()?;
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

/// How a figure is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Money.
    Money,
    /// A count.
    Count,
    /// A share.
    Share,
    /// A plain number.
    Number,
}

/// Which way is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Better {
    /// More is better.
    More,
    /// Less is better.
    Less,
    /// Neither.
    Neither,
}

/// One figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Stable name in the history.
    pub key: &'static str,
    /// What it is, in words.
    pub label: &'static str,
    /// The value.
    pub value: f64,
    /// How it is shown.
    pub form: Form,
    /// Which way is better.
    pub better: Better,
}

/// The figures of the month, in the order shown.
#[must_use]
pub fn figures(
    plant: &Plant,
    policy: &Policy,
    rated: &[Rated],
    plan: &Plan,
    findings: &[Finding],
) -> Vec<Figure> {
    let mut out = Vec::new();
    let mut add =
        |key, label, value, form, better| out.push(Figure { key, label, value, form, better });
    let positions = running(plant).count() as f64;
    let covered = positions - plan.no_cover.len() as f64;
    let released = |f: &dyn Fn(&crate::spares::Line) -> f64| -> f64 {
        plan.lines.iter().filter(|l| l.action == Action::Release).map(f).sum()
    };
    let book = released(&|l| l.value.unwrap_or(0.0));
    add("positions", "Positions that run", positions, Form::Count, Better::Neither);
    add("covered", "Positions with a ready spare on the shelf", covered, Form::Count, Better::More);
    add(
        "waiting_cost",
        "Risk: expected cost of waiting for spares, a year",
        plan.waiting_cost,
        Form::Money,
        Better::Less,
    );
    add(
        "waiting_without",
        "The same without any spare, a year",
        plan.waiting_without,
        Form::Money,
        Better::Neither,
    );
    add("stock_value", "Value of the shelf", plan.stock_value, Form::Money, Better::Less);
    add("holding_cost", "Cost of holding it, a year", plan.holding_cost, Form::Money, Better::Less);
    add(
        "release_book",
        "Proposed releases, book value written off",
        book,
        Form::Money,
        Better::Neither,
    );
    let cash = book * policy.salvage;
    add(
        "release_cash",
        "Proposed releases, what they bring in",
        cash,
        Form::Money,
        Better::Neither,
    );
    let expected: f64 = running(plant).map(|p| plan.demand.mean_rate(p)).sum();
    add(
        "expected_demand",
        "Units expected to be exchanged, a year",
        expected,
        Form::Number,
        Better::Neither,
    );
    add(
        "fill",
        "Chance that the next failure finds a spare on the shelf",
        fill(plant, plan),
        Form::Share,
        Better::More,
    );
    let short = rated.iter().filter(|r| r.is_overworked()).count() as f64;
    add("overworked", "Overworked positions", short, Form::Count, Better::Less);
    let default = running(plant).filter(|p| plan.demand.rate(*p).from == RateFrom::Default).count();
    add(
        "default_rates",
        "Positions whose rate rests on the policy's default",
        default as f64,
        Form::Count,
        Better::Less,
    );
    let errors = findings.iter().filter(|f| f.severity == Severity::Error).count() as f64;
    add("errors", "Errors in the data", errors, Form::Count, Better::Less);
    out
}

/// Positions that run: idle and retired ones ask for nothing.
fn running(plant: &Plant) -> impl Iterator<Item = usize> {
    (0..plant.positions.len()).filter(|p| plant.positions[*p].runs())
}

/// Demand-weighted fill rate with today's stock; positions that nothing on the shelf serves count as unmet.
fn fill(plant: &Plant, plan: &Plan) -> f64 {
    let all: f64 = running(plant).map(|p| plan.demand.mean_rate(p)).sum();
    let met: f64 = running(plant).map(|p| plan.demand.mean_rate(p) * plan.fill_today[p]).sum();
    if all > 0.0 { met / all } else { 0.0 }
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
