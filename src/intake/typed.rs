//! Values typed on the command line, read like cells.

use super::cell::{self, Column};
use super::number::Decimal;
use crate::policy::Policy;
use crate::records::{Field, Kind, Value};
use crate::units::find_unit;
use crate::workbook::Raw;

/// Reads a value as a person types it for `field`: `ratio=25:1`, `output_shaft_mm=2 3/8 in`.
///
/// # Errors
/// One line saying what is wrong with it.
pub fn read_typed(field: Field, text: &str, policy: &Policy) -> Result<Value, String> {
    let unit = match field.kind() {
        Kind::Number(dimension) => find_unit(dimension.symbol()),
        _ => None,
    };
    let column = Column {
        field,
        unit,
        decimal: Decimal::Point,
        order: None,
        epoch_shift: 0.0,
        recover: true,
        own_units_only: false,
        currency: None,
    };
    let read = cell::read(&column, &Raw::Text(text.into()), None, policy);
    match (read.value, read.finding) {
        (Some(value), _) => Ok(value),
        (None, Some((_, message, _))) => Err(message),
        (None, None) => Err(format!("{} has no value", field.name())),
    }
}
