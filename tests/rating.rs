//! What rating does with a whole row, by hand; and that no finite input makes it fail.

use proptest::prelude::*;

use crate::field::take_in;
use sparemesh::intake::Intake;
use sparemesh::policy::Policy;
use sparemesh::rating::{LoadCurve, Rated, State, Way, rate, ways, working};
use sparemesh::records::{Field, How, Kind, Plant, Position, Record, Value};

fn csv(text: &str) -> Intake {
    take_in("a.csv", text.as_bytes())
}

fn rated(text: &str) -> (Intake, Vec<Rated>) {
    let intake = csv(text);
    let (rated, _) = rate(&intake.plant, &Policy::default());
    (intake, rated)
}

const HEAD: &str =
    "Tag,Machine,Load class,Motor kW,Motor rpm,Ratio,Rated torque [Nm],Gear train,Hours/day,";

#[test]
fn heat_is_rated_where_the_unit_stands() {
    let (_, rated) = rated(&format!(
        "{HEAD}Thermal power [kW],Ambient [°C],Altitude [m],Air\n\
         A,Mixer,M,50,1460,25,20000,helical,24,50,35,1500,indoor\n\
         B,Mixer,M,50,1460,25,20000,helical,24,50,,,\n\
         C,Mixer,M,50,1460,25,20000,helical,24,100,25,0,outdoor\n\
         D,Mixer,M,50,1460,25,20000,helical,24,100,60,0,indoor\n\
         E,Mixer,M,50,1460,25,20000,helical,24,50,25,0,forced\n"
    ));
    let corrected = |at: usize| rated[at].heat.as_ref().unwrap().corrected_kw;
    let close =
        |got: Option<f64>, want: f64| assert!((got.unwrap() - want).abs() < 1e-9, "{got:?}");
    // 50 × 0.88 × 0.90; blank ambient is 40 °C: 50 × 0.81; outdoors 100 × 1.00 × 0.85 and not 1.90;
    // driven air 50 × 1.40. All by hand.
    close(corrected(0), 39.6);
    close(corrected(1), 40.5);
    close(corrected(2), 85.0);
    assert_eq!(corrected(3), None, "60 °C is outside the table");
    close(corrected(4), 70.0);
    assert!(rated[0].is_too_hot() && !rated[2].is_too_hot());
    // 50 / 39.6 = 1.262626: between 1.15 at 60 % and 1.35 at 40 %, 48.737 % of an hour. By hand.
    let minutes = rated[0].heat.as_ref().unwrap().minutes_per_hour.unwrap();
    assert!((minutes - 29.242_4).abs() < 1e-3, "{minutes}");
}

#[test]
fn a_peak_is_a_bound_until_the_inertias_are_known() {
    let (_, rated) = rated(&format!(
        "{HEAD}Start,Motor inertia [kgm2],Load inertia [kgm2],Absorbed power [kW]\n\
         A,Mixer,M,11,1460,25,1900,helical,24,direct,,,8\n\
         B,Mixer,M,11,1460,25,1900,helical,24,direct,0.05,10,8\n\
         C,Stone crusher,H,11,1460,25,1900,helical,24,direct,,,8\n"
    ));
    let peak = |at: usize| rated[at].peak.as_ref().unwrap();
    // η = 0.97² = 0.9409; T2 = 9549.3 × 11 × 0.9409 / 58.4 = 1692.4 N·m; twice that. By hand.
    assert!((peak(0).torque.value() - 3384.8).abs() < 0.3, "{}", peak(0).torque.value());
    assert!(peak(0).bound);
    // 8 kW at the output ask 1308.1 N·m; J_M at the output 0.05 × 625 = 31.25:
    // 1308.1 + (3384.8 − 1308.1) × 10 / 41.25 = 1811.6 N·m. By hand.
    assert!((peak(1).torque.value() - 1811.6).abs() < 0.5, "{}", peak(1).torque.value());
    assert_eq!(peak(1).state(), State::Enough);
    // A crusher may jam: 2.5 × 1692.4 = 4231 N·m against 2 × 1900.
    assert!((peak(2).torque.value() - 4231.0).abs() < 0.5);
    assert_eq!(peak(2).state(), State::Short);
}

#[test]
fn a_bound_that_is_exceeded_proves_nothing() {
    let (_, rated) = rated(&format!("{HEAD}Start\nA,Mixer,M,11,1460,25,1500,helical,24,direct\n"));
    let peak = rated[0].peak.as_ref().unwrap();
    assert!(peak.torque.value() > peak.allowed.unwrap().value());
    assert_eq!(peak.state(), State::Unknown);
}

#[test]
fn pulls_are_taken_at_their_wheel_on_both_shafts() {
    let (_, rated) = rated(
        "Tag,Machine,Load class,Motor kW,Motor rpm,Ratio,Output speed,Input connection,Input pitch diameter [mm],\
         Output connection,Output pitch diameter [mm],Output load distance [mm],Output shaft length [mm],\
         Overhung load output [N],Overhung load input [N],Gear train\n\
         A,Mixer,U,5.5,1450,20,72.5,v-belt,100,pinion,200,60,80,9000,2000,helical\n\
         B,Mixer,U,5.5,1450,20,72.5,v-belt,100,pinion,200,30,80,9000,2000,helical\n",
    );
    let output = rated[0].pull_output.as_ref().unwrap();
    // Motor demand with η = 0.97² = 0.9409: 9055.4 × 0.9409 = 8520 N at the pinion. By hand.
    assert!((output.load.value() - 8520.2).abs() < 1.0, "{}", output.load.value());
    // Mid-shaft at 40 mm, wheel at 60 mm: 9000 × 40 / 60 by the shaft.
    assert!((output.allowed.unwrap().value() - 6000.0).abs() < 1e-9);
    assert!(output.is_too_much());
    let inside = rated[1].pull_output.as_ref().unwrap();
    assert!((inside.allowed.unwrap().value() - 9000.0).abs() < 1e-9);
    // Belted: the input turns at 72.5 × 20 = 1450 r/min: 2 × 36.22 N·m × 1.5 / 0.1 m = 1086.7 N.
    let input = rated[0].pull_input.as_ref().unwrap();
    assert!((input.load.value() - 1086.7).abs() < 0.5, "{}", input.load.value());
    assert!(!input.is_too_much());
}

#[test]
fn every_way_to_a_speed_is_weighed() {
    let intake = csv(
        "Tag,Machine,Motor kW,Motor rpm,Ratio,Wanted output speed,Absorbed power [kW],Gear train,Load curve\n\
         A,Belt conveyor,11,1460,25,38.9,8,helical,\nB,Centrifugal fan,11,1460,25,64,8,helical,\n",
    );
    let policy = Policy::default();
    let (rated, _) = rate(&intake.plant, &policy);
    let of = |at: usize| {
        let position = &intake.plant.positions[at];
        ways(position, &rated[at].duty, 25.0, 0.9409, &policy)
    };
    let found = of(0);
    let get = |kind: fn(&Way) -> bool| found.iter().find(|w| kind(&w.way)).unwrap();
    let six = get(|w| matches!(w, Way::Poles(6)));
    // 1000 × (1460 / 1500) / 25 = 38.93 r/min; 8 × 38.93 / 58.4 = 5.333 kW at constant torque.
    assert!((six.output_rpm - 38.933).abs() < 1e-3 && (six.load_kw.unwrap() - 5.333).abs() < 1e-3);
    let inverter = get(|w| matches!(w, Way::Inverter(_)));
    // 50 × 38.9 / 58.4 = 33.30 Hz; the motor gives 11 × 33.30 / 50 = 7.327 kW there.
    assert!(matches!(inverter.way, Way::Inverter(hz) if (hz - 33.304).abs() < 1e-2));
    assert!((inverter.motor_kw.unwrap() - 7.327).abs() < 1e-2);
    let belt = get(|w| matches!(w, Way::Belt(_)));
    // 1460 / (38.9 × 25) = 1.5013.
    assert!(matches!(belt.way, Way::Belt(ratio) if (ratio - 1.5013).abs() < 1e-4));
    // A fan's power is the cube when faster: 8 × (64 / 58.4)³ = 10.529 kW.
    assert_eq!(LoadCurve::of(&intake.plant.positions[1]), LoadCurve::FanNotStated);
    let faster = of(1);
    let belt = faster.iter().find(|w| matches!(w.way, Way::Belt(_))).unwrap();
    assert!((belt.load_kw.unwrap() - 10.529).abs() < 1e-2, "{belt:?}");
}

#[test]
fn losses_are_worked_from_the_efficiency_and_the_hours() {
    let (_, rated) = rated(
        "Tag,Machine,Motor kW,Motor rpm,Ratio,Absorbed power [kW],Efficiency,Hours/day\n\
         A,Mixer,11,1460,25,9.5,95,24\n",
    );
    let lost = rated[0].losses.unwrap();
    assert!((lost.kw - 0.5).abs() < 1e-9 && (lost.kwh - 4380.0).abs() < 1e-6);
}

#[test]
fn the_default_rate_follows_the_load_only_if_asked() {
    use sparemesh::spares::Demand;
    let intake =
        csv(&format!("{HEAD}Absorbed power [kW]\nA,Mixer,M,11,1460,25,3200,helical,24,8\n"));
    let with = |on: bool| {
        let policy = Policy { rate_by_load_margin: on, ..Policy::default() };
        let (rated, _) = rate(&intake.plant, &policy);
        let demand = Demand::of(&intake.plant, &rated, &policy);
        (demand.rate(0).rate.mean(), rated[0].installed.unwrap(), rated[0].required.factor)
    };
    let ((off, ..), (on, installed, required)) = (with(false), with(true));
    assert!((off - 0.03).abs() < 1e-12);
    // 3200 / 1308.1 = 2.446 against 1.50: 0.03 × (0.4 + 0.6 × (1.5 / 2.446)^(10/3)), by hand 0.01554.
    assert!((installed - 2.446).abs() < 1e-3 && (required - 1.5).abs() < 1e-12);
    assert!((on - 0.015_54).abs() < 2e-5, "{on}");
}

fn cases() -> ProptestConfig {
    let cases = std::env::var("SPAREMESH_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(256);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

/// A value of a field's kind out of one number: anything finite, in range or not.
fn value_of(field: Field, number: f64) -> Value {
    match field.kind() {
        Kind::Number(_) | Kind::Ratio => Value::Number(number),
        Kind::Flag => Value::Flag(number > 0.0),
        Kind::Word(words) => Value::Text(words[(number.abs() as usize) % words.len()].into()),
        Kind::Date => Value::Date(jiff::civil::date(2020, 1, 1)),
        Kind::Text => {
            let texts =
                ["worm", "bevel-helical", "71/17 x 73/12", "Pump", "Stone crusher", "FF215"];
            Value::Text(texts[(number.abs() as usize) % texts.len()].into())
        }
    }
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn no_finite_row_gives_a_nan_or_a_panic(
        values in proptest::collection::vec((0..Field::ALL.len(), prop_oneof![
            Just(0.0), Just(-1.0), Just(1e-300), Just(1e300), -1e6..1e6, 0.0..100.0_f64,
        ]), 0..60)
    ) {
        let mut record = Record::default();
        record.set(Field::tag, Value::Text("A".into()), How::Read, 0);
        for (at, number) in values {
            let field = Field::ALL[at];
            record.set(field, value_of(field, number), How::Read, 1);
        }
        let plant = Plant { positions: vec![Position { record, ..Position::default() }], ..Plant::default() };
        let policy = Policy::default();
        let (rated, _) = rate(&plant, &policy);
        let r = &rated[0];
        let numbers = [
            Some(r.required.factor),
            r.installed,
            r.factor_on_absorbed,
            r.factor_on_motor,
            r.heat.as_ref().and_then(|h| h.corrected_kw),
            r.peak.as_ref().map(|p| p.torque.value()),
            r.pull_output.as_ref().map(|p| p.load.value()),
            r.pull_input.as_ref().map(|p| p.load.value()),
            r.losses.map(|l| l.kwh),
        ];
        for number in numbers.into_iter().flatten() {
            prop_assert!(!number.is_nan(), "{numbers:?}");
        }
        for w in working(r, &plant, &policy, sparemesh::units::System::Us) {
            prop_assert!(w.lines.iter().all(|l| !l.contains("NaN")), "{w:?}");
        }
    }
}

#[test]
fn a_worms_efficiency_follows_its_lead_angle_and_speed() {
    let (_, rated) = rated(
        "Tag,Machine,Motor kW,Motor rpm,Ratio,Gear train,Worm lead angle [°],Worm pitch diameter [mm]\n\
         A,Mixer,4,1460,30,worm,9.462,50.8\nB,Mixer,4,1460,30,worm,,\nC,Mixer,4,146,30,worm,9.462,50.8\n",
    );
    // v = π × 0.0508 × 1460 / 60 / cos 9.462° = 3.937 m/s = 775 ft/min;
    // f = 0.103 · exp(−0.110 × 775^0.450) + 0.012 = 0.0233;
    // e = (0.93969 − 0.0233 × 0.16667) / (0.93969 + 0.0233 × 6.0000) = 0.8668. By hand.
    let e = rated[0].duty.efficiency;
    assert!((e - 0.8668).abs() < 1e-3, "{e}");
    assert_eq!(
        rated[0].duty.efficiency_from.word(),
        "from the worm's lead angle and sliding speed"
    );
    assert_eq!(rated[1].duty.efficiency_from.word(), "by gear type and ratio");
    // Slower, it slides worse.
    assert!(rated[2].duty.efficiency < e);
}

#[test]
fn heavy_shock_counts_for_strength_and_not_for_heat() {
    let (_, rated) = rated(&format!(
        "{HEAD}Absorbed power [kW],Thermal power [kW],Ambient [°C]\n\
         A,Stone crusher,H,50,1460,25,20000,helical,24,20,40,20\n"
    ));
    assert_eq!(rated[0].duty.demand_from().map(|d| d.word()), Some("motor power"));
    // 20 kW at the output over η = 0.97² is 21.26 kW at the input. By hand.
    let need = rated[0].heat.as_ref().unwrap().demand_kw.unwrap();
    assert!((need - 21.257).abs() < 1e-3, "{need}");
}

#[test]
fn a_nominal_ratio_is_an_interval_and_tooth_counts_are_exact() {
    let intake = csv("Tag,Machine,Ratio,Tooth counts,Gear train\nA,Mixer,25,,helical 2-stage\n\
         B,Mixer,24.97,,helical 2-stage\nC,Mixer,,73/17 x 67/16,helical 2-stage\nD,Mixer,25,,helical 3-stage\n");
    let plant = &intake.plant;
    let interval = |at: usize, second: bool| {
        let p = &plant.positions[at];
        sparemesh::rating::Unit::new(p, p.model, plant).ratio_interval(second).unwrap()
    };
    // Two stages: 4 % in both lists; three: 4 % and 5 %.
    assert_eq!(interval(0, false), (24.0, 26.0));
    assert_eq!(interval(1, false), (24.97, 24.97));
    let (low, high) = interval(2, false);
    // 73 × 67 / (17 × 16) = 17.98162. By hand.
    assert!((low - 17.981_62).abs() < 1e-4 && low == high);
    assert_eq!(interval(3, false), (24.0, 26.0));
    assert_eq!(interval(3, true), (23.75, 26.25));
}
