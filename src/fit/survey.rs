//! Every position against every candidate: the best few of each, and the rest counted by verdict.

use std::cmp::Ordering;

use rayon::prelude::*;

use super::candidate::{Candidates, From};
use super::case::Case;
use super::ranking::{hours_from, hours_until, unavailable};
use super::verdict::{Verdict, left_by, margin_of, weigh, weigh_until};
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
    found.sort_by(|a, b| in_order(candidates, a, b));
    found.truncate(keep);
    (found, counts)
}

/// By verdict, then what is at hand, then hours; those alike by name.
fn in_order(candidates: &Candidates<'_>, a: &Brief, b: &Brief) -> Ordering {
    let id = |brief: &Brief| &candidates.at(brief.candidate).id;
    (a.verdict, !a.at_hand)
        .cmp(&(b.verdict, !b.at_hand))
        .then(a.hours.total_cmp(&b.hours))
        .then_with(|| id(a).cmp(id(b)))
}

/// The best `keep` of `candidates` in brief, and no more than that: a pair is left as soon as it cannot come
/// among them, so that most are never taken through their gates.
pub(super) fn finest(case: &Case<'_>, candidates: &Candidates<'_>, keep: usize) -> Vec<Brief> {
    let mut hopes: Vec<Brief> = hopes(case, candidates).collect();
    let soonest = |a: &Brief, b: &Brief| {
        (!a.at_hand).cmp(&!b.at_hand).then_with(|| a.hours.total_cmp(&b.hours))
    };
    hopes.sort_by(soonest);
    let mut kept: Vec<Brief> = Vec::with_capacity(keep + 1);
    for hope in hopes {
        let worst = kept.last().filter(|_| kept.len() >= keep).copied();
        let beaten =
            |by: &Brief| worst.is_some_and(|w| in_order(candidates, &w, by) == Ordering::Less);
        let is_late = |w: Brief| w.verdict == hope.verdict && soonest(&w, &hope) == Ordering::Less;
        if keep == 0 || worst.is_some_and(is_late) {
            break;
        }
        if beaten(&hope) {
            continue;
        }
        if let Some(found) = in_brief(|| as_far_as(case, candidates, hope, beaten)) {
            let at = kept.partition_point(|k| in_order(candidates, k, &found) == Ordering::Less);
            kept.insert(at, found);
            kept.truncate(keep);
        }
    }
    kept
}

/// What can be at hand and turning soonest: from the shelf or an idle position, of those that are `wanted`, with no verdict
/// below `worst`.
pub(super) fn soonest(
    case: &Case<'_>,
    candidates: &Candidates<'_>,
    worst: Verdict,
    wanted: impl Fn(From) -> bool,
) -> Option<Brief> {
    let id = |brief: &Brief| &candidates.at(brief.candidate).id;
    let is_here = |hope: &Brief| {
        let from = candidates.at(hope.candidate).from;
        hope.at_hand && !matches!(from, From::Catalogue(_)) && wanted(from)
    };
    let mut first: Option<Brief> = None;
    for hope in hopes(case, candidates).filter(is_here) {
        let sooner = |a: &Brief, b: &Brief| {
            let hours = a.hours.total_cmp(&b.hours);
            hours.then(a.verdict.cmp(&b.verdict)).then_with(|| id(a).cmp(id(b))) == Ordering::Less
        };
        let beaten =
            |by: &Brief| by.verdict > worst || first.is_some_and(|first| sooner(&first, by));
        if let Some(found) = in_brief(|| as_far_as(case, candidates, hope, beaten)) {
            first = Some(found);
        }
    }
    first
}

/// Candidates that do not surely fail, as good as each could be: in as it is, after nothing but the change.
fn hopes(case: &Case<'_>, candidates: &Candidates<'_>) -> impl Iterator<Item = Brief> {
    let own = From::Position(case.index);
    let others = candidates.near(case).filter(move |at| candidates.at(*at).from != own);
    others.map(|at| {
        let candidate = candidates.at(at);
        let at_hand = unavailable(case, candidate).is_none();
        let hours = hours_from(case, candidate, 0.0);
        Brief { candidate: at, verdict: Verdict::DropIn, at_hand, hours, margin: None }
    })
}

/// Takes a pair through its gates as far as it is not `beaten`.
fn as_far_as(
    case: &Case<'_>,
    candidates: &Candidates<'_>,
    hope: Brief,
    beaten: impl Fn(&Brief) -> bool,
) -> Option<Brief> {
    let candidate = candidates.at(hope.candidate);
    let mut so_far = hope;
    let mut work = 0.0;
    let weighed = weigh_until(case, candidate, |result, decides| {
        so_far.verdict = so_far.verdict.max(left_by(result, decides));
        work += result.work.iter().map(|w| w.hours).sum::<f64>();
        // A little less than the hours, whatever the order in which they are added.
        so_far.hours = hours_from(case, candidate, work) * (1.0 - 1e-12);
        beaten(&so_far)
    })?;
    let found = Brief {
        verdict: weighed.verdict,
        hours: hours_until(case, candidate, &weighed.gates),
        margin: margin_of(&weighed.gates),
        ..hope
    };
    (found.verdict != Verdict::No && !beaten(&found)).then_some(found)
}
