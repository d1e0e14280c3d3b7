//! What longer resupply would do to the risk, the shelf as it is.

use super::plan::Desk;
use super::today::Today;

/// How much longer resupply is taken: half as long again.
const LONGER: f64 = 1.5;

impl Desk<'_> {
    /// Risk a year beyond `today`'s if every resupply took half as long again. Nobody draws on other units for it: the
    /// same shelf stands the same way.
    pub(super) fn exposure(&self, today: &Today) -> f64 {
        let mut coverage = self.coverage.clone();
        coverage.types.iter_mut().for_each(|t| t.lead_days *= LONGER);
        let mut policy = self.policy.clone();
        policy.what_if_lead_times *= LONGER;
        let longer = Desk { coverage: &coverage, policy: &policy, ..*self }.standing_as(today);
        let sum = |t: &Today| t.risks.iter().flatten().sum::<f64>();
        sum(&longer) - sum(today)
    }
}
