//! Peak: starting and jam torque against what the candidate's gears stand for a moment.

use super::asks::torque_unknown;
use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::gate::{Limit, LimitKind, Side};
use crate::fit::work::{Work, WorkKind};
use crate::rating::{Capacity, Peak, State, Unit, capacity_at, peak_at};
use crate::records::Field;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let Some(peak) = peak_of(case, &candidate.unit) else {
        return torque_unknown(Gate::Peak, case, case.duty.motor_kw.is_some());
    };
    let mut result = GateResult::new(Gate::Peak, GateOutcome::Pass, peak.note.clone()).sides(
        Side::number(peak.allowed.map(|t| t.value())),
        Side::Number(peak.torque.value()),
        "N·m",
    );
    match peak.state() {
        State::Short => short(&mut result, case, &peak, identical),
        State::Unknown if peak.allowed.is_none() => {
            result.outcome = GateOutcome::Unknown;
            result = result.measure(
                Field::rated_torque_nm,
                candidate.unit.place(Field::rated_torque_nm),
                "the candidate's rated torque and momentary limit, from its maker",
            );
        }
        State::Unknown if no_weaker(case, &peak) => {
            result.note.push_str("; no weaker than the unit that ran here");
        }
        State::Unknown => {
            result.outcome = GateOutcome::Unknown;
            for (field, text) in [
                (Field::start_kind, "how the motor starts: direct, soft start or inverter"),
                (Field::motor_inertia_kgm2, "the motor's inertia, from its maker"),
                (Field::load_inertia_kgm2, "the machine's inertia at the output shaft"),
            ] {
                if !case.position.knows(field) {
                    result = result.measure(field, case.position.place(field), text);
                }
            }
        }
        State::Enough | State::Ample => {}
    }
    result
}

fn peak_of(case: &Case<'_>, unit: &Unit<'_>) -> Option<Peak> {
    let capacity = match case.duty.input_rpm {
        Some(n1) => capacity_at(unit, n1, case.duty.reversing, case.policy.efficiency_per_stage),
        None => Capacity::unknown("the input speed is not known"),
    };
    peak_at(case.position, unit, &case.duty, &capacity, case.policy)
}

/// Whether the unit that ran here stands no more.
fn no_weaker(case: &Case<'_>, peak: &Peak) -> bool {
    let fitted = peak_of(case, &case.fitted).and_then(|p| p.allowed);
    peak.allowed.zip(fitted).is_some_and(|(own, was)| own.value() + 0.5 >= was.value())
}

fn short(result: &mut GateResult, case: &Case<'_>, peak: &Peak, identical: bool) {
    let Some(allowed) = peak.allowed else { return };
    let set = (allowed.value()).floor();
    if peak.jam {
        result.outcome = GateOutcome::Mend;
        let text = words!(
            "fit a shear pin, torque limiter or fluid coupling, or set an inverter's torque limit: at most {set:.0} N·m at the output"
        );
        result.work.push(Work::new(WorkKind::Limiter, case.policy, text));
    } else if identical || no_weaker(case, peak) {
        result.outcome = GateOutcome::Limit;
        let text =
            "the gears stand no less than what ran here; the position is overworked at starts";
        result.limits.push(Limit { kind: LimitKind::Torque, value: set, text: text.into() });
    } else if case.position.start_kind() == Some("direct")
        && peak.torque.value() * case.policy.start_factor_soft / peak.factor <= allowed.value()
    {
        result.outcome = GateOutcome::Mend;
        let text = words!("fit a soft start that holds the start to {set:.0} N·m at the output");
        result.work.push(Work::new(WorkKind::Limiter, case.policy, text));
    } else {
        result.outcome = GateOutcome::Fail;
    }
}
