//! What a budget buys: the set of units that saves most for it.
//!
//! A pool's units save ever less, and cost alike, so whatever set is best takes the first of a pool before its second:
//! every unit is a thing by itself, to take or to leave. Where a second saves more than a first (as things stand the
//! pool's positions may draw on other units), the two are one thing. Sets are built thing by thing, the best gain first; of two
//! that cost the same only the better is kept, and none that could not pass the best known even if the rest of the
//! money went into parts of things.
//!
//! # Source
//! The 0-1 knapsack by dominance and the bound of its relaxation (Martello and Toth, *Knapsack Problems*, 1990, ch. 2;
//! from memory).

use super::marginal::Stocked;

/// What a budget buys.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bought {
    /// Units bought of each pool.
    pub more: Vec<u32>,
    /// Money spent.
    pub spent: f64,
    /// Waiting then.
    pub waiting: f64,
    /// No other purchase for the money leaves less waiting.
    pub bound: f64,
    /// Units that would pay for themselves too, but which the money does not reach.
    pub left_out: usize,
    /// The cheapest of these: its pool, and units of it.
    pub cheapest: Option<(usize, u32)>,
}

/// Something that could be bought: one unit, or several where the first alone saves less than the next.
#[derive(Clone, Copy, Debug)]
struct Thing {
    pool: usize,
    units: u32,
    price: f64,
    saves: f64,
}

/// A set of things, by the one taken last.
#[derive(Clone, Copy, Debug)]
struct Set {
    spent: f64,
    saved: f64,
    /// Index of the set without its last thing, and that thing.
    from: Option<(usize, usize)>,
}

/// Sets looked at together; beyond it those with the best outlook stay, and the bound is that of parts of things.
const TOGETHER: usize = 20_000;
/// Sets remembered at most before fewer are looked at together.
const REMEMBERED: usize = 4_000_000;
/// Savings below this are none (money a year).
const NONE: f64 = 1e-9;
/// Units of one pool at most.
const MOST: u32 = 200;

/// Spends at most `budget`, and nothing on what saves less than `least` a year for each unit of money.
///
/// ```
/// use sparemesh::spares::{MarginalPool, spend};
/// let pool = |mean, price| MarginalPool { mean, price, weight: 1.0, have: 0 };
/// // The best gain is the first pool's; the money is better spent on the two others.
/// let bought = spend(&[pool(0.3, 6.0), pool(0.2, 5.0), pool(0.2, 5.0)], 10.0, 0.0);
/// assert_eq!(bought.more, [0, 1, 1]);
/// ```
#[must_use]
pub fn spend<P: Stocked>(pools: &[P], budget: f64, least: f64) -> Bought {
    let things = worthwhile(pools, least);
    let waiting: f64 = pools.iter().map(|p| p.waits(0)).sum();
    let found = best_set(&things, budget + 1e-9);
    let mut more = vec![0; pools.len()];
    for at in &found.taken {
        more[things[*at].pool] += things[*at].units;
    }
    let spent = pools.iter().zip(&more).map(|(p, n)| p.price() * f64::from(*n)).sum();
    let left: f64 = pools.iter().zip(&more).map(|(p, n)| p.waits(*n)).sum();
    let is_left = |at: &usize| found.taken.binary_search(at).is_err();
    let cheapest = (0..things.len())
        .filter(is_left)
        .min_by(|a, b| things[*a].price.total_cmp(&things[*b].price).then(a.cmp(b)));
    Bought {
        spent,
        waiting: left,
        bound: (waiting - found.at_most).min(left).max(0.0),
        left_out: (0..things.len()).filter(is_left).map(|at| things[at].units as usize).sum(),
        cheapest: cheapest.map(|at| (things[at].pool, things[at].units)),
        more,
    }
}

/// Everything that pays for itself, the best gain first.
fn worthwhile<P: Stocked>(pools: &[P], least: f64) -> Vec<Thing> {
    let priced = pools.iter().enumerate().filter(|(_, p)| p.price() > 0.0);
    let mut things: Vec<Thing> = priced.flat_map(|(at, pool)| things_of(at, pool, least)).collect();
    // Of equal gain the earlier pool first; a pool's own stand in order already.
    things.sort_by(|a, b| (b.saves / b.price).total_cmp(&(a.saves / a.price)));
    things
}

/// What can be bought of one pool, each with a gain no better than the one before it.
fn things_of<P: Stocked>(at: usize, pool: &P, least: f64) -> Vec<Thing> {
    let price = pool.price();
    let pays = |t: &Thing| t.saves > NONE && t.saves >= least * t.price;
    let mut own: Vec<Thing> = Vec::new();
    for n in 0..MOST {
        let mut next = Thing { pool: at, units: 1, price, saves: pool.saves(n) };
        // The first may save little and the second more.
        if n > 1 && !pays(&next) {
            break;
        }
        while let Some(last) = own.last()
            && next.saves * last.price > last.saves * next.price
        {
            next.units += last.units;
            next.price += last.price;
            next.saves += last.saves;
            own.pop();
        }
        own.push(next);
    }
    own.into_iter().take_while(pays).collect()
}

/// The things of the best set, in order, and what no set saves more than.
struct Best {
    taken: Vec<usize>,
    at_most: f64,
}

fn best_set(things: &[Thing], budget: f64) -> Best {
    let parts = Parts::of(things);
    let most = parts.rest(0, budget);
    if parts.price(things.len()) <= budget {
        return Best { taken: (0..things.len()).collect(), at_most: most };
    }
    let mut all = vec![Set { spent: 0.0, saved: 0.0, from: None }];
    let mut open = vec![0];
    let (mut best, mut known) = (0, greedy(things, budget));
    let mut proven = things.iter().all(|t| t.units == 1);
    for (at, thing) in things.iter().enumerate() {
        let mut next: Vec<usize> = Vec::with_capacity(2 * open.len());
        for set in &open {
            next.push(*set);
            let (spent, saved) = (all[*set].spent + thing.price, all[*set].saved + thing.saves);
            if spent <= budget {
                all.push(Set { spent, saved, from: Some((*set, at)) });
                next.push(all.len() - 1);
                if saved > all[best].saved {
                    best = all.len() - 1;
                }
            }
        }
        known = known.max(all[best].saved);
        // The cheaper first; of what costs as much or more, only what saves more.
        next.sort_by(|a, b| {
            let (a, b) = (&all[*a], &all[*b]);
            a.spent.total_cmp(&b.spent).then(b.saved.total_cmp(&a.saved))
        });
        let outlook = |set: &Set| set.saved + parts.rest(at + 1, budget - set.spent);
        let mut high = f64::NEG_INFINITY;
        next.retain(|set| {
            let set = &all[*set];
            let better = set.saved > high;
            high = high.max(set.saved);
            better && outlook(set) > known - NONE
        });
        let room = if all.len() > REMEMBERED { TOGETHER / 100 } else { TOGETHER };
        if next.len() > room {
            proven = false;
            next.sort_by(|a, b| outlook(&all[*b]).total_cmp(&outlook(&all[*a])).then(a.cmp(b)));
            next.truncate(room / 4);
        }
        open = next;
    }
    let mut taken = Vec::new();
    let mut set = best;
    while let Some((from, thing)) = all[set].from {
        taken.push(thing);
        set = from;
    }
    taken.reverse();
    Best { taken, at_most: if proven { all[best].saved } else { most } }
}

/// Takes things in order while the money reaches: what it saves.
fn greedy(things: &[Thing], budget: f64) -> f64 {
    let (mut spent, mut saved) = (0.0, 0.0);
    for thing in things {
        if spent + thing.price <= budget {
            spent += thing.price;
            saved += thing.saves;
        }
    }
    // It is found again as a set; a little less keeps that set from being left out by rounding.
    saved * (1.0 - 1e-12)
}

/// Prices and savings summed up, for what parts of things would save.
struct Parts {
    prices: Vec<f64>,
    saves: Vec<f64>,
}

impl Parts {
    fn of(things: &[Thing]) -> Self {
        let summed = |value: fn(&Thing) -> f64| {
            let mut sum = 0.0;
            let after = things.iter().map(|t| {
                sum += value(t);
                sum
            });
            std::iter::once(0.0).chain(after).collect()
        };
        Self { prices: summed(|t| t.price), saves: summed(|t| t.saves) }
    }

    /// Price of the first `count` things.
    fn price(&self, count: usize) -> f64 {
        self.prices[count]
    }

    /// The most that `money` saves on things from `first` on, the last of them in part.
    fn rest(&self, first: usize, money: f64) -> f64 {
        let until = self.prices[first] + money;
        let whole = self.prices.partition_point(|p| *p <= until).max(first + 1) - 1;
        let saved = self.saves[whole] - self.saves[first];
        let Some(next) = self.prices.get(whole + 1) else { return saved };
        let share = (until - self.prices[whole]) / (next - self.prices[whole]);
        saved + share.clamp(0.0, 1.0) * (self.saves[whole + 1] - self.saves[whole])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spares::{MarginalPool, best_within};

    fn pools() -> Vec<MarginalPool> {
        (1_u32..=8)
            .map(|k| MarginalPool {
                mean: 0.07 * f64::from(k),
                price: 900.0 + 700.0 * f64::from(k * k % 5),
                weight: 1.0,
                have: 0,
            })
            .collect()
    }

    /// Against every stock of up to three units of each pool, the plain way.
    #[test]
    fn nothing_saves_more_for_the_money() {
        let pools = pools();
        for budget in [0.0, 899.0, 900.0, 2_600.0, 5_000.0, 8_111.0, 12_345.0] {
            let bought = spend(&pools, budget, 0.0);
            let (_, _, least) = best_within(&pools, budget, 3);
            assert!(bought.spent <= budget + 1e-9);
            assert!((bought.waiting - least).abs() < 1e-9, "{budget}: {bought:?}, {least}");
            assert!((bought.bound - least).abs() < 1e-9);
        }
    }

    #[test]
    fn what_the_money_does_not_reach_is_told() {
        let pools = pools();
        // Only the fifth pool costs as little as 900.
        let nothing = spend(&pools, 899.0, 0.0);
        assert_eq!((nothing.spent, nothing.cheapest), (0.0, Some((4, 1))));
        let all = spend(&pools, 1e9, 1e-5);
        assert_eq!((all.left_out, all.cheapest), (0, None));
        assert!((all.bound - all.waiting).abs() < 1e-9);
    }
}
