//! Overhang: radial load from belt, chain or pinion at the output shaft.

use super::{Candidate, Case, Gate, GateOutcome, GateResult, LEAST_SHARE};
use crate::fit::gate::{Limit, LimitKind, Side};
use crate::rating::{connection_of, pull_at_output};
use crate::records::Field;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let Some(connection) = case.position.output_connection() else {
        return GateResult::new(
            Gate::Overhang,
            GateOutcome::Unknown,
            "how the output drives the machine is not known",
        )
        .measure(
            Field::output_connection,
            case.position.place(Field::output_connection),
            "what is on the output shaft: coupling, chain, belt or pinion",
        );
    };
    let factor = connection_of(case.position, case.policy).unwrap_or(1.0);
    if factor == 0.0 {
        return GateResult::new(
            Gate::Overhang,
            GateOutcome::Pass,
            "a coupling in line pulls on no shaft",
        );
    }
    let Some(pull) = pull_at_output(case.position, &candidate.unit, &case.duty, case.policy) else {
        return GateResult::new(Gate::Overhang, GateOutcome::Unknown, "the pull on the shaft is not known").measure(
            Field::output_pitch_diameter_mm,
            case.position.place(Field::output_pitch_diameter_mm),
            "the pitch diameter of the wheel on the output shaft, and its distance from the shoulder",
        );
    };
    let need = pull.load.value();
    let (Some(allowed), Some(listed)) = (pull.allowed, pull.place) else {
        return GateResult::new(
            Gate::Overhang,
            GateOutcome::Unknown,
            "the candidate's overhung rating is not known",
        )
        .sides(Side::Unknown, Side::Number(need), "N")
        .measure(
            Field::overhung_output_n,
            candidate.unit.place(Field::overhung_output_n),
            "the candidate's overhung load rating, from its maker",
        );
    };
    let have = allowed.value();
    let note = format!("{connection}, K {factor}; {}", pull.note);
    let mut result = GateResult::new(Gate::Overhang, GateOutcome::Pass, note)
        .sides(Side::Number(have), Side::Number(need), "N")
        .cells([listed, case.position.place(Field::output_pitch_diameter_mm)])
        .confirm(
            "overhang: the wheel's distance from the shoulder; the load is taken at mid-shaft",
        );
    if have + 0.5 < need {
        short(&mut result, case, have / need, identical);
    }
    result
}

fn short(result: &mut GateResult, case: &Case<'_>, share: f64, identical: bool) {
    let full = case.duty.absorbed_kw.or(case.duty.motor_kw);
    if identical {
        result.outcome = GateOutcome::Limit;
        let text = "same as what ran here; the position is overworked".to_owned();
        result.limits.push(Limit {
            kind: LimitKind::Power,
            value: full.unwrap_or(0.0) * share,
            text,
        });
    } else if let Some(full) = full
        && share >= LEAST_SHARE
    {
        result.outcome = GateOutcome::Limit;
        let power = full * share;
        let text = format!(
            "at most {power:.1} kW for the shaft's sake, held by the motor's overload relay"
        );
        result.limits.push(Limit { kind: LimitKind::Power, value: power, text });
    } else {
        result.outcome = GateOutcome::Fail;
    }
}
