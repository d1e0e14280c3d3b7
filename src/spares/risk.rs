//! What waiting for an order costs each position a year, where no spare is held for it.

use super::matching::listed_lead;
use super::plan::Desk;
use super::pools::FINITE_ABOVE;
use super::waiting::{DAYS_A_YEAR, HOURS_A_YEAR};
use crate::records::Catalogued;

impl Desk<'_> {
    /// Cost of waiting for an order whenever the unit fails, beyond what the position can do without.
    pub(super) fn risk_without(&self, position: usize) -> Option<f64> {
        if !self.plant.positions[position].runs() {
            return Some(0.0);
        }
        let price = self.waiting_price[position]?;
        let hours = self.plant.positions[position].workaround_hours();
        let workaround = hours.unwrap_or(self.policy.workaround_hours) / HOURS_A_YEAR;
        let years = (self.lead_without(position) / DAYS_A_YEAR - workaround).max(0.0);
        Some(price * alone(self.demand.mean_rate(position) * years))
    }

    /// Share of the time that a position waits for an order, where no spare is held for it.
    pub(super) fn waiting_without(&self, position: usize) -> f64 {
        if !self.plant.positions[position].runs() {
            return 0.0;
        }
        let years = self.lead_without(position) / DAYS_A_YEAR;
        alone(self.demand.mean_rate(position) * years)
    }

    /// Years that each position waits for an order.
    pub(super) fn waits_for_orders(&self) -> Vec<Option<f64>> {
        let all = 0..self.plant.positions.len();
        all.map(|p| Some(self.lead_without(p) / DAYS_A_YEAR)).collect()
    }

    /// Days until an order is in: the quickest that covers the position, else its own model again.
    fn lead_without(&self, position: usize) -> f64 {
        let lead = self.coverage.of_position[position]
            .iter()
            .map(|t| &self.coverage.types[*t])
            .filter(|t| t.orderable)
            .map(|t| t.lead_days)
            .fold(f64::INFINITY, f64::min);
        if lead.is_finite() { lead } else { self.lead_of_own_model(position) }
    }

    /// Days to get the model that is fitted again; by mass where it cannot be ordered, the longest where it may be one of
    /// several.
    fn lead_of_own_model(&self, position: usize) -> f64 {
        let position = &self.plant.positions[position];
        let by_mass = |kg| self.policy.lead_days_by_mass(position.mass_kg().or(kg));
        let of_model = |model: &Catalogued| {
            let orderable = model.status() != Some("discontinued");
            let listed = listed_lead(model).filter(|_| orderable);
            listed.unwrap_or_else(|| by_mass(model.mass_kg()))
        };
        let several = position.may_be.iter().filter_map(|at| self.plant.models.get(*at));
        let any = self.plant.model_of(position.model).into_iter().chain(several);
        let days = any.map(of_model).reduce(f64::max).unwrap_or_else(|| by_mass(None));
        self.policy.what_if_lead_times * days
    }
}

/// Share of the time that one position without a spare waits, by its failures during a wait: one that waits cannot fail
/// again, which counts above a tenth; below it the plain product is on the safe side by less than a tenth.
fn alone(failures: f64) -> f64 {
    if failures > FINITE_ABOVE { failures / (1.0 + failures) } else { failures }
}
