//! The outlook: exchanges over the next years, at a constant rate and with wear-out where install dates are
//! known.

use rayon::prelude::*;

use super::demand::Demand;
use super::renewal::{aged_renewals, weibull_mean};
use crate::policy::Policy;
use crate::records::Plant;

/// Expected exchanges over a horizon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlook {
    /// The horizon (years).
    pub years: f64,
    /// Exchanges at a constant rate.
    pub constant: f64,
    /// Exchanges where the units with a date wear out and the others fail at their rate.
    pub wearing: f64,
    /// Running positions with an installation date, and all of them.
    pub dated: usize,
    /// All running positions.
    pub running: usize,
    /// What the units cost that the wearing ones take.
    pub money: f64,
    /// Risk of the next twelve months as the units with a date wear.
    pub risk: f64,
}

/// The day of the newest event.
pub(super) fn newest(plant: &Plant) -> Option<jiff::civil::Date> {
    plant.events.iter().filter_map(|e| e.date()).max()
}

/// Exchanges of a unit of `age` within `years` at the same long-run rate: its mean life is 1 over the rate.
pub(super) fn wearing(rate: f64, shape: f64, age: f64, years: f64) -> f64 {
    aged_renewals(shape, 1.0 / rate / weibull_mean(shape, 1.0), age, years)
}

/// The outlook at the date of the newest event; `None` without a shape of wear in the policy or without
/// a date.
pub(super) fn outlook(
    plant: &Plant,
    demand: &Demand,
    policy: &Policy,
    risks: &[Option<f64>],
) -> Option<Outlook> {
    let shape = policy.wear_shape;
    if shape <= 0.0 {
        return None;
    }
    let today = newest(plant)?;
    let years = policy.outlook_years;
    let running: Vec<usize> =
        (0..plant.positions.len()).filter(|p| plant.positions[*p].runs()).collect();
    let one = |p: &usize| {
        let position = &plant.positions[*p];
        let rate = demand.mean_rate(*p);
        let constant = rate * years;
        let age = position.installed_on().map(|d| f64::from((today - d).get_days()) / 365.25);
        let wearing_of = |age: f64, years: f64| wearing(rate, shape, age.max(0.0), years);
        let wearing = age.map(|age| wearing_of(age, years));
        let price = plant.model_of(position.model).and_then(|m| m.price()).unwrap_or(0.0);
        let next = age.filter(|_| rate > 0.0).map(|age| wearing_of(age, 1.0) / rate);
        let risk = risks[*p].unwrap_or(0.0) * next.unwrap_or(1.0);
        (constant, wearing, price * wearing.unwrap_or(constant), risk)
    };
    let all: Vec<(f64, Option<f64>, f64, f64)> = running.par_iter().map(one).collect();
    Some(Outlook {
        years,
        constant: all.iter().map(|a| a.0).sum(),
        wearing: all.iter().map(|a| a.1.unwrap_or(a.0)).sum(),
        dated: all.iter().filter(|a| a.1.is_some()).count(),
        running: running.len(),
        money: all.iter().map(|a| a.2).sum(),
        risk: all.iter().map(|a| a.3).sum(),
    })
}
