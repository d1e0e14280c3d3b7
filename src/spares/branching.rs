//! The bound of the whole problem: prices climbed at the root, counts of units that every choice keeps, then
//! branching: on the units of a type, of types together, or on who serves a class, whichever lifts the bound most.

use super::bound::{CENT, Held, Priced, Relaxed};
use super::climbing::{Climbed, Pace, Start};
use super::counts::Neighbours;
use super::effort::Effort;
use super::master::{Master, Program};
use super::settling::settled;
use super::splits::Splits;

/// Rounds of packings at the root, at a node, and for a split that is only looked at.
const ROUNDS: [usize; 3] = [150, 25, 3];
/// Splits tried of those that promise most.
const TRIED: usize = 4;

/// A node of the branching.
pub(super) struct Node {
    pub(super) bound: f64,
    pub(super) at: Start,
    pub(super) held: Held,
    pub(super) best: Priced,
    pub(super) program: Program,
}

/// Where the branching starts: the prices climbed highest, with the counts of units that they missed.
pub(super) struct Root {
    climbed: Climbed,
    held: Held,
}

impl Root {
    /// Climbs from `prices`; `build` turns packings and prices into a real choice and returns the cost of the
    /// best so far.
    pub(super) fn climb(
        relaxed: &Relaxed,
        prices: &[f64],
        effort: Effort,
        build: &mut dyn FnMut(&Priced, &[f64]) -> f64,
    ) -> Self {
        let (every, pace) =
            (effort.build_every, Pace { steps: effort.steps, step: 0.3, patience: 20 });
        let types = relaxed.types.len();
        let start =
            Start { prices: prices.to_vec(), share: vec![0.0; types], units: vec![0.0; types] };
        let mut held = Held::nothing(types);
        let mut upper = f64::INFINITY;
        let mut watch = now_and_then(every, &mut upper, build);
        let mut climbed = relaxed.climb(&start, &held, pace, &mut watch);
        drop(watch);
        let near = Neighbours::of(relaxed);
        for _ in 0..effort.counts {
            if climbed.best.value >= upper - CENT {
                break;
            }
            let found = near.missed(relaxed, &climbed.at.units, &held.counts);
            if found.is_empty() {
                break;
            }
            climbed.at.prices.resize(climbed.at.prices.len() + found.len(), 0.0);
            held.counts.extend(found);
            let mut watch = now_and_then(every, &mut upper, build);
            climbed = relaxed.climb(&climbed.at, &held, pace, &mut watch);
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
        if nodes == 0 {
            return self.climbed.best.value.min(upper);
        }
        branched(relaxed, self.climbed, self.held, nodes, upper, build)
    }
}

/// What a climb has to reach: the cost of the best choice, which the packings may lower now and then.
fn now_and_then(
    every: usize,
    upper: &mut f64,
    build: &mut dyn FnMut(&Priced, &[f64]) -> f64,
) -> impl FnMut(usize, &Priced, &[f64]) -> f64 {
    move |round, priced, prices| {
        if round.is_multiple_of(every) {
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
    let mut tree = Tree { relaxed, master: Master::new(relaxed), splits: Splits::of(relaxed) };
    let empty = tree.master.empty(&held);
    let above = Node {
        bound: root.best.value,
        at: root.at,
        held: held.clone(),
        best: root.best,
        program: empty,
    };
    let mut open: Vec<Node> = tree.below(&above, held, upper, ROUNDS[0]).into_iter().collect();
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
        upper = build(&node.best, &node.at.prices);
        match tree.split(&node, upper) {
            Some(halves) => {
                let halves = halves
                    .into_iter()
                    .map(|half| tree.below(&half, half.held.clone(), upper, ROUNDS[1]));
                open.extend(halves.flatten());
            }
            // Nothing is left to split.
            None => done = done.min(node.bound),
        }
    }
    // What was cut off on the way could be cheaper than the best by a cent at most.
    let least = open.iter().map(|n| n.bound).fold(done, f64::min);
    least.min(upper - CENT)
}

/// What all nodes share.
struct Tree<'a> {
    relaxed: &'a Relaxed,
    master: Master<'a>,
    splits: Splits,
}

impl Tree<'_> {
    /// The node below `node` where `held` is decided; `None` where nothing cheaper than `upper` is left in it.
    fn below(&mut self, node: &Node, held: Held, upper: f64, rounds: usize) -> Option<Node> {
        let mut program = node.program.clone();
        let climbed = self.master.climb(&mut program, &node.at, &held, upper, rounds);
        let bound = climbed.best.value.max(node.bound);
        (bound < upper - CENT).then(|| {
            let held = settled(self.relaxed, &climbed, held, upper);
            Node { bound, at: climbed.at, held, best: climbed.best, program }
        })
    }

    /// The halves of the split that lifts the bound most: by the lesser gain of the two, and a little of both.
    fn split(&mut self, node: &Node, upper: f64) -> Option<Vec<Node>> {
        let gain = |values: &[f64]| {
            let gains = || values.iter().map(|v| v.min(upper) - node.bound);
            gains().fold(f64::INFINITY, f64::min) + 0.15 * gains().sum::<f64>()
        };
        let mut guessed: Vec<(f64, Vec<Held>)> = Vec::new();
        for halves in self.splits.of_node(self.relaxed, node) {
            let look = |held: &Held| self.master.look(&node.program, &node.at, held, upper);
            let values: Vec<f64> = halves.iter().map(look).collect();
            guessed.push((gain(&values), halves));
        }
        guessed.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut best: Option<(f64, Vec<Node>)> = None;
        for (_, halves) in guessed.into_iter().take(TRIED) {
            let nodes: Vec<Option<Node>> =
                halves.into_iter().map(|held| self.below(node, held, upper, ROUNDS[2])).collect();
            let values: Vec<f64> =
                nodes.iter().map(|n| n.as_ref().map_or(upper, |n| n.bound)).collect();
            let lifted = gain(&values);
            if best.as_ref().is_none_or(|b| lifted > b.0) {
                best = Some((lifted, nodes.into_iter().flatten().collect()));
            }
        }
        best.map(|b| b.1)
    }
}
