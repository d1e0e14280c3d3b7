//! Overhang: radial load from belt, chain or pinion at the output shaft.

use super::{Candidate, Case, Gate, GateOutcome, GateResult, LEAST_SHARE};
use crate::fit::gate::{Limit, LimitKind, Side};
use crate::rating::{connection_of, overhung_at, overhung_divisor};
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
    let Some(need) = overhung_at(case.position, &case.duty, case.policy).map(|f| f.value()) else {
        return GateResult::new(Gate::Overhang, GateOutcome::Unknown, "the pull on the shaft is not known").measure(
            Field::output_pitch_diameter_mm,
            case.position.place(Field::output_pitch_diameter_mm),
            "the pitch diameter of the wheel on the output shaft, and its distance from the shoulder",
        );
    };
    let Some(listed) = candidate.unit.number(Field::overhung_output_n) else {
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
    let by_class = overhung_divisor(case.duty.class);
    let have = listed.value / by_class;
    let note = format!("{connection}, K {factor}; rating divided by {by_class} for the load class");
    let mut result = GateResult::new(Gate::Overhang, GateOutcome::Pass, note)
        .sides(Side::Number(have), Side::Number(need), "N")
        .cells([listed.place, case.position.place(Field::output_pitch_diameter_mm)])
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
