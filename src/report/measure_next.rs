//! Measure next: what could give cover if it comes out well, by what that saves.

use super::Material;
use super::table::{Cell, Sheet, Show, column, summed};
use super::who_fits_where::Links;

pub(super) fn sheet(m: &Material<'_>, links: &Links) -> Sheet {
    let mut open: Vec<_> =
        m.plan.no_cover.iter().filter_map(|n| Some((n, n.measure.as_ref()?))).collect();
    open.sort_by(|a, b| {
        let saves = |x: &crate::spares::Measuring| x.saves.unwrap_or(0.0);
        saves(b.1).total_cmp(&saves(a.1)).then(a.0.position.cmp(&b.0.position))
    });
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
                Cell::Number(measure.what.len() as f64),
                Cell::text(measure.what.join("; ")),
            ]
        })
        .collect();
    Sheet {
        name: "Measure next",
        says: "Positions without cover that a measurement may cover; the saving is what one spare would save if everything comes out well, a year".into(),
        columns: vec![
            column("Tag", 14.0, Show::Text),
            column("Area", 16.0, Show::Text),
            column("Driven machine", 34.0, Show::Text),
            summed(format!("Saves up to ({})", m.policy.currency), 14.0, Show::Money).with_bar(),
            column("Spare", 32.0, Show::Text),
            column("Things to look at", 10.0, Show::Whole),
            column("What to measure, in this order", 80.0, Show::Text),
        ],
        rows,
    }
}
