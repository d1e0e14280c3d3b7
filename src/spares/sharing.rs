//! What sharing saves: the plan's pools against the same positions with spares of their own for every model fitted.

use std::collections::BTreeMap;

use super::plan::Desk;
use super::pool::Pool;
use super::pools::PoolInput;

/// What sharing spares between models saves, at no less service.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sharing {
    /// Value of the stock that every model would need for itself, less that of the shared one: Σ c·s (apart) − Σ c·s (shared).
    pub saves: f64,
    /// Positions waiting at any time with the shared stock, less those with the separate ones.
    pub waits: f64,
    /// Pools that more than one model draws on.
    pub pools: usize,
}

/// Models apart from each other are given so many units at most.
const MOST: u32 = 200;

impl Desk<'_> {
    /// What sharing saves over all pools that more than one fitted model draws on. Apart, each model has the least
    /// stock with which its positions wait no larger a share of the time than those of the shared pool do, at its own
    /// price where the catalogue has one, and with the same resupply.
    pub(super) fn sharing(&self, pools: &[Pool]) -> Sharing {
        let mut sum = Sharing::default();
        for pool in pools.iter().filter(|pool| pool.planned.stock > 0) {
            let models = self.fitted_models(&pool.positions);
            if models.len() < 2 {
                continue;
            }
            sum.pools += 1;
            sum.saves -= pool.input.unit_value * f64::from(pool.planned.stock);
            sum.waits += pool.planned.backorders;
            for (model, positions) in models {
                let input = self.input(pool.spare, &positions);
                let apart = input.with(least_stock(&input, pool.planned.no_wait));
                let own = model.and_then(|m| self.plant.models[m].price()).filter(|v| *v > 0.0);
                sum.saves += own.unwrap_or(input.unit_value) * f64::from(apart.stock);
                sum.waits -= apart.backorders;
            }
        }
        sum
    }

    /// Positions by the model that is fitted; those whose model is in no catalogue count as one.
    fn fitted_models(&self, positions: &[usize]) -> BTreeMap<Option<usize>, Vec<usize>> {
        let mut models: BTreeMap<Option<usize>, Vec<usize>> = BTreeMap::new();
        for p in positions {
            models.entry(self.plant.positions[*p].model.map(|m| m.model)).or_default().push(*p);
        }
        models
    }
}

/// The least stock with which nobody waits for at least the share `level` of the time.
fn least_stock(input: &PoolInput, level: f64) -> u32 {
    (0..MOST).find(|s| input.with(*s).no_wait >= level).unwrap_or(MOST)
}
