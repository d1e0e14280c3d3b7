//! The prices that bound best under what a node has decided: packings found one by one, prices from the linear
//! program over those found so far (column generation: Gilmore and Gomory, 1961; Wentges, 1997, for the prices
//! half way to the best ones; both from memory).
//!
//! ```text
//! least Σ cost·λ    with   every class packed once or more, a type opened once at most, counts of units kept
//! ```

use std::collections::HashMap;

use super::bound::{CENT, Held, Priced, Relaxed};
use super::climbing::{Climbed, Start};
use super::random::SplitMix;
use super::simplex::{Basis, Column, Entries};

/// What a column of the program stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Var {
    /// What a row is over- or under-filled by.
    Slack(usize),
    /// What a row still misses.
    Missing(usize),
    /// A class that goes without.
    Without(usize),
    /// A packing, by its place among those known.
    Packing(usize),
}

/// A type with one pack and what it serves.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Packing {
    kind: usize,
    pack: usize,
    classes: Vec<usize>,
}

/// The packings found so far, for all nodes.
pub(super) struct Master<'a> {
    relaxed: &'a Relaxed,
    packings: Vec<Packing>,
    known: HashMap<Packing, usize>,
}

/// The program of one node as it was left.
#[derive(Clone)]
pub(super) struct Program {
    basis: Basis<Var>,
    /// Packings that may enter.
    near: Vec<usize>,
}

/// Pivots of a look.
const LOOK: usize = 50;
/// Packings that may enter, for each row.
const NEAR: usize = 3;
/// The right-hand sides differ by so much, so that no two places empty at once.
const APART: f64 = 1e-6;
/// A bound this near to the program's own value cannot rise much more, as a share of the best choice.
const CLOSE: f64 = 2e-5;

impl<'a> Master<'a> {
    pub(super) fn new(relaxed: &'a Relaxed) -> Self {
        Self { relaxed, packings: Vec::new(), known: HashMap::new() }
    }

    /// Rows of classes and types; those of the counts follow.
    fn rows(&self) -> usize {
        self.relaxed.without.len() + self.relaxed.types.len()
    }

    /// A program in which nothing is packed yet.
    pub(super) fn empty(&self, held: &Held) -> Program {
        let classes = self.relaxed.without.len();
        let mut random = SplitMix::new(0xB0_05E5);
        let rows = (0..self.rows()).map(|_| 1.0 + APART * random.unit());
        let right: Vec<f64> = rows.chain(held.counts.iter().map(|c| c.units)).collect();
        let is_limit = |row: usize| match row.checked_sub(self.rows()) {
            Some(count) => held.counts[count].at_most,
            None => row >= classes,
        };
        let own = |row| if is_limit(row) { Var::Slack(row) } else { Var::Missing(row) };
        let column = |row| Column { what: own(row), cost: 0.0, entries: vec![(row, 1.0)] };
        let holds = (0..right.len()).map(column).collect();
        Program { basis: Basis::of(holds, right), near: Vec::new() }
    }

    /// Adds the rows of the counts from `known` on.
    fn extend(&self, program: &mut Program, held: &Held, known: usize) {
        for (at, count) in held.counts.iter().enumerate().skip(known) {
            let entry = |var: &Var| match var {
                Var::Packing(p) if count.types.contains(&self.packings[*p].kind) => self.units(*p),
                _ => 0.0,
            };
            let own = self.column(Var::Slack(self.rows() + at), held, 0.0);
            program.basis.extend(entry, count.units, own);
        }
    }

    fn units(&self, packing: usize) -> f64 {
        let Packing { kind, pack, .. } = &self.packings[packing];
        f64::from(self.relaxed.types[*kind].1[*pack].units)
    }

    /// Whether a column is ruled out by what is decided.
    fn is_barred(&self, var: &Var, held: &Held) -> bool {
        match var {
            Var::Slack(row) => {
                let kind = row.checked_sub(self.relaxed.without.len());
                kind.and_then(|k| held.spans.get(k)).is_some_and(|s| s.is_open())
            }
            Var::Packing(at) => {
                let Packing { kind, classes, .. } = &self.packings[*at];
                let barred = &held.barred[*kind];
                !held.spans[*kind].allows(self.units(*at) as u32)
                    || classes.iter().any(|c| barred.binary_search(c).is_ok())
            }
            Var::Missing(_) | Var::Without(_) => false,
        }
    }

    /// What a column costs; what a row misses costs `much`.
    fn cost(&self, var: &Var, much: f64) -> f64 {
        match var {
            Var::Slack(_) => 0.0,
            Var::Missing(_) => much,
            Var::Without(class) => self.relaxed.without[*class],
            Var::Packing(at) => {
                let Packing { kind, pack, classes } = &self.packings[*at];
                let opened = &self.relaxed.types[*kind].1[*pack];
                let extra = opened.items.iter().filter(|i| classes.contains(&i.class));
                opened.fixed + extra.map(|i| i.extra).sum::<f64>()
            }
        }
    }

    fn entries(&self, var: &Var, held: &Held) -> Entries {
        let classes = self.relaxed.without.len();
        match var {
            Var::Slack(row) if *row < classes => vec![(*row, -1.0)],
            Var::Slack(row) => match held.counts.get(row.wrapping_sub(self.rows())) {
                Some(count) if !count.at_most => vec![(*row, -1.0)],
                _ => vec![(*row, 1.0)],
            },
            Var::Missing(row) => {
                let count = held.counts.get(row.wrapping_sub(self.rows()));
                vec![(*row, if count.is_some_and(|c| c.at_most) { -1.0 } else { 1.0 })]
            }
            Var::Without(class) => vec![(*class, 1.0)],
            Var::Packing(at) => {
                let packing = &self.packings[*at];
                let mut entries: Entries = packing.classes.iter().map(|c| (*c, 1.0)).collect();
                entries.push((classes + packing.kind, 1.0));
                for (count, row) in held.counts.iter().zip(self.rows()..) {
                    if count.types.contains(&packing.kind) {
                        entries.push((row, self.units(*at)));
                    }
                }
                entries
            }
        }
    }

    fn column(&self, var: Var, held: &Held, much: f64) -> Column<Var> {
        let (cost, entries) = (self.cost(&var, much), self.entries(&var, held));
        Column { what: var, cost, entries }
    }

    /// Columns that may enter under what is decided.
    fn columns(&self, program: &Program, held: &Held, much: f64) -> Vec<Column<Var>> {
        let rows = self.rows() + held.counts.len();
        let without = &self.relaxed.without;
        let without = (0..without.len()).filter(|c| without[*c].is_finite()).map(Var::Without);
        let packings = program.near.iter().map(|p| Var::Packing(*p));
        let all = (0..rows).map(Var::Slack).chain((0..rows).map(Var::Missing)).chain(without);
        all.chain(packings)
            .filter(|v| !self.is_barred(v, held))
            .map(|v| self.column(v, held, much))
            .collect()
    }

    /// Begins a program again that rounding has spoilt.
    fn mend(&self, program: &mut Program, held: &Held, much: f64) {
        if !program.basis.is_sound() {
            program.basis = self.empty(held).basis;
            program.basis.set_costs(|var| self.cost(var, much));
        }
    }

    /// A program with what is decided since: rows of new counts, and nothing in it that is ruled out.
    fn decided(
        &self,
        program: &mut Program,
        known: usize,
        held: &Held,
        much: f64,
        pivots: usize,
    ) -> Vec<Column<Var>> {
        self.extend(program, held, known);
        program.basis.set_costs(|var| self.cost(var, much));
        let columns = self.columns(program, held, much);
        program.basis.restore(&columns, pivots, |var| self.is_barred(var, held));
        self.mend(program, held, much);
        columns
    }

    /// The packings of `priced`, known from now on and added to `columns`; whether any is new there.
    fn learn(
        &mut self,
        priced: &Priced,
        near: &mut Vec<usize>,
        columns: &mut Vec<Column<Var>>,
        held: &Held,
    ) -> bool {
        let mut any = false;
        for (kind, chosen) in priced.chosen.iter().enumerate() {
            let Some((pack, classes)) = chosen else { continue };
            let mut classes = classes.clone();
            classes.sort_unstable();
            let packing = Packing { kind, pack: *pack, classes };
            let next = self.packings.len();
            let at = *self.known.entry(packing.clone()).or_insert(next);
            if at == next {
                self.packings.push(packing);
            }
            if !near.contains(&at) {
                near.push(at);
                columns.push(self.column(Var::Packing(at), held, 0.0));
                any = true;
            }
        }
        any
    }

    /// The best bound under what is decided, from a program and prices of less decided, in `rounds` rounds at most.
    pub(super) fn climb(
        &mut self,
        program: &mut Program,
        from: &Start,
        held: &Held,
        upper: f64,
        rounds: usize,
    ) -> Climbed {
        let relaxed = self.relaxed;
        let classes = relaxed.without.len();
        let known = from.prices.len() - classes;
        let mut columns = self.decided(program, known, held, much(upper), usize::MAX);
        let mut best_prices = from.prices.clone();
        best_prices.resize(classes + held.counts.len(), 0.0);
        let mut best = relaxed.price(&best_prices, held);
        self.learn(&best, &mut program.near, &mut columns, held);
        let mut duals = Vec::new();
        for _ in 0..rounds {
            if best.value >= upper - CENT {
                break;
            }
            self.mend(program, held, much(upper));
            duals = program.basis.optimise(&columns);
            let sign = |row: usize| held.counts[row].at_most;
            let price = |row: usize| {
                let flipped = row >= self.rows() && sign(row - self.rows());
                if flipped { -duals[row] } else { duals[row] }.max(0.0)
            };
            let own: Vec<f64> = (0..classes)
                .chain(self.rows()..self.rows() + held.counts.len())
                .map(price)
                .collect();
            let half: Vec<f64> = own.iter().zip(&best_prices).map(|(a, b)| (a + b) / 2.0).collect();
            let value: f64 = program.value();
            let mut any = false;
            for prices in [half, own] {
                let priced = relaxed.price(&prices, held);
                any |= self.learn(&priced, &mut program.near, &mut columns, held);
                if priced.value > best.value {
                    (best, best_prices) = (priced, prices);
                }
            }
            if !any || value - best.value < CLOSE * upper.abs() {
                break;
            }
        }
        if best.value < upper - CENT {
            // What was learnt last has to be in it before more is decided.
            self.mend(program, held, much(upper));
            duals = program.basis.optimise(&columns);
        }
        if program.near.len() > 2 * NEAR * duals.len() && !duals.is_empty() {
            program.keep_nearest(&columns, &duals);
        }
        let (share, units) = self.held(program);
        Climbed { best, at: Start { prices: best_prices, share, units } }
    }

    /// What the program costs under what is decided, with no packings but those known: a guess at the bound.
    pub(super) fn look(&self, program: &Program, from: &Start, held: &Held, upper: f64) -> f64 {
        let mut program = program.clone();
        let known = from.prices.len() - self.relaxed.without.len();
        self.decided(&mut program, known, held, much(upper), LOOK);
        program.value()
    }

    /// How far each type is opened, and the units held of it.
    fn held(&self, program: &Program) -> (Vec<f64>, Vec<f64>) {
        let types = self.relaxed.types.len();
        let (mut share, mut units) = (vec![0.0; types], vec![0.0; types]);
        for (var, taken) in program.basis.solution() {
            if let Var::Packing(at) = var {
                share[self.packings[*at].kind] += taken;
                units[self.packings[*at].kind] += taken * self.units(*at);
            }
        }
        (share, units)
    }
}

/// What a row that is missed costs: no price need be higher than all of the best choice.
fn much(upper: f64) -> f64 {
    2.0 * upper.abs() + 1.0
}

impl Program {
    /// What the program costs as it stands.
    fn value(&self) -> f64 {
        self.basis.value()
    }

    /// Leaves the packings that are nearest to entering.
    fn keep_nearest(&mut self, columns: &[Column<Var>], duals: &[f64]) {
        let mut packings: Vec<(f64, usize)> = columns
            .iter()
            .filter_map(|c| match c.what {
                Var::Packing(at) => {
                    let paid: f64 = c.entries.iter().map(|(row, a)| duals[*row] * a).sum();
                    Some((c.cost - paid, at))
                }
                _ => None,
            })
            .collect();
        packings.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        packings.truncate(NEAR * duals.len());
        self.near = packings.into_iter().map(|p| p.1).collect();
    }
}
