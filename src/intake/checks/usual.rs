//! Values that can be but hardly ever are: slips of a digit, swapped cells.

use super::cell;
use crate::findings::{Finding, name};
use crate::intake::values::is_motor_speed;
use crate::records::{Field, Record};
use crate::units::NM_PER_KW_RPM;

fn unusual(record: &Record, field: Field, message: String) -> Finding {
    Finding::new(&name::UNUSUAL, record.place(field), message)
}

/// The slow shaft is the thicker one.
pub(super) fn shafts(record: &Record) -> Option<Finding> {
    let (input, output, ratio) =
        (record.input_shaft_mm()?, record.output_shaft_mm()?, record.ratio()?);
    (ratio > 1.5 && input > 1.05 * output).then(|| {
        let message = format!(
            "input shaft {input} mm in {} is thicker than output shaft {output} mm in {} at ratio {ratio}",
            cell(record, Field::input_shaft_mm),
            cell(record, Field::output_shaft_mm)
        );
        unusual(record, Field::input_shaft_mm, message)
            .hint("the two may be swapped, or one has a digit too many (common practice, no source)")
    })
}

/// A shaft that the motor's torque hardly loads has a digit too many.
pub(super) fn thick_shaft(record: &Record) -> Option<Finding> {
    /// Oversized units stay above this torsional stress (N/mm²); common practice, no source.
    const LOWEST: f64 = 0.3;
    let (diameter, power) = (record.output_shaft_mm()?, record.motor_power_kw()?);
    let n2 = record
        .output_speed_rpm()
        .or_else(|| Some(record.motor_speed_rpm()? / record.ratio()?))
        .filter(|n| *n > 0.0)?;
    let stress =
        |d: f64| 16.0 * 1e3 * NM_PER_KW_RPM * power / n2 / (std::f64::consts::PI * d.powi(3));
    let other = super::working::slip(record).is_some();
    (stress(diameter) < LOWEST && !other).then(|| {
        let message = format!(
            "output shaft {diameter} mm in {} is very thick for {power:.2} kW in {} at {n2:.1} r/min",
            cell(record, Field::output_shaft_mm),
            cell(record, Field::motor_power_kw)
        );
        let finding = unusual(record, Field::output_shaft_mm, message);
        if (2.0..250.0).contains(&stress(diameter / 10.0)) {
            finding.hint(format!("a digit may be too many; {} mm would mend it", diameter / 10.0))
        } else {
            finding
        }
    })
}

/// Motors on a mains run between 400 and 4 000 r/min.
pub(super) fn motor_speed(record: &Record) -> Option<Finding> {
    let speed = record.motor_speed_rpm()?;
    (!(400.0..=4_000.0).contains(&speed)).then(|| {
        let message = format!(
            "motor speed {speed} r/min in {} is not one of a motor on a mains",
            cell(record, Field::motor_speed_rpm)
        );
        let finding = unusual(record, Field::motor_speed_rpm, message);
        match [0.1, 10.0].into_iter().find(|f| is_motor_speed(speed * f)) {
            Some(factor) => finding.hint(format!("{:.0} r/min would be usual", speed * factor)),
            None => finding,
        }
    })
}

/// A power that is a motor's speed stands in the wrong column.
pub(super) fn power_is_speed(record: &Record) -> Option<Finding> {
    let power = record.motor_power_kw()?;
    let slow = record.motor_speed_rpm().is_none_or(|n| n < 400.0);
    (power > 650.0 && slow && is_motor_speed(power)).then(|| {
        let message = format!(
            "motor power {power} kW in {} looks like a motor's speed",
            cell(record, Field::motor_power_kw)
        );
        unusual(record, Field::motor_power_kw, message).hint("power and speed may be swapped")
    })
}

/// Starts an hour that no motor stands, and hours a day of a drive that does not run.
pub(super) fn starts(record: &Record) -> Option<Finding> {
    /// Standard motors stand far fewer; common practice, no source.
    const MOST: f64 = 600.0;
    let starts = record.starts_per_hour().filter(|s| *s > MOST)?;
    let message = format!("{starts} starts an hour in {}", cell(record, Field::starts_per_hour));
    Some(unusual(record, Field::starts_per_hour, message).hint("is it starts a day or a year?"))
}

/// Rooms in which no reducer runs; degrees Fahrenheit look like them.
pub(super) fn ambient(record: &Record) -> Option<Finding> {
    /// Warmer places are told; common practice, no source.
    const WARMEST: f64 = 60.0;
    let ambient = record.ambient_c().filter(|t| *t > WARMEST)?;
    let message =
        format!("ambient {ambient:.0} °C in {} is unusually warm", cell(record, Field::ambient_c));
    Some(
        unusual(record, Field::ambient_c, message)
            .hint(format!("if it is in °F, it is {:.0} °C", (ambient - 32.0) / 1.8)),
    )
}

/// A voltage that no motor of this power has.
pub(super) fn voltage(record: &Record) -> Option<Finding> {
    /// Low-voltage motors end here, and smaller motors are not built for more (V, kW); common
    /// practice, no source.
    const HIGHEST: (f64, f64) = (1_000.0, 110.0);
    let (volts, power) = (record.motor_voltage_v()?, record.motor_power_kw()?);
    (volts > HIGHEST.0 && power < HIGHEST.1).then(|| {
        let message = format!(
            "{volts} V in {} is unusual for a motor of {power:.1} kW in {}",
            cell(record, Field::motor_voltage_v),
            cell(record, Field::motor_power_kw)
        );
        unusual(record, Field::motor_voltage_v, message)
    })
}

/// A shaft that its own hub could not take.
pub(super) fn hub(record: &Record) -> Option<Finding> {
    let (shaft, bore) = (record.output_shaft_mm()?, record.coupling_max_bore_mm()?);
    (shaft > bore + 0.1 && record.output_form() != Some("hollow")).then(|| {
        let message = format!(
            "output shaft {shaft} mm in {} is larger than the largest bore {bore} mm of its coupling in {}",
            cell(record, Field::output_shaft_mm),
            cell(record, Field::coupling_max_bore_mm)
        );
        unusual(record, Field::coupling_max_bore_mm, message)
            .hint("one of the two is wrong: the coupling is on that shaft today")
    })
}

/// A drive of no hours a day.
pub(super) fn no_hours(record: &Record) -> Option<Finding> {
    (record.hours_per_day()? == 0.0 && record.position_state().is_none()).then(|| {
        let message = format!("0 hours a day in {}", cell(record, Field::hours_per_day));
        unusual(record, Field::hours_per_day, message)
            .hint("leave it blank if it is not known, or enter `idle` in a column `Position state`")
    })
}

/// Stock of a unit that is no whole number, or beyond what a storeroom holds.
pub(super) fn stock(record: &Record) -> Option<Finding> {
    /// Nobody keeps more of one gear unit; common practice, no source.
    const MOST: f64 = 1_000.0;
    let quantity =
        record.quantity().filter(|_| record.tag().is_none() && record.knows(Field::ratio))?;
    let at = cell(record, Field::quantity);
    let message = if quantity > MOST {
        format!("{quantity} units of one reducer in {at}")
    } else if quantity.fract() != 0.0 {
        format!("{quantity} units in {at}: {:.0} count", quantity.floor())
    } else {
        return None;
    };
    Some(unusual(record, Field::quantity, message).hint("count them again"))
}

/// Lead times and amounts of money with digits too many.
pub(super) fn supply(record: &Record) -> Option<Finding> {
    /// Beyond these somebody has slipped (days, money of an hour, money of a unit); common practice, no source.
    const MOST: [(Field, f64, &str); 4] = [
        (Field::lead_time_days, 1_500.0, "is it in hours?"),
        (Field::down_cost_per_hour, 1e6, "is it the cost of a day or a year?"),
        (Field::price, 1e7, "count the digits"),
        (Field::unit_value, 1e7, "count the digits, or is it the value of the whole line?"),
    ];
    let (field, value, hint) = MOST.into_iter().find_map(|(field, most, hint)| {
        Some((field, record.number(field).filter(|v| *v > most)?, hint))
    })?;
    let message = format!("{} is {value} in {}", field.heading(), cell(record, field));
    Some(unusual(record, field, message).hint(hint))
}

/// An hour of standing still that costs nothing.
pub(super) fn free_hour(record: &Record) -> Option<Finding> {
    (record.down_cost_per_hour()? == 0.0).then(|| {
        let message =
            format!("an hour down costs 0 in {}", cell(record, Field::down_cost_per_hour));
        unusual(record, Field::down_cost_per_hour, message)
            .hint("no spare is worth holding for it; leave it blank if it is not known")
    })
}
