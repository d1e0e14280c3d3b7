//! Sense: which way the output turns for the motor's sense.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::gearing::LoadKind;
use crate::rating::Unit;
use crate::records::Field;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    if let Some(marked) = marked_otherwise(case, candidate) {
        return marked;
    }
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
        (Some(_), Some(_)) if leads_may_be_swapped(case, &candidate.unit) => {
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
        (Some(_), Some(_)) => result(
            GateOutcome::Unknown,
            "the output turns the other way, and whether two motor leads may be swapped is not known",
        )
        .measure(
            Field::back_stop_elsewhere,
            case.position.place(Field::back_stop_elsewhere),
            "whether anything in the drive minds the other sense: back-stops, shaft pump, one-way fan",
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

/// A candidate listed for one sense only, where the drive turns the other way.
fn marked_otherwise(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<GateResult> {
    let turns = case.position.rotation().filter(|r| matches!(*r, "cw" | "ccw"))?;
    let marked =
        candidate.unit.text(Field::rotation).filter(|k| matches!(k.value, "cw" | "ccw"))?;
    (marked.value != turns).then(|| {
        let note =
            words!("the candidate is listed for {} only, the drive turns {turns}", marked.value);
        GateResult::new(Gate::Sense, GateOutcome::Fail, note)
            .sides(Side::text(Some(marked.value)), Side::text(Some(turns)), "")
            .cells([marked.place, case.position.place(Field::rotation)])
    })
}

/// Swapping two leads is allowed only where nothing in the whole drive minds, the candidate included.
fn leads_may_be_swapped(case: &Case<'_>, candidate: &Unit<'_>) -> bool {
    let p = case.position;
    let minds = |unit: &Unit<'_>| {
        [Field::shaft_pump, Field::one_way_fan]
            .into_iter()
            .any(|field| unit.flag(field).is_some_and(|k| k.value))
    };
    case.load.kind == LoadKind::None
        && !minds(candidate)
        && p.back_stop().is_none_or(|b| b == "none")
        && p.back_stop_elsewhere() != Some(true)
        && !minds(&case.fitted)
        && p.motor_feeds_alone() != Some(false)
}
