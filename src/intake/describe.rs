//! Reads type, ratio, power, speed, shaft, flange and hand from a description.

use super::number::{Decimal, plain};
use super::{number, ratio};
use crate::findings::{Finding, name};
use crate::records::{Field, How, Kind, Record, Value};

/// Words of descriptions: token, field, value.
#[rustfmt::skip]
const TOKENS: &[(&str, Field, &str)] = &[
    ("HEL", Field::gear_train, "helical"), ("HELICAL", Field::gear_train, "helical"),
    ("WORM", Field::gear_train, "worm"), ("WRM", Field::gear_train, "worm"),
    ("BEV", Field::gear_train, "bevel-helical"), ("BEVEL", Field::gear_train, "bevel-helical"),
    ("BEVHEL", Field::gear_train, "bevel-helical"), ("PLANETARY", Field::gear_train, "planetary"),
    ("SPUR", Field::gear_train, "spur"), ("CYCLO", Field::gear_train, "cycloidal"),
    ("PAR", Field::axes, "parallel"), ("PARALLEL", Field::axes, "parallel"),
    ("INL", Field::axes, "in-line"), ("INLINE", Field::axes, "in-line"), ("COAX", Field::axes, "in-line"),
    ("RA", Field::axes, "right-angle"), ("LH", Field::hand, "left"), ("RH", Field::hand, "right"),
    ("FOOT", Field::mounting, "foot"), ("FTMTD", Field::mounting, "foot"), ("HOLLOW", Field::output_form, "hollow"),
    ("SHFT-MTD", Field::mounting, "shaft"), ("FLG", Field::mounting, "flange"),
];

/// Fills what the row does not say itself from its description; one finding lists the values.
pub(super) fn fill(record: &mut Record) -> Option<Finding> {
    let text = record.description()?.to_owned();
    let col = record.entry(Field::description)?.col;
    let mut found: Vec<(Field, Value)> = Vec::new();
    let upper = plain(&text).to_uppercase();
    let tokens: Vec<&str> = upper.split([' ', ',', ';', '/']).filter(|t| !t.is_empty()).collect();
    // A slash separates, but not inside a ratio.
    for part in upper.split([' ', ',', ';']).filter(|p| p.contains(':')) {
        if let Some(read) = ratio::parse(part, Decimal::Point) {
            found.push((Field::ratio, Value::Number(read.value)));
        }
    }
    for (at, token) in tokens.iter().enumerate() {
        if let Some((_, field, value)) = TOKENS.iter().find(|t| t.0 == *token) {
            found.push((*field, Value::Text((*value).into())));
        } else if token.starts_with("FF") || token.starts_with("FT") {
            if crate::standards::find_flange(token).is_some() {
                found.push((Field::input_flange, Value::Text((*token).into())));
            }
        } else {
            let next = tokens.get(at + 1).copied().unwrap_or_default();
            found.extend(quantity(token, next));
        }
    }
    let mut said = Vec::new();
    for (field, value) in found {
        if !record.knows(field) {
            said.push(format!("{} {value}", field.name()));
            record.set(field, value, How::FromText, col);
        }
    }
    (!said.is_empty()).then(|| {
        let place = record.place(Field::description);
        Finding::new(&name::FROM_TEXT, place, format!("from text: {}", said.join(", ")))
    })
}

/// A number with a unit: power, speed, or a shaft when the next word says so.
fn quantity(token: &str, next: &str) -> Option<(Field, Value)> {
    let read = number::read(token, Decimal::Point).ok()?;
    let unit = read.unit?;
    let value = unit.to_record(read.value);
    let field = match unit.symbol {
        "kW" | "hp" | "PS" => Field::motor_power_kw,
        "r/min" => Field::motor_speed_rpm,
        "N·m" => Field::rated_torque_nm,
        "kg" => Field::mass_kg,
        "mm" | "in" if next.starts_with("SH") || next.starts_with("BORE") => Field::output_shaft_mm,
        _ => return None,
    };
    matches!(field.kind(), Kind::Number(_)).then_some((field, Value::Number(value)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_description_gives_what_it_says() {
        let mut record = Record::default();
        let text = "GBX HEL PAR 25:1 15KW 60MM SHFT";
        record.set(Field::description, Value::Text(text.into()), How::Read, 3);
        let finding = fill(&mut record).expect("something was read");
        assert_eq!(record.gear_train(), Some("helical"));
        assert_eq!(record.axes(), Some("parallel"));
        assert_eq!(record.ratio(), Some(25.0));
        assert_eq!(record.motor_power_kw(), Some(15.0));
        assert_eq!(record.output_shaft_mm(), Some(60.0));
        assert!(finding.message.starts_with("from text: ratio 25"), "{}", finding.message);
    }
}
