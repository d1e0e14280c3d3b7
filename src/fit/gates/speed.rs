//! Speed: output speed against the wanted band, the motor as it is.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::fit::gate::{Limit, LimitKind, Side};
use crate::records::{Field, How};

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let Some(ratio) = candidate.unit.number(Field::ratio) else {
        return GateResult::new(
            Gate::Speed,
            GateOutcome::Unknown,
            "the candidate's ratio is not known",
        )
        .measure(
            Field::ratio,
            candidate.unit.place(Field::ratio),
            "the candidate's ratio, from its plate or by turning it",
        );
    };
    if let Some(doubted) = disputed(case) {
        return doubted;
    }
    let (Some(wanted), Some(have)) = (case.duty.wanted_rpm, case.output_rpm_with(ratio.value))
    else {
        return unknown(case);
    };
    let tolerance = tolerance(case);
    let off = 100.0 * (have / wanted - 1.0);
    let result = |outcome, note: String| {
        GateResult::new(Gate::Speed, outcome, note)
            .sides(Side::Number(have), Side::Number(wanted), "r/min")
            .cells([ratio.place.clone(), case.fitted.place(Field::ratio)])
    };
    if off.abs() <= tolerance + 1e-9 {
        return result(GateOutcome::Pass, format!("{off:+.1} %, inside ±{tolerance} %"));
    }
    if let Some(slowest) = case.position.slowest_speed_rpm()
        && off < 0.0
        && have >= slowest
    {
        let text = format!(
            "runs at {have:.1} r/min instead of {wanted:.1}; the position allows down to {slowest:.1}"
        );
        let mut limited =
            result(GateOutcome::Limit, format!("{off:+.1} %, slower running is allowed"));
        limited.limits.push(Limit { kind: LimitKind::Speed, value: have, text });
        return limited;
    }
    result(
        GateOutcome::Fail,
        format!(
            "{off:+.1} %, outside ±{tolerance} %; other poles, belts and inverters are not compared by this version"
        ),
    )
}

/// The speed wanted rests on a ratio that other cells contradict.
fn disputed(case: &Case<'_>) -> Option<GateResult> {
    let rests_on_ratio = case.position.wanted_speed_rpm().is_none();
    let ratio = case.fitted.number(Field::ratio)?;
    (rests_on_ratio && ratio.how == How::Disputed).then(|| {
        let note =
            "the ratio fitted is contradicted by other cells, so the speed wanted is not known";
        GateResult::new(Gate::Speed, GateOutcome::Unknown, note)
            .cells([ratio.place.clone()])
            .measure(
                Field::ratio,
                ratio.place,
                "the ratio, from the plate or by counting turns, on the machine",
            )
    })
}

/// Half width of the band (%).
fn tolerance(case: &Case<'_>) -> f64 {
    if case.position.matched_with().is_some() {
        case.policy.matched_tolerance_pct
    } else {
        case.position.speed_tolerance_pct().unwrap_or(case.policy.speed_tolerance_pct)
    }
}

/// Whether the gate fails, told without words: most pairs of a large catalogue end here.
pub(super) fn surely_fails(case: &Case<'_>, candidate: &Candidate<'_>) -> bool {
    let (Some(ratio), Some(wanted)) = (candidate.unit.ratio(), case.duty.wanted_rpm) else {
        return false;
    };
    if disputed(case).is_some() {
        return false;
    }
    let Some(have) = case.output_rpm_with(ratio) else { return false };
    let off = 100.0 * (have / wanted - 1.0);
    let slower = case.position.slowest_speed_rpm().is_some_and(|s| off < 0.0 && have >= s);
    off.abs() > tolerance(case) + 1e-9 && !slower
}

fn unknown(case: &Case<'_>) -> GateResult {
    let mut result =
        GateResult::new(Gate::Speed, GateOutcome::Unknown, "the speed wanted is not known");
    if case.duty.input_rpm.is_none() {
        let place = case.position.place(Field::motor_speed_rpm);
        result = result.measure(Field::motor_speed_rpm, place, "the motor's speed, from its plate");
    }
    if case.fitted.ratio().is_none() && case.duty.output_rpm.is_none() {
        let place = case.position.place(Field::ratio);
        result = result.measure(
            Field::ratio,
            place,
            "the ratio on the plate, or the output speed by counting turns",
        );
    }
    result
}
