//! Heat: the thermal rating brought to where the unit stands, against the power it takes.
//!
//! ```text
//! P_corrected = P_thermal · B_ambient · B_air · B_altitude · B_sun · B_duty
//! ```
//!
//! Compared with the power at the input, without a service factor.

use super::duty::Duty;
use super::rated::{State, state_of};
use super::unit::Unit;
use crate::findings::Place;
use crate::findings::words;
use crate::policy::Policy;
use crate::records::{Field, Record};
use crate::standards::{air_factor, altitude_factor, ambient_factor, duty_for_factor};

/// One correction of a thermal rating.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatFactor {
    /// What it corrects for.
    pub name: &'static str,
    /// The factor.
    pub value: f64,
    /// The condition it was read at, and whether that was assumed.
    pub why: String,
}

/// A thermal rating at its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Heat {
    /// As listed (kW at the input).
    pub listed_kw: f64,
    /// Its cell.
    pub place: Place,
    /// The corrections, in order.
    pub factors: Vec<HeatFactor>,
    /// After all corrections; `None` where a condition lies outside its table.
    pub corrected_kw: Option<f64>,
    /// Power at the input that the duty asks for, where known.
    pub demand_kw: Option<f64>,
    /// Minutes an hour at which it would do, where it does not run through.
    pub minutes_per_hour: Option<f64>,
    /// What is not known, in words.
    pub note: Option<String>,
}

impl Heat {
    /// Corrected rating against demand.
    #[must_use]
    pub fn state(&self) -> State {
        state_of(self.share(), 1.0)
    }

    /// Corrected rating over demand.
    #[must_use]
    pub fn share(&self) -> Option<f64> {
        Some(self.corrected_kw? / self.demand_kw?)
    }
}

/// The heat of `unit` at `position`; `None` where no thermal rating is known.
#[must_use]
pub fn heat_at(position: &Record, unit: &Unit<'_>, duty: &Duty, policy: &Policy) -> Option<Heat> {
    let (listed_kw, place, note) = listed(unit, duty.input_rpm)?;
    let mut note = note;
    let mut factors = Vec::new();
    let mut corrected = Some(listed_kw);
    let found = [
        ambient(position, policy),
        Ok(air(position)),
        altitude(position),
        Ok(sun(position, policy)),
    ];
    for found in found {
        match found {
            Ok(Some(factor)) => {
                corrected = corrected.map(|kw| kw * factor.value);
                factors.push(factor);
            }
            Ok(None) => {}
            Err(why) => {
                corrected = None;
                note = Some(why);
            }
        }
    }
    let demand_kw = input_power(duty);
    let share = corrected.zip(demand_kw).map(|(have, need)| need / have);
    let minutes_per_hour =
        share.filter(|s| *s > 1.0).and_then(duty_for_factor).map(|percent| 0.6 * percent);
    Some(Heat {
        listed_kw,
        place,
        factors,
        corrected_kw: corrected,
        demand_kw,
        minutes_per_hour,
        note,
    })
}

/// Power at the input: absorbed over the efficiency, else the motor's. Shocks are too short to warm
/// a sump, so that a heavy load class changes nothing here.
#[must_use]
pub fn input_power(duty: &Duty) -> Option<f64> {
    duty.absorbed_kw.map(|kw| kw / duty.efficiency).or(duty.motor_kw)
}

/// The thermal rating listed nearest to the input speed.
fn listed(unit: &Unit<'_>, input_rpm: Option<f64>) -> Option<(f64, Place, Option<String>)> {
    if let Some(kw) = unit.own.thermal_power_kw() {
        return Some((kw, unit.own.place(Field::thermal_power_kw), None));
    }
    let rows =
        || unit.model.into_iter().flat_map(|m| m.rows()).filter(|r| r.thermal_power_kw().is_some());
    let off = |row: &&Record| match (row.rated_input_speed_rpm(), input_rpm) {
        (Some(listed), Some(n)) => (listed / n).ln().abs(),
        _ => 0.0,
    };
    let row = rows().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    let far = (off(&row) > 1.1_f64.ln()).then(|| {
        words!(
            "thermal rating listed at {:.0} r/min, taken at {:.0}",
            row.rated_input_speed_rpm().unwrap_or(0.0),
            input_rpm.unwrap_or(0.0)
        )
    });
    Some((row.thermal_power_kw()?, row.place(Field::thermal_power_kw), far))
}

type Found = Result<Option<HeatFactor>, String>;

fn ambient(position: &Record, policy: &Policy) -> Found {
    let known = position.ambient_c();
    let celsius = known.unwrap_or(policy.ambient_blank_c);
    let value = ambient_factor(celsius)
        .ok_or_else(|| words!("ambient {celsius} °C is outside the table of factors"))?;
    let why = match known {
        Some(_) => words!("{celsius} °C"),
        None => words!("{celsius} °C, as none is given"),
    };
    Ok(Some(HeatFactor { name: "ambient", value, why }))
}

/// Never above 1 unless the sheet says that the air is driven.
fn air(position: &Record) -> Option<HeatFactor> {
    let word = position.air()?;
    let table = air_factor(word).unwrap_or(1.0);
    let value = if word == "forced" { table } else { table.min(1.0) };
    Some(HeatFactor { name: "air", value, why: word.to_owned() })
}

fn altitude(position: &Record) -> Found {
    let Some(metres) = position.altitude_m() else { return Ok(None) };
    let value = altitude_factor(metres)
        .ok_or_else(|| words!("altitude {metres} m is outside the table of factors"))?;
    Ok(Some(HeatFactor { name: "altitude", value, why: words!("{metres} m") }))
}

/// Outdoors the sun may stand on the housing.
fn sun(position: &Record, policy: &Policy) -> Option<HeatFactor> {
    let outdoors = position.air() == Some("outdoor");
    outdoors.then(|| HeatFactor {
        name: "sun",
        value: policy.sun_factor,
        why: "outdoors; policy key `sun_factor`".into(),
    })
}

/// Thermal power (kW) of a housing: P = k·A·ΔT / (1 − η).
///
/// | symbol | meaning                        | unit       |
/// |--------|--------------------------------|------------|
/// | k      | heat transfer                  | kW/(m²·K)  |
/// | A      | housing area                   | m²         |
/// | ΔT     | sump over ambient              | K          |
/// | η      | efficiency                     | -          |
///
/// # Source
/// ISO/TR 14179-1, form from memory; at constant efficiency.
///
/// ```
/// // By hand: 0.020 × 2.5 × 70 / 0.04 = 87.5.
/// let kw = sparemesh::rating::thermal_power_kw(0.020, 2.5, 70.0, 0.96).unwrap();
/// assert!((kw - 87.5).abs() < 1e-9);
/// ```
#[must_use]
pub fn thermal_power_kw(transfer: f64, area_m2: f64, rise_k: f64, efficiency: f64) -> Option<f64> {
    let lost = 1.0 - efficiency;
    let sane = transfer > 0.0 && area_m2 > 0.0 && rise_k > 0.0 && lost > 0.0 && efficiency > 0.0;
    sane.then(|| transfer * area_m2 * rise_k / lost)
}

/// Rise of a worm unit's sump over ambient (°F).
///
/// ```text
/// h = n/6494 + 0.13 (no fan)      h = n/3939 + 0.13 (fan on the worm shaft)
/// Δt = 33000·(1 − e)·H / (h·A)
/// ```
///
/// n r/min of the worm, H hp at the input, A in² of housing, h ft·lbf/(min·in²·°F).
///
/// # Source
/// Shigley, section 15-7 (AGMA); from memory.
///
/// ```
/// let rise = sparemesh::rating::worm_rise_f(3.0, 0.818, 1800.0, 2000.0, false).unwrap();
/// assert!((rise - 22.125).abs() < 0.01);
/// ```
#[must_use]
pub fn worm_rise_f(
    hp: f64,
    efficiency: f64,
    worm_rpm: f64,
    area_in2: f64,
    fan: bool,
) -> Option<f64> {
    let sane = hp > 0.0 && (0.0..1.0).contains(&efficiency) && worm_rpm > 0.0 && area_in2 > 0.0;
    let transfer = worm_rpm / if fan { 3939.0 } else { 6494.0 } + 0.13;
    sane.then(|| 33_000.0 * (1.0 - efficiency) * hp / (transfer * area_in2))
}
