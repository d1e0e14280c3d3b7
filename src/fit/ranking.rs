//! Ranks candidates: running again soonest, and the right unit to order.

use super::candidate::{
    Candidate, Candidates, From, catalogue_candidates, position_candidates, shelf_candidates,
};
use super::case::Case;
use super::gate::{GateOutcome, GateResult};
use super::gates::condition::{Standing, standing};
use super::survey::{Brief, finest, soonest};
use super::verdict::{Assessed, Verdict, assess, covers};
use crate::records::{Field, alike};

/// For how many candidates of a list it is worked out who is left without cover.
const BARES_FOR: usize = 5;

/// A miss by less than this is worth telling (the same logarithm).
const NEAR_MISS: f64 = 0.30;

/// A candidate with its verdict, hours and money.
#[derive(Clone, Debug)]
pub struct Ranked<'a> {
    /// The candidate.
    pub candidate: Candidate<'a>,
    /// All gates and the verdict.
    pub assessed: Assessed,
    /// Hours until the machine turns: fetch, change, work, and for an order the lead time.
    pub hours: f64,
    /// Days until it comes, where it must be ordered.
    pub lead_days: Option<f64>,
    /// Work, and for an order the price.
    pub cost: Option<f64>,
    /// Reserved for another tag, or none left.
    pub not_available: Option<String>,
    /// Positions that are left without any cover if this one is taken.
    pub bares: Vec<String>,
    /// Positions that are then left with units alone that nobody has inspected within the policy's interval.
    pub last_ready_of: Vec<String>,
}

/// Both rankings for one position.
#[derive(Clone, Debug, Default)]
pub struct Ranking<'a> {
    /// From shelf and idle positions, soonest first; only what may go in.
    pub soonest: Vec<Ranked<'a>>,
    /// From the catalogue, by verdict, lead time, cost.
    pub to_order: Vec<Ranked<'a>>,
    /// What a measurement or a responsible person could still let in.
    pub open: Vec<Ranked<'a>>,
    /// What failed one gate only.
    pub near_misses: Vec<Ranked<'a>>,
    /// How many candidates were looked at.
    pub looked_at: usize,
}

/// Ranks every candidate for `case`.
#[must_use]
pub fn rank<'a>(case: &Case<'a>) -> Ranking<'a> {
    let mut all: Vec<Ranked<'a>> = Vec::new();
    let mut looked_at = 0;
    let near =
        shelf_candidates(case.plant).into_iter().chain(position_candidates(case.plant, case.index));
    for candidate in near.chain(catalogue_candidates(case.plant)) {
        looked_at += 1;
        if !worth_a_look(case, &candidate) {
            continue;
        }
        let assessed = assess(case, &candidate);
        all.push(ranked(case, candidate, assessed));
    }
    let mut ranking = Ranking { looked_at, ..Ranking::default() };
    for entry in all {
        let orders = matches!(entry.candidate.from, From::Catalogue(_));
        match entry.assessed.verdict {
            Verdict::No if failures(&entry) <= 1 => {
                ranking.near_misses.push(entry);
            }
            Verdict::No => {}
            _ if orders => ranking.to_order.push(entry),
            Verdict::Measure | Verdict::Refer => ranking.open.push(entry),
            _ => ranking.soonest.push(entry),
        }
    }
    sort(&mut ranking);
    let shown =
        ranking.soonest.iter_mut().take(BARES_FOR).chain(ranking.open.iter_mut().take(BARES_FOR));
    tell_bares(case, shown.collect());
    ranking
}

/// One candidate for `case`, with hours, money and who is left without cover.
#[must_use]
pub fn appraise<'a>(case: &Case<'a>, candidate: Candidate<'a>) -> Ranked<'a> {
    let assessed = assess(case, &candidate);
    let mut one = ranked(case, candidate, assessed);
    tell_bares(case, vec![&mut one]);
    one
}

/// Works out who is left without cover if a unit of the shelf is taken.
fn tell_bares<'a>(case: &Case<'a>, mut shown: Vec<&mut Ranked<'a>>) {
    shown.retain(|r| matches!(r.candidate.from, From::Shelf(_)));
    if shown.is_empty() {
        return;
    }
    let others: Vec<Case<'_>> = (0..case.plant.positions.len())
        .filter(|index| *index != case.index && case.plant.positions[*index].runs())
        .map(|index| Case::new(case.plant, case.policy, index))
        .collect();
    for entry in shown {
        (entry.bares, entry.last_ready_of) = bares(&others, case, &entry.candidate);
    }
}

/// The best `count` of `candidates` for `case`, by verdict, then what is at hand, then hours.
#[must_use]
pub fn best<'a>(case: &Case<'a>, candidates: &Candidates<'a>, count: usize) -> Vec<Ranked<'a>> {
    finest(case, candidates, count).iter().map(|brief| in_full(case, candidates, brief)).collect()
}

/// The unit that can turn soonest of those that are here, on the shelf or at an idle position, and may go in.
#[must_use]
pub fn soonest_at_hand<'a>(case: &Case<'a>, candidates: &Candidates<'a>) -> Option<Ranked<'a>> {
    soonest(case, candidates, Verdict::StopGap, |_| true)
        .map(|brief| in_full(case, candidates, &brief))
}

/// The ready unit on the shelf that can turn soonest of those that cover.
#[must_use]
pub fn soonest_ready<'a>(case: &Case<'a>, candidates: &Candidates<'a>) -> Option<Ranked<'a>> {
    let is_ready = |from| matches!(from, From::Shelf(line) if standing(case.plant, case.policy, line) == Standing::Ready);
    soonest(case, candidates, Verdict::Adapt, is_ready)
        .map(|brief| in_full(case, candidates, &brief))
}

fn in_full<'a>(case: &Case<'a>, candidates: &Candidates<'a>, brief: &Brief) -> Ranked<'a> {
    let candidate = candidates.at(brief.candidate);
    ranked(case, candidate.clone(), assess(case, candidate))
}

fn sort(ranking: &mut Ranking<'_>) {
    let taken = |r: &Ranked<'_>| r.not_available.is_some();
    ranking.soonest.sort_by(|a, b| {
        (taken(a), a.hours, a.assessed.verdict)
            .partial_cmp(&(taken(b), b.hours, b.assessed.verdict))
            .unwrap_or(std::cmp::Ordering::Equal)
            .then_with(|| a.candidate.id.cmp(&b.candidate.id))
    });
    let by_order = |a: &Ranked<'_>, b: &Ranked<'_>| {
        (a.assessed.verdict, a.assessed.best, a.hours, a.cost.unwrap_or(f64::MAX))
            .partial_cmp(&(
                b.assessed.verdict,
                b.assessed.best,
                b.hours,
                b.cost.unwrap_or(f64::MAX),
            ))
            .unwrap_or(std::cmp::Ordering::Equal)
            .then_with(|| a.candidate.id.cmp(&b.candidate.id))
    };
    ranking.to_order.sort_by(by_order);
    ranking.open.sort_by(by_promise);
    ranking.near_misses.sort_by(|a, b| {
        (a.candidate.from.word() == "catalogue", a.hours)
            .partial_cmp(&(b.candidate.from.word() == "catalogue", b.hours))
            .unwrap_or(std::cmp::Ordering::Equal)
            .then_with(|| a.candidate.id.cmp(&b.candidate.id))
    });
}

/// The order in which what is open is looked at: what is free, the unit itself before others, what may come of it, and how
/// little there is to measure.
#[must_use]
pub fn by_promise(a: &Ranked<'_>, b: &Ranked<'_>) -> std::cmp::Ordering {
    let key = |r: &Ranked<'_>| {
        let (taken, other) = (r.not_available.is_some(), !r.assessed.identical);
        (taken, r.assessed.verdict, other, r.assessed.best, measures(r))
    };
    key(a).cmp(&key(b)).then_with(|| a.candidate.id.cmp(&b.candidate.id))
}

/// Puts what must be measured first, and is here, in the order in which `substitute` asks for it.
pub fn as_asked_for(found: &mut [Ranked<'_>]) {
    let to_measure = |r: &Ranked<'_>| {
        r.assessed.verdict == Verdict::Measure && !matches!(r.candidate.from, From::Catalogue(_))
    };
    let first = found.iter().position(to_measure).unwrap_or(found.len());
    let here = found[first..].iter().take_while(|r| to_measure(r)).count();
    found[first..first + here].sort_by(by_promise);
}

/// How many things must be measured.
fn measures(ranked: &Ranked<'_>) -> usize {
    ranked
        .assessed
        .gates
        .iter()
        .filter(|g| g.outcome == GateOutcome::Unknown)
        .map(|g| g.measure.len())
        .sum()
}

fn failures(ranked: &Ranked<'_>) -> usize {
    ranked.assessed.gates.iter().filter(|g| g.outcome == GateOutcome::Fail).count()
}

/// A catalogue model is looked at gate by gate only if its ratio could serve.
fn worth_a_look(case: &Case<'_>, candidate: &Candidate<'_>) -> bool {
    let (Some(wanted), Some(ratio)) = (case.duty.wanted_rpm, candidate.unit.ratio()) else {
        return true;
    };
    case.output_rpm_with(ratio).is_none_or(|n2| {
        let off = (n2 / wanted).ln().abs();
        off < NEAR_MISS || case.serves.hold(ratio)
    })
}

/// Hours until the machine turns: fetch, change, the work of the gates, and for an order the lead time.
pub(super) fn hours_until(case: &Case<'_>, candidate: &Candidate<'_>, gates: &[GateResult]) -> f64 {
    let work = gates.iter().flat_map(|g| &g.work).map(|w| w.hours).sum();
    hours_from(case, candidate, work)
}

/// The same from the hours of `work`.
pub(super) fn hours_from(case: &Case<'_>, candidate: &Candidate<'_>, work: f64) -> f64 {
    let policy = case.policy;
    let lead = candidate.lead_days(policy) * 24.0;
    // What stands at another position is taken off there first.
    let removal = match candidate.from {
        From::Position(_) => policy.hours.change_unit,
        _ => 0.0,
    };
    policy.hours.fetch + policy.hours.change_unit + removal + work + lead
}

fn ranked<'a>(case: &Case<'a>, candidate: Candidate<'a>, assessed: Assessed) -> Ranked<'a> {
    let policy = case.policy;
    let work: Vec<_> = assessed.gates.iter().flat_map(|g| &g.work).collect();
    let hours = hours_until(case, &candidate, &assessed.gates);
    let labour = policy.hours.change_unit * policy.cost_per_hour_of_work;
    let work_cost: f64 = work.iter().map(|w| w.cost).sum();
    let price = match candidate.from {
        From::Catalogue(_) => candidate.unit.number(Field::price).map(|k| k.value),
        _ => Some(0.0),
    };
    let not_available = unavailable(case, &candidate);
    let orders = matches!(candidate.from, From::Catalogue(_));
    Ranked {
        lead_days: orders.then(|| candidate.lead_days(policy)),
        cost: price.map(|price| price + labour + work_cost),
        candidate,
        assessed,
        hours,
        not_available,
        bares: Vec::new(),
        last_ready_of: Vec::new(),
    }
}

pub(super) fn unavailable(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<String> {
    if let From::Position(index) = candidate.from {
        if index == case.index {
            return Some("it is the unit that stands there itself".into());
        }
        let other = &case.plant.positions[index];
        return other.runs().then(|| {
            format!("it runs at {}: taking it stops that machine", other.tag().unwrap_or("?"))
        });
    }
    let From::Shelf(line) = candidate.from else { return None };
    let shelf = &case.plant.shelf[line];
    if shelf.quantity().is_none() {
        return Some("how many are on the shelf is not given".into());
    }
    if candidate.free(case.plant) < 1.0 {
        return Some("none on the shelf".into());
    }
    let reserved = shelf.reserved_for()?;
    (!alike(reserved, case.tag())).then(|| format!("reserved for {reserved}"))
}

/// Tags whose only cover on the shelf is this line, and those whose only ready cover it is.
fn bares(
    cases: &[Case<'_>],
    asked: &Case<'_>,
    candidate: &Candidate<'_>,
) -> (Vec<String>, Vec<String>) {
    let plant = asked.plant;
    let From::Shelf(line) = candidate.from else { return (Vec::new(), Vec::new()) };
    if candidate.free(plant) >= 2.0 {
        return (Vec::new(), Vec::new());
    }
    let others: Vec<Candidate<'_>> = shelf_candidates(plant)
        .into_iter()
        .filter(|c| c.from != From::Shelf(line) && c.free(plant) >= 1.0)
        .collect();
    let is_ready = |c: &Candidate<'_>| matches!(c.from, From::Shelf(line) if standing(plant, asked.policy, line) == Standing::Ready);
    let serves = |case: &Case<'_>, c| worth_a_look(case, c) && covers(case, c).is_some();
    let (mut bare, mut last_ready) = (Vec::new(), Vec::new());
    for case in cases.iter().filter(|case| serves(case, candidate)) {
        let left = || others.iter().filter(|c| serves(case, c));
        if left().next().is_none() {
            bare.push(case.tag().to_owned());
        } else if is_ready(candidate) && !left().any(is_ready) {
            last_ready.push(case.tag().to_owned());
        }
    }
    (bare, last_ready)
}
