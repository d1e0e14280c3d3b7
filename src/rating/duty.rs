//! The duty of a position: speeds, powers, hours, machine.

use super::shaft::{output_torque, shaft_torque};
use super::unit::{EfficiencyFrom, Unit};
use super::ways::LoadCurve;
use crate::gearing::is_jam_prone;
use crate::policy::Policy;
use crate::records::{Field, Record};
use crate::standards::{Driver, LoadClass, MachineMatch, find_machine, synchronous_speed_rpm};
use crate::units::{Power, ShaftSpeed, Torque};

/// What the demand is taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Demand {
    /// Power the machine absorbs.
    Absorbed,
    /// Power of the motor's nameplate.
    Motor,
}

impl Demand {
    /// The words printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Absorbed => "absorbed power",
            Self::Motor => "motor power",
        }
    }
}

/// Whether the kind of machine is one that jams.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Jams {
    /// A crusher, a feeder, a pulper and the like.
    Prone,
    /// Any other.
    Seldom,
}

/// What a position asks of whatever unit stands there.
#[derive(Clone, Debug)]
pub struct Duty {
    /// Motor power (kW).
    pub motor_kw: Option<f64>,
    /// Motor speed (r/min).
    pub motor_rpm: Option<f64>,
    /// Speed at the reducer's input (r/min).
    pub input_rpm: Option<f64>,
    /// Output speed now (r/min).
    pub output_rpm: Option<f64>,
    /// Output speed wanted (r/min).
    pub wanted_rpm: Option<f64>,
    /// Power at the output shaft (kW) as absorbed.
    pub absorbed_kw: Option<f64>,
    /// Whether the absorbed power is a maximum.
    pub absorbed_is_peak: bool,
    /// Hours a day; the policy's figure where blank.
    pub hours: f64,
    /// Starts an hour.
    pub starts: f64,
    /// Driving machine.
    pub driver: Driver,
    /// Driven machine as matched.
    pub machine: Option<MachineMatch>,
    /// Load class.
    pub class: LoadClass,
    /// Whether the class was assumed.
    pub class_assumed: bool,
    /// Whether the load reverses.
    pub reversing: bool,
    /// Efficiency of the unit fitted, as a share.
    pub efficiency: f64,
    /// Where that comes from.
    pub efficiency_from: EfficiencyFrom,
    /// Whether the machine is one that jams.
    pub jams: Jams,
    /// How the power follows the speed.
    pub curve: LoadCurve,
    /// What was assumed, in words.
    pub assumed: Vec<String>,
}

impl Duty {
    /// The duty of `position`, whose unit today is `unit`.
    #[must_use]
    pub fn of(position: &Record, unit: &Unit<'_>, policy: &Policy) -> Self {
        let mut assumed = Vec::new();
        let motor_rpm = motor_speed(position, &mut assumed);
        let (input_rpm, output_rpm) = speeds(position, unit, motor_rpm);
        let turns = |n: &f64| n.is_finite() && *n > 0.0;
        let (input_rpm, output_rpm) = (input_rpm.filter(turns), output_rpm.filter(turns));
        let found = unit.efficiency(policy.efficiency_per_stage, input_rpm);
        if matches!(found.from, EfficiencyFrom::LeadAngle | EfficiencyFrom::Train) {
            assumed.push(format!("efficiency {:.2} {}", found.value, found.from.word()));
        }
        let efficiency = found.value;
        let hours = position.hours_per_day().unwrap_or_else(|| {
            assumed.push(format!("{} h a day, as none are given", policy.hours_blank));
            policy.hours_blank
        });
        let machine = position.driven_machine().and_then(find_machine);
        let (class, class_assumed) = class_of(position, machine.as_ref(), &mut assumed);
        let taken_at = position.absorbed_taken_at();
        let absorbed_kw = position.absorbed_power_kw().map(|kw| match taken_at {
            Some("input") => kw * efficiency,
            _ => kw,
        });
        Self {
            motor_kw: position.motor_power_kw(),
            motor_rpm,
            input_rpm,
            output_rpm,
            wanted_rpm: position.wanted_speed_rpm().or(output_rpm),
            absorbed_kw,
            absorbed_is_peak: taken_at == Some("peak"),
            hours,
            starts: position.starts_per_hour().unwrap_or(1.0),
            driver: Driver::from_word(position.driver()),
            machine,
            class,
            class_assumed,
            reversing: position.reversing() == Some(true),
            efficiency,
            efficiency_from: found.from,
            jams: if is_jam_prone(position) { Jams::Prone } else { Jams::Seldom },
            curve: LoadCurve::of(position),
            assumed,
        }
    }

    /// Which power the demand is taken from: absorbed where known, but in class H only a maximum.
    #[must_use]
    pub fn demand_from(&self) -> Option<Demand> {
        let heavy = matches!(self.class, LoadClass::Heavy | LoadClass::Refer);
        match (self.absorbed_kw, self.motor_kw) {
            (Some(_), _) if !heavy || self.absorbed_is_peak => Some(Demand::Absorbed),
            (_, Some(_)) => Some(Demand::Motor),
            (Some(_), None) => Some(Demand::Absorbed),
            (None, None) => None,
        }
    }

    /// Demand torque at the output shaft at its present speed, service factor not included.
    #[must_use]
    pub fn demand_torque(&self) -> Option<Torque> {
        match self.demand_from()? {
            Demand::Absorbed => self.absorbed_torque(),
            Demand::Motor => self.motor_torque(self.efficiency),
        }
    }

    /// Torque that the machine absorbs at the output shaft.
    #[must_use]
    pub fn absorbed_torque(&self) -> Option<Torque> {
        let speed = ShaftSpeed::rpm(self.output_rpm?)?;
        finite(shaft_torque(Power::kilowatts(self.absorbed_kw?), speed))
    }

    /// Torque at the output shaft when the motor gives its nameplate power through a unit of
    /// `efficiency`.
    #[must_use]
    pub fn motor_torque(&self, efficiency: f64) -> Option<Torque> {
        let speed = ShaftSpeed::rpm(self.output_rpm?)?;
        finite(output_torque(Power::kilowatts(self.motor_kw?), efficiency, speed))
    }
}

/// A torque that no sum of sane values exceeds.
fn finite(torque: Torque) -> Option<Torque> {
    torque.value().is_finite().then_some(torque)
}

/// Motor speed: stated, else from poles and supply with a usual slip.
fn motor_speed(position: &Record, assumed: &mut Vec<String>) -> Option<f64> {
    /// Slip of a loaded induction motor (common practice, no source).
    const USUAL_SLIP: f64 = 0.03;
    position.motor_speed_rpm().or_else(|| {
        let poles = position.poles()?;
        let hz = position.supply_hz().unwrap_or(50.0);
        let speed = synchronous_speed_rpm(hz, poles as u32) * (1.0 - USUAL_SLIP);
        assumed
            .push(format!("motor speed {speed:.0} r/min from {poles} poles at {hz} Hz, slip 3 %"));
        Some(speed)
    })
}

/// Input and output speed of the unit; a belt before the unit is told by the output speed.
fn speeds(position: &Record, unit: &Unit<'_>, motor: Option<f64>) -> (Option<f64>, Option<f64>) {
    let ratio = unit.ratio();
    let stated = position.output_speed_rpm();
    let belted = matches!(
        position.input_connection(),
        Some("v-belt" | "flat-belt" | "timing-belt" | "chain")
    );
    let from_motor = motor.zip(ratio).map(|(n, i)| n / i);
    if belted {
        let input = stated.zip(ratio).map(|(n2, i)| n2 * i);
        return (input, stated);
    }
    (motor.or_else(|| stated.zip(ratio).map(|(n2, i)| n2 * i)), from_motor.or(stated))
}

fn class_of(
    position: &Record,
    machine: Option<&MachineMatch>,
    assumed: &mut Vec<String>,
) -> (LoadClass, bool) {
    if let Some(class) = position.load_class().and_then(LoadClass::from_letter) {
        return (class, false);
    }
    if let Some(found) = machine {
        if found.assumed {
            assumed.push(format!(
                "class {} of `{}`, the heavier of several that fit",
                found.machine.class.letter(),
                found.machine.name
            ));
        }
        (found.machine.class, found.assumed)
    } else {
        let text = position.driven_machine().unwrap_or("machine not named");
        assumed.push(format!("class M, as no list knows `{text}`"));
        (LoadClass::Moderate, true)
    }
}

impl Duty {
    /// The listed factors of the machine, unless its class was stated by the plant.
    #[must_use]
    pub fn listed(&self, position: &Record, worm: bool) -> Option<(f64, &'static str)> {
        if position.knows(Field::load_class) || self.hours <= 3.0 {
            return None;
        }
        let machine = self.machine.as_ref()?.machine;
        let listed = if worm { machine.listed_worm } else { machine.listed };
        let value = if self.hours <= 10.0 { listed[0] } else { listed[1] };
        value.map(|value| (value, machine.name.as_str()))
    }
}
