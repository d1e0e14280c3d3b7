//! The way a drive turns held against what would stop it.

use super::cell;
use crate::findings::{Finding, name};
use crate::records::{Field, Record};

/// A back-stop that is free the way the drive does not turn would lock it.
pub(super) fn back_stop(record: &Record) -> Option<Finding> {
    let (free, turns) = (record.back_stop()?, record.rotation()?);
    matches!((free, turns), ("cw", "ccw") | ("ccw", "cw")).then(|| {
        let message = format!(
            "the back-stop in {} is free {free}, but the output turns {turns} in {}: it would lock the drive",
            cell(record, Field::back_stop),
            cell(record, Field::rotation)
        );
        Finding::new(&name::CONTRADICTION, record.place(Field::back_stop), message)
            .hint("see on the machine which way it turns, looking at the same shaft end for both")
    })
}

/// A drive that reverses cannot have a back-stop.
pub(super) fn reversing(record: &Record) -> Option<Finding> {
    let free = record.back_stop().filter(|word| *word != "none")?;
    record.reversing().filter(|reverses| *reverses)?;
    let message = format!(
        "the drive reverses in {} and has a back-stop ({free}) in {}: it can have only one of them",
        cell(record, Field::reversing),
        cell(record, Field::back_stop)
    );
    Some(
        Finding::new(&name::CONTRADICTION, record.place(Field::back_stop), message)
            .hint("correct the one that is wrong before a spare is chosen by it"),
    )
}

/// A load that hangs, and no brake.
pub(super) fn nothing_holds(record: &Record) -> Option<Finding> {
    let hangs = record.holds_load() == Some("suspended") || record.carries_people() == Some(true);
    (hangs && record.brake() == Some(false)).then(|| {
        let message = format!(
            "a load hangs or people are carried, and {} says that there is no brake",
            cell(record, Field::brake)
        );
        Finding::new(&name::UNUSUAL, record.place(Field::brake), message).hint(
            "find out what holds it before anybody works there; a gear's reluctance is no brake",
        )
    })
}

/// People are carried, and nothing is said to hang.
pub(super) fn people(record: &Record) -> Option<Finding> {
    (record.carries_people() == Some(true) && record.holds_load() == Some("none")).then(|| {
        let message = format!(
            "{} says that people are carried, and {} that nothing has to be held",
            cell(record, Field::carries_people),
            cell(record, Field::holds_load)
        );
        Finding::new(&name::CONTRADICTION, record.place(Field::holds_load), message)
            .hint("people count, whatever the other cell says")
    })
}
