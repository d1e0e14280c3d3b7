//! The choice of spares relaxed, so that packings bound it: nothing it allows is missing, nothing costs more.
//!
//! What each type can hold is in [`packs`](super::packs).

use std::collections::HashMap;

use super::bound::Relaxed;
use super::choice::Options;
use super::negative_binomial::nb_cdf;
use super::plan::{Class, Desk};
use super::waiting::HOURS_A_YEAR;

/// Shapes tried between the least and the largest.
const TRIED: i32 = 4;

/// What a class is to every type.
pub(super) struct Seen {
    /// Failures a year.
    pub(super) rate: f64,
    /// Rate times price of waiting.
    pub(super) priced: f64,
    /// Waits shorter than this cost nothing (years).
    pub(super) workaround: f64,
    pub(super) level: f64,
    pub(super) must_have: bool,
    pub(super) positions: Vec<usize>,
}

/// How uncertain the rate of a pool can be: the least and the largest shape.
#[derive(Clone, Copy)]
pub(super) struct Shapes {
    pub(super) least: f64,
    pub(super) most: f64,
}

impl Desk<'_> {
    /// The relaxed problem of a component.
    pub(super) fn relaxed(
        &self,
        classes: &[Class],
        members: &[usize],
        options: &[Options],
    ) -> Relaxed {
        let seen: Vec<Seen> = members.iter().map(|at| self.seen(&classes[*at])).collect();
        let positions = || members.iter().flat_map(|at| classes[*at].positions.iter().copied());
        let mut groups: Vec<usize> = positions().map(|p| self.demand.group_of[p]).collect();
        groups.sort_unstable();
        groups.dedup();
        let shapes: Vec<f64> = groups.iter().map(|g| self.demand.groups[*g].rate.shape).collect();
        let shapes = Shapes {
            least: shapes.iter().copied().fold(f64::INFINITY, f64::min),
            most: shapes.iter().sum(),
        };
        let mut kinds: Vec<usize> = options.iter().flatten().filter_map(|o| *o).collect();
        kinds.sort_unstable();
        kinds.dedup();
        let mut known = HashMap::new();
        let types = kinds
            .into_iter()
            .map(|kind| {
                let able: Vec<usize> = (0..options.len())
                    .filter(|class| options[*class].contains(&Some(kind)))
                    .collect();
                (kind, self.packs(kind, &able, &seen, shapes, &mut known))
            })
            .collect();
        let without = members
            .iter()
            .zip(options)
            .map(|(at, options)| {
                if options.contains(&None) {
                    classes[*at].positions.iter().filter_map(|p| self.risk_without(*p)).sum()
                } else {
                    f64::INFINITY
                }
            })
            .collect();
        Relaxed::new(types, without)
    }

    fn seen(&self, class: &Class) -> Seen {
        let rate = |p: &usize| self.demand.mean_rate(*p);
        let workaround = |p: &usize| {
            self.plant.positions[*p].workaround_hours().unwrap_or(self.policy.workaround_hours)
        };
        let shortest = class.positions.iter().map(workaround).fold(f64::INFINITY, f64::min);
        Seen {
            rate: class.positions.iter().map(rate).sum(),
            priced: class
                .positions
                .iter()
                .filter_map(|p| self.waiting_price[*p].map(|price| price * rate(p)))
                .sum(),
            workaround: shortest / HOURS_A_YEAR,
            level: self.policy.service_levels.of(class.consequence),
            must_have: self.must_have(class),
            positions: class.positions.clone(),
        }
    }
}

/// The largest mean that a stock keeps from waiting with probability `level`, whatever the spread of the
/// pool's rate is; a little is added, so that rounding never takes from it.
pub(super) fn capacity(level: f64, stock: u32, shapes: Shapes) -> f64 {
    if level <= 0.0 {
        return f64::INFINITY;
    }
    let ratio = shapes.most / shapes.least;
    let largest = |shape: f64| {
        let (mut low, mut high) = (0.0, f64::from(stock) + 1.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            let met = nb_cdf(shape, shape / middle.max(1e-300), 1.0, stock) >= level;
            if met { low = middle } else { high = middle }
        }
        high
    };
    let tried = (0..=TRIED).map(|i| shapes.least * ratio.powf(f64::from(i) / f64::from(TRIED)));
    tried.map(largest).fold(0.0, f64::max) * (1.0 + 1e-9) + 1e-12
}
