//! A bound below which no choice of spare types can cost: prices on the classes, packings of the types.
//!
//! ```text
//! L(u) = Σ_i min(u_i, r_i) + Σ_j min(0, min over packs of fixed + Σ_{i in S} (extra_i − u_i))
//! ```
//!
//! `u_i` is what serving class i may cost, `r_i` what going without costs; S is the best set that a pack's
//! capacity holds. Every `u ≥ 0` gives a bound; the prices are moved towards the best one (Held and Karp's
//! subgradient steps; from memory). All limits are counts, never a clock.

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
    /// The load it can carry.
    pub cap: f64,
    /// Classes it may serve.
    pub items: Vec<Item>,
}

/// The relaxed problem: nothing that the real one allows is missing, and nothing costs more.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Relaxed {
    /// The packs of each type, with the type's own number.
    pub types: Vec<(usize, Vec<Pack>)>,
    /// What going without costs each class; infinite where it may not.
    pub without: Vec<f64>,
}

/// Nodes of the exact packing of one pack.
const PACKING_NODES: usize = 400;
/// Steps of the prices at the root.
const STEPS: usize = 1_200;
/// Steps without a gain after which they are halved.
const PATIENCE: usize = 20;
/// Steps of the prices at a node of the branching.
const NODE_STEPS: usize = 40;

/// What prices say.
pub(super) struct Priced {
    /// The bound.
    pub(super) value: f64,
    /// How often each class is served.
    covered: Vec<f64>,
    /// Each type's best pack with its classes, where it is worth its cost.
    pub(super) chosen: Vec<Option<(usize, Vec<usize>)>>,
    /// Each type's own share of the value, before it is held at nothing.
    worth: Vec<f64>,
}

/// What branching has decided of a type.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Forced {
    Free,
    Open,
    Closed,
}

impl Relaxed {
    /// The bound that `prices` give.
    fn price(&self, prices: &[f64], forced: &[Forced]) -> Priced {
        let mut value = 0.0;
        let mut covered = vec![0.0; prices.len()];
        for (class, price) in prices.iter().enumerate() {
            if self.without[class] < *price {
                value += self.without[class];
                covered[class] += 1.0;
            } else {
                value += price;
            }
        }
        let mut scratch = Vec::new();
        let mut chosen = Vec::with_capacity(self.types.len());
        let mut worth = Vec::with_capacity(self.types.len());
        for ((_, packs), forced) in self.types.iter().zip(forced) {
            if *forced == Forced::Closed {
                chosen.push(None);
                worth.push(f64::INFINITY);
                continue;
            }
            let open = *forced == Forced::Open;
            let mut best = Best { value: if open { f64::INFINITY } else { 0.0 }, set: None };
            let mut least = f64::INFINITY;
            for (at, pack) in packs.iter().enumerate() {
                least = least.min(pack.best(prices, &mut scratch, at, &mut best));
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
        Priced { value, covered, chosen, worth }
    }

    /// The best bound from `prices` on, up to `target`, and the prices that give it. `seen` looks at the
    /// packings on the way and may lower the target.
    fn climb(
        &self,
        start: &[f64],
        forced: &[Forced],
        steps: usize,
        target: &mut dyn FnMut(usize, &Priced, &[f64]) -> f64,
    ) -> Climbed {
        let mut prices = start.to_vec();
        let mut best = self.price(&prices, forced);
        let mut best_prices = prices.clone();
        let mut share = vec![0.0; self.types.len()];
        let mut direction = vec![0.0; prices.len()];
        let (mut step, mut stale) = (1.5, 0);
        let mut here: Option<Priced> = None;
        for round in 0..steps {
            let now = here.as_ref().unwrap_or(&best);
            let goal = target(round, now, &prices);
            if best.value >= goal - CENT || step < 2e-4 {
                break;
            }
            for (slot, chosen) in share.iter_mut().zip(&now.chosen) {
                *slot = 0.9 * *slot + 0.1 * f64::from(u8::from(chosen.is_some()));
            }
            for (d, covered) in direction.iter_mut().zip(&now.covered) {
                *d = 0.75 * (1.0 - covered) + 0.25 * *d;
            }
            let length: f64 = direction.iter().map(|d| d * d).sum();
            if length < 1e-12 {
                break;
            }
            let stride = step * (1.002 * goal - now.value).max(CENT) / length;
            for (u, d) in prices.iter_mut().zip(&direction) {
                *u = (*u + stride * d).max(0.0);
            }
            let next = self.price(&prices, forced);
            if next.value > best.value + 1e-4 * best.value.abs().max(CENT) {
                stale = 0;
            } else {
                stale += 1;
            }
            if next.value > best.value {
                best_prices.clone_from(&prices);
                best = next;
                here = None;
            } else {
                here = Some(next);
            }
            if stale >= PATIENCE {
                stale = 0;
                step *= 0.6;
                prices.clone_from(&best_prices);
                here = None;
            }
        }
        Climbed { best, prices: best_prices, share }
    }
}

/// A bound with its prices, and how often each type was worth opening on the way.
struct Climbed {
    best: Priced,
    prices: Vec<f64>,
    share: Vec<f64>,
}

/// Differences below this are none.
const CENT: f64 = 0.01;

/// The best pack of a type so far.
struct Best {
    value: f64,
    set: Option<(usize, Vec<usize>)>,
}

/// A class worth packing: what it brings, what it takes.
#[derive(Clone, Copy, Debug)]
struct Gain {
    class: usize,
    load: f64,
    worth: f64,
}

impl Pack {
    /// Puts the best set at `prices` into `best` if it is better; returns the least that this pack can come
    /// to, by fractions where the exact packing takes too long.
    fn best(&self, prices: &[f64], scratch: &mut Vec<Gain>, at: usize, best: &mut Best) -> f64 {
        scratch.clear();
        let (mut load, mut gain) = (0.0, 0.0);
        for item in &self.items {
            let worth = prices[item.class] - item.extra;
            if worth > 0.0 && item.load <= self.cap {
                scratch.push(Gain { class: item.class, load: item.load, worth });
                load += item.load;
                gain += worth;
            }
        }
        if self.fixed - gain >= best.value {
            return self.fixed - gain;
        }
        if load <= self.cap {
            best.take(self.fixed - gain, at, scratch.iter().map(|g| g.class));
            return self.fixed - gain;
        }
        scratch.sort_by(|a, b| {
            (b.worth * a.load).total_cmp(&(a.worth * b.load)).then(a.class.cmp(&b.class))
        });
        let whole = fractional(scratch, self.cap);
        if self.fixed - whole >= best.value {
            return self.fixed - whole;
        }
        let mut packing = Packing {
            gains: scratch,
            best: 0.0,
            set: Vec::new(),
            now: Vec::new(),
            left: PACKING_NODES,
        };
        packing.search(0, self.cap, 0.0);
        let exact = packing.left > 0;
        let (found, set) = (packing.best, packing.set);
        // Where the search was cut short only the fractions are a bound; the set is still one to try.
        let bound = if exact { self.fixed - found } else { self.fixed - whole };
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
fn fractional(gains: &[Gain], cap: f64) -> f64 {
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
    left: usize,
}

impl Packing<'_> {
    fn search(&mut self, from: usize, cap: f64, total: f64) {
        if self.left == 0 {
            return;
        }
        self.left -= 1;
        if total > self.best {
            self.best = total;
            self.set.clone_from(&self.now);
        }
        if from == self.gains.len()
            || total + fractional(&self.gains[from..], cap) <= self.best + 1e-9
        {
            return;
        }
        if self.gains[from].load <= cap {
            self.now.push(from);
            self.search(from + 1, cap - self.gains[from].load, total + self.gains[from].worth);
            self.now.pop();
        }
        self.search(from + 1, cap, total);
    }
}

/// A node of the branching on types.
struct Node {
    bound: f64,
    prices: Vec<f64>,
    forced: Vec<Forced>,
    share: Vec<f64>,
}

/// The bound of the whole problem: climbed at the root, then raised by branching on types while `nodes`
/// last. `build` turns packings and prices into a real choice and returns the cost of the best so far.
pub(super) fn bound(
    relaxed: &Relaxed,
    start: &[f64],
    nodes: usize,
    build: &mut dyn FnMut(&Priced, &[f64]) -> f64,
) -> (f64, Vec<f64>) {
    let mut upper = f64::INFINITY;
    let free = vec![Forced::Free; relaxed.types.len()];
    let mut watch = |round: usize, priced: &Priced, prices: &[f64]| {
        if round.is_multiple_of(8) {
            upper = build(priced, prices);
        }
        upper
    };
    let root = relaxed.climb(start, &free, STEPS, &mut watch);
    let root_prices = root.prices.clone();
    upper = build(&root.best, &root.prices);
    let forced = fix(relaxed, &root, free, upper);
    let mut open =
        vec![Node { bound: root.best.value, prices: root.prices, forced, share: root.share }];
    let mut done = f64::INFINITY;
    for _ in 0..nodes {
        // The node of the least bound decides the whole bound.
        let Some(at) = (0..open.len()).min_by(|a, b| open[*a].bound.total_cmp(&open[*b].bound))
        else {
            break;
        };
        if open[at].bound >= upper - CENT {
            break;
        }
        let node = open.swap_remove(at);
        let Some(spare) = branch_on(relaxed, &node) else {
            done = done.min(node.bound);
            continue;
        };
        for forced in [Forced::Closed, Forced::Open] {
            let mut decided = node.forced.clone();
            decided[spare] = forced;
            let mut watch = |round: usize, priced: &Priced, prices: &[f64]| {
                if round == NODE_STEPS - 1 {
                    upper = build(priced, prices);
                }
                upper
            };
            let climbed = relaxed.climb(&node.prices, &decided, NODE_STEPS, &mut watch);
            let bound = climbed.best.value.max(node.bound);
            let fixed = fix(relaxed, &climbed, decided, upper);
            if bound < upper - CENT {
                open.push(Node {
                    bound,
                    prices: climbed.prices,
                    forced: fixed,
                    share: climbed.share,
                });
            }
        }
    }
    // What was cut off on the way could be cheaper than the best by a cent at most.
    let least = open.iter().map(|n| n.bound).fold(done, f64::min);
    (least.min(upper - CENT), root_prices)
}

/// Types that would lift the bound over the best choice if they were open are closed, and the reverse.
fn fix(relaxed: &Relaxed, climbed: &Climbed, mut forced: Vec<Forced>, upper: f64) -> Vec<Forced> {
    for (at, worth) in climbed.best.worth.iter().enumerate().take(relaxed.types.len()) {
        if forced[at] != Forced::Free {
            continue;
        }
        if climbed.best.value + worth.max(0.0) >= upper {
            forced[at] = Forced::Closed;
        } else if climbed.best.value - worth.min(0.0) >= upper {
            forced[at] = Forced::Open;
        }
    }
    forced
}

/// The free type whose opening is least settled, the dearer of two first.
fn branch_on(relaxed: &Relaxed, node: &Node) -> Option<usize> {
    let cost = |at: usize| {
        relaxed.types[at]
            .1
            .iter()
            .map(|p| p.fixed)
            .filter(|f| *f > 0.0)
            .fold(f64::INFINITY, f64::min)
    };
    (0..node.forced.len())
        .filter(|at| node.forced[*at] == Forced::Free && !relaxed.types[*at].1.is_empty())
        .min_by(|a, b| {
            let off = |at: usize| (node.share[at] - 0.5).abs();
            off(*a).total_cmp(&off(*b)).then(cost(*b).total_cmp(&cost(*a))).then(a.cmp(b))
        })
}

/// Prices that differ a little from others, for another try.
pub(super) fn shaken(prices: &[f64], random: &mut SplitMix) -> Vec<f64> {
    prices.iter().map(|u| u * (0.6 + 0.8 * random.unit())).collect()
}
