//! The six kinds of table and the fields that each may hold.

use super::Field;

/// A kind of table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Table {
    /// One row is a position with its unit.
    Fleet,
    /// One row is a model, per ratio and input speed.
    Catalogue,
    /// One row is a stock line.
    Shelf,
    /// One row is a part of a model.
    Parts,
    /// One row is a swap that was proven or forbidden.
    Swaps,
    /// One row is something that happened at a position.
    Events,
}

impl Table {
    /// All kinds, in the order of the input's description.
    pub const ALL: [Self; 6] =
        [Self::Fleet, Self::Catalogue, Self::Shelf, Self::Parts, Self::Swaps, Self::Events];

    /// The word printed and used in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fleet => "fleet",
            Self::Catalogue => "catalogue",
            Self::Shelf => "shelf",
            Self::Parts => "parts",
            Self::Swaps => "swaps",
            Self::Events => "events",
        }
    }

    /// Finds a kind by its word.
    #[must_use]
    pub fn find(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|table| table.word() == word)
    }

    /// The fields that this table may hold, in the order of the template.
    #[must_use]
    pub fn fields(self) -> Vec<Field> {
        use Field as F;
        let from = |first: Field, last: Field| {
            Field::ALL.iter().copied().filter(move |f| *f >= first && *f <= last)
        };
        match self {
            Self::Fleet => from(F::tag, F::oil)
                .chain([F::rated_input_speed_rpm, F::rated_power_kw, F::rated_torque_nm])
                .chain([F::rating_basis, F::listed_service_factor, F::thermal_power_kw])
                .chain([F::overhung_output_n, F::efficiency, F::worm_lead_deg, F::worm_pitch_mm])
                .chain([F::max_input_speed_rpm, F::note, F::measured])
                .collect(),
            Self::Catalogue => from(F::rated_input_speed_rpm, F::status)
                .chain([F::maker, F::model, F::gear_train, F::ratio, F::tooth_counts, F::axes])
                .chain([F::mounting, F::orientation, F::hand, F::rotation, F::input_shaft_mm])
                .chain([F::input_shaft_length_mm, F::input_flange, F::output_form])
                .chain([F::output_shaft_mm, F::output_shaft_length_mm, F::output_bore_range_mm])
                .chain([F::shaft_offset_mm, F::shaft_end_to_foot_mm, F::shaft_height_mm])
                .chain([F::foot_holes_mm, F::output_flange, F::mass_kg, F::back_stop])
                .chain([F::back_stop_torque_nm, F::back_stop_shaft, F::order_code, F::oil])
                .chain([F::motor_power_kw, F::motor_speed_rpm, F::motor_voltage_v])
                .chain([F::torque_arm, F::torque_arm_mm, F::shaft_pump, F::one_way_fan])
                .chain([F::supplier, F::description, F::note])
                .collect(),
            Self::Shelf => from(F::item, F::stock_date)
                .chain([F::description, F::maker, F::model, F::serial, F::quantity, F::order_code])
                .chain([F::ratio, F::tooth_counts, F::gear_train, F::axes, F::mounting])
                .chain([F::orientation, F::hand, F::rotation, F::input_shaft_mm, F::input_flange])
                .chain([F::input_shaft_length_mm, F::output_form, F::output_shaft_mm])
                .chain([F::output_shaft_length_mm, F::output_bore_range_mm, F::shaft_height_mm])
                .chain([F::foot_holes_mm, F::output_flange, F::mass_kg, F::back_stop])
                .chain([F::back_stop_torque_nm, F::back_stop_shaft, F::oil, F::modification])
                .chain([F::motor_power_kw, F::motor_speed_rpm, F::motor_voltage_v, F::brake])
                .chain([F::rated_power_kw, F::rated_torque_nm, F::rated_input_speed_rpm])
                .chain([F::rating_basis, F::listed_service_factor, F::zone_marking])
                .chain([F::brake_torque_nm, F::note, F::lead_time_days, F::thermal_power_kw])
                .chain([F::overhung_output_n, F::axial_output_n, F::efficiency])
                .chain([F::max_input_speed_rpm, F::dimensions_mm, F::shaft_offset_mm])
                .chain([F::shaft_end_to_foot_mm, F::hollow_shaft_length_mm, F::bushings])
                .chain([F::washdown, F::shaft_pump, F::one_way_fan, F::torque_arm_mm])
                .collect(),
            Self::Parts => {
                let own = [F::maker, F::model, F::part, F::kind, F::designation];
                own.into_iter()
                    .chain([F::quantity_per_unit, F::lead_time_days, F::price, F::note])
                    .collect()
            }
            Self::Swaps => {
                vec![F::tag, F::model, F::candidate, F::ruling, F::by, F::date, F::note]
            }
            Self::Events => {
                vec![F::date, F::tag, F::event, F::cause, F::hours_down, F::parts_used, F::note]
            }
        }
    }
}
