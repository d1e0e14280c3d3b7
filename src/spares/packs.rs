//! What one type can hold in the relaxed problem: a pack for every stock, service level and span of load.
//!
//! A class adds to a pool at least what it waits at the least load of the span: waiting over mean demand only
//! grows with the mean (for one spread of the rate), and with the spread. The spread taken is the least that
//! any pool of the component can have: a gamma rate of the sum of all groups' shapes.
//!
//! Spans are cut where waiting costs shares of the price of one more unit ([`SHARES`]). A span is left out where the
//! stock below carries all of it for less:
//!
//! ```text
//! load ≤ capacity at s − 1   and   price of waiting at s − 1 ≤ fixed(s) − fixed(s − 1)
//! ```

use std::collections::HashMap;

use super::bayes::Gamma;
use super::bound::{Item, Pack};
use super::negative_binomial::nb_expected_backorders;
use super::plan::Desk;
use super::pools::FINITE_ABOVE;
use super::relaxed::{Seen, Shapes, capacity};
use super::waiting::DAYS_A_YEAR;

/// Stocks beyond this are one pack without bounds.
const MOST: u32 = 60;
/// Where spans of load are cut: waiting over the price of one more unit.
const SHARES: [f64; 5] = [0.03, 0.1, 0.3, 1.0, 3.0];
/// Halvings of a cut.
const HALVINGS: usize = 30;

/// What waiting in the pools of one type costs.
struct Waiting {
    /// Lead time (years).
    lead: f64,
    /// The largest shape of a pool's rate.
    shape: f64,
    /// The largest price of a failure that waits a year.
    dearest: f64,
    /// The shortest time that every class of the type can do without (years).
    shortest: f64,
    /// Rate of all classes.
    all: f64,
    /// Whether pools may wait less than an infinite fleet.
    finite: bool,
}

impl Waiting {
    /// Years waited a failure, at a pool's rate and stock, by one that can do without for a while.
    fn each(&self, rate: f64, workaround: f64, stock: u32) -> f64 {
        let after = (self.lead - workaround).max(0.0);
        if rate <= 0.0 || after <= 0.0 || self.finite {
            return 0.0;
        }
        let of = Gamma { shape: self.shape, rate: self.shape / rate };
        nb_expected_backorders(of.shape, of.rate, after, stock) / rate
    }

    /// The most that waiting can cost a year in a pool of this rate.
    fn at_most(&self, rate: f64, stock: u32) -> f64 {
        rate * self.dearest * self.each(rate, self.shortest, stock)
    }

    /// The rate at which waiting costs no more than `money`.
    fn rate_of(&self, money: f64, stock: u32) -> f64 {
        if self.at_most(self.all, stock) <= money {
            return self.all;
        }
        let (mut low, mut high) = (0.0, self.all);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if self.at_most(middle, stock) <= money { low = middle } else { high = middle }
        }
        low
    }
}

impl Desk<'_> {
    fn waiting(&self, kind: usize, able: &[usize], seen: &[Seen], shapes: Shapes) -> Waiting {
        let lead = self.coverage.types[kind].lead_days / DAYS_A_YEAR;
        let each = || able.iter().map(|c| &seen[*c]);
        // Where units wear together a pool may need less than its rate says: nothing is bounded then.
        let finite = self.policy.wears()
            || each().any(|c| c.rate * lead > FINITE_ABOVE * c.positions.len() as f64);
        let price = |c: &Seen| if c.rate > 0.0 { c.priced / c.rate } else { 0.0 };
        Waiting {
            lead,
            shape: shapes.most,
            dearest: each().map(price).fold(0.0, f64::max),
            shortest: each().map(|c| c.workaround).fold(f64::INFINITY, f64::min),
            all: each().map(|c| c.rate).sum(),
            finite,
        }
    }

    pub(super) fn packs(
        &self,
        kind: usize,
        able: &[usize],
        seen: &[Seen],
        shapes: Shapes,
        known: &mut HashMap<(u64, u32), f64>,
    ) -> Vec<Pack> {
        let spare = &self.coverage.types[kind];
        let there = spare.within_reach();
        let can_order = spare.is_for_sale();
        let waiting = self.waiting(kind, able, seen, shapes);
        let adapting: Vec<f64> =
            able.iter().map(|c| self.adapting(kind, &seen[*c].positions)).collect();
        let mut levels: Vec<f64> = able.iter().map(|c| seen[*c].level).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        let last = if can_order { MOST } else { (there.floor() as u32).min(MOST) };
        let mut cap = |level: f64, stock: u32| {
            // What cannot be ordered serves with what there is.
            if (stock == last && !can_order) || waiting.finite {
                return f64::INFINITY;
            }
            *known.entry((level.to_bits(), stock)).or_insert_with(|| capacity(level, stock, shapes))
        };
        let lead = waiting.lead;
        let all = waiting.all * lead;
        // They are not served by a stock of nothing.
        let any_must = able.iter().any(|c| seen[*c].must_have);
        let mut packs = Vec::new();
        for stock in 0..=last {
            let fixed = self.keeping(kind, stock);
            let below = stock.checked_sub(1).map(|s| (s, fixed - self.keeping(kind, s)));
            let more = self.keeping(kind, stock + 1) - fixed;
            let spans = spans(&waiting, stock, more);
            let mut holds_all = false;
            for level in &levels {
                let most = cap(*level, stock);
                holds_all = most >= all;
                // The stock below carries so much for less.
                let carried = below.map_or(0.0, |(s, saved)| {
                    if saved > 0.0 && (s > 0 || !any_must) {
                        waiting.rate_of(saved, s).min(cap(*level, s) / lead)
                    } else {
                        0.0
                    }
                });
                for (from, to) in &spans {
                    let is_last = *to >= waiting.all;
                    if most < from * lead || (*to <= carried && !is_last) {
                        continue;
                    }
                    let able = able.iter().zip(&adapting);
                    let items: Vec<Item> = able
                        .filter(|(c, _)| stock > 0 || !seen[**c].must_have)
                        .filter(|(c, _)| seen[**c].level <= *level)
                        .map(|(c, adapting)| {
                            let class = &seen[*c];
                            let waits = waiting.each(from.max(class.rate), class.workaround, stock);
                            Item {
                                class: *c,
                                load: class.rate * lead,
                                extra: adapting + class.priced * waits,
                            }
                        })
                        .collect();
                    let cap = if is_last { most } else { most.min(to * lead) };
                    if !items.is_empty() {
                        packs.push(Pack { fixed, units: stock, cap, items });
                    }
                }
            }
            if holds_all && stock > 0 && waiting.at_most(waiting.all, stock) <= more {
                return packs;
            }
        }
        if can_order {
            let free =
                |(c, adapting): (&usize, &f64)| Item { class: *c, load: 0.0, extra: *adapting };
            let items = able.iter().zip(&adapting).map(free).collect();
            let (fixed, units) = (self.keeping(kind, last + 1), last + 1);
            packs.push(Pack { fixed, units, cap: f64::INFINITY, items });
        }
        packs
    }
}

/// Spans of a pool's rate, from nothing to that of all classes.
fn spans(waiting: &Waiting, stock: u32, more: f64) -> Vec<(f64, f64)> {
    let mut cuts = vec![0.0];
    for share in SHARES {
        let cut = waiting.rate_of(share * more, stock);
        if more > 0.0 && cut > cuts[cuts.len() - 1] && cut < waiting.all {
            cuts.push(cut);
        }
    }
    cuts.push(waiting.all);
    cuts.windows(2).map(|w| (w[0], w[1])).collect()
}
