//! Overhung load from belts, chains and pinions.

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
