//! Rating: what each drive needs and what each unit has.

mod capacity;
mod duty;
mod overhung;
mod rated;
mod required;
mod shaft;
mod unit;

pub use capacity::{Capacity, capacity_at};
pub use duty::{Demand, Duty};
pub use overhung::{connection_of, overhung_at, overhung_divisor, overhung_load};
pub use rated::{Rated, State, rate, state_of};
pub use required::{Required, required_factor};
pub use shaft::{output_torque, power_at, service_factor, shaft_torque};
pub use unit::{Known, Unit};
