//! The motor's frame held against the flange and bore that it hangs on.

use super::cell;
use crate::findings::{Finding, name};
use crate::records::{Field, Record};
use crate::standards::{Frame, Mating, find_frame, read_mating, same_size};

fn hangs(record: &Record) -> Option<(Frame, &str)> {
    let named = record.motor_frame()?;
    Some((find_frame(named)?, named))
}

/// The C-face of the motor is not that of the unit's input.
pub(super) fn c_face(record: &Record) -> Option<Finding> {
    let (named, text) = (record.motor_frame()?, record.input_flange()?);
    let (motor, input) = (read_mating(named)?, read_mating(text)?);
    let faces = matches!((motor, input), (Mating::CFace(..), Mating::CFace(..)));
    (faces && motor != input).then(|| {
        let message = format!(
            "motor frame {named} in {} does not bolt to the input's {text} in {}",
            cell(record, Field::motor_frame),
            cell(record, Field::input_flange)
        );
        Finding::new(&name::UNUSUAL, record.place(Field::input_flange), message)
            .hint("one of the two is wrong, or an adapter sits between them: look at the plate")
    })
}

/// The flange of the frame is not the flange of the unit's input.
pub(super) fn flange(record: &Record) -> Option<Finding> {
    let (frame, named) = hangs(record)?;
    let text = record.input_flange()?;
    let (has, wants) = (read_mating(text)?, read_mating(&frame.flange)?);
    (matches!(has, Mating::Through(_)) && has != wants).then(|| {
        let message = format!(
            "motor frame {named} in {} has the flange {}, but the input flange in {} is {text}",
            cell(record, Field::motor_frame),
            frame.flange,
            cell(record, Field::input_flange)
        );
        Finding::new(&name::UNUSUAL, record.place(Field::input_flange), message)
            .hint("one of the two is wrong, or an adapter sits between them: look at the plate")
    })
}

/// The shaft of the frame does not go into the unit's input, where the motor hangs on it.
pub(super) fn bore(record: &Record) -> Option<Finding> {
    let (frame, named) = hangs(record)?;
    record.input_flange()?;
    let bore = record.input_shaft_mm()?;
    (!same_size(bore, frame.shaft_mm)).then(|| {
        let message = format!(
            "motor frame {named} in {} has a shaft of {} mm, but the input in {} takes {bore} mm",
            cell(record, Field::motor_frame),
            frame.shaft_mm,
            cell(record, Field::input_shaft_mm)
        );
        Finding::new(&name::UNUSUAL, record.place(Field::input_shaft_mm), message)
            .hint("a two-pole motor of frame 225 or above has another shaft; else one is wrong")
    })
}
