//! A bound below which no choice of spare types can cost: prices on the classes, packings of the types.
//!
//! ```text
//! L(u, v) = Σ_i min(u_i, r_i) + Σ_c ±v_c k_c + Σ_j min(0, min over packs of fixed − units · v(j) + Σ_{i in S} (extra_i − u_i))
//! ```
//!
//! `u_i` is what serving class i may cost, `r_i` what going without costs; S is the best set that a pack's
//! capacity holds; `v_c` prices a count of units, at least (+) or at most (−) `k_c`, and `v(j)` adds ±`v_c` of those that type
//! j is in. Every `u, v ≥ 0` gives a bound; `climbing` moves the prices towards the best one. All limits are counts,
//! never a clock.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::counts::Count;
use super::random::SplitMix;

/// A class that a pack may serve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Item {
    /// The class.
    pub class: usize,
    /// What it takes of the capacity.
    pub load: f64,
    /// What serving it adds at least.
    pub extra: f64,
}

/// One type at one stock and one service level.
#[derive(Clone, Debug, PartialEq)]
pub struct Pack {
    /// What it costs whatever it serves.
    pub fixed: f64,
    /// Units it holds.
    pub units: u32,
    /// The load it can carry.
    pub cap: f64,
    /// Classes it may serve.
    pub items: Vec<Item>,
}

/// The relaxed problem: nothing that the real one allows is missing, and nothing costs more.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Relaxed {
    /// The packs of each type, with the type's own number.
    pub(super) types: Vec<(usize, Vec<Pack>)>,
    /// What going without costs each class; infinite where it may not.
    pub(super) without: Vec<f64>,
    /// The classes of each type, each at the least it adds in any pack.
    least: Vec<Vec<Item>>,
}

impl Relaxed {
    /// The packs of each type, with the type's own number, and what going without costs each class: infinite where
    /// it may not.
    #[must_use]
    pub fn new(types: Vec<(usize, Vec<Pack>)>, without: Vec<f64>) -> Self {
        let least = types.iter().map(|(_, packs)| least_of(packs)).collect();
        Self { types, without, least }
    }
}

/// The classes of some packs, each at the least load and extra of any pack with a limit.
fn least_of(packs: &[Pack]) -> Vec<Item> {
    let mut least: BTreeMap<usize, Item> = BTreeMap::new();
    for pack in packs {
        for item in &pack.items {
            let load = if pack.cap.is_finite() { item.load } else { f64::INFINITY };
            let known = least.entry(item.class).or_insert(Item { load, ..*item });
            known.load = known.load.min(load);
            known.extra = known.extra.min(item.extra);
        }
    }
    least.into_values().collect()
}

/// Nodes of the exact packing of one pack.
const PACKING_NODES: usize = 3000;

/// Packings that bring so little more are not looked for; the bound allows for them.
const NEAR: f64 = 1e-3;

/// What prices say.
pub(super) struct Priced {
    /// The bound.
    pub(super) value: f64,
    /// How often each class is served.
    pub(super) covered: Vec<f64>,
    /// Each type's best pack with its classes, where it is worth its cost.
    pub(super) chosen: Vec<Option<(usize, Vec<usize>)>>,
    /// Each type's own share of the value, before it is held at nothing.
    pub(super) worth: Vec<f64>,
}

/// What is decided: types open or closed, counts of units, classes that a type may not serve.
#[derive(Clone, Debug, Default)]
pub(super) struct Held {
    /// Units of each type.
    pub(super) spans: Vec<Span>,
    /// Counts of units; their prices follow those of the classes.
    pub(super) counts: Vec<Count>,
    /// Classes that each type may not serve, in order.
    pub(super) barred: Vec<Vec<usize>>,
}

impl Held {
    /// Nothing decided.
    pub(super) fn nothing(types: usize) -> Self {
        Self {
            spans: vec![Span::default(); types],
            counts: Vec::new(),
            barred: vec![Vec::new(); types],
        }
    }
}

/// What is decided of a type: whether a pack of it is opened, and of how many units. A pack may hold none, and those it
/// serves then wait: open is not the same as holding units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Span {
    /// Whether a pack is opened.
    pub(super) opened: Opened,
    /// Units held at least; more than none only where the type is open.
    pub(super) least: u32,
    /// Units held at most, where the type is open.
    pub(super) most: u32,
}

/// Whether a type is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Opened {
    Maybe,
    Yes,
    No,
}

impl Default for Span {
    fn default() -> Self {
        Self { opened: Opened::Maybe, least: 0, most: u32::MAX }
    }
}

impl Span {
    pub(super) const fn is_closed(self) -> bool {
        matches!(self.opened, Opened::No)
    }

    pub(super) const fn is_open(self) -> bool {
        matches!(self.opened, Opened::Yes)
    }

    /// Whether a pack of so many units may be opened.
    pub(super) const fn allows(self, units: u32) -> bool {
        !self.is_closed() && self.least <= units && units <= self.most
    }
}

impl Relaxed {
    /// What the prices of the counts take off each unit of a type.
    pub(super) fn discounts(&self, prices: &[f64], held: &Held) -> Vec<f64> {
        let mut discounts = vec![0.0; self.types.len()];
        for (count, price) in held.counts.iter().zip(&prices[self.without.len()..]) {
            let price = if count.at_most { -price } else { *price };
            for at in &count.types {
                discounts[*at] += price;
            }
        }
        discounts
    }

    /// The bound that `prices` give.
    pub(super) fn price(&self, prices: &[f64], held: &Held) -> Priced {
        let mut value = 0.0;
        let classes = self.without.len();
        let mut covered = vec![0.0; prices.len()];
        for (class, price) in prices[..classes].iter().enumerate() {
            if self.without[class] < *price {
                value += self.without[class];
                covered[class] += 1.0;
            } else {
                value += price;
            }
        }
        for (count, price) in held.counts.iter().zip(&prices[classes..]) {
            let price = if count.at_most { -price } else { *price };
            value += price * count.units;
        }
        let discounts = self.discounts(prices, held);
        let (mut scratch, mut floors) = (Vec::new(), Vec::new());
        let mut chosen = Vec::with_capacity(self.types.len());
        let mut worth = Vec::with_capacity(self.types.len());
        for (kind, ((_, packs), span)) in self.types.iter().zip(&held.spans).enumerate() {
            if span.is_closed() {
                chosen.push(None);
                worth.push(f64::INFINITY);
                continue;
            }
            let open = span.is_open();
            let mut best = Best { value: if open { f64::INFINITY } else { 0.0 }, set: None };
            let mut least = f64::INFINITY;
            let barred = &held.barred[kind];
            self.floors(kind, prices, discounts[kind], held, &mut scratch, &mut floors);
            // The most promising first: it leaves little to look at.
            let first = (0..floors.len()).min_by(|a, b| floors[*a].total_cmp(&floors[*b]));
            for at in first.into_iter().chain(0..packs.len()) {
                if floors[at] < least {
                    let discount = discounts[kind];
                    let value =
                        packs[at].best(prices, discount, barred, &mut scratch, at, &mut best);
                    least = least.min(value);
                }
            }
            worth.push(least);
            if open && best.value.is_infinite() {
                best.value = 0.0;
            }
            value += best.value;
            if let Some((_, set)) = &best.set {
                for class in set {
                    covered[*class] += 1.0;
                }
            }
            chosen.push(best.set);
        }
        for (count, met) in held.counts.iter().zip(&mut covered[classes..]) {
            let kept = count.types.iter().filter_map(|at| {
                let (pack, _) = chosen[*at].as_ref()?;
                Some(f64::from(self.types[*at].1[*pack].units))
            });
            // As for a class: 1 where it is met, less where it is missed.
            let above = kept.sum::<f64>() - count.units;
            *met = 1.0 + if count.at_most { -above } else { above };
        }
        Priced { value, covered, chosen, worth }
    }

    /// The classes that a type can serve.
    pub(super) fn classes_of(&self, kind: usize) -> impl Iterator<Item = usize> + '_ {
        self.least[kind].iter().map(|i| i.class)
    }

    /// A floor of what each pack of a type comes to, infinite where it may not be opened: its capacity filled by fractions, each class at the least it
    /// adds anywhere.
    pub(super) fn floors(
        &self,
        kind: usize,
        prices: &[f64],
        discount: f64,
        held: &Held,
        scratch: &mut Vec<Gain>,
        floors: &mut Vec<f64>,
    ) {
        let (span, barred) = (held.spans[kind], &held.barred[kind]);
        scratch.clear();
        let gains = self.least[kind].iter().map(|i| Gain {
            class: i.class,
            load: i.load,
            worth: prices[i.class] - i.extra,
        });
        scratch.extend(gains.filter(|g| g.worth > 0.0 && !barred.contains(&g.class)));
        scratch.sort_by(by_worth);
        let (mut load, mut worth) = (0.0, 0.0);
        let mut sums = vec![(0.0, 0.0)];
        for gain in scratch.iter() {
            load += gain.load;
            worth += gain.worth;
            sums.push((load, worth));
        }
        let all = worth;
        floors.clear();
        for pack in &self.types[kind].1 {
            if !span.allows(pack.units) {
                floors.push(f64::INFINITY);
                continue;
            }
            let most = if pack.cap.is_finite() {
                let full = sums.partition_point(|s| s.0 <= pack.cap) - 1;
                let part = scratch.get(full).map_or(0.0, |g| {
                    let left = (pack.cap - sums[full].0) / g.load;
                    if left > 0.0 { g.worth * left.min(1.0) } else { 0.0 }
                });
                sums[full].1 + part
            } else {
                all
            };
            floors.push(pack.fixed - discount * f64::from(pack.units) - most - ROUNDING * all);
        }
    }
}

/// Floors of packs leave room for rounding.
const ROUNDING: f64 = 1e-12;

/// By worth over load, the most first.
pub(super) fn by_worth(a: &Gain, b: &Gain) -> Ordering {
    (b.worth / b.load).total_cmp(&(a.worth / a.load)).then(a.class.cmp(&b.class))
}

/// Differences below this are none.
pub(super) const CENT: f64 = 0.01;

/// The best pack of a type so far.
struct Best {
    value: f64,
    set: Option<(usize, Vec<usize>)>,
}

/// A class worth packing: what it brings, what it takes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gain {
    pub(super) class: usize,
    pub(super) load: f64,
    pub(super) worth: f64,
}

impl Pack {
    /// Puts the best set at `prices` into `best` if it is better; returns the least that this pack can come
    /// to, by fractions where the exact packing takes too long.
    fn best(
        &self,
        prices: &[f64],
        discount: f64,
        barred: &[usize],
        scratch: &mut Vec<Gain>,
        at: usize,
        best: &mut Best,
    ) -> f64 {
        let fixed = self.fixed - discount * f64::from(self.units);
        scratch.clear();
        let (mut load, mut gain) = (0.0, 0.0);
        for item in &self.items {
            let worth = prices[item.class] - item.extra;
            if worth > 0.0 && item.load <= self.cap && !barred.contains(&item.class) {
                scratch.push(Gain { class: item.class, load: item.load, worth });
                load += item.load;
                gain += worth;
            }
        }
        if fixed - gain >= best.value {
            return fixed - gain;
        }
        if load <= self.cap {
            best.take(fixed - gain, at, scratch.iter().map(|g| g.class));
            return fixed - gain;
        }
        scratch.sort_by(by_worth);
        let whole = fractional(scratch.iter(), self.cap);
        if fixed - whole >= best.value {
            return fixed - whole;
        }
        let mut packing = Packing {
            gains: scratch,
            best: 0.0,
            set: Vec::new(),
            now: Vec::new(),
            unseen: 0.0,
            left: PACKING_NODES,
        };
        packing.search(0, self.cap, 0.0);
        // What was left out counts by fractions; the set is still one to try.
        let bound = fixed - packing.best.max(packing.unseen);
        let set = packing.set;
        if bound < best.value {
            best.take(bound, at, set.iter().map(|i| scratch[*i].class));
        }
        bound
    }
}

impl Best {
    fn take(&mut self, value: f64, at: usize, classes: impl Iterator<Item = usize>) {
        if value < self.value {
            self.value = value;
            self.set = Some((at, classes.collect()));
        }
    }
}

/// What a capacity brings at most, the last class by its fraction; sorted by gain over load.
pub(super) fn fractional<'a>(gains: impl IntoIterator<Item = &'a Gain>, cap: f64) -> f64 {
    let (mut left, mut total) = (cap, 0.0);
    for gain in gains {
        if gain.load <= left {
            left -= gain.load;
            total += gain.worth;
        } else {
            return total + gain.worth * left / gain.load;
        }
    }
    total
}

/// The exact packing, depth first.
struct Packing<'a> {
    gains: &'a [Gain],
    best: f64,
    set: Vec<usize>,
    now: Vec<usize>,
    /// What the sets that were left out bring at most.
    unseen: f64,
    left: usize,
}

impl Packing<'_> {
    fn search(&mut self, from: usize, cap: f64, total: f64) {
        if total > self.best {
            self.best = total;
            self.set.clone_from(&self.now);
        }
        if from == self.gains.len() {
            return;
        }
        let most = total + fractional(&self.gains[from..], cap);
        if most <= self.best + NEAR || self.left == 0 {
            self.unseen = self.unseen.max(most);
            return;
        }
        self.left -= 1;
        if self.gains[from].load <= cap {
            self.now.push(from);
            self.search(from + 1, cap - self.gains[from].load, total + self.gains[from].worth);
            self.now.pop();
        }
        self.search(from + 1, cap, total);
    }
}

/// Prices that differ a little from others, for another try.
pub(super) fn shaken(prices: &[f64], random: &mut SplitMix) -> Vec<f64> {
    prices.iter().map(|u| u * (0.6 + 0.8 * random.unit())).collect()
}
