//! Every way to reach the wanted output speed with a given ratio.

use super::duty::Duty;
use crate::gearing::is_fan_like;
use crate::policy::Policy;
use crate::records::Record;
use crate::standards::{pole_counts, synchronous_speed_rpm};

/// How the power of a load follows its speed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadCurve {
    /// P ∝ n.
    ConstantTorque,
    /// P ∝ n³.
    Fan,
    /// P as it is.
    ConstantPower,
    /// Not stated for a fan, blower, agitator or centrifugal pump: the safe side both ways.
    FanNotStated,
}

impl LoadCurve {
    /// The curve of a position.
    #[must_use]
    pub fn of(position: &Record) -> Self {
        match position.load_curve() {
            Some("fan") => Self::Fan,
            Some("constant-power") => Self::ConstantPower,
            Some(_) => Self::ConstantTorque,
            None if is_fan_like(position) => Self::FanNotStated,
            None => Self::ConstantTorque,
        }
    }

    /// The words printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::ConstantTorque => "constant torque",
            Self::Fan => "fan-like",
            Self::ConstantPower => "constant power",
            Self::FanNotStated => {
                "fan-like when faster, constant torque when slower, as no curve is stated"
            }
        }
    }

    /// Power at a speed that is `share` of the present one, as a multiple of the present power.
    ///
    /// # Source
    /// Affinity laws (cube) and the definition of power; by hand.
    #[must_use]
    pub fn power_share(self, share: f64) -> f64 {
        match self {
            Self::ConstantTorque => share,
            Self::Fan => share.powi(3),
            Self::ConstantPower => 1.0,
            Self::FanNotStated => share.max(share.powi(3)),
        }
    }
}

/// What is changed to reach a speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Way {
    /// Nothing.
    AsItIs,
    /// A motor of another pole count.
    Poles(u32),
    /// A belt of this ratio, motor over unit.
    Belt(f64),
    /// An inverter at this frequency (Hz).
    Inverter(f64),
}

impl std::fmt::Display for Way {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::AsItIs => f.write_str("as it is"),
            Self::Poles(poles) => write!(f, "motor of {poles} poles"),
            Self::Belt(ratio) => write!(f, "belt of ratio {ratio:.3}"),
            Self::Inverter(hz) => write!(f, "inverter at {hz:.1} Hz"),
        }
    }
}

/// A way with what it gives.
#[derive(Clone, Debug, PartialEq)]
pub struct WayFound {
    /// What is changed.
    pub way: Way,
    /// Speed at the unit's input (r/min).
    pub input_rpm: f64,
    /// Output speed (r/min).
    pub output_rpm: f64,
    /// Deviation from the wanted speed (%).
    pub deviation_pct: f64,
    /// Power of the load at that speed (kW at the output), where known.
    pub load_kw: Option<f64>,
    /// Power the motor can give there (kW), where known.
    pub motor_kw: Option<f64>,
    /// Motor power through the unit over load power, where both are known.
    pub margin: Option<f64>,
    /// A word of caution.
    pub note: Option<&'static str>,
}

/// A motor as the ways need it.
#[derive(Clone, Copy, Debug)]
struct Motor {
    rpm: f64,
    hz: f64,
    poles: u32,
    kw: Option<f64>,
}

/// Poles nearest to a motor's speed at `hz`.
fn poles_of(rpm: f64, hz: f64) -> u32 {
    let off = |poles: &u32| (synchronous_speed_rpm(hz, *poles) / rpm).ln().abs();
    pole_counts().into_iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(4)
}

fn motor_of(position: &Record, duty: &Duty) -> Option<Motor> {
    let rpm = duty.motor_rpm.filter(|n| *n > 0.0)?;
    // A motor near 1 750 r/min runs on 60 Hz.
    let near = |hz: f64| {
        let sync = synchronous_speed_rpm(hz, poles_of(rpm, hz));
        (0.92..=1.001).contains(&(rpm / sync))
    };
    let hz = position.supply_hz().unwrap_or(if !near(50.0) && near(60.0) { 60.0 } else { 50.0 });
    let poles = position.poles().map_or_else(|| poles_of(rpm, hz), |p| p as u32);
    Some(Motor { rpm, hz, poles, kw: duty.motor_kw })
}

/// Other pole counts and the speed (r/min) that a motor of the same slip has with them.
fn other_poles(motor: Motor) -> impl Iterator<Item = (u32, f64)> {
    let slip = 1.0 - motor.rpm / synchronous_speed_rpm(motor.hz, motor.poles);
    pole_counts().into_iter().filter(move |p| *p != motor.poles).map(move |poles| {
        (poles, synchronous_speed_rpm(motor.hz, poles) * (1.0 - slip.clamp(0.0, 0.1)))
    })
}

/// The speeds (r/min) at the unit's input that a motor of another pole count would give.
#[must_use]
pub fn speeds_by_poles(position: &Record, duty: &Duty) -> Vec<f64> {
    let Some(motor) = motor_of(position, duty) else { return Vec::new() };
    let belted = belt_now(position, duty);
    other_poles(motor).map(|(_, rpm)| rpm / belted).collect()
}

/// The ways to reach the position's wanted speed with a unit of `ratio` and `efficiency`, nearest
/// speed first; empty where motor or wanted speed are not known.
#[must_use]
pub fn ways(
    position: &Record,
    duty: &Duty,
    ratio: f64,
    efficiency: f64,
    policy: &Policy,
) -> Vec<WayFound> {
    let (Some(motor), Some(wanted)) = (motor_of(position, duty), duty.wanted_rpm) else {
        return Vec::new();
    };
    if !(ratio.is_finite() && ratio > 0.0 && wanted > 0.0) {
        return Vec::new();
    }
    let curve = duty.curve;
    let weigh = |way: Way, input_rpm: f64, motor_kw: Option<f64>, note: Option<&'static str>| {
        let output_rpm = input_rpm / ratio;
        let load_kw = load_at(duty, curve, output_rpm).filter(|kw| kw.is_finite());
        let margin = motor_kw.zip(load_kw).map(|(have, need)| have * efficiency / need);
        let margin = margin.filter(|m| m.is_finite());
        let deviation_pct = 100.0 * (output_rpm / wanted - 1.0);
        WayFound { way, input_rpm, output_rpm, deviation_pct, load_kw, motor_kw, margin, note }
    };
    let belted = belt_now(position, duty);
    let mut found = vec![weigh(Way::AsItIs, motor.rpm / belted, motor.kw, None)];
    for (poles, rpm) in other_poles(motor) {
        let note = "another motor of the same power: frame and shaft change";
        found.push(weigh(Way::Poles(poles), rpm / belted, motor.kw, Some(note)));
    }
    // What runs at the wanted speed already needs neither belt nor inverter.
    if found[0].deviation_pct.abs() > 0.05 {
        let belt = motor.rpm / (wanted * ratio);
        let far = !(BELT_LEAST..=BELT_MOST).contains(&belt);
        let note = far.then_some("one belt stage rarely has such a ratio");
        found.push(weigh(Way::Belt(belt), motor.rpm / belt, motor.kw, note));
        let (held, kw, note) = inverter(&motor, wanted * ratio * belted, policy);
        let rpm = motor.rpm * held / motor.hz;
        found.push(weigh(Way::Inverter(held), rpm / belted, kw, note));
    }
    found.retain(|w| w.output_rpm.is_finite() && w.deviation_pct.is_finite());
    found.sort_by(|a, b| a.deviation_pct.abs().total_cmp(&b.deviation_pct.abs()));
    found
}

/// Ratios of one V-belt stage (common practice, no source).
const BELT_LEAST: f64 = 0.25;
const BELT_MOST: f64 = 5.0;

/// The belt ratio before the unit today; 1 without a belt.
fn belt_now(position: &Record, duty: &Duty) -> f64 {
    let belted = matches!(
        position.input_connection(),
        Some("v-belt" | "flat-belt" | "timing-belt" | "chain")
    );
    match (belted, duty.motor_rpm, duty.input_rpm) {
        (true, Some(motor), Some(input)) if input > 0.0 => motor / input,
        _ => 1.0,
    }
}

/// The frequency that gives the wanted speed, kept inside the limits, and the motor's power there:
/// below the mains' frequency the motor gives its torque, above it its power.
fn inverter(
    motor: &Motor,
    wanted_motor_rpm: f64,
    policy: &Policy,
) -> (f64, Option<f64>, Option<&'static str>) {
    let hz = motor.hz * wanted_motor_rpm / motor.rpm;
    let held = hz.clamp(policy.inverter_min_hz, policy.inverter_max_hz);
    let kw = motor.kw.map(|kw| kw * (held / motor.hz).min(1.0));
    let note = if (held - hz).abs() > 1e-9 {
        Some("the frequency is held at the policy's limit")
    } else if held < 0.6 * motor.hz {
        Some("slow running: the motor's own fan cools less, and oil may not reach every bearing")
    } else {
        None
    };
    (held, kw, note)
}

/// Power of the load at an output speed (kW).
fn load_at(duty: &Duty, curve: LoadCurve, output_rpm: f64) -> Option<f64> {
    let now = duty.output_rpm.filter(|n| *n > 0.0)?;
    let kw = duty.absorbed_kw.or_else(|| duty.motor_kw.map(|kw| kw * duty.efficiency))?;
    Some(kw * curve.power_share(output_rpm / now))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn curves_are_on_the_safe_side_where_nothing_is_stated() {
        // 10 % faster: 1.331 as a fan; 10 % slower: 0.9 at constant torque. By hand.
        assert!((LoadCurve::FanNotStated.power_share(1.1) - 1.331).abs() < 1e-12);
        assert!((LoadCurve::FanNotStated.power_share(0.9) - 0.9).abs() < 1e-12);
        assert!((LoadCurve::Fan.power_share(0.9) - 0.729).abs() < 1e-12);
        assert!((LoadCurve::ConstantPower.power_share(0.5) - 1.0).abs() < 1e-12);
    }

    proptest! {
        #![proptest_config(crate::units::depth::cases())]

        #[test]
        fn every_curve_is_one_at_the_present_speed_and_never_falls(share in 0.05_f64..4.0) {
            for curve in [LoadCurve::ConstantTorque, LoadCurve::Fan, LoadCurve::ConstantPower, LoadCurve::FanNotStated] {
                prop_assert!((curve.power_share(1.0) - 1.0).abs() < 1e-12);
                prop_assert!(curve.power_share(share * 1.01) >= curve.power_share(share));
            }
        }
    }
}
