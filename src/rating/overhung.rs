//! Overhung load from belts, chains and pinions.

use super::duty::Duty;
use crate::policy::{ConnectionTable, Policy};
use crate::records::Record;
use crate::standards::{LoadClass, connection_factor};
use crate::units::{Force, Length, Torque};

/// Radial load on a shaft end from the element on it.
///
/// ```text
/// F = 2·T·K·L / D
/// ```
///
/// | symbol | meaning                                        | unit |
/// |--------|------------------------------------------------|------|
/// | F      | radial load                                    | N    |
/// | T      | transmitted torque                             | N·m  |
/// | D      | pitch diameter                                 | m    |
/// | K      | load connection factor, see `tables connections` | -  |
/// | L      | load location factor, 1 at the reference point | -    |
///
/// # Source
///
/// AGMA 6010 / 6034 practice; the same form stands on belt and chain makers' pages.
///
/// # Examples
///
/// By hand: 2 × 724.434 N·m × 1.25 / 0.2 m = 9055.4 N (5.5 kW at 72.5 r/min on a pinion).
///
/// ```
/// use sparemesh::{rating::overhung_load, units::{Length, Torque}};
/// let load = overhung_load(Torque::newton_metres(724.434), Length::millimetres(200.0), 1.25, 1.0);
/// assert!((load.value() - 9055.4).abs() < 0.1);
/// ```
#[must_use]
pub fn overhung_load(
    torque: Torque,
    pitch_diameter: Length,
    connection: f64,
    location: f64,
) -> Force {
    Force::newtons(2.0 * torque.value() * connection * location / (pitch_diameter.value() / 1e3))
}

/// K of what is on the position's output shaft, by the policy's table; `None` if it is not known.
#[must_use]
pub fn connection_of(position: &Record, policy: &Policy) -> Option<f64> {
    let stricter = policy.connection_factors == ConnectionTable::Stricter;
    connection_factor(position.output_connection()?, stricter)
}

/// Radial load at the position's output shaft; none behind a coupling.
#[must_use]
pub fn overhung_at(position: &Record, duty: &Duty, policy: &Policy) -> Option<Force> {
    let connection = connection_of(position, policy)?;
    if connection == 0.0 {
        return Some(Force::newtons(0.0));
    }
    let diameter = Length::millimetres(position.output_pitch_diameter_mm()?);
    Some(overhung_load(duty.demand_torque()?, diameter, connection, 1.0))
}

/// What a listed overhung rating is divided by for the load class.
///
/// # Source
/// AGMA 6010 / 6034 practice, from memory.
#[must_use]
pub const fn overhung_divisor(class: LoadClass) -> f64 {
    match class {
        LoadClass::Uniform => 1.0,
        LoadClass::Moderate => 1.25,
        LoadClass::Heavy | LoadClass::Refer => 1.5,
    }
}
