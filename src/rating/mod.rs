//! Rating: what each drive needs and what each unit has.

mod capacity;
mod duty;
mod heat;
mod life;
mod losses;
mod overhung;
mod peak;
mod pull;
mod rated;
mod required;
mod shaft;
mod unit;
mod ways;
mod working;

pub use capacity::{Capacity, capacity_at};
pub use duty::{Demand, Duty, Jams};
pub use heat::{Heat, HeatFactor, heat_at, input_power, thermal_power_kw, worm_rise_f};
pub use life::{
    Rolling, bearing_life_at, bearing_life_h, equivalent_load, rate_by_margin, rating_needed_kn,
    reliability_reached, system_life, weibull_survival, weibull_time,
};
pub use losses::{Losses, losses};
pub use overhung::{
    allowed_at, by_bearing, by_shaft, combined_load, connection_of, overhung_divisor, overhung_load,
};
pub use peak::{Peak, peak_at, start_torque_through};
pub use pull::{Pull, pull_at_input, pull_at_output, push_at_output};
pub use rated::{Rated, State, rate, state_of};
pub use required::{Required, required_factor};
pub use shaft::{output_torque, power_at, service_factor, shaft_torque};
pub use unit::{Efficiency, EfficiencyFrom, Known, Unit};
pub use ways::{LoadCurve, Way, WayFound, speeds_by_poles, ways};
pub use working::{Working, working};
