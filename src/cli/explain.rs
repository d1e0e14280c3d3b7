//! `explain`: one pair, gate by gate.

use super::args::ExplainArgs;
use super::load::load_fleet;
use super::pair::candidate_json;
use super::{Ran, Streams, lookup, render};
use crate::fit::{
    Candidate, Case, From, GateOutcome, GateResult, NoCandidate, Ranked, appraise, decides,
    find_candidate, first_line, load_line,
};
use crate::rating::{EfficiencyFrom, losses};
use crate::records::Plant;
use crate::units::{beside, restated};

pub(super) fn run(args: &ExplainArgs, streams: &mut Streams<'_>) -> Ran {
    let mut loaded = load_fleet(&args.paths, streams)?;
    let index = lookup::tag(&loaded.intake.plant, &args.tag)?;
    let candidate = Some(args.candidate.as_str());
    let measured =
        lookup::set(&mut loaded.intake.plant, index, candidate, &args.set, &loaded.policy)?;
    let plant = &loaded.intake.plant;
    let candidate = find_candidate(plant, &args.candidate).map_err(|why| match why {
        NoCandidate::Unknown(typed) => unknown(plant, &typed),
        NoCandidate::Several(_) => why.to_string(),
    })?;
    let case = Case::new(plant, &loaded.policy, index);
    if streams.common.json {
        let ranked = appraise(&case, candidate);
        render::document("explain", candidate_json(&ranked), streams.out)?;
    } else {
        let ranked = appraise(&case, candidate);
        print(&case, &ranked, &measured, streams)?;
    }
    Ok(super::strict(streams.common, &loaded.intake.findings, &[]))
}

/// Says that nothing is called so, with the nearest names.
fn unknown(plant: &Plant, typed: &str) -> String {
    let titles: Vec<String> = plant.models.iter().map(|m| m.title()).collect();
    let shelf = plant.shelf.iter().filter_map(|s| s.item());
    let tags = plant.positions.iter().filter_map(|p| p.tag());
    let models = plant.models.iter().filter_map(|m| m.model());
    let titles = titles.iter().map(String::as_str);
    let names: Vec<&str> = shelf.chain(tags).chain(models).chain(titles).collect();
    let bare = typed.split_once(':').map_or(typed, |(_, name)| name);
    let near = lookup::near(&bare.replace('_', " "), &names);
    let why = NoCandidate::Unknown(typed.to_owned());
    if near.is_empty() {
        why.to_string()
    } else {
        format!("{why}; did you mean {}?", near.join(", "))
    }
}

fn print(
    case: &Case<'_>,
    ranked: &Ranked<'_>,
    measured: &[lookup::Measured],
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    let (candidate, assessed) = (&ranked.candidate, &ranked.assessed);
    let system = render::system(streams.common);
    if let Some(line) = first_line(case) {
        writeln!(streams.out, "{}\n", render::wrap(line, 0))?;
    }
    let family = candidate.unit.family();
    let head = format!(
        "{} ({}) for {}, where {} runs: {}",
        candidate.id,
        candidate.unit.name(),
        case.tag(),
        case.fitted.name(),
        assessed.verdict.word()
    );
    writeln!(streams.out, "{}", render::wrap(&head, 2))?;
    if candidate.from == From::Position(case.index) {
        writeln!(
            streams.out,
            "This is the unit that stands there itself; it cannot stand in for itself."
        )?;
    } else if let Some(why) = &ranked.not_available {
        writeln!(streams.out, "{}", render::wrap(&format!("Not available: {why}."), 2))?;
    }
    if candidate.from != From::Position(case.index) && assessed.identical {
        writeln!(
            streams.out,
            "It is the same unit as the one that ran there: maker, model and ratio."
        )?;
    }
    writeln!(
        streams.out,
        "{}",
        render::wrap(&beside(&format!("Load: {}", load_line(case)), system), 6)
    )?;
    for one in measured {
        writeln!(streams.out, "{}", render::wrap(&one.said("you measured"), 2))?;
    }
    writeln!(streams.out)?;
    let rows: Vec<Vec<String>> = assessed
        .gates
        .iter()
        .map(|g| {
            let side = |s: &crate::fit::Side| {
                if let crate::fit::Side::Number(n) = s
                    && let Some(shown) = restated(*n, g.unit, system)
                {
                    shown
                } else if g.unit.is_empty() || *s == crate::fit::Side::Unknown {
                    s.to_string()
                } else {
                    format!("{s} {}", g.unit)
                }
            };
            vec![
                g.gate.word().to_owned(),
                g.outcome.word().to_owned(),
                side(&g.have),
                side(&g.need),
                beside(&g.note, system),
            ]
        })
        .collect();
    let headings = ["gate", "result", "has", "needs", "why"];
    writeln!(streams.out, "{}", render::table(&headings, &rows, &[]))?;
    let deciding: Vec<&str> = assessed
        .gates
        .iter()
        .map(|g| g.gate)
        .filter(|g| decides(*g, case, family))
        .map(|g| g.word())
        .collect();
    let line = format!("Deciding here: {}; the others confirm.", deciding.join(", "));
    writeln!(streams.out, "\n{}", render::wrap(&line, 2))?;
    details(&assessed.gates, streams)?;
    if let Some(line) = energy_line(case, candidate) {
        writeln!(streams.out, "\n{}", render::wrap(&beside(&line, system), 8))?;
    }
    if let Some(swap) = &assessed.swap {
        writeln!(streams.out, "{}", render::wrap(&format!("Swap: {swap}"), 6))?;
    }
    Ok(())
}

fn details(gates: &[GateResult], streams: &mut Streams<'_>) -> std::io::Result<()> {
    let system = render::system(streams.common);
    let mut section = |heading: &str, lines: Vec<String>| -> std::io::Result<()> {
        if lines.is_empty() {
            return Ok(());
        }
        writeln!(streams.out, "\n{heading}")?;
        for line in lines {
            writeln!(streams.out, "{}", render::wrap(&beside(&format!("- {line}"), system), 2))?;
        }
        Ok(())
    };
    let night = |at_night: bool| if at_night { "" } else { ", needs the workshop" };
    section(
        "Work",
        gates
            .iter()
            .flat_map(|g| &g.work)
            .map(|w| format!("{} ({:.1} h{})", w.text, w.hours, night(w.at_night)))
            .collect(),
    )?;
    section(
        "Limits",
        gates
            .iter()
            .flat_map(|g| g.limits.iter().map(move |l| format!("{}: {}", g.gate.word(), l.text)))
            .collect(),
    )?;
    section(
        "Measure",
        gates
            .iter()
            .filter(|g| g.outcome == GateOutcome::Unknown)
            .flat_map(|g| {
                g.measure.iter().map(move |m| {
                    format!("{}: {} → {} at {}", g.gate.word(), m.text, m.field.name(), m.place)
                })
            })
            .collect(),
    )?;
    section("Confirm on the machine", gates.iter().flat_map(|g| g.confirm.clone()).collect())?;
    section(
        "Cells",
        gates
            .iter()
            .filter(|g| !g.cells.is_empty())
            .map(|g| {
                format!(
                    "{}: {}",
                    g.gate.word(),
                    g.cells.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
                )
            })
            .collect(),
    )
}

/// What the candidate's efficiency changes in a year.
fn energy_line(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<String> {
    let duty = &case.duty;
    let output = duty.absorbed_kw.or_else(|| duty.motor_kw.map(|kw| kw * duty.efficiency))?;
    let per_stage = case.policy.efficiency_per_stage;
    let found = candidate.unit.efficiency(per_stage, duty.input_rpm);
    // What nothing says is no figure to compare with.
    let unknown = |from: EfficiencyFrom| matches!(from, EfficiencyFrom::Nothing);
    if unknown(found.from) || unknown(duty.efficiency_from) {
        return None;
    }
    let theirs = found.value;
    let price = case.policy.energy_price;
    let now = losses(output, duty.efficiency, duty.hours, price)?;
    let then = losses(output, theirs, duty.hours, price)?;
    let said = match found.from {
        EfficiencyFrom::Listed => "",
        EfficiencyFrom::LeadAngle => ", from its lead angle",
        EfficiencyFrom::Train | EfficiencyFrom::Nothing => ", by gear type",
    };
    Some(format!(
        "Energy: efficiency {theirs:.2}{said} against {:.2}: {:+.2} kW lost, {:+.0} kWh and {:+.0} {} a year at {} h a day",
        duty.efficiency,
        then.kw - now.kw,
        then.kwh - now.kwh,
        then.money - now.money,
        case.policy.currency,
        duty.hours
    ))
}
