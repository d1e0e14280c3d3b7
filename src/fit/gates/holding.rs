//! Holding: what keeps the load when the motor stops. A gear's reluctance to run back is never it.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::fit::candidate::From;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::gearing::LoadKind;
use crate::records::Field;
use crate::standards::Family;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
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
        LoadKind::RunsBack | LoadKind::Overhauling => inclined(case, candidate),
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
    if identical && ready {
        result(GateOutcome::Mend, "a suspended load: identical and ready, with a signature")
            .work(Work::new(WorkKind::Inspection, case.policy, sign))
    } else {
        result(GateOutcome::Refer, "a suspended load: the responsible engineer decides")
    }
}

fn inclined(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
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
