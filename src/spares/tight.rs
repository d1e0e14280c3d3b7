//! Pools packed tight: one unit fewer of one type, perhaps one more of a cheaper one, and the classes that then
//! have no room pushed from pool to pool until every one has it again.
//!
//! Moves that look at cost alone never get there: on the way a pool is fuller than its stock allows.

use super::bound::Relaxed;
use super::random::SplitMix;
use super::search::{Finder, SAVES, State};

/// Times that every exchange is tried, unless nothing more is saved.
const PASSES: usize = 4;
/// How much dearer than the best a drawn exchange may be at first.
const SLACK: f64 = 0.02;
/// Pushes of one exchange.
const PUSHES: usize = 120;
/// Pushes for which a class stays where it was put.
const RESTS: usize = 8;

/// A type at one stock.
#[derive(Clone, Copy, Debug)]
struct Step {
    units: u32,
    fixed: f64,
    cap: f64,
}

/// What every type can carry at every stock, and what every class takes of it.
struct Room {
    /// Stocks of each slot, upwards.
    steps: Vec<Vec<Step>>,
    /// Load of each class in each slot; infinite where it cannot stand.
    loads: Vec<Vec<f64>>,
}

impl Room {
    fn of(relaxed: &Relaxed, kinds: &[Option<usize>]) -> Self {
        let classes = relaxed.without.len();
        let mut steps = vec![Vec::new(); kinds.len()];
        let mut loads = vec![vec![f64::INFINITY; classes]; kinds.len()];
        for (kind, packs) in &relaxed.types {
            let Some(slot) = kinds.iter().position(|k| *k == Some(*kind)) else { continue };
            let mut fullest = 0;
            for pack in packs.iter().filter(|p| p.units > 0 && p.cap.is_finite()) {
                for item in &pack.items {
                    loads[slot][item.class] = item.load;
                }
                // Of one stock the level that may serve most classes, and its largest span of load.
                let step = Step { units: pack.units, fixed: pack.fixed, cap: pack.cap };
                let own: &mut Vec<Step> = &mut steps[slot];
                match own.last_mut() {
                    Some(last) if last.units == step.units => {
                        if pack.items.len() >= fullest {
                            fullest = pack.items.len();
                            *last = step;
                        }
                    }
                    _ => {
                        fullest = pack.items.len();
                        own.push(step);
                    }
                }
            }
        }
        Self { steps, loads }
    }
}

/// A class, the pool it goes to, and perhaps the class that comes back.
type Push = (usize, usize, Option<usize>);

/// Classes in pools of fixed stocks, some perhaps too full.
#[derive(Clone)]
struct Packed {
    of: Vec<usize>,
    /// Place of each slot's stock; `None` where it holds nothing.
    at: Vec<Option<usize>>,
    load: Vec<f64>,
}

impl Packed {
    fn cap(&self, room: &Room, slot: usize) -> f64 {
        self.at[slot].map_or(0.0, |at| room.steps[slot][at].cap)
    }

    fn over(&self, room: &Room, slot: usize, load: f64) -> f64 {
        (load - self.cap(room, slot)).max(0.0)
    }

    fn put(&mut self, room: &Room, class: usize, slot: usize) {
        let from = self.of[class];
        self.load[from] -= room.loads[from][class];
        self.load[slot] += room.loads[slot][class];
        self.of[class] = slot;
    }

    /// A choice as pools of fixed stocks; `None` where one has no stock that holds it, or classes go without.
    fn of(room: &Room, state: &State) -> Option<Self> {
        let mut at = vec![None; state.members.len()];
        let mut load = vec![0.0; state.members.len()];
        for (slot, classes) in state.members.iter().enumerate().filter(|(_, m)| !m.is_empty()) {
            load[slot] = classes.iter().map(|c| room.loads[slot][*c]).sum();
            at[slot] = Some(room.steps[slot].iter().position(|s| load[slot] <= s.cap)?);
        }
        Some(Self { of: state.of.clone(), at, load })
    }

    fn fixed(&self, room: &Room, slot: usize) -> f64 {
        self.at[slot].map_or(0.0, |at| room.steps[slot][at].fixed)
    }

    /// One unit fewer of a type that holds some; what that costs.
    fn fewer(&mut self, room: &Room, slot: usize) -> Option<f64> {
        let (before, at) = (self.fixed(room, slot), self.at[slot]?);
        self.at[slot] = at.checked_sub(1);
        Some(self.fixed(room, slot) - before)
    }

    /// One unit more of a type; what that costs. `None` where there is no larger stock.
    fn more(&mut self, room: &Room, slot: usize) -> Option<f64> {
        let before = self.fixed(room, slot);
        let more = self.at[slot].map_or(0, |at| at + 1);
        if more >= room.steps[slot].len() {
            return None;
        }
        self.at[slot] = Some(more);
        Some(self.fixed(room, slot) - before)
    }

    /// A drawn exchange among types that could serve one pool's classes: one or two units fewer, as many or one
    /// fewer more; what that costs.
    fn exchange(&mut self, room: &Room, random: &mut SplitMix) -> Option<f64> {
        let open: Vec<usize> = (0..self.at.len()).filter(|s| self.at[*s].is_some()).collect();
        let first = open[random.below(open.len())];
        let own: Vec<usize> = (0..self.of.len()).filter(|c| self.of[*c] == first).collect();
        let near: Vec<usize> = (0..self.at.len())
            .filter(|s| own.iter().any(|c| room.loads[*s][*c].is_finite()))
            .collect();
        let others: Vec<usize> =
            near.iter().copied().filter(|s| *s != first && self.at[*s].is_some()).collect();
        let mut out = vec![first];
        if random.below(2) == 1 && !others.is_empty() {
            out.push(others[random.below(others.len())]);
        }
        let mut change = 0.0;
        for slot in &out {
            change += self.fewer(room, *slot)?;
        }
        for _ in 0..out.len() - random.below(2) {
            change += self.more(room, near[random.below(near.len())])?;
        }
        Some(change)
    }

    /// Pushes classes on until no pool is too full; `false` where that was not found.
    fn settle(&mut self, room: &Room, random: &mut SplitMix) -> bool {
        let mut rests = vec![0; self.of.len()];
        for push in 1..=PUSHES {
            let fullest = (0..self.load.len())
                .map(|s| (self.over(room, s, self.load[s]), s))
                .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
            let Some((over, slot)) = fullest else { return true };
            if over <= 1e-12 {
                return true;
            }
            let Some((class, into, back)) = self.best_push(room, slot, &rests, push, random) else {
                return false;
            };
            self.put(room, class, into);
            rests[class] = push + RESTS;
            if let Some(other) = back {
                self.put(room, other, slot);
                rests[other] = push + RESTS;
            }
        }
        false
    }

    /// The class to take out of a pool, the pool it goes to, and perhaps the class that comes back.
    fn best_push(
        &self,
        room: &Room,
        slot: usize,
        rests: &[usize],
        push: usize,
        random: &mut SplitMix,
    ) -> Option<Push> {
        let mut best: Option<(f64, Push)> = None;
        let mut see = |over: f64, found, random: &mut SplitMix| {
            let over = over + 1e-6 * random.unit();
            if best.is_none_or(|b| over < b.0) {
                best = Some((over, found));
            }
        };
        let now = |s: usize| self.over(room, s, self.load[s]);
        let free = |slot: usize| {
            (0..self.of.len()).filter(move |c| self.of[*c] == slot && rests[*c] < push)
        };
        for class in free(slot) {
            let left = self.load[slot] - room.loads[slot][class];
            for into in (0..self.at.len()).filter(|s| *s != slot && self.at[*s].is_some()) {
                let takes = room.loads[into][class];
                if takes.is_infinite() {
                    continue;
                }
                let then = self.load[into] + takes;
                let before = now(slot) + now(into);
                let after = self.over(room, slot, left) + self.over(room, into, then);
                see(after - before, (class, into, None), random);
                for other in free(into) {
                    let back = room.loads[slot][other];
                    if back.is_infinite() {
                        continue;
                    }
                    let after = self.over(room, slot, left + back)
                        + self.over(room, into, then - room.loads[into][other]);
                    see(after - before, (class, into, Some(other)), random);
                }
            }
        }
        best.map(|b| b.1)
    }
}

impl<F: FnMut(Option<usize>, &[usize]) -> f64> Finder<'_, F> {
    /// Tries every exchange of one unit for none or for a cheaper one, until that saves nothing more, then so many drawn
    /// exchanges.
    pub(super) fn tighten(&mut self, best: &mut State, drawn: usize) {
        let room = Room::of(self.relaxed, &self.kinds);
        let mut random = SplitMix::new(0x716);
        for _ in 0..PASSES {
            let before = best.total();
            for out in 0..self.kinds.len() - 1 {
                self.exchanges(&room, best, out, &mut random);
            }
            if best.total() > before - SAVES {
                break;
            }
        }
        self.wander(&room, best, drawn, &mut random);
    }

    /// One unit of a type for none, then for one of each other type.
    fn exchanges(&mut self, room: &Room, best: &mut State, out: usize, random: &mut SplitMix) {
        let last = self.kinds.len() - 1;
        for into in (0..last).filter(|s| *s != out).map(Some).chain([None]) {
            let Some(mut next) = Packed::of(room, best) else { return };
            let Some(mut change) = next.fewer(room, out) else { return };
            if let Some(into) = into {
                let Some(more) = next.more(room, into) else { continue };
                change += more;
            }
            if change > -SAVES || !next.settle(room, random) {
                continue;
            }
            let next = self.state(next.of);
            if next.total() < best.total() - SAVES {
                *best = next;
            }
        }
    }

    /// Drawn exchanges of one or two units for as many or one fewer, some of them dearer for a while.
    fn wander(&mut self, room: &Room, best: &mut State, drawn: usize, random: &mut SplitMix) {
        let mut current = best.clone();
        for round in 0..drawn {
            let slack = SLACK * (1.0 - round as f64 / drawn as f64);
            let Some(mut next) = Packed::of(room, &current) else { return };
            let Some(change) = next.exchange(room, random) else { continue };
            if current.total() + change > best.total() * (1.0 + slack) || !next.settle(room, random)
            {
                continue;
            }
            let next = self.state(next.of);
            if next.total() < best.total() - SAVES {
                *best = next.clone();
            }
            if next.total() < best.total() * (1.0 + slack) {
                current = next;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spares::{Item, Pack};

    /// Two types of one unit each: loads 3, 3, 2, 2, 2 fill two pools of 6 in one way only, 3 + 3 and 2 + 2 + 2.
    #[test]
    fn classes_are_pushed_until_every_pool_has_room() {
        let loads = [3.0, 2.0, 3.0, 2.0, 2.0];
        let items: Vec<Item> =
            (0..5).map(|class| Item { class, load: loads[class], extra: 0.0 }).collect();
        let pack = Pack { fixed: 10.0, units: 1, cap: 6.0, items };
        let types = vec![(0, vec![pack.clone()]), (1, vec![pack])];
        let relaxed = Relaxed::new(types, vec![f64::INFINITY; 5]);
        let room = Room::of(&relaxed, &[Some(0), Some(1), None]);
        let mut packed =
            Packed { of: vec![0; 5], at: vec![Some(0), Some(0), None], load: vec![12.0, 0.0, 0.0] };
        assert!(packed.settle(&room, &mut SplitMix::new(1)));
        assert_eq!(packed.of[0], packed.of[2]);
        assert!(
            packed.of[1] != packed.of[0]
                && packed.of[1] == packed.of[3]
                && packed.of[3] == packed.of[4]
        );
        // Nothing has room for more than 12.
        let mut over =
            Packed { at: vec![Some(0), None, None], load: vec![12.0, 0.0, 0.0], of: vec![0; 5] };
        assert!(!over.settle(&room, &mut SplitMix::new(1)));
    }
}
