//! Families: which positions share which spares.

use std::collections::BTreeMap;

use super::Material;
use super::table::{Cell, Sheet, Show, column, summed};
use crate::spares::Pool;

pub(super) fn sheet(m: &Material<'_>) -> Sheet {
    let rows = by_money(m)
        .into_iter()
        .map(|p| {
            let tags: Vec<&str> =
                p.positions.iter().filter_map(|i| m.plant.positions[*i].tag()).collect();
            vec![
                Cell::Number(p.family as f64 + 1.0),
                Cell::text(&p.name),
                Cell::Number(p.positions.len() as f64),
                Cell::Number(p.have.count()),
                Cell::Number(f64::from(p.planned.stock)),
                Cell::Number(f64::from(p.buy)),
                Cell::Number(p.planned.mean),
                Cell::Number(p.level),
                Cell::Number(p.no_wait_today),
                Cell::Number(p.no_wait_then()),
                Cell::Number(p.waiting_today),
                Cell::Number(p.waiting_then()),
                Cell::text(tags.join(", ")),
            ]
        })
        .collect();
    let money = |what: &str| format!("{what} ({})", m.policy.currency);
    Sheet {
        name: "Families",
        says: "Positions that draw on one spare, dearest family first. Units not inspected count in part. Ready is the share of the time in which nobody waits: asked for at least, with the units of this spare alone today, as planned. Waiting today counts whatever else serves these tags".into(),
        columns: vec![
            column("Family", 10.0, Show::Whole),
            column("Spare", 36.0, Show::Text),
            column("Positions", 12.0, Show::Whole),
            column("Units that count today", 12.0, Show::Two).keyed("counts_today"),
            column("Units planned", 10.0, Show::Whole).keyed("planned"),
            summed("To buy", 8.0, Show::Whole),
            column("Failures in a lead time", 11.0, Show::Two).keyed("mean_in_resupply"),
            column("Ready, asked", 9.0, Show::Share).keyed("no_wait_asked"),
            column("Ready, today", 9.0, Show::Share).keyed("no_wait_today"),
            column("Ready, planned", 9.0, Show::Share).keyed("no_wait_planned"),
            summed(money("Waiting today, a year"), 14.0, Show::Money),
            summed(money("Waiting planned, a year"), 14.0, Show::Money),
            column("Tags", 60.0, Show::Text),
        ],
        rows,
        below: conversions(m).map(Box::new),
    }
}

/// The families by what waiting costs them today, and in each the spares so too.
fn by_money<'a>(m: &Material<'a>) -> Vec<&'a Pool> {
    let mut of_family: BTreeMap<usize, f64> = BTreeMap::new();
    for pool in &m.plan.pools {
        *of_family.entry(pool.family).or_default() += pool.waiting_today;
    }
    let mut pools: Vec<&Pool> = m.plan.pools.iter().collect();
    pools.sort_by(|a, b| {
        of_family[&b.family]
            .total_cmp(&of_family[&a.family])
            .then(a.family.cmp(&b.family))
            .then(b.waiting_today.total_cmp(&a.waiting_today))
            .then_with(|| a.name.cmp(&b.name))
    });
    pools
}

/// What could be converted so that more positions share.
fn conversions(m: &Material<'_>) -> Option<Sheet> {
    let rows: Vec<Vec<Cell>> = m
        .plan
        .conversions
        .iter()
        .map(|c| {
            vec![
                Cell::text(m.plant.positions[c.position].tag().unwrap_or("?")),
                Cell::text(&m.plan.pools[c.pool].name),
                Cell::text(c.gate.part()),
                Cell::Number(c.saves),
            ]
        })
        .collect();
    let money = |value: f64| format!("{value:.0} {}", m.policy.currency);
    (!rows.is_empty()).then(|| Sheet {
        name: "Conversions",
        says: format!(
            "Converted once, for about {} each by the policy, these positions could share a spare; each saving stands alone, the conversion taken off",
            money(m.policy.conversion_cost)
        ),
        columns: vec![
            column("Tag", 10.0, Show::Text),
            column("Then shares", 36.0, Show::Text),
            column("Convert", 12.0, Show::Text),
            column(format!("Saves a year ({})", m.policy.currency), 12.0, Show::Money),
        ],
        rows,
        below: None,
    })
}
