//! What waiting costs each position a year: without a spare, and with today's shelf.

use super::plan::{Desk, Pool, between};
use super::waiting::DAYS_A_YEAR;

impl Desk<'_> {
    /// Cost of waiting for an order whenever the unit fails.
    pub(super) fn risk_without(&self, position: usize) -> Option<f64> {
        if !self.plant.positions[position].runs() {
            return Some(0.0);
        }
        let price = self.waiting_price[position]?;
        let lead = self.coverage.of_position[position]
            .iter()
            .map(|t| &self.coverage.types[*t])
            .filter(|t| t.orderable)
            .map(|t| t.lead_days)
            .fold(f64::INFINITY, f64::min);
        let lead = if lead.is_finite() { lead } else { self.lead_of_own_model(position) };
        Some(price * self.demand.mean_rate(position) * lead / DAYS_A_YEAR)
    }

    /// Days to get the model that is fitted again; by mass where it cannot be ordered.
    fn lead_of_own_model(&self, position: usize) -> f64 {
        let model = self.plant.model_of(self.plant.positions[position].model);
        let orderable = model.filter(|m| m.status() != Some("discontinued"));
        let mass = self.plant.positions[position].mass_kg().or(model.and_then(|m| m.mass_kg()));
        let listed = orderable.and_then(|m| m.lead_time_days());
        let days = listed.unwrap_or_else(|| self.policy.lead_days_by_mass(mass));
        self.policy.what_if_lead_times * days
    }

    /// Risk of each position today: its share of its pool's waiting by rate, or without any spare.
    pub(super) fn risks(&self, pools: &[Pool]) -> Vec<Option<f64>> {
        let mut risks: Vec<Option<f64>> =
            (0..self.plant.positions.len()).map(|p| self.risk_without(p)).collect();
        for pool in pools {
            let total: f64 = pool.positions.iter().filter_map(|p| self.weight(*p)).sum();
            for p in &pool.positions {
                if let Some(weight) = self.weight(*p).filter(|_| total > 0.0) {
                    risks[*p] = Some(pool.waiting_today * weight / total);
                }
            }
        }
        // A unit on the shelf serves even where the plan would hold none.
        let served = self.pool_of(pools);
        for (p, risk) in risks.iter_mut().enumerate() {
            let there = self.coverage.of_position[p]
                .iter()
                .map(|t| (*t, self.coverage.types[*t].counted(self.policy)))
                .filter(|(_, units)| *units > 0.0)
                .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
            if let (None, Some((spare, units)), true) =
                (served[p], there, self.plant.positions[p].runs())
                && self.waiting_price[p].is_some()
            {
                let input = self.input(spare, &[p]);
                *risk = Some(between(units, &|s| input.with(s).waiting));
            }
        }
        risks
    }

    fn weight(&self, position: usize) -> Option<f64> {
        Some(self.waiting_price[position]? * self.demand.mean_rate(position))
    }

    pub(super) fn unserved(&self, pools: &[Pool]) -> f64 {
        let served = self.pool_of(pools);
        (0..self.plant.positions.len())
            .filter(|p| served[*p].is_none())
            .filter_map(|p| self.risk_without(p))
            .sum()
    }
}
