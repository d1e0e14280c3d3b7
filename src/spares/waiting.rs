//! What waiting for a spare costs.

use super::demand::Demand;
use super::redundancy::{others_at_limit, unavailability};
use crate::policy::Policy;
use crate::records::{Plant, Position, k_of_n};

/// Hours in a year.
pub(super) const HOURS_A_YEAR: f64 = 8760.0;
/// Days in a year.
pub(super) const DAYS_A_YEAR: f64 = 365.25;

/// Consequence class of a position; where none is said it stops the line.
pub(super) fn class_of(position: &Position) -> &str {
    position.consequence().unwrap_or("line")
}

/// The middle of what an hour down costs in a class, where any position of it says.
pub(super) fn median_of_class(plant: &Plant, class: &str) -> Option<f64> {
    let own = plant.positions.iter().filter(|p| class_of(p) == class);
    let mut known: Vec<f64> = own.filter_map(|p| p.down_cost_per_hour()).collect();
    known.sort_by(f64::total_cmp);
    known.get(known.len() / 2).copied()
}

/// Price of a year of waiting: the hour's cost, by the redundancy of its group; blank hours take
/// the median of their consequence class.
pub(super) fn waiting_prices(
    plant: &Plant,
    demand: &Demand,
    policy: &Policy,
    waits: &[Option<f64>],
) -> Vec<Option<f64>> {
    let medians: Vec<(&str, Option<f64>)> = ["people", "line", "slow", "minor"]
        .map(|class| (class, median_of_class(plant, class)))
        .into();
    (0..plant.positions.len())
        .map(|p| {
            let hour = plant.positions[p].down_cost_per_hour().or_else(|| {
                let class = class_of(&plant.positions[p]);
                medians.iter().find(|m| m.0 == class).and_then(|m| m.1)
            })?;
            let rate = demand.mean_rate(p);
            Some(
                hour * HOURS_A_YEAR
                    * redundancy_factor(plant.positions[p].redundancy(), rate, waits[p], policy),
            )
        })
        .collect()
}

/// Chance that the others of a `k of n` group are already at their limit, never below the policy's floor.
///
/// Out of service is the swap and the mean `wait` (years); without one the longest usual lead time, the safe
/// side.
fn redundancy_factor(text: Option<&str>, rate: f64, wait: Option<f64>, policy: &Policy) -> f64 {
    let Some((k, n)) = text.and_then(k_of_n) else { return 1.0 };
    let wait = wait.unwrap_or(policy.lead_days_to_500_kg / DAYS_A_YEAR);
    let u = unavailability(rate * (wait + policy.swap_hours / HOURS_A_YEAR));
    others_at_limit(k, n, u).clamp(policy.common_cause_floor, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn redundancy_is_read_and_never_below_its_floor() {
        assert_eq!(k_of_n("2 of 3 @ pumps"), Some((2, 3)));
        assert_eq!(k_of_n("0 of 0"), None);
        let policy = Policy { common_cause_floor: 0.0, ..Policy::default() };
        // 84 days and 12 h out of service: rho = 0.05 needs a rate of 0.05 / 0.231 35 a year.
        let rate = 0.05 / (84.0 / 365.25 + 12.0 / 8760.0);
        let factor = |text: &str| redundancy_factor(Some(text), rate, None, &policy);
        // u = 0.05 / 1.05; 1 of 2: u; 2 of 3: 2(1 - u)u; 1 of 3: u squared. By hand.
        assert!((factor("1 of 2") - 0.047_619_047_6).abs() < 1e-9);
        assert!((factor("2 of 3") - 0.090_702_947_8).abs() < 1e-9);
        assert!((factor("1 of 3") - 0.002_267_573_7).abs() < 1e-9);
        assert!(
            (redundancy_factor(Some("1 of 3"), rate, None, &Policy::default()) - 0.10).abs()
                < 1e-12
        );
        // With a spare that never keeps waiting, only the swap of 12 h is left: u = 0.05·12/8760/0.2313…
        let swap = rate * 12.0 / 8760.0;
        let short = redundancy_factor(Some("1 of 2"), rate, Some(0.0), &policy);
        assert!((short - swap / (1.0 + swap)).abs() < 1e-12);
    }
}
