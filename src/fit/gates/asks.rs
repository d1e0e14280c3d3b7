//! What to ask for where a torque is not known: the one thing that is missing, in the words in which other gates ask for it.

use super::{Case, Gate, GateOutcome, GateResult};
use crate::records::Field;

/// The ratio, or what it can be worked out from.
pub(super) const RATIO: &str = "the ratio on the plate, or the output speed by counting turns";

/// No torque: the power is not known, or the speeds are not.
pub(super) fn torque_unknown(gate: Gate, case: &Case<'_>, power_known: bool) -> GateResult {
    let speed_known = case.duty.motor_rpm.is_some();
    let (note, field, text) = match (power_known, speed_known) {
        (false, true) => (
            "the motor's power is not known",
            Field::motor_power_kw,
            "the motor's power, from its plate",
        ),
        (false, false) => (
            "the motor's power and speed are not known",
            Field::motor_power_kw,
            "the motor's power and speed, from its plate",
        ),
        (true, false) if case.duty.output_rpm.is_none() => (
            "the motor's speed is not known",
            Field::motor_speed_rpm,
            "the motor's speed, from its plate",
        ),
        (true, _) if case.fitted.ratio().is_none() => {
            ("the output speed is not known, so the torque is not", Field::ratio, RATIO)
        }
        (true, _) => (
            "the output speed is not known, so the torque is not",
            Field::output_speed_rpm,
            "the output speed, by counting turns",
        ),
    };
    GateResult::new(gate, GateOutcome::Unknown, note).measure(
        field,
        case.position.place(field),
        text,
    )
}
