//! A blank input workbook with notes and drop-downs, and a policy file to start from.

use rust_xlsxwriter::{
    DataValidation, DocProperties, ExcelDateTime, Format, Note, Workbook, XlsxError,
};

use crate::policy::{KEYS, Policy, shown_value};
use crate::records::{Field, Kind, Table};

/// Rows of a sheet that carry drop-downs.
const ROWS: u32 = 500;

/// Fields of each table that most plants can fill, in the order of the sheet.
fn first_fields(table: Table) -> &'static [Field] {
    use Field as F;
    match table {
        Table::Fleet => &[
            F::tag,
            F::area,
            F::driven_machine,
            F::maker,
            F::model,
            F::ratio,
            F::serial,
            F::gear_train,
            F::motor_power_kw,
            F::motor_speed_rpm,
            F::absorbed_power_kw,
            F::hours_per_day,
            F::starts_per_hour,
            F::input_connection,
            F::output_connection,
            F::output_pitch_diameter_mm,
            F::holds_load,
            F::back_stop,
            F::consequence,
            F::down_cost_per_hour,
            F::workaround_hours,
            F::redundancy,
            F::coupling_max_bore_mm,
            F::slowest_speed_rpm,
            F::zone,
            F::lifting_limit_kg,
            F::room_mm,
            F::installed_on,
            F::position_state,
            F::note,
        ],
        Table::Catalogue => &[
            F::maker,
            F::model,
            F::gear_train,
            F::axes,
            F::mounting,
            F::ratio,
            F::rated_input_speed_rpm,
            F::rated_torque_nm,
            F::rating_basis,
            F::listed_service_factor,
            F::thermal_power_kw,
            F::efficiency,
            F::shaft_height_mm,
            F::foot_holes_mm,
            F::output_form,
            F::output_shaft_mm,
            F::hand,
            F::input_shaft_mm,
            F::input_flange,
            F::max_input_speed_rpm,
            F::overhung_output_n,
            F::back_stop,
            F::back_stop_torque_nm,
            F::mass_kg,
            F::dimensions_mm,
            F::price,
            F::lead_time_days,
            F::status,
        ],
        Table::Shelf => &[
            F::item,
            F::description,
            F::maker,
            F::model,
            F::ratio,
            F::quantity,
            F::bin,
            F::unit_value,
            F::condition,
            F::last_inspected,
            F::last_moved,
            F::reserved_for,
            F::on_order,
            F::due_date,
            F::at_repair,
            F::repair_cost,
            F::hand,
            F::back_stop,
            F::zone_marking,
            F::stock_date,
        ],
        Table::Parts => &[
            F::model,
            F::part,
            F::kind,
            F::designation,
            F::quantity_per_unit,
            F::lead_time_days,
            F::price,
        ],
        Table::Swaps => &[F::tag, F::candidate, F::ruling, F::by, F::date, F::note],
        Table::Events => &[F::date, F::tag, F::event, F::cause, F::hours_down, F::parts_used],
    }
}

/// The heading of a field with its unit.
#[must_use]
pub fn heading(field: Field) -> String {
    match field.kind() {
        Kind::Number(dimension) if !dimension.symbol().is_empty() => {
            format!("{} [{}]", field.heading(), dimension.symbol())
        }
        _ => field.heading().to_owned(),
    }
}

/// What a person should put into a column.
fn advice(field: Field) -> String {
    let how = match field.kind() {
        Kind::Text => "Text.".to_owned(),
        Kind::Word(words) => format!("One of: {}.", words.join(", ")),
        Kind::Flag => "yes or no.".into(),
        Kind::Date => "A date, as 2026-10-31.".into(),
        Kind::Ratio => "Input over output, as 25 or 25:1; keep the cell formatted as text.".into(),
        Kind::Number(dimension) if dimension.symbol().is_empty() => "A number.".into(),
        Kind::Number(dimension) => {
            format!(
                "A number in {}; another unit may stand in the cell, as `15 hp`.",
                dimension.symbol()
            )
        }
    };
    format!("{how} Leave blank what is not known: a blank is never a zero.")
}

/// The blank workbook.
///
/// # Errors
/// When the writing library refuses, which it does not for this fixed content.
pub fn workbook() -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let made = ExcelDateTime::from_ymd(2026, 1, 1)?;
    book.set_properties(
        &DocProperties::new().set_title("gear reducers, blank").set_creation_datetime(&made),
    );
    let bold = Format::new().set_bold().set_text_wrap();
    let text = Format::new().set_num_format("@");
    for table in Table::ALL {
        let sheet = book.add_worksheet();
        let mut name = table.word().to_owned();
        name[..1].make_ascii_uppercase();
        sheet.set_name(&name)?;
        sheet.set_freeze_panes(1, 1)?;
        for (col, field) in (0_u16..).zip(first_fields(table)) {
            sheet.set_column_width(col, 16.0)?;
            if matches!(field.kind(), Kind::Text | Kind::Ratio) {
                sheet.set_column_format(col, &text)?;
            }
            sheet.write_with_format(0, col, heading(*field), &bold)?;
            sheet.insert_note(0, col, &Note::new(advice(*field)).set_author("sparemesh"))?;
            let words: Vec<&str> = match field.kind() {
                Kind::Word(words) => words.to_vec(),
                Kind::Flag => vec!["yes", "no"],
                _ => continue,
            };
            let list = DataValidation::new()
                .allow_list_strings(&words)?
                .ignore_blank(true)
                .set_error_message("use one of the words listed, or leave the cell blank")?;
            sheet.add_data_validation(1, col, ROWS, col, &list)?;
        }
    }
    book.save_to_buffer()
}

/// A policy file with every key at its default, commented out, with meaning and reason.
#[must_use]
pub fn policy() -> String {
    let defaults = toml::Table::try_from(Policy::default()).unwrap_or_default();
    let mut text = String::from(
        "# Every choice that is not physics. A line without `#` in front overrides the default.\n",
    );
    let mut table = "";
    for key in KEYS {
        let (group, name) = key.key.rsplit_once('.').unwrap_or(("", key.key));
        let value = shown_value(&defaults, key.key).unwrap_or_default();
        let line = format!("# {} ({})\n", key.meaning, key.reason);
        if group.is_empty() {
            if value.starts_with('{') {
                continue;
            }
            text.push_str(&format!("\n{line}# {name} = {value}\n"));
        } else {
            if table != group {
                table = group;
            }
            text.push_str(&format!("\n{line}# {group}.{name} = {value}\n"));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_policy_file_holds_when_every_line_is_switched_on() {
        let is_key = |line: &&str| KEYS.iter().any(|k| line.split(" = ").next() == Some(k.key));
        let text = policy();
        let on: Vec<&str> =
            text.lines().filter_map(|l| l.strip_prefix("# ")).filter(is_key).collect();
        let on = on.join("\n");
        let read: Policy = toml::from_str(&on).expect("every line is a key");
        assert_eq!(read, Policy::default());
    }

    #[test]
    fn every_column_belongs_to_its_table() {
        for table in Table::ALL {
            for field in first_fields(table) {
                assert!(table.fields().contains(field), "{} in {}", field.name(), table.word());
            }
        }
    }
}
