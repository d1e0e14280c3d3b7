//! `plan --budget`: what so much money buys best.

use serde_json::{Value as Json, json};

use super::plan::money;
use super::{Streams, render};
use crate::policy::Policy;
use crate::spares::{Action, Bought, Plan};

/// What the money buys, and what it saves a year.
struct Buys {
    bought: Bought,
    saved: f64,
    /// No other purchase for the money saves more.
    saved_at_most: f64,
    /// What the inspections and rebuilds cost that are taken to be done.
    before: f64,
}

impl Buys {
    fn of(budget: f64, made: &Plan, policy: &Policy) -> Self {
        let nothing = made.within(0.0, policy);
        let bought = made.within(budget, policy);
        let first = |action| matches!(action, Action::Inspect | Action::Rebuild);
        let before = made.lines.iter().filter(|l| first(l.action)).filter_map(|l| l.cost).sum();
        Self {
            saved: nothing.waiting - bought.waiting,
            saved_at_most: nothing.waiting - bought.bound,
            bought,
            before,
        }
    }

    /// Pools that something is bought of, and how many.
    fn units(&self) -> impl Iterator<Item = (usize, u32)> {
        self.bought.more.iter().enumerate().filter(|(_, n)| **n > 0).map(|(at, n)| (at, *n))
    }

    /// How good the purchase is, in words.
    fn verdict(&self, made: &Plan) -> String {
        let cheapest = self.bought.cheapest.map(|(at, units)| (&made.pools[at], units));
        match cheapest {
            None => "that is all that pays for itself".into(),
            Some((pool, units)) if self.bought.spent <= 0.0 => format!(
                "the cheapest that pays for itself is {} at {}",
                pool.name,
                money(pool.input.unit_value * f64::from(units))
            ),
            Some(_) if self.saved_at_most > self.saved + 0.5 => {
                format!(
                    "no other purchase for the money saves more than {}",
                    money(self.saved_at_most)
                )
            }
            Some(_) => "no other purchase for the money saves more".into(),
        }
    }
}

/// For `--json`.
pub(super) fn as_json(budget: f64, made: &Plan, policy: &Policy) -> Json {
    let buys = Buys::of(budget, made, policy);
    let items: Vec<Json> = buys
        .units()
        .map(|(at, n)| json!({ "spare": made.pools[at].name, "quantity": n }))
        .collect();
    json!({
        "budget": budget, "buy": items, "spent": buys.bought.spent, "saved_a_year": buys.saved,
        "saved_at_most": buys.saved_at_most, "before_it": buys.before,
    })
}

/// Prints what the money buys.
pub(super) fn print(
    budget: f64,
    made: &Plan,
    policy: &Policy,
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    let buys = Buys::of(budget, made, policy);
    let units: u32 = buys.units().map(|u| u.1).sum();
    let before = if buys.before > 0.0 {
        format!(
            " This comes after what is to be inspected and rebuilt, for about {} besides.",
            money(buys.before)
        )
    } else {
        String::new()
    };
    let text = format!(
        "With {} {} to buy for: {units} {} for {}, about {} a year saved on waiting; {}.{before}",
        money(budget),
        policy.currency,
        if units == 1 { "unit" } else { "units" },
        money(buys.bought.spent),
        money(buys.saved),
        buys.verdict(made),
    );
    writeln!(streams.out, "{}", render::wrap(&text, 0))?;
    let rows: Vec<Vec<String>> = buys
        .units()
        .map(|(at, n)| {
            let pool = &made.pools[at];
            let price = f64::from(n) * pool.input.unit_value;
            vec![pool.name.clone(), n.to_string(), money(price), pool.positions.len().to_string()]
        })
        .collect();
    if !rows.is_empty() {
        let headings = ["buy", "qty", "price", "for positions"];
        writeln!(streams.out, "{}", render::table(&headings, &rows, &[1, 2, 3]))?;
    }
    Ok(())
}
