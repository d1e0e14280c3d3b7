//! Rows of what a planner measured: they say more than the list, and are no second unit.

use super::tags;
use crate::findings::{Finding, name};
use crate::records::{Field, How, Plant, Record};

/// Takes the measured rows out of the fleet's.
pub(super) fn take(fleet: &mut Vec<Record>) -> Vec<Record> {
    let (measured, listed) =
        std::mem::take(fleet).into_iter().partition(|r: &Record| r.measured() == Some(true));
    *fleet = listed;
    measured
}

/// Puts them into the positions of their tags.
pub(super) fn apply(plant: &mut Plant, measured: Vec<Record>, findings: &mut Vec<Finding>) {
    for row in measured {
        let tag = row.tag().unwrap_or_default().to_owned();
        let key = tags::key(&tag);
        let mut found = false;
        for position in &mut plant.positions {
            if tags::key(position.tag().unwrap_or_default()) != key {
                continue;
            }
            found = true;
            for entry in row.entries() {
                if !matches!(entry.field, Field::tag | Field::measured) {
                    position.record.set(entry.field, entry.value.clone(), How::Measured, 0);
                }
            }
        }
        let place = row.place(Field::tag);
        findings.push(if found {
            let message = format!("what was measured at `{tag}` stands in for the list");
            Finding::new(&name::MEASURED, place, message)
        } else {
            let message = format!("`{tag}` was measured, but is not in the fleet");
            Finding::new(&name::UNKNOWN_TAG, place, message)
        });
    }
}
