//! Marginal analysis: the purchase that saves most for its money, again and again.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::poisson::{cdf, expected_backorders};

/// A pool that more can be bought for.
pub trait Stocked {
    /// Price of one unit; nothing is bought at a price of nothing.
    fn price(&self) -> f64;

    /// What waiting costs with `more` units than there are today; falls ever less with each of them.
    fn waits(&self, more: u32) -> f64;

    /// What one unit beyond `more` saves.
    fn saves(&self, more: u32) -> f64 {
        self.waits(more) - self.waits(more + 1)
    }
}

/// A pool of Poisson demand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MarginalPool {
    /// Expected units in resupply.
    pub mean: f64,
    /// Price of one unit.
    pub price: f64,
    /// What one position waiting costs a year; 1 weighs all alike.
    pub weight: f64,
    /// Units that are there already.
    pub have: u32,
}

impl Stocked for MarginalPool {
    fn price(&self) -> f64 {
        self.price
    }

    fn waits(&self, more: u32) -> f64 {
        self.weight * expected_backorders(self.mean, self.have + more)
    }

    /// b · P(D > s), which keeps its digits where the difference would lose them.
    fn saves(&self, more: u32) -> f64 {
        self.weight * above(self.mean, self.have + more)
    }
}

/// P(D > s), by its own tail where 1 − F would lose its digits.
fn above(mean: f64, stock: u32) -> f64 {
    let near = 1.0 - cdf(mean, stock);
    if near > 1e-6 {
        return near;
    }
    expected_backorders(mean, stock) - expected_backorders(mean, stock + 1)
}

/// One purchase of the walk, with what stands after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Purchase {
    /// Which pool.
    pub pool: usize,
    /// How many of it are bought then.
    pub more: u32,
    /// Spent so far.
    pub spent: f64,
    /// Waiting of all pools then.
    pub waiting: f64,
    /// Saved a year for each unit of money.
    pub gain: f64,
}

/// A pool's next purchase on the heap: the best gain first, then the earlier pool.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Next {
    gain: f64,
    pool: usize,
    more: u32,
}

impl Eq for Next {}

impl Ord for Next {
    fn cmp(&self, other: &Self) -> Ordering {
        self.gain.total_cmp(&other.gain).then_with(|| other.pool.cmp(&self.pool))
    }
}

impl PartialOrd for Next {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// Buys one unit after another, each where it saves most for its money, until `stops` says so.
///
/// Every point visited is efficient: nothing as cheap waits less. Between them a budget may buy
/// better; see [`spend`](super::spend).
///
/// # Source
/// Separable and convex, so the greedy walk visits the corners of the lower hull (van Houtum and Kranenburg,
/// *Spare Parts Inventory Control under System Availability Constraints*, 2015, ch. 2; from its summary).
///
/// ```
/// use sparemesh::spares::{MarginalPool, walk};
/// let pool = |mean, price| MarginalPool { mean, price, weight: 1.0, have: 0 };
/// let steps = walk(&[pool(1.0, 5.0), pool(4.0, 1.0)], |next, _| next.spent > 17.0);
/// let bought: Vec<usize> = steps.iter().take(10).map(|s| s.pool + 1).collect();
/// assert_eq!(bought, [2, 2, 2, 2, 2, 2, 1, 2, 1]);
/// ```
#[must_use]
pub fn walk<P: Stocked>(pools: &[P], stops: impl Fn(&Purchase, &P) -> bool) -> Vec<Purchase> {
    let next = |at: usize, more: u32| {
        let pool = &pools[at];
        let gain = pool.saves(more) / pool.price();
        (pool.price() > 0.0 && gain > 0.0).then_some(Next { gain, pool: at, more: more + 1 })
    };
    let mut heap: BinaryHeap<Next> = (0..pools.len()).filter_map(|at| next(at, 0)).collect();
    let mut waiting: f64 = pools.iter().map(|pool| pool.waits(0)).sum();
    let (mut spent, mut steps) = (0.0, Vec::new());
    while let Some(Next { gain, pool, more }) = heap.pop() {
        let price = pools[pool].price();
        let after =
            Purchase { pool, more, spent: spent + price, waiting: waiting - gain * price, gain };
        if stops(&after, &pools[pool]) {
            break;
        }
        (spent, waiting) = (after.spent, after.waiting);
        steps.push(after);
        heap.extend(next(pool, more));
    }
    steps
}

/// The stock that waits least for at most `budget`, by looking at every stock up to `each_up_to` more of a
/// pool: units bought, money spent, waiting then. For a handful of pools, where the walk stops between two
/// corners.
#[must_use]
pub fn best_within<P: Stocked>(pools: &[P], budget: f64, each_up_to: u32) -> (Vec<u32>, f64, f64) {
    let mut more = vec![0_u32; pools.len()];
    let mut best: Option<(f64, f64, Vec<u32>)> = None;
    loop {
        let spent: f64 = pools.iter().zip(&more).map(|(p, n)| p.price() * f64::from(*n)).sum();
        let free = pools.iter().zip(&more).any(|(p, n)| p.price() <= 0.0 && *n > 0);
        if spent <= budget + 1e-9 && !free {
            let waits: f64 = pools.iter().zip(&more).map(|(p, n)| p.waits(*n)).sum();
            if best.as_ref().is_none_or(|(w, s, _)| (waits, spent) < (*w, *s)) {
                best = Some((waits, spent, more.clone()));
            }
        }
        let Some(at) = more.iter().position(|n| *n < each_up_to) else {
            let (waits, spent, more) = best.unwrap_or((0.0, 0.0, more));
            return (more, spent, waits);
        };
        more[at] += 1;
        more[..at].fill(0);
    }
}
