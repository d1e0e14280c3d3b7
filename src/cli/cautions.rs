//! Cautions, in the order a crew needs them.

use crate::fit::Case;
use crate::gearing::{LoadKind, level_unknown};

/// The line that stands first wherever the load could move.
pub(super) const CLAMP: &str = "CLAMP THE BELT, CHAIN OR LOAD BEFORE LOOSENING ANYTHING: this unit, its brake or \
    its back-stop may be what holds it; release take-up and counterweight under control.";

/// The first line for a case, if one is due.
pub(super) fn first_line(case: &Case<'_>) -> Option<&'static str> {
    (case.load.kind != LoadKind::None).then_some(CLAMP)
}

/// What holds the load, in one line.
pub(super) fn load_line(case: &Case<'_>) -> String {
    let why = case.load.why.as_deref().map_or_else(String::new, |why| format!(" ({why})"));
    match case.load.kind {
        LoadKind::None => format!("none{why}: nothing to hold"),
        LoadKind::Unknown if level_unknown(case.position) => {
            format!("not known{why}: level? if not, stop and find out what holds it")
        }
        LoadKind::Unknown => {
            format!("not known{why}: find out what holds it before loosening anything")
        }
        LoadKind::RunsBack => format!("runs back{why}"),
        LoadKind::Overhauling => format!("overhauling{why}: it drives the motor"),
        LoadKind::Suspended => format!("suspended or people{why}: the responsible engineer signs"),
    }
}

/// The cautions that stand below every answer.
pub(super) fn general(case: &Case<'_>) -> Vec<String> {
    let mut out = vec![
        "Isolate and lock out all energy, stored and gravity loads included.".to_owned(),
        "See and touch the spare and read its plate before the old unit is stripped.".to_owned(),
        "A gear's reluctance to run back is never a brake.".to_owned(),
        "Verify dimensions and rotation on the machine before anything is cut.".to_owned(),
        "Oil types must not be mixed: fill, grade and level for this position, breather open, preservative out.".to_owned(),
        "This compares data and approves no machine; local codes, the maker and licensed practice decide.".to_owned(),
    ];
    if case.position.zone().is_some() || case.load.kind == LoadKind::Suspended {
        out.push(
            "People-carrying, lifting, explosive atmospheres and pressure are for the responsible engineer under local codes."
                .to_owned(),
        );
    }
    out
}
