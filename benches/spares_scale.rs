//! The choice of spare types on drawn fleets: cost, bound, gap and time, one thread.
//!
//! `cargo bench --bench spares_scale` runs fleets of 5,000 positions and single large components;
//! `-- --seed N` runs one of the drawn seeds;
//! `-- --small --write DIR` solves a few dozen small instances, `-- --fleet --write DIR` a fleet of 5,000 positions
//! and four large components, and leave them with the answers as csv files, for `.ci/outside/optimum.py` to
//! solve again with HiGHS.

#![allow(clippy::print_stdout)] // a bench talks

use std::fmt::Write as _;
use std::path::Path;
use std::time::Instant;

use sparemesh::spares::{
    Chosen, Item, MarginalPool, Pack, Relaxed, SplitMix, choose, max_mean, walk,
};

/// No-wait probability of every pool.
const LEVEL: f64 = 0.95;
/// Stocks looked at.
const MOST: u32 = 40;

/// A type of spare.
struct Kind {
    price: f64,
    lead: f64,
    serves: Vec<usize>,
}

/// Classes by their failures a year, and the types that serve them.
#[derive(Default)]
struct Instance {
    classes: Vec<f64>,
    kinds: Vec<Kind>,
}

/// The first class that a class is joined with.
fn top(root: &[usize], mut at: usize) -> usize {
    while root[at] != at {
        at = root[at];
    }
    at
}

/// What a family is drawn from.
#[derive(Clone, Copy)]
struct Family {
    positions: usize,
    types: usize,
    /// Ways of mounting; only the same one fits.
    mountings: usize,
    /// How many times as often units fail.
    load: f64,
}

impl Instance {
    fn draw(family: Family, random: &mut SplitMix) -> Self {
        let torque = |random: &mut SplitMix| 100.0 * 200_f64.powf(random.unit());
        let needs: Vec<(f64, usize)> = (0..family.positions)
            .map(|_| (torque(random), random.below(family.mountings)))
            .collect();
        let mut ratings: Vec<(f64, usize)> =
            (0..family.types).map(|_| (torque(random), random.below(family.mountings))).collect();
        let serves = |rating: &(f64, usize), need: &(f64, usize)| {
            rating.1 == need.1 && (rating.0 / 2.5..=rating.0).contains(&need.0)
        };
        for need in &needs {
            if !ratings.iter().any(|r| serves(r, need)) {
                ratings.push((need.0 * (1.0 + random.unit()), need.1));
            }
        }
        let mut found = Self::default();
        let mut sets: Vec<Vec<usize>> = Vec::new();
        for need in &needs {
            let rate = family.load * (0.02 + 0.04 * random.unit());
            let set: Vec<usize> =
                (0..ratings.len()).filter(|r| serves(&ratings[*r], need)).collect();
            if let Some(at) = sets.iter().position(|s| *s == set) {
                found.classes[at] += rate;
            } else {
                sets.push(set);
                found.classes.push(rate);
            }
        }
        for (at, rating) in ratings.iter().enumerate() {
            let size = rating.0 / 100.0;
            let price = 2.0 + 1.5 * size.powf(0.8) * (0.8 + 0.45 * random.unit());
            let lead = [0.15, 0.25, 0.5, 0.75][random.below(4)];
            let serves = (0..sets.len()).filter(|c| sets[*c].contains(&at)).collect();
            found.kinds.push(Kind { price: (price * 100.0).round() / 100.0, lead, serves });
        }
        found
    }

    /// Parts that no type joins.
    fn components(&self) -> Vec<Self> {
        let mut root: Vec<usize> = (0..self.classes.len()).collect();
        for kind in &self.kinds {
            for pair in kind.serves.windows(2) {
                let (a, b) = (top(&root, pair[0]), top(&root, pair[1]));
                root[a.max(b)] = a.min(b);
            }
        }
        let tops: Vec<usize> = (0..root.len()).map(|c| top(&root, c)).collect();
        let mut each: Vec<usize> = tops.clone();
        each.sort_unstable();
        each.dedup();
        let part = |one: &usize| {
            let own: Vec<usize> = (0..tops.len()).filter(|c| tops[*c] == *one).collect();
            let at = |class: &usize| own.binary_search(class).ok();
            let kinds = self.kinds.iter().filter_map(|kind| {
                let serves: Vec<usize> = kind.serves.iter().filter_map(at).collect();
                (!serves.is_empty()).then_some(Kind { serves, ..*kind })
            });
            Self { classes: own.iter().map(|c| self.classes[*c]).collect(), kinds: kinds.collect() }
        };
        each.iter().map(part).collect()
    }

    fn solve(&self) -> Chosen {
        let caps: Vec<f64> = (0..=MOST).map(|s| max_mean(LEVEL, s)).collect();
        let options: Vec<Vec<Option<usize>>> = (0..self.classes.len())
            .map(|c| {
                (0..self.kinds.len())
                    .filter(|k| self.kinds[*k].serves.contains(&c))
                    .map(Some)
                    .collect()
            })
            .collect();
        let relaxed = || {
            let packs = |(at, kind): (usize, &Kind)| (at, self.packs(kind, &caps));
            let types = self.kinds.iter().enumerate().map(packs).collect();
            Relaxed::new(types, vec![f64::INFINITY; self.classes.len()])
        };
        choose(&options, 20_000, relaxed, |kind, classes| {
            let Some(kind) = kind.map(|k| &self.kinds[k]) else { return f64::INFINITY };
            let mean = classes.iter().map(|c| self.classes[*c]).sum::<f64>() * kind.lead;
            let stock = (1..=MOST).find(|s| mean <= caps[*s as usize]).unwrap_or(MOST);
            kind.price * f64::from(stock)
        })
    }

    fn packs(&self, kind: &Kind, caps: &[f64]) -> Vec<Pack> {
        let all: f64 = kind.serves.iter().map(|c| self.classes[*c] * kind.lead).sum();
        let items: Vec<Item> = kind
            .serves
            .iter()
            .map(|c| Item { class: *c, load: self.classes[*c] * kind.lead, extra: 0.0 })
            .collect();
        let last = (1..MOST).find(|s| caps[*s as usize] >= all).unwrap_or(MOST);
        (1..=last)
            .map(|s| Pack {
                fixed: kind.price * f64::from(s),
                units: s,
                cap: caps[s as usize],
                items: items.clone(),
            })
            .collect()
    }

    /// One file: classes, types, and what was found.
    fn write(&self, path: &Path, found: &Chosen) {
        let mut text = format!("level,{LEVEL}\nfound,{},{}\n", found.cost, found.bound);
        for (at, rate) in self.classes.iter().enumerate() {
            let _ = writeln!(text, "class,{at},{rate}");
        }
        for (at, kind) in self.kinds.iter().enumerate() {
            let serves: Vec<String> = kind.serves.iter().map(ToString::to_string).collect();
            let _ = writeln!(text, "type,{at},{},{},{}", kind.price, kind.lead, serves.join(" "));
        }
        std::fs::write(path, text).expect("the folder can be written to");
    }
}

struct Sum {
    components: usize,
    proven: usize,
    cost: f64,
    bound: f64,
    largest: (usize, usize),
}

fn solve_all(parts: &[Instance]) -> (Sum, f64) {
    let began = Instant::now();
    let mut sum = Sum { components: 0, proven: 0, cost: 0.0, bound: 0.0, largest: (0, 0) };
    for part in parts {
        let found = part.solve();
        sum.components += 1;
        sum.proven += usize::from(found.proven);
        sum.cost += found.cost;
        sum.bound += found.bound;
        sum.largest = sum.largest.max((part.classes.len(), part.kinds.len()));
    }
    (sum, began.elapsed().as_secs_f64())
}

fn print(name: &str, parts: &[Instance]) {
    let (sum, seconds) = solve_all(parts);
    println!(
        "{name:<28}{:>6}{:>8}{:>6}x{:<6}{:>12.2}{:>12.2}{:>8.2} %{:>8.2}",
        sum.components,
        sum.proven,
        sum.largest.0,
        sum.largest.1,
        sum.cost,
        sum.bound,
        100.0 * (sum.cost - sum.bound) / sum.cost,
        seconds
    );
}

fn fleet(families: usize, seed: u64) -> Vec<Instance> {
    let mut random = SplitMix::new(seed);
    let family =
        Family { positions: 5_000 / families, types: 1_000 / families, mountings: 1, load: 1.0 };
    (0..families).flat_map(|_| Instance::draw(family, &mut random).components()).collect()
}

/// The largest part of one family.
fn large(family: Family, seed: u64) -> Vec<Instance> {
    let parts = Instance::draw(family, &mut SplitMix::new(seed)).components();
    parts.into_iter().max_by_key(|part| part.classes.len()).into_iter().collect()
}

/// Marginal analysis of many pools.
fn pools(count: usize) {
    let mut random = SplitMix::new(7);
    let pools: Vec<MarginalPool> = (0..count)
        .map(|_| MarginalPool {
            mean: 0.01 + 0.5 * random.unit(),
            price: 500.0 + 20_000.0 * random.unit(),
            weight: 8760.0 * 100.0 * random.unit(),
            have: 0,
        })
        .collect();
    let began = Instant::now();
    let steps = walk(&pools, |next, _| next.gain <= 0.25);
    println!(
        "{count} pools of marginal analysis: {} purchases in {:.3} s",
        steps.len(),
        began.elapsed().as_secs_f64()
    );
}

fn main() {
    let args: Vec<String> = std::env::args().collect();
    let has = |word: &str| args.iter().position(|a| a == word);
    println!(
        "{:<28}{:>6}{:>8}{:>13}{:>12}{:>12}{:>10}{:>8}",
        "instance", "parts", "proven", "largest", "cost", "bound", "gap", "seconds"
    );
    let light = Family { positions: 60, types: 10, mountings: 1, load: 1.0 };
    if has("--fleet").is_some() {
        let folder = has("--write").and_then(|at| args.get(at + 1)).expect("--write DIR");
        std::fs::create_dir_all(folder).expect("the folder can be made");
        let mut parts = fleet(60, 1);
        for seed in 11..=14 {
            parts.extend(large(Family { positions: 400, types: 75, ..light }, seed));
        }
        for (at, part) in parts.iter().enumerate() {
            part.write(&Path::new(folder).join(format!("{at:03}.csv")), &part.solve());
        }
        return;
    }
    if has("--small").is_some() {
        let folder = has("--write").and_then(|at| args.get(at + 1)).expect("--write DIR");
        std::fs::create_dir_all(folder).expect("the folder can be made");
        for seed in 0..24 {
            let heavy = if seed % 3 == 2 { 5.0 } else { 1.0 };
            let types = [8, 14, 24][seed as usize % 3];
            let mountings = if seed % 4 == 3 { 3 } else { 1 };
            let family = Family { positions: 6 * types, types, mountings, load: heavy };
            let parts = large(family, 100 + seed);
            parts[0].write(&Path::new(folder).join(format!("{seed:02}.csv")), &parts[0].solve());
            print(&format!("small {seed}"), &parts);
        }
        return;
    }
    let folder = has("--write").and_then(|at| args.get(at + 1));
    if let Some(folder) = folder {
        std::fs::create_dir_all(folder).expect("the folder can be made");
    }
    let only: Option<u64> = has("--seed").and_then(|at| args.get(at + 1)?.parse().ok());
    for seed in (1..=3).filter(|s| only.is_none_or(|o| o == *s)) {
        print(&format!("150 families, seed {seed}"), &fleet(150, seed));
        let parts = fleet(60, seed);
        print(&format!("60 families, seed {seed}"), &parts);
        for (at, part) in parts.iter().enumerate().filter(|_| seed == 1) {
            if let Some(folder) = folder {
                part.write(&Path::new(folder).join(format!("f{at:03}.csv")), &part.solve());
            }
        }
    }
    // The settings were chosen on the first twelve; the last four were drawn afterwards.
    let large_seeds = (11..=14).chain(21..=24).chain(31..=34).chain(41..=44);
    for seed in large_seeds.filter(|s| only.is_none_or(|o| o == *s)) {
        let family = Family { positions: 400, types: 75, ..light };
        let parts = large(family, seed);
        if let Some(folder) = folder {
            parts[0].write(&Path::new(folder).join(format!("{seed:02}.csv")), &parts[0].solve());
        }
        print(&format!("one large, seed {seed}"), &parts);
        let more = Family { positions: 520, types: 97, ..light };
        let larger = large(more, seed);
        if let Some(folder) = folder {
            larger[0].write(&Path::new(folder).join(format!("{seed}s.csv")), &larger[0].solve());
        }
        print(&format!("one of 97 types, seed {seed}"), &larger);
        let family = Family { load: 5.0, ..family };
        let parts = large(family, seed);
        if let Some(folder) = folder {
            parts[0].write(&Path::new(folder).join(format!("{seed}h.csv")), &parts[0].solve());
        }
        print(&format!("one large, heavy, seed {seed}"), &parts);
        let family = Family { mountings: 4, load: 1.0, ..family };
        print(&format!("one large, mounted, seed {seed}"), &large(family, seed));
    }
    pools(100_000);
}
