//! Overhang: radial load from belt, chain or pinion at the output shaft.

use super::{Candidate, Case, Gate, GateOutcome, GateResult, LEAST_SHARE, holds_power};
use crate::fit::gate::{Limit, LimitKind, Side};
use crate::rating::{connection_of, pull_at_input, pull_at_output};
use crate::records::Field;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let output = at_output(case, candidate, identical);
    let Some(input) = at_input(case, candidate, identical) else { return output };
    // Both ends count; the worse one speaks, and both keep their limits and questions.
    let rank = |r: &GateResult| match r.outcome {
        GateOutcome::Fail => 0,
        GateOutcome::Unknown => 1,
        GateOutcome::Limit => 2,
        _ => 3,
    };
    let (mut worse, other) =
        if rank(&input) < rank(&output) { (input, output) } else { (output, input) };
    worse.limits.extend(other.limits);
    worse.measure.extend(other.measure);
    worse.cells.extend(other.cells);
    worse
}

/// The pull of a belt or chain on the input shaft; `None` where nothing pulls there.
fn at_input(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> Option<GateResult> {
    let belted = matches!(
        case.position.input_connection(),
        Some("v-belt" | "flat-belt" | "timing-belt" | "chain" | "pinion")
    );
    if !belted {
        return None;
    }
    let Some(pull) = pull_at_input(case.position, &candidate.unit, &case.duty, case.policy) else {
        let note = "the pull on the input shaft is not known";
        return Some(GateResult::new(Gate::Overhang, GateOutcome::Unknown, note).measure(
            Field::input_pitch_diameter_mm,
            case.position.place(Field::input_pitch_diameter_mm),
            "the pitch diameter of the wheel on the input shaft",
        ));
    };
    let need = pull.load.value();
    let Some(allowed) = pull.allowed else {
        let note = "what the candidate's input shaft may be pulled with is not known";
        return Some(
            GateResult::new(Gate::Overhang, GateOutcome::Unknown, note)
                .sides(Side::Unknown, Side::Number(need), "N")
                .measure(
                    Field::overhung_input_n,
                    candidate.unit.place(Field::overhung_input_n),
                    "the candidate's overhung load rating at the input, from its maker",
                ),
        );
    };
    let have = allowed.value();
    let note = format!("input shaft, K {}; {}", pull.connection, pull.note);
    let mut result = GateResult::new(Gate::Overhang, GateOutcome::Pass, note)
        .sides(Side::Number(have), Side::Number(need), "N")
        .cells(pull.place);
    if have + 0.5 < need {
        short(&mut result, case, have / need, identical);
    }
    Some(result)
}

fn at_output(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
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
    if case.position.limiter() == Some("none") && !identical {
        result.outcome = GateOutcome::Fail;
    } else if identical {
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
        let text =
            format!("at most {power:.1} kW for the shaft's sake, held by {}", holds_power(case));
        result.limits.push(Limit { kind: LimitKind::Power, value: power, text });
    } else {
        result.outcome = GateOutcome::Fail;
    }
}
