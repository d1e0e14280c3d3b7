//! Input fit: motor flange, or shaft and hub.

use super::{Candidate, Case, Gate, GateOutcome, GateResult, equal_mm};
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::records::Field;
use crate::standards::{find_c_face, find_frame, flange_of_outside};

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let flange = |unit: &crate::rating::Unit<'_>| {
        unit.text(Field::input_flange).map(|k| (k.value.to_uppercase(), k.place))
    };
    let need = flange(&case.fitted).or_else(|| motor_flange(case));
    let have = flange(&candidate.unit);
    let shafts =
        (case.fitted.number(Field::input_shaft_mm), candidate.unit.number(Field::input_shaft_mm));
    match (&need, &have) {
        (Some((need, at)), Some((have, from))) => {
            flanges(case, candidate, need, have).cells([at.clone(), from.clone()])
        }
        (None, None) => match shafts {
            (Some(need), Some(have)) => {
                solid(case, need.value, have.value).cells([need.place, have.place])
            }
            _ if identical && shafts.0.is_none() && shafts.1.is_none() => GateResult::new(
                Gate::InputFit,
                GateOutcome::Pass,
                "same maker, model and ratio; no input is recorded",
            )
            .confirm("input-fit: the input of both units side by side"),
            (need, _) => unknown(case, candidate, need.is_none()),
        },
        (Some((need, _)), None) if shafts.1.is_some() => GateResult::new(
            Gate::InputFit,
            GateOutcome::Fail,
            "a shaft where the motor hangs on a flange",
        )
        .sides(Side::Text("shaft".into()), Side::Text(need.clone()), ""),
        (None, Some((have, _))) if shafts.0.is_some() => GateResult::new(
            Gate::InputFit,
            GateOutcome::Fail,
            "a motor flange where a coupling drives a shaft",
        )
        .sides(Side::Text(have.clone()), Side::Text("shaft".into()), ""),
        (need, _) => unknown(case, candidate, need.is_none()),
    }
}

/// Whether two flanges are one, however they are written: `FF 215`, `F215`, `A250`, `182TC` and `184TC`.
fn same_flange(a: &str, b: &str) -> bool {
    if a == b {
        return true;
    }
    if let (Some(a), Some(b)) = (find_c_face(a), find_c_face(b)) {
        return (a.bolt_circle_in, a.spigot_in, a.shaft_in)
            == (b.bolt_circle_in, b.spigot_in, b.shaft_in);
    }
    matches!((bolt_circle(a), bolt_circle(b)), (Some(a), Some(b)) if a == b)
}

/// Kind and bolt circle of an IEC flange; `A250` names the outside diameter.
fn bolt_circle(text: &str) -> Option<(bool, u32)> {
    let first = text.split(['/', ',', ';']).next()?.replace([' ', '-'], "");
    let digits = first.find(|c: char| c.is_ascii_digit())?;
    let (letters, number) = first.split_at(digits);
    let number: u32 = number.trim_end_matches(|c: char| !c.is_ascii_digit()).parse().ok()?;
    match letters {
        "FF" | "F" => Some((true, number)),
        "FT" => Some((false, number)),
        "A" | "IEC" | "B5" => {
            flange_of_outside(f64::from(number)).map(|circle| (true, circle as u32))
        }
        _ => None,
    }
}

/// The flange of the motor whose frame the position names, where the motor hangs on the unit.
fn motor_flange(case: &Case<'_>) -> Option<(String, crate::findings::Place)> {
    if case.position.input_connection() != Some("flange") {
        return None;
    }
    let frame = find_frame(case.position.motor_frame()?)?;
    Some((frame.flange, case.position.place(Field::motor_frame)))
}

fn flanges(case: &Case<'_>, candidate: &Candidate<'_>, need: &str, have: &str) -> GateResult {
    let result = |outcome, note: String| {
        GateResult::new(Gate::InputFit, outcome, note).sides(
            Side::Text(have.into()),
            Side::Text(need.into()),
            "",
        )
    };
    if same_flange(need, have) {
        let bores = (
            case.fitted.number(Field::input_shaft_mm).map(|k| k.value),
            candidate.unit.number(Field::input_shaft_mm).map(|k| k.value),
        );
        return match bores {
            (Some(a), Some(b)) if !equal_mm(a, b) => result(
                GateOutcome::Fail,
                format!("same flange, but the motor shaft is {a} and the input takes {b} mm"),
            ),
            (Some(_), Some(_)) => result(GateOutcome::Pass, "same flange and motor shaft".into()),
            _ => result(GateOutcome::Pass, "same flange".into())
                .confirm("input-fit: the motor shaft's diameter and length against the input"),
        };
    }
    let pair = |text: &str| {
        let low = text.to_uppercase();
        low.split([',', ';', ' ']).any(|p| {
            p.split_once('-')
                .is_some_and(|(a, b)| (a == need && b == have) || (a == have && b == need))
        })
    };
    let listed = case.policy.adapters.iter().any(|a| pair(a))
        || candidate.unit.text(Field::adapters).is_some_and(|k| pair(k.value));
    if listed {
        let text = format!("adapter from {need} to {have}");
        result(GateOutcome::Mend, "another flange, and an adapter is listed".into())
            .work(Work::new(WorkKind::Adapter, case.policy, text))
    } else {
        result(GateOutcome::Fail, "another motor flange and no adapter is listed".into())
    }
}

fn solid(case: &Case<'_>, need: f64, have: f64) -> GateResult {
    let result = |outcome, note: &str| {
        GateResult::new(Gate::InputFit, outcome, note).sides(
            Side::Number(have),
            Side::Number(need),
            "mm",
        )
    };
    if equal_mm(need, have) {
        return result(GateOutcome::Pass, "same input shaft")
            .confirm("input-fit: length of the input shaft and its key");
    }
    let text = format!("input coupling hub with a bore of {have:.1} mm (now {need:.1})");
    let kind = if have > need { WorkKind::Rebore } else { WorkKind::NewHub };
    let note = if have > need { "larger input shaft" } else { "smaller input shaft" };
    result(GateOutcome::Mend, note).work(Work::new(kind, case.policy, text))
}

fn unknown(case: &Case<'_>, candidate: &Candidate<'_>, position: bool) -> GateResult {
    let unit = if position { &case.fitted } else { &candidate.unit };
    let whose = if position { "the unit on the machine" } else { "the candidate" };
    GateResult::new(Gate::InputFit, GateOutcome::Unknown, "the input is not known on both sides")
        .measure(
            Field::input_shaft_mm,
            unit.place(Field::input_shaft_mm),
            format!("the input of {whose}: flange, or shaft diameter and length"),
        )
}
