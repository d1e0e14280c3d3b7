//! What a pool of positions asks for and costs a year under a type of spare.

use std::collections::BTreeMap;

use super::bayes::Gamma;
use super::choice::OUT_OF_REACH;
use super::outlook::wearing;
use super::plan::{Costs, Desk};
use super::pool::Pool;
use super::pools::{PoolInput, PoolPlan, plan_pool};
use super::waiting::{DAYS_A_YEAR, HOURS_A_YEAR};
use crate::records::Field;

impl Desk<'_> {
    /// Holding, waiting, and what must be bought spread over its years.
    pub(super) fn yearly_cost(&self, spare: usize, positions: &[usize]) -> f64 {
        let kind = &self.coverage.types[spare];
        let plan = self.planned(spare, positions);
        let adapting = self.adapting(spare, positions);
        if f64::from(plan.stock) > kind.within_reach() && !kind.is_for_sale() {
            // What cannot be ordered serves with what there is.
            let most = kind.within_reach().floor() as u32;
            let waiting = self.input(spare, positions).with(most).waiting;
            return self.keeping(spare, most) + waiting + adapting + OUT_OF_REACH;
        }
        self.keeping(spare, plan.stock) + plan.waiting + adapting
    }

    /// What a stock costs a year, whatever it serves: holding, and what is rebuilt or bought spread over its years.
    /// What is there is paid: keeping it costs only what letting it go would earn, and one as removed the money that
    /// rebuilding puts into it besides.
    pub(super) fn keeping(&self, spare: usize, stock: u32) -> f64 {
        let kind = &self.coverage.types[spare];
        let value = kind.value.unwrap_or(0.0);
        let stock = f64::from(stock);
        let kept = stock.min(kind.stock_position());
        let rebuilt = (stock - kept).min(kind.rebuildable);
        let paid = (kept + rebuilt) * value * (1.0 - self.policy.salvage);
        self.policy.holding() * (value * stock - paid + rebuilt * kind.rebuild_cost)
            + kind.to_obtain(stock - kept) / self.policy.write_off_years
    }

    /// What the cost of a choice is made of.
    pub(super) fn costs(&self, pools: &[Pool], cost: f64) -> Costs {
        let mut all = Costs { waiting: cost, ..Costs::default() };
        for pool in pools {
            let kind = &self.coverage.types[pool.spare];
            let within = kind.is_for_sale() || f64::from(pool.planned.stock) <= kind.within_reach();
            let stock =
                if within { pool.planned.stock } else { kind.within_reach().floor() as u32 };
            let missing = (f64::from(stock) - kind.stock_position()).max(0.0);
            let obtaining = kind.to_obtain(missing) / self.policy.write_off_years;
            all.obtaining += obtaining;
            all.holding += self.keeping(pool.spare, stock) - obtaining;
            all.adapting += self.adapting(pool.spare, &pool.positions);
        }
        all.waiting -= all.holding + all.obtaining + all.adapting;
        all
    }

    /// Work that adapts a type to its positions, each time that it goes in (per year).
    pub(super) fn adapting(&self, spare: usize, positions: &[usize]) -> f64 {
        let kind = &self.coverage.types[spare];
        positions.iter().map(|p| self.demand.mean_rate(*p) * kind.adapting_to(*p)).sum()
    }

    fn planned(&self, spare: usize, positions: &[usize]) -> PoolPlan {
        plan_pool(&self.input(spare, positions))
    }

    pub(super) fn input(&self, spare: usize, positions: &[usize]) -> PoolInput {
        let kind = &self.coverage.types[spare];
        let mut running: BTreeMap<usize, f64> = BTreeMap::new();
        for p in positions {
            *running.entry(self.demand.group_of[*p]).or_default() += self.demand.duty[*p];
        }
        let groups = running
            .into_iter()
            .filter(|(_, running)| *running > 0.0)
            .map(|(at, running)| (self.demand.groups[at].rate, running));
        let aged = self.same_age_factor(kind.lead_days / DAYS_A_YEAR, positions);
        let groups = groups.map(|(rate, n)| (Gamma { rate: rate.rate / aged, ..rate }, n));
        let levels = positions.iter().map(|p| self.policy.service_levels.of(self.consequence(*p)));
        let people = positions.iter().any(|p| {
            self.consequence(*p) == "people"
                && !self.plant.positions[*p].knows(Field::documented_alternative)
        });
        let workaround = positions
            .iter()
            .map(|p| {
                self.plant.positions[*p].workaround_hours().unwrap_or(self.policy.workaround_hours)
            })
            .fold(f64::INFINITY, f64::min);
        PoolInput {
            demand: groups.collect(),
            lead_years: kind.lead_days / DAYS_A_YEAR,
            workaround_years: if workaround.is_finite() { workaround / HOURS_A_YEAR } else { 0.0 },
            waiting_price: self.pool_price(positions),
            level: levels.fold(0.0, f64::max),
            at_least: u32::from(people),
            unit_value: kind.value.unwrap_or(0.0),
            holding_rate: self.policy.holding(),
            positions: positions.len() as u32,
            there: kind.stock_position().clamp(0.0, 1e6) as u32,
            rebuildable: kind.rebuildable.clamp(0.0, 1e6) as u32,
            rebuilding: kind.rebuild_cost / self.policy.write_off_years
                + self.policy.holding()
                    * (kind.rebuild_cost - kind.value.unwrap_or(0.0) * (1.0 - self.policy.salvage)),
            buying: kind.value.unwrap_or(0.0) / self.policy.write_off_years,
        }
    }

    /// What the demand of a pool is multiplied by where all its units were put in within a year and the policy
    /// says how units wear: renewals of that age during a resupply over those of a constant rate.
    fn same_age_factor(&self, lead: f64, positions: &[usize]) -> f64 {
        let shape = self.policy.wear_shape;
        let (Some(today), true) = (self.today, self.policy.wears() && positions.len() > 1) else {
            return 1.0;
        };
        let dates: Option<Vec<_>> =
            positions.iter().map(|p| self.plant.positions[*p].installed_on()).collect();
        let Some(dates) = dates else { return 1.0 };
        let years = |from: jiff::civil::Date, to: jiff::civil::Date| {
            f64::from((to - from).get_days()) / DAYS_A_YEAR
        };
        let (Some(first), Some(last)) = (dates.iter().min(), dates.iter().max()) else {
            return 1.0;
        };
        if years(*first, *last) > 1.0 {
            return 1.0;
        }
        let (mut worn, mut constant) = (0.0, 0.0);
        for (p, put_in) in positions.iter().zip(&dates) {
            let rate = self.demand.mean_rate(*p);
            worn += wearing(rate, shape, years(*put_in, today).max(0.0), lead);
            constant += rate * lead;
        }
        if constant > 0.0 { (worn / constant).max(1e-3) } else { 1.0 }
    }

    /// The rate-weighted mean of the positions' prices.
    fn pool_price(&self, positions: &[usize]) -> Option<f64> {
        let mut weight = 0.0;
        let mut sum = 0.0;
        for p in positions {
            let rate = self.demand.mean_rate(*p);
            if let Some(price) = self.waiting_price[*p] {
                weight += rate;
                sum += rate * price;
            }
        }
        (weight > 0.0).then(|| sum / weight)
    }
}
