//! Hold, release, buy, rebuild or inspect: each shelf line with its reason and its proof.

use std::collections::HashMap;

use super::at_hand::AtHand;
use super::letting_go::Going;
use super::matching::{SpareType, type_could_stand_in};
use super::parts::SharedPart;
use super::plan;
use super::pool::Pool;
use crate::findings::count;
use crate::fit::{Standing, standing};

/// What to do with a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Action {
    /// Buy.
    Buy,
    /// Inspect, turn, re-preserve.
    Inspect,
    /// Have it rebuilt.
    Rebuild,
    /// Let go.
    Release,
    /// Keep.
    Hold,
}

impl Action {
    /// The word printed and used in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Buy => "buy",
            Self::Inspect => "inspect",
            Self::Rebuild => "rebuild",
            Self::Release => "release",
            Self::Hold => "hold",
        }
    }
}

/// A decision on a shelf line, on some of its units, or on something to buy.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Shelf item, or the model to buy.
    pub item: String,
    /// What it is.
    pub what: String,
    /// Index of the shelf line; `None` for something to buy.
    pub line: Option<usize>,
    /// Decision.
    pub action: Action,
    /// How many units of the line it is about.
    pub quantity: f64,
    /// Value of these units on the shelf; of something to buy, its price.
    pub value: Option<f64>,
    /// Money to spend on it once; `None` where it is not known.
    pub cost: Option<f64>,
    /// Why.
    pub reason: String,
    /// Who still covers, for a release; who is covered, for the rest.
    pub covered_by: String,
    /// Benefit a year: waiting saved by buying, rebuilding or inspecting; holding saved by release.
    pub benefit: Option<f64>,
    /// Whether these are the units left of a line of which others go or are worked on.
    pub rest: bool,
}

impl Line {
    /// The word of the decision; what is to be looked at before it may go has a word of its own.
    #[must_use]
    pub fn word(&self) -> &'static str {
        if self.is_to_review() { "review" } else { self.action.word() }
    }

    /// Whether somebody is to look at the line before it is let go or kept.
    #[must_use]
    pub fn is_to_review(&self) -> bool {
        self.reason.starts_with("review")
    }
}

/// Why a line of an item that has several is not let go.
pub(super) const SEVERAL_LINES: &str =
    "review: the item stands in several lines; settle which are there first";

/// Savings are counted once: each action starts from what the actions before it left, in the
/// order inspect, rebuild, buy.
pub(super) struct Steps {
    /// What the positions of each pool cost in waiting so far.
    waiting: Vec<f64>,
    /// Units at hand so far, per pool.
    hands: Vec<AtHand>,
    /// Units that are ready so far, per pool.
    pub(super) proven: Vec<f64>,
    /// Units still short of the plan, per pool.
    pub(super) short: Vec<f64>,
    /// Ready units let go, per pool.
    pub(super) released: Vec<f64>,
}

impl Steps {
    fn of(desk: &Desk<'_>) -> Self {
        let kind = |p: &Pool| &desk.base.coverage.types[p.spare];
        Self {
            waiting: desk.pools.iter().map(|p| p.waiting_today).collect(),
            hands: desk.pools.iter().map(|p| p.have).collect(),
            proven: desk.pools.iter().map(|p| kind(p).ready).collect(),
            short: desk
                .pools
                .iter()
                .map(|p| (f64::from(p.planned.stock) - kind(p).stock_position()).max(0.0))
                .collect(),
            released: vec![0.0; desk.pools.len()],
        }
    }

    /// Waiting saved a year where pool `at` then has `hand`.
    pub(super) fn look(&self, at: usize, pool: &Pool, hand: AtHand) -> f64 {
        (self.waiting[at] - hand.expect(&|s| pool.input.with(s).waiting)).max(0.0)
    }

    /// What is at hand in pool `at` so far.
    pub(super) fn hand(&self, at: usize) -> AtHand {
        self.hands[at]
    }

    /// Waiting saved a year by `more` units in pool `at`, which then are there.
    pub(super) fn add(&mut self, at: usize, pool: &Pool, more: f64) -> f64 {
        self.short[at] = (self.short[at] - more.floor()).max(0.0);
        self.step(at, pool, self.hands[at].with(more))
    }

    /// Waiting saved a year once pool `at` has `hand`.
    pub(super) fn step(&mut self, at: usize, pool: &Pool, hand: AtHand) -> f64 {
        let saved = self.look(at, pool, hand);
        self.waiting[at] -= saved;
        self.hands[at] = hand;
        saved
    }
}

/// What the decisions look at.
pub(super) struct Desk<'a> {
    pub(super) base: plan::Desk<'a>,
    pub(super) pools: &'a [Pool],
    pub(super) parts: &'a [SharedPart],
    /// The type of every shelf line that has one.
    pub(super) type_of_line: HashMap<usize, usize>,
    /// The pool of every type that has one.
    pool_of_type: HashMap<usize, usize>,
    /// The part that lies on a shelf line.
    part_of_line: HashMap<usize, usize>,
    /// The pool that serves each position.
    pool_of_position: Vec<Option<usize>>,
}

/// Decides every line.
pub(super) fn decide(base: plan::Desk<'_>, pools: &[Pool], parts: &[SharedPart]) -> Vec<Line> {
    let of_lines = |(at, kind): (usize, &SpareType)| {
        kind.lines.iter().map(|line| (*line, at)).collect::<Vec<_>>()
    };
    let on_lines = |(at, part): (usize, &SharedPart)| {
        part.lines.iter().map(|line| (*line, at)).collect::<Vec<_>>()
    };
    let desk = Desk {
        base,
        pools,
        parts,
        type_of_line: base.coverage.types.iter().enumerate().flat_map(of_lines).collect(),
        // Of several parts on one line the first is told.
        part_of_line: parts.iter().enumerate().rev().flat_map(on_lines).collect(),
        pool_of_position: base.pool_of(pools),
        // The first pool of a type is the one that its lines are weighed with.
        pool_of_type: pools.iter().enumerate().rev().map(|(at, pool)| (pool.spare, at)).collect(),
    };
    let mut lines = Vec::new();
    let mut steps = Steps::of(&desk);
    let mut going = Vec::new();
    // Unproven lines go first, so that what stays is the better part; as removed ones last.
    let rank = |line: usize| match standing(base.plant, base.policy, line) {
        Standing::Unproven => 0,
        Standing::Ready => 1,
        Standing::AsRemoved | Standing::Scrap => 2,
    };
    let mut order: Vec<usize> = (0..base.plant.shelf.len()).collect();
    order.sort_by_key(|line| (rank(*line), *line));
    for line in order {
        let decided = desk.line(line, &mut steps, &mut going);
        lines.extend(desk.rest_of(&decided));
        lines.push(decided);
    }
    desk.prove(&going, &steps, &mut lines);
    lines.sort_by_key(|l| (l.line, l.rest));
    let bought = pools.iter().enumerate().filter(|(_, p)| p.buy > 0);
    lines.extend(bought.map(|(at, p)| {
        let before = steps.hand(at);
        desk.buy(p, before, steps.add(at, p, f64::from(p.buy)))
    }));
    lines
}

impl Desk<'_> {
    fn line(&self, line: usize, steps: &mut Steps, going: &mut Vec<Going>) -> Line {
        let shelf = &self.base.plant.shelf[line];
        let quantity = shelf.quantity().unwrap_or(0.0);
        let mut out = Line {
            item: shelf.name(),
            what: shelf.description().or_else(|| shelf.model()).unwrap_or("").to_owned(),
            line: Some(line),
            action: Action::Hold,
            quantity,
            value: self.worth(line, quantity),
            cost: Some(0.0),
            reason: String::new(),
            covered_by: String::new(),
            benefit: None,
            rest: false,
        };
        let Some(spare) = self.type_of_line.get(&line).copied() else {
            self.of_part(&mut out, line);
            return out;
        };
        let kind = &self.base.coverage.types[spare];
        out.covered_by = self.whom(spare);
        if out.quantity < 1.0 {
            out.reason = "none is there".into();
        } else if standing(self.base.plant, self.base.policy, line) == Standing::Scrap {
            out.reason = "scrap by its condition: it counts for nobody; clear it out".into();
        } else if let Some(who) = shelf.reserved_for() {
            let fits = match self.base.plant.find_position(who) {
                Some(p) if !kind.positions.contains(&p) => {
                    if type_could_stand_in(self.base.plant, self.base.policy, kind, p) {
                        ", where it is not proven to fit,"
                    } else {
                        ", where it does not fit: clear the reservation;"
                    }
                }
                _ => "",
            };
            out.reason = format!("reserved for {who}{fits} so it counts for nobody else");
        } else if kind.positions.is_empty() {
            self.fits_nothing(&mut out, line, kind);
        } else if standing(self.base.plant, self.base.policy, line) == Standing::AsRemoved {
            self.as_removed(&mut out, line, spare, steps);
        } else {
            self.useful(&mut out, line, spare, steps, going);
        }
        if out.is_to_review() && !kind.positions.is_empty() {
            self.name_stand_ins(&mut out, spare);
        }
        out
    }

    /// Value of units of a line.
    pub(super) fn worth(&self, line: usize, quantity: f64) -> Option<f64> {
        self.base.plant.shelf[line].unit_value().map(|v| v * quantity)
    }

    /// The units of a line that its decision leaves where they are.
    fn rest_of(&self, decided: &Line) -> Option<Line> {
        let line = decided.line?;
        let left = self.base.plant.shelf[line].quantity().unwrap_or(0.0) - decided.quantity;
        if left <= 0.0 || decided.action == Action::Hold {
            return None;
        }
        let reason = match decided.action {
            Action::Release => "stays: keeps the cover of those that go",
            Action::Inspect => "unproven, and not needed for the plan: to look at last",
            _ => "review: as removed, and the plan needs no more of them",
        };
        Some(Line {
            action: Action::Hold,
            quantity: left,
            value: self.worth(line, left),
            cost: Some(0.0),
            reason: reason.into(),
            benefit: None,
            rest: true,
            ..decided.clone()
        })
    }

    fn useful(
        &self,
        out: &mut Line,
        line: usize,
        spare: usize,
        steps: &mut Steps,
        going: &mut Vec<Going>,
    ) {
        let Some((at, pool)) = self.pool_of(spare) else {
            let alone = self.ready_alone(spare);
            let meanwhile = match alone.as_slice() {
                [] => String::new(),
                some => format!(
                    ". Today it is the only ready spare of {}: let nothing go before {} is ready",
                    self.tags(some),
                    self.planned_for(some)
                ),
            };
            out.reason = format!(
                "review: the plan holds none of this type: another serves its positions, or none is worth what it costs{meanwhile}"
            );
            return;
        };
        if self.let_go(out, line, (at, pool), steps, going) {
            return;
        }
        let blocked = std::mem::take(&mut out.reason);
        out.reason = why_planned(pool);
        if !blocked.is_empty() {
            out.reason = format!("{blocked}; {}", out.reason);
        }
        self.inspect(out, line, (at, pool), steps);
    }

    /// Whoever has no ready spare and could run on a line to review is named before it goes.
    fn name_stand_ins(&self, out: &mut Line, spare: usize) {
        let kind = &self.base.coverage.types[spare];
        let mut able = self.base.coverage.undecided[spare].all();
        able.retain(|p| kind.positions.binary_search(p).is_err());
        if !able.is_empty() {
            let tags = self.tags(&able);
            out.covered_by = format!("{}; as a stop-gap or once measured: {tags}", out.covered_by);
        }
    }

    /// Whom a kind of spare is for: the positions that draw on it, then those that it would cover too.
    fn whom(&self, spare: usize) -> String {
        let all = &self.base.coverage.types[spare].positions;
        let Some((_, pool)) = self.pool_of(spare) else { return self.tags(all) };
        let others: Vec<usize> =
            all.iter().filter(|p| pool.positions.binary_search(p).is_err()).copied().collect();
        match others.as_slice() {
            [] => self.tags(&pool.positions),
            some => format!("{}; covers too: {}", self.tags(&pool.positions), self.tags(some)),
        }
    }

    /// The spares that the plan holds for positions, by the items on the shelf where there are any.
    fn planned_for(&self, positions: &[usize]) -> String {
        let name = |pool: &Pool| match self.kind(pool).lines.first() {
            Some(line) => self.base.plant.shelf[*line].name(),
            None => pool.name.clone(),
        };
        let mut pools: Vec<usize> =
            positions.iter().filter_map(|p| self.pool_of_position[*p]).collect();
        pools.sort_unstable();
        pools.dedup();
        let names: Vec<String> = pools.iter().map(|at| name(&self.pools[*at])).collect();
        if names.is_empty() { "theirs".to_owned() } else { names.join(" or ") }
    }

    /// Positions whose only ready spares are of this type.
    fn ready_alone(&self, spare: usize) -> Vec<usize> {
        let coverage = self.base.coverage;
        let ready = |t: &usize| coverage.types[*t].ready >= 1.0;
        let only = |p: &&usize| {
            coverage.of_position[**p].iter().filter(|t| ready(t)).eq(std::iter::once(&spare))
        };
        coverage.types[spare].positions.iter().filter(only).copied().collect()
    }

    /// A line that holds a part: never let go by figures alone, but it says who needs it.
    fn of_part(&self, out: &mut Line, line: usize) {
        let Some(part) = self.part_of_line.get(&line).map(|at| &self.parts[*at]) else {
            out.reason = "a part that no list of parts names".into();
            return;
        };
        out.covered_by = self.tags(&part.positions);
        if part.positions.is_empty() {
            out.reason =
                "review: a part that fits no installed unit that the parts list knows".into();
            return;
        }
        let over = part.have - part.planned;
        let more =
            if over >= 1.0 { format!(", {over:.0} more than planned") } else { String::new() };
        out.reason = format!(
            "part for {}: {:.0} planned, {:.0} there{more}",
            count(part.positions.len(), "position", "positions"),
            part.planned,
            part.have
        );
    }

    /// The pool of a type, where the plan has one.
    pub(super) fn pool_of(&self, spare: usize) -> Option<(usize, &Pool)> {
        self.pool_of_type.get(&spare).map(|at| (*at, &self.pools[*at]))
    }

    pub(super) fn kind(&self, pool: &Pool) -> &SpareType {
        &self.base.coverage.types[pool.spare]
    }

    pub(super) fn tags(&self, positions: &[usize]) -> String {
        self.base.plant.tags(positions)
    }
}

/// How many are planned for whom, and what decides it.
pub(super) fn why_planned(pool: &Pool) -> String {
    let (stock, input) = (pool.planned.stock, &pool.input);
    let who = count(pool.positions.len(), "position", "positions");
    if stock == 0 {
        return format!("none planned for {who}: one would cost more than it saves");
    }
    let by_level = (0..stock).all(|s| input.with(s).no_wait < input.level);
    let why = if stock > input.mandatory() {
        "waiting would cost more".to_owned()
    } else if by_level {
        format!("asked: in {:.0} % of the time nobody waits", 100.0 * pool.level)
    } else {
        "the worst class always has one".to_owned()
    };
    format!("{stock} planned for {who}: {why}")
}
