//! Which types to keep at all: the cheapest set that covers every class.

/// A type: its cost and the classes it covers, as bits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cover {
    /// Cost of keeping it.
    pub cost: f64,
    /// Classes, bit by bit.
    pub classes: u64,
}

fn covers_all(types: &[Cover], chosen: u64, all: u64) -> bool {
    let together = types
        .iter()
        .enumerate()
        .filter(|(at, _)| chosen >> at & 1 == 1)
        .fold(0, |sum, (_, t)| sum | t.classes);
    together & all == all
}

/// The cheapest set of types that covers `all` classes, by looking at every set; ties go to
/// fewer types, then to the earlier ones. At most 25 types.
#[must_use]
pub fn cheapest_cover(types: &[Cover], all: u64) -> Option<(f64, Vec<usize>)> {
    if types.len() > 25 {
        return None;
    }
    let mut best: Option<(f64, u32, u64)> = None;
    for chosen in 0_u64..1 << types.len() {
        if !covers_all(types, chosen, all) {
            continue;
        }
        let cost: f64 =
            (0..types.len()).filter(|at| chosen >> at & 1 == 1).map(|at| types[at].cost).sum();
        let better = best.is_none_or(|(c, n, _)| {
            cost < c - 1e-9 || ((cost - c).abs() <= 1e-9 && chosen.count_ones() < n)
        });
        if better {
            best = Some((cost, chosen.count_ones(), chosen));
        }
    }
    best.map(|(cost, _, chosen)| {
        (cost, (0..types.len()).filter(|at| chosen >> at & 1 == 1).collect())
    })
}

/// How many sets of types cover `all` classes.
#[must_use]
pub fn count_covers(types: &[Cover], all: u64) -> usize {
    (0_u64..1 << types.len()).filter(|chosen| covers_all(types, *chosen, all)).count()
}

/// A cover by the greedy rule: the least cost per newly covered class, again and again.
#[must_use]
pub fn greedy_cover(types: &[Cover], all: u64) -> Option<(f64, Vec<usize>)> {
    let mut left = all;
    let mut chosen = Vec::new();
    let mut cost = 0.0;
    while left != 0 {
        let (at, _) = types
            .iter()
            .enumerate()
            .filter(|(_, t)| t.classes & left != 0)
            .map(|(at, t)| (at, t.cost / f64::from((t.classes & left).count_ones())))
            .min_by(|a, b| a.1.total_cmp(&b.1))?;
        left &= !types[at].classes;
        cost += types[at].cost;
        chosen.push(at);
    }
    Some((cost, chosen))
}
