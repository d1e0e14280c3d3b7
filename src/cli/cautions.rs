//! What stands first on a planner's screen: what holds the load.

use crate::fit::{CLAMP, Case, cautions};
use crate::gearing::{LoadKind, level_unknown};

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
pub(super) fn general(case: &Case<'_>) -> Vec<&'static str> {
    cautions(case.position.zone().is_some() || case.load.kind == LoadKind::Suspended)
}
