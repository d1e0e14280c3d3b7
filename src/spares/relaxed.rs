//! The choice of spares relaxed, so that packings bound it: nothing it allows is missing, nothing costs more.
//!
//! A class adds to a pool at least what it would wait alone at the same stock: waiting over mean demand only
//! grows with the mean (for one spread of the rate), and with the spread. The spread taken is the least that
//! any pool of the component can have: a gamma rate of the sum of all groups' shapes.

use std::collections::HashMap;

use super::bayes::Gamma;
use super::bound::{Item, Pack, Relaxed};
use super::choice::Options;
use super::negative_binomial::{nb_cdf, nb_expected_backorders};
use super::plan::{Class, Desk};
use super::pools::FINITE_ABOVE;
use super::waiting::{DAYS_A_YEAR, HOURS_A_YEAR};

/// Shapes tried between the least and the largest.
const TRIED: i32 = 4;
/// Stocks beyond this are one pack without bounds.
const MOST: u32 = 60;

/// What a class is to every type.
struct Seen {
    /// Failures a year.
    rate: f64,
    /// Rate times price of waiting.
    priced: f64,
    /// Waits shorter than this cost nothing (years).
    workaround: f64,
    level: f64,
    must_have: bool,
    positions: Vec<usize>,
}

/// How uncertain the rate of a pool can be: the least and the largest shape.
#[derive(Clone, Copy)]
struct Shapes {
    least: f64,
    most: f64,
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
        Relaxed { types, without }
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

    fn packs(
        &self,
        kind: usize,
        able: &[usize],
        seen: &[Seen],
        shapes: Shapes,
        known: &mut HashMap<(u64, u32), f64>,
    ) -> Vec<Pack> {
        let spare = &self.coverage.types[kind];
        let lead = spare.lead_days / DAYS_A_YEAR;
        let value = spare.value.unwrap_or(0.0);
        let there = spare.stock_position();
        let can_order = spare.orderable && spare.value.is_some();
        let fixed = |stock: u32| {
            let kept = f64::from(stock).min(there);
            let missing = f64::from(stock) - kept;
            self.policy.holding() * value * (f64::from(stock) - kept * (1.0 - self.policy.salvage))
                + missing * value / self.policy.write_off_years
        };
        let mut levels: Vec<f64> = able.iter().map(|c| seen[*c].level).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        // Where units wear together a pool may need less than its rate says: nothing is bounded then.
        let finite = self.policy.wear_shape > 0.0
            || able
                .iter()
                .any(|c| seen[*c].rate * lead > FINITE_ABOVE * seen[*c].positions.len() as f64);
        let extra = |at: &usize, stock: u32| {
            let class = &seen[*at];
            let adapting = self.adapting(kind, &class.positions);
            let after = (lead - class.workaround).max(0.0);
            // A pool of finite many positions waits less than this form says.
            if class.rate <= 0.0 || after <= 0.0 || finite {
                return adapting;
            }
            let rate = Gamma { shape: shapes.most, rate: shapes.most / class.rate };
            let waits = nb_expected_backorders(rate.shape, rate.rate, after, stock);
            adapting + class.priced * waits / class.rate
        };
        let all: f64 = able.iter().map(|c| seen[*c].rate * lead).sum();
        let last = if can_order { MOST } else { (there.floor() as u32).min(MOST) };
        let mut packs = Vec::new();
        for stock in 0..=last {
            let items: Vec<Item> = able
                .iter()
                .filter(|c| stock > 0 || !seen[**c].must_have)
                .map(|c| Item { class: *c, load: seen[*c].rate * lead, extra: extra(c, stock) })
                .collect();
            let mut holds_all = false;
            for level in &levels {
                let cap = *known
                    .entry((level.to_bits(), stock))
                    .or_insert_with(|| capacity(*level, stock, shapes));
                // What cannot be ordered serves with what there is.
                let cap = if (stock == last && !can_order) || finite { f64::INFINITY } else { cap };
                let within = |item: &&Item| seen[item.class].level <= *level;
                let items: Vec<Item> = items.iter().filter(within).copied().collect();
                holds_all = cap >= all;
                if !items.is_empty() {
                    packs.push(Pack { fixed: fixed(stock), units: stock, cap, items });
                }
            }
            let adapting: f64 = able.iter().map(|c| self.adapting(kind, &seen[*c].positions)).sum();
            let waits = items.iter().map(|i| i.extra).sum::<f64>() - adapting;
            if holds_all && stock > 0 && waits <= fixed(stock + 1) - fixed(stock) {
                return packs;
            }
        }
        if can_order {
            let free = |c: &usize| {
                let extra = self.adapting(kind, &seen[*c].positions);
                Item { class: *c, load: 0.0, extra }
            };
            let items = able.iter().map(free).collect();
            packs.push(Pack { fixed: fixed(last + 1), units: last + 1, cap: f64::INFINITY, items });
        }
        packs
    }
}

/// The largest mean that a stock keeps from waiting with probability `level`, whatever the spread of the
/// pool's rate is; a little is added, so that rounding never takes from it.
fn capacity(level: f64, stock: u32, shapes: Shapes) -> f64 {
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
