//! Units that stand today where they would not be accepted as a spare.

use super::candidate::Candidate;
use super::case::Case;
use super::gate::{Gate, GateOutcome};
use super::gates;
use crate::findings::{Finding, name};
use crate::policy::Policy;
use crate::records::{Field, Plant};

/// A finding for every position whose own unit fails or needs mending in holding, zone or top
/// speed: the position is wrong, not the unit.
#[must_use]
pub fn misplaced(plant: &Plant, policy: &Policy) -> Vec<Finding> {
    let mut out = Vec::new();
    for index in 0..plant.positions.len() {
        let case = Case::new(plant, policy, index);
        if case.is_suspended() {
            continue;
        }
        let own = Candidate::of_position(plant, index);
        for gate in [Gate::Holding, Gate::Zone, Gate::TopSpeed] {
            let result = gates::compare(gate, &case, &own, true, None);
            if matches!(result.outcome, GateOutcome::Fail | GateOutcome::Mend) {
                let message = format!("`{}` {}: {}", case.tag(), gate.word(), result.note);
                let place = case.position.place(Field::tag);
                out.push(Finding::new(&name::WRONG_FOR_PLACE, place, message));
            }
        }
    }
    out
}
