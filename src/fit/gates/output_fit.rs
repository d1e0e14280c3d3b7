//! Output fit: form, diameter, key, side.

use super::{Candidate, Case, Gate, GateOutcome, GateResult, equal_mm};
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::rating::{Known, required_factor};
use crate::records::Field;
use crate::standards::parallel_key;

/// Pressure that a steel key's side carries (MPa); common practice, no source.
const KEY_PRESSURE_MPA: f64 = 100.0;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let forms = (case.fitted.text(Field::output_form), candidate.unit.text(Field::output_form));
    let result = match &forms {
        (Some(need), Some(have)) if need.value != have.value => GateResult::new(
            Gate::OutputFit,
            GateOutcome::Fail,
            "the output shaft is of another form",
        )
        .sides(Side::Text(have.value.into()), Side::Text(need.value.into()), "")
        .cells([have.place.clone(), need.place.clone()]),
        (Some(form), Some(_)) if form.value == "solid" => solid(case, candidate),
        (Some(_), Some(_)) => hollow(case, candidate),
        _ if identical => solid(case, candidate),
        _ => form_unknown(case, candidate),
    };
    if result.outcome == GateOutcome::Fail {
        result
    } else {
        side(case, candidate, identical, result)
    }
}

fn form_unknown(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let field = Field::output_form;
    let unit = if case.fitted.text(field).is_none() { &case.fitted } else { &candidate.unit };
    let mut result = GateResult::new(
        Gate::OutputFit,
        GateOutcome::Unknown,
        "the form of the output shaft is not known on both sides",
    )
    .measure(field, unit.place(field), "whether the output shaft is solid or hollow");
    if case.fitted.number(Field::output_shaft_mm).is_none() {
        let place = case.fitted.place(Field::output_shaft_mm);
        result = result.measure(
            Field::output_shaft_mm,
            place,
            "the diameter of the output shaft, on the machine",
        );
    }
    result
}

type Length = Known<f64>;

fn diameters(
    need: Option<Length>,
    case: &Case<'_>,
    candidate: &Candidate<'_>,
) -> Result<(Length, Length), Box<GateResult>> {
    let field = Field::output_shaft_mm;
    let have = candidate.unit.number(field);
    match (need, have) {
        (Some(need), Some(have)) => Ok((need, have)),
        (need, have) => {
            let note = "the output shaft's diameter is not known on both sides";
            let mut result = GateResult::new(Gate::OutputFit, GateOutcome::Unknown, note).sides(
                Side::number(have.as_ref().map(|k| k.value)),
                Side::number(need.as_ref().map(|k| k.value)),
                "mm",
            );
            if need.is_none() {
                let place = case.fitted.place(field);
                result = result.measure(
                    field,
                    place,
                    "the diameter of the output shaft, on the machine",
                );
            }
            if have.is_none() {
                let place = candidate.unit.place(field);
                result =
                    result.measure(field, place, "the diameter of the candidate's output shaft");
            }
            Err(Box::new(result))
        }
    }
}

fn compared(
    outcome: GateOutcome,
    need: &Length,
    have: &Length,
    note: impl Into<String>,
) -> GateResult {
    GateResult::new(Gate::OutputFit, outcome, note)
        .sides(Side::Number(have.value), Side::Number(need.value), "mm")
        .cells([have.place.clone(), need.place.clone()])
}

fn solid(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let fitted = case.fitted.number(Field::output_shaft_mm);
    let (need, have) = match diameters(fitted, case, candidate) {
        Ok(both) => both,
        Err(result) => return *result,
    };
    let length = "output-fit: length of the shaft end and its key against the hub";
    if equal_mm(need.value, have.value) {
        return match shorter(case, candidate) {
            Some((need_length, have_length)) => {
                let text = format!(
                    "new hub, or shorten the old one: the shaft end is {have_length:.0} mm long, not {need_length:.0}"
                );
                compared(GateOutcome::Mend, &need, &have, "same diameter, shorter shaft end")
                    .work(Work::new(WorkKind::NewHub, case.policy, text))
                    .confirm("output-fit: that the key carries the torque on the shorter end")
            }
            None => {
                compared(GateOutcome::Pass, &need, &have, "same shaft diameter").confirm(length)
            }
        };
    }
    if have.value > need.value {
        larger(case, &need, &have)
    } else {
        smaller(case, candidate, &need, &have)
    }
}

/// Lengths of the shaft ends, needed and there, where the candidate's is shorter by more than a tenth.
fn shorter(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<(f64, f64)> {
    let length = |unit: &crate::rating::Unit<'_>| unit.bare_number(Field::output_shaft_length_mm);
    let (need, have) = (length(&case.fitted)?, length(&candidate.unit)?);
    (have < 0.9 * need).then_some((need, have))
}

fn larger(case: &Case<'_>, need: &Length, have: &Length) -> GateResult {
    let limit = case.position.coupling_max_bore_mm();
    if limit.is_some_and(|limit| have.value <= limit + 0.1) {
        let text = format!(
            "rebore the hub from {:.1} to {:.1} mm and cut its keyway",
            need.value, have.value
        );
        return compared(GateOutcome::Mend, need, have, "larger shaft, the hub can be rebored")
            .work(Work::new(WorkKind::Rebore, case.policy, text))
            .confirm("output-fit: that the hub still carries the torque with the larger bore");
    }
    let why = if limit.is_some() {
        "beyond the hub's largest bore"
    } else {
        "the hub's largest bore is not known"
    };
    compared(GateOutcome::Mend, need, have, format!("larger shaft, {why}")).work(Work::new(
        WorkKind::NewHub,
        case.policy,
        format!("new hub with a bore of {:.1} mm", have.value),
    ))
}

fn smaller(case: &Case<'_>, candidate: &Candidate<'_>, need: &Length, have: &Length) -> GateResult {
    let wall = (need.value - have.value) / 2.0;
    let torque = required_torque(case, candidate);
    let key = key_capacity_nm(have.value);
    let key_holds = torque.zip(key).is_some_and(|(t, k)| k >= t);
    if wall >= case.policy.sleeve_min_wall_mm
        && need.value / have.value <= case.policy.sleeve_max_ratio
        && key_holds
    {
        let text = format!("sleeve {:.1} on {:.1} mm with a stepped key", need.value, have.value);
        return compared(GateOutcome::Mend, need, have, "smaller shaft, a sleeve carries it")
            .work(Work::new(WorkKind::Sleeve, case.policy, text));
    }
    compared(GateOutcome::Mend, need, have, "smaller shaft, too thin a sleeve or too weak a key")
        .work(Work::new(
            WorkKind::NewHub,
            case.policy,
            format!("new hub with a bore of {:.1} mm", have.value),
        ))
}

/// Demand torque times the factor required.
fn required_torque(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<f64> {
    let required = required_factor(&case.duty, case.position, &candidate.unit, case.policy);
    Some(case.duty.demand_torque()?.value() * required.factor)
}

/// Torque (N·m) that the parallel key of a shaft carries on its side in the hub, over a length
/// of one and a half diameters.
fn key_capacity_nm(shaft_mm: f64) -> Option<f64> {
    let key = parallel_key(shaft_mm)?;
    let force = KEY_PRESSURE_MPA * (key.height - key.shaft_depth) * 1.5 * shaft_mm;
    Some(force * shaft_mm / 2.0 / 1e3)
}

fn hollow(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    // The machine's own shaft counts; the fitted bore stands for it.
    let machine = case.fitted.number(Field::driven_shaft_mm);
    let need = machine.or_else(|| case.fitted.number(Field::output_shaft_mm));
    let (need, have) = match diameters(need, case, candidate) {
        Ok(both) => both,
        Err(result) => return *result,
    };
    if equal_mm(need.value, have.value) {
        return compared(GateOutcome::Pass, &need, &have, "same bore")
            .confirm("output-fit: length of the hollow shaft against the machine's shaft");
    }
    if have.value < need.value {
        return compared(
            GateOutcome::Fail,
            &need,
            &have,
            "the bore is below the machine's shaft; never turn that down",
        );
    }
    let bushings = candidate
        .unit
        .text(Field::bushings)
        .or_else(|| candidate.unit.text(Field::output_bore_range_mm));
    let listed = bushings.is_some_and(|k| holds_size(k.value, need.value));
    if listed {
        let text = format!("bushing {:.1} in {:.1} mm", need.value, have.value);
        compared(GateOutcome::Mend, &need, &have, "a bushing is listed").work(Work::new(
            WorkKind::Sleeve,
            case.policy,
            text,
        ))
    } else {
        compared(GateOutcome::Fail, &need, &have, "larger bore and no bushing is listed")
    }
}

/// Whether a list such as `50, 55, 60` or a range `40-60` holds a size.
fn holds_size(text: &str, size: f64) -> bool {
    text.split([',', ';']).any(|part| {
        let numbers: Vec<f64> = part
            .split(['-', '–'])
            .filter_map(|n| n.trim().trim_end_matches("mm").trim().parse().ok())
            .collect();
        match numbers[..] {
            [one] => equal_mm(one, size),
            [low, high] => (low - 0.1..=high + 0.1).contains(&size),
            _ => false,
        }
    })
}

/// The side of the output shaft: the wrong swap seen most.
fn side(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    identical: bool,
    mut result: GateResult,
) -> GateResult {
    let code =
        |unit: &crate::rating::Unit<'_>| unit.text(Field::order_code).map(|k| k.value.to_owned());
    let same_code =
        identical && code(&case.fitted).is_some() && code(&case.fitted) == code(&candidate.unit);
    match (case.fitted.text(Field::hand), candidate.unit.text(Field::hand)) {
        _ if same_code => result,
        (Some(need), Some(have)) if need.value == have.value || have.value == "both" => result,
        (Some(need), Some(have)) => {
            result.outcome = GateOutcome::Fail;
            result.note = format!("output shaft: {} side, needed: {}", have.value, need.value);
            result.sides(Side::Text(have.value.into()), Side::Text(need.value.into()), "")
        }
        (Some(need), None) => {
            if result.outcome != GateOutcome::Fail {
                result.outcome = GateOutcome::Unknown;
            }
            result.note =
                format!("{}; side of the candidate not known, needed {}", result.note, need.value);
            result.measure(
                Field::hand,
                candidate.unit.place(Field::hand),
                "on which side the candidate's output shaft is",
            )
        }
        _ => result
            .confirm("output-fit: the side of the output shaft, on the machine and on the spare"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_carries_what_its_side_carries() {
        // By hand, shaft 60: key 18 × 11, depth in the shaft 7, so 4 mm in the hub;
        // 100 N/mm² × 4 mm × 90 mm × 30 mm = 1080 N·m.
        assert!((key_capacity_nm(60.0).expect("in the table") - 1080.0).abs() < 1e-9);
    }

    #[test]
    fn bushings_are_lists_or_ranges() {
        assert!(holds_size("50, 55, 60", 55.0) && holds_size("40-60", 55.0));
        assert!(!holds_size("50, 60", 55.0));
    }
}
