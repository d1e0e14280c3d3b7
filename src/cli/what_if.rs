//! What changes if: another shelf, other rates, other lead times, a position less, so much money.

use serde_json::{Value as Json, json};

use super::args::PlanArgs;
use super::plan::money;
use super::{Streams, lookup, render};
use crate::fit::{From, find_candidate};
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
        plant.positions.remove(index);
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
    if plant.positions.is_empty() {
        return Err("no position is left to plan for".into());
    }
    let (rated, _) = rate(&plant, &policy);
    let made = plan(&plant, &rated, &policy);
    Ok((plant, made, said))
}

/// Takes an item off the shelf.
fn without(plant: &mut Plant, item: &str) -> Result<String, String> {
    let mut found = 0.0;
    let mut any = false;
    for line in &mut plant.shelf {
        if line.is_called(item) {
            any = true;
            found += line.quantity().unwrap_or(0.0);
            line.record.set(Field::quantity, Value::Number(0.0), How::Measured, 0);
        }
    }
    if any {
        return Ok(format!("without {item} ({found:.0} on the shelf)"));
    }
    let names: Vec<&str> = plant.shelf.iter().filter_map(|l| l.item()).collect();
    let near = lookup::near(item, &names);
    let hint = if near.is_empty() {
        "`sparemesh check` shows what was read".to_owned()
    } else {
        format!("did you mean {}?", near.join(", "))
    };
    Err(format!("no shelf item `{item}`; {hint}"))
}

/// Puts more of an item, or of a catalogue model, on the shelf: new and ready.
fn with(plant: &mut Plant, wanted: &str) -> Result<String, String> {
    let form = || format!("`{wanted}` is no ITEM=N, as S-1001=2");
    let (name, count) = wanted.rsplit_once('=').ok_or_else(form)?;
    let count: f64 = count.trim().parse().ok().filter(|n| *n >= 1.0).ok_or_else(form)?;
    let name = name.trim();
    if let Some(line) = plant.shelf.iter_mut().find(|l| l.is_called(name)) {
        let now = line.quantity().unwrap_or(0.0);
        line.record.set(Field::quantity, Value::Number(now + count), How::Measured, 0);
        return Ok(format!("with {count:.0} more of {name}"));
    }
    let from = find_candidate(plant, name)?.from;
    let From::Catalogue(index) = from else { return Err(form()) };
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
    Ok(format!("with {count:.0} of {name}"))
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
    ]
}

/// Tags without a ready spare.
fn bare<'a>(plant: &'a Plant, plan: &Plan) -> Vec<&'a str> {
    plan.no_cover.iter().filter_map(|n| plant.positions[n.position].tag()).collect()
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
    let (before, after) = (bare(plant, now), bare(other, then));
    let lost: Vec<&str> = after.iter().copied().filter(|t| !before.contains(t)).collect();
    let won: Vec<&str> = before
        .iter()
        .copied()
        .filter(|t| !after.contains(t) && other.find_position(t).is_some())
        .collect();
    for (label, tags) in [("Lose their ready spare", lost), ("Gain one", won)] {
        let shown = if tags.is_empty() { "none".to_owned() } else { tags.join(", ") };
        writeln!(streams.out, "{}", render::wrap(&format!("{label}: {shown}"), 2))?;
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
    })
}

/// What a budget buys: pool and units, money saved a year, and the bound of that.
pub(super) struct Buys {
    /// Index of the pool and units of it.
    pub(super) units: Vec<(usize, u32)>,
    pub(super) spent: f64,
    pub(super) saved: f64,
    /// No other purchase for the money saves more.
    pub(super) saved_at_most: f64,
}

/// What so much money buys best, unit by unit.
pub(super) fn within(budget: f64, made: &Plan, policy: &Policy) -> Buys {
    let nothing = made.within(0.0, policy);
    let bought = made.within(budget, policy);
    let units = bought.more.iter().enumerate().filter(|(_, n)| **n > 0).map(|(at, n)| (at, *n));
    Buys {
        units: units.collect(),
        spent: bought.spent,
        saved: nothing.waiting - bought.waiting,
        saved_at_most: nothing.waiting - bought.bound,
    }
}

/// Prints what the money buys.
pub(super) fn print_budget(
    budget: f64,
    made: &Plan,
    policy: &Policy,
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    let buys = within(budget, made, policy);
    let units: u32 = buys.units.iter().map(|u| u.1).sum();
    let most = if buys.saved_at_most > buys.saved * 1.001 + 1.0 {
        format!("no other purchase for the money saves more than {}", money(buys.saved_at_most))
    } else {
        "nothing else pays for itself".to_owned()
    };
    let text = format!(
        "With {} {}: {units} {} for {}, about {} a year saved on waiting once what is to be inspected and rebuilt is done; \
         {most}.",
        money(budget),
        policy.currency,
        if units == 1 { "unit" } else { "units" },
        money(buys.spent),
        money(buys.saved),
    );
    writeln!(streams.out, "{}", render::wrap(&text, 0))?;
    let rows: Vec<Vec<String>> = buys
        .units
        .into_iter()
        .map(|(at, n)| {
            let pool = &made.pools[at];
            let price = f64::from(n) * pool.input.unit_value;
            vec![pool.name.clone(), n.to_string(), money(price), pool.positions.len().to_string()]
        })
        .collect();
    if rows.is_empty() {
        return writeln!(streams.out);
    }
    writeln!(
        streams.out,
        "{}\n",
        render::table(&["buy", "qty", "price", "for positions"], &rows, &[1, 2, 3])
    )
}
