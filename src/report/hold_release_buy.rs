//! Hold, release, buy: every shelf line.

use super::Material;
use super::table::{Cell, Sheet, Show, column, summed};
use crate::spares::{Action, Line};

/// Column of the action and of the values, for the figures of the first sheet.
pub(super) const ACTION_COLUMN: u32 = 2;
/// Value on the shelf.
pub(super) const VALUE_COLUMN: u32 = 5;

pub(super) fn sheet(m: &Material<'_>) -> Sheet {
    let rows = by_action(m)
        .into_iter()
        .map(|l| {
            let shelf = l.line.map(|line| &m.plant.shelf[line]);
            vec![
                Cell::text(&l.item),
                Cell::text(&l.what),
                Cell::text(l.word()),
                Cell::Number(l.quantity),
                Cell::text(shelf.and_then(|s| s.condition()).unwrap_or(if l.line.is_some() {
                    "blank"
                } else {
                    ""
                })),
                Cell::number(l.value.filter(|_| l.line.is_some())),
                Cell::number(l.cost.filter(|_| l.action != Action::Hold)),
                Cell::number(l.benefit),
                Cell::text(&l.reason),
                Cell::text(&l.covered_by),
                Cell::text(shelf.and_then(|s| s.bin()).unwrap_or("")),
                Cell::text(
                    shelf.and_then(|s| s.stock_date()).map_or_else(String::new, |d| d.to_string()),
                ),
            ]
        })
        .collect();
    let money = |what: &str| format!("{what} ({})", m.policy.currency);
    Sheet {
        name: "Hold, release, buy",
        says: "Every shelf line and every purchase, with the reason: what may go, what somebody must look at before it may (review), what to do, what stays. A line of which only some units go stands in two rows. A release is proved at three times the failure rate".into(),
        columns: vec![
            column("Item", 33.0, Show::Text),
            column("What", 38.0, Show::Text),
            column("Action", 10.0, Show::Text),
            column("Quantity", 9.0, Show::Whole),
            column("Condition", 12.0, Show::Text),
            summed(money("Value on the shelf"), 13.0, Show::Money),
            summed(money("To spend"), 13.0, Show::Money),
            summed(money("Saves a year"), 13.0, Show::Money),
            column("Why", 52.0, Show::Text),
            column("For, or who keeps cover", 46.0, Show::Text),
            column("Bin", 10.0, Show::Text),
            column("Stock as of", 11.0, Show::Text),
        ],
        rows,
        below: None,
    }
}

/// What may go first, the dearest first; then what to look at, what to do, and what stays.
fn by_action<'a>(m: &Material<'a>) -> Vec<&'a Line> {
    let rank = |l: &Line| match (l.action, l.is_to_review()) {
        (Action::Release, _) => 0,
        (_, true) => 1,
        (Action::Inspect, _) => 2,
        (Action::Rebuild, _) => 3,
        (Action::Buy, _) => 4,
        (Action::Hold, _) => 5,
    };
    let mut lines: Vec<&Line> = m.plan.lines.iter().collect();
    let value = |l: &Line| l.value.unwrap_or(0.0);
    lines.sort_by(|a, b| {
        rank(a)
            .cmp(&rank(b))
            .then(value(b).total_cmp(&value(a)))
            .then(a.line.cmp(&b.line))
            .then_with(|| a.item.cmp(&b.item))
    });
    lines
}
