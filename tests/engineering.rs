//! The trade's numbers against handbooks and hand calculations.

use std::cell::Cell;

use sparemesh::gearing::{
    WormPair, bevel_force, helical_force, pitch_angle_deg, planetary_ratio,
    resists_running_back_up_to_deg, reverses, teeth_ratio, worm_efficiency, worm_friction,
};
use sparemesh::policy::Policy;
use sparemesh::rating::{
    Rolling, bearing_life_h, by_bearing, by_shaft, combined_load, output_torque, overhung_load,
    rate_by_margin, rating_needed_kn, reliability_reached, service_factor, shaft_torque,
    start_torque_through, system_life, thermal_power_kw, weibull_survival, weibull_time,
    worm_rise_f,
};
use sparemesh::records::{Field, Value};
use sparemesh::standards::{
    Driver, LoadClass, altitude_factor, ambient_factor, application_class, application_factor,
    bearing, bore_of, duty_factor, engine_factor, find_c_face, find_flange, find_nema_frame,
    find_sheet, grade_limits, grade_of_number, helical_factor, nearest_preferred, overload_factor,
    parallel_key, reliability_factor, slip, square_key_in, synchronous_speed_rpm, tolerance_limits,
    worm_factor,
};
use sparemesh::units::{Force, INCH, Length, POUND_FORCE, Power, ShaftSpeed, Torque};

use crate::vectors::{Vector, read};

fn rpm(n: f64) -> ShaftSpeed {
    ShaftSpeed::rpm(n).unwrap()
}

/// One check value, looked for among all that the groups below work out.
struct One {
    vector: Vector,
    seen: Cell<bool>,
}

impl One {
    fn near(&self, id: &str, got: f64) {
        if self.vector.id == id {
            self.seen.set(true);
            self.vector.check(got);
        }
    }

    fn same(&self, id: &str, got: &str) {
        if self.vector.id == id {
            self.seen.set(true);
            assert_eq!(got, self.vector.value, "{id}");
        }
    }
}

/// Groups of figures of the trade.
const GROUPS: [fn(&One); 12] = [
    torque_power_and_units_agree_with_exact_definitions,
    ratios_are_read_and_multiplied,
    service_factors_stand_as_the_tables_print_them,
    a_unit_of_1200_newton_metres_is_short_on_a_heavy_conveyor,
    overhung_load_agrees_with_both_printed_forms,
    keys_change_where_the_standard_says,
    thermal_ratings_are_brought_to_their_place,
    loads_move_along_a_shaft_and_add_at_angles,
    mesh_forces_agree_with_the_textbook,
    worms_agree_with_the_textbook,
    dimensions_stand_as_the_tables_print_them,
    lives_agree_with_hand_calculations,
];

/// Works out one check value by its number.
fn works_out(name: &str) {
    let id = format!("E{}", &name[1..]);
    let vector = read("engineering.csv").into_iter().find(|v| v.id == id);
    let one = One { vector: vector.expect("a check value"), seen: Cell::new(false) };
    for group in GROUPS {
        group(&one);
    }
    assert!(one.seen.get(), "{id} is worked out by no group");
}

/// A test for each check value, under its number.
macro_rules! numbered {
    ($($name:ident)*) => {
        $(
            #[test]
            fn $name() {
                works_out(stringify!($name));
            }
        )*

        #[test]
        fn every_check_value_of_the_trade_has_its_test() {
            let named = [$(format!("E{}", &stringify!($name)[1..])),*];
            for vector in read("engineering.csv") {
                assert!(named.contains(&vector.id), "{} has no test", vector.id);
            }
        }
    };
}

numbered! {
    e01 e02 e03a e03b e04a e04b e05 e06a e06b e07 e08a e08b
    e09 e10a e10b e11a e11b e12 e13 e14 e19 e20 e29a e29b
    e30a e30b e30c e31a e31b e34a e34b e34c e34d e15a e15b e16
    e17 e18 e21a e21b e22a e22b e22c e23a e23b e23c e24a e24b
    e24c e25a e25b e25c e25d e25e e26a e26b e27 e28 e32a e32b
    e33a e33b e35 e36a e36b e37a e37b e38a e38b e39a e39b e40a
    e40b e40c e41 e42 e43 e44 e45 e46 e47 e48
}

fn torque_power_and_units_agree_with_exact_definitions(one: &One) {
    let check = |id: &str, got: f64| one.near(id, got);
    check("E01", shaft_torque(Power::kilowatts(7.5), rpm(1450.0)).value());
    check("E02", shaft_torque(Power::horsepower(25.0), rpm(58.3)).over(POUND_FORCE * INCH));
    check("E03a", Power::horsepower(10.0).over(1e3));
    check("E03b", Power::kilowatts(7.5).over(735.498_75));
    check("E04a", Torque::pound_inches(1000.0).value());
    check("E04b", Torque::kilogram_force_metres(100.0).value());
}

fn ratios_are_read_and_multiplied(one: &One) {
    for text in ["1:20", "20:1", "i=20"] {
        let value = sparemesh::intake::read_typed(Field::ratio, text, &Policy::default()).unwrap();
        let Value::Number(ratio) = value else { panic!("{text} is no number") };
        one.near("E05", ratio);
    }
    one.near("E29a", teeth_ratio("88/16 x 88/16").unwrap());
    one.near("E29b", planetary_ratio(80.0, 20.0));
    assert_eq!(-100.0 / planetary_ratio(80.0, 20.0), -20.0);
    let triple = teeth_ratio("73/17 × 67/16 × 59/19").unwrap();
    one.near("E30a", triple);
    one.near("E30b", 1450.0 / triple);
    one.same("E30c", if reverses(3) { "reversed" } else { "alike" });
    one.near("E31a", synchronous_speed_rpm(60.0, 6));
    one.near("E31b", 100.0 * slip(1500.0, 1450.0));
}

fn service_factors_stand_as_the_tables_print_them(one: &One) {
    let check = |id: &str, got: f64| one.near(id, got);
    check("E06a", application_factor("uniform", "moderate shocks").unwrap());
    check("E06b", application_factor("heavy shocks", "heavy shocks").unwrap());
    check("E07", overload_factor("light shock", "heavy shock").unwrap());
    check("E08a", helical_factor(Driver::Motor, 8.0, LoadClass::Heavy));
    check("E08b", helical_factor(Driver::Motor, 24.0, LoadClass::Moderate));
    check("E09", helical_factor(Driver::SingleCylinder, 24.0, LoadClass::Uniform));
    check("E10a", worm_factor(Driver::Motor, 24.0, LoadClass::Moderate, 1.0));
    check("E10b", worm_factor(Driver::Motor, 24.0, LoadClass::Moderate, 12.0));
    check("E11a", engine_factor(1.5, Driver::MultiCylinder));
    check("E11b", engine_factor(1.5, Driver::SingleCylinder));
    check("E12", application_class("II").unwrap());
}

fn a_unit_of_1200_newton_metres_is_short_on_a_heavy_conveyor(one: &One) {
    let demand = output_torque(Power::kilowatts(7.5), 1.0, rpm(72.5));
    let rated = Torque::newton_metres(1200.0);
    let factor = service_factor(rated, demand);
    one.near("E13", factor);
    // Needed 1.50: short by 19.0 %.
    assert!((1.0 - factor / 1.5 - 0.190).abs() < 5e-4);
    let start = 2.5 * demand.value();
    one.near("E14", start);
    assert!(start > 2.0 * rated.value());
}

fn overhung_load_agrees_with_both_printed_forms(one: &One) {
    let torque = shaft_torque(Power::horsepower(5.0), rpm(100.0));
    let load = overhung_load(torque, Length::inches(6.0), 1.5, 1.0);
    one.near("E19", load.over(POUND_FORCE));
    let torque = shaft_torque(Power::kilowatts(5.5), rpm(72.5));
    one.near("E20", overhung_load(torque, Length::millimetres(200.0), 1.25, 1.0).value());
}

fn keys_change_where_the_standard_says(one: &One) {
    for (id, shaft) in [("E34a", 50.0), ("E34b", 65.0), ("E34c", 30.0), ("E34d", 30.1)] {
        let key = parallel_key(shaft).unwrap();
        one.same(id, &format!("{}x{}", key.width, key.height));
    }
}

fn thermal_ratings_are_brought_to_their_place(one: &One) {
    let check = |id: &str, got: f64| one.near(id, got);
    let corrected = 50.0 * ambient_factor(35.0).unwrap() * altitude_factor(1500.0).unwrap();
    check("E15a", corrected);
    check("E15b", corrected * duty_factor(60.0).unwrap());
    check("E16", ambient_factor(32.5).unwrap());
    check("E17", thermal_power_kw(0.02, 2.5, 70.0, 0.96).unwrap());
    check("E18", worm_rise_f(3.0, 0.818, 1800.0, 2000.0, false).unwrap());
    check("E46", altitude_factor(1125.0).unwrap());
}

fn loads_move_along_a_shaft_and_add_at_angles(one: &One) {
    let check = |id: &str, got: Force| one.near(id, got.value());
    check("E21a", by_shaft(Force::newtons(9000.0), 40.0, 60.0));
    check("E21b", by_bearing(Force::newtons(9000.0), 40.0, 60.0, 120.0));
    check("E48", combined_load(Force::newtons(3000.0), Force::newtons(4000.0), 90.0));
}

fn mesh_forces_agree_with_the_textbook(one: &One) {
    let check = |id: &str, got: f64| one.near(id, got);
    let torque = shaft_torque(Power::kilowatts(2.5), rpm(1750.0));
    let spur = helical_force(torque, Length::millimetres(2.5 * 20.0), 20.0, 0.0);
    check("E22a", spur.tangential.value());
    check("E22b", spur.radial.value());
    check("E22c", spur.total().value());
    let torque = shaft_torque(Power::watts(750.0), rpm(1800.0));
    let pitch = 18.0 * 3.0 / 30f64.to_radians().cos();
    let helical = helical_force(torque, Length::millimetres(pitch), 20.0, 30.0);
    check("E23a", helical.tangential.value());
    check("E23b", helical.radial.value());
    check("E23c", helical.axial.value());
    let torque = shaft_torque(Power::horsepower(5.0), rpm(600.0));
    let cone = pitch_angle_deg(15.0, 45.0);
    let bevel = bevel_force(torque, Length::inches(1.293), 20.0, cone);
    check("E24a", bevel.tangential.over(POUND_FORCE));
    check("E24b", bevel.axial.over(POUND_FORCE));
    // The example's radial and axial parts are named from the gear's side.
    check("E24c", bevel.radial.over(POUND_FORCE));
}

fn worms_agree_with_the_textbook(one: &One) {
    let check = |id: &str, got: f64| one.near(id, got);
    let pair = |threads, teeth, inches, per_inch: f64| WormPair {
        threads,
        teeth,
        worm_pitch: Length::inches(inches),
        module: Length::inches(1.0 / per_inch),
        pressure_deg: 14.5,
    };
    let worm = pair(2.0, 30.0, 2.0, 6.0);
    let torque = shaft_torque(Power::horsepower(1.0), rpm(1200.0));
    let (drive, whole, wheel) = worm.forces(torque, 0.03);
    check("E25a", drive.over(POUND_FORCE));
    check("E25b", whole.over(POUND_FORCE));
    check("E25c", wheel.over(POUND_FORCE));
    check("E25d", worm.lead_deg());
    check("E25e", worm.efficiency(0.03));
    check("E26a", worm_friction(1418.6 * 0.3048 / 60.0));
    let single = pair(1.0, 24.0, 3.0, 4.0);
    check("E26b", single.efficiency_at(rpm(1800.0)));
    check("E27", 100.0 * worm_efficiency(10.0, 0.05, 14.5));
    check("E28", resists_running_back_up_to_deg(0.15, 20.0));
}

fn dimensions_stand_as_the_tables_print_them(one: &One) {
    let check = |id: &str, got: &[f64]| {
        let shown: Vec<String> = got.iter().map(f64::to_string).collect();
        one.same(id, &shown.join(" "));
    };
    let foot = find_nema_frame("213T").unwrap();
    check("E32a", &[foot.height_in, foot.half_across_in, foot.along_in, foot.shaft_in]);
    let face = find_c_face("256TC").unwrap();
    check("E32b", &[face.bolt_circle_in, face.spigot_in, face.shaft_length_in]);
    let frames = find_sheet("iec-frames").unwrap();
    let row = frames.rows.iter().find(|row| row[0] == "132M").unwrap();
    let column = |name: &str| {
        let at = frames.headings.iter().position(|h| h == name).unwrap();
        row[at].parse::<f64>().unwrap()
    };
    check("E33a", &["A", "B", "C", "D", "E"].map(column));
    let (circle, spigot, outside) = find_flange("FF265").unwrap();
    check("E33b", &[circle, spigot, outside]);
    check("E35", &[square_key_in(2.25).unwrap(), square_key_in(2.251).unwrap()]);
    let pair = |p: (f64, f64)| [p.0, p.1];
    check("E36a", &pair(tolerance_limits("m6", 50.0).unwrap()));
    check("E36b", &pair(tolerance_limits("H7", 50.0).unwrap()));
    check("E37a", &pair(grade_limits(220.0).unwrap()));
    check("E37b", &["5", "8A Comp"].map(|n| grade_of_number(n).unwrap()));
    check("E40b", &[bore_of("32206").unwrap()]);
    let dims = bearing("6210").unwrap();
    check("E40c", &[dims.inside, dims.outside, dims.width]);
    check("E45", &[false, true].map(|older| reliability_factor(99.0, older).unwrap()));
    check("E47", &[24.6, 0.97, 9.6].map(|n| nearest_preferred(n).unwrap()));
}

fn lives_agree_with_hand_calculations(one: &One) {
    let check = |id: &str, got: Option<f64>| one.near(id, got.unwrap());
    check("E38a", bearing_life_h(Rolling::Ball, 30.0, 5.0, 1000.0));
    check("E38b", bearing_life_h(Rolling::Roller, 30.0, 5.0, 1000.0));
    let load = 1.2 * 2.5;
    check("E39a", rating_needed_kn(Rolling::Ball, load, 525.0, 0.90));
    check("E39b", reliability_reached(Rolling::Ball, 25.5, load, 525.0));
    check("E40a", weibull_survival(20_000.0, 2.0, 75_000.0));
    check("E41", start_torque_through(123.48, 40.0, 0.03, 0.01));
    check("E42", system_life(&[2e4, 3e4, 4e4, 6e4], 10.0 / 9.0));
    check("E43", rate_by_margin(1.4, 1.75, 0.6, 10.0 / 3.0));
    check("E44", weibull_time(0.1, 1.3, 40_000.0));
}
