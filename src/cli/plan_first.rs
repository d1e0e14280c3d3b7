//! `plan`: the first lines, which are what the storeroom came for.

use super::plan::money;
use super::{Streams, render};
use crate::findings::count;
use crate::policy::Policy;
use crate::records::Plant;
use crate::spares::{Action, Plan};

pub(super) fn print(
    plant: &Plant,
    made: &Plan,
    policy: &Policy,
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    let paragraphs = [
        Some(in_short(made, &policy.currency)),
        Some(costs(plant, made, &policy.currency)),
        choice(made, policy),
        said("Not weighed", &not_weighed(plant, made)),
        said("Assumed", &assumed(plant, made)),
    ];
    for text in paragraphs.into_iter().flatten() {
        writeln!(streams.out, "{}", render::wrap(&text, 0))?;
    }
    Ok(())
}

fn said(word: &str, what: &[String]) -> Option<String> {
    (!what.is_empty()).then(|| format!("{word}: {}.", what.join("; ")))
}

/// What to do, in one paragraph.
fn in_short(made: &Plan, currency: &str) -> String {
    let of = |action| {
        let lines = || made.lines.iter().filter(move |l| l.action == action && !l.rest);
        (lines().count(), lines().filter_map(|l| l.value).sum::<f64>())
    };
    let (release, freed) = of(Action::Release);
    let (buy, spent) = of(Action::Buy);
    let review = made.lines.iter().filter(|l| l.is_to_review()).count();
    let held = made.lines.iter().filter(|l| l.action == Action::Hold).count() - review;
    let let_go = match release {
        0 => "Nothing to let go.".to_owned(),
        n => format!(
            "Let go of {} worth {} {currency}, cover kept.",
            count(n, "line", "lines"),
            money(freed)
        ),
    };
    let to_buy = |p: &&crate::spares::SharedPart| p.buy() > 0.0;
    let parts: Vec<_> = made.parts.iter().filter(to_buy).collect();
    let worth: f64 = parts.iter().filter_map(|p| Some(p.buy() * p.price?)).sum();
    let besides = match parts.len() {
        0 => String::new(),
        n => format!(", and {} for {}", count(n, "shared part", "shared parts"), money(worth)),
    };
    let owed: u32 = made.pools.iter().map(|p| p.owed).sum();
    let debts = match owed {
        0 => String::new(),
        n => format!(" {} as a stop-gap.", count(n as usize, "position runs", "positions run")),
    };
    format!(
        "{let_go} Inspect {}, rebuild {}. Buy {} for {} {currency}{besides}. Hold {}, review {review} before anything of them goes.{debts}",
        of(Action::Inspect).0,
        of(Action::Rebuild).0,
        count(buy, "model", "models"),
        money(spent),
        count(held, "line", "lines"),
    )
}

/// What the shelf and waiting cost.
fn costs(plant: &Plant, made: &Plan, currency: &str) -> String {
    let shelf = format!(
        "The shelf is worth {} {currency} and costs {} a year to hold.",
        money(made.stock_value),
        money(made.holding_cost)
    );
    let running = |p: &usize| plant.positions[*p].runs();
    let priced = |p: &usize| made.price_today[*p].is_some();
    if !(0..plant.positions.len()).filter(running).any(|p| priced(&p)) {
        return format!(
            "{shelf} What waiting costs is not known: no position says what an hour down costs."
        );
    }
    let beyond = made.beyond_reach(plant);
    let rest: f64 = beyond.iter().filter_map(|p| made.risk_today[*p]).sum();
    let rest = match beyond.len() {
        0 => String::new(),
        n => format!(
            " {} of each is at {} that no unit is proven to cover; a stop-gap counts for nothing here.",
            money(rest),
            count(n, "position", "positions")
        ),
    };
    format!(
        "{shelf} Waiting for spares costs about {} a year with what is there, {} without any, {} as planned below.{rest}",
        money(made.waiting_cost),
        money(made.waiting_without),
        money(made.waiting_planned)
    )
}

/// What the choice costs, and how near it is to the cheapest.
fn choice(made: &Plan, policy: &Policy) -> Option<String> {
    let of = &made.costs;
    (made.families > 0).then(|| {
        format!(
            "{}; the choice of spares costs {} a year (holding {}, buying and rebuilding over {:.0} years {}, adapting {}, waiting {}), and none can cost less than {} (gap {:.1} %).",
            count(made.families, "family", "families"),
            money(made.cost),
            money(of.holding),
            policy.write_off_years,
            money(of.obtaining),
            money(of.adapting),
            money(of.waiting),
            money(made.bound),
            100.0 * made.gap()
        )
    })
}

/// What the plan could not weigh, and what it did instead.
fn not_weighed(plant: &Plant, made: &Plan) -> Vec<String> {
    let mut open: Vec<String> = Vec::new();
    if plant.models.is_empty() {
        open.push(
            "no catalogue was read, so nothing is bought, and nothing that fits nowhere is let go"
                .into(),
        );
    }
    let unpriced = made
        .coverage
        .types
        .iter()
        .filter(|t| t.orderable && t.value.is_none() && !t.positions.is_empty());
    let unpriced: Vec<&str> = unpriced.map(|t| t.name.as_str()).collect();
    if !unpriced.is_empty() {
        let what = count(unpriced.len(), "model that would fit has", "models that would fit have");
        let first = unpriced.iter().take(3).copied().collect::<Vec<_>>().join(", ");
        open.push(format!("{what} no price, so buying it is not weighed ({first})"));
    }
    let running = (0..plant.positions.len()).filter(|p| plant.positions[*p].runs());
    let free = running.filter(|p| made.waiting_price[*p].is_none()).count();
    if free > 0 {
        let who = count(free, "position has", "positions have");
        open.push(format!(
            "{who} no cost of an hour down, and no other of their class has one: their waiting counts as nothing"
        ));
    }
    let no_value =
        plant.shelf.iter().filter(|s| s.unit_value().is_none()).filter_map(|s| s.quantity());
    let no_value: f64 = no_value.sum();
    if no_value >= 1.0 {
        let what = count(no_value as usize, "piece on the shelf has", "pieces on the shelf have");
        open.push(format!("{what} no value, so no sum of money holds it and none of it is let go"));
    }
    let unknown = plant.shelf.iter().filter(|s| s.quantity().is_none()).count();
    if unknown > 0 {
        let what = count(unknown, "stock line has", "stock lines have");
        open.push(format!("{what} no quantity that counts: none is taken to be there"));
    }
    if made.demand.window.is_none() {
        open.push("no exchange of a unit is in the events: every rate is the policy's".into());
    }
    open
}

/// What was filled in for a blank and moves the money.
fn assumed(plant: &Plant, made: &Plan) -> Vec<String> {
    let blank = (0..plant.positions.len()).filter(|p| {
        let position = &plant.positions[*p];
        position.runs() && position.down_cost_per_hour().is_none() && made.price_today[*p].is_some()
    });
    match blank.count() {
        0 => Vec::new(),
        n => vec![format!(
            "the cost of an hour down of {}, as the middle of their class",
            count(n, "position", "positions")
        )],
    }
}
