//! Overhung load from belts, chains and pinions.

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

/// The radial load allowed at a distance from the near bearing, from that at another distance.
///
/// ```text
/// by the bearing: F·(a + x0)/(a + x)      by the shaft: F·x0/x      the smaller counts
/// ```
///
/// | symbol | meaning                                            | unit |
/// |--------|----------------------------------------------------|------|
/// | F      | load allowed at x0                                 | N    |
/// | x0, x  | distance of the listed and of the true load point  | mm   |
/// | a      | distance of the bearings, where known              | mm   |
///
/// Inside x0 the listed load counts: never more than the list says.
///
/// # Source
/// Statics, by hand: 9000 N at 40 mm allow 8000 N by the bearing (a = 120) and 6000 N by the
/// shaft at 60 mm.
///
/// ```
/// use sparemesh::{rating::allowed_at, units::Force};
/// let at = allowed_at(Force::newtons(9000.0), 40.0, 60.0, Some(120.0));
/// assert!((at.value() - 6000.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn allowed_at(listed: Force, listed_at: f64, at: f64, span: Option<f64>) -> Force {
    if at <= listed_at || listed_at <= 0.0 {
        return listed;
    }
    let by_shaft = by_shaft(listed, listed_at, at);
    let by_bearing = span.filter(|a| *a > 0.0).map(|a| by_bearing(listed, listed_at, at, a));
    Force::newtons(by_bearing.map_or(by_shaft.value(), |b| b.value().min(by_shaft.value())))
}

/// The load that the near bearing allows: F·(a + x0)/(a + x).
#[must_use]
pub fn by_bearing(listed: Force, listed_at: f64, at: f64, span: f64) -> Force {
    Force::newtons(listed.value() * (span + listed_at) / (span + at))
}

/// The load that the shaft allows at its shoulder: F·x0/x.
#[must_use]
pub fn by_shaft(listed: Force, listed_at: f64, at: f64) -> Force {
    Force::newtons(listed.value() * listed_at / at)
}

/// Two radial loads on one shaft at an angle (°): √(F1² + F2² + 2·F1·F2·cos θ).
#[must_use]
pub fn combined_load(first: Force, second: Force, angle_deg: f64) -> Force {
    let (a, b) = (first.value(), second.value());
    let square = a * a + b * b + 2.0 * a * b * angle_deg.to_radians().cos();
    Force::newtons(square.max(0.0).sqrt())
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
