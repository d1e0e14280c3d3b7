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

/// What stands before the name of a shelf line in the column of tags.
const SHELF: &str = "shelf:";

/// Puts them into the positions of their tags, or into the shelf lines they name.
pub(super) fn apply(plant: &mut Plant, measured: Vec<Record>, findings: &mut Vec<Finding>) {
    for row in measured {
        let tag = row.tag().unwrap_or_default().to_owned();
        if let Some(item) = tag.strip_prefix(SHELF) {
            findings.push(on_the_shelf(plant, &row, item));
            continue;
        }
        let key = tags::key(&tag);
        let mut found = false;
        for position in &mut plant.positions {
            if tags::key(position.tag().unwrap_or_default()) != key {
                continue;
            }
            found = true;
            put(&row, &mut position.record);
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

/// Sets what a row measured, its name apart.
fn put(row: &Record, record: &mut Record) {
    for entry in row.entries() {
        if !matches!(entry.field, Field::tag | Field::measured) {
            record.set(entry.field, entry.value.clone(), How::Measured, 0);
        }
    }
}

/// What was measured at a spare.
fn on_the_shelf(plant: &mut Plant, row: &Record, item: &str) -> Finding {
    let place = row.place(Field::tag);
    let mut lines = plant.shelf.iter_mut().filter(|line| line.is_called(item));
    match (lines.next(), lines.next()) {
        (Some(line), None) => {
            put(row, &mut line.record);
            let message = format!("what was measured at the spare `{item}` stands in for the list");
            Finding::new(&name::MEASURED, place, message)
        }
        (Some(_), Some(_)) => {
            let message = format!("the spare `{item}` was measured, but has several lines");
            Finding::new(&name::UNKNOWN_TAG, place, message)
                .hint(format!("name one of them, as `{item}#1`"))
        }
        (None, _) => {
            let message = format!("the spare `{item}` was measured, but is not on the shelf");
            Finding::new(&name::UNKNOWN_TAG, place, message)
        }
    }
}
