//! Strength: rating against demand times service factor.

use super::asks::torque_unknown;
use super::{Candidate, Case, Gate, GateOutcome, GateResult, held_by};
use crate::findings::words;
use crate::fit::gate::{Limit, LimitKind, Side};
use crate::rating::{
    Demand, Duty, Required, capacity_at, power_at, required_factor, service_factor,
};
use crate::records::Field;
use crate::standards::Family;
use crate::units::{ShaftSpeed, Torque};

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let unit = &candidate.unit;
    let required = required_factor(&case.duty, case.position, unit, case.policy);
    let taken = case.duty.demand_from();
    let Some((from, demand)) = taken.and_then(|d| Some((d, demand_there(case, candidate, d)?)))
    else {
        return demand_unknown(case);
    };
    let capacity = case
        .duty
        .input_rpm
        .map(|n1| capacity_at(unit, n1, case.duty.reversing, case.policy.efficiency_per_stage));
    let need = demand.value() * required.factor;
    let Some(rated) = capacity.as_ref().and_then(|c| c.torque) else {
        let why = capacity.map_or_else(|| "the input speed is not known".to_owned(), |c| c.note);
        return GateResult::new(Gate::Strength, GateOutcome::Unknown, why)
            .sides(Side::Unknown, Side::Number(need), "N·m")
            .measure(
                Field::rated_torque_nm,
                unit.place(Field::rated_torque_nm),
                "the candidate's rated torque or power, speed and service factor, from its plate or maker",
            );
    };
    let mut places = capacity.map(|c| c.places).unwrap_or_default();
    places.push(case.position.place(match from {
        Demand::Absorbed => Field::absorbed_power_kw,
        Demand::Motor => Field::motor_power_kw,
    }));
    let mut note = words!(
        "rated {:.0} N·m, demand {:.0} N·m from {} × {:.2} ({})",
        rated.value(),
        demand.value(),
        from.word(),
        required.factor,
        required.source
    );
    if let Some((other, torque)) = other_demand(case, candidate, from) {
        let factor = service_factor(rated, torque);
        note.push_str(&words!("; on {} the factor is {factor:.2}", other.word()));
    }
    let mut result = GateResult::new(Gate::Strength, GateOutcome::Pass, note)
        .sides(Side::Number(rated.value()), Side::Number(need), "N·m")
        .cells(places);
    let motor = demand_there(case, candidate, Demand::Motor).filter(|_| from == Demand::Absorbed);
    if motor.is_some_and(|motor| demand.value() > 1.05 * motor.value()) {
        result = result.confirm(
            "strength: the absorbed power recorded is more than the motor gives; which of both is wrong",
        );
    }
    result.assumed = case.duty.class_assumed;
    judge(&mut result, case, candidate, rated, demand, &required, identical);
    result
}

fn demand_unknown(case: &Case<'_>) -> GateResult {
    let known = case.duty.motor_kw.or(case.duty.absorbed_kw).is_some();
    torque_unknown(Gate::Strength, case, known)
}

/// The demand not taken, and its torque, where it is known too.
fn other_demand(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    taken: Demand,
) -> Option<(Demand, Torque)> {
    let other = match taken {
        Demand::Absorbed => Demand::Motor,
        Demand::Motor => Demand::Absorbed,
    };
    Some((other, demand_there(case, candidate, other)?))
}

/// Torque that a demand asks at the candidate's own output speed: the motor gives its power at any
/// speed, through the candidate's efficiency; what is absorbed follows the load curve.
fn demand_there(case: &Case<'_>, candidate: &Candidate<'_>, from: Demand) -> Option<Torque> {
    let speed = speed_there(case, candidate)? / case.duty.output_rpm?;
    let torque = match from {
        Demand::Motor => {
            let per_stage = case.policy.efficiency_per_stage;
            let efficiency = candidate.unit.efficiency(per_stage, case.duty.input_rpm).value;
            case.duty.motor_torque(efficiency)?.value() / speed
        }
        Demand::Absorbed => case.duty.absorbed_torque()?.value() * curve(case, speed),
    };
    Some(Torque::newton_metres(torque))
}

/// The candidate's output speed (r/min); the present one where its ratio is not known.
fn speed_there(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<f64> {
    let own = candidate.unit.ratio().and_then(|i| case.output_rpm_with(i));
    own.or(case.duty.output_rpm)
}

/// Torque at a speed ratio over that at the present speed.
fn curve(case: &Case<'_>, speed: f64) -> f64 {
    case.duty.curve.power_share(speed) / speed
}

fn judge(
    result: &mut GateResult,
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    rated: Torque,
    demand: Torque,
    required: &Required,
    identical: bool,
) {
    if required.refer && identical && case.is_suspended() {
        result.note.push_str("; the same as what ran here, and no list gives a factor");
        return;
    }
    if required.refer {
        result.outcome = GateOutcome::Refer;
        result.note.push_str("; no list gives a factor for this machine");
        return;
    }
    let factor = service_factor(rated, demand);
    if factor + 1e-9 >= required.factor {
        nameplate(result, case, candidate, rated, required);
        return;
    }
    let weaker = case
        .fitted_capacity
        .as_ref()
        .and_then(|c| c.torque)
        .is_none_or(|t| rated.value() < t.value() - 0.5);
    if !weaker {
        result.note.push_str("; no weaker than the unit that ran here");
    }
    if identical {
        result.outcome = GateOutcome::Limit;
        result.limits.push(Limit {
            kind: LimitKind::Torque,
            value: rated.value() / required.factor,
            text: "same as what ran here; the position is overworked".into(),
        });
        return;
    }
    let limits = shortage(case, candidate, demand, factor, required);
    if limits.is_empty() || case.position.limiter() == Some("none") {
        result.outcome = GateOutcome::Fail;
        let share = 100.0 * factor / required.factor;
        result.note.push_str(&words!("; carries {share:.0} % of what is required"));
    } else {
        result.outcome = GateOutcome::Limit;
        result.limits = limits;
    }
}

/// Ways in which a shortage may be lived with: fewer hours at full load, or less load all day.
fn shortage(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    demand: Torque,
    factor: f64,
    required: &Required,
) -> Vec<Limit> {
    let mut limits = Vec::new();
    let steps: [f64; 2] =
        if candidate.unit.family() == Family::Worm { [10.0, 2.0] } else { [10.0, 3.0] };
    let at = |hours: f64| {
        let duty = Duty { hours, ..case.duty.clone() };
        required_factor(&duty, case.position, &candidate.unit, case.policy).factor
    };
    if factor >= 1.0
        && let Some(hours) =
            steps.into_iter().find(|h| *h < case.duty.hours && factor + 1e-9 >= at(*h))
    {
        let text =
            words!("full load for at most {hours:.0} h a day, held by a timer or by the crew");
        limits.push(Limit { kind: LimitKind::Hours, value: hours, text });
    }
    let share = factor / required.factor;
    if share >= case.policy.least_load_share
        && let Some(full) = power_there(case, candidate, demand)
    {
        let held = held_by(case);
        // Rounded down: a limit must not grow in print.
        let driver = demand_there(case, candidate, Demand::Motor);
        let most = driver.and_then(|motor| power_there(case, candidate, motor));
        let power = ((full * share).min(most.unwrap_or(f64::MAX)) * 10.0).floor() / 10.0;
        let text = words!(
            "at most {power:.1} kW at the output ({:.1} % of full load), held by {held}",
            (1000.0 * share.min(power / full)).floor() / 10.0
        );
        limits.push(Limit { kind: LimitKind::Power, value: power, text });
    }
    limits
}

/// Power (kW) of the demand torque at the candidate's own output speed.
fn power_there(case: &Case<'_>, candidate: &Candidate<'_>, demand: Torque) -> Option<f64> {
    let speed = ShaftSpeed::rpm(speed_there(case, candidate)?)?;
    Some(power_at(demand, speed).over(1e3))
}

/// Overload relays are not set below this share of the motor; common practice, no source.
const LEAST_SETTING: f64 = 0.6;

/// Enough for the load, but less than the motor can give: a limit to set.
fn nameplate(
    result: &mut GateResult,
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    rated: Torque,
    required: &Required,
) {
    let Some(motor) = demand_there(case, candidate, Demand::Motor) else { return };
    if case.duty.demand_from() == Some(Demand::Absorbed) && rated.value() + 0.5 < motor.value() {
        result.outcome = GateOutcome::Limit;
        let set = rated.value() / required.factor;
        let share = set / motor.value();
        let low =
            share < LEAST_SETTING && case.position.limiter().is_none_or(|l| l == "overload-relay");
        let held = if low {
            "a torque limiter or an inverter: no overload relay is set so low"
        } else {
            held_by(case)
        };
        let text = words!(
            "set a torque limit of {set:.0} N·m at the output ({:.0} % of the motor), held by {held}",
            100.0 * share
        );
        result.limits.push(Limit { kind: LimitKind::Torque, value: set, text });
    }
}
