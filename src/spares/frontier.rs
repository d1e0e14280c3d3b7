//! Money against risk: the best that buying more units does, and what a budget buys.

use super::budget::{Bought, spend};
use super::marginal::{Stocked, walk};
use super::mending::rebuilt;
use super::plan::Plan;
use super::pool::Pool;
use crate::policy::Policy;

impl Stocked for Pool {
    fn price(&self) -> f64 {
        if self.orderable { self.input.unit_value } else { 0.0 }
    }

    /// As things stand its positions may draw on other units, so they never wait longer than today.
    fn waits(&self, more: u32) -> f64 {
        if more == 0 {
            return self.waiting_today;
        }
        let then = self.have.with(f64::from(more)).expect(&|s| self.input.with(s).waiting);
        then.min(self.waiting_today)
    }
}

/// A pool after every inspection and rebuild that the plan asks for, from where buying goes on.
struct Proven<'a> {
    pool: &'a Pool,
    there: u32,
}

impl Stocked for Proven<'_> {
    fn price(&self) -> f64 {
        self.pool.price()
    }

    fn waits(&self, more: u32) -> f64 {
        let then = self.pool.input.with(self.there + more).waiting;
        then.min(self.pool.waiting_today)
    }
}

/// A point of money against risk.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrontierPoint {
    /// Units bought beyond today's shelf.
    pub bought: usize,
    /// Money spent on them.
    pub spent: f64,
    /// Waiting of all positions a year then.
    pub waiting: f64,
    /// What the last unit saves a year for each unit of money.
    pub gain: f64,
}

impl Plan {
    /// What a budget buys best, once what the plan asks to inspect and rebuild is done: units of each pool, with a
    /// bound. Nothing is bought that saves less than it costs a year.
    #[must_use]
    pub fn within(&self, budget: f64, policy: &Policy) -> Bought {
        let pools: Vec<Proven<'_>> = self
            .pools
            .iter()
            .map(|pool| {
                let kind = &self.coverage.types[pool.spare];
                let there = kind.stock_position() + rebuilt(kind, pool) - f64::from(pool.owed);
                Proven { pool, there: there.max(0.0) as u32 }
            })
            .collect();
        spend(&pools, budget, policy.holding() + 1.0 / policy.write_off_years)
    }
}

/// Points shown of money against risk.
const POINTS: usize = 40;

/// The walk from today's shelf on, thinned to points that a chart can show: `today` as things stand, and what waits
/// outside of all pools whatever is bought.
pub(super) fn frontier(pools: &[Pool], today: f64, unserved: f64) -> Vec<FrontierPoint> {
    // Beyond a hundredth of a unit saved a year for a unit of money nobody buys.
    let steps = walk(pools, |next, _| next.gain < 0.01);
    let every = steps.len().div_ceil(POINTS).max(1);
    let start = FrontierPoint { bought: 0, spent: 0.0, waiting: today, gain: f64::NAN };
    let last = steps.len();
    let points = steps.into_iter().enumerate().map(|(at, step)| FrontierPoint {
        bought: at + 1,
        spent: step.spent,
        waiting: step.waiting + unserved,
        gain: step.gain,
    });
    let shown = points.filter(|point| point.bought % every == 0 || point.bought == last);
    std::iter::once(start).chain(shown).collect()
}
