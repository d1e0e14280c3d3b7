//! Cautions, in the order a crew needs them; one list for screens, sheets and workbook.

use super::case::Case;
use super::gates::is_no_zone;
use crate::gearing::LoadKind;
use crate::records::Field;

/// The line that stands first wherever the load could move.
pub const CLAMP: &str = "CLAMP THE BELT, CHAIN OR LOAD BEFORE LOOSENING ANYTHING: this unit, its brake or \
    its back-stop may be what holds it; release take-up and counterweight under control.";

/// What applies to every change of a unit.
const ALWAYS: &[&str] = &[
    "Isolate and lock out all energy, stored and gravity loads included.",
    "See and touch the spare and read its plate before the old unit is stripped.",
    "A gear's reluctance to run back is never a brake.",
    "Verify dimensions and rotation on the machine before anything is cut.",
    "Oil types must not be mixed: one grade only, to the level for this position, breather open, preservative out.",
    "This compares data and approves no machine; local codes, the maker and licensed practice decide.",
];

const ENGINEER: &str = "People-carrying, lifting, explosive atmospheres and pressure are for the responsible \
    engineer under local codes.";

/// The first line for a case, if one is due.
#[must_use]
pub fn first_line(case: &Case<'_>) -> Option<&'static str> {
    (case.load.kind != LoadKind::None).then_some(CLAMP)
}

/// What holds the load, in one line.
#[must_use]
pub fn load_line(case: &Case<'_>) -> String {
    let why = case.load.why.as_deref().map_or_else(String::new, |why| format!(" ({why})"));
    match case.load.kind {
        LoadKind::None => format!("none{why}: nothing to hold"),
        LoadKind::Unknown if case.level_unknown => {
            format!("not known{why}: level? if not, stop and find out what holds it")
        }
        LoadKind::Unknown => {
            format!("not known{why}: find out what holds it before loosening anything")
        }
        LoadKind::RunsBack => format!("runs back{why}: {}", holder(case)),
        LoadKind::Overhauling => format!("overhauling{why}, it drives the motor: {}", holder(case)),
        LoadKind::Suspended => format!("suspended or people{why}: the responsible engineer signs"),
    }
}

/// What is recorded that holds the load.
fn holder(case: &Case<'_>) -> String {
    let mut held: Vec<String> = Vec::new();
    match case.fitted.bare_text(Field::back_stop).filter(|word| *word != "none") {
        Some(free @ ("cw" | "ccw")) => held.push(format!("a back-stop in the unit, free {free}")),
        Some(_) => held.push("a back-stop in the unit".into()),
        None => {}
    }
    if case.position.back_stop_elsewhere() == Some(true) {
        held.push("a back-stop elsewhere in the drive".into());
    }
    if case.position.brake() == Some(true) {
        held.push("the motor's brake".into());
    }
    if held.is_empty() {
        return "nothing that holds it is recorded".into();
    }
    format!("held by {}, as recorded", held.join(" and "))
}

/// The cautions that stand below every answer for a case.
#[must_use]
pub fn cautions_for(case: &Case<'_>) -> Vec<&'static str> {
    let zoned = case.position.zone().is_some_and(|zone| !is_no_zone(zone));
    cautions(zoned || case.load.kind == LoadKind::Suspended)
}

/// The cautions below an answer; `special` where people, lifting, zones or pressure may be met.
#[must_use]
pub fn cautions(special: bool) -> Vec<&'static str> {
    ALWAYS.iter().copied().chain(special.then_some(ENGINEER)).collect()
}
