//! `plan`: what to buy, inspect, rebuild and let go, each with what it costs and what it saves.

use super::plan::{SHOWN, money};
use super::{Streams, render};
use crate::policy::Policy;
use crate::spares::{Action, Line, Plan};

/// The table of an action: its title, and what its first column of money is.
struct Words {
    title: String,
    spent: &'static str,
}

fn words(action: Action, policy: &Policy) -> Words {
    match action {
        Action::Buy => {
            Words { title: "Buy: saves waiting, before the cost of holding".into(), spent: "price" }
        }
        Action::Inspect => Words {
            title: format!(
                "Inspect: saves waiting, once the {:.0} % that may fail are made good",
                100.0 * (1.0 - policy.unproven_weight)
            ),
            spent: "cost",
        },
        Action::Rebuild => Words { title: "Rebuild: saves waiting".into(), spent: "cost" },
        Action::Release | Action::Hold => Words {
            title: "Let go: saves holding, and takes this value off the books".into(),
            spent: "book value",
        },
    }
}

pub(super) fn print(
    made: &Plan,
    policy: &Policy,
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    for action in [Action::Buy, Action::Inspect, Action::Rebuild, Action::Release] {
        let mut lines: Vec<&Line> = made.lines.iter().filter(|l| l.action == action).collect();
        if lines.is_empty() {
            continue;
        }
        lines.sort_by(|a, b| b.benefit.unwrap_or(0.0).total_cmp(&a.benefit.unwrap_or(0.0)));
        let shown = if streams.common.verbose { lines.len() } else { SHOWN };
        let rows: Vec<Vec<String>> = lines.iter().take(shown).map(|l| row(l)).collect();
        let more = lines.len().saturating_sub(shown);
        let tail = if more > 0 { format!(" ({more} more, -v shows all)") } else { String::new() };
        let Words { title, spent } = words(action, policy);
        writeln!(streams.out, "\n{}", render::wrap(&format!("{title}{tail}"), 0))?;
        let headings = ["item", "qty", spent, "saves a year", "why"];
        writeln!(streams.out, "{}", render::table(&headings, &rows, &[1, 2, 3]))?;
    }
    Ok(())
}

fn row(line: &Line) -> Vec<String> {
    let is_release = line.action == Action::Release;
    let amount = |value: Option<f64>| value.map_or_else(|| "?".into(), money);
    vec![
        line.item.clone(),
        format!("{:.0}", line.quantity),
        amount(if is_release { line.value } else { line.cost }),
        amount(line.benefit),
        if is_release {
            format!("{}; {}", line.reason, line.covered_by)
        } else {
            line.reason.clone()
        },
    ]
}
