//! The search for a cheap choice of types where looking at every one would take too long: moves, pools
//! merged and closed, packings of the bound, and pools taken apart and put together again by price.

use std::collections::HashMap;

use super::bound::{Pack, Priced, Relaxed, shaken};
use super::branching::Root;
use super::choice::{Chosen, OUT_OF_REACH, Options};
use super::effort::Effort;
use super::random::SplitMix;

/// Where every class stands.
#[derive(Clone, Debug)]
pub(super) struct State {
    /// Slot of each class: a type, or the last one for those that go without.
    pub(super) of: Vec<usize>,
    /// Classes of each slot, in order.
    pub(super) members: Vec<Vec<usize>>,
    /// Cost of each slot.
    cost: Vec<f64>,
}

impl State {
    pub(super) fn total(&self) -> f64 {
        self.cost.iter().sum()
    }
}

/// Slots that a move changes, with their classes then.
type Changed = Vec<(usize, Vec<usize>)>;

/// The problem with its costs known so far.
pub(super) struct Finder<'a, F> {
    /// Slots that each class may stand in.
    pub(super) slots: Vec<Vec<usize>>,
    /// Type of each slot; `None` for going without.
    pub(super) kinds: Vec<Option<usize>>,
    cost: F,
    known: Vec<HashMap<Vec<usize>, f64>>,
    /// How many costs are known.
    kept: usize,
    pub(super) relaxed: &'a Relaxed,
}

impl<'a, F: FnMut(Option<usize>, &[usize]) -> f64> Finder<'a, F> {
    pub(super) fn new(options: &[Options], relaxed: &'a Relaxed, cost: F) -> Self {
        let mut kinds: Vec<Option<usize>> =
            options.iter().flatten().filter(|o| o.is_some()).copied().collect();
        kinds.sort_unstable();
        kinds.dedup();
        kinds.push(None);
        let slot = |kind: &Option<usize>| kinds.iter().position(|k| k == kind).unwrap_or_default();
        let slots = options.iter().map(|o| o.iter().map(slot).collect()).collect();
        let known = vec![HashMap::new(); kinds.len()];
        Self { slots, kinds, cost, known, kept: 0, relaxed }
    }

    pub(super) fn pool(&mut self, slot: usize, classes: &[usize]) -> f64 {
        if classes.is_empty() {
            return 0.0;
        }
        if let Some(cost) = self.known[slot].get(classes) {
            return *cost;
        }
        let cost = (self.cost)(self.kinds[slot], classes);
        self.known[slot].insert(classes.to_vec(), cost);
        self.kept += 1;
        cost
    }

    fn put(&mut self, state: &mut State, slot: usize, classes: Vec<usize>) {
        state.cost[slot] = self.pool(slot, &classes);
        for class in &classes {
            state.of[*class] = slot;
        }
        state.members[slot] = classes;
    }

    pub(super) fn state(&mut self, of: Vec<usize>) -> State {
        let mut members = vec![Vec::new(); self.kinds.len()];
        for (class, slot) in of.iter().enumerate() {
            members[*slot].push(class);
        }
        let cost = (0..members.len()).map(|slot| self.pool(slot, &members[slot])).collect();
        State { of, members, cost }
    }

    /// Every class where it is cheapest alone, and the dearest of them: a first bound.
    fn alone(&mut self) -> (State, f64) {
        let mut of = Vec::with_capacity(self.slots.len());
        let mut dearest = 0.0_f64;
        for class in 0..self.slots.len() {
            let costs: Vec<(f64, usize)> =
                self.slots[class].clone().iter().map(|s| (self.pool(*s, &[class]), *s)).collect();
            let least = costs.into_iter().min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let (cost, slot) = least.unwrap_or((0.0, self.kinds.len() - 1));
            dearest = dearest.max(cost);
            of.push(slot);
        }
        (self.state(of), dearest)
    }

    /// What moving `moved` from their slots into `slot` changes, and the slots then.
    fn moved(&mut self, state: &State, moved: &[usize], slot: usize) -> (f64, Changed) {
        let mut changed: Changed = Vec::new();
        let mut gained = state.members[slot].clone();
        for class in moved {
            let from = state.of[*class];
            if from == slot {
                continue;
            }
            if let Some((_, left)) = changed.iter_mut().find(|(s, _)| *s == from) {
                left.retain(|c| c != class);
            } else {
                let left = state.members[from].iter().copied().filter(|c| c != class).collect();
                changed.push((from, left));
            }
            gained.push(*class);
        }
        gained.sort_unstable();
        changed.push((slot, gained));
        let mut change = 0.0;
        for (slot, classes) in &changed {
            change += self.pool(*slot, classes) - state.cost[*slot];
        }
        (change, changed)
    }

    fn apply(&mut self, state: &mut State, changed: Changed) {
        for (slot, classes) in changed {
            self.put(state, slot, classes);
        }
    }

    /// Moves single classes, merges pools and closes pools until nothing saves any more.
    fn improve(&mut self, state: &mut State) {
        while self.single_moves(state)
            || self.gathers(state)
            || self.merges(state)
            || self.closings(state)
        {}
    }

    fn single_moves(&mut self, state: &mut State) -> bool {
        let mut any = false;
        for class in 0..self.slots.len() {
            let mut best: Option<(f64, Changed)> = None;
            for slot in self.slots[class].clone() {
                if slot != state.of[class] {
                    let found = self.moved(state, &[class], slot);
                    if best.as_ref().is_none_or(|b| found.0 < b.0) {
                        best = Some(found);
                    }
                }
            }
            if let Some((change, changed)) = best
                && change < -SAVES
            {
                self.apply(state, changed);
                any = true;
            }
        }
        any
    }

    /// Moves every class that can go into one type there at once.
    fn gathers(&mut self, state: &mut State) -> bool {
        for slot in 0..self.kinds.len() - 1 {
            let can: Vec<usize> =
                (0..self.slots.len()).filter(|c| self.slots[*c].contains(&slot)).collect();
            let (change, changed) = self.moved(state, &can, slot);
            if change < -SAVES {
                self.apply(state, changed);
                return true;
            }
        }
        false
    }

    /// Moves all classes of one pool that can go into another type there at once.
    fn merges(&mut self, state: &mut State) -> bool {
        for from in 0..self.kinds.len() {
            for slot in 0..self.kinds.len() - 1 {
                if slot == from || state.members[from].is_empty() {
                    continue;
                }
                let can: Vec<usize> = state.members[from]
                    .iter()
                    .copied()
                    .filter(|c| self.slots[*c].contains(&slot))
                    .collect();
                if can.len() < 2 {
                    continue;
                }
                let (change, changed) = self.moved(state, &can, slot);
                if change < -SAVES {
                    self.apply(state, changed);
                    return true;
                }
            }
        }
        false
    }

    /// Exchanges two classes of two pools where that saves; capacities that bind need it.
    fn swaps(&mut self, state: &mut State) {
        for a in 0..self.slots.len() {
            for b in a + 1..self.slots.len() {
                let (from, to) = (state.of[a], state.of[b]);
                if from == to || !self.slots[a].contains(&to) || !self.slots[b].contains(&from) {
                    continue;
                }
                let with = |members: &[usize], out: usize, into: usize| {
                    let mut classes: Vec<usize> =
                        members.iter().copied().filter(|c| *c != out).collect();
                    classes.insert(classes.partition_point(|c| *c < into), into);
                    classes
                };
                let (one, other) =
                    (with(&state.members[from], a, b), with(&state.members[to], b, a));
                let change = self.pool(from, &one) + self.pool(to, &other)
                    - state.cost[from]
                    - state.cost[to];
                if change < -SAVES {
                    self.put(state, from, one);
                    self.put(state, to, other);
                }
            }
        }
    }

    /// Closes a pool, each of its classes to where it adds least.
    fn closings(&mut self, state: &mut State) -> bool {
        for slot in 0..self.kinds.len() {
            if state.members[slot].is_empty() {
                continue;
            }
            let mut next = state.clone();
            let homeless = std::mem::take(&mut next.members[slot]);
            next.cost[slot] = 0.0;
            if self.rehome(&mut next, &homeless, slot) && next.total() < state.total() - SAVES {
                *state = next;
                return true;
            }
        }
        false
    }

    /// Puts classes without a pool where each adds least, never into `but`; `false` where one has no place.
    fn rehome(&mut self, state: &mut State, homeless: &[usize], but: usize) -> bool {
        for class in homeless {
            let mut best: Option<(f64, usize, Vec<usize>)> = None;
            for slot in self.slots[*class].clone() {
                if slot == but {
                    continue;
                }
                let mut classes = state.members[slot].clone();
                let at = classes.partition_point(|c| c < class);
                classes.insert(at, *class);
                let change = self.pool(slot, &classes) - state.cost[slot];
                if best.as_ref().is_none_or(|b| change < b.0) {
                    best = Some((change, slot, classes));
                }
            }
            let Some((_, slot, classes)) = best else { return false };
            self.put(state, slot, classes);
        }
        true
    }

    /// Puts classes without a pool together again: again and again the pack that costs least for the
    /// prices of what it can still hold, the rest where each adds least.
    fn rebuild(&mut self, state: &mut State, homeless: Vec<usize>, prices: &[f64]) -> bool {
        let nowhere = usize::MAX;
        let mut left: Vec<bool> = vec![false; prices.len()];
        for c in &homeless {
            left[*c] = true;
        }
        let relaxed = self.relaxed;
        loop {
            let mut best: Option<(f64, usize, Vec<usize>)> = None;
            for (kind, packs) in &relaxed.types {
                let Some(slot) = self.kinds.iter().position(|k| *k == Some(*kind)) else {
                    continue;
                };
                if !state.members[slot].is_empty() {
                    continue;
                }
                for pack in widest(packs) {
                    let mut can: Vec<_> = pack
                        .items
                        .iter()
                        .filter(|i| {
                            left[i.class] && prices[i.class] > i.extra && i.load <= pack.cap
                        })
                        .collect();
                    can.sort_by(|a, b| {
                        let rate = |i: &super::bound::Item| {
                            (prices[i.class] - i.extra) / i.load.max(1e-12)
                        };
                        rate(b).total_cmp(&rate(a)).then(a.class.cmp(&b.class))
                    });
                    let (mut load, mut cost, mut worth) = (0.0, pack.fixed, 0.0);
                    let mut classes = Vec::new();
                    for item in can {
                        if load + item.load <= pack.cap {
                            load += item.load;
                            cost += item.extra;
                            worth += prices[item.class];
                            classes.push(item.class);
                        }
                    }
                    let rate = cost / worth;
                    if worth > 0.0 && best.as_ref().is_none_or(|b| rate < b.0) {
                        best = Some((rate, slot, classes));
                    }
                }
            }
            let Some((_, slot, mut classes)) = best else { break };
            classes.sort_unstable();
            for c in &classes {
                left[*c] = false;
            }
            self.put(state, slot, classes);
        }
        let rest: Vec<usize> = homeless.into_iter().filter(|c| left[*c]).collect();
        self.rehome(state, &rest, nowhere)
    }

    /// A choice from the packings of the bound.
    fn packed(&mut self, priced: &Priced, prices: &[f64]) -> Option<State> {
        let mut state = State {
            of: vec![0; self.slots.len()],
            members: vec![Vec::new(); self.kinds.len()],
            cost: vec![0.0; self.kinds.len()],
        };
        let mut taken = vec![false; self.slots.len()];
        for ((kind, _), chosen) in self.relaxed.types.iter().zip(&priced.chosen) {
            let Some((_, set)) = chosen else { continue };
            let Some(slot) = self.kinds.iter().position(|k| *k == Some(*kind)) else { continue };
            let mut classes: Vec<usize> = set.iter().copied().filter(|c| !taken[*c]).collect();
            classes.sort_unstable();
            for c in &classes {
                taken[*c] = true;
            }
            self.put(&mut state, slot, classes);
        }
        let homeless: Vec<usize> = (0..taken.len()).filter(|c| !taken[*c]).collect();
        self.rebuild(&mut state, homeless, prices).then_some(state)
    }

    /// Each class's share of what its pool costs.
    fn shares(state: &State) -> Vec<f64> {
        state
            .of
            .iter()
            .map(|slot| state.cost[*slot] / state.members[*slot].len().max(1) as f64)
            .collect()
    }

    /// Takes a few neighbouring pools apart and puts them together by shaken prices.
    fn shake(&mut self, best: &mut State, prices: &[f64], rounds: usize) {
        let mut random = SplitMix::new(0x5EED);
        let mut current = best.clone();
        for round in 0..rounds {
            let open: Vec<usize> =
                (0..self.kinds.len()).filter(|s| !current.members[*s].is_empty()).collect();
            let first = open[random.below(open.len())];
            let near: Vec<usize> = open
                .iter()
                .copied()
                .filter(|s| *s == first || self.are_neighbours(&current, first, *s))
                .collect();
            let count = (2 + random.below(6)).min(near.len());
            let mut apart = vec![first];
            while apart.len() < count {
                let one = near[random.below(near.len())];
                if !apart.contains(&one) {
                    apart.push(one);
                }
            }
            let mut next = current.clone();
            let mut homeless = Vec::new();
            for slot in apart {
                homeless.append(&mut next.members[slot]);
                next.cost[slot] = 0.0;
            }
            homeless.sort_unstable();
            let placed = if random.below(3) == 0 {
                // In a drawn order, each where it adds least.
                for at in (1..homeless.len()).rev() {
                    homeless.swap(at, random.below(at + 1));
                }
                self.rehome(&mut next, &homeless, usize::MAX)
            } else {
                let other = shaken(prices, &mut random);
                self.rebuild(&mut next, homeless, &other)
            };
            if !placed {
                continue;
            }
            self.single_moves(&mut next);
            self.closings(&mut next);
            if next.total() < best.total() * (1.0 + SWAPS_WITHIN) {
                self.swaps(&mut next);
            }
            let slack = 0.01 * (1.0 - round as f64 / rounds as f64);
            if next.total() < best.total() - SAVES {
                self.improve(&mut next);
                *best = next.clone();
                current = next;
            } else if next.total() < best.total() * (1.0 + slack) {
                current = next;
            }
            if self.kept > MOST_KNOWN {
                self.known.iter_mut().for_each(HashMap::clear);
                self.kept = 0;
            }
        }
    }

    /// Whether a class of one pool could stand in the other.
    fn are_neighbours(&self, state: &State, a: usize, b: usize) -> bool {
        state.members[a].iter().any(|c| self.slots[*c].contains(&b))
            || state.members[b].iter().any(|c| self.slots[*c].contains(&a))
    }

    /// Puts a choice from packings in the place of `best` if it is better; the cost of the best then.
    fn built(&mut self, best: &mut State, priced: &Priced, prices: &[f64], near: f64) -> f64 {
        if let Some(mut found) = self.packed(priced, prices)
            && found.total() < best.total() * near
        {
            self.improve(&mut found);
            if found.total() < best.total() - SAVES {
                *best = found;
            }
        }
        best.total() % OUT_OF_REACH
    }

    /// The best choice found, with the bound.
    pub(super) fn find(mut self) -> Chosen {
        let (mut best, dearest) = self.alone();
        self.improve(&mut best);
        let mut least = dearest % OUT_OF_REACH;
        let relaxed = self.relaxed;
        if !relaxed.types.is_empty() {
            let packs = relaxed.types.iter().map(|t| t.1.len()).sum::<usize>();
            let effort = Effort::of(self.slots.iter().map(Vec::len).sum::<usize>() + packs);
            let start = Self::shares(&best);
            let mut build = |p: &Priced, u: &[f64]| self.built(&mut best, p, u, 1.05);
            let before = Effort { counts: 0, ..effort };
            let first = Root::climb(relaxed, &start, before, &mut build);
            self.shake(&mut best, first.prices(), effort.rounds);
            self.tighten(&mut best, effort.exchanges);
            let mut build = |p: &Priced, u: &[f64]| self.built(&mut best, p, u, 1.05);
            let root = Root::climb(relaxed, first.prices(), effort, &mut build);
            let mut build = |p: &Priced, u: &[f64]| self.built(&mut best, p, u, 1.02);
            let found = root.bound(relaxed, effort.nodes, &mut build);
            least = least.max(found);
        }
        let cost = best.total();
        let least = least.min(cost % OUT_OF_REACH);
        let types = best.of.iter().map(|slot| self.kinds[*slot]).collect();
        Chosen { types, cost, bound: least, proven: cost % OUT_OF_REACH - least <= 0.02 }
    }
}

/// A change that saves less is none.
pub(super) const SAVES: f64 = 1e-7;
/// Choices this near to the best are worth exchanging single classes in.
const SWAPS_WITHIN: f64 = 0.002;
/// Pool costs kept at most.
const MOST_KNOWN: usize = 400_000;

/// Of each stock and level the pack with the largest span of load.
fn widest(packs: &[Pack]) -> impl Iterator<Item = &Pack> {
    let next = packs.iter().skip(1).map(Some).chain([None]);
    let is_last = |a: &Pack, b: Option<&Pack>| {
        b.is_none_or(|b| (a.units, a.items.len()) != (b.units, b.items.len()))
    };
    packs.iter().zip(next).filter(move |(a, b)| is_last(a, *b)).map(|(a, _)| a)
}
