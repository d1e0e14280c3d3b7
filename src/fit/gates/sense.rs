//! Sense: which way the output turns for the motor's sense.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::gearing::LoadKind;
use crate::rating::Unit;
use crate::records::Field;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    if identical {
        return GateResult::new(Gate::Sense, GateOutcome::Pass, "same maker, model and ratio")
            .confirm("sense: bump the motor uncoupled and see which way the output turns");
    }
    let (need, have) = (reverses(&case.fitted), reverses(&candidate.unit));
    let word = |r: Option<bool>| {
        Side::text(r.map(|r| if r { "against the input" } else { "as the input" }))
    };
    let result = |outcome, note: &str| {
        GateResult::new(Gate::Sense, outcome, note).sides(word(have), word(need), "")
    };
    match (need, have) {
        (Some(a), Some(b)) if a == b => result(GateOutcome::Pass, "the output turns the same way"),
        (Some(_), Some(_)) if leads_may_be_swapped(case) => {
            let text = "swap two motor leads; bump the motor uncoupled first";
            result(GateOutcome::Mend, "the output turns the other way").work(Work::new(
                WorkKind::SwapLeads,
                case.policy,
                text,
            ))
        }
        (Some(_), Some(_)) if case.load.kind == LoadKind::None => result(
            GateOutcome::Fail,
            "the output turns the other way and the leads may not be swapped",
        ),
        _ => {
            let unit = if need.is_none() { &case.fitted } else { &candidate.unit };
            result(
                GateOutcome::Unknown,
                "which way the output turns is not known; bump the motor uncoupled",
            )
            .measure(
                Field::gear_train,
                unit.place(Field::gear_train),
                "the number of stages, or the output's sense by turning the input by hand",
            )
        }
    }
}

/// Whether the output turns against the input: by the stages stated or the pairs counted, for
/// trains on parallel shafts only.
fn reverses(unit: &Unit<'_>) -> Option<bool> {
    let train = unit.train();
    if train.is_some_and(crate::gearing::Train::turns_axis) {
        return None;
    }
    let pairs = unit.text(Field::tooth_counts).and_then(|k| crate::gearing::tooth_pairs(k.value));
    let pairs = pairs.map(|pairs| pairs.iter().map(|p| p.external_meshes).sum());
    let stages = train.and_then(|t| t.count);
    pairs.or(stages).map(crate::gearing::reverses)
}

/// Swapping two leads is allowed only where nothing in the whole drive minds.
fn leads_may_be_swapped(case: &Case<'_>) -> bool {
    let p = case.position;
    case.load.kind == LoadKind::None
        && p.back_stop().is_none_or(|b| b == "none")
        && p.back_stop_elsewhere() != Some(true)
        && case.fitted.flag(Field::shaft_pump).is_none_or(|k| !k.value)
        && case.fitted.flag(Field::one_way_fan).is_none_or(|k| !k.value)
        && p.motor_feeds_alone() != Some(false)
}
