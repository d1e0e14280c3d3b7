//! What may be let go: only what a plan at three times the rates would not ask for, with all releases together.

use std::collections::HashMap;

use super::demand::RateFrom;
use super::lines::{Action, Desk, Line, SEVERAL_LINES, Steps};
use super::matching::{SpareType, Undecided};
use super::pool::Pool;
use super::pools::{PoolInput, plan_pool};
use crate::fit::{Case, Standing, standing};
use crate::records::Field;

/// The rate factor at which a release must still hold.
const RELEASE_RATE: f64 = 3.0;

/// A release whose proof is written when all are known.
pub(super) struct Going {
    /// The shelf line.
    line: usize,
    /// Its pool.
    pool: usize,
    /// Positions without a ready spare that could run on one as a stop-gap or once measured.
    stand_ins: Vec<usize>,
}

impl Desk<'_> {
    /// Lets go what is more than would be planned at the higher rate; `false` where nothing goes, with the reason in
    /// the line if a rule forbids it.
    pub(super) fn let_go(
        &self,
        out: &mut Line,
        line: usize,
        (at, pool): (usize, &Pool),
        steps: &mut Steps,
        going: &mut Vec<Going>,
    ) -> bool {
        let unproven = standing(self.base.plant, self.base.policy, line) != Standing::Ready;
        // Only ready units prove a release, so only they count as what stays.
        let ready = self.kind(pool).ready - steps.released[at];
        let surplus = |keep: f64| match unproven {
            false => (ready - keep).floor().min(out.quantity),
            true if ready >= keep => out.quantity,
            true => 0.0,
        };
        let keep = kept(&pool.input, pool);
        if surplus(keep) < 1.0 {
            let (there, planned) =
                (ready + self.kind(pool).unproven, f64::from(pool.planned.stock + pool.owed));
            if there > planned {
                out.reason = more_than_planned(ready, keep, there);
            }
            return false;
        }
        if let Some(why) = self.forbidden(out, line, pool) {
            why.clone_into(&mut out.reason);
            return false;
        }
        let stand_ins = self.stand_ins(pool);
        let keep = kept(&self.with_stand_ins(pool, &stand_ins), pool);
        let surplus = surplus(keep);
        if surplus < 1.0 {
            out.reason = format!(
                "{keep:.0} stay: at three times the rate, and as stop-gaps or once measured for {}",
                self.tags(&stand_ins)
            );
            return false;
        }
        if !unproven {
            steps.released[at] += surplus;
        }
        out.action = Action::Release;
        out.quantity = surplus;
        out.value = self.worth(line, surplus);
        out.benefit = out.value.map(|v| v * self.base.policy.holding());
        going.push(Going { line, pool: at, stand_ins });
        true
    }

    /// Writes the proof of every release, with all of them together: what stays is the same model as what goes, so no
    /// gate can differ between them.
    pub(super) fn prove(&self, going: &[Going], steps: &Steps, lines: &mut [Line]) {
        let decided = lines.iter().enumerate().filter(|(_, l)| !l.rest);
        let at: HashMap<usize, usize> = decided.filter_map(|(at, l)| Some((l.line?, at))).collect();
        for gone in going {
            let pool = &self.pools[gone.pool];
            let kind = self.kind(pool);
            let stays = kind.ready - steps.released[gone.pool];
            let input = self.with_stand_ins(pool, &gone.stand_ins).at_rate(RELEASE_RATE);
            let Some(out) = at.get(&gone.line).map(|at| &mut lines[*at]) else { continue };
            let coming = match kind.on_order {
                c if c > 0.0 => format!("; {c:.0} more on order, which could be cancelled"),
                _ => String::new(),
            };
            out.reason = format!(
                "{:.0} more than would be planned at three times the rate{coming}",
                out.quantity
            );
            let besides = match gone.stand_ins.as_slice() {
                [] => String::new(),
                some => format!(", and as a stop-gap or once measured for {}", self.tags(some)),
            };
            out.covered_by = format!(
                "{stays:.0} ready of the same model after all releases, for {}{besides}; somebody waits {} of the time at three times the rate, allowed {:.0} %",
                self.tags(&pool.positions),
                percent(1.0 - input.with(stays as u32).no_wait),
                100.0 * (1.0 - input.level)
            );
        }
    }

    /// The rules that forbid a release.
    fn forbidden(&self, out: &Line, line: usize, pool: &Pool) -> Option<&'static str> {
        let (plant, kind) = (self.base.plant, self.kind(pool));
        let any = |test: &dyn Fn(usize) -> bool| pool.positions.iter().any(|p| test(*p));
        let suspended = || any(&|p| Case::new(plant, self.base.policy, p).is_suspended());
        if plant.shelf[line].nth > 0 {
            Some(SEVERAL_LINES)
        } else if suspended() {
            Some("it serves a suspended load; always held")
        } else if any(&|p| self.base.demand.rate(p).from == RateFrom::Default) {
            Some(
                "review: more than planned, but the rate rests on less than half of the plant's own data",
            )
        } else if any(&|p| !plant.positions[p].knows(Field::consequence)) {
            Some("review: a position it serves has no consequence class")
        } else if !kind.orderable {
            Some(cannot_come_back(kind))
        } else if out.value.is_none_or(|v| v <= 0.0) {
            Some("review: no value to weigh")
        } else if self.base.policy.holding() <= 0.0 {
            Some("review: more than planned, but holding costs nothing")
        } else {
            None
        }
    }

    /// Positions without a ready spare that could run on this type as a stop-gap, by the engineer's word or once measured,
    /// whether it covers them or not.
    pub(super) fn stand_ins(&self, pool: &Pool) -> Vec<usize> {
        self.base.coverage.undecided[pool.spare].all()
    }

    /// What the pool must serve if others ran on its units as well.
    fn with_stand_ins(&self, pool: &Pool, others: &[usize]) -> PoolInput {
        let mut all = pool.positions.clone();
        all.extend(others);
        all.sort_unstable();
        all.dedup();
        self.base.input(pool.spare, &all)
    }

    /// Who could still take a unit that covers nobody, in words and by name.
    fn could_serve(&self, open: &Undecided) -> (String, String) {
        const AS_IT_IS: &str =
            "as a stop-gap, by the engineer's word or with another motor or drive before it";
        let (mut words, mut names) = (Vec::new(), Vec::new());
        if !open.almost.is_empty() {
            words.push(format!("{} {AS_IT_IS}", open.almost.len()));
            names.push(self.tags(&open.almost));
        }
        if !open.to_measure.is_empty() {
            words.push(format!("{} once measured", open.to_measure.len()));
            names.push(format!("once measured: {}", self.tags(&open.to_measure)));
        }
        let words = words.join("; ");
        (
            format!("review: positions without a ready spare could take it: {words}"),
            names.join("; "),
        )
    }

    pub(super) fn fits_nothing(&self, out: &mut Line, line: usize, kind: &SpareType) {
        let open = self.type_of_line.get(&line).map(|t| &self.base.coverage.undecided[*t]);
        let shelf = &self.base.plant.shelf[line];
        if shelf.nth > 0 {
            out.reason = SEVERAL_LINES.into();
        } else if let Some(open) = open.filter(|open| **open != Undecided::default()) {
            (out.reason, out.covered_by) = self.could_serve(open);
        } else if !kind.orderable {
            cannot_come_back(kind).clone_into(&mut out.reason);
        } else if out.value.is_none_or(|v| v <= 0.0) {
            out.reason = "review: fits no position, but has no value to weigh".into();
        } else {
            out.action = Action::Release;
            out.reason =
                "covers no position, and every position without a ready spare fails a gate with it"
                    .into();
            out.covered_by = "no position draws on it".into();
            out.benefit = out.value.map(|v| v * self.base.policy.holding());
        }
    }
}

/// Why more than planned stays: at three times the rate it would be planned, or too few of it are ready.
fn more_than_planned(ready: f64, keep: f64, there: f64) -> String {
    let but = match keep {
        _ if ready >= keep || there <= keep => {
            format!("at three times the rate {keep:.0} would be")
        }
        one if one <= 1.0 => "none goes before one of them is ready".to_owned(),
        more => format!("none goes before {more:.0} of them are ready"),
    };
    format!("{there:.0} there, more than planned, but {but}")
}

/// What stays of a pool's units: what would be planned at the higher rate, and what stop-gaps are owed.
fn kept(input: &PoolInput, pool: &Pool) -> f64 {
    let enough = plan_pool(&input.at_rate(RELEASE_RATE)).stock;
    f64::from(enough.max(pool.planned.stock)).max(1.0) + f64::from(pool.owed)
}

const fn cannot_come_back(kind: &SpareType) -> &'static str {
    if kind.model.is_some() {
        "review: a discontinued model cannot be bought back"
    } else {
        "review: no catalogue lists it, so nothing says that it can be bought back"
    }
}

/// A small share in words: to a hundredth of a percent.
pub(super) fn percent(share: f64) -> String {
    if share < 5e-5 { "under 0.01 %".to_owned() } else { format!("{:.2} %", 100.0 * share) }
}
