//! The figures of the month, on fleets small enough to work them out by hand.

use std::path::Path;
use std::process::Command;

use serde_json::Value;
use sparemesh::figures::{Given, figures};
use sparemesh::intake::read;
use sparemesh::policy::{Columns, Policy};
use sparemesh::rating::rate;
use sparemesh::spares::{Demand, Gamma, GroupRate, plan_at};
use sparemesh::workbook::{Limits, open};

/// Model, drives, price, cost of an hour, ratio, years of resupply: the fleet G of `tests/README.md`.
const FLEET: [(&str, u32, u32, u32, u32, f64); 4] = [
    ("G1", 6, 12_000, 400, 10, 0.5),
    ("G2", 2, 30_000, 50, 16, 0.75),
    ("G3", 12, 4_000, 20, 25, 0.25),
    ("G4", 1, 45_000, 1_500, 40, 1.0),
];
/// Days of a year, as the program takes them.
const YEAR: f64 = 365.25;

fn file(dir: &Path, name: &str, text: &str) {
    std::fs::write(dir.join(name), text).unwrap();
}

fn drive(tag: &str, model: &str, ratio: u32, hour: u32) -> String {
    format!("{tag},Mixer,5.5,1450,5,24,Alder,{model},{ratio},line,{hour},none,coupling\n")
}

fn model(name: &str, ratio: u32, price: u32, lead_years: f64) -> String {
    let days = lead_years * YEAR; // four places: three could be thousands
    format!(
        "Alder,{name},helical,parallel,foot,{ratio},1450,9000,160,300x220,solid,70,38,{price},{days:.4}\n"
    )
}

const DRIVES: &str = "Tag,Driven machine,Motor kW,Motor speed,Absorbed kW,Hours/day,Make,Type,Ratio,Consequence,Downtime cost,Holds load,Output drive\n";
const LIST: &str = "Maker,Model,Gear type,Axes,Mounting,Ratio,n1 [rpm],Rated torque [Nm],Shaft height [mm],Foot holes [mm],Output form,Output shaft [mm],Input shaft [mm],Price,Lead time [days]\n";
const SHELF: &str = "Item,Maker,Model,Ratio,Quantity,Unit value,Condition,Last inspected\n";

/// Writes the fleet, with so many units of each model on the shelf.
fn fleet(dir: &Path, there: [u32; 4]) {
    let (mut drives, mut list, mut shelf) = (DRIVES.to_owned(), LIST.to_owned(), SHELF.to_owned());
    for ((name, count, price, hour, ratio, lead), there) in FLEET.into_iter().zip(there) {
        (1..=count)
            .for_each(|n| drives.push_str(&drive(&format!("{name}-{n}"), name, ratio, hour)));
        list.push_str(&model(name, ratio, price, lead));
        shelf
            .push_str(&format!("S-{name},Alder,{name},{ratio},{there},{price},ready,2026-09-01\n"));
    }
    file(dir, "drives.csv", &drives);
    file(dir, "list.csv", &list);
    file(dir, "shelf.csv", &shelf);
    file(dir, "policy.toml", "holding_rate = 0.25\n");
}

fn printed(dir: &Path, args: &[&str]) -> Value {
    let mut run = Command::new(env!("CARGO_BIN_EXE_sparemesh"));
    let done = run.args(args).arg(dir).args(["--json", "-q"]).output().unwrap();
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    serde_json::from_slice(&done.stdout).unwrap_or_else(|_| panic!("{said}"))
}

fn month(dir: &Path) -> impl Fn(&str) -> f64 {
    let out = dir.join("out.xlsx");
    let all = printed(dir, &["report", "--month", "2026-10", "-o", out.to_str().unwrap()]);
    move |key: &str| all["figures"][key].as_f64().unwrap_or_else(|| panic!("{key}"))
}

fn near(got: f64, want: f64) {
    assert!((got - want).abs() <= 1e-9 * want.abs().max(1.0), "{got}, not {want}");
}

/// One unit on the shelf for each of the first three. By hand: 12 000 + 30 000 + 4 000 = 46 000 on the shelf, a quarter of it
/// a year to hold, 20 of 21 covered; all fail alike, so weighted by rate as well; by cost of an hour too
/// (6·400 + 2·50 + 12·20) / (2 740 + 1 500). All units that run cost 6·12 000 + 2·30 000 + 12·4 000 + 45 000 = 225 000. A plant
/// never knows its rates sharply: what rests on them is below.
#[test]
fn the_fleet_of_the_monthly_figures_comes_to_its_printed_values() {
    let dir = tempfile::tempdir().unwrap();
    fleet(dir.path(), [1, 1, 1, 0]);
    let figure = month(dir.path());
    for (key, want) in [
        ("stock_value", 46_000.0),
        ("holding_cost", 11_500.0),
        ("positions", 21.0),
        ("covered", 20.0),
        ("cover_by_rate", 20.0 / 21.0),
        ("cover_by_cost", 2_740.0 / 4_240.0),
        ("orphans", 1.0),
        ("one_kind", 21.0),
        ("one_source", 21.0),
        ("one_source_risk", 1.0),
        ("stock_share", 46.0 / 225.0),
        ("turns", figure("expected_demand") / 21.0 * 225.0 / 46.0),
        ("risk_avoided", figure("waiting_without") - figure("waiting_cost")),
        ("avoided_to_holding", figure("risk_avoided") / 11_500.0),
        ("availability", 1.0 - figure("positions_waiting") / 21.0),
        ("excess_value", 0.0),
        ("idle_value", 0.0),
        ("sharing_saves", 0.0),
        ("no_hour_cost", 0.0),
        ("no_price", 0.0),
        ("no_lead_time", 0.0),
        ("own_rates", 0.0),
    ] {
        near(figure(key), want);
    }
    // Resupply half as long again, by the other way to ask for it.
    let asked = printed(dir.path(), &["plan", "--lead-times", "1.5"]);
    let risk = &asked["what_if"]["figures"]["waiting_cost"];
    near(figure("lead_exposure"), risk["then"].as_f64().unwrap() - risk["today"].as_f64().unwrap());
}

/// The fleet with its exact rates, 0.04, 0.05, 0.03 and 0.08 a year, and the stock 1, 1, 1, 0: the figures of a second
/// program (mpmath and scipy), printed to ten places. What longer resupply adds follows by hand from EBO(m, 1) = m − 1 + e⁻ᵐ.
#[test]
fn the_fleet_at_exact_rates_comes_to_what_scipy_gives() {
    let dir = tempfile::tempdir().unwrap();
    fleet(dir.path(), [1, 1, 1, 0]);
    let policy = Policy { holding_rate: 0.25, ..Policy::default() };
    let book = |name: &str| open(&dir.path().join(name), name, Limits::default()).unwrap();
    let books = ["drives.csv", "list.csv", "shelf.csv"].map(book).into();
    let intake = read(books, &policy, &Columns::default());
    let (rated, _) = rate(&intake.plant, &policy);
    let mut demand = Demand::of(&intake.plant, &rated, &policy);
    let pattern = demand.groups[0].clone();
    let rates = [0.04, 0.05, 0.03, 0.08];
    let sharp = |mean: f64| Gamma { shape: 1e8, rate: 1e8 / mean };
    demand.groups =
        rates.iter().map(|r| GroupRate { rate: sharp(*r), ..pattern.clone() }).collect();
    let model = |p: &sparemesh::records::Position| {
        FLEET.iter().position(|g| p.tag().unwrap().starts_with(g.0)).unwrap()
    };
    demand.group_of = intake.plant.positions.iter().map(model).collect();
    let plan = plan_at(&intake.plant, &policy, demand);
    let all = figures(Given {
        plant: &intake.plant,
        policy: &policy,
        rated: &rated,
        plan: &plan,
        findings: &[],
    });
    let figure = |key: &str| all.iter().find(|f| f.key == key).unwrap().value.unwrap();
    let close = |key: &str, want: f64, digits: f64| {
        let got = figure(key);
        assert!((got / want - 1.0).abs() < digits, "{key}: {got}, not {want}");
    };
    close("stock_value", 46_000.0, 1e-12);
    close("holding_cost", 11_500.0, 1e-12);
    close("covered", 20.0, 1e-12);
    close("cover_by_rate", 0.897_435_897_4, 1e-9);
    close("expected_demand", 0.78, 1e-9);
    close("fill", 0.813_654_461_7, 1e-7);
    close("positions_waiting", 0.093_595_108_3, 1e-6);
    close("availability", 0.995_543_090_1, 1e-9);
    close("waiting_cost", 1_077_339.600_928, 1e-6);
    close("waiting_without", 1_520_298.0, 1e-8);
    let avoided = figure("risk_avoided") / figure("waiting_without");
    assert!((avoided - 0.291_362_88).abs() < 1e-7, "{avoided}");
    close("turns", 0.237_391_30, 1e-7);
    let waits = |longer: f64| -> f64 {
        let each = FLEET.iter().zip(rates).zip([1, 1, 1, 0]).map(|((g, rate), there)| {
            let mean = f64::from(g.1) * rate * g.5 * longer;
            // The only drive of G4 fails 0.12 times in its longer resupply: one that waits cannot fail again.
            let alone = if mean > 0.1 { mean / (1.0 + mean) } else { mean };
            let ebo = if there == 1 { mean - 1.0 + (-mean).exp() } else { alone };
            f64::from(g.3) * 8760.0 * ebo
        });
        each.sum()
    };
    close("lead_exposure", waits(1.5) - waits(1.0), 1e-6);
}

/// Nothing on the shelf: every failure waits for an order, so λ·L positions wait (Little's law) and the shelf takes nothing
/// away. The workaround of the policy is in the risk, not in the waiting.
#[test]
fn an_empty_shelf_waits_as_long_as_its_orders_take() {
    let dir = tempfile::tempdir().unwrap();
    fleet(dir.path(), [0; 4]);
    let figure = month(dir.path());
    let rate = figure("expected_demand") / 21.0;
    let sum = |each: &dyn Fn(u32, f64) -> f64| -> f64 {
        FLEET.iter().map(|g| f64::from(g.1) * each(g.3, g.5)).sum()
    };
    near(figure("positions_waiting"), rate * sum(&|_, lead| lead));
    for (key, want) in [
        ("fill", 0.0),
        ("covered", 0.0),
        ("orphans", 21.0),
        ("risk_avoided", 0.0),
        ("stock_value", 0.0),
    ] {
        near(figure(key), want);
    }
    // All drives at one rate λ: λ·Σ n·an hour·8760·(L − workaround).
    let workaround = Policy::default().workaround_hours / 8760.0;
    let cost = sum(&|hour, lead| f64::from(hour) * 8760.0 * (lead - workaround));
    near(figure("waiting_cost"), rate * cost);
}

/// Three exchanges in the twelve months to the newest event: 10 and 30 hours down, and one that does not say; an older one
/// does not count. What lies beyond the plan for drives without an exchange in two years is idle, and what fits nothing.
#[test]
fn the_log_tells_what_waited_and_what_nobody_asked_for() {
    let dir = tempfile::tempdir().unwrap();
    fleet(dir.path(), [30, 1, 1, 1]);
    file(
        dir.path(),
        "events.csv",
        "Date,Tag,Event,Downtime [h]\n2026-10-05,G2-1,exchange,10\n2026-02-01,G3-1,exchange,30\n2025-11-01,G3-2,exchange,\n2025-10-01,G3-3,exchange,90\n2026-10-06,G2-2,oil change,2\n",
    );
    let figure = month(dir.path());
    assert_eq!((figure("exchanges"), figure("exchanges_late")), (3.0, 1.0));
    let planned = {
        let all = printed(dir.path(), &["plan"]);
        let pools = all["pools"].as_array().unwrap().clone();
        move |spare: &str| {
            let own = pools.iter().find(|p| p["spare"].as_str().unwrap().contains(spare)).unwrap();
            own["quantity"].as_f64().unwrap()
        }
    };
    // Thirty of G1, none of which was asked for; what else lies beyond the plan was, or is none.
    let beyond = 12_000.0 * (30.0 - planned("G1"));
    assert!(planned("G1") >= 1.0 && planned("G1") < 10.0);
    near(figure("idle_value"), beyond);
    near(figure("excess_value"), beyond);
    let value: f64 = FLEET.iter().map(|g| f64::from(g.2) * planned(g.0)).sum();
    near(figure("planned_value"), value);
}

/// Six drives with two models that can stand in for each other, three of each. One unit covers all six; apart each model
/// needs one, since none leaves more waiting. By hand: one price saved. Fewer units wait longer: by a mean m of all six,
/// the one has about E[M²]/2 waiting, the two 2·E[(M/2)²]/2; E[M²] is m²·(1 + 1/½) where only the prior of half an event
/// speaks.
#[test]
fn sharing_saves_the_units_that_models_apart_would_need() {
    let dir = tempfile::tempdir().unwrap();
    let drives: String =
        (1..=6).map(|n| drive(&format!("P-{n}"), if n > 3 { "A" } else { "B" }, 10, 40)).collect();
    file(dir.path(), "drives.csv", &format!("{DRIVES}{drives}"));
    file(
        dir.path(),
        "list.csv",
        &format!(
            "{LIST}{}{}",
            model("A", 10, 9_000, 180.0 / YEAR),
            model("B", 10, 9_000, 180.0 / YEAR)
        ),
    );
    file(dir.path(), "shelf.csv", &format!("{SHELF}S-1,Alder,A,10,1,9000,ready,2026-09-01\n"));
    let figure = month(dir.path());
    near(figure("planned_value"), 9_000.0);
    near(figure("sharing_saves"), 9_000.0);
    let mean = figure("expected_demand") * 180.0 / YEAR;
    let about = 8760.0 * 3.0 * mean * mean / 4.0;
    assert!(
        (figure("sharing_waits") / about - 1.0).abs() < 0.3,
        "{} is far from {about}",
        figure("sharing_waits")
    );
}
