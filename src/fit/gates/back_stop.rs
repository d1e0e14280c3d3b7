//! Back-stop: needed and present, right direction, enough torque.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::gearing::LoadKind;
use crate::rating::shaft_torque;
use crate::records::Field;
use crate::units::{Power, STANDARD_GRAVITY, ShaftSpeed};

/// Required over lift torque; no credit for friction.
const OVER_LIFT: f64 = 1.5;
/// Required over motor torque where the lift is not known.
const OVER_MOTOR: f64 = 2.0;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let fitted = case.fitted.text(Field::back_stop).map(|k| k.value);
    let fitted_one = fitted.is_some_and(|word| word != "none");
    let load = case.load.kind;
    let result = |outcome, note: &str| GateResult::new(Gate::BackStop, outcome, note);
    if load == LoadKind::None && !fitted_one {
        return result(GateOutcome::Pass, "the load does not run back");
    }
    if load == LoadKind::Suspended {
        return result(GateOutcome::Pass, "a suspended load is the holding gate's question");
    }
    if case.position.back_stop_elsewhere() == Some(true) {
        return result(GateOutcome::Pass, "another back-stop in the drive holds the load").confirm(
            "back-stop: that the one elsewhere in the drive holds before this unit is loosened",
        );
    }
    if case.position.brake() == Some(true) && fitted == Some("none") {
        return result(GateOutcome::Pass, "none was fitted here: the motor's brake holds the load");
    }
    if load == LoadKind::Overhauling && !fitted_one {
        return result(GateOutcome::Pass, "the load runs forward; see holding");
    }
    if load == LoadKind::Unknown && fitted == Some("none") {
        return result(
            GateOutcome::Pass,
            "none is fitted here either; what holds the load is the holding gate's question",
        );
    }
    if load == LoadKind::Unknown && !fitted_one && !case.load.hinted {
        return result(GateOutcome::Unknown, "whether the load can run back is not known").measure(
            Field::holds_load,
            case.position.place(Field::holds_load),
            "whether the machine runs back when it is let go",
        );
    }
    needed(case, candidate, fitted)
}

fn needed(case: &Case<'_>, candidate: &Candidate<'_>, fitted: Option<&str>) -> GateResult {
    let have = candidate.unit.text(Field::back_stop);
    let sides = |r: GateResult| {
        r.sides(Side::text(have.as_ref().map(|k| k.value)), Side::text(fitted), "free direction")
            .cells(have.iter().map(|k| k.place.clone()))
            .cells([case.position.place(Field::back_stop)])
    };
    let place = candidate.unit.place(Field::back_stop);
    match have.as_ref().map(|k| k.value) {
        None => sides(GateResult::new(
            Gate::BackStop,
            GateOutcome::Unknown,
            "whether the candidate has a back-stop is not known",
        ))
        .measure(
            Field::back_stop,
            place,
            "whether the candidate has a back-stop and which way it runs free",
        ),
        Some("none") if case.policy.back_stop_kit => {
            sides(GateResult::new(Gate::BackStop, GateOutcome::Mend, "a back-stop must be fitted"))
                .work(Work::new(
                    WorkKind::BackStop,
                    case.policy,
                    "fit a back-stop, free in the running direction",
                ))
        }
        Some("none") => sides(GateResult::new(
            Gate::BackStop,
            GateOutcome::Fail,
            "the candidate has no back-stop",
        )),
        Some(have) => direction(case, candidate, fitted, have, &sides),
    }
}

fn direction(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    need: Option<&str>,
    have: &str,
    sides: &dyn Fn(GateResult) -> GateResult,
) -> GateResult {
    let open = |note: &str, field, text: &str| {
        sides(GateResult::new(Gate::BackStop, GateOutcome::Unknown, note)).measure(
            field,
            candidate.unit.place(field),
            text,
        )
    };
    match need {
        Some(need @ ("cw" | "ccw")) if need == have => {}
        Some("cw" | "ccw") if have == "cw" || have == "ccw" => {
            return sides(GateResult::new(
                Gate::BackStop,
                GateOutcome::Fail,
                "the back-stop is free the other way",
            ));
        }
        _ => {
            return open(
                if need.is_some_and(|n| n == "cw" || n == "ccw") {
                    "the candidate's free direction is not known"
                } else {
                    "which way it must run free is not known"
                },
                Field::back_stop,
                "which way the back-stop must run free, and which way it does",
            );
        }
    }
    let Some(required) = required_torque(case, candidate) else {
        return open(
            "the torque it must hold is not known",
            Field::lift_m,
            "lift and tonnes an hour, or the motor's power",
        );
    };
    let Some(capacity) = candidate.unit.number(Field::back_stop_torque_nm) else {
        return open(
            "the back-stop's torque is not known",
            Field::back_stop_torque_nm,
            "the back-stop's torque, from its maker",
        );
    };
    let outcome =
        if capacity.value + 0.5 >= required { GateOutcome::Pass } else { GateOutcome::Fail };
    GateResult::new(Gate::BackStop, outcome, "torque held against torque required")
        .sides(Side::Number(capacity.value), Side::Number(required), "N·m")
        .cells([capacity.place])
}

/// Torque (N·m) that the back-stop must hold at its own shaft.
fn required_torque(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<f64> {
    let p = case.position;
    let n2 = case.duty.output_rpm?;
    let at_output = if let (Some(lift), Some(flow)) = (p.lift_m(), p.tonnes_per_hour()) {
        // Lift power g·Q·H, Q in t/h: kW = g·Q·H / 3600.
        let kilowatts = STANDARD_GRAVITY * flow * lift / 3600.0;
        let torque = shaft_torque(Power::kilowatts(kilowatts), ShaftSpeed::rpm(n2)?);
        OVER_LIFT * torque.value()
    } else {
        let per_stage = case.policy.efficiency_per_stage;
        let efficiency = candidate.unit.efficiency(per_stage, case.duty.input_rpm).value;
        OVER_MOTOR * case.duty.motor_torque(efficiency)?.value()
    };
    let on_input =
        candidate.unit.text(Field::back_stop_shaft).is_some_and(|k| k.value.contains("input"));
    let ratio = candidate.unit.ratio()?;
    Some(if on_input { at_output / ratio } else { at_output })
}
