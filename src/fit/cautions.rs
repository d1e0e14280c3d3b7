//! Cautions, in the order a crew needs them; one list for screens, sheets and workbook.

/// The line that stands first wherever the load could move.
pub const CLAMP: &str = "CLAMP THE BELT, CHAIN OR LOAD BEFORE LOOSENING ANYTHING: this unit, its brake or \
    its back-stop may be what holds it; release take-up and counterweight under control.";

/// What applies to every change of a unit.
const ALWAYS: &[&str] = &[
    "Isolate and lock out all energy, stored and gravity loads included.",
    "See and touch the spare and read its plate before the old unit is stripped.",
    "A gear's reluctance to run back is never a brake.",
    "Verify dimensions and rotation on the machine before anything is cut.",
    "Oil types must not be mixed: fill, grade and level for this position, breather open, preservative out.",
    "This compares data and approves no machine; local codes, the maker and licensed practice decide.",
];

const ENGINEER: &str = "People-carrying, lifting, explosive atmospheres and pressure are for the responsible \
    engineer under local codes.";

/// The cautions below an answer; `special` where people, lifting, zones or pressure may be met.
#[must_use]
pub fn cautions(special: bool) -> Vec<&'static str> {
    ALWAYS.iter().copied().chain(special.then_some(ENGINEER)).collect()
}
