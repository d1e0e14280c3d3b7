//! Momentary peak: starting and jam torque against what the gears stand for a moment.

use super::capacity::Capacity;
use super::duty::{Duty, Jams};
use super::rated::State;
use super::unit::Unit;
use crate::findings::words;
use crate::policy::Policy;
use crate::records::{Field, Record};
use crate::standards::{LoadClass, momentary_factor};
use crate::units::Torque;

/// Torque through the gears while a motor starts, at the motor's shaft.
///
/// ```text
/// T_g = T_L' + (T_start − T_L')·J_L' / (J_M + J_L')      T_L' = T_L/(i·η)      J_L' = J_L/i²
/// ```
///
/// | symbol  | meaning                            | unit  |
/// |---------|------------------------------------|-------|
/// | T_start | starting torque of the motor       | N·m   |
/// | T_L'    | load, at the motor's shaft         | N·m   |
/// | J_M     | inertia of the motor               | kg·m² |
/// | J_L'    | inertia of the load, at the motor's shaft | kg·m² |
///
/// # Source
/// Equation of motion of two masses on one shaft, by hand.
///
/// ```
/// // By hand: 40 + (123.48 − 40) × 0.01 / 0.04 = 60.87.
/// let through = sparemesh::rating::start_torque_through(123.48, 40.0, 0.03, 0.01).unwrap();
/// assert!((through - 60.87).abs() < 1e-9);
/// ```
#[must_use]
pub fn start_torque_through(
    start: f64,
    load: f64,
    motor_inertia: f64,
    load_inertia: f64,
) -> Option<f64> {
    let sane = motor_inertia > 0.0 && load_inertia >= 0.0 && start.is_finite() && load.is_finite();
    sane.then(|| load + (start - load).max(0.0) * load_inertia / (motor_inertia + load_inertia))
}

/// The peak at a position.
#[derive(Clone, Debug, PartialEq)]
pub struct Peak {
    /// Torque at the output for a moment.
    pub torque: Torque,
    /// What the gears stand for a moment, where the rating is known.
    pub allowed: Option<Torque>,
    /// Start or jam factor on the motor's torque.
    pub factor: f64,
    /// Momentary factor on the rating.
    pub momentary: f64,
    /// Whether the torque is an upper bound, as inertias are not known.
    pub bound: bool,
    /// Whether the machine may jam.
    pub jam: bool,
    /// How it was found.
    pub note: String,
}

impl Peak {
    /// Enough, short, or not known; a bound that is exceeded proves nothing.
    #[must_use]
    pub fn state(&self) -> State {
        match self.allowed {
            None => State::Unknown,
            Some(allowed) if self.torque.value() <= allowed.value() * (1.0 + 1e-9) => State::Enough,
            Some(_) if self.bound && !self.jam => State::Unknown,
            Some(_) => State::Short,
        }
    }
}

/// Means that hold the torque down when a machine jams.
const RELIEFS: [&str; 4] = ["shear-pin", "torque-limiter", "fluid-coupling", "inverter"];

/// The peak of `unit` at `position`; `None` where the motor is not known.
#[must_use]
pub fn peak_at(
    position: &Record,
    unit: &Unit<'_>,
    duty: &Duty,
    capacity: &Capacity,
    policy: &Policy,
) -> Option<Peak> {
    let efficiency = unit.efficiency(policy.efficiency_per_stage, duty.input_rpm).value;
    let motor = duty.motor_torque(efficiency)?.value();
    let relieved = position.limiter().is_some_and(|l| RELIEFS.contains(&l));
    let prone = duty.jams == Jams::Prone || matches!(duty.class, LoadClass::Heavy);
    let jam = prone && !relieved;
    let (start, said) = start_factor(position, policy);
    let momentary = unit
        .bare_number(Field::momentary_factor)
        .unwrap_or_else(|| momentary_factor(unit.family()));
    let allowed = capacity.torque.map(|t| Torque::newton_metres(momentary * t.value()));
    if jam {
        let factor = policy.jam_factor;
        let note = words!("the machine may jam: {factor} x motor torque, nothing relieves it");
        return Some(Peak {
            torque: Torque::newton_metres(factor * motor),
            allowed,
            factor,
            momentary,
            bound: false,
            jam,
            note,
        });
    }
    let through = with_inertias(position, duty, start * motor);
    let bound = through.is_none();
    let torque = through.unwrap_or(start * motor);
    let note = if bound {
        words!("{said}: {start} x motor torque, an upper bound without inertias")
    } else {
        words!("{said}: {start} x motor torque, shared by the inertias")
    };
    Some(Peak {
        torque: Torque::newton_metres(torque),
        allowed,
        factor: start,
        momentary,
        bound,
        jam,
        note,
    })
}

fn start_factor(position: &Record, policy: &Policy) -> (f64, &'static str) {
    match position.start_kind() {
        Some("direct") => (policy.start_factor_direct, "direct start"),
        Some("soft") => (policy.start_factor_soft, "soft start"),
        Some("inverter") => (policy.start_factor_inverter, "inverter start"),
        _ => (policy.start_factor_blank, "kind of start not given"),
    }
}

/// Torque at the output shared by the inertias, where both are known.
fn with_inertias(position: &Record, duty: &Duty, start_at_output: f64) -> Option<f64> {
    let (motor, load) = (position.motor_inertia_kgm2()?, position.load_inertia_kgm2()?);
    let ratio = duty.motor_rpm? / duty.output_rpm?;
    // Everything at the output: inertias there are the motor's times the ratio squared.
    let torque = duty.demand_torque()?.value();
    start_torque_through(start_at_output, torque, motor * ratio * ratio, load)
}
