//! Which fields make a table of a kind, and which speak for it.

use crate::records::{Field, Table};

/// Fields without which a table of this kind cannot be.
pub(super) fn has_what_it_must(table: Table, fields: &[Field], headed: usize) -> bool {
    use Field as F;
    let has = |field| fields.contains(&field);
    let any = |list: &[Field]| list.iter().any(|f| has(*f));
    match table {
        Table::Fleet => {
            (has(F::tag) && has(F::measured))
                || (has(F::tag) || (has(F::area) && has(F::driven_machine)))
                    && any(&[
                        F::model,
                        F::ratio,
                        F::rated_power_kw,
                        F::rated_torque_nm,
                        F::description,
                        F::driven_machine,
                        F::motor_power_kw,
                        F::gear_train,
                        F::tooth_counts,
                    ])
                    && fields.len() >= 3.min(headed)
        }
        Table::Catalogue => {
            has(F::model)
                && any(&[F::ratio, F::tooth_counts])
                && any(&[F::maker, F::rated_power_kw, F::rated_torque_nm, F::price])
        }
        Table::Shelf => {
            has(F::quantity)
                && any(&[F::model, F::item, F::description, F::part])
                && any(&[
                    F::bin,
                    F::condition,
                    F::unit_value,
                    F::item,
                    F::stock_date,
                    F::last_moved,
                    F::model,
                ])
        }
        Table::Parts => {
            has(F::model) && has(F::part) && any(&[F::designation, F::kind, F::quantity_per_unit])
        }
        Table::Swaps => has(F::candidate) && has(F::ruling) && any(&[F::tag, F::model]),
        Table::Events => {
            has(F::date) && has(F::tag) && any(&[F::event, F::cause, F::hours_down, F::parts_used])
        }
    }
}

/// Fields that hardly any other table has speak for their table.
pub(super) fn telling(table: Table, fields: &[Field]) -> f64 {
    use Field as F;
    let own: &[Field] = match table {
        Table::Fleet => &[F::tag, F::driven_machine, F::consequence, F::hours_per_day],
        Table::Catalogue => &[F::price, F::lead_time_days, F::rated_input_speed_rpm, F::status],
        Table::Shelf => &[F::bin, F::quantity, F::unit_value, F::condition],
        Table::Parts => &[F::part, F::designation, F::quantity_per_unit],
        Table::Swaps => &[F::ruling, F::candidate],
        Table::Events => &[F::date, F::event, F::hours_down],
    };
    0.5 * own.iter().filter(|f| fields.contains(f)).count() as f64
}
