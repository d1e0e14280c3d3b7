//! Heat: thermal power where the unit stands, against the power that this candidate takes there.

use super::{Candidate, Case, Gate, GateOutcome, GateResult, holds_power};
use crate::findings::words;
use crate::fit::gate::{Limit, LimitKind, Side};
use crate::fit::work::{Work, WorkKind};
use crate::rating::{Duty, Heat, Unit, heat_at};
use crate::records::Field;
use crate::standards::air_factor;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let Some(heat) = heat_of(case, &candidate.unit) else {
        return GateResult::new(
            Gate::Heat,
            GateOutcome::Unknown,
            "the candidate's thermal rating is not known",
        )
        .measure(
            Field::thermal_power_kw,
            candidate.unit.place(Field::thermal_power_kw),
            "the candidate's thermal rating, from its maker",
        );
    };
    let sides = |result: GateResult| {
        result
            .sides(Side::number(heat.corrected_kw), Side::number(heat.demand_kw), "kW")
            .cells([heat.place.clone()])
    };
    let (Some(have), Some(need)) = (heat.corrected_kw, heat.demand_kw) else {
        let why = heat.note.clone().unwrap_or_else(|| "the power at the input is not known".into());
        let result = sides(GateResult::new(Gate::Heat, GateOutcome::Unknown, why));
        return if heat.demand_kw.is_none() {
            result.measure(
                Field::absorbed_power_kw,
                case.position.place(Field::absorbed_power_kw),
                "the power the machine takes, or the motor's power",
            )
        } else {
            result
        };
    };
    let factors: Vec<String> =
        heat.factors.iter().map(|f| words!("{} {:.2}", f.name, f.value)).collect();
    let note = words!("listed {:.1} kW × {}", heat.listed_kw, factors.join(" × "));
    let mut result = sides(GateResult::new(Gate::Heat, GateOutcome::Pass, note));
    if have + 1e-9 < need {
        short(&mut result, case, candidate, &heat, identical);
    }
    result
}

/// The heat of a unit at this position, with its own efficiency.
fn heat_of(case: &Case<'_>, unit: &Unit<'_>) -> Option<Heat> {
    let efficiency = unit.efficiency(case.policy.efficiency_per_stage, case.duty.input_rpm).value;
    let duty = Duty { efficiency, ..case.duty.clone() };
    heat_at(case.position, unit, &duty, case.policy)
}

fn short(
    result: &mut GateResult,
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    heat: &Heat,
    identical: bool,
) {
    let (Some(have), Some(need)) = (heat.corrected_kw, heat.demand_kw) else { return };
    let share = have / need;
    let efficiency =
        candidate.unit.efficiency(case.policy.efficiency_per_stage, case.duty.input_rpm).value;
    let power = (have * efficiency * 10.0).floor() / 10.0;
    let no_hotter = heat_of(case, &case.fitted)
        .and_then(|fitted| fitted.share())
        .is_some_and(|fitted| share + 1e-9 >= fitted);
    let limits = limits(case, heat, power, share);
    if fan_mends(case, candidate, share) {
        result.outcome = GateOutcome::Mend;
        result.work.push(Work::new(WorkKind::Fan, case.policy, "fit the unit's fan kit"));
        result.limits = limits;
    } else if identical || no_hotter {
        result.outcome = GateOutcome::Limit;
        let text = if identical {
            "same as what ran here; the position is overworked by heat"
        } else {
            "no hotter than the unit that ran here; the position is overworked by heat"
        };
        result.limits.push(Limit { kind: LimitKind::Power, value: power, text: text.into() });
    } else if limits.is_empty() || case.position.limiter() == Some("none") {
        result.outcome = GateOutcome::Fail;
        result.note.push_str(&words!("; sheds {:.0} % of the heat", 100.0 * share));
    } else {
        result.outcome = GateOutcome::Limit;
        result.limits = limits;
    }
}

/// Less load all day, or full load for part of each hour where a timer holds it.
fn limits(case: &Case<'_>, heat: &Heat, power: f64, share: f64) -> Vec<Limit> {
    let mut limits = Vec::new();
    if let Some(minutes) = heat.minutes_per_hour
        && case.position.limiter() == Some("timer")
    {
        let text =
            words!("full load for at most {minutes:.0} minutes in each hour, held by the timer");
        limits.push(Limit { kind: LimitKind::Minutes, value: minutes.floor(), text });
    }
    if share >= case.policy.least_load_share {
        let text =
            words!("at most {power:.1} kW at the output for heat, held by {}", holds_power(case));
        limits.push(Limit { kind: LimitKind::Power, value: power, text });
    }
    limits
}

/// Whether driven air makes up for the shortage, where the unit takes a fan and has none blowing.
fn fan_mends(case: &Case<'_>, candidate: &Candidate<'_>, share: f64) -> bool {
    let kit = candidate.unit.flag(Field::fan_kit).is_some_and(|k| k.value);
    let air = case.position.air();
    let gain = air_factor("forced").zip(air_factor(air.unwrap_or("indoor"))).map(|(a, b)| a / b);
    kit && air != Some("forced") && gain.is_some_and(|gain| share * gain >= 1.0)
}
