//! `rate`: required against installed, position by position.

use std::collections::BTreeMap;

use serde_json::json;

use super::args::RateArgs;
use super::load::load_fleet;
use super::{Ran, Streams, render};
use crate::rating::{Rated, State, rate, working};
use crate::records::Plant;
use crate::standards::nearest_machines;
use crate::units::{Dimension, show};

pub(super) fn run(args: &RateArgs, streams: &mut Streams<'_>) -> Ran {
    let loaded = load_fleet(&args.paths, streams)?;
    let plant = &loaded.intake.plant;
    let (mut rated, findings) = rate(plant, &loaded.policy);
    rated.sort_by(|a, b| {
        let short = |r: &Rated| r.installed.map_or(f64::MAX, |sf| sf / r.required.factor);
        (a.state, short(a)).partial_cmp(&(b.state, short(b))).unwrap_or(std::cmp::Ordering::Equal)
    });
    if let Some(tag) = &args.working {
        show_working(tag, &rated, &loaded, streams)?;
    } else if streams.common.json {
        let positions: Vec<_> = rated.iter().map(|r| as_json(r, plant)).collect();
        render::document("rate", json!({ "positions": positions }), streams.out)?;
    } else {
        print(&rated, plant, streams)?;
    }
    Ok(super::strict(streams.common, &loaded.intake.findings, &findings))
}

/// The working of one position's figures.
fn show_working(
    tag: &str,
    rated: &[Rated],
    loaded: &super::load::Loaded,
    streams: &mut Streams<'_>,
) -> Result<(), Box<dyn std::error::Error>> {
    let plant = &loaded.intake.plant;
    let index = super::lookup::tag(plant, tag)?;
    let Some(rated) = rated.iter().find(|r| r.position == index) else { return Ok(()) };
    let system = render::system(streams.common);
    let worked = working(rated, plant, &loaded.policy, system);
    if streams.common.json {
        let figures: Vec<_> = worked
            .iter()
            .map(|w| json!({ "title": w.title, "lines": w.lines, "source": w.source }))
            .collect();
        let body = json!({ "tag": plant.positions[index].tag(), "working": figures });
        return render::document("rate", body, streams.out);
    }
    writeln!(streams.out, "Working for {}", plant.positions[index].tag().unwrap_or(tag))?;
    for figure in worked {
        writeln!(streams.out, "\n{}", figure.title)?;
        for line in &figure.lines {
            writeln!(streams.out, "{}", render::wrap(&format!("  {line}"), 4))?;
        }
        writeln!(streams.out, "{}", render::wrap(&format!("  source: {}", figure.source), 4))?;
    }
    Ok(())
}

fn as_json(r: &Rated, plant: &Plant) -> serde_json::Value {
    let position = &plant.positions[r.position];
    json!({
        "tag": position.tag(),
        "required_service_factor": r.required.factor,
        "installed_service_factor": r.installed,
        "installed_on_absorbed_power": r.factor_on_absorbed,
        "installed_on_motor_power": r.factor_on_motor,
        "demand_from": r.duty.demand_from().map(|d| d.word()),
        "demand_torque_nm": r.duty.demand_torque().map(|t| t.value()),
        "rated_torque_nm": r.capacity.torque.map(|t| t.value()),
        "output_speed_rpm": r.duty.output_rpm,
        "thermal_power_kw": r.heat.as_ref().and_then(|h| h.corrected_kw),
        "thermal_demand_kw": r.heat.as_ref().and_then(|h| h.demand_kw),
        "thermal_minutes_per_hour": r.heat.as_ref().and_then(|h| h.minutes_per_hour),
        "peak_torque_nm": r.peak.as_ref().map(|p| p.torque.value()),
        "peak_allowed_nm": r.peak.as_ref().and_then(|p| p.allowed).map(|t| t.value()),
        "peak_is_bound": r.peak.as_ref().map(|p| p.bound),
        "overhung_n": r.pull_output.as_ref().map(|p| p.load.value()),
        "overhung_allowed_n": r.pull_output.as_ref().and_then(|p| p.allowed).map(|f| f.value()),
        "overhung_input_n": r.pull_input.as_ref().map(|p| p.load.value()),
        "overhung_input_allowed_n":
            r.pull_input.as_ref().and_then(|p| p.allowed).map(|f| f.value()),
        "axial_n": r.push.map(|p| p.0.value()),
        "axial_allowed_n": r.push.and_then(|p| p.1).map(|f| f.value()),
        "loss_kw": r.losses.map(|l| l.kw),
        "loss_kwh_per_year": r.losses.map(|l| l.kwh),
        "short_of": r.short_of(),
        "state": r.state.word(),
        "source": r.required.source,
        "notes": r.notes,
    })
}

fn print(rated: &[Rated], plant: &Plant, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let system = render::system(streams.common);
    let wide = render::width() >= 110;
    let symbol = show(0.0, Dimension::Torque, system).symbol;
    let rows: Vec<Vec<String>> = rated
        .iter()
        .map(|r| {
            let position = &plant.positions[r.position];
            let torque = |t: Option<crate::units::Torque>| {
                let shown = t.map(|t| show(t.value(), Dimension::Torque, system).value);
                shown.map_or_else(|| "?".to_owned(), |t| format!("{t:.0}"))
            };
            let factor = |f: Option<f64>| f.map_or_else(|| "?".to_owned(), |f| format!("{f:.2}"));
            let also: Vec<&str> =
                r.short_of().into_iter().filter(|what| *what != "strength").collect();
            let mut row = vec![
                position.tag().unwrap_or_default().to_owned(),
                r.state.word().to_owned(),
                format!("{:.2}", r.required.factor),
                factor(r.factor_on_absorbed),
                factor(r.factor_on_motor),
                torque(r.duty.demand_torque()),
                torque(r.capacity.torque),
                also.join(", "),
            ];
            if wide {
                row.push(render::shorten(position.driven_machine().unwrap_or_default(), 30));
            }
            row
        })
        .collect();
    let torque = |what: &str| format!("{what} {symbol}");
    let (demand, rating) = (torque("demand"), torque("rated"));
    let mut headings =
        vec!["tag", "state", "needs", "on abs.", "on mot.", &demand, &rating, "also short"];
    if wide {
        headings.push("machine");
    }
    writeln!(streams.out, "{}\n", render::table(&headings, &rows, &[2, 3, 4, 5, 6]))?;
    let count = |state| rated.iter().filter(|r| r.state == state).count();
    let also = |r: &&Rated| r.state != State::Short && !r.short_of().is_empty();
    writeln!(
        streams.out,
        "strength: {} short, {} unknown, {} enough, {} ample; {} more also short",
        count(State::Short),
        count(State::Unknown),
        count(State::Enough),
        count(State::Ample),
        rated.iter().filter(also).count()
    )?;
    unknown_machines(rated, plant, streams)?;
    writeln!(
        streams.out,
        "{}",
        render::wrap(
            "needs: service factor required; on abs., on mot.: rated torque over that of the absorbed \
             and of the motor's power; also short: heat, momentary peak, shaft load or input speed. `--working TAG` shows each formula with its numbers; `--json` gives the source of \
             every factor and what was assumed.",
            0
        )
    )
}

/// Machines in no list, with the class assumed and the nearest names.
fn unknown_machines(
    rated: &[Rated],
    plant: &Plant,
    streams: &mut Streams<'_>,
) -> std::io::Result<()> {
    let mut by_name: BTreeMap<&str, usize> = BTreeMap::new();
    for r in rated.iter().filter(|r| r.duty.class_assumed && r.duty.machine.is_none()) {
        if let Some(machine) = plant.positions[r.position].driven_machine() {
            *by_name.entry(machine).or_default() += 1;
        }
    }
    if by_name.is_empty() {
        return Ok(());
    }
    let rows: Vec<Vec<String>> = by_name
        .into_iter()
        .map(|(name, count)| {
            let near = nearest_machines(name, 2).join("; ");
            vec![name.to_owned(), count.to_string(), "M".into(), near]
        })
        .collect();
    let headings = ["machine in no list", "drives", "class assumed", "nearest names"];
    writeln!(streams.out, "\n{}\n", render::table(&headings, &rows, &[1]))
}
