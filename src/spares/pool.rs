//! The pools of a plan: one kind of spare, the positions that draw on it, and how many of it they need.

use super::at_hand::AtHand;
use super::plan::{Class, Desk};
use super::pools::{PoolInput, PoolPlan, plan_pool};
use super::today::counts;

/// A pool of the plan.
#[derive(Clone, Debug)]
pub struct Pool {
    /// Index into the coverage's types.
    pub spare: usize,
    /// Its name.
    pub name: String,
    /// Positions that draw on it.
    pub positions: Vec<usize>,
    /// No-wait probability asked for.
    pub level: f64,
    /// What it must serve.
    pub input: PoolInput,
    /// As planned.
    pub planned: PoolPlan,
    /// Units at hand, less what stop-gaps are owed.
    pub have: AtHand,
    /// What its positions cost in waiting a year as things stand, whatever they draw on today.
    pub waiting_today: f64,
    /// Chance that no position waits with today's stock.
    pub no_wait_today: f64,
    /// Positions of it where a stop-gap runs: each is owed one.
    pub owed: u32,
    /// Units to buy.
    pub buy: u32,
    /// The family it belongs to.
    pub family: usize,
    /// Whether more can be bought.
    pub orderable: bool,
    /// As planned, once all of it that can be come by is there.
    pub reached: PoolPlan,
}

impl Pool {
    /// Waiting a year once everything planned that can be come by is there; what stays beyond the plan still serves.
    #[must_use]
    pub fn waiting_then(&self) -> f64 {
        self.reached.waiting.min(self.waiting_today)
    }

    /// Share of the time in which nobody waits then.
    #[must_use]
    pub fn no_wait_then(&self) -> f64 {
        self.reached.no_wait.max(self.no_wait_today)
    }
}

impl Desk<'_> {
    /// The pools of a family, each with what it needs, what is there and what to buy.
    pub(super) fn pools(
        &self,
        classes: &[Class],
        members: &[usize],
        types: &[Option<usize>],
        family: usize,
    ) -> Vec<Pool> {
        let mut used: Vec<usize> = types.iter().filter_map(|t| *t).collect();
        used.sort_unstable();
        used.dedup();
        used.into_iter()
            .map(|spare| {
                let mut positions: Vec<usize> = members
                    .iter()
                    .zip(types)
                    .filter(|(_, t)| **t == Some(spare))
                    .flat_map(|(at, _)| classes[*at].positions.iter().copied())
                    .collect();
                positions.sort_unstable();
                let input = self.input(spare, &positions);
                let planned = plan_pool(&input);
                let kind = &self.coverage.types[spare];
                // A stop-gap in place is a debt: the right unit is spoken for.
                let owed = positions.iter().filter(|p| self.has_stop_gap(**p)).count() as u32;
                let have = counts(self, spare, owed);
                let there = kind.within_reach();
                let missing = (f64::from(planned.stock + owed) - there).max(0.0);
                let most = if kind.orderable { f64::INFINITY } else { there - f64::from(owed) };
                let stock = f64::from(planned.stock).min(most.max(0.0));
                Pool {
                    name: kind.name.clone(),
                    level: input.level,
                    waiting_today: 0.0,
                    reached: input.with(stock as u32),
                    no_wait_today: have.expect(&|s| input.with(s).no_wait),
                    buy: if kind.orderable { missing.ceil() as u32 } else { 0 },
                    spare,
                    positions,
                    input,
                    planned,
                    have,
                    owed,
                    family,
                    orderable: kind.orderable,
                }
            })
            .collect()
    }

    /// The pool that serves each position.
    pub(super) fn pool_of(&self, pools: &[Pool]) -> Vec<Option<usize>> {
        let mut out = vec![None; self.plant.positions.len()];
        for (at, pool) in pools.iter().enumerate() {
            for position in &pool.positions {
                out[*position] = Some(at);
            }
        }
        out
    }
}
