//! Line-up: where the shafts stand against each other and against the feet.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::records::Field;

/// Motor bases are shimmed and moved without more ado within this (mm); common practice, no source.
const EQUAL_MM: f64 = 0.5;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    if identical {
        return GateResult::new(
            Gate::LineUp,
            GateOutcome::Pass,
            "the same unit: its shafts stand where they stood",
        );
    }
    // A motor that hangs on its unit goes wherever the input shaft is.
    let hangs = case.position.input_connection() == Some("flange")
        || candidate.unit.own.motor_power_kw().is_some()
            && candidate.unit.own.input_flange().is_some();
    let mut fields =
        vec![(Field::shaft_end_to_foot_mm, "from the output shaft's end to the first foot hole")];
    if !hangs {
        fields.push((Field::shaft_offset_mm, "the offset between input and output shaft"));
    }
    let mut result =
        GateResult::new(Gate::LineUp, GateOutcome::Pass, "shafts stand where they stood");
    let mut missing = Vec::new();
    for (field, what) in fields {
        let (need, have) = (case.fitted.number(field), candidate.unit.number(field));
        let (Some(need), Some(have)) = (need, have) else {
            missing.push((field, what));
            continue;
        };
        result = result.cells([have.place.clone(), need.place.clone()]);
        let off = have.value - need.value;
        if result.outcome == GateOutcome::Pass {
            result = result.sides(Side::Number(have.value), Side::Number(need.value), "mm");
        }
        if off.abs() > EQUAL_MM {
            let text = if field == Field::shaft_offset_mm {
                words!("move or shim the motor base by {off:+.1} mm: {what} differs")
            } else {
                words!(
                    "move the unit or its motor base by {off:+.1} mm along the shaft: {what} differs"
                )
            };
            result.outcome = GateOutcome::Mend;
            "shafts stand elsewhere".clone_into(&mut result.note);
            result.work.push(Work::new(WorkKind::MoveMotor, case.policy, text));
        }
    }
    for (field, what) in missing {
        if result.outcome == GateOutcome::Pass {
            result.outcome = GateOutcome::Unknown;
            result.note = words!("not known on both sides: {what}");
        }
        let unit = if case.fitted.number(field).is_none() { &case.fitted } else { &candidate.unit };
        result = result.measure(field, unit.place(field), what);
    }
    result
}
