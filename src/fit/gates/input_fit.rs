//! Input fit: motor flange, or shaft and hub.

use super::output_fit::{SHORTEST_SHARE, keyway_too_wide, longer, size};
use super::{Candidate, Case, Gate, GateOutcome, GateResult, flanges_agree};
use crate::findings::words;
use crate::fit::gate::Side;
use crate::fit::reach::Reached;
use crate::fit::work::{Work, WorkKind};
use crate::rating::Way;
use crate::records::Field;
use crate::standards::{find_frame, frame_for, read_mating, same_size, shaft_of_named};

pub(super) fn compare(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    identical: bool,
    reached: Option<&Reached>,
) -> GateResult {
    let result = as_it_is(case, candidate, identical);
    match reached.map(|r| r.found.way) {
        Some(Way::Poles(poles)) if result.outcome != GateOutcome::Fail => {
            with_new_motor(case, candidate, poles, result)
        }
        _ => result,
    }
}

/// After a change of poles the new motor must fit the candidate: its usual frame's flange and shaft.
fn with_new_motor(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    poles: u32,
    result: GateResult,
) -> GateResult {
    let Some(flange) = candidate.unit.text(Field::input_flange) else { return result };
    let Some(kw) = case.duty.motor_kw else { return result };
    let ask = |note: String, text: String| {
        let mut asked = GateResult::new(Gate::InputFit, GateOutcome::Unknown, note);
        asked.work.clone_from(&result.work);
        asked.measure(Field::motor_frame, case.position.place(Field::motor_frame), text)
    };
    let Some(frame) = frame_for(kw, poles) else {
        return ask(
            words!("which frame a motor of {kw} kW and {poles} poles has is not known"),
            words!("frame, flange and shaft of the motor with {poles} poles, against the input"),
        );
    };
    let bore =
        candidate.unit.bare_number(Field::input_shaft_mm).or_else(|| shaft_of_named(flange.value));
    let mates = flanges_agree(&frame.flange, flange.value) == Some(true);
    if mates && bore.is_none_or(|bore| same_size(bore, frame.shaft_mm)) {
        return result.confirm(words!(
            "input-fit: a motor of {kw} kW and {poles} poles is usually frame {}; see that it is",
            frame.name
        ));
    }
    ask(
        words!(
            "a motor of {kw} kW and {poles} poles is usually frame {}: {}, shaft {} mm; the input here is {}{}",
            frame.name,
            frame.flange,
            frame.shaft_mm,
            flange.value,
            bore.map_or_else(String::new, |b| format!(", {b} mm"))
        ),
        words!("whether a motor of {poles} poles with the input's flange and shaft is at hand"),
    )
}

fn as_it_is(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
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
                solid(case, candidate, need.value, have.value).cells([need.place, have.place])
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
    match flanges_agree(need, have) {
        Some(true) => return motor_shafts(case, candidate, need, have),
        None => {
            let (unit, whose, word) = if read_mating(need).is_none() {
                (&case.fitted, "the unit on the machine", need)
            } else {
                (&candidate.unit, "the candidate", have)
            };
            return result(
                GateOutcome::Unknown,
                words!("`{word}` names no flange that can be compared"),
            )
            .measure(
                Field::input_flange,
                unit.place(Field::input_flange),
                words!("bolt circle and spigot of the motor flange of {whose}, as FF265"),
            );
        }
        Some(false) => {}
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
        let text = words!("adapter from {need} to {have}");
        result(GateOutcome::Mend, "another flange, and an adapter is listed".into())
            .work(Work::new(WorkKind::Adapter, case.policy, text))
    } else {
        result(GateOutcome::Fail, "another motor flange and no adapter is listed".into())
    }
}

/// The bores behind two flanges that are one.
fn motor_shafts(case: &Case<'_>, candidate: &Candidate<'_>, need: &str, have: &str) -> GateResult {
    let result = |outcome, note: String| {
        GateResult::new(Gate::InputFit, outcome, note).sides(
            Side::Text(have.into()),
            Side::Text(need.into()),
            "",
        )
    };
    let frame = || find_frame(case.position.motor_frame()?).map(|f| f.shaft_mm);
    let bores = (
        case.fitted
            .bare_number(Field::input_shaft_mm)
            .or_else(frame)
            .or_else(|| shaft_of_named(need)),
        candidate.unit.bare_number(Field::input_shaft_mm).or_else(|| shaft_of_named(have)),
    );
    match bores {
        (Some(a), Some(b)) if !same_size(a, b) => result(
            GateOutcome::Fail,
            words!(
                "same flange, but the motor shaft is {} and the input takes {}",
                size(a),
                size(b)
            ),
        ),
        (Some(_), Some(_)) => result(GateOutcome::Pass, "same flange and motor shaft".into()),
        _ => result(GateOutcome::Pass, "same flange".into())
            .confirm("input-fit: the motor shaft's diameter and length against the input"),
    }
}

fn solid(case: &Case<'_>, candidate: &Candidate<'_>, need: f64, have: f64) -> GateResult {
    let result = |outcome, note: &str| {
        GateResult::new(Gate::InputFit, outcome, note).sides(
            Side::Number(have),
            Side::Number(need),
            "mm",
        )
    };
    if same_size(need, have) {
        return input_length(case, candidate, result(GateOutcome::Pass, "same input shaft"));
    }
    let (note, kind) = if have < need {
        ("smaller input shaft", WorkKind::NewHub)
    } else if keyway_too_wide(need, have) {
        ("larger input shaft with a narrower key than the hub's keyway", WorkKind::NewHub)
    } else {
        ("larger input shaft", WorkKind::Rebore)
    };
    let text = words!("input coupling hub with a bore of {} (now {})", size(have), size(need));
    let mended = result(GateOutcome::Mend, note).work(Work::new(kind, case.policy, text));
    mended.confirm("input-fit: length of the input shaft and its key")
}

/// The lengths of two input shafts of one diameter, where both are known.
fn input_length(case: &Case<'_>, candidate: &Candidate<'_>, mut result: GateResult) -> GateResult {
    let length = |unit: &crate::rating::Unit<'_>| unit.bare_number(Field::input_shaft_length_mm);
    let (Some(need), Some(have)) = (length(&case.fitted), length(&candidate.unit)) else {
        return result.confirm("input-fit: length of the input shaft and its key");
    };
    if have < SHORTEST_SHARE * need {
        result.outcome = GateOutcome::Mend;
        result.note = "same input shaft, but shorter".into();
        let text =
            words!("input hub for a shaft end {have:.0} mm long, not {need:.0}: new, or shortened");
        return result.work(Work::new(WorkKind::NewHub, case.policy, text));
    }
    longer(result, "input-fit", need, have)
}

fn unknown(case: &Case<'_>, candidate: &Candidate<'_>, position: bool) -> GateResult {
    let unit = if position { &case.fitted } else { &candidate.unit };
    let whose = if position { "the unit on the machine" } else { "the candidate" };
    GateResult::new(Gate::InputFit, GateOutcome::Unknown, "the input is not known on both sides")
        .measure(
            Field::input_shaft_mm,
            unit.place(Field::input_shaft_mm),
            words!("the input of {whose}: flange, or shaft diameter and length"),
        )
}
