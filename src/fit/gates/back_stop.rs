//! Back-stop: needed and present, right direction, enough torque.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::gearing::LoadKind;
use crate::rating::shaft_torque;
use crate::records::Field;
use crate::units::{Power, STANDARD_GRAVITY, ShaftSpeed};

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let fitted = case.fitted.text(Field::back_stop).map(|k| k.value);
    let fitted_one = fitted.is_some_and(|word| word != "none");
    let load = case.load.kind;
    let result = |outcome, note: &str| GateResult::new(Gate::BackStop, outcome, note);
    let not_needed = |note| unasked(case, candidate, result(GateOutcome::Pass, note));
    if case.duty.reversing {
        return not_needed("the drive reverses: it can have no back-stop");
    }
    if load == LoadKind::None && !fitted_one {
        return not_needed("the load does not run back");
    }
    if load == LoadKind::Suspended {
        return not_needed("a suspended load is the holding gate's question");
    }
    if case.position.back_stop_elsewhere() == Some(true) {
        return not_needed("another back-stop in the drive holds the load").confirm(
            "back-stop: that the one elsewhere in the drive holds before this unit is loosened",
        );
    }
    if case.position.brake() == Some(true) && fitted == Some("none") {
        return not_needed("none was fitted here: the motor's brake holds the load");
    }
    if load == LoadKind::Overhauling && !fitted_one {
        return not_needed("the load runs forward; see holding");
    }
    if load == LoadKind::Unknown && fitted == Some("none") {
        return not_needed(
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

/// A back-stop inside a unit where none is asked for: it locks one way of turning.
fn unasked(case: &Case<'_>, candidate: &Candidate<'_>, passed: GateResult) -> GateResult {
    let Some(have) = candidate.unit.text(Field::back_stop).filter(|k| k.value != "none") else {
        return passed;
    };
    let turns = case.position.rotation();
    if !case.duty.reversing && turns.is_some_and(|turns| turns == have.value) {
        return passed.confirm(words!(
            "back-stop: one is inside, free {}: turn it by hand the way the drive runs before coupling",
            have.value
        ));
    }
    let text = if case.duty.reversing {
        "take the back-stop out as its maker says: the drive turns both ways".to_owned()
    } else if matches!(have.value, "cw" | "ccw") && turns.is_some() {
        words!(
            "take the back-stop out, or turn it round, as its maker says: it is free {} and locks the way the drive runs",
            have.value
        )
    } else {
        "see which way the back-stop inside runs free before coupling; if it is not the way the drive runs, take it out or turn it round as its maker says".to_owned()
    };
    let note = words!("{}, but the candidate has one inside", passed.note);
    GateResult::new(Gate::BackStop, GateOutcome::Mend, note)
        .sides(Side::text(Some(have.value)), Side::text(turns), "free direction")
        .cells([have.place.clone(), case.position.place(Field::rotation)])
        .work(Work::new(WorkKind::BackStop, case.policy, text))
}

fn needed(case: &Case<'_>, candidate: &Candidate<'_>, fitted: Option<&str>) -> GateResult {
    let against = case
        .position
        .rotation()
        .zip(fitted)
        .is_some_and(|(turns, free)| matches!((turns, free), ("cw", "ccw") | ("ccw", "cw")));
    if against {
        let place = case.position.place(Field::back_stop);
        let note = "the position's own records disagree: its back-stop would lock the way it turns";
        return GateResult::new(Gate::BackStop, GateOutcome::Unknown, note)
            .cells([place.clone(), case.position.place(Field::rotation)])
            .measure(
                Field::back_stop,
                place,
                "which way the output turns, and which way it is held",
            );
    }
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
    // Where one is fitted without its direction, it runs free the way the drive turns.
    let turns = case.position.rotation().filter(|r| matches!(*r, "cw" | "ccw"));
    let need = need.filter(|n| matches!(*n, "cw" | "ccw")).or(turns).or(need);
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
        .confirm(words!(
            "back-stop: turn the spare by hand before coupling: free {have}, locked the other way"
        ))
}

/// Torque (N·m) that must be held at the output, without friction credit.
pub(super) fn held_torque(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<f64> {
    let p = case.position;
    let n2 = case.duty.output_rpm?;
    Some(if let (Some(lift), Some(flow)) = (p.lift_m(), p.tonnes_per_hour()) {
        // Lift power g·Q·H, Q in t/h: kW = g·Q·H / 3600.
        let kilowatts = STANDARD_GRAVITY * flow * lift / 3600.0;
        let torque = shaft_torque(Power::kilowatts(kilowatts), ShaftSpeed::rpm(n2)?);
        case.policy.back_stop_over_lift * torque.value()
    } else {
        let per_stage = case.policy.efficiency_per_stage;
        let efficiency = candidate.unit.efficiency(per_stage, case.duty.input_rpm).value;
        case.policy.back_stop_over_motor * case.duty.motor_torque(efficiency)?.value()
    })
}

/// Torque (N·m) that the back-stop must hold at its own shaft.
fn required_torque(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<f64> {
    let at_output = held_torque(case, candidate)?;
    let on_input =
        candidate.unit.text(Field::back_stop_shaft).is_some_and(|k| k.value.contains("input"));
    let ratio = candidate.unit.ratio()?;
    Some(if on_input { at_output / ratio } else { at_output })
}
