//! A figure of the month: what it is, how it is worked out and shown, and the list of all of them.

use super::{cover, data, stock, waits};
use crate::findings::Finding;
use crate::policy::Policy;
use crate::rating::Rated;
use crate::records::Plant;
use crate::spares::Plan;

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
    /// A plain number of which small parts matter.
    Fine,
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

/// What a figure belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Which positions have a spare.
    Cover,
    /// How long positions wait, and what that costs.
    Waiting,
    /// What lies on the shelf, and what it costs.
    Stock,
    /// What the figures rest on.
    Data,
}

impl Part {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Cover => "Who has a spare",
            Self::Waiting => "Waiting and risk",
            Self::Stock => "Shelf and money",
            Self::Data => "Drives and data",
        }
    }
}

/// One figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Stable name in the history.
    pub key: &'static str,
    /// What it is, in words.
    pub label: &'static str,
    /// How it is worked out.
    pub means: &'static str,
    /// What it belongs to.
    pub part: Part,
    /// The value; none where it is not known.
    pub value: Option<f64>,
    /// How it is shown.
    pub form: Form,
    /// Which way is better.
    pub better: Better,
}

/// What a figure is called and how it is worked out.
pub(super) type Named = (&'static str, &'static str, &'static str);

/// Figures of one part, in the order shown.
pub(super) struct Block {
    part: Part,
    figures: Vec<Figure>,
}

impl Block {
    pub(super) const fn new(part: Part) -> Self {
        Self { part, figures: Vec::new() }
    }

    /// Adds a figure by its key, label and meaning.
    pub(super) fn add(
        &mut self,
        (key, label, means): Named,
        value: impl Into<Option<f64>>,
        form: Form,
        better: Better,
    ) {
        let value = value.into().filter(|v| v.is_finite());
        self.figures.push(Figure { key, label, means, part: self.part, value, form, better });
    }

    pub(super) fn done(self) -> Vec<Figure> {
        self.figures
    }
}

/// What the figures of a month are drawn from.
#[derive(Clone, Copy)]
pub struct Given<'a> {
    /// The plant.
    pub plant: &'a Plant,
    /// The policy.
    pub policy: &'a Policy,
    /// Required against installed.
    pub rated: &'a [Rated],
    /// The plan.
    pub plan: &'a Plan,
    /// What was found.
    pub findings: &'a [Finding],
}

impl Given<'_> {
    /// Positions that run: idle and retired ones ask for nothing.
    pub(super) fn running(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.plant.positions.len()).filter(|p| self.plant.positions[*p].runs())
    }
}

/// The figures of the month, in the order shown.
#[must_use]
pub fn figures(given: Given<'_>) -> Vec<Figure> {
    let blocks = [cover::figures, waits::figures, stock::figures, data::figures];
    blocks.into_iter().flat_map(|block| block(given)).collect()
}

/// `part` of `whole`; none of nothing.
pub(super) fn share(part: f64, whole: f64) -> Option<f64> {
    (whole > 0.0).then(|| part / whole)
}
