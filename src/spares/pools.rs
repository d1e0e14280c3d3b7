//! One pool: how many of a type its positions need, and what that costs a year.

use super::bayes::Gamma;
use super::finite::{FiniteSource, finite_source};
use super::negative_binomial::{nb_cdf, nb_expected_backorders};

/// Failures of a position during a resupply above which positions are counted; below it the Poisson form
/// is on the safe side by less than a tenth.
pub(super) const FINITE_ABOVE: f64 = 0.1;

/// What a pool must serve.
#[derive(Clone, Debug, PartialEq)]
pub struct PoolInput {
    /// Groups of positions in it: the rate's distribution and how many positions run at it.
    pub demand: Vec<(Gamma, f64)>,
    /// Positions in it, however long they run.
    pub positions: u32,
    /// Time until the pool is whole again (years).
    pub lead_years: f64,
    /// Workaround time (years): waits shorter than this cost nothing.
    pub workaround_years: f64,
    /// Price of one position waiting (per year); `None` if not weighed.
    pub waiting_price: Option<f64>,
    /// No-wait probability asked for.
    pub level: f64,
    /// Least stock whatever the figures say.
    pub at_least: u32,
    /// Value of a unit.
    pub unit_value: f64,
    /// Holding rate (per year).
    pub holding_rate: f64,
    /// Units there or coming, which need not be bought.
    pub there: u32,
    /// Units beyond these that can be rebuilt.
    pub rebuildable: u32,
    /// What a unit that is rebuilt costs a year beyond what holding a new one does.
    pub rebuilding: f64,
    /// What a unit that must be bought costs a year, its price spread over its years.
    pub buying: f64,
}

/// A pool planned.
#[derive(Clone, Debug, PartialEq)]
pub struct PoolPlan {
    /// Units to own.
    pub stock: u32,
    /// Expected units in resupply.
    pub mean: f64,
    /// Chance that no position waits.
    pub no_wait: f64,
    /// Chance that the next demand is met.
    pub fill: f64,
    /// Expected positions waiting.
    pub backorders: f64,
    /// Holding a year.
    pub holding: f64,
    /// Waiting a year; zero where not weighed.
    pub waiting: f64,
}

impl PoolInput {
    /// The rate of the whole pool: mean and variance of the groups added, as one gamma.
    fn rate(&self) -> Gamma {
        let mean: f64 = self.demand.iter().map(|(g, n)| n * g.mean()).sum();
        let variance: f64 =
            self.demand.iter().map(|(g, n)| n * n * g.shape / (g.rate * g.rate)).sum();
        if variance <= 0.0 || mean <= 0.0 {
            return Gamma { shape: 1.0, rate: 1e12 };
        }
        Gamma { shape: mean * mean / variance, rate: mean / variance }
    }

    /// The pool with `stock` units.
    #[must_use]
    pub fn with(&self, stock: u32) -> PoolPlan {
        if stock > MOST {
            let plan = self.with(MOST);
            return PoolPlan {
                stock,
                holding: self.holding_rate * self.unit_value * f64::from(stock),
                ..plan
            };
        }
        let Gamma { shape, rate } = self.rate();
        let lead = self.lead_years;
        let after = (lead - self.workaround_years).max(0.0);
        if self.is_small() {
            return self.finite(stock, after);
        }
        let waiting_long = nb_expected_backorders(shape, rate, after, stock);
        PoolPlan {
            stock,
            mean: shape / rate * lead,
            no_wait: nb_cdf(shape, rate, lead, stock),
            fill: if stock == 0 { 0.0 } else { nb_cdf(shape, rate, lead, stock - 1) },
            backorders: nb_expected_backorders(shape, rate, lead, stock),
            holding: self.holding_rate * self.unit_value * f64::from(stock),
            waiting: self.waiting_price.unwrap_or(0.0) * waiting_long,
        }
    }

    /// Failures of one position during a resupply: beyond a tenth a position that waits is missed as a
    /// source of demand, and the pool is planned by its finite many positions.
    #[must_use]
    pub fn failures_each(&self) -> f64 {
        let n = f64::from(self.positions.max(1));
        self.rate().mean() * self.lead_years / n
    }

    /// Whether the finite form is due.
    fn is_small(&self) -> bool {
        self.failures_each() > FINITE_ABOVE
    }

    /// The pool by its finite many positions, over the middle of equally likely parts of the rate.
    fn finite(&self, stock: u32, after: f64) -> PoolPlan {
        /// Parts of the rate's distribution.
        const PARTS: u32 = 9;
        let rate = self.rate();
        let n = f64::from(self.positions.max(1));
        let mut sum = FiniteSource { no_wait: 0.0, backorders: 0.0, fill: 0.0 };
        let mut long = 0.0;
        for part in 0..PARTS {
            let own = rate.quantile((f64::from(part) + 0.5) / f64::from(PARTS)) / n;
            let found = finite_source(n as u32, stock, own * self.lead_years);
            sum.no_wait += found.no_wait / f64::from(PARTS);
            sum.backorders += found.backorders / f64::from(PARTS);
            sum.fill += found.fill / f64::from(PARTS);
            long += finite_source(n as u32, stock, own * after).backorders / f64::from(PARTS);
        }
        PoolPlan {
            stock,
            mean: rate.mean() * self.lead_years,
            no_wait: sum.no_wait,
            fill: sum.fill,
            backorders: sum.backorders,
            holding: self.holding_rate * self.unit_value * f64::from(stock),
            waiting: self.waiting_price.unwrap_or(0.0) * long,
        }
    }

    /// The same pool with every rate `factor` times as high.
    #[must_use]
    pub fn at_rate(&self, factor: f64) -> Self {
        let scaled = |g: &Gamma| Gamma { shape: g.shape, rate: g.rate / factor };
        Self { demand: self.demand.iter().map(|(g, n)| (scaled(g), *n)).collect(), ..self.clone() }
    }

    /// What the unit after `stock` of them costs a year to come by.
    fn coming_by(&self, stock: u32) -> f64 {
        if stock < self.there {
            0.0
        } else if stock < self.there + self.rebuildable {
            self.rebuilding
        } else {
            self.buying
        }
    }

    /// Whether `stock` units meet the level and the least stock.
    #[must_use]
    pub fn is_met_by(&self, stock: u32) -> bool {
        stock >= self.at_least && self.with(stock).no_wait >= self.level
    }

    /// The least stock that meets both.
    #[must_use]
    pub fn mandatory(&self) -> u32 {
        (self.at_least..MOST).find(|s| self.is_met_by(*s)).unwrap_or(MOST)
    }
}

/// No pool is planned larger, and beyond so many units nobody waits.
const MOST: u32 = 200;
/// A unit that saves less a year is held for no reason, whatever holding costs.
const LEAST_SAVING: f64 = 1.0;

/// Plans a pool: the mandatory stock, then one more as long as it saves more waiting than it costs to
/// hold, and to buy where it is not there.
#[must_use]
pub fn plan_pool(input: &PoolInput) -> PoolPlan {
    let mut plan = input.with(input.mandatory());
    while plan.stock < MOST {
        let next = input.with(plan.stock + 1);
        let bought = input.coming_by(plan.stock);
        let saved = plan.waiting - next.waiting;
        // What costs nothing to hold is no reason to hoard.
        if saved <= next.holding - plan.holding + bought || saved < LEAST_SAVING {
            break;
        }
        plan = next;
    }
    plan
}
