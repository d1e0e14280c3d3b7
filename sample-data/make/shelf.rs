//! The storeroom: about sixty lines, and the parts of the commonest models.

use super::Month;
use super::catalogue::Model;
use super::fleet::Drive;
use super::seed::Seed;

/// A shelf line.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub(crate) item: String,
    pub(crate) description: String,
    pub(crate) maker: String,
    pub(crate) model: String,
    pub(crate) ratio: Option<f64>,
    pub(crate) quantity: f64,
    pub(crate) bin: String,
    pub(crate) value: Option<f64>,
    pub(crate) condition: &'static str,
    pub(crate) inspected: Option<(u16, u8)>,
    pub(crate) moved: Option<u16>,
    pub(crate) reserved: &'static str,
    pub(crate) on_order: Option<f64>,
    pub(crate) part: &'static str,
}

/// Every shelf line.
pub(crate) fn lines(
    models: &[Model],
    drives: &[Drive],
    month: Month,
    seed: &mut Seed,
) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut add = |model: &Model,
                   quantity: f64,
                   condition: &'static str,
                   inspected: Option<(u16, u8)>,
                   seed: &mut Seed| {
        let number = 1001 + lines.len();
        lines.push(Line {
            item: format!("S-{number}"),
            description: format!(
                "GEAR UNIT {} {} I={}",
                model.maker.to_uppercase(),
                model.name.to_uppercase(),
                model.ratio
            ),
            maker: model.maker.into(),
            model: model.name.clone(),
            ratio: Some(model.ratio),
            quantity,
            bin: format!(
                "{}{:02}-{}",
                *seed.pick(&["A", "B", "C"]),
                1 + seed.below(24),
                1 + seed.below(4)
            ),
            value: seed.chance(90).then_some((model.price * 0.8 / 10.0).round() * 10.0),
            condition,
            inspected,
            moved: seed.chance(70).then(|| 2006 + seed.below(20) as u16),
            reserved: "",
            on_order: None,
            part: "",
        });
    };
    let named = |name: &str, ratio: f64| {
        models.iter().find(|m| m.name == name && (m.ratio - ratio).abs() < 1e-9)
    };
    // The story's own lines.
    for (name, ratio, quantity, condition, inspected) in [
        ("Ferrow 180", 25.0, 1.0, "ready", Some((2026, 3))),
        ("Heron 180", 31.5, 1.0, "unproven", Some((2019, 5))),
        ("Tern 140", 16.0, 1.0, "ready", Some((2025, 11))),
        ("Linnet 100", 40.0, 1.0, "unproven", Some((2019, 6))),
        ("Heron 280", 63.0, 1.0, "ready", Some((2025, 2))),
    ] {
        if let Some(model) = named(name, ratio) {
            add(model, quantity, condition, inspected, seed);
        }
    }
    // Spares for what is installed, chosen as a plant does: unevenly.
    let mut taken: Vec<usize> = Vec::new();
    for drive in drives.iter().filter(|d| d.model.is_some()) {
        let index = drive.model.unwrap_or_default();
        if lines_enough(&taken, index) || !seed.chance(34) || taken.len() >= 34 {
            continue;
        }
        taken.push(index);
        let condition = *seed.pick(&["ready", "ready", "ready", "unproven", "as removed", ""]);
        let inspected =
            (condition == "ready").then(|| (2025 + seed.below(2) as u16, 1 + seed.below(9) as u8));
        add(&models[index], *seed.pick(&[1.0, 1.0, 1.0, 2.0, 3.0]), condition, inspected, seed);
    }
    // Stock that fits nothing any more.
    for (name, ratio) in [
        ("Heron 225", 8.0),
        ("Tern 225", 63.0),
        ("Corrie 200", 8.0),
        ("Sorrel 90", 63.0),
        ("Dunlin 180", 40.0),
        ("Linnet 50", 10.0),
    ] {
        if let Some(model) = named(name, ratio) {
            add(model, 1.0, "unproven", None, seed);
        }
    }
    change_month(&mut lines, month);
    part_lines(&mut lines);
    lines
}

fn lines_enough(taken: &[usize], index: usize) -> bool {
    taken.contains(&index)
}

/// What happened in October: one unit used, one bought, one reserved, one ordered.
fn change_month(lines: &mut Vec<Line>, month: Month) {
    let at = |n: usize, lines: &Vec<Line>| n.min(lines.len() - 1);
    let (used, bought, reserved, ordered) =
        (at(7, lines), at(9, lines), at(11, lines), at(13, lines));
    lines[reserved].reserved = "BM-118";
    match month {
        Month::September => {
            lines[used].quantity += 1.0;
            lines[ordered].on_order = Some(1.0);
        }
        Month::October => {
            lines[bought].quantity += 1.0;
            lines[ordered].quantity += 1.0;
        }
    }
    // As three people typed them.
    lines[6].model = lines[6].model.replace(' ', "-");
    if lines[8].model.contains('0') {
        lines[8].model = lines[8].model.replacen('0', "O", 1);
    }
    let last = lines.len() - 1;
    lines[last].value = None;
}

fn part_lines(lines: &mut Vec<Line>) {
    for (n, (description, part, quantity, value)) in [
        ("SHAFT SEAL 50X72X8", "shaft seal", 12.0, 9.0),
        ("SHAFT SEAL 60X80X8", "shaft seal", 8.0, 11.0),
        ("SHAFT SEAL 80X100X10", "shaft seal", 6.0, 14.0),
        ("TAPER ROLLER BEARING 30210", "bearing", 4.0, 38.0),
        ("TAPER ROLLER BEARING 30212", "bearing", 4.0, 49.0),
        ("SPHERICAL ROLLER BEARING 22216", "bearing", 3.0, 160.0),
        ("BALL BEARING 6208", "bearing", 10.0, 14.0),
        ("BALL BEARING 6310", "bearing", 8.0, 29.0),
        ("WORM AND WHEEL LINNET 80 I=30", "gear set", 1.0, 420.0),
        ("WORM AND WHEEL LINNET 63 I=20", "gear set", 2.0, 310.0),
        ("BREATHER 1/2 IN", "breather", 15.0, 7.0),
        ("SHAFT SEAL 40X62X8", "shaft seal", 9.0, 8.0),
    ]
    .into_iter()
    .enumerate()
    {
        lines.push(Line {
            item: format!("P-{}", 2001 + n),
            description: description.into(),
            maker: String::new(),
            model: String::new(),
            ratio: None,
            quantity,
            bin: format!("D{:02}-1", n + 1),
            value: Some(value),
            condition: "ready",
            inspected: None,
            moved: Some(2025),
            reserved: "",
            on_order: None,
            part,
        });
    }
}

/// A part of a model.
pub(crate) struct Part {
    pub(crate) model: String,
    pub(crate) part: &'static str,
    pub(crate) kind: &'static str,
    pub(crate) designation: String,
    pub(crate) quantity: f64,
    pub(crate) lead_weeks: f64,
    pub(crate) price: f64,
}

/// Bearings, seals and gear sets of the commonest models.
pub(crate) fn parts(models: &[Model]) -> Vec<Part> {
    let mut seen: Vec<&str> = Vec::new();
    let mut out = Vec::new();
    for model in models.iter().filter(|m| matches!(m.size as u32, 80 | 100 | 140 | 160 | 180)) {
        if seen.contains(&model.name.as_str()) {
            continue;
        }
        seen.push(&model.name);
        let bore = (model.shaft / 5.0).round().clamp(5.0, 20.0);
        let mut add = |part, kind, designation: String, quantity, lead_weeks, price| {
            out.push(Part {
                model: model.name.clone(),
                part,
                kind,
                designation,
                quantity,
                lead_weeks,
                price,
            });
        };
        add("output bearing", "bearing", format!("302{bore:02.0}"), 2.0, 3.0, 12.0 + 3.0 * bore);
        add(
            "output seal",
            "seal",
            format!("{0:.0}x{1:.0}x10", bore * 5.0, bore * 5.0 + 20.0),
            1.0,
            2.0,
            6.0 + bore,
        );
        if model.train == "worm" {
            add(
                "worm and wheel",
                "gear set",
                format!("{} i=30", model.name),
                1.0,
                8.0,
                3.0 * model.size,
            );
        }
    }
    out
}
