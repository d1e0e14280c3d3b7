//! The bound of the whole problem: prices climbed at the root, counts of units that every choice keeps, then
//! branching: on the least settled type or on a class that is served too often or not at all, whichever lifts
//! the bound more.

use super::bound::{CENT, Forced, Held, Priced, Relaxed};
use super::climbing::{Climbed, Pace, Start};
use super::counts::Neighbours;
use super::settling::settled;

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

/// The bound raised from `root` by branching while `nodes` last.
pub(super) fn branched(
    relaxed: &Relaxed,
    root: Climbed,
    held: Held,
    nodes: usize,
    mut upper: f64,
    build: &mut dyn FnMut(&Priced, &[f64]) -> f64,
) -> f64 {
    let held = settled(relaxed, &root, held, upper);
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
        let mut best: Option<(f64, Vec<Node>)> = None;
        for halves in splits(relaxed, &node) {
            let (lifted, nodes) = tried(relaxed, &node, halves, &mut upper, build);
            if best.as_ref().is_none_or(|b| lifted > b.0) {
                best = Some((lifted, nodes));
            }
        }
        if let Some((_, nodes)) = best {
            open.extend(nodes);
        } else {
            // Nothing is left to split: only the prices can still say more.
            let climbed = relaxed.climb(&node.at, &node.held, ROOT, &mut |_, _, _| upper);
            done = done.min(climbed.best.value.max(node.bound));
        }
    }
    // What was cut off on the way could be cheaper than the best by a cent at most.
    let least = open.iter().map(|n| n.bound).fold(done, f64::min);
    least.min(upper - CENT)
}

/// The nodes that a split leaves, and how much it lifts the bound: the lesser gain of its halves, and a little
/// of both.
fn tried(
    relaxed: &Relaxed,
    node: &Node,
    halves: Vec<Held>,
    upper: &mut f64,
    build: &mut dyn FnMut(&Priced, &[f64]) -> f64,
) -> (f64, Vec<Node>) {
    let (mut least, mut sum) = (f64::INFINITY, 0.0);
    let mut nodes = Vec::new();
    for held in halves {
        let mut watch = |round: usize, priced: &Priced, prices: &[f64]| {
            if round == NODE.steps - 1 {
                *upper = build(priced, prices);
            }
            *upper
        };
        let climbed = relaxed.climb(&node.at, &held, NODE, &mut watch);
        let bound = climbed.best.value.max(node.bound);
        least = least.min(bound.min(*upper) - node.bound);
        sum += bound.min(*upper) - node.bound;
        if bound < *upper - CENT {
            let held = settled(relaxed, &climbed, held, *upper);
            nodes.push(Node { bound, at: climbed.at, held, best: climbed.best });
        }
    }
    (least + 0.2 * sum, nodes)
}

/// The ways to split a node: a type closed or open; a class by one type alone or not by it.
fn splits(relaxed: &Relaxed, node: &Node) -> Vec<Vec<Held>> {
    let by_type = least_settled(relaxed, node).map(|kind| {
        let half = |forced: Forced| {
            let mut held = node.held.clone();
            held.forced[kind] = forced;
            held
        };
        vec![half(Forced::Closed), half(Forced::Open)]
    });
    by_type.into_iter().chain(by_class(relaxed, node)).collect()
}

/// The dearest class that is not served exactly once: by one type alone, or not by it.
fn by_class(relaxed: &Relaxed, node: &Node) -> Option<Vec<Held>> {
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
    let class = (0..relaxed.without.len())
        .filter(|c| (node.best.covered[*c] - 1.0).abs() > 0.5)
        .filter(|c| types.clone().filter(|k| can(*k, *c)).count() > 1)
        .max_by(|a, b| off(a).total_cmp(&off(b)).then(b.cmp(a)))?;
    let able: Vec<usize> = types.filter(|k| can(*k, class)).collect();
    let kind = able.iter().copied().find(|k| serves(k, class)).unwrap_or(able[0]);
    let (mut alone, mut other) = (node.held.clone(), node.held.clone());
    for k in able {
        let barred = if k == kind { &mut other } else { &mut alone };
        barred.barred[k].push(class);
    }
    // Going without is still allowed where it was: both halves together leave nothing out.
    Some(vec![alone, other])
}

/// The free type whose opening is least settled, the dearer of two first.
fn least_settled(relaxed: &Relaxed, node: &Node) -> Option<usize> {
    let cost = |at: usize| {
        let fixed = relaxed.types[at].1.iter().map(|p| p.fixed);
        fixed.filter(|f| *f > 0.0).min_by(f64::total_cmp).unwrap_or(0.0)
    };
    let free =
        |at: &usize| node.held.forced[*at] == Forced::Free && !relaxed.types[*at].1.is_empty();
    let unsettled = |at: usize| {
        let share = node.at.share[at];
        (share.min(1.0 - share).max(0.0) + 0.02) * cost(at)
    };
    (0..node.held.forced.len())
        .filter(free)
        .max_by(|a, b| unsettled(*a).total_cmp(&unsettled(*b)).then(b.cmp(a)))
}
