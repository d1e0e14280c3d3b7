//! Condition: a unit on the shelf is not a unit that runs.

use crate::findings::words;

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::fit::candidate::From;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::policy::Policy;
use crate::records::{Field, Plant};

/// Days of a month, on average.
const DAYS_A_MONTH: f64 = 30.44;

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    match candidate.from {
        From::Catalogue(_) => GateResult::new(Gate::Condition, GateOutcome::Pass, "new").sides(
            Side::Text("new".into()),
            Side::Text("ready".into()),
            "",
        ),
        From::Shelf(line)
            if candidate.rebuilt && case.plant.shelf[line].condition() != Some("scrap") =>
        {
            GateResult::new(Gate::Condition, GateOutcome::Pass, "once rebuilt").sides(
                Side::Text("rebuilt".into()),
                Side::Text("ready".into()),
                "",
            )
        }
        From::Position(_) => mend(case, "taken off another machine"),
        From::Shelf(line) => shelf(case, line),
    }
}

fn mend(case: &Case<'_>, note: &str) -> GateResult {
    let text = "inspect before stripping the old unit: turn by hand, end float, backlash, cover off or borescope, seals";
    GateResult::new(Gate::Condition, GateOutcome::Mend, note)
        .sides(Side::Text("unproven".into()), Side::Text("ready".into()), "")
        .work(Work::new(WorkKind::Inspection, case.policy, text))
}

fn shelf(case: &Case<'_>, line: usize) -> GateResult {
    let shelf = &case.plant.shelf[line];
    let place = shelf.place(Field::condition);
    match shelf.condition() {
        Some("as-removed") => {
            GateResult::new(Gate::Condition, GateOutcome::Fail, "as removed: rebuild first")
                .sides(Side::Text("as-removed".into()), Side::Text("ready".into()), "")
                .cells([place])
        }
        Some("scrap") => GateResult::new(Gate::Condition, GateOutcome::Fail, "scrap: no spare")
            .sides(Side::Text("scrap".into()), Side::Text("ready".into()), "")
            .cells([place]),
        Some("ready") => match too_old(case, line) {
            Some(months) => mend(
                case,
                &if months < 0.0 {
                    "its inspection is dated after the stock date, so unproven".to_owned()
                } else {
                    words!("inspected {months:.0} months before the stock date, so unproven")
                },
            )
            .cells([place]),
            None => GateResult::new(Gate::Condition, GateOutcome::Pass, "ready")
                .sides(Side::Text("ready".into()), Side::Text("ready".into()), "")
                .cells([place]),
        },
        Some(_) => mend(case, "unproven").cells([place]),
        None => mend(case, "the condition is blank, so unproven").cells([place]),
    }
}

/// What a unit on the shelf counts as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// New or rebuilt, and inspected within the policy's interval.
    Ready,
    /// Nobody has looked, or too long ago.
    Unproven,
    /// Put aside as it came out: to be rebuilt first.
    AsRemoved,
    /// Of no use any more.
    Scrap,
}

/// What the units of a shelf line count as, by its condition and the age of its inspection.
#[must_use]
pub fn standing(plant: &Plant, policy: &Policy, line: usize) -> Standing {
    match plant.shelf[line].condition() {
        Some("as-removed") => Standing::AsRemoved,
        Some("scrap") => Standing::Scrap,
        Some("ready") if months_too_old(plant, policy, line).is_none() => Standing::Ready,
        _ => Standing::Unproven,
    }
}

/// Whether a shelf line counts as ready.
pub(super) fn is_ready(case: &Case<'_>, line: usize) -> bool {
    standing(case.plant, case.policy, line) == Standing::Ready
}

fn too_old(case: &Case<'_>, line: usize) -> Option<f64> {
    months_too_old(case.plant, case.policy, line)
}

/// Months since the inspection, if more than the policy allows, or negative where it is dated after the stock date.
#[must_use]
pub fn months_too_old(plant: &Plant, policy: &Policy, line: usize) -> Option<f64> {
    let shelf = &plant.shelf[line];
    let inspected = shelf.last_inspected()?;
    let today = shelf.stock_date().or_else(|| plant.newest_event())?;
    let months = f64::from((today - inspected).get_days()) / DAYS_A_MONTH;
    // An inspection after the stock date cannot have been.
    (months > policy.inspection_months || months < -1.0).then_some(months)
}
