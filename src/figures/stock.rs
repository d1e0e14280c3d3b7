//! What lies on the shelf, what it costs, and what of it nobody asks for.

use std::collections::{HashMap, HashSet};

use jiff::ToSpan;

use super::figure::{Better, Block, Figure, Form, Given, Part, share};
use crate::records::{Shelf, folded};
use crate::spares::Action;

pub(super) fn figures(given: Given<'_>) -> Vec<Figure> {
    let plan = given.plan;
    let mut block = Block::new(Part::Stock);
    block.add(
        ("stock_value", "Value of the shelf", "Σ book value·units on hand"),
        plan.stock_value,
        Form::Money,
        Better::Less,
    );
    let planned = plan.pools.iter().map(|p| p.input.unit_value * f64::from(p.planned.stock));
    block.add(
        (
            "planned_value",
            "Units that the plan asks for, at today's price",
            "Σ price·s over the pools of the plan",
        ),
        planned.sum::<f64>(),
        Form::Money,
        Better::Neither,
    );
    block.add(
        (
            "stock_share",
            "Shelf against the price of all units installed",
            "value of the shelf / Σ price of the units that run, those without a price at the mean of the others",
        ),
        installed(given).and_then(|all| share(plan.stock_value, all)),
        Form::Share,
        Better::Neither,
    );
    block.add(
        ("holding_cost", "Cost of holding it, a year", "h·value of the shelf"),
        plan.holding_cost,
        Form::Money,
        Better::Less,
    );
    let usage = plan.pools.iter().map(|p| {
        let rate: f64 = p.positions.iter().map(|at| plan.demand.mean_rate(*at)).sum();
        rate * p.input.unit_value
    });
    block.add(
        (
            "turns",
            "Turns of the shelf, a year (low is usual for spares)",
            "Σ n·λ·price over the pools of the plan / value of the shelf",
        ),
        share(usage.sum(), plan.stock_value),
        Form::Fine,
        Better::Neither,
    );
    idle(given, &mut block);
    moves(given, &mut block);
    block.done()
}

/// Stock beyond the plan, and stock that nothing asks for.
fn idle(given: Given<'_>, block: &mut Block) {
    let beyond = Beyond::of(given);
    block.add(
        (
            "excess_units",
            "Units on the shelf beyond the plan",
            "Σ (on hand − s)⁺ over kinds of spare that cover some position; reserved units and those as removed left out",
        ),
        beyond.units,
        Form::Count,
        Better::Less,
    );
    block.add(
        ("excess_units_more", "More than one unit beyond it", "Σ (on hand − s − 1)⁺ over the same"),
        beyond.more,
        Form::Count,
        Better::Less,
    );
    block.add(
        (
            "excess_value",
            "Value of the units beyond the plan",
            "Σ book value·(on hand − s)⁺ over kinds of spare that cover some position; reserved units and those as removed left out",
        ),
        beyond.value,
        Form::Money,
        Better::Less,
    );
    block.add(
        (
            "idle_value",
            "Shelf that covers nothing, or idle beyond the plan",
            "book value of units and parts that cover no position, and of units beyond the plan whose positions had no exchange in 24 months",
        ),
        beyond.idle,
        Form::Money,
        Better::Less,
    );
}

/// What letting go and sharing come to.
fn moves(given: Given<'_>, block: &mut Block) {
    let (plan, policy) = (given.plan, given.policy);
    let book: f64 =
        plan.lines.iter().filter(|l| l.action == Action::Release).filter_map(|l| l.value).sum();
    block.add(
        (
            "release_book",
            "Proposed releases, book value written off",
            "Σ value of the units that the plan lets go",
        ),
        book,
        Form::Money,
        Better::Neither,
    );
    block.add(
        ("release_cash", "Proposed releases, what they bring in", "salvage share·book value"),
        book * policy.salvage,
        Form::Money,
        Better::Neither,
    );
    block.add(
        (
            "sharing_saves",
            "Stock that sharing between models saves",
            "Σ c·s if every fitted model had its own units, each pool's share of time without waiting kept, less Σ c·s shared",
        ),
        plan.sharing.saves,
        Form::Money,
        Better::More,
    );
    block.add(
        (
            "sharing_waits",
            "Hours of waiting a year that it adds, or takes away",
            "8760·(Σ EBO shared − Σ EBO apart)",
        ),
        8760.0 * plan.sharing.waits,
        Form::Number,
        Better::Neither,
    );
}

/// Price of all units that run, those without a price at the mean of the others; none where none has a price.
fn installed(given: Given<'_>) -> Option<f64> {
    let price = |p: usize| {
        let model = given.plant.model_of(given.plant.positions[p].model)?;
        model.price().filter(|v| *v > 0.0)
    };
    let known: Vec<f64> = given.running().filter_map(price).collect();
    let mean = share(known.iter().sum(), known.len() as f64)?;
    Some(mean * given.running().count() as f64)
}

/// Stock beyond the plan, and stock that nothing asks for.
#[derive(Default)]
struct Beyond {
    units: f64,
    more: f64,
    value: f64,
    idle: f64,
}

impl Beyond {
    fn of(given: Given<'_>) -> Self {
        let (plant, plan) = (given.plant, given.plan);
        let planned: HashMap<usize, f64> =
            plan.pools.iter().map(|p| (p.spare, f64::from(p.planned.stock + p.owed))).collect();
        let asked = exchanged(given);
        let mut sum = Self::default();
        for (at, kind) in plan.coverage.types.iter().enumerate() {
            let lines = || kind.lines.iter().map(|l| &plant.shelf[*l]);
            let book: f64 = lines().map(Shelf::worth).sum();
            if kind.positions.is_empty() {
                sum.idle += book;
                continue;
            }
            let units: f64 = lines().filter_map(|l| l.quantity()).sum();
            let worth = |beyond: f64| beyond.max(0.0) * share(book, units).unwrap_or(0.0);
            let beyond = kind.ready + kind.unproven - planned.get(&at).copied().unwrap_or(0.0);
            sum.units += beyond.max(0.0);
            sum.more += (beyond - 1.0).max(0.0);
            sum.value += worth(beyond);
            if !kind.positions.iter().any(|p| asked.contains(p)) {
                sum.idle += worth(beyond);
            }
        }
        let unused = plan.parts.iter().filter(|part| part.positions.is_empty());
        for line in unused.flat_map(|part| &part.lines).map(|l| &plant.shelf[*l]) {
            sum.idle += line.worth();
        }
        sum
    }
}

/// Positions with an exchange in the 24 months up to the newest dated event.
fn exchanged(given: Given<'_>) -> HashSet<usize> {
    let events = &given.plant.events;
    let since = given.plant.newest_event().and_then(|d| d.checked_sub(2.years()).ok());
    let of_tag: HashMap<String, usize> = (0..given.plant.positions.len())
        .filter_map(|p| Some((folded(given.plant.positions[p].tag()?), p)))
        .collect();
    events
        .iter()
        .filter(|e| e.event() == Some("exchange") && e.date() > since)
        .filter_map(|e| of_tag.get(&folded(e.tag()?)).copied())
        .collect()
}
