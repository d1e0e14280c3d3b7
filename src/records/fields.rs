//! Every field that a table may hold: its name, its kind and its heading.

use crate::units::Dimension;

/// How a field's cells are read and kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Text as written.
    Text,
    /// One of a few words.
    Word(&'static [&'static str]),
    /// Yes or no.
    Flag,
    /// A calendar date.
    Date,
    /// A gear ratio, input over output.
    Ratio,
    /// A number in the record unit of its dimension.
    Number(Dimension),
}

impl Kind {
    /// Whether cells of this kind are numbers or ratios.
    #[must_use]
    pub const fn is_numeric(self) -> bool {
        matches!(self, Self::Ratio | Self::Number(_))
    }
}

macro_rules! kind {
    (text) => {
        Kind::Text
    };
    (flag) => {
        Kind::Flag
    };
    (date) => {
        Kind::Date
    };
    (ratio) => {
        Kind::Ratio
    };
    (axes) => {
        Kind::Word(&["parallel", "in-line", "right-angle", "crossed"])
    };
    (curve) => {
        Kind::Word(&["constant-torque", "fan", "constant-power"])
    };
    (load) => {
        Kind::Word(&["none", "runs-back", "overhauling", "suspended"])
    };
    (condition) => {
        Kind::Word(&["ready", "unproven", "as-removed", "scrap"])
    };
    (class) => {
        Kind::Word(&["U", "M", "H"])
    };
    (consequence) => {
        Kind::Word(&["people", "line", "slow", "minor"])
    };
    (driver) => {
        Kind::Word(&["motor", "multi-cylinder", "single-cylinder"])
    };
    (basis) => {
        Kind::Word(&["gear", "motor-limited", "listed", "iso-6336"])
    };
    (form) => {
        Kind::Word(&["solid", "hollow", "hollow-shrink-disc", "flange"])
    };
    (connection) => {
        Kind::Word(&["coupling", "flange", "v-belt", "flat-belt", "timing-belt", "chain", "pinion"])
    };
    (mounting) => {
        Kind::Word(&["foot", "flange", "foot-flange", "shaft"])
    };
    (hand) => {
        Kind::Word(&["left", "right", "both"])
    };
    (sense) => {
        Kind::Word(&["cw", "ccw", "both", "none", "yes"])
    };
    (event) => {
        Kind::Word(&["exchange", "repair", "part", "adjust", "inspect"])
    };
    (ruling) => {
        Kind::Word(&["allowed", "never"])
    };
    (status) => {
        Kind::Word(&["current", "discontinued"])
    };
    (state) => {
        Kind::Word(&["running", "idle", "retired"])
    };
    (air) => {
        Kind::Word(&["confined", "indoor", "forced", "outdoor"])
    };
    (taken_at) => {
        Kind::Word(&["output", "input", "peak"])
    };
    (start) => {
        Kind::Word(&["direct", "soft", "inverter"])
    };
    (limiter) => {
        Kind::Word(&[
            "overload-relay",
            "inverter",
            "feed-rate",
            "timer",
            "shear-pin",
            "torque-limiter",
            "fluid-coupling",
            "none",
        ])
    };
    ($dimension:ident) => {
        Kind::Number(Dimension::$dimension)
    };
}

macro_rules! reader {
    ($name:ident text) => { reader!(@text $name); };
    ($name:ident flag) => {
        /// The field's value, if known.
        pub fn $name(&self) -> Option<bool> { self.flag(Field::$name) }
    };
    ($name:ident date) => {
        /// The field's value, if known.
        pub fn $name(&self) -> Option<jiff::civil::Date> { self.day(Field::$name) }
    };
    ($name:ident ratio) => { reader!(@number $name); };
    ($name:ident $kind:ident) => { reader!(@by_case $name $kind); };
    (@text $name:ident) => {
        /// The field's value, if known.
        pub fn $name(&self) -> Option<&str> { self.text(Field::$name) }
    };
    (@number $name:ident) => {
        /// The field's value in the unit of its name, if known.
        pub fn $name(&self) -> Option<f64> { self.number(Field::$name) }
    };
    (@by_case $name:ident Power) => { reader!(@number $name); };
    (@by_case $name:ident Torque) => { reader!(@number $name); };
    (@by_case $name:ident Speed) => { reader!(@number $name); };
    (@by_case $name:ident Length) => { reader!(@number $name); };
    (@by_case $name:ident Distance) => { reader!(@number $name); };
    (@by_case $name:ident Mass) => { reader!(@number $name); };
    (@by_case $name:ident Force) => { reader!(@number $name); };
    (@by_case $name:ident Temperature) => { reader!(@number $name); };
    (@by_case $name:ident Hours) => { reader!(@number $name); };
    (@by_case $name:ident Days) => { reader!(@number $name); };
    (@by_case $name:ident Frequency) => { reader!(@number $name); };
    (@by_case $name:ident Voltage) => { reader!(@number $name); };
    (@by_case $name:ident Volume) => { reader!(@number $name); };
    (@by_case $name:ident Money) => { reader!(@number $name); };
    (@by_case $name:ident Percent) => { reader!(@number $name); };
    (@by_case $name:ident Velocity) => { reader!(@number $name); };
    (@by_case $name:ident MassFlow) => { reader!(@number $name); };
    (@by_case $name:ident Inertia) => { reader!(@number $name); };
    (@by_case $name:ident Plain) => { reader!(@number $name); };
    (@by_case $name:ident $word:ident) => { reader!(@text $name); };
}

macro_rules! fields {
    ($($name:ident $kind:ident $heading:literal;)*) => {
        /// A field, under the name that it has in JSON, csv and columns.toml.
        #[allow(non_camel_case_types, missing_docs)] // the names are the documented field names
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[repr(u8)]
        pub enum Field { $($name),* }

        impl Field {
            /// Every field, in order.
            pub const ALL: &'static [Self] = &[$(Self::$name),*];

            /// The name in JSON, csv and columns.toml.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$name => stringify!($name)),* }
            }
            /// How its cells are read.
            #[must_use]
            pub const fn kind(self) -> Kind {
                match self { $(Self::$name => kind!($kind)),* }
            }
            /// The heading that template and report print, without unit.
            #[must_use]
            pub const fn heading(self) -> &'static str {
                match self { $(Self::$name => $heading),* }
            }
            /// Finds a field by its name.
            #[must_use]
            pub fn find(name: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|field| field.name() == name)
            }
        }

        impl super::Record { $( reader!($name $kind); )* }
    };
}

fields! {
    tag text "Tag"; area text "Area"; driven_machine text "Driven machine"; load_class class "Load class";
    driver driver "Driver"; motor_power_kw Power "Motor power"; motor_speed_rpm Speed "Motor speed";
    motor_voltage_v Voltage "Motor voltage"; motor_frame text "Motor frame"; poles Plain "Poles";
    supply_hz Frequency "Supply frequency"; absorbed_power_kw Power "Absorbed power";
    absorbed_taken_at taken_at "Absorbed power taken at"; hours_per_day Hours "Hours per day";
    starts_per_hour Plain "Starts per hour"; reversing flag "Reversing"; ambient_c Temperature "Ambient";
    altitude_m Distance "Altitude"; air air "Air"; maker text "Maker"; model text "Model"; serial text "Serial";
    gear_train text "Gear train"; ratio ratio "Ratio"; tooth_counts text "Tooth counts";
    output_speed_rpm Speed "Output speed"; wanted_speed_rpm Speed "Wanted output speed";
    speed_tolerance_pct Percent "Speed tolerance"; load_curve curve "Load curve";
    input_connection connection "Input connection"; input_pitch_diameter_mm Length "Input pitch diameter";
    input_load_distance_mm Length "Input load distance"; output_connection connection "Output connection";
    output_pitch_diameter_mm Length "Output pitch diameter"; output_load_distance_mm Length "Output load distance";
    axial_load_n Force "Axial load";
    axes axes "Axes"; mounting mounting "Mounting"; orientation text "Orientation"; hand hand "Hand";
    rotation sense "Rotation";
    input_rotation sense "Input rotation"; gear_thrust flag "Gear thrust"; input_shaft_mm Length "Input shaft"; input_shaft_length_mm Length "Input shaft length";
    input_flange text "Input flange"; output_form form "Output form"; output_shaft_mm Length "Output shaft";
    output_shaft_length_mm Length "Output shaft length"; coupling_max_bore_mm Length "Coupling max bore";
    output_bore_range_mm text "Output bore range"; shaft_offset_mm Length "Shaft offset";
    shaft_end_to_foot_mm Length "Shaft end to foot"; shaft_height_mm Length "Shaft height";
    foot_holes_mm text "Foot holes"; output_flange text "Output flange"; room_mm text "Room";
    lifting_limit_kg Mass "Lifting limit"; mass_kg Mass "Mass"; back_stop sense "Back-stop";
    back_stop_torque_nm Torque "Back-stop torque"; back_stop_shaft text "Back-stop shaft"; lift_m Distance "Lift";
    tonnes_per_hour MassFlow "Tonnes per hour"; belt_speed_m_s Velocity "Belt speed"; brake flag "Brake";
    brake_torque_nm Torque "Brake torque"; brake_voltage_v Voltage "Brake voltage"; holds_load load "Holds load";
    carries_people flag "Carries people"; driven_shaft_mm Length "Driven shaft";
    driven_shaft_length_mm Length "Driven shaft length"; torque_arm flag "Torque arm"; torque_arm_mm Length "Torque arm distance";
    matched_with text "Matched with"; quantity Plain "Quantity"; position_state state "Position state";
    fitted_as text "Fitted as"; stop_gap_until date "Stop-gap until";
    documented_alternative text "Documented alternative"; description text "Description"; order_code text "Order code";
    modification text "Modification"; start_kind start "Start"; limiter limiter "Limiter";
    motor_inertia_kgm2 Inertia "Motor inertia"; load_inertia_kgm2 Inertia "Load inertia";
    inverter_range_hz text "Inverter range"; slowest_speed_rpm Speed "Slowest speed";
    back_stop_elsewhere flag "Back-stop elsewhere"; motor_feeds_alone flag "Motor feeds this unit alone";
    shaft_pump flag "Shaft pump"; one_way_fan flag "One-way fan";
    largest_pitch_diameter_mm Length "Largest pitch diameter"; outboard_bearing flag "Outboard bearing";
    zone text "Zone"; washdown flag "Washdown"; consequence consequence "Consequence";
    down_cost_per_hour Money "Cost of an hour down"; workaround_hours Hours "Workaround time";
    redundancy text "Redundancy"; installed_on date "Installed on"; oil text "Oil";
    rated_input_speed_rpm Speed "Rated input speed"; rated_power_kw Power "Rated power"; rated_torque_nm Torque "Rated torque";
    thermal_power_kw Power "Thermal power"; overhung_output_n Force "Overhung load output";
    overhung_input_n Force "Overhung load input"; axial_output_n Force "Axial load output"; rating_basis basis "Rating basis";
    listed_service_factor Plain "Listed service factor"; hollow_shaft_length_mm Length "Hollow shaft length";
    adapters text "Adapters"; bushings text "Bushings"; bearing_span_mm Length "Bearing span"; fan_kit flag "Fan kit";
    permitted_orientations text "Permitted orientations"; zone_marking text "Zone marking"; repairable flag "Repairable";
    repair_days Days "Repair time"; max_input_speed_rpm Speed "Max input speed"; efficiency Percent "Efficiency";
    worm_lead_deg Plain "Worm lead angle"; worm_pitch_mm Length "Worm pitch diameter";
    momentary_factor Plain "Momentary factor"; dimensions_mm text "Dimensions"; oil_volume_l Volume "Oil volume";
    price Money "Price"; lead_time_days Days "Lead time"; status status "Status";
    item text "Item"; part text "Part"; bin text "Bin"; unit_value Money "Unit value"; condition condition "Condition";
    last_moved date "Last moved"; last_inspected date "Last inspected"; reserved_for text "Reserved for";
    on_order Plain "On order"; due_date date "Due"; at_repair Plain "At repair"; repair_due date "Repair due";
    repair_cost Money "Repair cost"; where_used text "Where used"; supplier text "Supplier"; stock_date date "Stock date";
    kind text "Kind"; designation text "Designation"; quantity_per_unit Plain "Quantity per unit";
    candidate text "Candidate"; ruling ruling "Ruling"; by text "By"; date date "Date"; note text "Note"; measured flag "Measured";
    event event "Event"; cause text "Cause"; hours_down Hours "Hours down"; parts_used text "Parts used";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fields_unit_is_in_its_name() {
        for field in Field::ALL {
            let Kind::Number(dimension) = field.kind() else { continue };
            let ending = match dimension {
                Dimension::Power => "_kw",
                Dimension::Torque => "_nm",
                Dimension::Speed => "_rpm",
                Dimension::Length => "_mm",
                Dimension::Force => "_n",
                Dimension::Mass => "_kg",
                Dimension::Distance => "_m",
                _ => continue,
            };
            assert!(field.name().contains(ending), "{} is in {dimension:?}", field.name());
        }
    }

    #[test]
    fn every_field_is_found_by_its_name() {
        for field in Field::ALL {
            assert_eq!(Field::find(field.name()), Some(*field));
        }
    }
}
