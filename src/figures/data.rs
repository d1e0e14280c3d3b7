//! What the drives and the sheets themselves give cause to look at.

use super::figure::{Better, Block, Figure, Form, Given, Part};
use crate::findings::Severity;
use crate::spares::{RateFrom, SpareType};

pub(super) fn figures(given: Given<'_>) -> Vec<Figure> {
    let (plant, plan) = (given.plant, given.plan);
    let mut block = Block::new(Part::Data);
    block.add(
        (
            "overworked",
            "Overworked positions",
            "positions whose unit falls short of what its duty asks for",
        ),
        given.rated.iter().filter(|r| r.is_overworked()).count() as f64,
        Form::Count,
        Better::Less,
    );
    let rests_on =
        |from: RateFrom| given.running().filter(|p| plan.demand.rate(*p).from == from).count();
    block.add(
        (
            "own_rates",
            "Positions whose rate rests on the plant's own data",
            "running positions of groups whose own exchanges weigh more than half in their rate",
        ),
        rests_on(RateFrom::OwnData) as f64,
        Form::Count,
        Better::More,
    );
    block.add(
        (
            "group_rates",
            "Positions whose rate rests on the plant's other groups",
            "running positions of groups whose rate comes more from all groups of the plant than from their own",
        ),
        rests_on(RateFrom::Group) as f64,
        Form::Count,
        Better::Neither,
    );
    block.add(
        (
            "default_rates",
            "Positions whose rate rests on the policy's default",
            "running positions of groups whose rate comes from the policy's default, or is held up by it",
        ),
        rests_on(RateFrom::Default) as f64,
        Form::Count,
        Better::Less,
    );
    block.add(
        (
            "no_hour_cost",
            "Positions without their own cost of an hour",
            "running positions that do not say it; they take the middle of their consequence class",
        ),
        given.running().filter(|p| plant.positions[*p].down_cost_per_hour().is_none()).count()
            as f64,
        Form::Count,
        Better::Less,
    );
    let useful = || plan.coverage.types.iter().filter(|t| !t.positions.is_empty());
    block.add(
        (
            "no_price",
            "Kinds of spare that would cover, without a price",
            "kinds of spare that cover a position and have neither price nor value",
        ),
        useful().filter(|t| t.value.is_none()).count() as f64,
        Form::Count,
        Better::Less,
    );
    let listed = |t: &SpareType| {
        t.model.and_then(|m| plant.models[m].lead_time_days()).is_some_and(|days| days > 0.0)
    };
    block.add(
        (
            "no_lead_time",
            "Kinds of spare that would cover, without a lead time",
            "kinds of spare that cover a position and take the policy's lead time by mass",
        ),
        useful().filter(|t| !listed(t)).count() as f64,
        Form::Count,
        Better::Less,
    );
    block.add(
        ("errors", "Errors in the data", "findings of the kind error"),
        given.findings.iter().filter(|f| f.severity == Severity::Error).count() as f64,
        Form::Count,
        Better::Less,
    );
    block.done()
}
