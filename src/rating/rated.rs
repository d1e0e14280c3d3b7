//! Every position: what is needed, what is there, and whether that is enough.

use super::capacity::{Capacity, capacity_at};
use super::duty::Duty;
use super::overhung::{overhung_at, overhung_divisor};
use super::required::{Required, required_factor};
use super::shaft::service_factor;
use super::unit::Unit;
use crate::findings::{Finding, name};
use crate::gearing::kind_of_load;
use crate::policy::Policy;
use crate::records::{Field, Plant, Position};
use crate::units::{Force, Torque};

/// How installed compares with required.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Below what is needed.
    Short,
    /// Not known.
    Unknown,
    /// At least what is needed.
    Enough,
    /// At least one and a half times what is needed.
    Ample,
}

impl State {
    /// The word printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Short => "short",
            Self::Unknown => "unknown",
            Self::Enough => "enough",
            Self::Ample => "ample",
        }
    }
}

/// The state of an installed factor against a required one.
#[must_use]
pub fn state_of(installed: Option<f64>, required: f64) -> State {
    match installed {
        None => State::Unknown,
        Some(sf) if sf >= 1.5 * required - 1e-9 => State::Ample,
        Some(sf) if sf >= required - 1e-9 => State::Enough,
        Some(_) => State::Short,
    }
}

/// A position rated.
#[derive(Clone, Debug)]
pub struct Rated {
    /// Index into [`Plant::positions`].
    pub position: usize,
    /// Its duty.
    pub duty: Duty,
    /// The factor its duty asks of the unit fitted.
    pub required: Required,
    /// What the unit fitted can carry.
    pub capacity: Capacity,
    /// Rated over absorbed torque.
    pub factor_on_absorbed: Option<f64>,
    /// Rated over motor torque.
    pub factor_on_motor: Option<f64>,
    /// The one of both that the demand rule takes.
    pub installed: Option<f64>,
    /// The verdict in one word.
    pub state: State,
    /// Radial load at the output shaft, where a wheel is on it.
    pub overhung: Option<Force>,
    /// Radial load allowed there.
    pub overhung_allowed: Option<Force>,
    /// Everything assumed or worth a word.
    pub notes: Vec<String>,
}

impl Rated {
    /// Whether the wheel on the output shaft pulls more than the unit allows.
    #[must_use]
    pub fn is_pulled_too_hard(&self) -> bool {
        matches!((self.overhung, self.overhung_allowed), (Some(a), Some(b)) if a.value() > b.value())
    }

    /// Whether strength or radial load is below what the duty asks.
    #[must_use]
    pub fn is_overworked(&self) -> bool {
        self.state == State::Short || self.is_pulled_too_hard()
    }
}

/// Rates every position.
#[must_use]
pub fn rate(plant: &Plant, policy: &Policy) -> (Vec<Rated>, Vec<Finding>) {
    let mut findings = Vec::new();
    let rated: Vec<Rated> = plant
        .positions
        .iter()
        .enumerate()
        .map(|(index, position)| one(index, position, plant, policy))
        .collect();
    for rated in &rated {
        say(rated, &plant.positions[rated.position], &mut findings);
    }
    (rated, findings)
}

fn one(index: usize, position: &Position, plant: &Plant, policy: &Policy) -> Rated {
    let unit = Unit::new(position, position.model, plant);
    let duty = Duty::of(position, &unit, policy);
    let required = required_factor(&duty, position, &unit, policy);
    let capacity = match duty.input_rpm {
        Some(n1) => capacity_at(&unit, n1, duty.reversing, policy.efficiency_per_stage),
        None => Capacity::unknown("the input speed is not known"),
    };
    let over = |demand: Option<Torque>| Some(service_factor(capacity.torque?, demand?));
    let factor_on_absorbed = over(duty.absorbed_torque());
    let factor_on_motor = over(duty.motor_torque(duty.efficiency));
    let installed = over(duty.demand_torque());
    let overhung = overhung_at(position, &duty, policy);
    let divisor = overhung_divisor(duty.class);
    let overhung_allowed =
        unit.number(Field::overhung_output_n).map(|k| Force::newtons(k.value / divisor));
    let mut notes = duty.assumed.clone();
    notes.push(capacity.note.clone());
    if duty.class_assumed
        && let Some(installed) = installed
    {
        notes.push(format!(
            "with another class the answer would flip at a required factor of {installed:.2}"
        ));
    }
    Rated {
        position: index,
        state: state_of(installed, required.factor),
        duty,
        required,
        capacity,
        factor_on_absorbed,
        factor_on_motor,
        installed,
        overhung,
        overhung_allowed,
        notes,
    }
}

fn say(rated: &Rated, position: &Position, findings: &mut Vec<Finding>) {
    let place = || position.place(Field::driven_machine);
    let load = kind_of_load(position);
    if let Some(why) = load.why {
        let message = format!("the kind of load was taken as `{}`: {why}", load.kind.word());
        findings.push(Finding::new(&name::KIND_OF_LOAD, place(), message));
    }
    let machine = position.driven_machine().unwrap_or("not named");
    if rated.duty.class_assumed {
        let (code, message) = match &rated.duty.machine {
            None => (
                &name::MACHINE_UNKNOWN,
                format!("machine `{machine}` is in no list; class M assumed"),
            ),
            Some(found) => (
                &name::MACHINE_ASSUMED,
                format!(
                    "machine `{machine}` was taken as `{}`, the heavier that fits",
                    found.machine.name
                ),
            ),
        };
        findings.push(Finding::new(code, place(), message));
    }
    if rated.capacity.motor_limited {
        let at = position.place(Field::rated_torque_nm);
        findings.push(Finding::new(&name::MOTOR_LIMITED, at, rated.capacity.note.clone()));
    }
    if rated.is_pulled_too_hard()
        && let (Some(load), Some(allowed)) = (rated.overhung, rated.overhung_allowed)
    {
        let tag = position.tag().unwrap_or_default();
        let message = format!(
            "`{tag}` pulls {:.0} N on a shaft that allows {:.0} N",
            load.value(),
            allowed.value()
        );
        let at = position.place(Field::output_pitch_diameter_mm);
        findings.push(Finding::new(&name::OVERWORKED, at, message));
    }
    if let (Some(absorbed), Some(motor)) =
        (rated.duty.absorbed_torque(), rated.duty.motor_torque(rated.duty.efficiency))
        && absorbed.value() > 1.05 * motor.value()
    {
        let message = format!(
            "absorbed power asks {:.0} N·m at the output, the motor can give {:.0} N·m there; is it taken at the motor?",
            absorbed.value(),
            motor.value()
        );
        let at = position.place(Field::absorbed_power_kw);
        findings.push(Finding::new(&name::UNUSUAL, at, message));
    }
    if rated.state == State::Short
        && let Some(installed) = rated.installed
    {
        let tag = position.tag().unwrap_or_default();
        let message = format!(
            "`{tag}` needs a service factor of {:.2} and has {installed:.2} on its {}",
            rated.required.factor,
            rated.duty.demand_from().map_or("demand", super::duty::Demand::word)
        );
        findings.push(Finding::new(&name::OVERWORKED, position.place(Field::tag), message));
    }
}
