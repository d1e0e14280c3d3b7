//! Counts of units that every choice keeps: what makes the bound of packings see that units are whole.
//!
//! For a set of classes S, every choice keeps at least k units of the types N(S) that can serve S. k is bounded
//! by the same packings with every unit priced at one, and rounded up:
//!
//! ```text
//! Σ over types of N(S) of units ≥ k(S) = ⌈ least units by packing bound ⌉
//! ```
//!
//! A class that may go without counts nothing (going without is free in the count).

use std::collections::BTreeSet;

use super::bound::{Held, Item, Pack, Relaxed};
use super::branching::branched;
use super::climbing::{Pace, Start};

/// At least or at most so many units are kept of these types together.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Count {
    /// Types, by their place in the relaxed problem.
    pub(super) types: Vec<usize>,
    /// Units.
    pub(super) units: f64,
    /// Whether the units are a limit from above.
    pub(super) at_most: bool,
}

/// The prices of one count.
const PACE: Pace = Pace { steps: 150, step: 0.5, patience: 15 };
/// A count that the prices miss by less is not worth adding.
const LEAST: f64 = 0.04;
/// Counts missed by no more than this are branched on.
const NEAR: f64 = 0.25;
/// Nodes of that branching.
const NODES: usize = 4;
/// Sets tried at one time.
const TRIED: usize = 800;
/// Counts added at one time.
const ADDED: usize = 60;
/// Sets with more units are not grown.
const MOST: f64 = 25.0;
/// Types held less count as not held when sets grow.
const FAINT: f64 = 0.06;

/// Which types can serve each class.
pub(super) struct Neighbours {
    able: Vec<Vec<usize>>,
}

impl Neighbours {
    pub(super) fn of(relaxed: &Relaxed) -> Self {
        let mut able: Vec<Vec<usize>> = vec![Vec::new(); relaxed.without.len()];
        for (at, (_, packs)) in relaxed.types.iter().enumerate() {
            let classes: BTreeSet<usize> =
                packs.iter().flat_map(|p| p.items.iter().map(|i| i.class)).collect();
            for class in classes {
                able[class].push(at);
            }
        }
        Self { able }
    }

    /// Counts that `units` (held on the way to the prices) fall short of, the largest miss first.
    pub(super) fn missed(&self, relaxed: &Relaxed, units: &[f64], known: &[Count]) -> Vec<Count> {
        let mut tried: BTreeSet<Vec<usize>> = known.iter().map(|c| c.types.clone()).collect();
        let mut sets = Vec::new();
        self.sets(units, &mut |types, held| {
            let short = held.floor() + 1.0 - held;
            if short >= LEAST && tried.insert(types.clone()) {
                sets.push((short, held, types));
            }
        });
        sets.sort_by(|a, b| b.0.total_cmp(&a.0));
        let counts = sets.into_iter().take(TRIED).map(|(_, held, types)| Count {
            types,
            units: held.floor() + 1.0,
            at_most: false,
        });
        counts.filter(|count| self.is_kept(relaxed, count)).take(ADDED).collect()
    }

    /// Sets of types round every class, each with the units held of it.
    pub(super) fn sets(&self, units: &[f64], see: &mut dyn FnMut(Vec<usize>, f64)) {
        for seed in 0..self.able.len() {
            self.grow(seed, units, see);
        }
    }

    /// Sets of types round a class, each with the units held of it, from the class's own types outwards.
    fn grow(&self, seed: usize, units: &[f64], see: &mut dyn FnMut(Vec<usize>, f64)) {
        let mut within: BTreeSet<usize> = self.able[seed].iter().copied().collect();
        let held = |set: &BTreeSet<usize>| set.iter().map(|t| units[*t]).sum::<f64>();
        loop {
            let mut next: Option<(f64, usize, usize)> = None;
            for (class, types) in self.able.iter().enumerate() {
                let more = || types.iter().filter(|t| !within.contains(t));
                let count = more().count();
                if count == 0 || count == types.len() {
                    continue;
                }
                let key = (more().map(|t| units[*t]).sum::<f64>(), count, class);
                if next.is_none_or(|n| key.0.total_cmp(&n.0).then(key.1.cmp(&n.1)).is_lt()) {
                    next = Some(key);
                }
            }
            let all = held(&within);
            if next.is_none_or(|(adds, _, _)| adds > FAINT) {
                see(within.iter().copied().collect(), all);
            }
            let Some((adds, _, class)) = next else { return };
            if all + adds > MOST {
                return;
            }
            within.extend(self.able[class].iter().copied());
        }
    }

    /// Whether the classes that only the types of a count serve need its units at least.
    fn is_kept(&self, relaxed: &Relaxed, count: &Count) -> bool {
        let only = |c: &usize| {
            !self.able[*c].is_empty() && self.able[*c].iter().all(|t| count.types.contains(t))
        };
        let own: Vec<usize> = (0..self.able.len()).filter(only).collect();
        let items = |pack: &Pack| {
            let at = |i: &Item| {
                Some(Item { class: own.binary_search(&i.class).ok()?, extra: 0.0, ..*i })
            };
            pack.items.iter().filter_map(at).collect()
        };
        let counted = |pack: &Pack| Pack {
            fixed: f64::from(pack.units),
            units: pack.units,
            cap: pack.cap,
            items: items(pack),
        };
        let packs = |t: &usize| (*t, relaxed.types[*t].1.iter().map(counted).collect());
        let free = |c: &usize| if relaxed.without[*c].is_finite() { 0.0 } else { f64::INFINITY };
        let part =
            Relaxed::new(count.types.iter().map(packs).collect(), own.iter().map(free).collect());
        let types = count.types.len();
        let start = Start {
            prices: vec![count.units / own.len().max(1) as f64; own.len()],
            share: vec![0.0; types],
            units: vec![0.0; types],
        };
        let held = Held::nothing(types);
        // Anything above one unit less, once rounded up, is enough.
        let goal = count.units - 1.0 + 0.03;
        let climbed = part.climb(&start, &held, PACE, &mut |_, _, _| goal);
        let least = count.units - 1.0 + 1e-6;
        if climbed.best.value > least || climbed.best.value < count.units - 1.0 - NEAR {
            return climbed.best.value > least;
        }
        branched(&part, climbed, held, NODES, goal, &mut |_, _| goal) > least
    }
}
