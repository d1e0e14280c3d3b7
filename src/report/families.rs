//! Families: which positions share which spares.

use super::Material;
use super::table::{Cell, Sheet, Show, column, summed};

pub(super) fn sheet(m: &Material<'_>) -> Sheet {
    let rows = m
        .plan
        .pools
        .iter()
        .map(|p| {
            let tags: Vec<&str> =
                p.positions.iter().filter_map(|i| m.plant.positions[*i].tag()).collect();
            vec![
                Cell::Number(p.family as f64 + 1.0),
                Cell::text(&p.name),
                Cell::Number(p.positions.len() as f64),
                Cell::Number(p.have),
                Cell::Number(f64::from(p.planned.stock)),
                Cell::Number(f64::from(p.buy)),
                Cell::Number(p.planned.mean),
                Cell::Number(p.level),
                Cell::Number(p.no_wait_today),
                Cell::Number(p.planned.no_wait),
                Cell::Number(p.waiting_today),
                Cell::Number(p.planned.waiting),
                Cell::text(tags.join(", ")),
            ]
        })
        .collect();
    let money = |what: &str| format!("{what} ({})", m.policy.currency);
    Sheet {
        name: "Families",
        says: "Positions that draw on one spare; unproven units count by the policy's weight"
            .into(),
        columns: vec![
            column("Family", 8.0, Show::Whole),
            column("Spare", 30.0, Show::Text),
            column("Positions", 10.0, Show::Whole),
            column("Counts today", 9.0, Show::Two),
            column("Planned", 9.0, Show::Whole),
            summed("To buy", 8.0, Show::Whole),
            column("Mean in resupply", 10.0, Show::Two),
            column("No wait asked", 9.0, Show::Share),
            column("No wait today", 9.0, Show::Share),
            column("No wait planned", 9.0, Show::Share),
            summed(money("Waiting today, a year"), 14.0, Show::Money),
            summed(money("Waiting planned, a year"), 14.0, Show::Money),
            column("Tags", 60.0, Show::Text),
        ],
        rows,
    }
}
