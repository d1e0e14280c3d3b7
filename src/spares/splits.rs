//! The ways to split a node of the branching: fewer units of a type or more, of types together, a class by one type
//! alone or not by it. The halves of each leave nothing out.

use std::collections::BTreeSet;

use super::bound::{Held, Opened, Relaxed};
use super::branching::Node;
use super::counts::{Count, Neighbours};

/// Units of a type that are a whole number but for this are one.
const WHOLE: f64 = 0.02;
/// Units of types together that are nearer to a whole number are not split on.
const BETWEEN: f64 = 0.2;
/// Splits of each sort that are looked at.
const EACH: usize = 10;

/// What does not change from node to node.
pub(super) struct Splits {
    near: Neighbours,
    /// The cheapest pack of each type for each of its units.
    prices: Vec<f64>,
}

impl Splits {
    pub(super) fn of(relaxed: &Relaxed) -> Self {
        let price = |packs: &[super::Pack]| {
            let each = packs.iter().filter(|p| p.units > 0).map(|p| p.fixed / f64::from(p.units));
            each.min_by(f64::total_cmp).unwrap_or(0.0)
        };
        let prices = relaxed.types.iter().map(|(_, packs)| price(packs)).collect();
        Self { near: Neighbours::of(relaxed), prices }
    }

    /// The ways to split a node, the most promising first.
    pub(super) fn of_node(&self, relaxed: &Relaxed, node: &Node) -> Vec<Vec<Held>> {
        let mut all = self.by_types(node);
        all.extend(self.by_sets(node));
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut all: Vec<Vec<Held>> = all.into_iter().map(|s| s.1).collect();
        all.extend(by_class(relaxed, node));
        all
    }

    /// Units of one type: no more than held on average, or more.
    fn by_types(&self, node: &Node) -> Vec<(f64, Vec<Held>)> {
        let mut found: Vec<(f64, usize, u32)> = Vec::new();
        for (kind, span) in node.held.spans.iter().enumerate() {
            let (units, share) = (node.at.units[kind], node.at.share[kind]);
            let off = (units - units.round()).abs();
            let (off, most) = if off > WHOLE {
                (off, units.floor() as u32)
            } else {
                ((share - share.round()).abs(), 0)
            };
            let is_free = !span.is_closed() && span.least <= most && most < span.most;
            if off > WHOLE && is_free {
                found.push((off * self.prices[kind], kind, most));
            }
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let halves = |(worth, kind, most): (f64, usize, u32)| {
            let (mut fewer, mut more) = (node.held.clone(), node.held.clone());
            fewer.spans[kind].most = most;
            more.spans[kind].least = most + 1;
            more.spans[kind].opened = Opened::Yes;
            (worth, vec![fewer, more])
        };
        found.into_iter().take(EACH).map(halves).collect()
    }

    /// Units of types together: no more than held on average, or more.
    fn by_sets(&self, node: &Node) -> Vec<(f64, Vec<Held>)> {
        let mut tried: BTreeSet<Vec<usize>> = BTreeSet::new();
        let mut found = Vec::new();
        self.near.sets(&node.at.units, &mut |types, held| {
            let off = (held - held.round()).abs();
            if types.len() > 1 && off > BETWEEN && tried.insert(types.clone()) {
                let open = types.iter().filter(|t| node.at.units[**t] > WHOLE);
                let price = open.map(|t| self.prices[*t]).fold(f64::INFINITY, f64::min);
                found.push((off * price, held.floor(), types));
            }
        });
        found.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.2.cmp(&b.2)));
        let halves = |(worth, units, types): (f64, f64, Vec<usize>)| {
            let (mut fewer, mut more) = (node.held.clone(), node.held.clone());
            fewer.counts.push(Count { types: types.clone(), units, at_most: true });
            more.counts.push(Count { types, units: units + 1.0, at_most: false });
            (worth, vec![fewer, more])
        };
        found.into_iter().take(EACH).map(halves).collect()
    }
}

/// The dearest class that is not served exactly once: by one type alone, or not by it.
fn by_class(relaxed: &Relaxed, node: &Node) -> Option<Vec<Held>> {
    let serves = |kind: &usize, class: usize| {
        node.best.chosen[*kind].as_ref().is_some_and(|(_, set)| set.contains(&class))
    };
    let off = |class: &usize| (node.best.covered[*class] - 1.0).abs() * node.at.prices[*class];
    let can = |kind: usize, class: usize| {
        !node.held.spans[kind].is_closed()
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
        let at = barred.barred[k].partition_point(|c| *c < class);
        barred.barred[k].insert(at, class);
    }
    // Going without is still allowed where it was: both halves together leave nothing out.
    Some(vec![alone, other])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spares::bound::{Priced, Span};
    use crate::spares::climbing::Start;
    use crate::spares::master::Master;
    use crate::spares::{Item, Pack};

    /// Two types with a pack of no units, one of one and one of two each.
    fn relaxed() -> Relaxed {
        let items = vec![
            Item { class: 0, load: 0.4, extra: 0.0 },
            Item { class: 1, load: 0.4, extra: 0.0 },
        ];
        let pack = |units: u32| Pack {
            fixed: f64::from(units),
            units,
            cap: 0.5 * f64::from(units + 1),
            items: items.clone(),
        };
        let packs = || (0..3).map(pack).collect();
        Relaxed::new(vec![(0, packs()), (1, packs())], vec![f64::INFINITY; 2])
    }

    /// Whatever a type opens, and that it opens nothing, is left in one half of every split of its units.
    #[test]
    fn a_split_of_units_leaves_out_no_pack_not_even_one_of_no_units() {
        let relaxed = relaxed();
        let mut seen = 0;
        for (units, share) in [(0.5, 1.0), (1.5, 1.0), (0.0, 0.5), (1.0, 0.5)] {
            let held = Held::nothing(2);
            let best = relaxed.price(&[1.0, 1.0], &held);
            let node = Node {
                bound: best.value,
                at: Start {
                    prices: vec![1.0; 2],
                    share: vec![share, 0.0],
                    units: vec![units, 0.0],
                },
                held: held.clone(),
                best,
                program: Master::new(&relaxed).empty(&held),
            };
            for (_, halves) in Splits::of(&relaxed).by_types(&node) {
                seen += 1;
                for units in 0..3 {
                    assert!(halves.iter().any(|h| h.spans[0].allows(units)), "{units} units");
                }
                assert!(halves.iter().any(|h| !h.spans[0].is_open()), "none");
            }
        }
        assert!(seen >= 3);
    }

    /// What a half rules out is not packed in it.
    #[test]
    fn a_half_packs_only_what_it_allows() {
        let relaxed = relaxed();
        let units =
            |priced: &Priced| priced.chosen[0].as_ref().map(|c| relaxed.types[0].1[c.0].units);
        let mut held = Held::nothing(2);
        held.spans[0].most = 0;
        assert_eq!(units(&relaxed.price(&[5.0, 5.0], &held)), Some(0));
        held.spans[0] = Span::default();
        held.spans[0].least = 2;
        held.spans[0].opened = Opened::Yes;
        assert_eq!(units(&relaxed.price(&[0.1, 0.1], &held)), Some(2));
        held.spans[0].opened = Opened::No;
        assert_eq!(units(&relaxed.price(&[5.0, 5.0], &held)), None);
    }
}
