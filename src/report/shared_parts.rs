//! Shared parts: bearings, seals and gear sets across models, with the stock that they need.

use super::Material;
use super::table::{Cell, Sheet, Show, column, summed};

pub(super) fn sheet(m: &Material<'_>) -> Sheet {
    let tags = |positions: &[usize]| {
        let shown: Vec<&str> =
            positions.iter().take(6).filter_map(|p| m.plant.positions[*p].tag()).collect();
        let more = positions.len().saturating_sub(6);
        if more > 0 { format!("{} and {more} more", shown.join(", ")) } else { shown.join(", ") }
    };
    let rows = m
        .plan
        .parts
        .iter()
        .map(|part| {
            let note = if part.positions.is_empty() {
                "fits no installed unit by the parts list"
            } else {
                part.note.as_str()
            };
            vec![
                Cell::text(&part.kind),
                Cell::text(&part.name),
                Cell::Number(part.have),
                Cell::Number(part.planned),
                Cell::Number(part.buy()),
                Cell::number(part.price.map(|price| price * part.buy())),
                Cell::Number(part.mean),
                Cell::Number(part.positions.len() as f64),
                Cell::text(part.models.join(", ")),
                Cell::text(tags(&part.positions)),
                Cell::text(note),
            ]
        })
        .collect();
    Sheet {
        name: "Shared parts",
        says: "Parts that models share, by what they measure; planned is what keeps repairs from waiting at the policy's level".into(),
        columns: vec![
            column("Kind", 12.0, Show::Text),
            column("Part", 30.0, Show::Text),
            column("On the shelf", 9.0, Show::Whole),
            column("Planned", 9.0, Show::Whole),
            column("To buy", 9.0, Show::Whole),
            summed(format!("Buying costs ({})", m.policy.currency), 13.0, Show::Money),
            column("Repairs expected in a lead time", 12.0, Show::Two),
            column("Positions", 10.0, Show::Whole),
            column("Models", 40.0, Show::Text),
            column("For", 40.0, Show::Text),
            column("Note", 44.0, Show::Text),
        ],
        rows,
        below: None,
    }
}
