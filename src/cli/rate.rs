//! `rate`: required against installed, position by position.

use serde_json::json;

use super::args::RateArgs;
use super::load::load_fleet;
use super::{Ran, Streams, render};
use crate::rating::{Rated, State, rate};
use crate::records::Plant;
use crate::units::{Dimension, show};

pub(super) fn run(args: &RateArgs, streams: &mut Streams<'_>) -> Ran {
    let loaded = load_fleet(&args.paths, streams)?;
    let plant = &loaded.intake.plant;
    let (mut rated, findings) = rate(plant, &loaded.policy);
    rated.sort_by(|a, b| {
        let short = |r: &Rated| r.installed.map_or(f64::MAX, |sf| sf / r.required.factor);
        (a.state, short(a)).partial_cmp(&(b.state, short(b))).unwrap_or(std::cmp::Ordering::Equal)
    });
    if streams.common.json {
        let positions: Vec<_> = rated.iter().map(|r| as_json(r, plant)).collect();
        render::document("rate", json!({ "positions": positions }), streams.out)?;
    } else {
        print(&rated, plant, streams)?;
    }
    Ok(super::strict(streams.common, &loaded.intake.findings, &findings))
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
        "thermal_power_kw": serde_json::Value::Null,
        "overhung_n": r.overhung.map(|f| f.value()),
        "overhung_allowed_n": r.overhung_allowed.map(|f| f.value()),
        "state": r.state.word(),
        "source": r.required.source,
        "notes": r.notes,
    })
}

fn print(rated: &[Rated], plant: &Plant, streams: &mut Streams<'_>) -> std::io::Result<()> {
    let system = render::system(streams.common);
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
            vec![
                position.tag().unwrap_or_default().to_owned(),
                r.state.word().to_owned(),
                format!("{:.2}", r.required.factor),
                factor(r.factor_on_absorbed),
                factor(r.factor_on_motor),
                torque(r.duty.demand_torque()),
                torque(r.capacity.torque),
                render::shorten(position.driven_machine().unwrap_or_default(), 24),
            ]
        })
        .collect();
    let torque = |what: &str| format!("{what} {symbol}");
    let (demand, rating) = (torque("demand"), torque("rated"));
    let headings =
        ["tag", "state", "needs", "on absorbed", "on motor", &demand, &rating, "machine"];
    writeln!(streams.out, "{}\n", render::table(&headings, &rows, &[2, 3, 4, 5, 6]))?;
    let count = |state| rated.iter().filter(|r| r.state == state).count();
    writeln!(
        streams.out,
        "{} short, {} unknown, {} enough, {} ample",
        count(State::Short),
        count(State::Unknown),
        count(State::Enough),
        count(State::Ample)
    )?;
    writeln!(
        streams.out,
        "{}",
        render::wrap(
            "needs: service factor required; on absorbed, on motor: rated torque over each. \
             `--json` gives the source of every factor and what was assumed. \
             Thermal rating and momentary peak are not computed by this version.",
            0
        )
    )
}
