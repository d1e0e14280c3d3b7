//! No cover: positions without a ready spare, by risk.

use super::Material;
use super::table::{Cell, Sheet, Show, column, summed, tag_width};
use super::who_fits_where::Links;

pub(super) fn sheet(m: &Material<'_>, links: &Links) -> Sheet {
    let rows = m
        .plan
        .no_cover
        .iter()
        .map(|n| {
            let p = &m.plant.positions[n.position];
            let options: Vec<&str> =
                n.options.iter().take(3).map(|t| m.plan.coverage.types[*t].name.as_str()).collect();
            vec![
                links.tag(m, n.position),
                Cell::text(p.area().unwrap_or("")),
                Cell::text(p.driven_machine().unwrap_or("")),
                Cell::text(p.consequence().unwrap_or("line")),
                Cell::number(n.risk),
                Cell::text(&n.reason),
                Cell::text(n.meanwhile.as_deref().unwrap_or("")),
                Cell::text(options.join("; ")),
            ]
        })
        .collect();
    Sheet {
        name: "No cover",
        says: "Positions that no ready unit on the shelf covers: those that carry people first, then by risk, the expected cost of waiting a year".into(),
        columns: vec![
            column("Tag", tag_width(m), Show::Text),
            column("Area", 16.0, Show::Text),
            column("Driven machine", 34.0, Show::Text),
            column("Consequence", 13.0, Show::Text),
            summed(format!("Risk a year ({})", m.policy.currency), 14.0, Show::Money).with_bar(),
            column("Why, and what would mend it", 52.0, Show::Text),
            column("Here, and may run meanwhile", 30.0, Show::Text).keyed("meanwhile"),
            column("Would cover (three at most)", 40.0, Show::Text),
        ],
        rows,
        below: None,
    }
}
