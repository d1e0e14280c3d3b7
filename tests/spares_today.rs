//! Waiting as things stand: by hand, and what it must not move with.

use super::spares_plan::{LIST, fleet, planned, plant, sample};
use sparemesh::policy::Policy;
use sparemesh::records::{Field, How, Plant, Value};
use sparemesh::spares::Plan;

const STOCK: &str = "Item,Maker,Model,Ratio,Quantity,Unit value,Condition\n";

fn two(stock: &str, list: &str, policy: &Policy) -> Plan {
    let stock = format!("{STOCK}{stock}");
    let fleet = fleet(&["M1", "M2"], "");
    let files = [("fleet.csv", &*fleet), ("list.csv", list), ("stock.csv", &*stock)];
    planned(&plant(&files), policy)
}

/// Two positions at the default of 0.03 a year each, Gamma(½, 16⅔); 60 days; 500 an hour. One unit that serves both:
///
/// ```text
/// m = 2 · 0.03 · 60/365.25      P(0) = (b / (b + 60/365.25))^½,  b = 16⅔ / 2
/// units short = m − (1 − P(0))
/// ```
#[test]
fn two_positions_and_one_unit_by_hand() {
    let policy = Policy::default();
    let (hour, days) = (500.0 * 8760.0, 60.0 / 365.25);
    let mean = 2.0 * 0.03 * days;
    let none = two("", LIST, &policy);
    assert!((none.waiting_without - mean * hour).abs() < 1e-6);
    assert!(
        (none.waiting_cost - none.waiting_without).abs() < 1e-6,
        "an empty shelf waits for orders"
    );
    let one = two("S1,Alm,A100,20,1,4000,ready\n", LIST, &policy);
    let b = 0.5 / 0.03 / 2.0;
    let short = mean - (1.0 - (b / (b + days)).sqrt());
    assert!(
        (one.waiting_cost - short * hour).abs() < 1e-6,
        "{} {}",
        one.waiting_cost,
        short * hour
    );
    assert!((one.waiting_without - mean * hour).abs() < 1e-6);
    // A second unit, of another model that serves both too: each position has its own, which waits a little longer than
    // two units for both would.
    let each = 0.03 * days - (1.0 - (2.0 * b / (2.0 * b + days)).sqrt());
    let own = two("S1,Alm,A100,20,1,4000,ready\nS2,Alm,A140,20,1,5000,ready\n", LIST, &policy);
    assert!((own.waiting_cost - 2.0 * each * hour).abs() < 1e-6, "{}", own.waiting_cost);
    // An hour that passes without harm is not paid for: 10 days of the 60.
    let spared = Policy { workaround_hours: 240.0, ..Policy::default() };
    let bare = two("", LIST, &spared).waiting_without;
    let left = days - 240.0 / 8760.0;
    assert!((bare - 2.0 * 0.03 * left * hour).abs() < 1e-6);
}

#[test]
fn prices_of_units_and_of_money_do_not_move_it() {
    let now = planned(&sample(), &Policy::default());
    for policy in [
        Policy { holding_rate: 0.0, ..Policy::default() },
        Policy { holding_rate: 0.9, ..Policy::default() },
        Policy { write_off_years: 2.0, ..Policy::default() },
    ] {
        let then = planned(&sample(), &policy);
        assert_eq!(now.waiting_cost, then.waiting_cost);
        assert!(then.waiting_planned <= then.waiting_cost);
    }
    let mut free = sample();
    for model in &mut free.models {
        model.record.clear(Field::price);
    }
    let then = planned(&free, &Policy::default());
    assert_eq!(now.waiting_cost, then.waiting_cost);
    assert!(
        then.waiting_planned <= then.waiting_cost,
        "a plan that buys nothing makes nothing worse"
    );
    let shares: f64 = now.pools.iter().map(|p| p.waiting_today).sum();
    assert!(shares <= now.waiting_cost + 1e-6);
    let each: f64 = now.risk_today.iter().flatten().sum();
    assert!((each - now.waiting_cost).abs() < 1e-6);
}

#[test]
fn it_moves_with_shelf_and_rates() {
    let now = planned(&sample(), &Policy::default());
    let mut bare = sample();
    bare.shelf.clear();
    let then = planned(&bare, &Policy::default());
    assert_eq!(then.waiting_cost, then.waiting_without);
    assert!(now.waiting_cost < then.waiting_cost);
    // Waiting grows at least with the rates: what is on the shelf is asked for more often.
    let twice = planned(&sample(), &Policy { what_if_rates: 2.0, ..Policy::default() });
    assert!(twice.waiting_cost >= 2.0 * now.waiting_cost - 1e-6, "{}", twice.waiting_cost);
}

/// A position that goes takes what it asks for with it, and not the years in which it did not fail.
#[test]
fn a_position_that_goes_leaves_its_years() {
    let mut plant: Plant = sample();
    let now = planned(&plant, &Policy::default());
    let gone = plant.find_position("BM-122").unwrap();
    let record = &mut plant.positions[gone].record;
    record.set(Field::position_state, Value::Text("retired".into()), How::Measured, 0);
    let then = planned(&plant, &Policy::default());
    for p in (0..plant.positions.len()).filter(|p| *p != gone) {
        assert_eq!(now.demand.mean_rate(p), then.demand.mean_rate(p));
    }
    assert!(then.waiting_cost <= now.waiting_cost + 1e-6);
    assert_eq!(then.risk_today[gone], Some(0.0));
    assert!(then.pools.iter().all(|pool| !pool.positions.contains(&gone)));
}

/// Nobody waits longer than all the time: at 0.03 failures a year and 36 525 days ρ is 3, and the share ¾.
#[test]
fn waiting_is_a_share_of_the_time() {
    let list = LIST.replace(",60,", ",36525,");
    let plan = two("", &list, &Policy::default());
    let hour = 500.0 * 8760.0;
    assert!((plan.waiting_without - 2.0 * 0.75 * hour).abs() < 1e-3, "{}", plan.waiting_without);
    assert!(plan.waiting_cost <= plan.waiting_without + 1e-6);
}

#[test]
fn a_group_of_another_size_than_written_is_told() {
    let told = |text: &str| {
        let rows = [format!("M1|,{text}"), format!("M2|,{text}")];
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        let fleet = fleet(&rows, ",Redundancy");
        let plan =
            planned(&plant(&[("fleet.csv", &fleet), ("list.csv", LIST)]), &Policy::default());
        plan.findings.iter().filter(|f| f.code.code == "SP-008").count()
    };
    assert_eq!(["1 of 2 @ mixers", "2 of 5 @ mixers", "1 of 3"].map(told), [0, 1, 0]);
}
