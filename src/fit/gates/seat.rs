//! Seat: mounting, shaft height, foot holes, flange, torque arm.

use super::{Candidate, Case, Gate, GateOutcome, GateResult, equal_mm, flanges_agree, sizes};
use crate::findings::words;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::records::Field;
use crate::standards::read_mating;

/// Foot holes that lie this near fit through their clearance (mm).
const HOLE_TOLERANCE_MM: f64 = 1.0;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let (need, have) = (case.fitted.text(Field::mounting), candidate.unit.text(Field::mounting));
    let start = |outcome, note: &str| {
        GateResult::new(Gate::Seat, outcome, note)
            .sides(
                Side::text(have.as_ref().map(|k| k.value)),
                Side::text(need.as_ref().map(|k| k.value)),
                "",
            )
            .cells(have.iter().chain(&need).map(|k| k.place.clone()))
    };
    if identical {
        return start(GateOutcome::Pass, "same maker, model and ratio");
    }
    let (Some(need_word), Some(have_word)) = (&need, &have) else {
        let (unit, whose) = if need.is_none() {
            (&case.fitted, "the position")
        } else {
            (&candidate.unit, "the candidate")
        };
        return start(GateOutcome::Unknown, "the mounting is not known").measure(
            Field::mounting,
            unit.place(Field::mounting),
            words!("how {whose} is mounted: feet, flange, or on the shaft with a torque arm"),
        );
    };
    if !fits(have_word.value, need_word.value) {
        return start(GateOutcome::Fail, "the mounting differs");
    }
    match need_word.value {
        "foot" => on_feet(case, candidate, start(GateOutcome::Pass, "")),
        "flange" => on_flange(case, candidate, start(GateOutcome::Pass, "")),
        "shaft" => on_shaft(case, candidate, start(GateOutcome::Pass, "")),
        _ => on_flange(case, candidate, on_feet(case, candidate, start(GateOutcome::Pass, ""))),
    }
}

/// Whether a mounting serves where another is needed.
pub(in crate::fit) fn fits(have: &str, need: &str) -> bool {
    have == need || (have == "foot-flange" && matches!(need, "foot" | "flange"))
}

fn on_feet(case: &Case<'_>, candidate: &Candidate<'_>, mut result: GateResult) -> GateResult {
    let mut notes = Vec::new();
    height(case, candidate, &mut result, &mut notes);
    if result.outcome != GateOutcome::Fail {
        holes(case, candidate, &mut result, &mut notes);
    }
    result.note = notes.join("; ");
    result
}

fn height(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    result: &mut GateResult,
    notes: &mut Vec<String>,
) {
    let field = Field::shaft_height_mm;
    let (need, have) = (case.fitted.number(field), candidate.unit.number(field));
    let (Some(need), Some(have)) = (need, have) else {
        missing(case, candidate, field, "the shaft height over the feet", result);
        notes.push("the shaft height is not known on both sides".into());
        return;
    };
    result.have = Side::Number(have.value);
    result.need = Side::Number(need.value);
    result.unit = "mm";
    result.cells.extend([have.place, need.place]);
    let lower = need.value - have.value;
    if equal_mm(lower, 0.0) {
        notes.push("same shaft height".into());
    } else if lower > 0.0 {
        worsen(result, GateOutcome::Mend);
        let base = if lower > case.policy.packer_max_mm {
            "; check the base under so high a packer"
        } else {
            ""
        };
        let text = words!("packer of {lower:.1} mm under the feet{base}");
        notes.push(text.clone());
        result.work.push(Work::new(WorkKind::Packer, case.policy, text));
    } else {
        worsen(result, GateOutcome::Fail);
        notes.push(words!("the shaft lies {:.1} mm higher than the machine's", -lower));
    }
}

fn holes(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    result: &mut GateResult,
    notes: &mut Vec<String>,
) {
    let field = Field::foot_holes_mm;
    let read = |k: Option<crate::rating::Known<&str>>| {
        k.and_then(|k| sizes(k.value).map(|s| (s, k.place)))
    };
    let (need, have) = (read(case.fitted.text(field)), read(candidate.unit.text(field)));
    let (Some((need, need_at)), Some((have, have_at))) = (need, have) else {
        missing(case, candidate, field, "the distances between the foot holes", result);
        notes.push("the foot holes are not known on both sides".into());
        return;
    };
    result.cells.extend([need_at, have_at]);
    let same = need.len() == have.len()
        && need.iter().zip(&have).all(|(a, b)| (a - b).abs() <= HOLE_TOLERANCE_MM);
    if same {
        notes.push("same foot holes".into());
    } else {
        worsen(result, GateOutcome::Mend);
        let shown = |s: &[f64]| s.iter().map(|v| words!("{v:.0}")).collect::<Vec<_>>().join(" x ");
        let text = words!(
            "drill the base or a packer plate for foot holes {} mm, now {} mm, never the feet of the housing",
            shown(&have),
            shown(&need)
        );
        notes.push("other foot holes".into());
        result.work.push(Work::new(WorkKind::ReDrill, case.policy, text));
    }
}

fn on_flange(case: &Case<'_>, candidate: &Candidate<'_>, mut result: GateResult) -> GateResult {
    let field = Field::output_flange;
    if let (Some(need), Some(have)) = (case.fitted.text(field), candidate.unit.text(field)) {
        match flanges_agree(need.value, have.value) {
            Some(true) => result.note = words!("same flange {}", need.value),
            Some(false) => {
                worsen(&mut result, GateOutcome::Fail);
                result.note = words!("flange {} where {} is needed", have.value, need.value);
            }
            None => {
                worsen(&mut result, GateOutcome::Unknown);
                let (unit, word, whose) = if read_mating(need.value).is_none() {
                    (&case.fitted, need.value, "on the machine")
                } else {
                    (&candidate.unit, have.value, "on the candidate")
                };
                result.note = words!("`{word}` names no flange that can be compared");
                let text = words!("the output flange, {whose}: bolt circle and spigot, as FF265");
                result = result.measure(field, unit.place(field), text);
            }
        }
    } else {
        missing(case, candidate, field, "the output flange: bolt circle and spigot", &mut result);
        result.note = "the flange is not known on both sides".into();
    }
    result
}

fn on_shaft(case: &Case<'_>, candidate: &Candidate<'_>, mut result: GateResult) -> GateResult {
    let field = Field::torque_arm_mm;
    let (need, have) = (case.fitted.number(field), candidate.unit.number(field));
    if let (Some(need), Some(have)) = (&need, &have)
        && equal_mm(need.value, have.value)
    {
        result.note = "same torque arm".into();
        return result.sides(Side::Number(have.value), Side::Number(need.value), "mm");
    }
    worsen(&mut result, GateOutcome::Mend);
    result.note = "another torque-arm point may be needed".into();
    let text = "fit the torque arm at its own point: measure it, keep free play, secure the unit along the shaft";
    result.work(Work::new(WorkKind::TorqueArm, case.policy, text))
}

/// Names a field that is missing on either side; the gate becomes unknown unless it fails.
fn missing(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    field: Field,
    what: &str,
    result: &mut GateResult,
) {
    let known =
        |unit: &crate::rating::Unit<'_>| unit.number(field).is_some() || unit.text(field).is_some();
    worsen(result, GateOutcome::Unknown);
    if !known(&case.fitted) {
        let place = case.fitted.place(field);
        result.measure.push(crate::fit::gate::Measure {
            field,
            place,
            text: words!("{what}, on the machine"),
        });
    }
    if !known(&candidate.unit) {
        let place = candidate.unit.place(field);
        result.measure.push(crate::fit::gate::Measure {
            field,
            place,
            text: words!("{what}, on the candidate"),
        });
    }
}

/// A fail stands above unknown, unknown above mend, mend above pass.
fn worsen(result: &mut GateResult, outcome: GateOutcome) {
    let rank = |o: GateOutcome| match o {
        GateOutcome::Fail => 3,
        GateOutcome::Unknown => 2,
        GateOutcome::Mend => 1,
        _ => 0,
    };
    if rank(outcome) > rank(result.outcome) {
        result.outcome = outcome;
    }
}
