//! Standardise: which position, once its base, shaft or motor end is converted, could share the spare of
//! another family; ranked by what that saves a year.

use rayon::prelude::*;

use super::matching::as_new;
use super::plan::Desk;
use super::pool::Pool;
use crate::fit::{Candidate, Case, Gate, only_failure};

/// A conversion that would let a position share a spare.
#[derive(Clone, Debug, PartialEq)]
pub struct Conversion {
    /// The position.
    pub position: usize,
    /// The pool that it would join.
    pub pool: usize,
    /// The gate that fails today, which the conversion mends.
    pub gate: Gate,
    /// What it saves a year, the conversion spread over its years taken off.
    pub saves: f64,
}

/// Gates that a rebuilt base, shaft end or motor end mends for good.
const MENDED: [Gate; 3] = [Gate::Seat, Gate::OutputFit, Gate::InputFit];
/// Pools nearest in ratio that a position is held against.
const NEAREST: usize = 40;
/// Conversions told at most.
const TOLD: usize = 20;

/// A pool that a position could join, with its unit as new.
struct Choice<'a> {
    ratio: f64,
    pool: usize,
    unit: Candidate<'a>,
}

impl Desk<'_> {
    /// Conversions worth their money, the best first; one for a position.
    pub(super) fn conversions(&self, pools: &[Pool]) -> Vec<Conversion> {
        let mut by_ratio: Vec<Choice<'_>> = pools
            .iter()
            .enumerate()
            .filter(|(_, pool)| pool.planned.stock > 0)
            .filter_map(|(at, pool)| {
                let unit = as_new(self.plant, &self.coverage.types[pool.spare])?;
                Some(Choice { ratio: unit.unit.ratio()?, pool: at, unit })
            })
            .collect();
        by_ratio.sort_by(|a, b| a.ratio.total_cmp(&b.ratio).then(a.pool.cmp(&b.pool)));
        let served = self.pool_of(pools);
        let mut found: Vec<Conversion> = (0..self.plant.positions.len())
            .into_par_iter()
            .filter(|p| self.plant.positions[*p].runs() && self.waiting_price[*p].is_some())
            .filter_map(|p| self.conversion_of(p, pools, &by_ratio, served[p]))
            .collect();
        found.sort_by(|a, b| b.saves.total_cmp(&a.saves).then(a.position.cmp(&b.position)));
        found.truncate(TOLD);
        found
    }

    fn conversion_of(
        &self,
        position: usize,
        pools: &[Pool],
        by_ratio: &[Choice<'_>],
        own: Option<usize>,
    ) -> Option<Conversion> {
        let case = Case::new(self.plant, self.policy, position);
        let wanted = case.duty.input_rpm? / case.duty.wanted_rpm?;
        // What the position costs where it is now.
        let now = match own {
            Some(at) => {
                let rest: Vec<usize> =
                    pools[at].positions.iter().copied().filter(|p| *p != position).collect();
                let without =
                    if rest.is_empty() { 0.0 } else { self.yearly_cost(pools[at].spare, &rest) };
                self.yearly_cost(pools[at].spare, &pools[at].positions) - without
            }
            None => self.risk_without(position)?,
        };
        let middle = by_ratio.partition_point(|r| r.ratio < wanted);
        let near = middle.saturating_sub(NEAREST / 2)..(middle + NEAREST / 2).min(by_ratio.len());
        let yearly = self.policy.conversion_cost / self.policy.write_off_years;
        let mut best: Option<Conversion> = None;
        for Choice { pool: at, unit, .. } in &by_ratio[near] {
            let pool = &pools[*at];
            if Some(*at) == own || self.coverage.of_position[position].contains(&pool.spare) {
                continue;
            }
            let Some(gate) = only_failure(&case, unit).filter(|g| MENDED.contains(g)) else {
                continue;
            };
            let mut joined = pool.positions.clone();
            joined.insert(joined.partition_point(|p| *p < position), position);
            let then = self.yearly_cost(pool.spare, &joined)
                - self.yearly_cost(pool.spare, &pool.positions);
            let saves = now - then - yearly;
            if saves > 0.0 && best.as_ref().is_none_or(|b| saves > b.saves) {
                best = Some(Conversion { position, pool: *at, gate, saves });
            }
        }
        best
    }
}
