//! `plan`: parts that models share, what to measure, what to standardise, money against risk, service and
//! outlook.

use serde_json::{Value as Json, json};

use super::plan::{SHOWN, money};
use super::{Streams, render};
use crate::records::Plant;
use crate::spares::{Measuring, NoCover, Plan};

/// Rows of money against risk shown.
const POINTS: usize = 7;

pub(super) fn print(
    plant: &Plant,
    made: &Plan,
    currency: &str,
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    frontier(made, currency, streams)?;
    measure(plant, made, streams)?;
    standardise(plant, made, streams)?;
    service(made, streams)?;
    parts(made, streams)?;
    outlook(made, currency, streams)
}

fn shown(streams: &Streams<'_>) -> usize {
    if streams.common.verbose { usize::MAX } else { SHOWN }
}

/// Money against risk, thinned to a few rows.
fn frontier(made: &Plan, currency: &str, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let all = &made.frontier;
    if all.len() < 2 {
        return Ok(());
    }
    let every = all.len().div_ceil(POINTS).max(1);
    let rows: Vec<Vec<String>> = all
        .iter()
        .enumerate()
        .filter(|(at, _)| at % every == 0 || at + 1 == all.len())
        .map(|(_, p)| {
            let gain = if p.gain.is_finite() { format!("{:.2}", p.gain) } else { "today".into() };
            vec![money(p.spent), p.bought.to_string(), money(p.waiting), gain]
        })
        .collect();
    let title = "Money against risk: from the shelf as it is, one unit after another, each where it saves most for its money";
    writeln!(streams.out, "\n{}", render::wrap(title, 0))?;
    let spent = format!("spent {currency}");
    let headings = [spent.as_str(), "units", "waiting a year", "last unit saves per 1 spent"];
    writeln!(streams.out, "{}", render::table(&headings, &rows, &[0, 1, 2, 3]))
}

/// Positions that a measurement may cover, by what that saves.
fn measurable(made: &Plan) -> Vec<(&NoCover, &Measuring)> {
    let mut all: Vec<(&NoCover, &Measuring)> =
        made.no_cover.iter().filter_map(|n| Some((n, n.measure.as_ref()?))).collect();
    let saves = |m: &Measuring| m.saves.unwrap_or(0.0);
    all.sort_by(|a, b| saves(b.1).total_cmp(&saves(a.1)).then(a.0.position.cmp(&b.0.position)));
    all
}

fn measure(plant: &Plant, made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let all = measurable(made);
    if all.is_empty() {
        return Ok(());
    }
    let rows: Vec<Vec<String>> = all
        .iter()
        .take(shown(streams).min(all.len()))
        .map(|(n, m)| {
            vec![
                plant.positions[n.position].tag().unwrap_or("?").to_owned(),
                m.saves.map_or_else(|| "?".into(), money),
                m.candidate.clone(),
                if streams.common.verbose { m.what.join("; ") } else { in_few_words(&m.what) },
            ]
        })
        .collect();
    writeln!(
        streams.out,
        "\nMeasure: what could give cover if it comes out well ({} positions)",
        all.len()
    )?;
    let headings = ["tag", "saves up to", "spare", "measure"];
    writeln!(streams.out, "{}", render::table(&headings, &rows, &[1]))
}

/// The first thing to look at, and how many more there are.
fn in_few_words(what: &[String]) -> String {
    let first = what.first().map_or("see `explain`", String::as_str);
    let more = what.len().saturating_sub(1);
    if more > 0 { format!("{first}; and {more} more") } else { first.to_owned() }
}

fn standardise(plant: &Plant, made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    if made.conversions.is_empty() {
        return Ok(());
    }
    let rows: Vec<Vec<String>> = made
        .conversions
        .iter()
        .take(shown(streams))
        .map(|c| {
            vec![
                plant.positions[c.position].tag().unwrap_or("?").to_owned(),
                money(c.saves),
                c.gate.word().to_owned(),
                made.pools[c.pool].name.clone(),
            ]
        })
        .collect();
    writeln!(streams.out, "\nStandardise: converted once, these could share a spare")?;
    let headings = ["tag", "saves a year", "convert", "then shares"];
    writeln!(streams.out, "{}", render::table(&headings, &rows, &[1]))
}

fn service(made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let mut parted: Vec<_> = made.services.iter().filter(|s| s.simulated.is_some()).collect();
    if parted.is_empty() {
        return Ok(());
    }
    parted.sort_by(|a, b| {
        (b.upper - b.safe).total_cmp(&(a.upper - a.safe)).then(a.family.cmp(&b.family))
    });
    let per_cent = |share: f64| format!("{:.1}", 100.0 * share);
    let rows: Vec<Vec<String>> = parted
        .iter()
        .take(shown(streams))
        .map(|s| {
            let names: Vec<&str> = s.pools.iter().map(|p| made.pools[*p].name.as_str()).collect();
            vec![
                per_cent(s.safe),
                s.simulated.map_or_else(String::new, per_cent),
                per_cent(s.upper),
                names.join("; "),
            ]
        })
        .collect();
    writeln!(streams.out, "\nNobody waits in these families, per cent of the time")?;
    let headings = ["apart", "lending", "at most", "spares"];
    writeln!(streams.out, "{}", render::table(&headings, &rows, &[0, 1, 2]))
}

fn parts(made: &Plan, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let used: Vec<_> = made.parts.iter().filter(|p| !p.positions.is_empty()).collect();
    let idle = made.parts.iter().filter(|p| p.positions.is_empty() && p.have > 0.0);
    let idle: Vec<String> = idle.map(|p| format!("{} {}", p.kind, p.name)).collect();
    if !used.is_empty() {
        let rows: Vec<Vec<String>> = used
            .iter()
            .take(shown(streams))
            .map(|p| {
                vec![
                    format!("{} {}", p.kind, p.name),
                    format!("{:.0}", p.have),
                    format!("{:.0}", p.planned),
                    p.price.map_or_else(|| "?".into(), |price| money(price * p.buy())),
                    p.positions.len().to_string(),
                    p.models.join(", "),
                ]
            })
            .collect();
        writeln!(
            streams.out,
            "\nShared parts: pieces there and planned, what buying the rest costs"
        )?;
        let headings = ["part", "have", "plan", "buy for", "positions", "models"];
        writeln!(streams.out, "{}", render::table(&headings, &rows, &[1, 2, 3, 4]))?;
        let mind =
            "Suffixes of bearings, and material and lip of seals, must be those of the unit.";
        writeln!(streams.out, "{mind}")?;
    }
    if !idle.is_empty() {
        let text =
            format!("Parts that fit no installed unit by the parts list: {}.", idle.join("; "));
        writeln!(streams.out, "{}", render::wrap(&text, 0))?;
    }
    Ok(())
}

fn outlook(made: &Plan, currency: &str, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let Some(o) = &made.outlook else { return Ok(()) };
    let text = format!(
        "Outlook of {:.0} years: {:.1} exchanges at a constant rate, {:.1} as units wear ({} of {} positions have a date), \
         about {} {currency} at list prices.",
        o.years,
        o.constant,
        o.wearing,
        o.dated,
        o.running,
        money(o.money)
    );
    writeln!(streams.out, "\n{}", render::wrap(&text, 0))
}

pub(super) fn as_json(plant: &Plant, made: &Plan) -> Json {
    let tag = |position: usize| plant.positions[position].tag();
    let tags = |positions: &[usize]| positions.iter().filter_map(|p| tag(*p)).collect::<Vec<_>>();
    let frontier: Vec<Json> = made
        .frontier
        .iter()
        .map(|p| json!({ "spent": p.spent, "bought": p.bought, "waiting_cost": p.waiting }))
        .collect();
    let measure: Vec<Json> = measurable(made)
        .into_iter()
        .map(|(n, m)| {
            json!({ "tag": tag(n.position), "candidate": m.candidate, "measure": m.what, "saves": m.saves })
        })
        .collect();
    let conversions: Vec<Json> = made
        .conversions
        .iter()
        .map(|c| {
            json!({
                "tag": tag(c.position), "gate": c.gate.word(), "spare": made.pools[c.pool].name, "saves": c.saves,
            })
        })
        .collect();
    let services: Vec<Json> = made
        .services
        .iter()
        .map(|s| {
            json!({ "family": s.family + 1, "safe": s.safe, "simulated": s.simulated, "upper": s.upper })
        })
        .collect();
    let parts: Vec<Json> = made
        .parts
        .iter()
        .map(|p| {
            json!({
                "kind": p.kind, "part": p.name, "models": p.models, "positions": tags(&p.positions),
                "have": p.have, "planned": p.planned, "buy": p.buy(), "price": p.price,
                "mean_demand": p.mean, "lead_time_days": p.lead_days, "note": p.note,
            })
        })
        .collect();
    let outlook = made.outlook.map_or(Json::Null, |o| {
        json!({
            "years": o.years, "constant": o.constant, "wearing": o.wearing, "dated": o.dated,
            "positions": o.running, "money": o.money,
        })
    });
    json!({
        "frontier": frontier, "measure": measure, "conversions": conversions, "services": services,
        "parts": parts, "outlook": outlook,
    })
}
