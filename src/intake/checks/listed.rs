//! What a row says of its unit held against what the catalogue says of its model.

use super::cell;
use crate::findings::{Finding, name};
use crate::records::{Field, ModelMatch, Plant, Record};
use crate::standards::same_size;

/// Diameters that a model has by its catalogue row.
const DIAMETERS: [Field; 2] = [Field::output_shaft_mm, Field::input_shaft_mm];

/// Rows whose dimensions differ from those of the model they name exactly.
pub(in crate::intake) fn check(plant: &Plant) -> Vec<Finding> {
    let positions = plant.positions.iter().map(|p| (&p.record, p.model));
    let shelf = plant.shelf.iter().map(|s| (&s.record, s.model));
    let rows = positions.chain(shelf).filter(|(_, found)| found.is_some_and(|f| f.exact));
    rows.flat_map(|(row, found)| of_row(plant, row, found)).collect()
}

fn of_row(plant: &Plant, row: &Record, found: Option<ModelMatch>) -> Vec<Finding> {
    let Some(model) = plant.model_of(found) else { return Vec::new() };
    let numbers = |field: Field| row.number(field).zip(model.number(field));
    let mut differ: Vec<(Field, String, String)> = DIAMETERS
        .into_iter()
        .filter_map(|field| numbers(field).map(|(own, listed)| (field, own, listed)))
        .filter(|(_, own, listed)| !same_size(*own, *listed))
        .map(|(field, own, listed)| (field, format!("{own} mm"), format!("{listed} mm")))
        .collect();
    if let Some((own, listed)) = numbers(Field::shaft_height_mm)
        && (own - listed).abs() > 1.0
    {
        differ.push((Field::shaft_height_mm, format!("{own} mm"), format!("{listed} mm")));
    }
    if let Some((own, listed)) = row.output_form().zip(model.output_form())
        && own != listed
    {
        differ.push((Field::output_form, own.to_owned(), listed.to_owned()));
    }
    differ
        .into_iter()
        .map(|(field, own, listed)| {
            let message = format!(
                "{} is {own} in {}, but {listed} in the catalogue for `{}` at {}",
                field.heading().to_lowercase(),
                cell(row, field),
                model.title(),
                model.place(field)
            );
            Finding::new(&name::UNUSUAL, row.place(field), message).hint(
                "the row is believed; correct it, or note the option that it was ordered with",
            )
        })
        .collect()
}
