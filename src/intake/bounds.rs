//! What a field's number can be at all.

use super::cell::Column;
use super::number::NoNumber;
use crate::records::{Field, Kind};
use crate::units::{Dimension, Unit, find_unit};

/// Why a value cannot be, where the field has bounds that nothing real passes.
pub(super) fn impossible(field: Field, value: f64) -> Option<&'static str> {
    /// No plant has a figure above this; beyond it sums lose their meaning.
    const LARGEST: f64 = 1e9;
    let (low, high) = match field {
        Field::hours_per_day => (0.0, 24.0),
        Field::efficiency => (5.0, 100.0),
        Field::ambient_c => (-80.0, 200.0),
        Field::altitude_m => (-500.0, 9000.0),
        Field::shaft_offset_mm => (-LARGEST, LARGEST),
        Field::motor_speed_rpm | Field::max_input_speed_rpm | Field::rated_input_speed_rpm => {
            (20.0, 50_000.0)
        }
        Field::output_shaft_mm | Field::input_shaft_mm | Field::driven_shaft_mm => (4.0, 2_000.0),
        Field::rated_torque_nm => (0.05, 2e7),
        Field::mass_kg => (0.1, 150_000.0),
        Field::shaft_height_mm => (20.0, 2_000.0),
        Field::listed_service_factor => (0.3, 12.0),
        Field::motor_power_kw | Field::rated_power_kw => (0.005, 100_000.0),
        Field::poles => (2.0, 100.0),
        Field::worm_lead_deg => (0.5, 45.0),
        _ => (0.0, LARGEST),
    };
    if value < low {
        Some("less than can be")
    } else if value > high {
        Some("more than can be")
    } else {
        None
    }
}

pub(super) fn must_be_positive(field: Field, dimension: Dimension) -> bool {
    use Dimension as D;
    matches!(dimension, D::Power | D::Torque | D::Speed | D::Mass | D::Frequency | D::Voltage)
        || (dimension == D::Length && field != Field::shaft_offset_mm)
}

/// The one reading of an ambiguous number that the field can hold.
pub(super) fn by_what_it_can_be(field: Field, why: NoNumber) -> Option<f64> {
    let NoNumber::Ambiguous(decimal, joined) = why else { return None };
    let range = match field {
        Field::motor_speed_rpm | Field::rated_input_speed_rpm | Field::max_input_speed_rpm => {
            100.0..=6000.0
        }
        Field::motor_voltage_v => 100.0..=15_000.0,
        Field::poles => 2.0..=24.0,
        // Amounts have two decimals or none.
        field if field.kind() == Kind::Number(Dimension::Money) => {
            return Some(f64::from_bits(joined));
        }
        _ => return None,
    };
    let (decimal, joined) = (f64::from_bits(decimal), f64::from_bits(joined));
    match (range.contains(&decimal), range.contains(&joined)) {
        (true, false) => Some(decimal),
        (false, true) => Some(joined),
        _ => None,
    }
}

/// The one reading of an ambiguous length that is possible in the unit of the cell or its column.
///
/// Nothing of a gear unit measures a thousand inches, and sizes in inches have three decimals.
pub(super) fn by_its_unit(
    column: &Column,
    dimension: Dimension,
    text: &str,
    why: NoNumber,
) -> Option<(f64, Option<Unit>)> {
    let NoNumber::Ambiguous(decimal, joined) = why else { return None };
    if dimension != Dimension::Length {
        return None;
    }
    let own = text.find(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | ',' | ' '));
    let own = own.and_then(|at| find_unit(text[at..].trim()));
    let unit = own.or(column.unit)?;
    let (decimal, joined) = (f64::from_bits(decimal), f64::from_bits(joined));
    if unit.dimension == dimension && unit.symbol == "in" {
        return Some((decimal, own));
    }
    let can_be = |value: f64| impossible(column.field, unit.to_record(value)).is_none();
    match (can_be(decimal), can_be(joined)) {
        (true, false) => Some((decimal, own)),
        (false, true) => Some((joined, own)),
        _ => None,
    }
}
