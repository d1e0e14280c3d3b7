//! Units of one model held against each other: what one row says and all others contradict.

use std::collections::{BTreeMap, HashMap};

use crate::findings::{Finding, name};
use crate::records::{Field, Plant, Record, folded};

/// Dimensions that a model has whatever its options; a shaft may be ordered thicker, not half as thick.
const FIELDS: [Field; 4] =
    [Field::output_shaft_mm, Field::input_shaft_mm, Field::shaft_height_mm, Field::mass_kg];

/// Options change a dimension by less than this.
const WITHIN: f64 = 1.35;

/// Slips that multiply a value, and what to say of them.
const SLIPS: [(f64, &str); 6] = [
    (25.4, "it may be in inches"),
    (1.0 / 25.4, "it may be in millimetres where inches are meant"),
    (0.453_592_37, "it may be in pounds"),
    (10.0, "a digit may be missing"),
    (0.1, "a digit may be too many"),
    (1000.0, "it may be in metres or tonnes"),
];

/// Findings for the rows whose model's other rows say something else.
pub(in crate::intake) fn check(plant: &Plant) -> Vec<Finding> {
    // Each spelling is folded once; a plant has far fewer models than rows.
    let mut spelled: HashMap<(&str, &str), usize> = HashMap::new();
    let mut by_model: BTreeMap<(String, String), usize> = BTreeMap::new();
    let mut groups: Vec<Vec<&Record>> = Vec::new();
    let rows = plant
        .models
        .iter()
        .flat_map(|m| m.rows())
        .chain(plant.positions.iter().map(|p| &p.record))
        .chain(plant.shelf.iter().map(|s| &s.record));
    for row in rows {
        let Some(model) = row.model() else { continue };
        let maker = row.maker().unwrap_or_default();
        let at = *spelled.entry((model, maker)).or_insert_with(|| {
            *by_model.entry((folded(model), folded(maker))).or_insert_with(|| {
                groups.push(Vec::new());
                groups.len() - 1
            })
        });
        groups[at].push(row);
    }
    let groups = groups.into_iter().filter(|rows| rows.len() >= 3);
    groups.flat_map(|rows| FIELDS.iter().flat_map(move |field| strangers(&rows, *field))).collect()
}

/// The rows of a model whose value stands far from the middle of all.
fn strangers(rows: &[&Record], field: Field) -> Vec<Finding> {
    // Rows that were spread over several positions are one cell.
    let mut cells: Vec<(&Record, f64)> =
        rows.iter().filter_map(|row| Some((*row, row.number(field)?))).collect();
    cells.dedup_by_key(|(row, _)| (&row.at, row.row));
    let mut values: Vec<f64> = cells.iter().map(|c| c.1).collect();
    values.sort_by(f64::total_cmp);
    let Some(middle) = values.get(values.len() / 2).copied().filter(|m| *m > 0.0) else {
        return Vec::new();
    };
    let near = |v: f64, to: f64, within: f64| (1.0 / within..=within).contains(&(v / to));
    let agreed = values.iter().filter(|v| near(**v, middle, WITHIN)).count();
    if agreed < 2 || agreed * 2 <= values.len() {
        return Vec::new();
    }
    let odd = cells.into_iter().filter(|(_, value)| !near(*value, middle, WITHIN));
    odd.map(|(row, value)| {
        let message = format!(
            "{} of `{}` is {value} here, about {middle} in {agreed} other rows",
            field.heading(),
            row.model().unwrap_or_default()
        );
        let finding = Finding::new(&name::UNUSUAL, row.place(field), message);
        match SLIPS.iter().find(|(factor, _)| near(value * factor, middle, 1.06)) {
            Some((factor, why)) => finding
                .hint(format!("{why}; {} would mend it", (value * factor * 100.0).round() / 100.0)),
            None => finding,
        }
    })
    .collect()
}
