//! Which type serves which class of positions: the cheapest assignment of a component.

use std::collections::BTreeMap;

use super::bound::Relaxed;
use super::search::Finder;

/// An assignment of classes to types.
#[derive(Clone, Debug, PartialEq)]
pub struct Chosen {
    /// Type of each class; `None` goes without.
    pub types: Vec<Option<usize>>,
    /// Cost a year.
    pub cost: f64,
    /// No assignment is cheaper than this.
    pub bound: f64,
    /// Whether every assignment was looked at.
    pub proven: bool,
}

/// The options of one class.
pub(super) type Options = Vec<Option<usize>>;

/// Added to the cost of a choice that needs units nobody can order.
pub(super) const OUT_OF_REACH: f64 = 1e12;

struct Search<'a, F> {
    options: &'a [Options],
    cost: F,
    known: BTreeMap<(Option<usize>, Vec<usize>), f64>,
}

impl<F: FnMut(Option<usize>, &[usize]) -> f64> Search<'_, F> {
    fn pool(&mut self, spare: Option<usize>, classes: Vec<usize>) -> f64 {
        let key = (spare, classes);
        if let Some(cost) = self.known.get(&key) {
            return *cost;
        }
        let cost = (self.cost)(key.0, &key.1);
        self.known.insert(key, cost);
        cost
    }

    /// Cost of an assignment and how many types it uses.
    fn total(&mut self, types: &[Option<usize>]) -> (f64, usize) {
        let mut pools: BTreeMap<Option<usize>, Vec<usize>> = BTreeMap::new();
        for (class, spare) in types.iter().enumerate() {
            pools.entry(*spare).or_default().push(class);
        }
        let used = pools.keys().filter(|k| k.is_some()).count();
        let cost = pools.into_iter().map(|(spare, classes)| self.pool(spare, classes)).sum();
        (cost, used)
    }
}

fn is_better(a: (f64, usize), b: (f64, usize)) -> bool {
    a.0 < b.0 - 1e-9 || ((a.0 - b.0).abs() <= 1e-9 && a.1 < b.1)
}

/// Chooses a type for every class so that the yearly cost of all pools is least.
///
/// `options` lists the types each class may use (`None`: it may go without); `cost` prices a
/// pool of classes under a type and must not fall when a class is added. Every assignment is
/// looked at while there are at most `limit`; beyond that a search gives the best found, and the bound of
/// the `relaxed` problem says how far from the optimum it can be at most. No clock takes part: the same
/// answer on every run and machine.
pub fn choose(
    options: &[Vec<Option<usize>>],
    limit: usize,
    relaxed: impl FnOnce() -> Relaxed,
    cost: impl FnMut(Option<usize>, &[usize]) -> f64,
) -> Chosen {
    let count = options.iter().try_fold(1_usize, |n, o| n.checked_mul(o.len()));
    if count.is_some_and(|n| n <= limit) {
        enumerate(&mut Search { options, cost, known: BTreeMap::new() })
    } else {
        Finder::new(options, &relaxed(), cost).find()
    }
}

fn enumerate<F: FnMut(Option<usize>, &[usize]) -> f64>(search: &mut Search<'_, F>) -> Chosen {
    let mut at = vec![0; search.options.len()];
    let mut best: Option<Neighbour> = None;
    loop {
        let types: Vec<_> = at.iter().zip(search.options).map(|(i, o)| o[*i]).collect();
        let found = search.total(&types);
        if best.as_ref().is_none_or(|(b, _)| is_better(found, *b)) {
            best = Some((found, types));
        }
        let Some(next) = (0..at.len()).rev().find(|i| at[*i] + 1 < search.options[*i].len()) else {
            break;
        };
        at[next] += 1;
        at[next + 1..].fill(0);
    }
    let ((cost, _), types) = best.unwrap_or(((0.0, 0), Vec::new()));
    Chosen { types, cost, bound: cost, proven: true }
}

/// Cost, types used, and the assignment.
type Neighbour = ((f64, usize), Vec<Option<usize>>);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spares::{Item, Pack};

    /// Two classes that may share one dear type or take two cheap ones.
    #[test]
    fn sharing_wins_where_it_is_cheaper() {
        let price = |spare: Option<usize>, _: &[usize]| match spare {
            Some(0) => 9.0,
            Some(_) => 5.0,
            None => 100.0,
        };
        let options = vec![vec![Some(0), Some(1), None], vec![Some(0), Some(2), None]];
        let exact = choose(&options, 100, Relaxed::default, price);
        assert_eq!((exact.types.clone(), exact.proven), (vec![Some(0), Some(0)], true));
        let searched = choose(&options, 1, Relaxed::default, price);
        assert!((searched.cost - exact.cost).abs() < 1e-9 && searched.bound <= exact.cost);
    }

    /// Seven classes in a ring, each type serving two neighbours: prices alone prove 3.5 units, a choice needs 4.
    #[test]
    fn whole_units_prove_what_prices_cannot() {
        let serves = |kind: usize| vec![kind, (kind + 1) % 7];
        let options: Vec<Options> = (0..7).map(|c| vec![Some((c + 6) % 7), Some(c)]).collect();
        let packs = |kind| {
            let item = |class| Item { class, load: 0.1, extra: 0.0 };
            let items = serves(kind).into_iter().map(item).collect();
            (kind, vec![Pack { fixed: 100.0, units: 1, cap: 1.0, items }])
        };
        let relaxed = || Relaxed::new((0..7).map(packs).collect(), vec![f64::INFINITY; 7]);
        let found = choose(&options, 1, relaxed, |_, _| 100.0);
        assert_eq!((found.cost, found.proven), (400.0, true), "{found:?}");
        assert!(found.bound > 399.9 && found.bound <= 400.0, "{}", found.bound);
    }
}
