//! The working of a position's figures: each formula with its numbers and its source.

use super::rated::Rated;
use super::unit::Unit;
use super::ways::{LoadCurve, ways};
use crate::policy::Policy;
use crate::records::{Plant, Position};
use crate::standards::{Family, find_sheet};

/// One figure worked out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Working {
    /// What it is of.
    pub title: &'static str,
    /// The lines, formula first.
    pub lines: Vec<String>,
    /// Where the formula or the table comes from.
    pub source: String,
}

/// Every figure of a position that could be worked out.
#[must_use]
pub fn working(rated: &Rated, plant: &Plant, policy: &Policy) -> Vec<Working> {
    let position = &plant.positions[rated.position];
    let unit = Unit::new(position, position.model, plant);
    [
        Some(needed(rated, &unit)),
        Some(demand(rated)),
        installed(rated),
        heat(rated),
        peak(rated),
        pull("Radial load at the output", rated.pull_output.as_ref()),
        pull("Radial load at the input", rated.pull_input.as_ref()),
        speeds(rated, position, &unit, policy),
        lost(rated, &policy.currency),
        gears(&unit),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Source and mark of a built-in table.
fn source(name: &str) -> String {
    let Some(sheet) = find_sheet(name) else { return String::new() };
    if sheet.source == sheet.mark {
        return format!("{} (`tables {name}`)", sheet.source);
    }
    format!("{}; {} (`tables {name}`)", sheet.source, sheet.mark)
}

fn needed(rated: &Rated, unit: &Unit<'_>) -> Working {
    let required = &rated.required;
    let table = if unit.family() == Family::Worm {
        "service-factor-worm"
    } else {
        "service-factor-helical"
    };
    let mut lines = vec![required.source.clone()];
    if let Some(listed) = required.listed {
        lines.push(format!(
            "the larger of {:.2} and {listed:.2}, never below 1.00: {:.2}",
            required.matrix, required.factor
        ));
    } else {
        lines.push(format!("never below 1.00: {:.2}", required.factor));
    }
    if required.refer {
        lines.push(
            "no list gives a factor for such a machine; a responsible engineer decides".into(),
        );
    }
    Working { title: "Service factor needed", lines, source: source(table) }
}

fn demand(rated: &Rated) -> Working {
    let duty = &rated.duty;
    let lines = match (duty.demand_from(), duty.output_rpm, duty.demand_torque()) {
        (Some(from), Some(n2), Some(torque)) => {
            let kw = match from {
                super::duty::Demand::Absorbed => duty.absorbed_kw.unwrap_or(0.0),
                super::duty::Demand::Motor => duty.motor_kw.unwrap_or(0.0) * duty.efficiency,
            };
            vec![
                format!("T = 9549.3 · P / n2, from {}", from.word()),
                format!("9549.3 × {kw:.2} kW / {n2:.2} r/min = {:.0} N·m", torque.value()),
            ]
        }
        _ => vec!["unknown: power or output speed is missing".into()],
    };
    Working {
        title: "Torque asked at the output", lines, source: "P = T·ω, by definition".into()
    }
}

fn installed(rated: &Rated) -> Option<Working> {
    let (rating, demand) = (rated.capacity.torque?, rated.duty.demand_torque()?);
    let factor = rated.installed?;
    let lines = vec![
        format!("rated torque {:.0} N·m: {}", rating.value(), rated.capacity.note),
        format!(
            "{:.0} / {:.0} = {factor:.2}; needed {:.2}: {}",
            rating.value(),
            demand.value(),
            rated.required.factor,
            rated.state.word()
        ),
    ];
    Some(Working {
        title: "Service factor installed",
        lines,
        source: "AGMA 6013 / 6034 practice".into(),
    })
}

fn heat(rated: &Rated) -> Option<Working> {
    let heat = rated.heat.as_ref()?;
    let mut lines = vec![
        "P = P_thermal · B_ambient · B_air · B_altitude · B_sun, no service factor".to_owned(),
    ];
    for factor in &heat.factors {
        lines.push(format!("{} {:.2} ({})", factor.name, factor.value, factor.why));
    }
    let product: Vec<String> = heat.factors.iter().map(|f| format!("{:.2}", f.value)).collect();
    match (heat.corrected_kw, heat.demand_kw) {
        (Some(kw), Some(need)) => lines.push(format!(
            "{:.1} kW × {} = {kw:.1} kW against {need:.1} kW at the input: {}",
            heat.listed_kw,
            product.join(" × "),
            heat.state().word()
        )),
        (Some(kw), None) => lines.push(format!("{kw:.1} kW; the power at the input is not known")),
        (None, _) => {}
    }
    if let Some(minutes) = heat.minutes_per_hour {
        lines.push(format!("it would do for {minutes:.0} minutes in each hour"));
    }
    lines.extend(heat.note.clone());
    Some(Working { title: "Heat", lines, source: source("thermal-ambient") })
}

fn peak(rated: &Rated) -> Option<Working> {
    let peak = rated.peak.as_ref()?;
    let allowed = peak.allowed.map_or_else(
        || "the rating is not known".to_owned(),
        |t| {
            format!(
                "{:.1} × rating = {:.0} N·m: {}",
                peak.momentary,
                t.value(),
                peak.state().word()
            )
        },
    );
    let lines = vec![
        "T_peak ≤ k · T_rated at service factor 1".to_owned(),
        format!("{:.0} N·m; {}", peak.torque.value(), peak.note),
        allowed,
    ];
    Some(Working { title: "Momentary peak", lines, source: source("momentary-factors") })
}

fn pull(title: &'static str, pull: Option<&super::pull::Pull>) -> Option<Working> {
    let pull = pull.filter(|p| p.connection > 0.0)?;
    let lines = vec![
        "F = 2 · T · K / D".to_owned(),
        format!(
            "2 × {:.0} N·m × {} / {:.3} m = {:.0} N",
            pull.torque.value(),
            pull.connection,
            pull.pitch?.value() / 1e3,
            pull.load.value()
        ),
        match pull.allowed {
            Some(allowed) => format!("allowed {:.0} N: {}", allowed.value(), pull.note),
            None => "allowed load not known".into(),
        },
    ];
    Some(Working { title, lines, source: source("connections") })
}

fn speeds(rated: &Rated, position: &Position, unit: &Unit<'_>, policy: &Policy) -> Option<Working> {
    let (efficiency, _) = unit.efficiency(policy.efficiency_per_stage);
    let found = ways(position, &rated.duty, unit.ratio()?, efficiency, policy);
    if found.is_empty() {
        return None;
    }
    let mut lines = vec![format!(
        "wanted {:.1} r/min; load: {}",
        rated.duty.wanted_rpm?,
        LoadCurve::of(position).word()
    )];
    for way in found {
        let load = match (way.load_kw, way.margin) {
            (Some(kw), Some(margin)) => format!(", load {kw:.1} kW, motor gives {margin:.2} of it"),
            (Some(kw), None) => format!(", load {kw:.1} kW"),
            _ => String::new(),
        };
        let note = way.note.map_or_else(String::new, |n| format!(" ({n})"));
        lines.push(format!(
            "{}: {:.1} r/min, {:+.1} %{load}{note}",
            way.way, way.output_rpm, way.deviation_pct
        ));
    }
    Some(Working {
        title: "Ways to the wanted speed",
        lines,
        source: "n = 120·f/p; affinity laws for fan-like loads".into(),
    })
}

/// What the gears do by their kind: whether they run back, and which way their thrust goes.
fn gears(unit: &Unit<'_>) -> Option<Working> {
    use crate::gearing::RunsBack;
    let train = unit.train()?;
    let back = match train.runs_back(unit.ratio()?) {
        RunsBack::Yes => "the output can drive it back",
        RunsBack::Uncertain => "it may or may not run back; nobody can rely on either",
        RunsBack::Resists => {
            "at rest it resists running back until something shakes it; it is never a brake"
        }
    };
    let mut lines = vec![back.to_owned()];
    if let Some(pushes) = train.pushes() {
        let said = if pushes {
            "its gears push along their shafts; the push turns over with the sense of rotation"
        } else {
            "its gears do not push along their shafts"
        };
        lines.push(said.to_owned());
    }
    Some(Working { title: "Gears", lines, source: source("gear-facts") })
}

fn lost(rated: &Rated, currency: &str) -> Option<Working> {
    let lost = rated.losses?;
    let lines = vec![
        "P_loss = P_out · (1/η − 1)".to_owned(),
        format!(
            "{:.2} kW at efficiency {:.2}; {:.0} h a year: {:.0} kWh, {:.0} {currency}",
            lost.kw, rated.duty.efficiency, lost.hours, lost.kwh, lost.money
        ),
    ];
    Some(Working {
        title: "Losses",
        lines,
        source: "definition of efficiency; policy key `energy_price`".into(),
    })
}
