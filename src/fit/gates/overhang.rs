//! Overhang: radial load from belt, chain or pinion at the output shaft.

use super::{Candidate, Case, Gate, GateOutcome, GateResult, holds_power};
use crate::findings::words;
use crate::fit::gate::{Limit, LimitKind, Side};
use crate::rating::{connection_of, power_at, pull_at_input, pull_at_output, push_at_output};
use crate::records::Field;
use crate::units::ShaftSpeed;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let output = at_output(case, candidate, identical);
    let others = [at_input(case, candidate, identical), along(case, candidate, identical)];
    others.into_iter().flatten().fold(output, worse_of)
}

/// Both count; the worse one speaks, and both keep their limits and questions.
fn worse_of(output: GateResult, input: GateResult) -> GateResult {
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

/// The push along the output shaft as the plant states it; `None` where none is stated.
fn along(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> Option<GateResult> {
    let (load, allowed) = push_at_output(case.position, &candidate.unit)?;
    let need = load.value();
    if need <= 0.0 {
        return None;
    }
    let place = case.position.place(Field::axial_load_n);
    let Some(allowed) = allowed else {
        let note = "what the candidate's output shaft may be pushed with is not known";
        return Some(
            GateResult::new(Gate::Overhang, GateOutcome::Unknown, note)
                .sides(Side::Unknown, Side::Number(need), "N")
                .cells([place])
                .measure(
                    Field::axial_output_n,
                    candidate.unit.place(Field::axial_output_n),
                    "the candidate's axial load rating at the output, from its maker",
                ),
        );
    };
    let short = need > allowed.value() + 0.5;
    let (outcome, note) = match (short, identical) {
        (false, _) => (GateOutcome::Pass, "the push along the shaft is carried"),
        (true, true) => {
            (GateOutcome::Limit, "the push along the shaft is more than the unit allows")
        }
        (true, false) => {
            (GateOutcome::Fail, "the push along the shaft is more than the candidate allows")
        }
    };
    let mut result = GateResult::new(Gate::Overhang, outcome, note)
        .sides(Side::Number(allowed.value()), Side::Number(need), "N")
        .cells([place, candidate.unit.place(Field::axial_output_n)]);
    if outcome == GateOutcome::Limit {
        let text = "same as what ran here; the position is overworked".to_owned();
        let value = full_power(case).unwrap_or_default();
        result.limits.push(Limit { kind: LimitKind::Power, value, text });
    }
    Some(result)
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
    let note = words!("input shaft, K {}; {}", pull.connection, pull.note);
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
    let note = words!("{connection}, K {factor}; {}", pull.note);
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

/// Power of the load at the output (kW).
fn full_power(case: &Case<'_>) -> Option<f64> {
    let speed = case.duty.output_rpm.and_then(ShaftSpeed::rpm)?;
    Some(power_at(case.duty.demand_torque()?, speed).over(1e3))
}

fn short(result: &mut GateResult, case: &Case<'_>, share: f64, identical: bool) {
    let full = full_power(case);
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
        && share >= case.policy.least_load_share
    {
        result.outcome = GateOutcome::Limit;
        // Rounded down: a limit must not grow in print.
        let power = (full * share * 10.0).floor() / 10.0;
        let text = words!(
            "at most {power:.1} kW at the output ({:.1} % of full load) for the shaft's sake, held by {}",
            (1000.0 * share).floor() / 10.0,
            holds_power(case)
        );
        result.limits.push(Limit { kind: LimitKind::Power, value: power, text });
    } else {
        result.outcome = GateOutcome::Fail;
    }
}
