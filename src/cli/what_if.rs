//! What changes if: another shelf, other rates, other lead times, a position less, so much money.

use serde_json::{Value as Json, json};

use super::args::PlanArgs;
use super::plan::money;
use super::{Streams, lookup, render};
use crate::fit::{From, NoCandidate, find_candidate};
use crate::policy::Policy;
use crate::rating::rate;
use crate::records::{Field, How, Plant, Shelf, Value};
use crate::spares::{Action, Plan, plan};

/// Whether anything is asked.
pub(super) fn is_asked(args: &PlanArgs) -> bool {
    !(args.without.is_empty() && args.with.is_empty() && args.remove.is_empty())
        || args.rates.is_some()
        || args.lead_times.is_some()
}

/// The plan if it were so, and in words what was changed.
pub(super) fn ask(
    args: &PlanArgs,
    plant: &Plant,
    policy: &Policy,
) -> Result<(Plant, Plan, Vec<String>), String> {
    let (mut plant, mut policy, mut said) = (plant.clone(), policy.clone(), Vec::new());
    for item in &args.without {
        said.push(without(&mut plant, item)?);
    }
    for wanted in &args.with {
        said.push(with(&mut plant, wanted)?);
    }
    for tag in &args.remove {
        let index = lookup::tag(&plant, tag)?;
        // Its years without a failure stay in the log: only what it asks for goes.
        let record = &mut plant.positions[index].record;
        record.set(Field::position_state, Value::Text("retired".into()), How::Measured, 0);
        said.push(format!("without position {tag}"));
    }
    for (factor, key, what) in [
        (args.rates, &mut policy.what_if_rates, "rates"),
        (args.lead_times, &mut policy.what_if_lead_times, "lead times"),
    ] {
        let Some(factor) = factor else { continue };
        if !(0.01..=100.0).contains(&factor) {
            return Err(format!("{what} times {factor} is beyond sense; name 0.01 to 100"));
        }
        *key *= factor;
        said.push(format!("{what} × {factor}"));
    }
    if !plant.positions.iter().any(|p| p.runs()) {
        return Err("no position is left to plan for".into());
    }
    let (rated, _) = rate(&plant, &policy);
    let made = plan(&plant, &rated, &policy);
    Ok((plant, made, said))
}

/// Lines of the shelf that a person who typed this means, `shelf:` before it or not.
fn lines_called(plant: &Plant, typed: &str) -> Vec<usize> {
    let bare = typed.strip_prefix("shelf:").unwrap_or(typed).trim();
    (0..plant.shelf.len()).filter(|line| plant.shelf[*line].is_called(bare)).collect()
}

/// `S-1001=2` apart; models have an equals sign of their own, so it is the last that counts.
fn with_count(text: &str) -> Result<(&str, f64), String> {
    let form =
        || format!("`{text}` is no ITEM=N with a whole number from 1 to {MOST_UNITS}, as S-1001=2");
    let (name, count) = text.rsplit_once('=').ok_or_else(form)?;
    let count: u32 = count.trim().parse().map_err(|_| form())?;
    if !(1..=MOST_UNITS).contains(&count) {
        return Err(form());
    }
    Ok((name.trim(), f64::from(count)))
}

/// Units that a question may add or take.
const MOST_UNITS: u32 = 10_000;

/// Takes an item off the shelf, or so many units of it.
fn without(plant: &mut Plant, text: &str) -> Result<String, String> {
    let whole = lines_called(plant, text);
    let (name, lines, wanted) = if whole.is_empty() && text.contains('=') {
        let (name, count) = with_count(text)?;
        (name, lines_called(plant, name), Some(count))
    } else {
        (text, whole, None)
    };
    if lines.is_empty() {
        return Err(no_item(plant, name));
    }
    let there: f64 = lines.iter().filter_map(|l| plant.shelf[*l].quantity()).sum();
    let mut left = wanted.unwrap_or(there);
    if left > there {
        return Err(format!("the shelf holds {there:.0} of {name}, so {left:.0} cannot go"));
    }
    for line in lines {
        let now = plant.shelf[line].quantity().unwrap_or(0.0);
        let gone = now.min(left);
        left -= gone;
        let record = &mut plant.shelf[line].record;
        record.set(Field::quantity, Value::Number(now - gone), How::Measured, 0);
    }
    Ok(match wanted {
        Some(count) => format!("without {count:.0} of the {there:.0} of {name}"),
        None => format!("without {name} ({there:.0} on the shelf)"),
    })
}

/// Why a name is on no shelf, and what could be meant.
fn no_item(plant: &Plant, typed: &str) -> String {
    let names: Vec<&str> = plant.shelf.iter().filter_map(|l| l.item()).collect();
    let near = lookup::near(typed, &names);
    let hint = if let Some(position) = plant.find_position(typed) {
        let fitted = plant.positions[position].model().map(|m| format!(" ({m})"));
        format!(
            "it is a position; name the shelf item or the catalogue model that it would take{}",
            fitted.unwrap_or_default()
        )
    } else if !near.is_empty() {
        format!("did you mean {}?", near.join(", "))
    } else if let (Some(first), Some(last)) = (names.first(), names.last()) {
        format!("the shelf holds {} items, from {first} to {last}", names.len())
    } else {
        "no stock list was read".to_owned()
    };
    format!("no shelf item `{typed}`; {hint}")
}

/// Puts more of an item, or of a catalogue model, on the shelf: ready to go in.
fn with(plant: &mut Plant, wanted: &str) -> Result<String, String> {
    let (name, count) = with_count(wanted)?;
    if let Some(line) = lines_called(plant, name).first() {
        let mut more = plant.shelf[*line].clone();
        let settings = [
            (Field::quantity, Value::Number(count)),
            (Field::condition, Value::Text("ready".into())),
        ];
        for (field, value) in settings {
            more.record.set(field, value, How::Measured, 0);
        }
        for field in [Field::last_inspected, Field::reserved_for, Field::on_order, Field::at_repair]
        {
            more.record.clear(field);
        }
        plant.shelf.push(more);
        return Ok(format!("with {count:.0} more of {name}, ready"));
    }
    let From::Catalogue(index) = find_candidate(plant, name).map_or_else(
        |why| match why {
            NoCandidate::Several(said) => Err(said),
            NoCandidate::Unknown(_) => Err(no_item_or_model(plant, name)),
        },
        |found| Ok(found.from),
    )?
    else {
        return Err(no_item(plant, name));
    };
    let model = &plant.models[index];
    let mut line = Shelf::default();
    let texts = [
        (Field::item, Some(name)),
        (Field::maker, model.maker()),
        (Field::model, model.model()),
        (Field::condition, Some("ready")),
    ];
    let numbers = [
        (Field::ratio, model.ratio()),
        (Field::quantity, Some(count)),
        (Field::unit_value, model.price()),
    ];
    for (field, text) in texts {
        if let Some(text) = text {
            line.record.set(field, Value::Text(text.into()), How::Measured, 0);
        }
    }
    for (field, number) in numbers {
        if let Some(number) = number {
            line.record.set(field, Value::Number(number), How::Measured, 0);
        }
    }
    line.model = Some(crate::records::ModelMatch { model: index, score: 1.0, exact: true });
    plant.shelf.push(line);
    Ok(format!("with {count:.0} of {name}, ready"))
}

fn no_item_or_model(plant: &Plant, typed: &str) -> String {
    let titles: Vec<String> = plant.models.iter().map(|m| m.title()).collect();
    let mut names: Vec<&str> = titles.iter().map(String::as_str).collect();
    names.extend(plant.shelf.iter().filter_map(|l| l.item()));
    let near = lookup::near(typed, &names);
    if near.is_empty() || plant.find_position(typed).is_some() {
        no_item(plant, typed)
    } else {
        format!("no shelf item or model `{typed}`; did you mean {}?", near.join(", "))
    }
}

/// One figure now and then.
struct Change {
    what: &'static str,
    key: &'static str,
    now: f64,
    then: f64,
}

fn changes(now: &Plan, then: &Plan) -> Vec<Change> {
    let bought = |plan: &Plan| {
        let buys = plan.lines.iter().filter(|l| l.action == Action::Buy);
        buys.filter_map(|l| l.value).sum::<f64>()
    };
    let change =
        |what, key, f: &dyn Fn(&Plan) -> f64| Change { what, key, now: f(now), then: f(then) };
    vec![
        change("value of the shelf", "stock_value", &|p| p.stock_value),
        change("holding it, a year", "holding_cost", &|p| p.holding_cost),
        change("waiting, a year", "waiting_cost", &|p| p.waiting_cost),
        change("waiting without any spare", "waiting_without", &|p| p.waiting_without),
        change("waiting as planned", "waiting_planned", &|p| p.waiting_planned),
        change("to buy", "to_buy", &bought),
        change("positions without a ready spare", "no_cover", &|p| p.no_cover.len() as f64),
        change("cost of the choice, a year", "cost", &|p| p.cost),
    ]
}

/// Tags without a ready spare.
fn bare<'a>(plant: &'a Plant, plan: &Plan) -> Vec<&'a str> {
    plan.no_cover.iter().filter_map(|n| plant.positions[n.position].tag()).collect()
}

/// Tags for which nothing on the shelf counts, not even an unproven unit.
fn empty_handed<'a>(plant: &'a Plant, plan: &Plan) -> Vec<&'a str> {
    let counts =
        |t: &usize| plan.coverage.types[*t].ready + plan.coverage.types[*t].unproven >= 1.0;
    let none =
        |p: &usize| plant.positions[*p].runs() && !plan.coverage.of_position[*p].iter().any(counts);
    (0..plant.positions.len()).filter(none).filter_map(|p| plant.positions[p].tag()).collect()
}

/// What is bought, as `2 x model`.
fn bought(plan: &Plan) -> Vec<String> {
    let buys = plan.lines.iter().filter(|l| l.action == Action::Buy);
    buys.map(|l| format!("{:.0} x {}", l.quantity, l.item)).collect()
}

/// Prints the change against today.
pub(super) fn print(
    said: &[String],
    (plant, now): (&Plant, &Plan),
    (other, then): (&Plant, &Plan),
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    writeln!(streams.out, "{}", render::wrap(&format!("What changes {}", said.join(", ")), 2))?;
    let rows: Vec<Vec<String>> = changes(now, then)
        .into_iter()
        .map(|c| {
            let change = c.then - c.now;
            let sign = if change > 0.5 { "+" } else { "" };
            vec![c.what.to_owned(), money(c.now), money(c.then), format!("{sign}{}", money(change))]
        })
        .collect();
    writeln!(
        streams.out,
        "{}",
        render::table(&["", "today", "then", "change"], &rows, &[1, 2, 3])
    )?;
    let missing = |from: Vec<&str>, of: &[&str]| -> Vec<String> {
        from.into_iter().filter(|t| !of.contains(t)).map(ToOwned::to_owned).collect()
    };
    let runs = |t: &&str| other.find_position(t).is_some_and(|p| other.positions[p].runs());
    let (before, after) = (bare(plant, now), bare(other, then));
    let (none, none_then) = (empty_handed(plant, now), empty_handed(other, then));
    let (buys, buys_then) = (bought(now), bought(then));
    let new = |of: &[String], than: &[String]| -> Vec<String> {
        of.iter().filter(|b| !than.contains(b)).cloned().collect()
    };
    let gained = before.iter().copied().filter(runs).collect();
    for (label, what) in [
        ("Lose their ready spare", missing(after.clone(), &before)),
        ("Lose the last unit on the shelf, ready or unproven", missing(none_then, &none)),
        ("Gain a ready one", missing(gained, &after)),
        ("Then buy", new(&buys_then, &buys)),
        ("No longer buy", new(&buys, &buys_then)),
    ] {
        if !what.is_empty() || label.starts_with("Lose") {
            let shown = if what.is_empty() { "none".to_owned() } else { what.join(", ") };
            writeln!(streams.out, "{}", render::wrap(&format!("{label}: {shown}"), 2))?;
        }
    }
    Ok(())
}

/// The change for `--json`.
pub(super) fn as_json(
    said: &[String],
    (plant, now): (&Plant, &Plan),
    (other, then): (&Plant, &Plan),
) -> Json {
    let figures: serde_json::Map<String, Json> = changes(now, then)
        .into_iter()
        .map(|c| (c.key.to_owned(), json!({ "today": c.now, "then": c.then })))
        .collect();
    json!({
        "changed": said, "figures": figures,
        "no_cover_today": bare(plant, now), "no_cover_then": bare(other, then),
        "buy_today": bought(now), "buy_then": bought(then),
    })
}
