//! `plan`: hold, release, buy; families.

use serde_json::{Value as Json, json};

use super::args::PlanArgs;
use super::load::{Loaded, load_fleet};
use super::{Ran, Streams, plan_lists, render, what_if};
use crate::rating::rate;
use crate::records::Plant;
use crate::spares::{Action, Plan, plan};

/// Lines shown of the long lists; `--verbose` shows all.
pub(super) const SHOWN: usize = 12;

pub(super) fn run(args: &PlanArgs, streams: &mut Streams<'_>) -> Ran {
    let Loaded { intake, policy } = load_fleet(&args.paths, streams)?;
    let (rated, _) = rate(&intake.plant, &policy);
    let busy = super::load::spinner("planning", streams);
    let made = plan(&intake.plant, &rated, &policy);
    let other =
        what_if::is_asked(args).then(|| what_if::ask(args, &intake.plant, &policy)).transpose()?;
    busy.finish_and_clear();
    let today = (&intake.plant, &made);
    if streams.common.json {
        let mut body = as_json(&intake.plant, &made);
        if let Some((plant, then, said)) = &other {
            body["what_if"] = what_if::as_json(said, today, (plant, then));
        }
        if let Some(budget) = args.budget {
            let buys = what_if::within(budget, &made, &policy);
            let items: Vec<Json> = buys
                .units
                .iter()
                .map(|(at, n)| json!({ "spare": made.pools[*at].name, "quantity": n }))
                .collect();
            body["budget"] = json!({
                "budget": budget, "buy": items, "spent": buys.spent, "saved_a_year": buys.saved,
                "saved_at_most": buys.saved_at_most,
            });
        }
        render::document("plan", body, streams.out)?;
    } else if let Some((plant, then, said)) = &other {
        what_if::print(said, today, (plant, then), streams)?;
        if let Some(budget) = args.budget {
            what_if::print_budget(budget, then, &policy, streams)?;
        }
    } else {
        if let Some(budget) = args.budget {
            what_if::print_budget(budget, &made, &policy, streams)?;
        }
        print(&intake.plant, &made, &policy.currency, streams)?;
    }
    Ok(super::strict(streams.common, &intake.findings, &made.findings))
}

/// Money to the whole unit, thousands apart.
pub(super) fn money(value: f64) -> String {
    let digits = format!("{:.0}", value.abs());
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at) % 3 == 0 {
            // Never broken over two lines.
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    if value < -0.5 { format!("-{out}") } else { out }
}

fn print(
    plant: &Plant,
    made: &Plan,
    currency: &str,
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    in_short(made, currency, streams)?;
    let text = format!(
        "The shelf is worth {} {currency} and costs {} a year to hold. Waiting for spares costs about {} a year \
         with what is there, {} without any, {} as planned below.",
        money(made.stock_value),
        money(made.holding_cost),
        money(made.waiting_cost),
        money(made.waiting_without),
        money(made.waiting_planned)
    );
    writeln!(streams.out, "{}", render::wrap(&text, 0))?;
    let text = format!(
        "{}; the choice of spares costs {} a year, and none can cost less than {} (gap {:.1} %).",
        if made.families == 1 {
            "1 family".to_owned()
        } else {
            format!("{} families", made.families)
        },
        money(made.cost),
        money(made.bound),
        100.0 * made.gap()
    );
    if made.families > 0 {
        writeln!(streams.out, "{}", render::wrap(&text, 0))?;
    }
    not_weighed(plant, made, streams)?;
    actions(made, streams)?;
    held(made, streams)?;
    plan_lists::print(plant, made, currency, streams)?;
    families(plant, made, streams)?;
    rates(made, streams)?;
    bare(plant, made, streams)
}

/// What to do, in one paragraph: what the storeroom came for.
fn in_short(made: &Plan, currency: &str, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let of = |action| {
        let lines = || made.lines.iter().filter(move |l| l.action == action);
        let value: f64 = lines().filter_map(|l| l.value).sum();
        (lines().count(), value)
    };
    let words = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    let (release, freed) = of(Action::Release);
    let (buy, spent) = of(Action::Buy);
    let review = made.lines.iter().filter(|l| l.reason.starts_with("review")).count();
    let owed: u32 = made.pools.iter().map(|p| p.owed).sum();
    let debts = if owed > 0 {
        format!(" {} run as stop-gaps.", words(owed as usize, "position"))
    } else {
        String::new()
    };
    let let_go = match release {
        0 => "Nothing to let go.".to_owned(),
        n => format!("Let go {} worth {} {currency}, cover kept.", words(n, "line"), money(freed)),
    };
    let text = format!(
        "{let_go} Inspect {}, rebuild {}. Buy {} for {} {currency}. Hold {}, {review} of them to review.{debts}",
        of(Action::Inspect).0,
        of(Action::Rebuild).0,
        words(buy, "model"),
        money(spent),
        of(Action::Hold).0
    );
    writeln!(streams.out, "{}", render::wrap(&text, 0))
}

/// What the plan could not weigh, and what it did instead.
fn not_weighed(plant: &Plant, made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let mut open: Vec<String> = Vec::new();
    let count = |n: usize, one: &str, many: &str| match n {
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    };
    let running = (0..plant.positions.len()).filter(|p| plant.positions[*p].runs());
    let free = running.filter(|p| made.waiting_price[*p].is_none()).count();
    if free > 0 {
        let who = count(free, "position has", "positions have");
        open.push(format!(
            "{who} no cost of an hour down, and no other of their class has one: their waiting counts as nothing"
        ));
    }
    let unpriced: f64 =
        plant.shelf.iter().filter(|s| s.unit_value().is_none()).filter_map(|s| s.quantity()).sum();
    if unpriced >= 1.0 {
        let what = count(unpriced as usize, "piece on the shelf has", "pieces on the shelf have");
        open.push(format!("{what} no value, so no sum of money holds it"));
    }
    let unknown = plant.shelf.iter().filter(|s| s.quantity().is_none()).count();
    if unknown > 0 {
        let what = count(unknown, "stock line has", "stock lines have");
        open.push(format!("{what} no quantity that counts: none is taken to be there"));
    }
    if made.demand.window.is_none() {
        open.push("no exchange of a unit is in the events: every rate is the policy's".into());
    }
    if open.is_empty() {
        return Ok(());
    }
    writeln!(streams.out, "{}", render::wrap(&format!("Not weighed: {}.", open.join("; ")), 0))
}

fn actions(made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    for action in [Action::Buy, Action::Inspect, Action::Rebuild, Action::Release] {
        let mut lines: Vec<_> = made.lines.iter().filter(|l| l.action == action).collect();
        if lines.is_empty() {
            continue;
        }
        lines.sort_by(|a, b| b.benefit.unwrap_or(0.0).total_cmp(&a.benefit.unwrap_or(0.0)));
        let shown = if streams.common.verbose { lines.len() } else { SHOWN };
        let rows: Vec<Vec<String>> = lines
            .iter()
            .take(shown)
            .map(|l| {
                vec![
                    l.item.clone(),
                    format!("{:.0}", l.quantity),
                    l.value.map_or_else(|| "?".into(), money),
                    l.benefit.map_or_else(|| "?".into(), money),
                    if action == Action::Release {
                        format!("{}; {}", l.reason, l.covered_by)
                    } else {
                        l.reason.clone()
                    },
                ]
            })
            .collect();
        let more = lines.len().saturating_sub(shown);
        let tail = if more > 0 { format!(" ({more} more, -v shows all)") } else { String::new() };
        let mut word = action.word().to_owned();
        word[..1].make_ascii_uppercase();
        writeln!(streams.out, "\n{word}{tail}")?;
        let headings = ["item", "qty", "value", "saves a year", "why"];
        writeln!(streams.out, "{}", render::table(&headings, &rows, &[1, 2, 3]))?;
    }
    Ok(())
}

fn held(made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let lines: Vec<_> = made.lines.iter().filter(|l| l.action == Action::Hold).collect();
    let review = lines.iter().filter(|l| l.reason.starts_with("review")).count();
    writeln!(
        streams.out,
        "\nHold: {}, {review} of them to review",
        if lines.len() == 1 { "1 line".to_owned() } else { format!("{} lines", lines.len()) }
    )?;
    if streams.common.verbose {
        let rows: Vec<Vec<String>> = lines
            .iter()
            .map(|l| vec![l.item.clone(), format!("{:.0}", l.quantity), l.reason.clone()])
            .collect();
        writeln!(streams.out, "{}", render::table(&["item", "qty", "why"], &rows, &[1]))?;
    }
    Ok(())
}

fn families(plant: &Plant, made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let mut pools: Vec<_> = made.pools.iter().collect();
    if pools.is_empty() {
        return Ok(());
    }
    pools.sort_by(|a, b| b.waiting_today.total_cmp(&a.waiting_today));
    let shown = if streams.common.verbose { pools.len() } else { SHOWN };
    let rows: Vec<Vec<String>> = pools
        .iter()
        .take(shown)
        .map(|p| {
            let tags: Vec<&str> =
                p.positions.iter().take(4).filter_map(|i| plant.positions[*i].tag()).collect();
            let more = p.positions.len().saturating_sub(4);
            let tail = if more > 0 { format!(" +{more}") } else { String::new() };
            vec![
                p.name.clone(),
                format!("{:.2}", p.have),
                p.planned.stock.to_string(),
                format!("{:.3}", p.planned.mean),
                format!("{:.1}", 100.0 * p.planned.no_wait),
                format!("{}{tail}", tags.join(", ")),
            ]
        })
        .collect();
    writeln!(streams.out, "\nFamilies by what waiting costs today")?;
    let headings = ["spare", "counts", "plan", "mean", "no wait %", "for"];
    writeln!(streams.out, "{}", render::table(&headings, &rows, &[1, 2, 3, 4]))
}

fn rates(made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let rows: Vec<Vec<String>> = made
        .demand
        .groups
        .iter()
        .map(|g| {
            vec![
                g.name.clone(),
                g.positions.len().to_string(),
                format!("{:.0} in {:.0}", g.exposure.events, g.exposure.years),
                format!("{:.3}", g.rate.mean()),
                format!("{:.3}–{:.3}", g.rate.quantile(0.05), g.rate.quantile(0.95)),
                format!(
                    "{:.0} % own{}",
                    100.0 * g.own_share,
                    if g.held_up { ", held at a third of the default" } else { "" }
                ),
            ]
        })
        .collect();
    writeln!(streams.out, "\nExchanges per position and year")?;
    let headings = ["group", "positions", "seen", "rate", "5–95 %", "rests on"];
    writeln!(streams.out, "{}", render::table(&headings, &rows, &[1, 2, 3]))
}

fn bare(plant: &Plant, made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let shown = if streams.common.verbose { made.no_cover.len() } else { SHOWN };
    let rows: Vec<Vec<String>> = made
        .no_cover
        .iter()
        .take(shown)
        .map(|n| {
            let p = &plant.positions[n.position];
            vec![
                p.tag().unwrap_or("?").to_owned(),
                p.consequence().unwrap_or("line").to_owned(),
                n.risk.map_or_else(|| "?".into(), money),
                n.reason.clone(),
            ]
        })
        .collect();
    writeln!(
        streams.out,
        "\nNo ready spare on the shelf: {}, by risk a year",
        match made.no_cover.len() {
            1 => "1 position".to_owned(),
            n => format!("{n} positions"),
        }
    )?;
    if made.no_cover.is_empty() {
        return Ok(());
    }
    writeln!(streams.out, "{}", render::table(&["tag", "class", "risk", "why"], &rows, &[2]))
}

fn as_json(plant: &Plant, made: &Plan) -> Json {
    let tags = |positions: &[usize]| -> Vec<&str> {
        positions.iter().filter_map(|p| plant.positions[*p].tag()).collect()
    };
    let pools: Vec<Json> = made
        .pools
        .iter()
        .map(|p| {
            json!({
                "spare": p.name, "quantity": p.planned.stock, "positions": tags(&p.positions),
                "mean_demand": p.planned.mean, "no_wait_probability": p.planned.no_wait,
                "fill_rate": p.planned.fill, "expected_backorders": p.planned.backorders,
                "counts_today": p.have, "level": p.level, "family": p.family + 1,
            })
        })
        .collect();
    let lines: Vec<Json> = made
        .lines
        .iter()
        .map(|l| {
            json!({
                "item": l.item, "action": l.action.word(), "quantity": l.quantity, "value": l.value,
                "reason": l.reason, "covered_by": l.covered_by, "benefit": l.benefit,
            })
        })
        .collect();
    let no_cover: Vec<Json> = made
        .no_cover
        .iter()
        .map(|n| json!({ "tag": plant.positions[n.position].tag(), "risk": n.risk, "reason": n.reason }))
        .collect();
    let mut body = json!({
        "pools": pools, "lines": lines, "no_cover": no_cover,
        "holding_cost": made.holding_cost, "waiting_cost": made.waiting_cost, "stock_value": made.stock_value,
        "bound": made.bound, "gap": made.gap(), "cost": made.cost,
    });
    if let (Json::Object(body), Json::Object(lists)) = (&mut body, plan_lists::as_json(plant, made))
    {
        body.extend(lists);
    }
    body
}
