//! Torque and power at a shaft.

use crate::units::{Power, ShaftSpeed, Torque};

/// Torque at a shaft that transmits `power` at `speed`.
///
/// ```text
/// T = P / ω,    ω = 2π·n / 60
/// ```
///
/// | symbol | meaning              | unit  |
/// |--------|----------------------|-------|
/// | T      | torque               | N·m   |
/// | P      | transmitted power    | W     |
/// | ω      | angular velocity     | rad/s |
/// | n      | shaft speed          | r/min |
///
/// Holds for steady running. It says nothing of starting or shock; those are the service
/// factor's work. Losses are not included: pass the power at the shaft you ask about.
///
/// # Source
///
/// The definition of mechanical power, P = T·ω.
///
/// # Examples
///
/// An 11 kW motor at 1460 r/min; by hand, 11 000 × 60 / (2π × 1460) = 71.95.
///
/// ```
/// use sparemesh::{rating::shaft_torque, units::{Power, ShaftSpeed}};
///
/// let speed = ShaftSpeed::rpm(1460.0).expect("above zero");
/// let torque = shaft_torque(Power::kilowatts(11.0), speed);
/// assert_eq!(format!("{:.2} N·m", torque.value()), "71.95 N·m");
/// ```
#[must_use]
pub fn shaft_torque(power: Power, speed: ShaftSpeed) -> Torque {
    Torque::newton_metres(power.value() / speed.as_radians_per_second())
}

/// Power that `torque` transmits at `speed`: P = T·ω, the inverse of [`shaft_torque`].
#[must_use]
pub fn power_at(torque: Torque, speed: ShaftSpeed) -> Power {
    Power::watts(torque.value() * speed.as_radians_per_second())
}

/// Torque at the output shaft of a reducer: T₂ = P₁·η / ω₂.
///
/// `efficiency` is a share; with 1 the result is the conservative check of the gears.
#[must_use]
pub fn output_torque(input_power: Power, efficiency: f64, output_speed: ShaftSpeed) -> Torque {
    shaft_torque(Power::watts(input_power.value() * efficiency), output_speed)
}

/// Actual service factor: rated over demanded torque.
///
/// # Source
/// AGMA 6013 / 6034 practice. 1200 N·m against 7.5 kW at 72.5 r/min gives 1.21475.
#[must_use]
pub fn service_factor(rated: Torque, demand: Torque) -> f64 {
    rated.value() / demand.value()
}
