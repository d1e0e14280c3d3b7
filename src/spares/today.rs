//! Waiting as things stand: every running position draws on what lies on the shelf today.
//!
//! Neither prices of units nor the plan take part: the figure moves only with the shelf, the rates, the lead times and
//! the cost of an hour. A position draws on the unit on the shelf through which the plant waits least, or waits for
//! an order; the costly ones choose first, and each looks once more when all have chosen.

use std::collections::BTreeMap;

use super::at_hand::AtHand;
use super::plan::Desk;
use super::pools::PoolInput;
use super::waiting::{DAYS_A_YEAR, HOURS_A_YEAR, waiting_prices};

/// How the positions stand today.
#[derive(Clone, Debug, Default)]
pub(super) struct Today {
    /// Price of a year of waiting of each position, by the waits of today.
    pub(super) prices: Vec<Option<f64>>,
    /// Expected cost of waiting a year of each position.
    pub(super) risks: Vec<Option<f64>>,
    /// The same without any spare.
    pub(super) without: Vec<Option<f64>>,
    /// Chance that the next failure of each position finds a unit on the shelf.
    pub(super) fill: Vec<f64>,
    /// Positions that wait at any time, on average.
    pub(super) waiting: f64,
    /// The type on the shelf that each position draws on; `None` where it waits for an order.
    draws: Vec<Option<usize>>,
}

/// Looks at which every position may choose anew.
const LOOKS: usize = 3;

/// What draws on one type.
#[derive(Clone, Debug, Default)]
struct Load {
    /// Running positions of each group.
    running: BTreeMap<usize, f64>,
    /// Positions by their workaround time (bits of the years).
    workarounds: BTreeMap<u64, u32>,
    /// Rate of the positions whose waiting has a price, and rate times price.
    rate: f64,
    money: f64,
    positions: u32,
    /// Stop-gaps in place, each owed a unit.
    owed: u32,
}

impl Load {
    /// Adds a position, or takes it away again (`sign` −1).
    fn add(&mut self, desk: &Desk<'_>, position: usize, sign: f64) {
        let group = desk.demand.group_of[position];
        let running = self.running.entry(group).or_default();
        *running += sign * desk.demand.duty[position];
        if *running <= 1e-9 {
            self.running.remove(&group);
        }
        let hours = desk.plant.positions[position].workaround_hours();
        let years = hours.unwrap_or(desk.policy.workaround_hours) / HOURS_A_YEAR;
        let with_it = self.workarounds.entry(years.to_bits()).or_default();
        let one = |n: u32| if sign > 0.0 { n + 1 } else { n.saturating_sub(1) };
        *with_it = one(*with_it);
        if *with_it == 0 {
            self.workarounds.remove(&years.to_bits());
        }
        if let Some(price) = desk.waiting_price[position] {
            let rate = desk.demand.mean_rate(position);
            self.rate += sign * rate;
            self.money += sign * rate * price;
        }
        self.positions = one(self.positions);
        if desk.has_stop_gap(position) {
            self.owed = one(self.owed);
        }
    }

    fn with(&self, desk: &Desk<'_>, position: usize, sign: f64) -> Self {
        let mut then = self.clone();
        then.add(desk, position, sign);
        then
    }

    /// What waiting costs a year with the units of a type that are there.
    fn waiting(&self, desk: &Desk<'_>, spare: usize) -> f64 {
        if self.positions == 0 || self.rate <= 0.0 {
            return 0.0;
        }
        let kind = &desk.coverage.types[spare];
        let groups = self.running.iter().map(|(at, n)| (desk.demand.groups[*at].rate, *n));
        // Years are never negative, so their bits stand in their order.
        let shortest = self.workarounds.keys().next().map_or(0.0, |bits| f64::from_bits(*bits));
        let input = PoolInput {
            demand: groups.collect(),
            positions: self.positions,
            lead_years: kind.lead_days / DAYS_A_YEAR,
            workaround_years: shortest,
            waiting_price: Some(self.money / self.rate),
            level: 0.0,
            at_least: 0,
            unit_value: 0.0,
            holding_rate: 0.0,
            there: 0,
            rebuildable: 0,
            rebuilding: 0.0,
            buying: 0.0,
        };
        counts(desk, spare, self.owed).expect(&|s| input.with(s).waiting)
    }
}

/// Units of a type at hand, less what stop-gaps are owed.
pub(super) fn counts(desk: &Desk<'_>, spare: usize, owed: u32) -> AtHand {
    desk.coverage.types[spare].at_hand(desk.policy).with(-f64::from(owed))
}

impl Desk<'_> {
    /// How every position stands, whatever this desk's prices are.
    pub(super) fn today(&self) -> Today {
        let waits = self.waits_for_orders();
        let bare = waiting_prices(self.plant, self.demand, self.policy, &waits);
        let desk = Desk { waiting_price: &bare, ..*self };
        let without: Vec<Option<f64>> =
            (0..self.plant.positions.len()).map(|p| desk.risk_without(p)).collect();
        let draws = desk.draws(&without);
        desk.waiting_with(draws, without)
    }

    /// How every position stands that draws on what it draws on `today`; lead times and rates are this desk's.
    pub(super) fn standing_as(&self, today: &Today) -> Today {
        self.waiting_with(today.draws.clone(), Vec::new())
    }

    fn waiting_with(&self, draws: Vec<Option<usize>>, without: Vec<Option<f64>>) -> Today {
        let mut pools: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (p, spare) in draws.iter().enumerate() {
            if let Some(spare) = spare {
                pools.entry(*spare).or_default().push(p);
            }
        }
        let mut waits = self.waits_for_orders();
        let mut fill = vec![0.0; draws.len()];
        let bare = (0..draws.len()).filter(|p| draws[*p].is_none());
        let mut waiting: f64 = bare.map(|p| self.waiting_without(p)).sum();
        for (spare, positions) in &pools {
            let input = self.input(*spare, positions);
            let rate: f64 = positions.iter().map(|p| self.demand.mean_rate(*p)).sum();
            let have = self.there_for(*spare, positions);
            let backorders = have.expect(&|s| input.with(s).backorders);
            let found = have.expect(&|s| input.with(s).fill);
            waiting += backorders;
            for p in positions {
                fill[*p] = found;
                waits[*p] = (rate > 0.0).then(|| backorders / rate);
            }
        }
        let prices = waiting_prices(self.plant, self.demand, self.policy, &waits);
        let desk = Desk { waiting_price: &prices, ..*self };
        let mut risks: Vec<Option<f64>> = (0..draws.len()).map(|p| desk.risk_without(p)).collect();
        for (spare, positions) in &pools {
            desk.share_out(*spare, positions, &mut risks);
        }
        Today { risks, without, fill, waiting, draws, prices: prices.clone() }
    }

    fn there_for(&self, spare: usize, positions: &[usize]) -> AtHand {
        let owed = positions.iter().filter(|p| self.has_stop_gap(**p)).count();
        counts(self, spare, owed as u32)
    }

    /// Each position of a pool carries its share of the pool's waiting, by rate and price.
    fn share_out(&self, spare: usize, positions: &[usize], risks: &mut [Option<f64>]) {
        let weight = |p: &usize| Some(self.waiting_price[*p]? * self.demand.mean_rate(*p));
        let total: f64 = positions.iter().filter_map(weight).sum();
        let input = self.input(spare, positions);
        let waiting = self.there_for(spare, positions).expect(&|s| input.with(s).waiting);
        for p in positions {
            risks[*p] = weight(p).map(|w| if total > 0.0 { waiting * w / total } else { 0.0 });
        }
    }

    /// The type on the shelf that each position draws on; `None` where it waits for an order.
    fn draws(&self, without: &[Option<f64>]) -> Vec<Option<usize>> {
        let stocked = |t: &usize| self.coverage.types[*t].at_hand(self.policy).count() > 0.0;
        let options: Vec<Vec<usize>> = (0..without.len())
            .map(|p| {
                let all = self.coverage.of_position[p].iter().copied().filter(stocked);
                if self.plant.positions[p].runs() { all.collect() } else { Vec::new() }
            })
            .collect();
        let mut order: Vec<usize> =
            (0..without.len()).filter(|p| !options[*p].is_empty()).collect();
        // Who has no choice comes first, then who waits dearest.
        let weight = |p: usize| without[p].unwrap_or(0.0);
        order.sort_by(|a, b| {
            let choice = |p: usize| options[p].len() > 1;
            choice(*a).cmp(&choice(*b)).then(weight(*b).total_cmp(&weight(*a))).then(a.cmp(b))
        });
        let mut loads: Vec<Load> = vec![Load::default(); self.coverage.types.len()];
        let mut waiting = vec![0.0; loads.len()];
        let mut draws: Vec<Option<usize>> = vec![None; without.len()];
        for look in 0..LOOKS {
            let mut moved = false;
            for p in &order {
                let now = draws[*p];
                if let Some(spare) = now {
                    loads[spare].add(self, *p, -1.0);
                    waiting[spare] = loads[spare].waiting(self, spare);
                }
                let more = |spare: usize| {
                    loads[spare].with(self, *p, 1.0).waiting(self, spare) - waiting[spare]
                };
                // A stop-gap is owed a unit, and whoever has no price has no reason to wait.
                let may_wait = without[*p].filter(|_| !self.has_stop_gap(*p));
                let kept = now.map(|spare| (more(spare), Some(spare)));
                let kept =
                    kept.or_else(|| may_wait.filter(|_| look > 0).map(|money| (money, None)));
                let each = options[*p].iter().map(|spare| (more(*spare), Some(*spare)));
                let all = kept.into_iter().chain(each).chain(may_wait.map(|money| (money, None)));
                // Of equals what it has now stays, else the first.
                let best =
                    all.reduce(
                        |best, next| {
                            if next.0 < best.0 - 1e-9 * best.0.abs() { next } else { best }
                        },
                    );
                draws[*p] = best.and_then(|b| b.1);
                moved |= draws[*p] != now;
                if let Some(spare) = draws[*p] {
                    loads[spare].add(self, *p, 1.0);
                    waiting[spare] = loads[spare].waiting(self, spare);
                }
            }
            if !moved {
                break;
            }
        }
        draws
    }
}
