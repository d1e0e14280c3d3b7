//! Top speed: input speed against the unit's limit.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::records::Field;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let limit = candidate.unit.number(Field::max_input_speed_rpm);
    let sides = |r: GateResult| {
        r.sides(
            Side::number(limit.as_ref().map(|k| k.value)),
            Side::number(case.duty.input_rpm),
            "r/min",
        )
        .cells(limit.iter().map(|k| k.place.clone()))
    };
    if let (Some(limit), Some((hz, fastest))) = (&limit, inverter_top(case))
        && fastest > limit.value + 1e-9
        && case.duty.input_rpm.is_some_and(|n1| n1 <= limit.value + 1e-9)
    {
        let cap = hz * limit.value / fastest;
        return sides(GateResult::new(
            Gate::TopSpeed,
            GateOutcome::Mend,
            words!("the inverter goes up to {hz:.0} Hz, {fastest:.0} r/min at the input"),
        ))
        .work(Work::new(
            WorkKind::Limiter,
            case.policy,
            words!(
                "cap the inverter at {:.0} Hz: the unit turns no faster than {:.0} r/min",
                cap.floor(),
                limit.value
            ),
        ));
    }
    match (&limit, case.duty.input_rpm) {
        (Some(limit), Some(n1)) if n1 <= limit.value + 1e-9 => slow_side(
            case,
            candidate,
            sides(GateResult::new(
                Gate::TopSpeed,
                GateOutcome::Pass,
                "below the unit's highest input speed",
            )),
        ),
        (Some(_), Some(_)) => sides(GateResult::new(
            Gate::TopSpeed,
            GateOutcome::Fail,
            "above the unit's highest input speed",
        )),
        _ => sides(GateResult::new(
            Gate::TopSpeed,
            GateOutcome::Unknown,
            "the highest input speed is not known",
        ))
        .measure(
            Field::max_input_speed_rpm,
            candidate.unit.place(Field::max_input_speed_rpm),
            "the candidate's highest input speed, from its maker",
        ),
    }
}

/// The highest frequency of the inverter that is there, and the input speed at it.
fn inverter_top(case: &Case<'_>) -> Option<(f64, f64)> {
    let range = case.position.inverter_range_hz()?;
    let top = range
        .split(|c: char| !c.is_ascii_digit() && c != '.')
        .filter_map(|n| n.parse::<f64>().ok())
        .fold(0.0, f64::max);
    let line = case.position.supply_hz().unwrap_or(50.0);
    let input = case.duty.input_rpm?;
    (top > line).then(|| (top, input * top / line))
}

/// What a drive that also runs slowly asks of a unit: oil from a pump on its shaft, a back-stop that lifts off.
fn slow_side(case: &Case<'_>, candidate: &Candidate<'_>, passed: GateResult) -> GateResult {
    let position = case.position;
    if position.slowest_speed_rpm().is_none() && position.inverter_range_hz().is_none() {
        return passed;
    }
    let slowest = position
        .slowest_speed_rpm()
        .map_or_else(|| "its slowest speed".to_owned(), |n| words!("{n:.0} r/min"));
    let pump = candidate.unit.flag(Field::shaft_pump).is_some_and(|k| k.value);
    let stop = candidate.unit.bare_text(Field::back_stop).is_some_and(|b| b != "none");
    let mut result = passed;
    if pump {
        result = result.confirm(words!(
            "top-speed: whether the pump on the unit's shaft still gives oil at {slowest}: ask its maker"
        ));
    }
    if stop {
        result = result.confirm(words!(
            "back-stop: whether it lifts off at {slowest}, or drags and wears: ask its maker"
        ));
    }
    result
}
