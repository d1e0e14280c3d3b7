//! The service factor that a duty asks for.

use super::duty::Duty;
use super::unit::Unit;
use crate::findings::words;
use crate::policy::{Method, Policy};
use crate::records::{Field, Record};
use crate::standards::{
    Family, LoadClass, application_factor, engine_factor, helical_factor, worm_factor,
};

/// The factor required, and what it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Required {
    /// The factor that counts.
    pub factor: f64,
    /// From the class matrix, or K_A.
    pub matrix: f64,
    /// From the machine list, where it counts.
    pub listed: Option<f64>,
    /// Whether no list gives a factor and a responsible engineer decides.
    pub refer: bool,
    /// Where it came from, in words.
    pub source: String,
}

/// The service factor that `duty` asks of `unit`.
///
/// The larger of the class matrix and the machine list's own value counts, never below 1.00.
/// A rating on the basis of ISO 6336 is asked for K_A instead, where the policy
/// says so; K_A holds no hours.
#[must_use]
pub fn required_factor(
    duty: &Duty,
    position: &Record,
    unit: &Unit<'_>,
    policy: &Policy,
) -> Required {
    let iso_basis = unit.text(Field::rating_basis).is_some_and(|k| k.value == "iso-6336");
    if iso_basis && policy.service_factor_method == Method::Iso6336 {
        return by_application_factor(duty);
    }
    let worm = unit.family() == Family::Worm;
    let class = duty.class;
    let matrix = if worm {
        worm_factor(duty.driver, duty.hours, class, duty.starts)
    } else {
        helical_factor(duty.driver, duty.hours, class)
    };
    let listed = duty.listed(position, worm);
    let listed_value = listed.map(|(value, _)| engine_factor(value, duty.driver));
    let table = if worm { "worm" } else { "helical and bevel" };
    let mut source =
        words!("{table} table, class {}, {} h a day: {matrix:.2}", class.letter(), duty.hours);
    if let (Some(value), Some((_, name))) = (listed_value, listed) {
        source.push_str(&words!("; list `{name}`: {value:.2}"));
    }
    Required {
        factor: matrix.max(listed_value.unwrap_or(0.0)).max(1.0),
        matrix,
        listed: listed_value,
        refer: class == LoadClass::Refer,
        source,
    }
}

fn by_application_factor(duty: &Duty) -> Required {
    let driven = match duty.class {
        LoadClass::Uniform => "uniform",
        LoadClass::Moderate => "moderate shocks",
        LoadClass::Heavy | LoadClass::Refer => "heavy shocks",
    };
    let driver = match duty.driver {
        crate::standards::Driver::Motor => "uniform",
        crate::standards::Driver::MultiCylinder => "moderate shocks",
        crate::standards::Driver::SingleCylinder => "heavy shocks",
    };
    let factor = application_factor(driver, driven).unwrap_or(2.25);
    Required {
        factor: factor.max(1.0),
        matrix: factor,
        listed: None,
        refer: duty.class == LoadClass::Refer,
        source: words!("K_A of ISO 6336, {driver} driving {driven}: {factor:.2}"),
    }
}
