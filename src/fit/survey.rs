//! Every position against every candidate: the best few of each, and the rest counted by verdict.

use rayon::prelude::*;

use super::candidate::{Candidates, From};
use super::case::Case;
use super::ranking::{hours_until, unavailable};
use super::verdict::{Verdict, margin_of, weigh};
use crate::findings::in_brief;
use crate::policy::Policy;
use crate::records::Plant;

/// A candidate in brief.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Brief {
    /// Which of the candidates.
    pub candidate: usize,
    /// The verdict.
    pub verdict: Verdict,
    /// Whether one is free to take or to order.
    pub at_hand: bool,
    /// Hours until the machine turns.
    pub hours: f64,
    /// Rated over required torque, where known.
    pub margin: Option<f64>,
}

/// What a position found.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Surveyed {
    /// The best, by verdict, then what is at hand, then hours.
    pub best: Vec<Brief>,
    /// How many of all candidates have each verdict, in the order of [`Verdict::ALL`].
    pub counts: [usize; Verdict::ALL.len()],
}

/// Surveys every position, on every core; the order of the answer is that of the positions.
#[must_use]
pub fn survey(
    plant: &Plant,
    policy: &Policy,
    candidates: &Candidates<'_>,
    keep: usize,
) -> Vec<Surveyed> {
    let one = |index| {
        let (best, counts) = briefs(&Case::new(plant, policy, index), candidates, keep);
        Surveyed { best, counts }
    };
    (0..plant.positions.len()).into_par_iter().map(one).collect()
}

/// The best `keep` of `candidates` in brief, and all of them counted by verdict.
pub(super) fn briefs(
    case: &Case<'_>,
    candidates: &Candidates<'_>,
    keep: usize,
) -> (Vec<Brief>, [usize; Verdict::ALL.len()]) {
    let own = From::Position(case.index);
    let mut found: Vec<Brief> = candidates
        .near(case)
        .map(|at| (at, candidates.at(at)))
        .filter(|(_, candidate)| candidate.from != own)
        .filter_map(|(at, candidate)| {
            let weighed = in_brief(|| weigh(case, candidate))?;
            Some(Brief {
                candidate: at,
                verdict: weighed.verdict,
                at_hand: unavailable(case, candidate).is_none(),
                hours: hours_until(case, candidate, &weighed.gates),
                margin: margin_of(&weighed.gates),
            })
        })
        .filter(|brief| brief.verdict != Verdict::No)
        .collect();
    let mut counts = [0; Verdict::ALL.len()];
    for brief in &found {
        counts[brief.verdict as usize] += 1;
    }
    counts[Verdict::No as usize] = candidates.count_but(own) - found.len();
    let id = |brief: &Brief| &candidates.at(brief.candidate).id;
    found.sort_by(|a, b| {
        (a.verdict, !a.at_hand)
            .cmp(&(b.verdict, !b.at_hand))
            .then(a.hours.total_cmp(&b.hours))
            .then_with(|| id(a).cmp(id(b)))
    });
    found.truncate(keep);
    (found, counts)
}
