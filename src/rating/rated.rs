//! Every position: what is needed, what is there, and whether that is enough.

use super::capacity::{Capacity, capacity_at};
use super::duty::{Demand, Duty};
use super::heat::{Heat, heat_at};
use super::losses::{Losses, losses};
use super::peak::{Peak, peak_at};
use super::pull::{Pull, pull_at_input, pull_at_output, push_at_output};
use super::required::{Required, required_factor};
use super::shaft::service_factor;
use super::unit::Unit;
use crate::findings::{Finding, name};
use crate::gearing::kind_of_load;
use crate::policy::Policy;
use crate::records::{Field, How, Plant, Position};
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
    /// Heat, where a thermal rating is known.
    pub heat: Option<Heat>,
    /// Momentary peak, where the motor is known.
    pub peak: Option<Peak>,
    /// Radial load at the output shaft.
    pub pull_output: Option<Pull>,
    /// Radial load at the input shaft.
    pub pull_input: Option<Pull>,
    /// Axial load at the output shaft as stated, and what is allowed.
    pub push: Option<(Force, Option<Force>)>,
    /// Input speed and top speed, where both are known.
    pub top_speed: Option<(f64, f64)>,
    /// What the unit loses in a year, where the load is known.
    pub losses: Option<Losses>,
    /// Everything assumed or worth a word.
    pub notes: Vec<String>,
}

impl Rated {
    /// Whether a shaft is known to carry more than the unit allows there.
    #[must_use]
    pub fn is_pulled_too_hard(&self) -> bool {
        let pushed = self.push.is_some_and(|(a, b)| b.is_some_and(|b| a.value() > b.value()));
        let ends = [&self.pull_output, &self.pull_input];
        pushed || ends.into_iter().flatten().any(Pull::is_too_much)
    }

    /// Whether it is known to run hotter than it may.
    #[must_use]
    pub fn is_too_hot(&self) -> bool {
        self.heat.as_ref().is_some_and(|h| h.state() == State::Short)
    }

    /// Whether a moment's torque is known to be more than the gears stand.
    #[must_use]
    pub fn is_peak_too_high(&self) -> bool {
        self.peak.as_ref().is_some_and(|p| p.state() == State::Short)
    }

    /// Whether it turns faster than it may.
    #[must_use]
    pub fn is_too_fast(&self) -> bool {
        self.top_speed.is_some_and(|(n, top)| n > top * (1.0 + 1e-9))
    }

    /// What of the unit is below what the duty asks, in words.
    #[must_use]
    pub fn short_of(&self) -> Vec<&'static str> {
        [
            (self.state == State::Short, "strength"),
            (self.is_too_hot(), "heat"),
            (self.is_peak_too_high(), "peak"),
            (self.is_pulled_too_hard(), "shaft"),
            (self.is_too_fast(), "speed"),
        ]
        .into_iter()
        .filter_map(|(short, word)| short.then_some(word))
        .collect()
    }

    /// Whether anything of the unit is below what the duty asks.
    #[must_use]
    pub fn is_overworked(&self) -> bool {
        !self.short_of().is_empty()
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
    findings.extend(without_machine(&rated, plant));
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
    let over = |demand: Option<Torque>| {
        Some(service_factor(capacity.torque?, demand?)).filter(|f| f.is_finite())
    };
    let disputed = disputed_demand(position, &duty);
    let sure = |fields: &[Field], factor: Option<f64>| {
        factor.filter(|_| !disputed.iter().any(|field| fields.contains(field)))
    };
    let absorbed_from = [Field::absorbed_power_kw, Field::motor_speed_rpm];
    let motor_from = [Field::motor_power_kw, Field::motor_speed_rpm];
    let factor_on_absorbed = sure(&absorbed_from, over(duty.absorbed_torque()));
    let factor_on_motor = sure(&motor_from, over(duty.motor_torque(duty.efficiency)));
    let installed = match duty.demand_from() {
        Some(Demand::Absorbed) => factor_on_absorbed,
        Some(Demand::Motor) => factor_on_motor,
        None => over(duty.demand_torque()),
    };
    let heat = heat_at(position, &unit, &duty, policy);
    let peak = peak_at(position, &unit, &duty, &capacity, policy);
    let pull_output = pull_at_output(position, &unit, &duty, policy);
    let pull_input = pull_at_input(position, &unit, &duty, policy);
    let top_speed = duty.input_rpm.zip(unit.bare_number(Field::max_input_speed_rpm));
    let output_kw = duty.absorbed_kw.or_else(|| duty.motor_kw.map(|kw| kw * duty.efficiency));
    // Nothing known of the efficiency is no loss of zero.
    let lost = output_kw
        .filter(|_| duty.efficiency < 1.0)
        .and_then(|kw| losses(kw, duty.efficiency, duty.hours, policy.energy_price));
    let mut notes = duty.assumed.clone();
    notes.push(capacity.note.clone());
    for field in &disputed {
        let place = position.place(*field);
        notes.push(format!("{} in {place} is disputed", field.heading().to_lowercase()));
    }
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
        heat,
        peak,
        pull_output,
        pull_input,
        push: push_at_output(position, &unit),
        top_speed,
        losses: lost,
        notes,
    }
}

/// Figures of the demand that another cell contradicts.
fn disputed_demand(position: &Position, duty: &Duty) -> Vec<Field> {
    let fields = match duty.demand_from() {
        Some(Demand::Absorbed) => [Field::absorbed_power_kw, Field::motor_speed_rpm],
        _ => [Field::motor_power_kw, Field::motor_speed_rpm],
    };
    let disputed = |field: &Field| position.entry(*field).is_some_and(|e| e.how == How::Disputed);
    fields.into_iter().filter(disputed).collect()
}

/// One finding for the positions of a sheet that name no machine.
fn without_machine(rated: &[Rated], plant: &Plant) -> Vec<Finding> {
    let unnamed = |r: &&Rated| {
        r.duty.class_assumed && !plant.positions[r.position].knows(Field::driven_machine)
    };
    let all: Vec<&Position> =
        rated.iter().filter(unnamed).map(|r| &plant.positions[r.position]).collect();
    let of_sheet = |group: &[&Position]| {
        let message = format!("{} positions name no driven machine; class M assumed", group.len());
        Finding::new(&name::MACHINE_UNKNOWN, group[0].place(Field::tag), message)
    };
    all.chunk_by(|a, b| a.at == b.at).map(of_sheet).collect()
}

fn say(rated: &Rated, position: &Position, findings: &mut Vec<Finding>) {
    let place = || position.place(Field::driven_machine);
    let load = kind_of_load(position);
    if let Some(why) = load.why {
        let message = format!("the kind of load was taken as `{}`: {why}", load.kind.word());
        findings.push(Finding::new(&name::KIND_OF_LOAD, place(), message));
    }
    if let Some(machine) = position.driven_machine().filter(|_| rated.duty.class_assumed) {
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
    overworked(rated, position, findings);
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
        let (need, have) = told_apart(rated.required.factor, installed);
        let message = format!(
            "`{tag}` needs a service factor of {need} and has {have} on its {}",
            rated.duty.demand_from().map_or("demand", Demand::word)
        );
        findings.push(Finding::new(&name::OVERWORKED, position.place(Field::tag), message));
    }
}

/// Two figures with as many decimals as it takes to tell them apart.
fn told_apart(a: f64, b: f64) -> (String, String) {
    let with = |decimals: usize| (format!("{a:.decimals$}"), format!("{b:.decimals$}"));
    (2..=4).map(with).find(|(a, b)| a != b).unwrap_or_else(|| with(4))
}

/// Says what but strength is below need: shaft loads, heat, peak, speed.
fn overworked(rated: &Rated, position: &Position, findings: &mut Vec<Finding>) {
    let tag = position.tag().unwrap_or_default();
    let mut say = |field: Field, message: String| {
        findings.push(Finding::new(&name::OVERWORKED, position.place(field), message));
    };
    let ends = [
        (&rated.pull_output, "output", Field::output_pitch_diameter_mm),
        (&rated.pull_input, "input", Field::input_pitch_diameter_mm),
    ];
    for (pull, end, field) in ends {
        if let Some(pull) = pull.as_ref().filter(|p| p.is_too_much())
            && let Some(allowed) = pull.allowed
        {
            say(
                field,
                format!(
                    "`{tag}` pulls {:.0} N on an {end} shaft that allows {:.0} N",
                    pull.load.value(),
                    allowed.value()
                ),
            );
        }
    }
    if let Some((load, Some(allowed))) = rated.push
        && load.value() > allowed.value()
    {
        say(
            Field::axial_load_n,
            format!(
                "`{tag}` pushes {:.0} N along a shaft that allows {:.0} N",
                load.value(),
                allowed.value()
            ),
        );
    }
    if let Some(heat) = rated.heat.as_ref().filter(|_| rated.is_too_hot())
        && let (Some(have), Some(need)) = (heat.corrected_kw, heat.demand_kw)
    {
        say(
            Field::tag,
            format!(
                "`{tag}` takes {need:.1} kW and sheds the heat of {have:.1} kW where it stands"
            ),
        );
    }
    if let Some(peak) = rated.peak.as_ref().filter(|_| rated.is_peak_too_high())
        && let Some(allowed) = peak.allowed
    {
        say(
            Field::tag,
            format!(
                "`{tag}` may see {:.0} N·m for a moment, its gears stand {:.0} N·m; {}",
                peak.torque.value(),
                allowed.value(),
                peak.note
            ),
        );
    }
    if let Some((n, top)) = rated.top_speed.filter(|_| rated.is_too_fast()) {
        say(
            Field::motor_speed_rpm,
            format!("`{tag}` turns at {n:.0} r/min, its top speed is {top:.0}"),
        );
    }
}
