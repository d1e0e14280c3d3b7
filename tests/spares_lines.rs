//! What is decided of each shelf line, and that the lines add up.

use super::spares_plan::{LIST, fleet, planned, plant, released, sample, twenty};
use sparemesh::policy::Policy;
use sparemesh::records::Field;
use sparemesh::spares::{Action, Line, Plan, noticed};

const STOCK: &str =
    "Item,Maker,Model,Ratio,Quantity,Unit value,Condition,Repair cost,Last inspected,Stock date\n";

fn line<'a>(plan: &'a Plan, item: &str) -> &'a Line {
    plan.lines.iter().find(|l| l.item == item && !l.rest).unwrap()
}

#[test]
fn the_lines_add_up_to_the_shelf() {
    let plant = sample();
    let plan = planned(&plant, &Policy::default());
    let there = |l: &&Line| l.line.is_some();
    let value: f64 = plan.lines.iter().filter(there).filter_map(|l| l.value).sum();
    assert!((value - plan.stock_value).abs() < 1e-6, "{value} {}", plan.stock_value);
    for at in 0..plant.shelf.len() {
        let units: f64 = plan.lines.iter().filter(|l| l.line == Some(at)).map(|l| l.quantity).sum();
        assert_eq!(units, plant.shelf[at].quantity().unwrap_or(0.0), "{}", plant.shelf[at].name());
    }
    let rests = plan.lines.iter().filter(|l| l.rest);
    assert!(rests.clone().count() > 0 && rests.clone().all(|l| l.action == Action::Hold));
    // What all actions save is what lies between today and the plan, where nothing planned is out of reach.
    let saved: f64 = plan
        .lines
        .iter()
        .filter(|l| matches!(l.action, Action::Buy | Action::Inspect | Action::Rebuild))
        .filter_map(|l| l.benefit)
        .sum();
    assert!(saved <= plan.waiting_cost - plan.waiting_planned + 1e-6, "{saved}");
}

/// Units as removed fit what they fitted: without a catalogue too nothing of them is let go.
#[test]
fn without_a_catalogue_nothing_goes_that_could_be_rebuilt() {
    let mut bare = sample();
    bare.models.clear();
    bare.positions.iter_mut().for_each(|p| p.model = None);
    bare.shelf.iter_mut().for_each(|s| s.model = None);
    let plan = planned(&bare, &Policy::default());
    let gone: Vec<&Line> = plan.lines.iter().filter(|l| l.action == Action::Release).collect();
    assert!(gone.is_empty(), "{gone:?}");
    assert!(line(&plan, "S-1013").reason.contains("review"));
}

/// A new one costs 4 000; the one that lies there as removed is rebuilt for 900. With a repair of 2 500, above six
/// tenths of a new one, it is not.
#[test]
fn rebuilding_is_weighed_against_buying() {
    let made = |repair: u32| {
        let stock = format!("{STOCK}S1,Alm,A100,20,1,4000,as removed,{repair},,\n");
        let fleet = fleet(&["M1", "M2"], "");
        planned(
            &plant(&[("fleet.csv", &fleet), ("list.csv", LIST), ("stock.csv", &stock)]),
            &Policy::default(),
        )
    };
    let cheap = made(900);
    let one = line(&cheap, "S1");
    assert_eq!((one.action, one.quantity, one.cost), (Action::Rebuild, 1.0, Some(900.0)));
    assert!(cheap.lines.iter().all(|l| l.action != Action::Buy));
    // A year: a quarter of the 900 and of what salvage would bring, and a tenth of the 900.
    let hold = 0.25 * (900.0 + 0.1 * 4000.0);
    assert!((cheap.costs.holding - hold).abs() < 1e-9, "{:?}", cheap.costs);
    assert!((cheap.costs.obtaining - 90.0).abs() < 1e-9);
    let dear = made(2_500);
    assert_eq!(line(&dear, "S1").action, Action::Hold);
    assert!(line(&dear, "S1").reason.contains("60 % of a new unit"));
    assert!(dear.lines.iter().any(|l| l.action == Action::Buy && l.item == "model:Alm A100 i=20"));
}

#[test]
fn what_has_no_value_is_not_let_go() {
    let valued = twenty("S1,Acme,X100,20,12,2000,ready,\n", "");
    assert!(released(&valued) > 0.0);
    for value in ["", "0", "-500"] {
        let plan = twenty(&format!("S1,Acme,X100,20,12,{value},ready,\n"), "");
        assert_eq!(released(&plan), 0.0);
        assert!(line(&plan, "S1").reason.contains("no value to weigh"));
        assert!(value == "0" || plan.findings.iter().any(|f| f.code.code == "SP-001"));
    }
}

/// An inspection older than the policy allows proves nothing: 24 months.
#[test]
fn an_old_inspection_is_none() {
    let made = |inspected: &str| {
        let stock = format!("{STOCK}S1,Alm,A100,20,1,4000,ready,,{inspected},2026-10-31\n");
        let fleet = fleet(&["M1", "M2"], "");
        planned(
            &plant(&[("fleet.csv", &fleet), ("list.csv", LIST), ("stock.csv", &stock)]),
            &Policy::default(),
        )
    };
    let fresh = made("2025-06-15");
    assert_eq!((fresh.no_cover.len(), line(&fresh, "S1").action), (0, Action::Hold));
    let old = made("2023-06-15");
    assert_eq!((old.no_cover.len(), line(&old, "S1").action), (2, Action::Inspect));
    assert!(old.waiting_cost > fresh.waiting_cost);
    let said = |plan: &Plan, code: &str| plan.findings.iter().any(|f| f.code.code == code);
    assert!(said(&old, "SP-006") && !said(&fresh, "SP-006"));
    assert!(line(&old, "S1").reason.starts_with("unproven: last inspected on 2023-06-15"));
    // Dated after the stock date it cannot be; without a date it is believed, and told.
    let ahead = made("2027-01-01");
    assert!(said(&ahead, "SP-006") && ahead.no_cover.len() == 2);
    let undated = made("");
    assert!(said(&undated, "SP-007") && undated.no_cover.is_empty());
}

#[test]
fn scrap_and_reserved_units_count_for_nobody_and_say_so() {
    let made = |condition: &str, reserved: &str| {
        let head = "Item,Maker,Model,Ratio,Quantity,Unit value,Condition,Reserved for\n";
        let stock = format!("{head}S1,Alm,A100,20,3,4000,{condition},{reserved}\n");
        let fleet = fleet(&["M1", "M2"], "");
        planned(
            &plant(&[("fleet.csv", &fleet), ("list.csv", LIST), ("stock.csv", &stock)]),
            &Policy::default(),
        )
    };
    for (condition, reserved, word) in
        [("scrap", "", "scrap"), ("Ausschuss", "", "scrap"), ("ready", "M9", "reserved for M9")]
    {
        let plan = made(condition, reserved);
        let one = line(&plan, "S1");
        assert_eq!((one.action, plan.no_cover.len()), (Action::Hold, 2), "{one:?}");
        assert!(one.reason.contains(word), "{one:?}");
        assert!(plan.lines.iter().any(|l| l.action == Action::Buy));
    }
}

/// With all the money there is, a budget buys what the plan buys and saves what its lines say; with less, no more.
#[test]
fn a_budget_saves_what_its_lines_say() {
    let policy = Policy::default();
    let plan = planned(&sample(), &policy);
    let buys = || plan.lines.iter().filter(|l| l.action == Action::Buy);
    let (price, saved): (f64, f64) =
        (buys().filter_map(|l| l.value).sum(), buys().filter_map(|l| l.benefit).sum());
    let all = plan.within(1e9, &policy);
    let before = plan.within(0.0, &policy).waiting;
    assert!((all.spent - price).abs() < 1e-6 && (before - all.waiting - saved).abs() < 1e-3);
    let some = plan.within(15_000.0, &policy);
    assert!(some.spent <= 15_000.0 && before - some.waiting < saved);
    // What one unit for a few positions saves is no more than they cost today.
    let one = plan.within(2_900.0, &policy);
    let at = one.more.iter().position(|n| *n > 0).unwrap();
    assert!(before - one.waiting <= plan.pools[at].waiting_today + 1e-6);
}

/// Who could run on it as a stop-gap is in the proof of a release, and what stays is told once all are known.
#[test]
fn a_release_is_proved_with_all_who_could_take_it() {
    let plan = planned(&sample(), &Policy::default());
    let gone = line(&plan, "S-1014");
    assert_eq!(gone.action, Action::Release);
    let besides = gone.covered_by.split("as a stop-gap or once measured for ").nth(1);
    assert!(besides.is_some_and(|who| who.contains("PU-118")), "{}", gone.covered_by);
    let two = "S1,Acme,X100,20,6,2000,ready,\nS2,Acme,X100,20,6,2000,unproven,\n";
    let plan = twenty(two, "");
    let stays = 12.0 - released(&plan);
    assert!(line(&plan, "S1").quantity >= 1.0 && line(&plan, "S2").quantity == 6.0);
    for item in ["S1", "S2"] {
        let said = format!("{stays:.0} ready of the same model after all releases");
        assert!(
            line(&plan, item).covered_by.starts_with(&said),
            "{}",
            line(&plan, item).covered_by
        );
    }
}

/// What cannot be weighed or is taken for granted is told by cell, with and without a plan.
#[test]
fn what_is_not_known_is_told_by_cell() {
    let list = LIST.replace(",4000,60,", ",4000,,").replace(",5000,60,", ",0,0,");
    let rows = ["M1", "M2"];
    let text = fleet(&rows, "").replace(
        "M2,Mixer,Alm,A100,20,15,1460,12,24,line,500",
        "M2,Mixer,Alm,A100,20,15,1460,12,24,line,",
    );
    let stock = format!("{STOCK}S1,Alm,A100,20,1.5,4000,ready,,,\n");
    let mut plant = plant(&[("fleet.csv", &text), ("list.csv", &list), ("stock.csv", &stock)]);
    let told = noticed(&plant, &Policy::default());
    let said = |code: &str, word: &str| {
        let found = told.iter().find(|f| f.code.code == code && f.message.contains(word));
        found.unwrap_or_else(|| panic!("{code} {word}: {told:?}")).place.address()
    };
    assert_eq!(said("SP-001", "a price of 0").as_deref(), Some("F3"));
    assert_eq!(said("SP-002", "no lead time").as_deref(), Some("A2"));
    assert_eq!(said("SP-002", "a lead time of 0").as_deref(), Some("G3"));
    assert_eq!(said("SP-005", "was taken as 500").as_deref(), Some("A3"));
    assert_eq!(planned(&plant, &Policy::default()).findings, told);
    // Nobody says what an hour down costs: then nothing is weighed.
    for position in &mut plant.positions {
        position.record.clear(Field::down_cost_per_hour);
    }
    let told = noticed(&plant, &Policy::default());
    assert!(told.iter().any(|f| f.code.code == "SP-004"));
    // A class that asks for less than a milder one.
    let mut policy = Policy::default();
    policy.service_levels.people = 0.5;
    assert!(noticed(&plant, &policy).iter().any(|f| f.code.code == "PO-002"));
}

/// A wheel set is of one ratio: bought for the drives that have it, and for no other of the model.
#[test]
fn a_gear_set_fits_one_ratio() {
    let parts = "Model,Part,Kind,Designation,Quantity per unit,Lead time [days],Price\n\
        A100,worm and wheel,gear set,A100 i=30,1,56,300\nA100,worm and wheel,gear set,A100 i=20,1,56,310\n";
    let fleet = fleet(&["M1", "M2", "M3"], "");
    let plan = planned(
        &plant(&[("fleet.csv", &fleet), ("list.csv", LIST), ("parts.csv", parts)]),
        &Policy::default(),
    );
    let of = |name: &str| plan.parts.iter().find(|p| p.name.contains(name)).unwrap();
    assert_eq!((of("i=30").positions.len(), of("i=30").planned, of("i=30").buy()), (0, 0.0, 0.0));
    assert_eq!(of("i=20").positions.len(), 3);
}

/// Reserved for a drive where it does not fit, a unit serves nobody; that is said on the line and by cell.
#[test]
fn a_reservation_that_serves_nobody_is_told() {
    let head = "Item,Maker,Model,Ratio,Quantity,Unit value,Condition,Reserved for\n";
    let stock = format!("{head}S1,Alm,A100,20,1,4000,ready,M2\nS2,Alm,A140,20,1,5000,ready,X9\n");
    let text = fleet(&["M1"], "") + "X9,Mixer,Alm,B60,60,15,1460,12,24,line,500\n";
    let plan = planned(
        &plant(&[
            ("fleet.csv", &(text + "M2,Mixer,Alm,A100,20,15,1460,12,24,line,500\n")),
            ("list.csv", LIST),
            ("stock.csv", &stock),
        ]),
        &Policy::default(),
    );
    let told: Vec<_> = plan.findings.iter().filter(|f| f.code.code == "SP-009").collect();
    assert!(told.len() == 1 && told[0].message.contains("`S2` is reserved for X9"), "{told:?}");
    assert!(line(&plan, "S1").reason.starts_with("reserved for M2 so"));
    assert!(line(&plan, "S2").reason.contains("where it does not fit"));
}

/// Where people could be hurt, a look is not refused for money; and what the lists say of a look agrees.
#[test]
fn a_look_for_people_is_not_weighed() {
    let plan = planned(&sample(), &Policy::default());
    let hoist = &plan.no_cover[0];
    let plant = sample();
    assert_eq!(plant.positions[hoist.position].consequence(), Some("people"));
    let looked_at: Vec<&Line> = plan.lines.iter().filter(|l| l.action == Action::Inspect).collect();
    assert!(looked_at.iter().any(|l| l.item == "S-1004"), "{looked_at:?}");
    for bare in plan.no_cover.iter().filter(|n| n.reason.contains("only an unproven unit")) {
        let line_of = |t: &usize| plan.coverage.types[*t].lines.clone();
        let lines: Vec<usize> = bare.options.iter().flat_map(line_of).collect();
        let any = looked_at.iter().any(|l| l.line.is_some_and(|at| lines.contains(&at)));
        assert!(any || bare.reason.contains("looking costs more"), "{}", bare.reason);
    }
}

/// A shape of one is a constant rate: not a figure moves, the bound among them.
#[test]
fn wear_of_shape_one_moves_nothing() {
    let made = |shape: f64| planned(&sample(), &Policy { wear_shape: shape, ..Policy::default() });
    let (none, one) = (made(0.0), made(1.0));
    assert_eq!((none.cost, none.bound, none.waiting_cost), (one.cost, one.bound, one.waiting_cost));
    assert_eq!(none.conversions, one.conversions);
}

#[test]
fn a_log_without_an_exchange_is_told() {
    let mut plant = sample();
    let told = |plant: &sparemesh::records::Plant| {
        noticed(plant, &Policy::default()).iter().any(|f| f.code.code == "SP-010")
    };
    assert!(!told(&plant));
    plant.events.clear();
    assert!(told(&plant));
}

/// What is to be measured could cover if it comes out well: a stop-gap at best is no cover and promises no saving.
#[test]
fn nothing_is_measured_for_a_stop_gap_at_best() {
    use sparemesh::fit::{Case, assess, find_candidate};
    let (plant, policy) = (sample(), Policy::default());
    let plan = planned(&plant, &policy);
    let mut measured = 0;
    for bare in &plan.no_cover {
        let Some(measure) = &bare.measure else { continue };
        let case = Case::new(&plant, &policy, bare.position);
        let unit = find_candidate(&plant, &measure.candidate).unwrap();
        let best = assess(&case, &unit).best;
        assert!(policy.covers(best.word()), "{}: {best:?}", measure.candidate);
        measured += 1;
    }
    assert!(measured > 5, "{measured}");
    assert!(plan.no_cover.iter().any(|n| n.reason.contains("at best") && n.measure.is_none()));
}
