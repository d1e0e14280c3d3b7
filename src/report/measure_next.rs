//! Measure next: what could give cover if it comes out well, by what that saves.

use std::collections::HashMap;

use super::Material;
use super::table::{Cell, Sheet, Show, column, tag_width};
use super::who_fits_where::Links;

pub(super) fn sheet(m: &Material<'_>, links: &Links) -> Sheet {
    let mut open: Vec<_> =
        m.plan.no_cover.iter().filter_map(|n| Some((n, n.measure.as_ref()?))).collect();
    open.sort_by(|a, b| {
        let saves = |x: &crate::spares::Measuring| x.saves.unwrap_or(0.0);
        saves(b.1).total_cmp(&saves(a.1)).then(a.0.position.cmp(&b.0.position))
    });
    // What one costs, where none of the spare is on the shelf.
    let prices: HashMap<&str, Option<f64>> = m
        .plan
        .coverage
        .types
        .iter()
        .map(|kind| (kind.name.as_str(), kind.value.filter(|_| kind.ready + kind.unproven < 1.0)))
        .collect();
    let rows = open
        .into_iter()
        .map(|(bare, measure)| {
            let p = &m.plant.positions[bare.position];
            vec![
                links.tag(m, bare.position),
                Cell::text(p.area().unwrap_or("")),
                Cell::text(p.driven_machine().unwrap_or("")),
                Cell::number(measure.saves),
                Cell::text(&measure.candidate),
                Cell::number(prices.get(measure.candidate.as_str()).copied().flatten()),
                Cell::Number(measure.what.len() as f64),
                Cell::text(measure.what.join("; ")),
            ]
        })
        .collect();
    let money = |what: &str| format!("{what} ({})", m.policy.currency);
    Sheet {
        name: "Measure next",
        says: "Positions without cover that a measurement may cover. The saving is what one spare of its own would save if everything comes out well; a spare named twice serves one of them, so savings do not add up".into(),
        columns: vec![
            column("Tag", tag_width(m), Show::Text),
            column("Area", 16.0, Show::Text),
            column("Driven machine", 34.0, Show::Text),
            column(money("Saves up to, a year"), 14.0, Show::Money).with_bar().keyed("saves_up_to"),
            column("Spare", 32.0, Show::Text),
            column(money("To buy first, one"), 12.0, Show::Money).keyed("to_buy"),
            column("Things to look at", 10.0, Show::Whole),
            column("What to measure, in this order", 80.0, Show::Text),
        ],
        rows,
        below: None,
    }
}
