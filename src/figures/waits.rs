//! How long positions wait, what that costs, and what the log says of it.

use jiff::ToSpan;

use super::figure::{Better, Block, Figure, Form, Given, Part, share};
use crate::records::Plant;

pub(super) fn figures(given: Given<'_>) -> Vec<Figure> {
    let plan = given.plan;
    let positions = given.running().count() as f64;
    let mut block = Block::new(Part::Waiting);
    let expected: f64 = given.running().map(|p| plan.demand.mean_rate(p)).sum();
    block.add(
        ("expected_demand", "Units expected to be exchanged, a year", "Σ n·λ over groups"),
        expected,
        Form::Number,
        Better::Neither,
    );
    let met: f64 = given.running().map(|p| plan.demand.mean_rate(p) * plan.fill_today[p]).sum();
    block.add(
        (
            "fill",
            "Chance that the next failure finds a spare on the shelf",
            "Σ n·λ·P(D ≤ s − 1) / Σ n·λ; positions that nothing on the shelf serves count as unmet",
        ),
        share(met, expected).unwrap_or(0.0),
        Form::Share,
        Better::More,
    );
    block.add(
        (
            "positions_waiting",
            "Positions that wait for a unit at any time, on average",
            "Σ EBO: the expected number waiting, over all pools and all positions that wait for an order",
        ),
        plan.positions_waiting,
        Form::Fine,
        Better::Less,
    );
    block.add(
        ("availability", "Share of positions that do not wait, on average", "1 − Σ EBO / Σ n"),
        share(positions - plan.positions_waiting, positions),
        Form::Share,
        Better::More,
    );
    let logged = last_year(given.plant);
    block.add(
        (
            "exchanges",
            "Exchanges in the log, the last twelve months",
            "exchanges in the twelve months up to the newest dated event",
        ),
        logged.map(|l| f64::from(l.exchanges)),
        Form::Count,
        Better::Neither,
    );
    block.add(
        (
            "exchanges_late",
            "Of these, drive down for more than a day",
            "exchanges of these months with more than 24 hours down: the failure did not find its spare on the day",
        ),
        logged.map(|l| f64::from(l.late)),
        Form::Count,
        Better::Less,
    );
    risk(given, &mut block);
    block.done()
}

fn risk(given: Given<'_>, block: &mut Block) {
    let plan = given.plan;
    block.add(
        (
            "waiting_cost",
            "Risk: expected cost of waiting for spares, a year",
            "Σ b·EBO with the waits beyond the workaround; b: price of a year of waiting",
        ),
        plan.waiting_cost,
        Form::Money,
        Better::Less,
    );
    block.add(
        (
            "waiting_without",
            "The same without any spare, a year",
            "Σ b·EBO with nothing on the shelf",
        ),
        plan.waiting_without,
        Form::Money,
        Better::Neither,
    );
    let avoided = plan.waiting_without - plan.waiting_cost;
    block.add(
        (
            "risk_avoided",
            "Risk that the shelf takes away, a year",
            "Σ b·(EBO without − EBO with the shelf)",
        ),
        avoided,
        Form::Money,
        Better::More,
    );
    block.add(
        (
            "avoided_to_holding",
            "Risk taken away for each unit of holding cost",
            "risk that the shelf takes away / cost of holding it",
        ),
        share(avoided, plan.holding_cost),
        Form::Number,
        Better::More,
    );
    block.add(
        (
            "lead_exposure",
            "More risk if resupply took half as long again",
            "risk with every lead time × 1.5, the shelf as it is, less the risk",
        ),
        plan.exposure,
        Form::Money,
        Better::Less,
    );
    // Without a shape of wear there is nothing to tell apart.
    if let Some(outlook) = plan.outlook {
        block.add(
            (
                "risk_ageing",
                "Risk of the next twelve months as units age",
                "Σ risk·Mₐ/λ, Mₐ: renewals in a year from the age on (Weibull, the policy's wear shape); given where the policy has a shape",
            ),
            outlook.risk,
            Form::Money,
            Better::Less,
        );
    }
}

/// Exchanges of twelve months.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Logged {
    /// All of them.
    pub exchanges: u32,
    /// Those with more than a day down.
    pub late: u32,
    /// Those that do not say how long.
    pub silent: u32,
}

/// Exchanges of the twelve months up to the newest dated event; none without a dated event.
#[must_use]
pub fn last_year(plant: &Plant) -> Option<Logged> {
    /// Hours down above which the spare was not there on the day.
    const A_DAY: f64 = 24.0;
    let newest = plant.newest_event()?;
    let since = newest.checked_sub(1.year()).ok()?;
    let mut sum = Logged::default();
    let exchanges = plant.events.iter().filter(|e| e.event() == Some("exchange"));
    for event in exchanges.filter(|e| e.date().is_some_and(|d| d > since)) {
        sum.exchanges += 1;
        match event.hours_down() {
            Some(hours) => sum.late += u32::from(hours > A_DAY),
            None => sum.silent += 1,
        }
    }
    Some(sum)
}
