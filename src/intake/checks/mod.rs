//! Cross-checks of one row: values that contradict each other, and values nobody would expect.

use crate::findings::{Finding, name};
use crate::gearing::teeth_ratio;
use crate::records::{Field, Record, Value, k_of_n};
use crate::standards::nearest_motor_power_kw;

pub(super) mod listed;
mod motor_end;
pub(super) mod siblings;
mod train;
mod turning;
pub(super) mod twice;
pub(super) mod unknown;
mod usual;
mod working;

/// Share by which values from plates may differ.
const PLATE_TOLERANCE: f64 = 0.05;

pub(super) use train::Seen;

/// Runs every check on a row.
pub(super) fn check(record: &Record, seen: &mut Seen) -> Vec<Finding> {
    [
        ratio_against_teeth,
        ratio_against_speeds,
        motor_size,
        working::torque,
        working::motor_speed,
        working::shaft,
        working::listed_factor,
        usual::shafts,
        usual::thick_shaft,
        usual::motor_speed,
        usual::power_is_speed,
        usual::starts,
        usual::no_hours,
        usual::hub,
        usual::ambient,
        usual::voltage,
        usual::stock,
        usual::supply,
        usual::free_hour,
        turning::back_stop,
        turning::reversing,
        turning::nothing_holds,
        turning::people,
        motor_end::c_face,
        motor_end::flange,
        motor_end::bore,
        absorbed_above_motor,
        redundancy_unread,
    ]
    .iter()
    .filter_map(|check| check(record))
    .chain(train::check(record, seen))
    .collect()
}

fn cell(record: &Record, field: Field) -> String {
    record.place(field).address().unwrap_or_default()
}

fn ratio_against_teeth(record: &Record) -> Option<Finding> {
    let (ratio, teeth) = (record.ratio()?, record.tooth_counts()?);
    let from_teeth = teeth_ratio(teeth)?;
    let off = ratio / from_teeth - 1.0;
    (off.abs() > PLATE_TOLERANCE).then(|| {
        let message = format!(
            "ratio {ratio} in {} and tooth counts {teeth} in {} give {from_teeth:.2}: they disagree by {:.0} %",
            cell(record, Field::ratio),
            cell(record, Field::tooth_counts),
            100.0 * off
        );
        Finding::new(&name::CONTRADICTION, record.place(Field::ratio), message)
            .hint(format!("if the tooth counts are right, the ratio is {from_teeth:.2}"))
    })
}

fn ratio_against_speeds(record: &Record) -> Option<Finding> {
    let (ratio, n1, n2) = (record.ratio()?, record.motor_speed_rpm()?, record.output_speed_rpm()?);
    let belted =
        matches!(record.input_connection(), Some("v-belt" | "flat-belt" | "timing-belt" | "chain"));
    let expected = n1 / ratio;
    let off = n2 / expected - 1.0;
    (!belted && off.abs() > PLATE_TOLERANCE).then(|| {
        let message = format!(
            "motor speed {n1} in {}, ratio {ratio} in {} and output speed {n2} in {} do not belong together",
            cell(record, Field::motor_speed_rpm),
            cell(record, Field::ratio),
            cell(record, Field::output_speed_rpm),
        );
        let finding =
            Finding::new(&name::CONTRADICTION, record.place(Field::output_speed_rpm), message);
        if (n2 / ratio / n1 - 1.0).abs() < PLATE_TOLERANCE && super::values::is_motor_speed(n2) {
            return finding.hint("the two speeds stand in each other's cells");
        }
        let by_poles = working::motor_speed(record).is_some();
        let is_none = !super::values::is_motor_speed(n1);
        let n1_by_rest = n2 * ratio;
        if (by_poles || is_none) && super::values::is_motor_speed(n1_by_rest) {
            let why = if by_poles { "which its poles contradict too" } else { "which no motor has" };
            return finding.hint(format!(
                "likeliest culprit: the motor speed, {why}; {n1_by_rest:.0} r/min would mend it"
            ));
        }
        finding.hint(format!(
            "an output speed of {expected:.1} or a ratio of {:.2} would mend it, or a belt before the unit",
            n1 / n2
        ))
    })
}

fn motor_size(record: &Record) -> Option<Finding> {
    let power = record.motor_power_kw()?;
    let (nearest, off) = nearest_motor_power_kw(power);
    (off > 0.03).then(|| {
        let message = format!(
            "motor power {} kW is no standard size; the nearest is {} kW",
            (power * 100.0).round() / 100.0,
            (nearest * 100.0).round() / 100.0
        );
        Finding::new(&name::UNUSUAL, record.place(Field::motor_power_kw), message)
    })
}

fn absorbed_above_motor(record: &Record) -> Option<Finding> {
    let (absorbed, motor) = (record.absorbed_power_kw()?, record.motor_power_kw()?);
    (absorbed > 1.15 * motor).then(|| {
        let message = format!(
            "absorbed power {absorbed:.1} kW in {} is more than the motor's {motor:.1} kW in {}",
            cell(record, Field::absorbed_power_kw),
            cell(record, Field::motor_power_kw)
        );
        Finding::new(&name::UNUSUAL, record.place(Field::absorbed_power_kw), message)
    })
}

fn redundancy_unread(record: &Record) -> Option<Finding> {
    let text = record.redundancy()?;
    k_of_n(text).is_none().then(|| {
        let message = format!("redundancy `{text}` cannot be read and counts as none");
        Finding::new(&name::UNUSUAL, record.place(Field::redundancy), message)
            .hint("write it as `2 of 3 @ group`")
    })
}

/// The ratio that tooth counts give, where no ratio is entered.
pub(super) fn ratio_from_teeth(record: &mut Record) {
    if record.knows(Field::ratio) {
        return;
    }
    let found = record.tooth_counts().and_then(teeth_ratio);
    if let Some(ratio) = found {
        let col = record.entry(Field::tooth_counts).map_or(0, |e| e.col);
        record.set(Field::ratio, Value::Number(ratio), crate::records::How::Read, col);
    }
}
