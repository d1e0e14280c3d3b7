//! Tables taken from published standards, each with its source and how sure it is.
//!
//! The numbers stand in `data/`, one file a table, so that a reader can hold them against the
//! printed page. A table that does not parse fails a test, never a user.

mod bearings;
mod connections;
mod flanges;
mod keys;
mod limits;
mod machine_words;
mod machines;
mod motors;
mod nema;
mod oils;
mod preferred;
mod service_factor;
mod shafts;
mod sheet;
mod thermal;

pub use bearings::{Boundary, bearing, bore_of, seals_for};
pub use connections::connection_factor;
pub use flanges::{
    Frame, Mating, find_flange, find_frame, flange_of_outside, frame_for, frame_for_power,
    read_mating, shaft_of_named,
};
pub use keys::{ParallelKey, key_width, parallel_key, square_key_in};
pub use limits::{momentary_factor, ratio_deviation, reliability_factor};
pub use machine_words::in_list_words;
pub use machines::{LoadClass, Machine, MachineMatch, find_machine, nearest_machines};
pub use motors::{
    nearest_motor_power_kw, pole_counts, slip, standard_powers, standard_powers_kw,
    synchronous_speed_rpm,
};
pub use nema::{CFace, NemaFrame, find_c_face, find_nema_frame};
pub use oils::{grade_limits, grade_of_number};
pub use preferred::{nearest_preferred, nominal_ratios, preferred_numbers};
pub use service_factor::{
    application_class, application_factor, engine_factor, helical_factor, overload_factor,
    worm_factor,
};
pub use shafts::{
    ShaftOf, is_inch_size, nominal_size, same_size, shaft_class, shaft_end, tolerance_limits,
};
pub use sheet::{DataSheet, SHEETS, find_sheet, table_named, use_own};
pub use thermal::{
    air_factor, altitude_factor, ambient_factor, duty_factor, duty_for_factor, sump_factor,
};

/// A gear family; each has its own tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// Spur, helical, bevel, planetary.
    Helical,
    /// Any unit with a worm stage.
    Worm,
}

/// The driving machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Driver {
    /// Electric motor or steady turbine.
    Motor,
    /// Engine of several cylinders.
    MultiCylinder,
    /// Engine of one cylinder.
    SingleCylinder,
}

impl Driver {
    /// From the word of the field `driver`; anything else is a motor.
    #[must_use]
    pub fn from_word(word: Option<&str>) -> Self {
        match word {
            Some("multi-cylinder") => Self::MultiCylinder,
            Some("single-cylinder") => Self::SingleCylinder,
            _ => Self::Motor,
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Motor => "motor",
            Self::MultiCylinder => "multi-cylinder",
            Self::SingleCylinder => "single-cylinder",
        }
    }
}
