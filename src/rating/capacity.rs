//! What a unit can carry at an input speed.

use super::shaft::power_at;
use super::unit::Unit;
use crate::findings::Place;
use crate::findings::words;
use crate::records::{Field, How, Record};
use crate::standards::Family;
use crate::units::{Power, ShaftSpeed, Torque};

/// Full reversals leave about 70 % of the bending strength: the rating is divided by this.
///
/// # Source
/// ISO 6336-3, mean-stress factor 0.7 for full reversal; from memory.
const REVERSAL_DIVISOR: f64 = 1.43;

/// A rating's torque may be the motor's own if it is this near to it.
const NEAR_MOTOR: f64 = 0.10;

/// The same for worm units, whose efficiency nobody knows so well.
const NEAR_MOTOR_WORM: f64 = 0.22;

/// What a unit can carry, or why that is not known.
#[derive(Clone, Debug, PartialEq)]
pub struct Capacity {
    /// Rated torque at the output shaft, service factor 1.
    pub torque: Option<Torque>,
    /// How it was found, or why it is unknown.
    pub note: String,
    /// The cells it came from.
    pub places: Vec<Place>,
    /// Whether the plate's torque was taken to be the motor's.
    pub motor_limited: bool,
    /// Input power (kW) and efficiency it was worked out from, where the list gives power.
    pub from_power: Option<(f64, f64)>,
}

impl Capacity {
    /// An unknown rating, and why.
    #[must_use]
    pub fn unknown(note: impl Into<String>) -> Self {
        Self {
            torque: None,
            note: note.into(),
            places: Vec::new(),
            motor_limited: false,
            from_power: None,
        }
    }
}

struct Listed {
    speed: Option<f64>,
    /// Input power (kW) at that speed; carries the efficiency out and back.
    power: f64,
    place: Place,
    /// Whether the list gives torque, of which the power was worked out.
    torque: bool,
    /// Whether it was taken to be the motor's, times the factor beside it.
    motors: bool,
}

/// Rated torque of `unit` at `input_rpm`.
///
/// Between listed speeds the power is interpolated; below the lowest the torque is kept (below
/// 30 % of it lubrication is unknown); up to 10 % above the highest, and not above the top speed,
/// the power is kept; beyond that the rating is unknown.
#[must_use]
pub fn capacity_at(unit: &Unit<'_>, input_rpm: f64, reversing: bool, per_stage: f64) -> Capacity {
    let Some(ratio) = unit.number(Field::ratio) else {
        return Capacity::unknown("the ratio is not known");
    };
    if ratio.how == How::Disputed {
        return Capacity::unknown(words!("the ratio in {} is disputed", ratio.place));
    }
    let ratio = ratio.value;
    let efficiency = unit.efficiency(per_stage, Some(input_rpm)).value;
    let mut listed = Vec::new();
    let own_rating = unit.own.rated_power_kw().is_some() || unit.own.rated_torque_nm().is_some();
    let rows: Vec<&Record> = match unit.model {
        Some(model) if !own_rating || std::ptr::eq(unit.own, &raw const model.record) => {
            model.rows().collect()
        }
        _ => vec![unit.own],
    };
    for row in rows {
        match one_row(row, unit, ratio, efficiency, input_rpm) {
            Ok(Some(found)) => listed.push(found),
            Ok(None) => {}
            Err(unknown) => return unknown,
        }
    }
    listed.sort_by(|a, b| a.speed.unwrap_or(0.0).total_cmp(&b.speed.unwrap_or(0.0)));
    let top = unit.number(Field::max_input_speed_rpm).map(|k| k.value);
    match power_at_speed(&listed, input_rpm, top) {
        Err(note) => Capacity::unknown(note),
        Ok((power, mut note, used)) => {
            let Some(speed) = ShaftSpeed::rpm(input_rpm / ratio) else {
                return Capacity::unknown("the output speed is not known");
            };
            let mut torque =
                super::shaft::output_torque(Power::kilowatts(power), efficiency, speed);
            let motor_limited = listed.iter().any(|l| l.motors);
            if motor_limited {
                note.push_str("; the plate's torque is the motor's own, times the plate's factor");
            }
            if reversing {
                torque = Torque::newton_metres(torque.value() / REVERSAL_DIVISOR);
                note.push_str("; divided by 1.43 for reversals");
            }
            let torque = Some(torque).filter(|t| t.value().is_finite());
            let from_power = used_from_power(&listed, &used).then_some((power, efficiency));
            let places = used.into_iter().map(|at| listed[at].place.clone()).collect();
            Capacity { torque, note, places, motor_limited, from_power }
        }
    }
}

/// One listed rating as input power; an error where the plate shows only the motor.
fn one_row(
    row: &Record,
    unit: &Unit<'_>,
    ratio: f64,
    efficiency: f64,
    input_rpm: f64,
) -> Result<Option<Listed>, Capacity> {
    let speed = row.rated_input_speed_rpm();
    let at = speed.unwrap_or(input_rpm);
    let factor = row.listed_service_factor();
    let basis = row.rating_basis();
    let field = if row.rated_torque_nm().is_some() {
        Field::rated_torque_nm
    } else {
        Field::rated_power_kw
    };
    if row.entry(field).is_some_and(|e| e.how == How::Disputed) {
        let place = row.place(field);
        return Err(Capacity::unknown(words!("the rating in {place} is disputed")));
    }
    let power = match (row.rated_torque_nm(), row.rated_power_kw()) {
        (Some(torque), _) => {
            let at_output = ShaftSpeed::rpm(at / ratio)
                .ok_or_else(|| Capacity::unknown("the listed speed is not above zero"))?;
            let power = power_at(Torque::newton_metres(torque), at_output).over(1e3) / efficiency;
            let motors = basis.is_none() && looks_like_the_motors(row, unit, power);
            if let Some(factor) = factor.filter(|_| motors) {
                // The plate's torque is the motor's, and its factor says how much more the gears carry.
                return Ok(Some(Listed {
                    speed,
                    power: power * factor,
                    place: row.place(field),
                    torque: true,
                    motors: true,
                }));
            }
            if motors {
                return Err(Capacity {
                    motor_limited: true,
                    places: vec![row.place(field)],
                    ..Capacity::unknown(
                        "the torque on the plate is so near to the motor's own that it was taken for that; what the gears carry is unknown",
                    )
                });
            }
            power
        }
        (None, Some(power)) => power,
        (None, None) => return Ok(None),
    };
    let power = match (basis, factor) {
        (Some("motor-limited"), None) => {
            return Err(Capacity {
                motor_limited: true,
                places: vec![row.place(field)],
                ..Capacity::unknown(
                    "the rating is limited by the motor and no service factor is listed",
                )
            });
        }
        (Some("motor-limited" | "listed"), Some(factor)) => power * factor,
        _ => power,
    };
    let torque = field == Field::rated_torque_nm;
    Ok(Some(Listed { speed, power, place: row.place(field), torque, motors: false }))
}

/// Whether the listed ratings that were used are powers.
fn used_from_power(listed: &[Listed], used: &[usize]) -> bool {
    used.iter().all(|at| !listed[*at].torque)
}

/// A plate beside its own motor, whose torque is within 10 % of that motor's.
fn looks_like_the_motors(row: &Record, unit: &Unit<'_>, power: f64) -> bool {
    let plate = std::ptr::eq(row, unit.own) && unit.model.is_none();
    let near = match unit.family() {
        Family::Worm => NEAR_MOTOR_WORM,
        Family::Helical => NEAR_MOTOR,
    };
    plate && row.motor_power_kw().is_some_and(|motor| (power / motor - 1.0).abs() <= near)
}

type PowerFound = (f64, String, Vec<usize>);

fn power_at_speed(listed: &[Listed], n: f64, top: Option<f64>) -> Result<PowerFound, String> {
    let Some(last) = listed.len().checked_sub(1) else {
        return Err("no rating is known".into());
    };
    let Some(lowest) = listed[0].speed else {
        return Ok((listed[0].power, "rating without a speed, taken at this one".into(), vec![0]));
    };
    let highest = listed[last].speed.unwrap_or(lowest);
    if n < lowest {
        if n < 0.3 * lowest {
            return Err(words!(
                "{n:.0} r/min is below 30 % of the lowest listed speed; lubrication is unknown"
            ));
        }
        let note = words!("torque kept below the lowest listed speed of {lowest:.0} r/min");
        return Ok((listed[0].power * n / lowest, note, vec![0]));
    }
    if n > highest {
        if let Some(top) = top.filter(|top| n > *top) {
            return Err(words!("{n:.0} r/min is above the unit's top speed of {top:.0} r/min"));
        }
        if n > 1.10 * highest {
            return Err(words!(
                "{n:.0} r/min is above the highest listed speed of {highest:.0} r/min by more than 10 %"
            ));
        }
        let note = words!("power kept above the highest listed speed of {highest:.0} r/min");
        return Ok((listed[last].power, note, vec![last]));
    }
    let above = listed.iter().position(|l| l.speed.unwrap_or(0.0) >= n).unwrap_or(last);
    let (b, b_speed) = (&listed[above], listed[above].speed.unwrap_or(n));
    if above == 0 || (b_speed - n).abs() < 1e-9 {
        return Ok((b.power, words!("listed at {b_speed:.0} r/min"), vec![above]));
    }
    let (a, a_speed) = (&listed[above - 1], listed[above - 1].speed.unwrap_or(n));
    let share = (n - a_speed) / (b_speed - a_speed);
    let power = a.power + share * (b.power - a.power);
    Ok((power, words!("power between {a_speed:.0} and {b_speed:.0} r/min"), vec![above - 1, above]))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn listed(rows: &[(f64, f64)]) -> Vec<Listed> {
        rows.iter()
            .map(|&(speed, power)| Listed {
                speed: Some(speed),
                power,
                torque: false,
                place: Place::default(),
                motors: false,
            })
            .collect()
    }

    #[test]
    fn power_is_read_between_speeds_and_torque_kept_below() {
        let rows = listed(&[(750.0, 6.0), (1450.0, 10.0)]);
        let at = |n: f64| power_at_speed(&rows, n, Some(3000.0)).map(|f| f.0);
        // Half way between 750 and 1450: half way between 6 and 10 kW.
        assert!((at(1100.0).expect("between") - 8.0).abs() < 1e-12);
        // At 375 r/min the torque of 750 r/min: half the power.
        assert!((at(375.0).expect("below") - 3.0).abs() < 1e-12);
        assert!((at(1475.0).expect("a little above") - 10.0).abs() < 1e-12);
        assert!(at(1600.0).is_err() && at(200.0).is_err());
        assert!(power_at_speed(&rows, 1475.0, Some(1460.0)).is_err());
    }
}
