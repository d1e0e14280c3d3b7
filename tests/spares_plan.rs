//! Plans of whole plants: the bound, parts, debts, redundancy, conversions, outlook.

use std::path::Path;

use proptest::prelude::*;
use sparemesh::intake::read;
use sparemesh::policy::{Columns, Policy};
use sparemesh::rating::rate;
use sparemesh::records::Plant;
use sparemesh::spares::{Gamma, Item, Pack, Plan, PoolInput, Relaxed, choose, finite_source, plan};
use sparemesh::workbook::{Limits, open};

pub(super) fn plant(files: &[(&str, &str)]) -> Plant {
    let dir = tempfile::tempdir().unwrap();
    let books = files.iter().map(|(name, text)| {
        let path = dir.path().join(name);
        std::fs::write(&path, text).unwrap();
        open(&path, name, Limits::default()).unwrap()
    });
    read(books.collect(), &Policy::default(), &Columns::default()).plant
}

pub(super) fn sample() -> Plant {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-data");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "xlsx" || e == "csv"))
        .collect();
    files.sort();
    let book = |p: &std::path::PathBuf| {
        open(p, &p.file_name().unwrap().to_string_lossy(), Limits::default()).unwrap()
    };
    read(files.iter().map(book).collect(), &Policy::default(), &Columns::default()).plant
}

pub(super) fn planned(plant: &Plant, policy: &Policy) -> Plan {
    let (rated, _) = rate(plant, policy);
    plan(plant, &rated, policy)
}

pub(super) const LIST: &str = "Maker,Model,Ratio,Rated torque [Nm],n1 [rpm],Price,Lead time [days],Gear train,Axes,Mounting,Shaft height [mm],Foot holes [mm],Output form,Output shaft [mm],Input shaft [mm],Hand,Mass [kg],Efficiency [%]\n\
    Alm,A100,20,2500,1460,4000,60,helical 2-stage,parallel,foot,160,300x200,solid,60,32,right,100,96\n\
    Alm,A140,20,2600,1460,5000,60,helical 2-stage,parallel,foot,160,300x200,solid,60,32,right,110,96\n";

const HEAD: &str = "Tag,Machine,Maker,Model,Ratio,Motor kW,Motor rpm,Absorbed kW,Hours/day,Consequence,Down cost per hour";

pub(super) fn fleet(rows: &[&str], more: &str) -> String {
    let lines: Vec<String> = rows
        .iter()
        .map(|row| {
            let (tag, rest) = row.split_once('|').unwrap_or((row, ""));
            format!("{tag},Mixer,Alm,A100,20,15,1460,12,24,line,500{rest}")
        })
        .collect();
    format!("{HEAD}{more}\n{}\n", lines.join("\n"))
}

#[test]
fn the_search_and_its_bound_hold_against_looking_at_everything() {
    let plant = sample();
    let exact = planned(&plant, &Policy { enumeration_limit: 5_000_000, ..Policy::default() });
    let searched = planned(&plant, &Policy { enumeration_limit: 0, ..Policy::default() });
    assert!((exact.cost - exact.bound).abs() < 1e-6, "not everything was looked at");
    assert!(searched.bound <= exact.cost + 0.02, "{} above {}", searched.bound, exact.cost);
    assert!(searched.cost >= exact.cost - 1e-6);
    assert!(searched.cost <= exact.cost * 1.001, "{} and {}", searched.cost, exact.cost);
    assert!(searched.gap() < 0.03, "gap {}", searched.gap());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: crate::spares::cases().cases / 8, ..crate::spares::cases() })]

    /// Drawn fleets whose pools are large enough for waiting to cost: looking at every choice of types finds
    /// none below the bound of the relaxed problem.
    #[test]
    fn no_plan_lies_below_its_bound(
        drives in proptest::collection::vec((0..4_usize, 0..3_usize, 0..4_usize), 4..60),
        lists in proptest::collection::vec((2000.0..9000.0_f64, 10..300_u32), 4),
        failed in proptest::collection::vec(any::<u16>(), 0..12),
    ) {
        let kw = ["11,1460,8", "11,1460,10", "15,1460,11.5", "15,1460,12.8"];
        let consequence = ["line,5000", "slow,400", "minor,50"];
        let rows: String = (0..).zip(&drives).map(|(at, (need, class, model))| {
            format!("M{at},Mixer,Alm,A1{model}0,20,{},24,{}\n", kw[*need], consequence[*class])
        }).collect();
        let head = LIST.lines().next().unwrap();
        let list: String = (0..).zip(&lists).map(|(at, (price, days))| {
            let torque = 1900 + 350 * at;
            format!("Alm,A1{at}0,20,{torque},1460,{price:.0},{days},helical 2-stage,parallel,foot,160,300x200,\
                solid,60,32,right,100,96\n")
        }).collect();
        let log: String = failed.iter().map(|n| {
            format!("{},M{},unit replaced,wear\n", 2015 + n % 10, usize::from(*n) % drives.len())
        }).collect();
        let plant = plant(&[
            ("fleet.csv", &format!("{HEAD}\n{rows}")),
            ("list.csv", &format!("{head}\n{list}")),
            ("events.csv", &format!("Date,Tag,Work done,Cause\n{}", log.replace(",M", "-06-01,M"))),
        ]);
        let exact = planned(&plant, &Policy { enumeration_limit: 5_000_000, ..Policy::default() });
        let searched = planned(&plant, &Policy { enumeration_limit: 0, ..Policy::default() });
        prop_assert!(searched.bound <= exact.cost + 0.02, "{} above {}", searched.bound, exact.cost);
        prop_assert!(searched.cost <= exact.cost * 1.01 + 0.02, "{} and {}", searched.cost, exact.cost);
    }
}

proptest! {
    #![proptest_config(crate::spares::cases())]

    /// A few classes and types with capacities: the optimum by looking at every assignment lies between the
    /// bound and the cost that the search finds.
    #[test]
    fn no_choice_lies_below_the_bound(
        loads in proptest::collection::vec(0.05..1.0_f64, 3..7),
        prices in proptest::collection::vec(1.0..20.0_f64, 2..5),
        able in proptest::collection::vec(any::<bool>(), 35),
        waits in proptest::collection::vec(0.2..12.0_f64, 7),
        may_wait in any::<bool>(),
    ) {
        // A pool of no units carries a little, and each of its classes then waits.
        let least = usize::from(!may_wait);
        let extra = |stock: usize, class: usize| if stock == 0 { waits[class] } else { 0.0 };
        let caps = [0.8, 0.4, 1.0, 1.8, 2.7, 3.7, 4.8, 6.0, 7.3];
        let serves = |t: usize, c: usize| t == 0 || able[t * 7 + c];
        let options: Vec<Vec<Option<usize>>> = (0..loads.len())
            .map(|c| (0..prices.len()).filter(|t| serves(*t, c)).map(Some).collect())
            .collect();
        let cost = |spare: Option<usize>, classes: &[usize]| {
            let load: f64 = classes.iter().map(|c| loads[*c]).sum();
            let of = |stock: usize| {
                let waiting: f64 = classes.iter().map(|c| extra(stock, *c)).sum();
                prices[spare.unwrap()] * stock as f64 + waiting
            };
            (least..caps.len()).filter(|s| caps[*s] >= load).map(of).fold(f64::INFINITY, f64::min)
        };
        let relaxed = || {
            let types = (0..prices.len())
                .map(|t| {
                    let items = |s: usize| -> Vec<Item> {
                        let able = (0..loads.len()).filter(|c| serves(t, *c));
                        able.map(|c| Item { class: c, load: loads[c], extra: extra(s, c) }).collect()
                    };
                    let pack = |s: usize| Pack {
                        fixed: prices[t] * s as f64,
                        units: s as u32,
                        cap: caps[s],
                        items: items(s),
                    };
                    (t, (least..caps.len()).map(pack).collect())
                })
                .collect();
            Relaxed::new(types, vec![f64::INFINITY; loads.len()])
        };
        let exact = choose(&options, usize::MAX, Relaxed::default, cost);
        let found = choose(&options, 0, relaxed, cost);
        prop_assert!(found.bound <= exact.cost + 1e-9, "{} above {}", found.bound, exact.cost);
        prop_assert!(found.cost >= exact.cost - 1e-9);
        prop_assert!(found.cost <= exact.cost * 1.05 + 1e-9, "{} and {}", found.cost, exact.cost);
    }
}

#[test]
fn a_part_is_pooled_across_the_models_that_have_it() {
    let parts = "Model,Part,Kind,Designation,Quantity per unit,Lead time [days],Price\n\
        A100,output bearing,bearing,6212 C3,2,30,50\nA140,output bearing,bearing,6212,2,30,55\n\
        A100,output seal,seal,40x62x7,1,20,9\nA140,output seal,seal,40x62x8,1,20,9\n";
    let stock = "Item,Description,Quantity,Bin,Unit value\n\
        1,BALL BEARING 6212-2RS,1,A1,50\n2,SHAFT SEAL 40X62X8,3,A2,9\n3,BALL BEARING 6305,4,A3,20\n";
    let rows: Vec<String> = (0..8).map(|k| format!("M{k}")).collect();
    let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
    let plant = plant(&[
        ("fleet.csv", &fleet(&rows, "")),
        ("list.csv", LIST),
        ("parts.csv", parts),
        ("stock.csv", stock),
    ]);
    let plan = planned(&plant, &Policy::default());
    let part = |name: &str| plan.parts.iter().find(|p| p.name.starts_with(name)).unwrap();
    let bearing = part("6212");
    assert_eq!((bearing.models.len(), bearing.positions.len(), bearing.have), (2, 8, 1.0));
    // 8 positions · 0.1 a year · 30/365.25 years = 0.0657; Gamma(½, 5): P(D = 0) is (5/(5+0.657))^½ = 0.940,
    // above 0.90, so that the next repair finds the two pieces of one repair often enough.
    assert!((bearing.mean - 8.0 * 0.1 * 30.0 / 365.25).abs() < 1e-12);
    assert_eq!((bearing.planned, bearing.buy()), (2.0, 1.0));
    let seal = part("40 x 62 x 7 or 8");
    assert_eq!((seal.have, seal.models.len()), (3.0, 2));
    let idle = part("6305");
    assert!(idle.positions.is_empty() && idle.have == 4.0);
    // At a level of 0.99: P(D ≤ 1) = 0.940·(1 + ½·0.657/5.657) = 0.9948, two repairs of two pieces.
    let strict = planned(&plant, &Policy { part_service_level: 0.99, ..Policy::default() });
    let bearing = strict.parts.iter().find(|p| p.name.starts_with("6212")).unwrap();
    assert_eq!((bearing.planned, bearing.buy()), (4.0, 3.0));
}

#[test]
fn a_stop_gap_is_a_debt() {
    let one = |more: &str, cells: &str| {
        let rows = [
            format!("M1|{cells}"),
            "M2".to_owned() + "|" + &",".repeat(cells.matches(',').count()),
        ];
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        planned(
            &plant(&[("fleet.csv", &fleet(&rows, more)), ("list.csv", LIST)]),
            &Policy::default(),
        )
    };
    let plain = one(",Remark", ",");
    let owing = one(",Fitted as,Stop-gap until", ",A140 from store,2026-12-31");
    let (before, after) = (&plain.pools[0], &owing.pools[0]);
    assert_eq!((before.owed, after.owed), (0, 1));
    assert_eq!(after.buy, before.buy + 1);
    let why = &owing.no_cover.iter().find(|n| n.position == 0).unwrap().reason;
    assert!(why.contains("A140 from store") && why.contains("2026-12-31"), "{why}");
}

#[test]
fn redundancy_counts_the_wait_that_the_plan_leaves() {
    let rows = ["M1|,1 of 2 @ mixers", "M2|,1 of 2 @ mixers"];
    let plan_of = |policy: &Policy| {
        let text = fleet(&rows, ",Redundancy").replace(",500,", ",50000,");
        planned(&plant(&[("fleet.csv", &text), ("list.csv", LIST)]), policy)
    };
    let policy = Policy { common_cause_floor: 0.0, ..Policy::default() };
    let plan = plan_of(&policy);
    let price = plan.waiting_price[0].unwrap();
    let pool = &plan.pools[0];
    let rate = plan.demand.rate(0).rate.mean();
    // By hand: u = ρ/(1+ρ), 1 of 2 is lost with u; ρ is the rate times swap and wait, which lies between that of
    // the plan and the longest usual lead time of 84 days.
    let lost = |wait: f64| {
        let rho = rate * (wait + policy.swap_hours / 8760.0);
        50_000.0 * 8760.0 * rho / (1.0 + rho)
    };
    let wait = pool.planned.backorders / (2.0 * rate);
    assert!((lost(wait) * 0.98..=lost(84.0 / 365.25) * 1.0001).contains(&price), "{price}");
    assert!(pool.planned.stock >= 1);
    assert!(plan_of(&Policy::default()).waiting_price[0].unwrap() >= 0.1 * 50_000.0 * 8760.0);
}

#[test]
fn a_pool_that_fails_often_is_planned_by_its_finite_many_positions() {
    let pool = |rate: f64| PoolInput {
        demand: vec![(Gamma { shape: 1e8, rate: 1e8 / rate }, 1.0)],
        positions: 1,
        lead_years: 1.0,
        workaround_years: 0.0,
        waiting_price: Some(1.0),
        level: 0.9,
        at_least: 0,
        unit_value: 1.0,
        holding_rate: 0.25,
        there: 0,
        rebuildable: 0,
        rebuilding: 0.0,
        buying: 0.1,
    };
    // One position with one spare at 0.5: 12/13 and 1/13.
    let often = pool(0.5).with(1);
    assert!(
        (often.no_wait - 12.0 / 13.0).abs() < 1e-6 && (often.backorders - 1.0 / 13.0).abs() < 1e-6
    );
    assert!((often.fill - finite_source(1, 1, 0.5).fill).abs() < 1e-6);
    // At 0.05 the Poisson form stays: F(1) = 0.998791.
    assert!((pool(0.05).with(1).no_wait - 0.998_790_895_7).abs() < 1e-6);
}

#[test]
fn wear_of_shape_one_is_a_constant_rate() {
    let mut plant = sample();
    let shape = |shape: f64, plant: &Plant| {
        planned(plant, &Policy { wear_shape: shape, ..Policy::default() }).outlook
    };
    assert_eq!(shape(0.0, &plant), None);
    let one = shape(1.0, &plant).unwrap();
    assert!((one.wearing / one.constant - 1.0).abs() < 1e-6, "{one:?}");
    let worn = shape(2.5, &plant).unwrap();
    assert!(worn.dated > 50 && (worn.wearing / worn.constant - 1.0).abs() > 0.01, "{worn:?}");
    plant.events.clear();
    assert_eq!(shape(2.5, &plant), None, "without a date nothing has an age");
}

#[test]
fn units_of_one_age_wear_together() {
    // A rate of 0.03 a year is a mean life of 33 years; put in 40 years ago at a shape of 4 they fail more often
    // than the rate says, put in last year hardly ever.
    let mean = |year: u32, shape: f64| {
        let rows: Vec<String> = (0..4).map(|k| format!("M{k}|,{year}-03-01")).collect();
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        let text = fleet(&rows, ",Installed on").replace(",500,", ",50000,");
        let events = "Date,Tag,Work done\n2026-03-01,M0,oil change\n";
        let plant = plant(&[("fleet.csv", &text), ("list.csv", LIST), ("events.csv", events)]);
        planned(&plant, &Policy { wear_shape: shape, ..Policy::default() }).pools[0].planned.mean
    };
    let constant = mean(1986, 0.0);
    assert!((mean(1986, 1.0) / constant - 1.0).abs() < 1e-6);
    assert!(mean(1986, 4.0) > 2.0 * constant && mean(2025, 4.0) < 0.1 * constant);
}

#[test]
fn running_time_counts_where_the_policy_says_so() {
    let mean = |running: bool, hours: &str| {
        let text =
            fleet(&["M0", "M1", "M2"], "").replace(",24,line,500", &format!(",{hours},line,50000"));
        let plant = plant(&[("fleet.csv", &text), ("list.csv", LIST)]);
        let policy = Policy { rates_per_running_year: running, ..Policy::default() };
        planned(&plant, &policy).pools[0].planned.mean
    };
    // Three positions at 0.03 a year and 60 days; a third of that at 8 h a day where running time counts.
    let full = 3.0 * 0.03 * 60.0 / 365.25;
    assert!((mean(false, "8") - full).abs() < 1e-12);
    assert!((mean(true, "24") - full).abs() < 1e-12);
    assert!((mean(true, "8") - full / 3.0).abs() < 1e-12);
}

#[test]
fn holding_can_be_put_together() {
    // Capital 8 %, storage 3 %, obsolescence 2 % with a tenth salvaged: 0.08 + 0.03 + 0.02·0.9 = 0.128.
    let policy = Policy {
        holding_capital: 0.08,
        holding_storage: 0.03,
        holding_obsolescence: 0.02,
        salvage: 0.1,
        ..Policy::default()
    };
    assert!((policy.holding() - 0.128).abs() < 1e-12);
    assert!((Policy::default().holding() - 0.25).abs() < 1e-12);
}

#[test]
fn conversions_save_and_money_lowers_risk() {
    let plan = planned(&sample(), &Policy::default());
    assert!(!plan.conversions.is_empty());
    assert!(plan.conversions.windows(2).all(|w| w[0].saves >= w[1].saves && w[1].saves > 0.0));
    for c in &plan.conversions {
        let spare = plan.pools[c.pool].spare;
        assert!(!plan.coverage.of_position[c.position].contains(&spare));
    }
    let dear = planned(&sample(), &Policy { conversion_cost: 5e6, ..Policy::default() });
    assert!(dear.conversions.is_empty());
    assert!(
        plan.frontier.windows(2).all(|w| w[1].spent > w[0].spent && w[1].waiting < w[0].waiting)
    );
    let today: f64 = plan.risk_today.iter().flatten().sum();
    assert!(
        (plan.frontier[0].waiting / today - 1.0).abs() < 1e-9,
        "{} {today}",
        plan.frontier[0].waiting
    );
    for service in &plan.services {
        assert!(service.safe <= service.upper + 1e-9, "{service:?}");
    }
}

/// Twenty drives of one model with three exchanges in ten years, and a stock list.
pub(super) fn twenty(stock: &str, marked: &str) -> Plan {
    let head = "Tag,Machine,Make,Type,Ratio,Motor kW,Motor rpm,Hours/day,Consequence,Down cost per hour,Holds load,Fitted as";
    let drives: Vec<String> = (0..20)
        .map(|k| {
            let gap = if k < 3 { marked } else { "" };
            format!("A-{k:02},Belt conveyor,Acme,X100,20,5.5,1450,24,line,1000,none,{gap}")
        })
        .collect();
    let fleet = format!("{head}\n{}\n", drives.join("\n"));
    let list = "Make,Type,Ratio,Rated torque Nm,Rated input speed,Mounting,Output shaft mm,Input shaft mm,Mass kg,Price,Lead time days,Status\n\
        Acme,X100,20,2000,1450,foot,60,28,90,2000,73,current\n";
    let events = "Date,Tag,Work done,Cause\n2016-01-05,A-00,oil change,\n2026-01-05,A-19,oil change,\n\
        2017-06-05,A-00,gearbox replaced,worn\n2018-06-05,A-01,gearbox replaced,worn\n2019-06-05,A-02,gearbox replaced,worn\n";
    let stock = format!("Item,Make,Type,Ratio,Qty,Unit value,Condition,Reserved for\n{stock}");
    let files = [
        ("fleet.csv", &*fleet),
        ("list.csv", list),
        ("events.csv", events),
        ("stock.csv", &*stock),
    ];
    planned(&plant(&files), &Policy::default())
}

pub(super) fn released(plan: &Plan) -> f64 {
    let lines = plan.lines.iter().filter(|l| l.action == sparemesh::spares::Action::Release);
    lines.map(|l| l.quantity).sum()
}

#[test]
fn nothing_is_released_that_somebody_may_need() {
    let plain = twenty("S1,Acme,X100,20,12,2000,ready,\n", "");
    let kept = 12.0 - released(&plain);
    assert!(released(&plain) > 0.0 && kept >= 1.0);
    // At three times the rate the plan itself asks for no more than what stays.
    let policy = Policy { what_if_rates: 3.0, ..Policy::default() };
    let pool = &plain.pools[0];
    let hard = sparemesh::spares::plan_pool(&pool.input.at_rate(policy.what_if_rates));
    assert!(f64::from(hard.stock) <= kept, "{} of {kept}", hard.stock);
    // Three stop-gaps are owed three units more.
    let owing = twenty("S1,Acme,X100,20,12,2000,ready,\n", "stop-gap");
    assert!((released(&plain) - released(&owing) - 3.0).abs() < 1e-9);
    // A reserved line is neither let go nor counted as what stays.
    let reserved = "S1,Acme,X100,20,6,2000,ready,\nS2,Acme,X100,20,6,2000,ready,shutdown 2027\n";
    let reserved = twenty(reserved, "");
    assert!((released(&reserved) - (6.0 - kept).max(0.0)).abs() < 1e-9);
    // Two lines of one item may be one line typed twice.
    let twice = "S1,Acme,X100,20,5,2000,ready,\nS1,Acme,X100,20,7,2000,ready,\n";
    assert_eq!(released(&twenty(twice, "")), 0.0);
    // A spare that only wants measuring is kept although the catalogue covers everybody.
    let open = twenty("S2,Acme,Q77,20,3,2000,ready,\n", "");
    assert_eq!(released(&open), 0.0);
    let why = &open.lines.iter().find(|l| l.item == "S2").unwrap().reason;
    assert!(why.contains("once measured"), "{why}");
    // A slip of the keyboard takes no minutes.
    assert!(released(&twenty("S1,Acme,X100,20,1000000000,2000,ready,\n", "")) > 1e8);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: crate::spares::cases().cases.min(2_000) / 4 + 1, ..crate::spares::cases() })]

    /// With every proposed release carried out, whoever had a ready spare has one still, and nothing that
    /// went is bought again.
    #[test]
    fn releases_together_bare_nobody(
        drives in proptest::collection::vec((0..3_usize, 0..4_usize, any::<bool>()), 4..12),
        stock in proptest::collection::vec((0..4_usize, 0..7_u32, 0..4_usize, 0..8_usize), 1..7),
        exchanges in 0..9_usize,
    ) {
        let models = ["X100", "X120", "Y90", "Q1"];
        let class = ["people", "line", "slow", "minor"];
        let rows: Vec<String> = drives
            .iter()
            .enumerate()
            .map(|(k, (m, c, gap))| {
                let fitted = if *gap && k == 0 { "stop-gap" } else { "" };
                format!("A-{k:02},Mixer,Acme,{},20,5.5,1450,24,{},{},none,{fitted}", models[*m], class[*c], 100 + 700 * k)
            })
            .collect();
        let fleet = format!(
            "Tag,Machine,Make,Type,Ratio,Motor kW,Motor rpm,Hours/day,Consequence,Down cost per hour,Holds load,Fitted as\n{}\n",
            rows.join("\n")
        );
        let list = "Make,Type,Ratio,Rated torque Nm,Rated input speed,Mounting,Axes,Shaft height mm,Foot holes mm,Output form,Output shaft mm,Input shaft mm,Hand,Mass kg,Price,Lead time days\n\
            Acme,X100,20,2000,1450,foot,parallel,160,300x200,solid,60,28,right,90,2000,73\n\
            Acme,X120,20,2100,1450,foot,parallel,160,300x200,solid,60,28,right,95,2300,60\n\
            Acme,Y90,20,1900,1450,foot,parallel,150,280x180,solid,60,28,right,80,1800,50\n";
        let mut events = "Date,Tag,Work done,Cause\n2016-01-05,A-00,oil change,\n2026-01-05,A-01,oil change,\n".to_owned();
        for k in 0..exchanges {
            events.push_str(&format!("20{}-06-05,A-{:02},gearbox replaced,worn\n", 17 + k, k % drives.len()));
        }
        let condition = ["ready", "ready", "unproven", "as removed"];
        let lines: Vec<String> = stock
            .iter()
            .enumerate()
            .map(|(k, (m, n, c, r))| {
                let kept = if *r == 0 { "A-01" } else { "" };
                format!("S{k},Acme,{},20,{n},2000,{},{kept}", models[*m], condition[*c])
            })
            .collect();
        let shelf = format!("Item,Make,Type,Ratio,Qty,Unit value,Condition,Reserved for\n{}\n", lines.join("\n"));
        let files = [("fleet.csv", &*fleet), ("list.csv", list), ("events.csv", &*events), ("stock.csv", &*shelf)];
        let mut plant = plant(&files);
        let policy = Policy::default();
        let before = planned(&plant, &policy);
        let ready = |plan: &Plan, p: usize| {
            plan.coverage.of_position[p].iter().any(|t| plan.coverage.types[*t].ready >= 1.0)
        };
        let had: Vec<bool> = (0..plant.positions.len()).map(|p| ready(&before, p)).collect();
        let bought = |plan: &Plan| plan.pools.iter().map(|p| p.buy).sum::<u32>();
        for line in before.lines.iter().filter(|l| l.action == sparemesh::spares::Action::Release) {
            let at = line.line.unwrap();
            prop_assert!(plant.shelf[at].reserved_for().is_none(), "{line:?}");
            let left = plant.shelf[at].quantity().unwrap() - line.quantity;
            prop_assert!(left >= 0.0 && line.quantity >= 1.0, "{line:?}");
            let value = sparemesh::records::Value::Number(left);
            plant.shelf[at].record.set(sparemesh::records::Field::quantity, value, sparemesh::records::How::Measured, 0);
        }
        let after = planned(&plant, &policy);
        for (p, had) in had.iter().enumerate() {
            prop_assert!(!had || ready(&after, p), "{} lost its ready spare", plant.positions[p].tag().unwrap());
        }
        prop_assert!(bought(&after) <= bought(&before), "{} then {}", bought(&before), bought(&after));
    }
}
