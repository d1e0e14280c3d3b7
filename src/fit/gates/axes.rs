//! Axes: parallel, in line, at a right angle, crossed.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::fit::gate::Side;
use crate::records::Field;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let (need, have) = (case.fitted.axes(), candidate.unit.axes());
    let result = |outcome, note: &str| {
        GateResult::new(Gate::Axes, outcome, note)
            .sides(
                Side::text(have.as_ref().map(|a| a.0)),
                Side::text(need.as_ref().map(|a| a.0)),
                "",
            )
            .cells(have.iter().chain(&need).map(|a| a.1.clone()))
    };
    if identical {
        return result(GateOutcome::Pass, "same maker, model and ratio");
    }
    if let Some(why) = against_train(&candidate.unit) {
        return result(GateOutcome::Unknown, why).measure(
            Field::axes,
            candidate.unit.place(Field::axes),
            "how the candidate's shafts lie: its gear type and its axes contradict each other",
        );
    }
    match (&need, &have) {
        (Some((need, _)), Some((have, _))) if need == have => {
            result(GateOutcome::Pass, "same axes")
        }
        (Some((need, _)), Some((have, _))) if is_turned(need) && is_turned(have) => {
            let hangs = candidate.unit.text(Field::input_flange).is_some();
            let passed = result(GateOutcome::Pass, "both turn the axis; one crosses, one meets");
            if hangs {
                passed
            } else {
                passed.confirm("axes: the offset between input and output shaft")
            }
        }
        (Some(_), Some(_)) => result(GateOutcome::Fail, "the axes differ"),
        (None, _) => result(GateOutcome::Unknown, "the axes of the position are not known")
            .measure(
                Field::axes,
                case.fitted.place(Field::axes),
                "how input and output shaft lie to each other",
            ),
        (_, None) => result(GateOutcome::Unknown, "the axes of the candidate are not known")
            .measure(
                Field::axes,
                candidate.unit.place(Field::axes),
                "how the candidate's input and output shaft lie to each other",
            ),
    }
}

/// A worm or bevel stage turns the axis, spur and helical stages never do.
fn against_train(unit: &crate::rating::Unit<'_>) -> Option<&'static str> {
    let stated = unit.text(Field::axes)?.value;
    let train = unit.train()?;
    let either = train.has(crate::gearing::Stage::CrossedHelical);
    (!either && train.turns_axis() != is_turned(stated))
        .then_some("the candidate's gear type and axes contradict each other")
}

/// Whether axes are turned.
pub(in crate::fit) fn is_turned(axes: &str) -> bool {
    matches!(axes, "right-angle" | "crossed")
}
