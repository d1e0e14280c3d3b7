//! `plan`: hold, release, buy; families.

use serde_json::{Value as Json, json};

use super::args::PlanArgs;
use super::load::{Loaded, load_fleet};
use super::{Ran, Streams, budget, plan_actions, plan_first, plan_lists, render, what_if};
use crate::findings::{Severity, count};
use crate::policy::Policy;
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
    let errors = intake.findings.iter().filter(|f| f.severity == Severity::Error).count();
    if errors > 0 {
        let errors = count(errors, "error in the data stands", "errors in the data stand");
        streams
            .say(&format!("look: {errors} against this plan; `sparemesh check` names the cells"));
    }
    if streams.common.json {
        let mut body = as_json(&intake.plant, &made);
        if let Some((plant, then, said)) = &other {
            body["what_if"] = what_if::as_json(said, today, (plant, then));
        }
        if let Some(money) = args.budget {
            body["budget"] = budget::as_json(money, &made, &policy);
        }
        render::document("plan", body, streams.out)?;
    } else if let Some((plant, then, said)) = &other {
        what_if::print(said, today, (plant, then), streams)?;
        if let Some(money) = args.budget {
            budget::print(money, then, &policy, streams)?;
        }
    } else {
        if let Some(money) = args.budget {
            budget::print(money, &made, &policy, streams)?;
            writeln!(streams.out, "\nThe whole plan, whatever it costs:")?;
        }
        print(&intake.plant, &made, &policy, streams)?;
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
    policy: &Policy,
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    plan_first::print(plant, made, policy, streams)?;
    plan_actions::print(made, policy, streams)?;
    held(made, streams)?;
    plan_lists::print(plant, made, &policy.currency, streams)?;
    families(plant, made, streams)?;
    rates(made, streams)?;
    bare(plant, made, streams)?;
    if streams.common.verbose {
        writeln!(streams.out)?;
        render::findings(&made.findings, streams.out, streams.common)?;
    }
    Ok(())
}

fn held(made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let lines: Vec<_> = made.lines.iter().filter(|l| l.action == Action::Hold).collect();
    let review = lines.iter().filter(|l| l.is_to_review()).count();
    let held =
        count(lines.len() - review, "line or what is left of one", "lines or what is left of them");
    writeln!(streams.out, "\nHold: {held}; review before anything goes: {review}")?;
    if streams.common.verbose {
        let rows: Vec<Vec<String>> = lines
            .iter()
            .map(|l| {
                vec![
                    l.item.clone(),
                    format!("{:.0}", l.quantity),
                    l.word().to_owned(),
                    l.reason.clone(),
                ]
            })
            .collect();
        writeln!(streams.out, "{}", render::table(&["item", "qty", "do", "why"], &rows, &[1]))?;
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
                format!("{:.2}", p.have.count()),
                p.planned.stock.to_string(),
                format!("{:.3}", p.planned.mean),
                format!("{:.3}", 100.0 * (1.0 - p.planned.no_wait)),
                format!("{:.1}", 100.0 * (1.0 - p.level)),
                format!("{}{tail}", tags.join(", ")),
            ]
        })
        .collect();
    writeln!(streams.out, "\nFamilies by what waiting costs today, as planned")?;
    let headings = ["spare", "there", "plan", "fail in a lead", "wait %", "of at most", "for"];
    writeln!(streams.out, "{}", render::table(&headings, &rows, &[1, 2, 3, 4, 5]))
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
        count(made.no_cover.len(), "position", "positions")
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
                "counts_today": p.have.count(), "level": p.level, "family": p.family + 1,
            })
        })
        .collect();
    let lines: Vec<Json> = made
        .lines
        .iter()
        .map(|l| {
            json!({
                "item": l.item, "action": l.word(), "quantity": l.quantity, "value": l.value,
                "cost": l.cost, "reason": l.reason, "covered_by": l.covered_by, "benefit": l.benefit,
            })
        })
        .collect();
    let no_cover: Vec<Json> = made
        .no_cover
        .iter()
        .map(|n| {
            json!({
                "tag": plant.positions[n.position].tag(), "risk": n.risk, "reason": n.reason,
                "meanwhile": n.meanwhile,
            })
        })
        .collect();
    let mut body = json!({
        "pools": pools, "lines": lines, "no_cover": no_cover,
        "holding_cost": made.holding_cost, "waiting_cost": made.waiting_cost,
        "waiting_without": made.waiting_without, "waiting_planned": made.waiting_planned, "stock_value": made.stock_value,
        "bound": made.bound, "gap": made.gap(), "cost": made.cost,
        "cost_of": {
            "holding": made.costs.holding, "obtaining": made.costs.obtaining,
            "adapting": made.costs.adapting, "waiting": made.costs.waiting,
        },
    });
    if let (Json::Object(body), Json::Object(lists)) = (&mut body, plan_lists::as_json(plant, made))
    {
        body.extend(lists);
    }
    body
}
