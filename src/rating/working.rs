//! The working of a position's figures: each formula with its numbers and its source.

use super::duty::Demand;
use super::rated::Rated;
use super::unit::Unit;
use super::ways::ways;
use crate::policy::{DeviationList, Policy};
use crate::records::{Plant, Position};
use crate::standards::{Family, find_sheet};
use crate::units::{Dimension, NM_PER_KW_RPM, System, show};

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
pub fn working(rated: &Rated, plant: &Plant, policy: &Policy, system: System) -> Vec<Working> {
    let position = &plant.positions[rated.position];
    let unit = Unit::new(position, position.model, plant);
    [
        Some(needed(rated, &unit)),
        Some(demand(rated, position, system)),
        installed(rated, system),
        heat(rated, system),
        peak(rated, system),
        pull("Radial load at the output", rated.pull_output.as_ref(), system),
        pull("Radial load at the input", rated.pull_input.as_ref(), system),
        push(rated, system),
        top_speed(rated),
        ratio(&unit, policy),
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

/// A value in the unit of the formulas, and in the reader's unit where that is another.
fn both(value: f64, dimension: Dimension, system: System) -> String {
    let shown = show(value, dimension, System::Si);
    let own = format!("{value:.*} {}", decimals(value), shown.symbol);
    match system {
        System::Si => own,
        System::Us => {
            let us = show(value, dimension, System::Us);
            format!("{own} ({:.*} {})", decimals(us.value), us.value, us.symbol)
        }
    }
}

fn decimals(value: f64) -> usize {
    match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        _ => 2,
    }
}

fn demand(rated: &Rated, position: &Position, system: System) -> Working {
    let duty = &rated.duty;
    let mut lines = Vec::new();
    match (duty.demand_from(), duty.output_rpm, duty.demand_torque()) {
        (Some(from), Some(n2), Some(torque)) => {
            let (kw, how) = power_at_output(rated, position, from);
            lines.push(format!("T = 9549.3 · P / n2, from {}", from.word()));
            lines.extend(how);
            lines.push(format!(
                "9549.3 × {kw:.2} kW / {n2:.2} r/min = {}",
                both(torque.value(), Dimension::Torque, system)
            ));
        }
        _ => lines.push("unknown: power or output speed is missing".into()),
    }
    Working {
        title: "Torque asked at the output", lines, source: "P = T·ω, by definition".into()
    }
}

/// The power at the output shaft (kW), and how it comes from the one that is entered.
fn power_at_output(rated: &Rated, position: &Position, from: Demand) -> (f64, Vec<String>) {
    let duty = &rated.duty;
    let efficiency = format!("efficiency {:.2}, {}", duty.efficiency, duty.efficiency_from.word());
    let mut lines = Vec::new();
    let kw = match from {
        Demand::Absorbed => {
            let kw = duty.absorbed_kw.unwrap_or(0.0);
            if let Some(entered) = position
                .absorbed_power_kw()
                .filter(|_| position.absorbed_taken_at() == Some("input"))
            {
                lines.push(format!(
                    "taken at the input: {entered:.2} kW × {efficiency} = {kw:.2} kW"
                ));
            } else {
                lines.push(format!("{kw:.2} kW, taken at the driven machine"));
            }
            kw
        }
        Demand::Motor => {
            let motor = duty.motor_kw.unwrap_or(0.0);
            let kw = motor * duty.efficiency;
            lines.push(format!("motor {motor:.2} kW × {efficiency} = {kw:.2} kW"));
            if duty.absorbed_kw.is_some() {
                lines.push(
                    "the absorbed power does not count: with heavy shock only a maximum does"
                        .into(),
                );
            }
            kw
        }
    };
    (kw, lines)
}

fn installed(rated: &Rated, system: System) -> Option<Working> {
    let (rating, demand) = (rated.capacity.torque?, rated.duty.demand_torque()?);
    let factor = rated.installed?;
    let mut lines = Vec::new();
    if let (Some((power, efficiency)), Some(n2)) =
        (rated.capacity.from_power, rated.duty.output_rpm)
    {
        lines.push(format!(
            "T = 9549.3 · P · η / n2: 9549.3 × {power:.2} kW × {efficiency:.2} / {n2:.2} r/min = {}",
            both(NM_PER_KW_RPM * power * efficiency / n2, Dimension::Torque, system)
        ));
    }
    lines.push(format!(
        "rated torque {}: {}",
        both(rating.value(), Dimension::Torque, system),
        rated.capacity.note
    ));
    lines.push(format!(
        "{:.0} / {:.0} = {factor:.2}; needed {:.2}: {}",
        rating.value(),
        demand.value(),
        rated.required.factor,
        rated.state.word()
    ));
    Some(Working {
        title: "Service factor installed",
        lines,
        source: "AGMA 6013 / 6034 practice".into(),
    })
}

/// Axial load at the output shaft.
fn push(rated: &Rated, system: System) -> Option<Working> {
    let (load, allowed) = rated.push?;
    let line = match allowed {
        Some(allowed) => format!(
            "{} against {} allowed",
            both(load.value(), Dimension::Force, system),
            both(allowed.value(), Dimension::Force, system)
        ),
        None => format!("{}; allowed load not known", both(load.value(), Dimension::Force, system)),
    };
    Some(Working {
        title: "Axial load at the output",
        lines: vec![line],
        source: "as entered and listed; no factor".into(),
    })
}

/// Input speed against the top speed.
fn top_speed(rated: &Rated) -> Option<Working> {
    let (n, top) = rated.top_speed?;
    let state = if rated.is_too_fast() { "too fast" } else { "allowed" };
    Some(Working {
        title: "Top speed",
        lines: vec![format!("{n:.0} r/min at the input, at most {top:.0}: {state}")],
        source: "the unit's list".into(),
    })
}

/// What the ratio may really be.
fn ratio(unit: &Unit<'_>, policy: &Policy) -> Option<Working> {
    let second = policy.ratio_deviations == DeviationList::Second;
    let (low, high) = unit.ratio_interval(second)?;
    let line = if (high - low).abs() < 1e-9 {
        format!("{low:.4}, exact")
    } else {
        format!("{} is nominal; the actual one lies between {low:.2} and {high:.2}", unit.ratio()?)
    };
    Some(Working { title: "Ratio", lines: vec![line], source: source("ratio-deviations") })
}

fn heat(rated: &Rated, system: System) -> Option<Working> {
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
            "{:.1} kW × {} = {} against {} at the input: {}",
            heat.listed_kw,
            product.join(" × "),
            both(kw, Dimension::Power, system),
            both(need, Dimension::Power, system),
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

fn peak(rated: &Rated, system: System) -> Option<Working> {
    let peak = rated.peak.as_ref()?;
    let allowed = peak.allowed.map_or_else(
        || "the rating is not known".to_owned(),
        |t| {
            format!(
                "{:.1} × rating = {}: {}",
                peak.momentary,
                both(t.value(), Dimension::Torque, system),
                peak.state().word()
            )
        },
    );
    let lines = vec![
        "T_peak ≤ k · T_rated at service factor 1".to_owned(),
        format!("{}; {}", both(peak.torque.value(), Dimension::Torque, system), peak.note),
        allowed,
    ];
    Some(Working { title: "Momentary peak", lines, source: source("momentary-factors") })
}

fn pull(title: &'static str, pull: Option<&super::pull::Pull>, system: System) -> Option<Working> {
    let pull = pull.filter(|p| p.connection > 0.0)?;
    let lines = vec![
        "F = 2 · T · K / D".to_owned(),
        format!(
            "2 × {:.0} N·m × {} / {:.3} m = {}",
            pull.torque.value(),
            pull.connection,
            pull.pitch?.value() / 1e3,
            both(pull.load.value(), Dimension::Force, system)
        ),
        match pull.allowed {
            Some(allowed) => {
                format!(
                    "allowed {}: {}",
                    both(allowed.value(), Dimension::Force, system),
                    pull.note
                )
            }
            None => "allowed load not known".into(),
        },
    ];
    Some(Working { title, lines, source: source("connections") })
}

fn speeds(rated: &Rated, position: &Position, unit: &Unit<'_>, policy: &Policy) -> Option<Working> {
    let efficiency = unit.efficiency(policy.efficiency_per_stage, rated.duty.input_rpm).value;
    let found = ways(position, &rated.duty, unit.ratio()?, efficiency, policy);
    if found.is_empty() {
        return None;
    }
    let mut lines = vec![format!(
        "wanted {:.1} r/min; load: {}",
        rated.duty.wanted_rpm?,
        rated.duty.curve.word()
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
    let back = match unit.runs_back()? {
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
            "{:.2} kW at efficiency {:.2}, {}; {:.0} h a year: {:.0} kWh, {:.0} {currency}",
            lost.kw,
            rated.duty.efficiency,
            rated.duty.efficiency_from.word(),
            lost.hours,
            lost.kwh,
            lost.money
        ),
    ];
    Some(Working {
        title: "Losses",
        lines,
        source: "definition of efficiency; policy key `energy_price`".into(),
    })
}
