//! Holding: what keeps the load when the motor stops. A gear's reluctance to run back is never it.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::candidate::From;
use crate::fit::gate::Side;
use crate::fit::reach::Reached;
use crate::fit::work::{Work, WorkKind};
use crate::gearing::LoadKind;
use crate::rating::Way;
use crate::records::Field;
use crate::standards::Family;

pub(super) fn compare(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    identical: bool,
    reached: Option<&Reached>,
) -> GateResult {
    let result = |outcome, note: &str| {
        GateResult::new(Gate::Holding, outcome, note).sides(
            Side::Unknown,
            Side::Text(case.load.kind.word().into()),
            "",
        )
    };
    match case.load.kind {
        LoadKind::None => result(GateOutcome::Pass, "nothing to hold"),
        LoadKind::Suspended => suspended(case, candidate, identical),
        LoadKind::RunsBack | LoadKind::Overhauling => inclined(case, candidate, reached),
        LoadKind::Unknown => {
            result(GateOutcome::Unknown, "what the load does when let go is not known").measure(
                Field::holds_load,
                case.position.place(Field::holds_load),
                "what holds the load when the motor stops",
            )
        }
    }
}

/// Only the identical, ready unit may go in, and then with a signature.
fn suspended(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let sign = "the responsible engineer signs before the load is lifted: brake, ropes and load test under local codes";
    let ready = match candidate.from {
        From::Shelf(line) => super::condition::is_ready(case, line),
        From::Position(_) => false,
        From::Catalogue(_) => true,
    };
    let result = |outcome, note: &str| {
        GateResult::new(Gate::Holding, outcome, note).sides(
            Side::text(Some(if identical { "identical unit" } else { "another unit" })),
            Side::Text("identical unit".into()),
            "",
        )
    };
    let unheld = case.position.brake() == Some(false)
        && case.fitted.bare_text(Field::back_stop).is_none_or(|b| b == "none");
    if unheld {
        result(
            GateOutcome::Refer,
            "a load hangs here and no brake is recorded: the position is wrong, not the unit; the responsible engineer decides",
        )
    } else if identical && ready {
        result(GateOutcome::Mend, "a suspended load: identical and ready, with a signature")
            .work(Work::new(WorkKind::Inspection, case.policy, sign))
    } else {
        result(GateOutcome::Refer, "a suspended load: the responsible engineer decides")
    }
}

/// The motor's brake through this unit, and on the motor that a change of speed may ask for.
fn braked(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    reached: Option<&Reached>,
) -> Option<GateResult> {
    let p = case.position;
    let at_output = super::back_stop::held_torque(case, candidate);
    let through = candidate.unit.ratio().map(|ratio| ratio * belt_ratio(case, reached));
    let at_motor = at_output.zip(through).map(|(torque, through)| torque / through);
    let asked = at_motor.map_or_else(String::new, |t| words!(" of at least {:.0} N·m", t.ceil()));
    let mend = |note: String, text: String| {
        GateResult::new(Gate::Holding, GateOutcome::Mend, note)
            .sides(Side::number(p.brake_torque_nm()), Side::number(at_motor), "N·m at the motor")
            .cells([p.place(Field::brake)])
            .work(Work::new(WorkKind::Brake, case.policy, text))
    };
    if reached.is_some_and(|r| matches!(r.found.way, Way::Poles(_))) {
        return Some(mend(
            "the brake that holds the load leaves with the old motor".into(),
            words!("the new motor needs a brake{asked}: it holds the load"),
        ));
    }
    let (have, need) = p.brake_torque_nm().zip(at_motor)?;
    if have + 0.05 >= need {
        return None;
    }
    let output = have * through.unwrap_or(1.0);
    Some(mend(
        words!(
            "the motor's brake gives {output:.0} N·m at the output, where {:.0} N·m are to be held",
            at_output.unwrap_or_default()
        ),
        words!("fit a brake{asked} at the motor"),
    ))
}

/// Turns of the motor for one of the unit's input.
fn belt_ratio(case: &Case<'_>, reached: Option<&Reached>) -> f64 {
    if let Some(Way::Belt(ratio)) = reached.map(|r| r.found.way) {
        return ratio;
    }
    match (reached, case.duty.motor_rpm, case.duty.input_rpm) {
        (None, Some(motor), Some(input)) if input > 0.0 => motor / input,
        _ => 1.0,
    }
}

fn inclined(case: &Case<'_>, candidate: &Candidate<'_>, reached: Option<&Reached>) -> GateResult {
    let p = case.position;
    let result = |outcome, note: &str| {
        GateResult::new(Gate::Holding, outcome, note).sides(
            Side::Unknown,
            Side::Text(case.load.kind.word().into()),
            "",
        )
    };
    if p.back_stop_elsewhere() == Some(true) {
        return result(GateOutcome::Pass, "held elsewhere in the drive");
    }
    if p.brake() == Some(true) {
        if let Some(weak) = braked(case, candidate, reached) {
            return weak;
        }
        return result(GateOutcome::Pass, "the motor's brake holds the load")
            .confirm("holding: the brake's torque with the candidate's ratio and efficiency");
    }
    let has_stop = candidate.unit.text(Field::back_stop).map(|k| k.value != "none");
    if case.load.kind == LoadKind::RunsBack && has_stop == Some(true) {
        return result(GateOutcome::Pass, "the back-stop holds the load, see there");
    }
    let fitted_stop = p.back_stop().is_some_and(|b| b != "none");
    let relied_on_worm = case.fitted.family() == Family::Worm && !fitted_stop;
    if relied_on_worm || candidate.unit.family() == Family::Worm {
        return result(GateOutcome::Mend, "a worm's reluctance to run back is no brake")
            .work(Work::new(WorkKind::Brake, case.policy, "fit a brake of the torque needed"));
    }
    result(GateOutcome::Unknown, "what holds the load is not known").measure(
        Field::brake,
        p.place(Field::brake),
        "what holds the load when the motor stops: brake, back-stop, where",
    )
}
