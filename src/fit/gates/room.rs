//! Room: envelope and mass against the room and the lifting limit.

use super::{Candidate, Case, Gate, GateOutcome, GateResult, sizes};
use crate::findings::words;
use crate::fit::gate::Side;
use crate::records::Field;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let mass = candidate.unit.number(Field::mass_kg);
    let mass_unknown = mass.is_none();
    let limit = case.position.lifting_limit_kg();
    let mut notes = Vec::new();
    let mut outcome = GateOutcome::Pass;
    let room = case.position.room_mm().and_then(sizes);
    let own = candidate.unit.text(Field::dimensions_mm).and_then(|k| sizes(k.value));
    match (&room, &own) {
        (Some(room), Some(own)) if larger(own, room) => {
            outcome = GateOutcome::Fail;
            notes.push("larger than the room".to_owned());
        }
        (Some(_), Some(_)) => notes.push("inside the room".to_owned()),
        _ if identical => notes.push("same maker, model and ratio".to_owned()),
        _ => {
            outcome = GateOutcome::Unknown;
            notes.push("the room or the unit's dimensions are not known".to_owned());
        }
    }
    match (&mass, limit) {
        (Some(mass), Some(limit)) if mass.value > limit => {
            outcome = GateOutcome::Fail;
            notes.push(words!("{:.0} kg is above the lifting limit of {limit:.0} kg", mass.value));
        }
        (Some(mass), Some(limit)) => {
            notes.push(words!("{:.0} kg, lifting limit {limit:.0} kg", mass.value));
        }
        (Some(mass), None) => {
            outcome = if outcome == GateOutcome::Fail { outcome } else { GateOutcome::Unknown };
            notes.push(words!("{:.0} kg; lifting gear not checked", mass.value));
        }
        (None, _) => {
            outcome = if outcome == GateOutcome::Fail { outcome } else { GateOutcome::Unknown };
            notes
                .push("MASS UNKNOWN: weigh or read the plate, lifting gear not checked".to_owned());
        }
    }
    let result = GateResult::new(Gate::Room, outcome, notes.join("; "))
        .sides(Side::number(mass.as_ref().map(|k| k.value)), Side::number(limit), "kg")
        .cells(mass.map(|k| k.place));
    if outcome != GateOutcome::Unknown {
        return result;
    }
    let (here, unit) = (|field| case.position.place(field), &candidate.unit);
    let missing = [
        (room.is_none() && !identical, Field::room_mm, true, "the room around the unit"),
        (
            own.is_none() && !identical,
            Field::dimensions_mm,
            false,
            "the candidate's length, width and height",
        ),
        (mass_unknown, Field::mass_kg, false, "the candidate's mass: weigh it or read its plate"),
        (limit.is_none(), Field::lifting_limit_kg, true, "what the hoist here may lift"),
    ];
    missing.into_iter().filter(|m| m.0).fold(result, |result, (_, field, of_place, text)| {
        let place = if of_place { here(field) } else { unit.place(field) };
        result.measure(field, place, text)
    })
}

/// Whether a box does not go into another, turned about the upright only.
fn larger(own: &[f64], room: &[f64]) -> bool {
    let sorted = |s: &[f64]| {
        let mut s = s.to_vec();
        s.sort_by(f64::total_cmp);
        s
    };
    sorted(own).iter().zip(sorted(room)).any(|(a, b)| *a > b + 0.5)
}
