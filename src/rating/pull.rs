//! Radial and axial loads on both shafts against what the unit allows there.

use super::duty::Duty;
use super::overhung::{allowed_at, connection_of, overhung_divisor, overhung_load};
use super::shaft::shaft_torque;
use super::unit::Unit;
use crate::findings::Place;
use crate::findings::words;
use crate::policy::{ConnectionTable, Policy};
use crate::records::{Field, Record};
use crate::standards::connection_factor;
use crate::units::{Force, Length, Power, ShaftSpeed, Torque};

/// A load on a shaft and what is allowed.
#[derive(Clone, Debug, PartialEq)]
pub struct Pull {
    /// The load.
    pub load: Force,
    /// What the unit allows at the load's place, for the load class; `None` if not known.
    pub allowed: Option<Force>,
    /// Load connection factor K.
    pub connection: f64,
    /// Torque that pulls.
    pub torque: Torque,
    /// Pitch diameter, where a wheel is on the shaft.
    pub pitch: Option<Length>,
    /// How the allowed load was found.
    pub note: String,
    /// The cell of the rating.
    pub place: Option<Place>,
}

impl Pull {
    /// Whether it is known to pull more than is allowed.
    #[must_use]
    pub fn is_too_much(&self) -> bool {
        self.allowed.is_some_and(|allowed| self.load.value() > allowed.value() + 0.5)
    }
}

/// The fields of one shaft.
struct End {
    diameter: Field,
    distance: Field,
    rating: Field,
    length: Field,
}

const OUTPUT: End = End {
    diameter: Field::output_pitch_diameter_mm,
    distance: Field::output_load_distance_mm,
    rating: Field::overhung_output_n,
    length: Field::output_shaft_length_mm,
};

const INPUT: End = End {
    diameter: Field::input_pitch_diameter_mm,
    distance: Field::input_load_distance_mm,
    rating: Field::overhung_input_n,
    length: Field::input_shaft_length_mm,
};

/// Radial load at the output; none behind a coupling, `None` where it cannot be worked out.
#[must_use]
pub fn pull_at_output(
    position: &Record,
    unit: &Unit<'_>,
    duty: &Duty,
    policy: &Policy,
) -> Option<Pull> {
    let connection = connection_of(position, policy)?;
    pull(position, unit, duty, connection, duty.demand_torque(), &OUTPUT)
}

/// Radial load at the input from the motor's torque; none behind a coupling or a flanged motor.
#[must_use]
pub fn pull_at_input(
    position: &Record,
    unit: &Unit<'_>,
    duty: &Duty,
    policy: &Policy,
) -> Option<Pull> {
    let stricter = policy.connection_factors == ConnectionTable::Stricter;
    let connection = connection_factor(position.input_connection()?, stricter)?;
    let speed = duty.input_rpm.and_then(ShaftSpeed::rpm);
    let torque = duty.motor_kw.zip(speed).map(|(kw, n)| shaft_torque(Power::kilowatts(kw), n));
    pull(position, unit, duty, connection, torque, &INPUT)
}

fn pull(
    position: &Record,
    unit: &Unit<'_>,
    duty: &Duty,
    connection: f64,
    torque: Option<Torque>,
    end: &End,
) -> Option<Pull> {
    let pitch = position.number(end.diameter).map(Length::millimetres);
    let load = if connection == 0.0 {
        Force::newtons(0.0)
    } else {
        overhung_load(torque?, pitch.filter(|d| d.value() > 0.0)?, connection, 1.0)
    };
    let listed = unit.number(end.rating);
    let divisor = overhung_divisor(duty.class);
    let (share, said) = share_at(position, unit, end);
    let allowed = listed.as_ref().map(|k| Force::newtons(k.value * share / divisor));
    let note = words!("rating divided by {divisor} for the load class, {said}");
    let torque = torque.unwrap_or(Torque::newton_metres(0.0));
    Some(Pull { load, allowed, connection, torque, pitch, note, place: listed.map(|k| k.place) })
}

/// The share of the listed load that is allowed where the wheel sits, and why.
fn share_at(position: &Record, unit: &Unit<'_>, end: &End) -> (f64, String) {
    let Some(at) = position.number(end.distance) else {
        return (1.0, "taken at mid-shaft, as no distance is given".into());
    };
    let Some(length) = unit.bare_number(end.length).filter(|l| *l > 0.0) else {
        return (1.0, "taken at mid-shaft, as the shaft's length is not known".into());
    };
    let middle = length / 2.0;
    let share =
        allowed_at(Force::newtons(1.0), middle, at, unit.bare_number(Field::bearing_span_mm));
    let said = if at <= middle {
        words!("inside mid-shaft at {at} mm: the listed load")
    } else {
        words!(
            "moved out from {middle} to {at} mm: {:.0} % of the listed load",
            100.0 * share.value()
        )
    };
    (share.value(), said)
}

/// Axial load on the output shaft as the plant states it, and what is allowed.
#[must_use]
pub fn push_at_output(position: &Record, unit: &Unit<'_>) -> Option<(Force, Option<Force>)> {
    let load = Force::newtons(position.axial_load_n()?);
    Some((load, unit.bare_number(Field::axial_output_n).map(Force::newtons)))
}
