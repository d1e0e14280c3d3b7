//! Speed: output speed against the wanted band, in every way to reach it.

use super::asks::RATIO;
use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::gate::{Limit, LimitKind, Side};
use crate::fit::reach::{Reached, tolerance, too_weak};
use crate::policy::DeviationList;
use crate::rating::{Demand, Known, Unit};
use crate::records::{Field, How};

pub(super) fn compare(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    identical: bool,
    reached: Option<&Reached>,
) -> GateResult {
    let wants_another = case.position.wanted_speed_rpm().is_some();
    if identical && !wants_another && disputed(case).is_none() {
        let have = Side::number(case.duty.output_rpm);
        return GateResult::new(Gate::Speed, GateOutcome::Pass, "the same ratio as what ran here")
            .sides(have.clone(), have, "r/min");
    }
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
    let result = match reached {
        Some(way) => by_way(case, &ratio, wanted, way),
        None => as_it_is(case, candidate, &ratio, wanted, have),
    };
    matched(case, candidate, result)
}

fn result_of(
    case: &Case<'_>,
    ratio: &Known<f64>,
    (have, wanted): (f64, f64),
    outcome: GateOutcome,
    note: String,
) -> GateResult {
    GateResult::new(Gate::Speed, outcome, note)
        .sides(Side::Number(have), Side::Number(wanted), "r/min")
        .cells([ratio.place.clone(), case.fitted.place(Field::ratio)])
}

/// Another pole count, belt or frequency brings it inside the band.
fn by_way(case: &Case<'_>, ratio: &Known<f64>, wanted: f64, way: &Reached) -> GateResult {
    let found = &way.found;
    let note = words!("{}: {:+.1} %", found.way, shown_pct(found.deviation_pct));
    result_of(case, ratio, (found.output_rpm, wanted), GateOutcome::Mend, note)
        .work(way.work.clone())
        .confirm(way.confirm)
}

fn as_it_is(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    ratio: &Known<f64>,
    wanted: f64,
    have: f64,
) -> GateResult {
    let band = tolerance(case);
    let off = 100.0 * (have / wanted - 1.0);
    let result = |outcome, note| result_of(case, ratio, (have, wanted), outcome, note);
    if off.abs() <= band + 1e-9 {
        if let Some(share) = overloads_motor(case, candidate, have) {
            let note = words!(
                "{off:+.1} %, inside ±{band} %, but there the load asks {share:.2} of the motor's power through this unit"
            );
            return result(GateOutcome::Fail, note);
        }
        return result(GateOutcome::Pass, words!("{off:+.1} %, inside ±{band} %"));
    }
    if let Some(slowest) = case.position.slowest_speed_rpm()
        && off < 0.0
        && have >= slowest
    {
        let text = words!(
            "runs at {have:.1} r/min instead of {wanted:.1}; the position allows down to {slowest:.1}"
        );
        let mut limited =
            result(GateOutcome::Limit, words!("{off:+.1} %, slower running is allowed"));
        limited.limits.push(Limit { kind: LimitKind::Speed, value: have, text });
        return limited;
    }
    if let Some(weak) = too_weak(case, candidate) {
        let share = 100.0 * weak.margin.unwrap_or_default();
        let note = words!(
            "{off:+.1} %, outside ±{band} %; {} reaches it, but there the motor gives {share:.0} % of what the load takes",
            weak.way
        );
        if case.duty.demand_from() == Some(Demand::Motor) {
            let field = Field::absorbed_power_kw;
            return result(
                GateOutcome::Unknown,
                words!("{note}, if that is all of the motor's power"),
            )
            .measure(field, case.position.place(field), "the power the machine takes");
        }
        return result(GateOutcome::Fail, note);
    }
    result(
        GateOutcome::Fail,
        words!("{off:+.1} %, outside ±{band} %; no pole count, belt or inverter here reaches it"),
    )
}

/// The share of its power that the motor must give at this output speed and through this unit's
/// efficiency, where it is more than all and was not so before.
fn overloads_motor(case: &Case<'_>, candidate: &Candidate<'_>, have: f64) -> Option<f64> {
    let (absorbed, motor) = (case.duty.absorbed_kw?, case.duty.motor_kw?);
    let now = case.duty.output_rpm?;
    let per_stage = case.policy.efficiency_per_stage;
    let efficiency = candidate.unit.efficiency(per_stage, case.duty.input_rpm).value;
    let before = absorbed / (motor * case.duty.efficiency);
    let share = absorbed * case.duty.curve.power_share(have / now) / (motor * efficiency);
    (before <= 1.0 && share > 1.005).then_some(share)
}

/// Drives that run matched need the actual ratio, not a nominal one.
fn matched(case: &Case<'_>, candidate: &Candidate<'_>, result: GateResult) -> GateResult {
    let second = case.policy.ratio_deviations == DeviationList::Second;
    if case.position.matched_with().is_none() || result.outcome == GateOutcome::Fail {
        return result;
    }
    let is_exact =
        |unit: &Unit<'_>| unit.ratio_interval(second).is_some_and(|(low, high)| high - low < 1e-9);
    // The speed wanted is stated, or it rests on the ratio of the unit that ran here.
    let stated = case.position.wanted_speed_rpm().is_some();
    let sides = [
        (is_exact(&candidate.unit), &candidate.unit, "the candidate's"),
        (stated || is_exact(&case.fitted), &case.fitted, "the present unit's"),
    ];
    let mut open = result;
    for (_, unit, whose) in sides.into_iter().filter(|side| !side.0) {
        if open.outcome != GateOutcome::Unknown {
            open.outcome = GateOutcome::Unknown;
            open.note.push_str("; the drive runs matched, and a ratio is only nominal");
        }
        open = open.measure(
            Field::tooth_counts,
            unit.place(Field::tooth_counts),
            words!("{whose} tooth counts, or its actual ratio by counting turns"),
        );
    }
    open
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

fn unknown(case: &Case<'_>) -> GateResult {
    let mut result =
        GateResult::new(Gate::Speed, GateOutcome::Unknown, "the speed wanted is not known");
    if case.duty.input_rpm.is_none() && case.duty.motor_rpm.is_some() {
        let place = case.position.place(Field::output_speed_rpm);
        let text = "the output speed by counting turns: the belt before the unit is not known";
        return result.measure(Field::output_speed_rpm, place, text);
    }
    if case.duty.input_rpm.is_none() {
        let place = case.position.place(Field::motor_speed_rpm);
        result = result.measure(Field::motor_speed_rpm, place, "the motor's speed, from its plate");
    }
    if case.fitted.ratio().is_none() && case.duty.output_rpm.is_none() {
        let place = case.position.place(Field::ratio);
        result = result.measure(Field::ratio, place, RATIO);
    }
    result
}

/// A deviation as printed: what rounds to nothing has no sign.
fn shown_pct(deviation: f64) -> f64 {
    if deviation.abs() < 0.05 { 0.0 } else { deviation }
}
