//! Top speed: input speed against the unit's limit.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::fit::gate::Side;
use crate::records::Field;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let limit = candidate.unit.number(Field::max_input_speed_rpm);
    let sides = |r: GateResult| {
        r.sides(
            Side::number(limit.as_ref().map(|k| k.value)),
            Side::number(case.duty.input_rpm),
            "r/min",
        )
        .cells(limit.iter().map(|k| k.place.clone()))
    };
    match (&limit, case.duty.input_rpm) {
        (Some(limit), Some(n1)) if n1 <= limit.value + 1e-9 => sides(GateResult::new(
            Gate::TopSpeed,
            GateOutcome::Pass,
            "below the unit's highest input speed",
        )),
        (Some(_), Some(_)) => sides(GateResult::new(
            Gate::TopSpeed,
            GateOutcome::Fail,
            "above the unit's highest input speed",
        )),
        _ => sides(GateResult::new(
            Gate::TopSpeed,
            GateOutcome::Unknown,
            "the highest input speed is not known",
        ))
        .measure(
            Field::max_input_speed_rpm,
            candidate.unit.place(Field::max_input_speed_rpm),
            "the candidate's highest input speed, from its maker",
        ),
    }
}
