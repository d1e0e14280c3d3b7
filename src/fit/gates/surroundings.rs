//! Surroundings: washdown and the temperature round the unit.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::records::Field;

/// Standard seals and oils serve between these (°C); common practice, no source.
const USUAL_C: std::ops::RangeInclusive<f64> = -20.0..=40.0;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let result = washed(case, candidate, identical);
    match case.position.ambient_c() {
        Some(ambient) if !USUAL_C.contains(&ambient) => result.confirm(words!(
            "surroundings: that seals and oil of the candidate are for {ambient:.0} °C"
        )),
        _ => result,
    }
}

fn washed(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let field = Field::washdown;
    let place = case.position.place(field);
    match (case.position.washdown(), candidate.unit.flag(field)) {
        (Some(false), _) => {
            GateResult::new(Gate::Surroundings, GateOutcome::Pass, "nobody washes it down here")
        }
        (Some(true), Some(own)) if own.value => {
            GateResult::new(Gate::Surroundings, GateOutcome::Pass, "made for washdown")
                .sides(Side::Text("washdown".into()), Side::Text("washdown".into()), "")
                .cells([own.place])
        }
        (Some(true), Some(own)) => {
            GateResult::new(Gate::Surroundings, GateOutcome::Mend, "not made for washdown")
                .sides(Side::Text("none".into()), Side::Text("washdown".into()), "")
                .cells([own.place])
                .work(Work::new(
                    WorkKind::Seals,
                    case.policy,
                    "seals, paint and a closed breather for washdown",
                ))
        }
        (Some(true), None) => GateResult::new(
            Gate::Surroundings,
            GateOutcome::Unknown,
            if identical {
                "the same unit; whether this one has the seals and paint for washdown is not known"
            } else {
                "whether it has the seals and paint for washdown is not known"
            },
        )
        .sides(Side::Unknown, Side::Text("washdown".into()), "")
        .measure(
            field,
            candidate.unit.place(field),
            "whether the candidate's seals, paint and breather are for washdown",
        ),
        (None, _) => GateResult::new(
            Gate::Surroundings,
            GateOutcome::Unknown,
            "whether it is washed down here is not known",
        )
        .measure(field, place, "whether it is washed down, and with what"),
    }
}
