//! Positions without a ready spare on the shelf, and why.

use rayon::prelude::*;

use super::lines::{Action, Line};
use super::mending::rebuilt;
use super::negative_binomial::nb_expected_backorders;
use super::plan::Desk;
use super::pool::Pool;
use crate::fit::{
    Candidate, Candidates, Case, From, Gate, Ranked, Standing, Verdict, best, by_promise,
    soonest_at_hand, standing, verdict,
};
use crate::records::Field;

/// A position without a ready spare on the shelf.
#[derive(Clone, Debug)]
pub struct NoCover {
    /// The position.
    pub position: usize,
    /// Expected cost of waiting a year; `None` if not weighed.
    pub risk: Option<f64>,
    /// Why, and what would mend it.
    pub reason: String,
    /// Types that would cover it.
    pub options: Vec<usize>,
    /// What is here and may run meanwhile, with its verdict and hours.
    pub meanwhile: Option<String>,
    /// What to measure, where that alone keeps a spare from covering it.
    pub measure: Option<Measuring>,
}

/// A measurement that may let a spare cover a position.
#[derive(Clone, Debug, PartialEq)]
pub struct Measuring {
    /// The spare.
    pub candidate: String,
    /// What to look at, in order.
    pub what: Vec<String>,
    /// What it saves a year if everything comes out well and one spare serves the position.
    pub saves: Option<f64>,
}

impl Desk<'_> {
    /// `lines` are what was decided of the shelf; positions of the worst class come first.
    pub(super) fn no_cover(
        &self,
        pools: &[Pool],
        lines: &[Line],
        risks: &[Option<f64>],
    ) -> Vec<NoCover> {
        let looked_at = |l: &&Line| l.action == Action::Inspect;
        let inspected: Vec<usize> = lines.iter().filter(looked_at).filter_map(|l| l.line).collect();
        let served = self.pool_of(pools);
        let candidates = Candidates::of(self.plant);
        let mut out: Vec<NoCover> = (0..self.plant.positions.len())
            .into_par_iter()
            .filter(|p| self.plant.positions[*p].runs())
            .filter(|p| self.has_stop_gap(*p) || !self.coverage.has_ready(*p))
            .map(|position| {
                let options = self.coverage.of_position[position].clone();
                let pool = served[position].map(|at| &pools[at]);
                let (reason, measure) = if self.has_stop_gap(position) {
                    (self.owed(position), None)
                } else {
                    self.why_bare(position, &options, pool, &inspected, &candidates)
                };
                let meanwhile = self.meanwhile(position, &candidates);
                NoCover { position, risk: risks[position], reason, options, meanwhile, measure }
            })
            .collect();
        out.sort_by(|a, b| {
            let risk = |n: &NoCover| n.risk.unwrap_or(f64::MAX);
            let milder = |n: &NoCover| self.consequence(n.position) != "people";
            milder(a)
                .cmp(&milder(b))
                .then(risk(b).total_cmp(&risk(a)))
                .then(a.position.cmp(&b.position))
        });
        out
    }

    /// What is here and could run until the right spare is.
    fn meanwhile(&self, position: usize, candidates: &Candidates<'_>) -> Option<String> {
        let case = Case::new(self.plant, self.policy, position);
        let here = soonest_at_hand(&case, candidates).map(|here| {
            let verdict = here.assessed.verdict.word();
            format!("{}: {verdict}, about {:.0} h", here.candidate.id, here.hours)
        });
        here.or_else(|| self.once_rebuilt(&case, candidates))
    }

    /// A unit on the shelf as it was removed, which could go in or serve meanwhile once it is rebuilt.
    fn once_rebuilt(&self, case: &Case<'_>, candidates: &Candidates<'_>) -> Option<String> {
        let as_removed = |line: &usize| {
            standing(self.plant, self.policy, *line) == Standing::AsRemoved
                && self.plant.shelf[*line].quantity().unwrap_or(0.0) >= 1.0
                && !self.plant.shelf[*line].knows(Field::reserved_for)
        };
        let lines = candidates.near_lines(case).filter(as_removed);
        let able = lines.filter_map(|line| {
            let unit = Candidate::of_shelf(self.plant, line)?;
            let id = unit.id.clone();
            let verdict = verdict(case, &unit.once_rebuilt());
            (verdict <= Verdict::StopGap).then_some((verdict, id))
        });
        let (verdict, id) = able.min()?;
        Some(format!("{id}, as removed: {} once rebuilt", verdict.word()))
    }

    /// A stop-gap is a debt: the right unit is still to come.
    fn owed(&self, position: usize) -> String {
        let p = &self.plant.positions[position];
        let overdue = |day: jiff::civil::Date| self.today.is_some_and(|today| day < today);
        let until = p.stop_gap_until().map_or_else(String::new, |d| {
            format!(" until {d}{}", if overdue(d) { ", which has passed" } else { "" })
        });
        let with = p.fitted_as().map_or_else(String::new, |f| format!(" ({f})"));
        format!("a stop-gap runs here{with}{until}: the right unit is owed")
    }

    /// Why neither shelf nor catalogue covers a position: what its best candidate lacks.
    fn why_nothing_fits(
        &self,
        position: usize,
        candidates: &Candidates<'_>,
    ) -> (String, Option<Measuring>) {
        let case = Case::new(self.plant, self.policy, position);
        let Some(best) = best(&case, candidates, 1).into_iter().next() else {
            return ("nothing on the shelf or in the catalogue fits".into(), None);
        };
        let best = match best.assessed.verdict {
            Verdict::Measure => self.worth_measuring(&case, candidates).unwrap_or(best),
            _ => best,
        };
        let id = &best.candidate.id;
        match best.assessed.verdict {
            // A stop-gap is no cover, so it saves nothing here.
            Verdict::Measure if !self.policy.covers(best.assessed.best.word()) => {
                let at_best = best.assessed.best.word();
                (format!("{id} would be {at_best} at best, once measured"), None)
            }
            Verdict::Measure => {
                let open: Vec<&str> = best.assessed.open.iter().map(|g| g.part()).collect();
                let measure = Measuring {
                    candidate: id.clone(),
                    what: best.assessed.to_measure(),
                    saves: self.saved_by_one(position),
                };
                let with = best.assessed.with_ratio();
                (format!("measure {}; then {id} may cover{with}", open.join(", ")), Some(measure))
            }
            Verdict::Refer => (format!("{id} is for the responsible engineer to decide"), None),
            Verdict::StopGap => (format!("{id} would do as a stop-gap only"), None),
            _ => (not_counted(&best), None),
        }
    }

    /// The one of the best that is most worth measuring: it covers if what is open comes out well.
    fn worth_measuring<'b>(
        &self,
        case: &Case<'b>,
        candidates: &Candidates<'b>,
    ) -> Option<Ranked<'b>> {
        /// Candidates looked at; each is taken through all its gates.
        const LOOKED_AT: usize = 20;
        let covers = |r: &Ranked<'_>| {
            r.assessed.verdict == Verdict::Measure && self.policy.covers(r.assessed.best.word())
        };
        let to_order = |r: &Ranked<'_>| matches!(r.candidate.from, From::Catalogue(_));
        let mut able: Vec<Ranked<'b>> =
            best(case, candidates, LOOKED_AT).into_iter().filter(covers).collect();
        // What is here before what must be ordered, and as `substitute` tells it.
        if able.iter().any(|r| !to_order(r)) {
            able.retain(|r| !to_order(r));
            able.sort_by(by_promise);
        }
        able.into_iter().next()
    }

    /// What one spare of its own would save a position a year, before it costs anything.
    fn saved_by_one(&self, position: usize) -> Option<f64> {
        let risk = self.risk_without(position)?;
        let rate = self.demand.rate(position).rate;
        // Without a spare every failure waits; with one only a second failure before it is whole again does.
        let price = self.waiting_price[position]?;
        let exposure = risk / (price * rate.mean()).max(1e-300); // years of it, running time counted
        let left = price * nb_expected_backorders(rate.shape, rate.rate, exposure, 1);
        Some((risk - left).max(0.0))
    }

    fn why_bare(
        &self,
        position: usize,
        options: &[usize],
        pool: Option<&Pool>,
        inspected: &[usize],
        candidates: &Candidates<'_>,
    ) -> (String, Option<Measuring>) {
        let unproven = options.iter().find(|t| self.coverage.types[**t].unproven >= 1.0);
        if let Some(spare) = unproven {
            let kind = &self.coverage.types[*spare];
            let looked_at = kind.lines.iter().any(|l| inspected.contains(l));
            let what = if looked_at { "inspect" } else { "looking costs more than it saves:" };
            return (format!("only an unproven unit on the shelf: {what} {}", kind.name), None);
        }
        if options.is_empty() {
            return self.why_nothing_fits(position, candidates);
        }
        let reason = match pool {
            Some(pool) if pool.buy > 0 => match rebuilt(&self.coverage.types[pool.spare], pool) {
                r if r > 0.0 => format!(
                    "rebuild {r:.0} of {}, which lies on the shelf as removed; then buy {}",
                    pool.name, pool.buy
                ),
                _ => format!("buy {} of {}", pool.buy, pool.name),
            },
            Some(pool) if pool.planned.stock == 0 => self.why_none(position, options),
            Some(pool) if self.coverage.types[pool.spare].coming > 0.0 => {
                format!("{} is on order or at repair", pool.name)
            }
            Some(pool) if self.coverage.types[pool.spare].rebuildable > 0.0 => {
                format!("rebuild {}, which lies on the shelf as removed", pool.name)
            }
            Some(pool) => format!("{} is reserved or not proven", pool.name),
            None => self.why_none(position, options),
        };
        (reason, None)
    }

    /// Why the plan holds no spare for a position that types would cover.
    fn why_none(&self, position: usize, options: &[usize]) -> String {
        let priced = options.iter().any(|t| {
            let kind = &self.coverage.types[*t];
            kind.orderable && kind.value.is_some()
        });
        if self.waiting_price[position].is_none() {
            "the cost of an hour down is not known, so no spare is weighed".into()
        } else if priced {
            "the cost rule says that no spare is worth holding".into()
        } else {
            "no price of a spare is known, so none is weighed".into()
        }
    }
}

/// Why a unit that may go in is no cover: nothing says that the motor or drive it needs is there, or it cannot be had.
fn not_counted(best: &Ranked<'_>) -> String {
    let id = &best.candidate.id;
    let work = best.assessed.gates.iter().filter(|g| g.gate == Gate::Speed).flat_map(|g| &g.work);
    let kinds: Vec<String> = work.map(|w| w.kind.words()).collect();
    if kinds.is_empty() {
        return format!("{id} fits, but is not on the shelf and cannot be ordered");
    }
    let kinds = kinds.join(", ");
    format!(
        "{id} fits only with another motor or drive before it ({kinds}), which is not counted as cover"
    )
}
