//! The bound of the whole problem: prices climbed at the root, counts of units that every choice keeps, then
//! branching on the least settled type.

use super::bound::{CENT, Forced, Held, Priced, Relaxed};
use super::climbing::{Climbed, Pace, Start};
use super::counts::Neighbours;

/// The prices at the root.
const ROOT: Pace = Pace { steps: 2_000, step: 0.3, patience: 20 };
/// The prices at a node of the branching, which starts where its parent ended: long steps would only lose that.
const NODE: Pace = Pace { steps: 40, step: 0.15, patience: 8 };

/// A node of the branching.
struct Node {
    bound: f64,
    at: Start,
    held: Held,
    best: Priced,
}

/// Where the branching starts: the prices climbed highest, with the counts of units that they missed.
pub(super) struct Root {
    climbed: Climbed,
    held: Held,
}

impl Root {
    /// Climbs from `prices`; `build` turns packings and prices into a real choice and returns the cost of the
    /// best so far, `rounds` limits how often counts are looked for.
    pub(super) fn climb(
        relaxed: &Relaxed,
        prices: &[f64],
        rounds: usize,
        build: &mut dyn FnMut(&Priced, &[f64]) -> f64,
    ) -> Self {
        let types = relaxed.types.len();
        let start =
            Start { prices: prices.to_vec(), share: vec![0.0; types], units: vec![0.0; types] };
        let mut held = Held::nothing(types);
        let mut upper = f64::INFINITY;
        let mut climbed = relaxed.climb(&start, &held, ROOT, &mut every_eighth(&mut upper, build));
        let near = Neighbours::of(relaxed);
        for _ in 0..rounds {
            if climbed.best.value >= upper - CENT {
                break;
            }
            let found = near.missed(relaxed, &climbed.at.units, &held.counts);
            if found.is_empty() {
                break;
            }
            climbed.at.prices.resize(climbed.at.prices.len() + found.len(), 0.0);
            held.counts.extend(found);
            let mut watch = every_eighth(&mut upper, build);
            climbed = relaxed.climb(&climbed.at, &held, ROOT, &mut watch);
        }
        Self { climbed, held }
    }

    /// The prices, those of the classes first.
    pub(super) fn prices(&self) -> &[f64] {
        &self.climbed.at.prices
    }

    /// The bound, raised by branching while `nodes` last.
    pub(super) fn bound(
        self,
        relaxed: &Relaxed,
        nodes: usize,
        build: &mut dyn FnMut(&Priced, &[f64]) -> f64,
    ) -> f64 {
        let upper = build(&self.climbed.best, &self.climbed.at.prices);
        branched(relaxed, self.climbed, self.held, nodes, upper, build)
    }
}

/// What a climb has to reach: the cost of the best choice, which every eighth packing may lower.
fn every_eighth(
    upper: &mut f64,
    build: &mut dyn FnMut(&Priced, &[f64]) -> f64,
) -> impl FnMut(usize, &Priced, &[f64]) -> f64 {
    move |round, priced, prices| {
        if round.is_multiple_of(8) {
            *upper = build(priced, prices);
        }
        *upper
    }
}

/// The bound raised from `root` by branching on types while `nodes` last.
pub(super) fn branched(
    relaxed: &Relaxed,
    root: Climbed,
    mut held: Held,
    nodes: usize,
    mut upper: f64,
    build: &mut dyn FnMut(&Priced, &[f64]) -> f64,
) -> f64 {
    held.forced = fix(&root, held.forced, upper);
    let mut open = vec![Node { bound: root.best.value, at: root.at, held, best: root.best }];
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
        let halves = halves(relaxed, &node);
        if halves.is_empty() {
            done = done.min(node.bound);
        }
        for held in halves {
            let mut watch = |round: usize, priced: &Priced, prices: &[f64]| {
                if round == NODE.steps - 1 {
                    upper = build(priced, prices);
                }
                upper
            };
            let climbed = relaxed.climb(&node.at, &held, NODE, &mut watch);
            let bound = climbed.best.value.max(node.bound);
            let forced = fix(&climbed, held.forced, upper);
            if bound < upper - CENT {
                let held = Held { forced, ..held };
                open.push(Node { bound, at: climbed.at, held, best: climbed.best });
            }
        }
    }
    // What was cut off on the way could be cheaper than the best by a cent at most.
    let least = open.iter().map(|n| n.bound).fold(done, f64::min);
    least.min(upper - CENT)
}

/// Types that would lift the bound over the best choice if they were open are closed, and the reverse.
fn fix(climbed: &Climbed, mut forced: Vec<Forced>, upper: f64) -> Vec<Forced> {
    for (forced, worth) in forced.iter_mut().zip(&climbed.best.worth) {
        if *forced != Forced::Free {
            continue;
        }
        if climbed.best.value + worth.max(0.0) >= upper {
            *forced = Forced::Closed;
        } else if climbed.best.value - worth.min(0.0) >= upper {
            *forced = Forced::Open;
        }
    }
    forced
}

/// What a node is cut into: a type closed or open, or, once all are, a class by one type alone or not by it.
fn halves(relaxed: &Relaxed, node: &Node) -> Vec<Held> {
    if let Some(kind) = least_settled(relaxed, node) {
        let half = |forced: Forced| {
            let mut held = node.held.clone();
            held.forced[kind] = forced;
            held
        };
        return vec![half(Forced::Closed), half(Forced::Open)];
    }
    let serves = |kind: &usize, class: usize| {
        node.best.chosen[*kind].as_ref().is_some_and(|(_, set)| set.contains(&class))
    };
    let off = |class: &usize| (node.best.covered[*class] - 1.0).abs() * node.at.prices[*class];
    let can = |kind: usize, class: usize| {
        node.held.forced[kind] != Forced::Closed
            && !node.held.barred[kind].contains(&class)
            && relaxed.types[kind].1.iter().any(|p| p.items.iter().any(|i| i.class == class))
    };
    let types = 0..relaxed.types.len();
    let least = (0..relaxed.without.len())
        .filter(|c| (node.best.covered[*c] - 1.0).abs() > 0.5)
        .filter(|c| types.clone().filter(|k| can(*k, *c)).count() > 1)
        .max_by(|a, b| off(a).total_cmp(&off(b)).then(b.cmp(a)));
    let Some(class) = least else { return Vec::new() };
    let able: Vec<usize> = types.filter(|k| can(*k, class)).collect();
    let kind = able.iter().copied().find(|k| serves(k, class)).unwrap_or(able[0]);
    let (mut alone, mut other) = (node.held.clone(), node.held.clone());
    for k in able {
        if k == kind {
            other.barred[k].push(class);
        } else {
            alone.barred[k].push(class);
        }
    }
    // Going without is still allowed where it was: both halves together leave nothing out.
    vec![alone, other]
}

/// The free type whose opening is least settled, the dearer of two first.
fn least_settled(relaxed: &Relaxed, node: &Node) -> Option<usize> {
    let cost = |at: usize| {
        let fixed = relaxed.types[at].1.iter().map(|p| p.fixed);
        fixed.filter(|f| *f > 0.0).fold(f64::INFINITY, f64::min)
    };
    let free =
        |at: &usize| node.held.forced[*at] == Forced::Free && !relaxed.types[*at].1.is_empty();
    (0..node.held.forced.len()).filter(free).min_by(|a, b| {
        let off = |at: usize| (node.at.share[at] - 0.5).abs();
        off(*a).total_cmp(&off(*b)).then(cost(*b).total_cmp(&cost(*a))).then(a.cmp(b))
    })
}
