//! What every catalogue row of a unit's name says alike, where the row does not say which of them the unit is.

use crate::records::{Catalogued, Field, How, Record};

/// What a name may settle by itself: how a unit is built. What it can bear hangs on ratio and speed.
const BUILD: [Field; 19] = [
    Field::gear_train,
    Field::axes,
    Field::mounting,
    Field::hand,
    Field::input_shaft_mm,
    Field::input_shaft_length_mm,
    Field::input_flange,
    Field::output_form,
    Field::output_shaft_mm,
    Field::output_shaft_length_mm,
    Field::output_bore_range_mm,
    Field::shaft_offset_mm,
    Field::shaft_end_to_foot_mm,
    Field::shaft_height_mm,
    Field::foot_holes_mm,
    Field::output_flange,
    Field::mass_kg,
    Field::oil,
    Field::hollow_shaft_length_mm,
];

/// Fills what the row does not say itself and all of `models` say alike; its cell is that of the name. Gives what was taken.
pub(super) fn fill(record: &mut Record, models: &[&Catalogued]) -> Vec<Field> {
    let Some(col) = record.entry(Field::model).map(|e| e.col) else { return Vec::new() };
    let Some((first, others)) = models.split_first() else { return Vec::new() };
    let mut taken = Vec::new();
    for field in BUILD {
        if record.knows(field) {
            continue;
        }
        let Some(entry) = first.entry(field).filter(|e| e.how != How::Disputed) else { continue };
        let same = |model: &&Catalogued| {
            model.entry(field).is_some_and(|e| e.value == entry.value && e.how != How::Disputed)
        };
        if others.iter().all(same) {
            record.set(field, entry.value.clone(), How::FromName, col);
            taken.push(field);
        }
    }
    taken
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Value;

    fn row(values: &[(Field, &str)]) -> Record {
        let mut record = Record::default();
        for (field, text) in values {
            let value = text.parse().map_or_else(|_| Value::Text((*text).into()), Value::Number);
            record.set(*field, value, How::Read, 3);
        }
        record
    }

    fn model(values: &[(Field, &str)]) -> Catalogued {
        Catalogued { record: row(values), ..Catalogued::default() }
    }

    /// Taken is what both say alike; not what one leaves out, what differs, what hangs on the ratio, or what the row itself says.
    #[test]
    fn what_all_say_alike_is_taken_and_nothing_else() {
        let a = model(&[
            (Field::axes, "right-angle"),
            (Field::shaft_height_mm, "180"),
            (Field::mass_kg, "95"),
            (Field::input_shaft_mm, "28"),
            (Field::output_shaft_mm, "55"),
            (Field::rated_torque_nm, "900"),
        ]);
        let b = model(&[
            (Field::axes, "right-angle"),
            (Field::shaft_height_mm, "180"),
            (Field::mass_kg, "97"),
            (Field::output_shaft_mm, "55"),
            (Field::rated_torque_nm, "900"),
        ]);
        let mut unit = row(&[(Field::model, "Heron 180"), (Field::output_shaft_mm, "50")]);
        assert_eq!(fill(&mut unit, &[&a, &b]), [Field::axes, Field::shaft_height_mm]);
        assert_eq!(unit.axes(), Some("right-angle"));
        assert_eq!(unit.shaft_height_mm(), Some(180.0));
        assert_eq!(unit.output_shaft_mm(), Some(50.0));
        let axes = unit.entry(Field::axes).expect("set");
        assert_eq!((axes.how, axes.col), (How::FromName, 3));
        for left in [Field::mass_kg, Field::input_shaft_mm, Field::rated_torque_nm] {
            assert!(!unit.knows(left), "{}", left.name());
        }
    }

    #[test]
    fn a_row_without_a_name_is_told_nothing() {
        let a = model(&[(Field::axes, "crossed")]);
        let mut unit = row(&[(Field::mass_kg, "12")]);
        assert!(fill(&mut unit, &[&a]).is_empty() && unit.axes().is_none());
    }
}
