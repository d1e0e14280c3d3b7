//! The drives: about 180 positions in six areas.

use super::catalogue::Model;
use super::seed::Seed;

/// One position with its unit.
#[derive(Clone, Debug)]
pub(crate) struct Drive {
    pub(crate) tag: String,
    pub(crate) area: &'static str,
    pub(crate) machine: String,
    pub(crate) motor_kw: f64,
    pub(crate) motor_rpm: f64,
    pub(crate) absorbed_kw: Option<f64>,
    pub(crate) hours: Option<f64>,
    pub(crate) starts: Option<f64>,
    /// Index into the catalogue; `None` for a unit that no catalogue knows.
    pub(crate) model: Option<usize>,
    pub(crate) maker: String,
    pub(crate) name: String,
    pub(crate) ratio: f64,
    pub(crate) serial: String,
    pub(crate) input: &'static str,
    pub(crate) output: &'static str,
    pub(crate) pulley: Option<f64>,
    pub(crate) class: &'static str,
    pub(crate) down_cost: Option<f64>,
    pub(crate) holds: Option<&'static str>,
    pub(crate) back_stop: Option<&'static str>,
    pub(crate) max_bore: Option<f64>,
    pub(crate) installed: Option<u16>,
    pub(crate) zone: Option<&'static str>,
    pub(crate) slowest: Option<f64>,
    pub(crate) state: Option<&'static str>,
    pub(crate) redundancy: Option<&'static str>,
    pub(crate) description: Option<&'static str>,
}

/// A kind of drive: machine, how many, motor sizes, output speeds, series, and habits.
struct Kind {
    machine: &'static str,
    count: usize,
    kw: &'static [f64],
    n2: f64,
    series: &'static [&'static str],
    output: &'static str,
    class: &'static str,
    cost: f64,
    holds: Option<&'static str>,
}

const fn kind(
    machine: &'static str,
    count: usize,
    kw: &'static [f64],
    n2: f64,
    series: &'static [&'static str],
    output: &'static str,
    class: &'static str,
    cost: f64,
    holds: Option<&'static str>,
) -> Kind {
    Kind { machine, count, kw, n2, series, output, class, cost, holds }
}

const PARALLEL: &[&str] = &["Heron", "Ferrow", "Egret"];
const ANGLE: &[&str] = &["Tern", "Dunlin"];
const HOLLOW: &[&str] = &["Corrie", "Bramble"];
const WORM: &[&str] = &["Linnet"];
const IN_LINE: &[&str] = &["Sorrel"];

#[rustfmt::skip]
const AREAS: &[(&str, &str, &[Kind])] = &[
    ("WY", "Wood yard", &[
        kind("Log conveyor, heavy duty", 6, &[15.0, 22.0, 30.0], 45.0, ANGLE, "chain", "line", 900.0, Some("none")),
        kind("Debarking drum", 2, &[55.0, 75.0], 60.0, PARALLEL, "pinion", "line", 2400.0, Some("none")),
        kind("Chip conveyor, inclined", 5, &[11.0, 15.0, 18.5], 58.0, ANGLE, "coupling", "line", 1100.0, Some("runs-back")),
        kind("Bark screw conveyor, uniformly fed", 6, &[5.5, 7.5], 58.0, HOLLOW, "coupling", "slow", 250.0, Some("none")),
        kind("Chip screen", 4, &[7.5, 11.0], 145.0, PARALLEL, "v-belt", "slow", 300.0, Some("none")),
        kind("Bark conveyor", 5, &[7.5, 11.0], 58.0, HOLLOW, "coupling", "slow", 200.0, None),
    ]),
    ("PU", "Pulping", &[
        kind("Pulper", 3, &[75.0, 90.0], 145.0, PARALLEL, "v-belt", "line", 2600.0, None),
        kind("Agitator, stock chest (liquid and solids)", 12, &[11.0, 15.0, 22.0], 58.0, PARALLEL, "coupling", "slow", 350.0, None),
        kind("Bale conveyor", 4, &[5.5, 7.5], 23.0, HOLLOW, "chain", "line", 1200.0, Some("none")),
        kind("Broke conveyor", 5, &[4.0, 5.5], 36.0, WORM, "chain", "slow", 300.0, None),
        kind("Refiner feed screw feeder", 4, &[7.5, 11.0], 72.0, IN_LINE, "coupling", "line", 1500.0, None),
        kind("Rotary vacuum thickener", 3, &[5.5, 7.5], 23.0, ANGLE, "coupling", "slow", 400.0, None),
        kind("Dosing pump, proportioning", 8, &[1.5, 2.2, 3.0], 72.0, WORM, "coupling", "minor", 60.0, None),
    ]),
    ("BM", "Board machine", &[
        kind("Press section, paper press", 6, &[37.0, 45.0, 55.0], 180.0, PARALLEL, "coupling", "line", 3800.0, None),
        kind("Dryer group, paper dryer", 9, &[30.0, 37.0, 45.0], 145.0, PARALLEL, "coupling", "line", 3800.0, None),
        kind("Couch roll, paper couch", 2, &[55.0, 75.0], 180.0, PARALLEL, "coupling", "line", 3800.0, None),
        kind("Wire return roll drive, paper press", 6, &[11.0, 15.0], 116.0, IN_LINE, "coupling", "line", 3800.0, None),
        kind("Calender, paper", 3, &[45.0, 55.0], 145.0, PARALLEL, "coupling", "line", 3800.0, None),
        kind("Reel, paper", 2, &[30.0, 37.0], 116.0, PARALLEL, "coupling", "line", 3800.0, None),
        kind("Mixer, starch kitchen, constant density", 5, &[3.0, 4.0], 58.0, WORM, "coupling", "slow", 450.0, None),
        kind("Agitator, machine chest (variable density liquid)", 8, &[15.0, 22.0], 58.0, PARALLEL, "coupling", "line", 1800.0, None),
        kind("White water pump, centrifugal", 5, &[22.0, 30.0], 580.0, PARALLEL, "coupling", "line", 2500.0, None),
    ]),
    ("FN", "Finishing", &[
        kind("Winder, paper", 3, &[30.0, 37.0], 145.0, PARALLEL, "coupling", "line", 1600.0, None),
        kind("Reel conveyor", 7, &[3.0, 4.0, 5.5], 29.0, WORM, "chain", "slow", 350.0, None),
        kind("Sheet cutter, paper", 3, &[22.0, 30.0], 116.0, ANGLE, "coupling", "slow", 500.0, None),
        kind("Pallet roller table", 8, &[1.5, 2.2], 36.0, WORM, "chain", "minor", 40.0, Some("none")),
        kind("Strapping line, packing machine", 3, &[2.2, 3.0], 72.0, IN_LINE, "coupling", "minor", 80.0, None),
    ]),
    ("EF", "Effluent", &[
        kind("Clarifier rake", 2, &[2.2, 3.0], 23.0, ANGLE, "coupling", "people", 300.0, Some("none")),
        kind("Sludge screw conveyor, uniformly fed", 5, &[4.0, 5.5], 36.0, HOLLOW, "coupling", "slow", 150.0, Some("none")),
        kind("Bar screen, sewage", 3, &[2.2, 3.0], 36.0, WORM, "chain", "slow", 200.0, None),
        kind("Sludge thickener, sewage", 3, &[3.0, 4.0], 23.0, ANGLE, "coupling", "slow", 200.0, None),
        kind("Mixer, sewage, equalisation tank", 5, &[7.5, 11.0], 72.0, IN_LINE, "coupling", "slow", 150.0, None),
    ]),
    ("ST", "Steam plant", &[
        kind("Bark feed bucket elevator, heavy load", 2, &[11.0, 15.0], 36.0, ANGLE, "coupling", "line", 1400.0, Some("runs-back")),
        kind("Ash conveyor, drag chain", 4, &[4.0, 5.5], 23.0, WORM, "chain", "slow", 250.0, None),
        kind("Stoker", 3, &[3.0, 4.0], 23.0, HOLLOW, "coupling", "line", 1400.0, None),
        kind("Fan, induced draft", 2, &[55.0, 75.0], 580.0, PARALLEL, "coupling", "line", 1400.0, None),
    ]),
];

fn motor_rpm(kw: f64) -> f64 {
    if kw < 5.0 {
        1430.0
    } else if kw < 20.0 {
        1460.0
    } else {
        1475.0
    }
}

/// The model nearest in ratio whose rating is about `factor` times the motor's torque.
fn choose(models: &[Model], series: &str, n1: f64, n2: f64, kw: f64, factor: f64) -> Option<usize> {
    let wanted = n1 / n2;
    let torque = |m: &Model| 9549.3 * kw * m.efficiency * m.ratio / n1;
    let own = |m: &Model| m.name.split(' ').next() == Some(series);
    let nearest = models
        .iter()
        .filter(|m| own(m))
        .map(|m| m.ratio)
        .min_by(|a, b| (a / wanted).ln().abs().total_cmp(&(b / wanted).ln().abs()))?;
    let of_ratio =
        || models.iter().enumerate().filter(|(_, m)| own(m) && (m.ratio - nearest).abs() < 1e-9);
    of_ratio()
        .find(|(_, m)| m.torque_nm >= factor * torque(m))
        .or_else(|| of_ratio().next_back())
        .map(|(index, _)| index)
}

/// Every drive, tags in order.
pub(crate) fn drives(models: &[Model], seed: &mut Seed) -> Vec<Drive> {
    let mut drives = Vec::new();
    for (prefix, area, kinds) in AREAS {
        let mut number = 101;
        for kind in *kinds {
            for n in 1..=kind.count {
                drives.push(one(models, seed, format!("{prefix}-{number}"), area, kind, n));
                number += 1;
            }
        }
    }
    planted(models, &mut drives);
    drives
}

fn one(
    models: &[Model],
    seed: &mut Seed,
    tag: String,
    area: &'static str,
    kind: &Kind,
    n: usize,
) -> Drive {
    let motor_kw = *seed.pick(kind.kw);
    let series = *seed.pick(kind.series);
    let factor = *seed.pick(&[1.05, 1.3, 1.3, 1.55, 1.55, 1.9]);
    let rpm = motor_rpm(motor_kw);
    let model = choose(models, series, rpm, kind.n2, motor_kw, factor);
    let unknown = seed.chance(9);
    let (maker, name, ratio, shaft) = match model {
        Some(index) => {
            let m = &models[index];
            (m.maker.to_owned(), m.name.clone(), m.ratio, m.shaft)
        }
        None => (String::new(), String::new(), rpm / kind.n2, 60.0),
    };
    let belted = kind.output == "v-belt" || kind.output == "chain";
    Drive {
        tag,
        area,
        machine: if kind.count > 1 { format!("{} {n}", kind.machine) } else { kind.machine.into() },
        motor_kw,
        motor_rpm: rpm,
        absorbed_kw: seed
            .chance(55)
            .then(|| (motor_kw * (55 + seed.below(35)) as f64 / 10.0).round() / 10.0),
        hours: seed.chance(85).then(|| {
            if matches!(area, "Board machine" | "Pulping") {
                24.0
            } else {
                *seed.pick(&[16.0, 24.0, 8.0])
            }
        }),
        starts: seed.chance(20).then(|| (1 + seed.below(4)) as f64),
        model: if unknown { None } else { model },
        maker: if unknown { "Hollin & Sedge".into() } else { maker },
        name: if unknown { format!("No. {}", 2 + seed.below(7)) } else { name },
        ratio,
        serial: format!("{}{:05}", *seed.pick(&["A", "K", "T", "R"]), 10_000 + seed.below(80_000)),
        input: if matches!(series, "Linnet" | "Sorrel" | "Corrie" | "Bramble") {
            "flange"
        } else {
            "coupling"
        },
        output: kind.output,
        pulley: (belted && seed.chance(60)).then(|| 160.0 + 20.0 * seed.below(12) as f64),
        class: kind.class,
        down_cost: seed.chance(70).then_some(kind.cost),
        holds: kind.holds.filter(|_| seed.chance(80)),
        back_stop: (kind.holds == Some("runs-back") && seed.chance(60)).then_some("cw"),
        max_bore: seed.chance(45).then_some(shaft + 15.0),
        installed: seed.chance(70).then(|| 1987 + seed.below(37) as u16),
        zone: None,
        slowest: seed.chance(25).then(|| (kind.n2 * 0.75).round()),
        state: None,
        redundancy: None,
        description: None,
    }
}

fn find(models: &[Model], name: &str, ratio: f64) -> Option<usize> {
    models.iter().position(|m| m.name == name && (m.ratio - ratio).abs() < 1e-9)
}

/// Drives that the story in the README leads to.
fn planted(models: &[Model], drives: &mut Vec<Drive>) {
    let base = drives[0].clone();
    let mut add = |tag: &str,
                   area,
                   machine: &str,
                   kw: f64,
                   name: &str,
                   ratio: f64,
                   change: fn(&mut Drive)| {
        let model = find(models, name, ratio);
        let mut drive = Drive {
            tag: tag.into(),
            area,
            machine: machine.into(),
            motor_kw: kw,
            motor_rpm: motor_rpm(kw),
            absorbed_kw: None,
            hours: Some(24.0),
            starts: None,
            model,
            name: name.into(),
            ratio,
            maker: model.map_or("Hollin & Sedge".into(), |i| models[i].maker.into()),
            serial: format!("Z{}", tag.replace('-', "")),
            output: "coupling",
            pulley: None,
            class: "line",
            down_cost: Some(1200.0),
            holds: Some("none"),
            back_stop: None,
            max_bore: None,
            installed: Some(2004),
            slowest: None,
            input: "coupling",
            ..base.clone()
        };
        change(&mut drive);
        drives.push(drive);
    };
    add(
        "CV-501",
        "Wood yard",
        "Chip belt conveyor, uniformly fed",
        22.0,
        "Heron 180",
        25.0,
        |_| {},
    );
    add(
        "CV-502",
        "Wood yard",
        "Chip belt conveyor, uniformly fed",
        22.0,
        "Heron 180",
        25.0,
        |_| {},
    );
    add(
        "CV-503",
        "Wood yard",
        "Reject belt conveyor, uniformly fed",
        15.0,
        "Egret 180",
        31.5,
        |_| {},
    );
    add(
        "CV-504",
        "Wood yard",
        "Sawdust belt conveyor, uniformly fed",
        30.0,
        "Tern 180",
        16.0,
        |d| {
            d.absorbed_kw = Some(21.0);
            d.slowest = Some(70.0);
        },
    );
    add("HO-601", "Finishing", "Hoist, reel handling, medium duty", 7.5, "Linnet 100", 40.0, |d| {
        d.holds = Some("suspended");
        d.hours = Some(6.0);
        d.class = "people";
        d.input = "flange";
    });
    add(
        "MX-701",
        "Pulping",
        "Agitator, broke chest (liquid and solids)",
        15.0,
        "No. 9",
        25.0,
        |d| {
            d.maker = "Hollin & Sedge".into();
            d.holds = None;
        },
    );
    add(
        "DR-801",
        "Board machine",
        "Dryer group, paper dryer, lead section",
        90.0,
        "Heron 280",
        10.0,
        |d| {
            d.down_cost = Some(4200.0);
        },
    );
    add("PU-901", "Effluent", "Sludge pump, rotary lobe", 5.5, "Sorrel 112", 20.0, |d| {
        d.zone = Some("zone 2 IIA T3");
        d.input = "flange";
    });
    add("CV-505", "Wood yard", "Chip belt conveyor, old line", 22.0, "Heron 180", 25.0, |d| {
        d.state = Some("idle");
        d.class = "minor";
    });
    add(
        "AG-711",
        "Pulping",
        "Agitator, reserve tower A (pure liquid)",
        11.0,
        "Ferrow 140",
        25.0,
        |d| {
            d.redundancy = Some("1 of 2 @ tower");
        },
    );
    add(
        "AG-712",
        "Pulping",
        "Agitator, reserve tower B (pure liquid)",
        11.0,
        "Ferrow 140",
        25.0,
        |d| {
            d.redundancy = Some("1 of 2 @ tower");
        },
    );
    add("CV-601", "Finishing", "Core conveyor", 3.0, "", 20.0, |d| {
        d.description = Some("GBX WORM RA 20:1 3KW 30MM SHFT FTMTD");
        d.maker = String::new();
        d.model = None;
        d.holds = None;
        d.input = "flange";
    });
    add("PU-902", "Effluent", "Spray pump, centrifugal, river intake", 11.0, "No. 12", 4.2, |d| {
        d.maker = "Hollin & Sedge".into();
    });
}
