//! Who has a spare: counted, weighted, and how far it hangs on one kind or one source.

use std::collections::HashSet;

use super::figure::{Better, Block, Figure, Form, Given, Part, share};
use crate::records::Plant;
use crate::spares::SpareType;

pub(super) fn figures(given: Given<'_>) -> Vec<Figure> {
    let plan = given.plan;
    let bare: HashSet<usize> = plan.no_cover.iter().map(|n| n.position).collect();
    let positions = given.running().count() as f64;
    let covered = || given.running().filter(|p| !bare.contains(p));
    let rate = |p: usize| plan.demand.mean_rate(p);
    let cost = |p: usize| rate(p) * plan.price_today[p].unwrap_or(0.0);
    let mut block = Block::new(Part::Cover);
    block.add(
        (
            "positions",
            "Positions that run",
            "positions of the fleet that are neither idle nor retired",
        ),
        positions,
        Form::Count,
        Better::Neither,
    );
    block.add(
        (
            "covered",
            "Positions with a ready spare on the shelf",
            "running positions that a ready, unreserved unit covers, those on a stop-gap left out",
        ),
        positions - plan.no_cover.len() as f64,
        Form::Count,
        Better::More,
    );
    block.add(
        (
            "cover_by_rate",
            "Share of positions with one, weighted by rate of failure",
            "Σ λ of the covered / Σ λ",
        ),
        share(covered().map(rate).sum(), given.running().map(rate).sum()),
        Form::Share,
        Better::More,
    );
    block.add(
        (
            "cover_by_cost",
            "Share of positions with one, weighted by rate and cost",
            "Σ λ·b of the covered / Σ λ·b; b is the price of a year of waiting",
        ),
        share(covered().map(cost).sum(), given.running().map(cost).sum()),
        Form::Share,
        Better::More,
    );
    let types = |p: usize| plan.coverage.of_position[p].iter().map(|t| &plan.coverage.types[*t]);
    let in_sight = |p: &usize| types(*p).any(|t| t.stock_position() > 0.0);
    block.add(
        (
            "orphans",
            "Positions with no usable unit here, on order or at repair",
            "running positions with no ready or unproven unit that covers them, and none on order or at repair; units as removed do not count",
        ),
        given.running().filter(|p| !in_sight(p)).count() as f64,
        Form::Count,
        Better::Less,
    );
    let usable = |p: usize| types(p).filter(|t| t.within_reach() > 0.0 || t.orderable);
    block.add(
        (
            "one_kind",
            "Positions that only one kind of spare covers",
            "running positions with exactly one kind of spare that is there or can be bought",
        ),
        given.running().filter(|p| usable(*p).take(2).count() == 1).count() as f64,
        Form::Count,
        Better::Less,
    );
    let single: Vec<usize> =
        given.running().filter(|p| is_single_source(given.plant, usable(*p))).collect();
    let risk = |p: &usize| plan.risk_today[*p].unwrap_or(0.0);
    block.add(
        (
            "one_source",
            "Positions whose spares come from one source, or cannot be bought",
            "running positions all of whose kinds of spare have one supplier (else one maker), or none that can be bought",
        ),
        single.len() as f64,
        Form::Count,
        Better::Less,
    );
    block.add(
        ("one_source_risk", "Share of the risk at these", "their risk / the risk of all"),
        share(single.iter().map(risk).sum(), plan.waiting_cost),
        Form::Share,
        Better::Less,
    );
    block.done()
}

/// Whether there is something that covers, but from one source alone or with nothing to buy.
fn is_single_source<'a>(plant: &Plant, usable: impl Iterator<Item = &'a SpareType>) -> bool {
    let (mut sources, mut orderable, mut any) = (HashSet::new(), false, false);
    for kind in usable {
        any = true;
        orderable |= kind.orderable;
        sources.insert(source(plant, kind));
        if orderable && sources.len() > 1 {
            return false;
        }
    }
    any
}

/// Where a kind of spare comes from: the supplier of its shelf line, else its maker, else itself alone.
fn source(plant: &Plant, kind: &SpareType) -> String {
    let supplier = kind.lines.iter().find_map(|l| plant.shelf[*l].supplier());
    let maker = || {
        let model = kind.model.and_then(|m| plant.models[m].maker());
        model.or_else(|| kind.lines.iter().find_map(|l| plant.shelf[*l].maker()))
    };
    supplier.or_else(maker).map_or_else(|| kind.name.clone(), str::to_lowercase)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kind(name: &str, orderable: bool) -> SpareType {
        SpareType { name: name.into(), orderable, ..SpareType::default() }
    }

    #[test]
    fn one_source_is_one_name_or_nothing_to_buy() {
        let plant = Plant::default();
        let single = |kinds: &[SpareType]| is_single_source(&plant, kinds.iter());
        assert!(!single(&[]));
        assert!(single(&[kind("a", true)]));
        assert!(!single(&[kind("a", true), kind("b", false)]));
        assert!(single(&[kind("a", false), kind("b", false)]));
    }
}
