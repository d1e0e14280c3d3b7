//! Overworked: service factor and radial load below need.

use super::Material;
use super::table::{Cell, Sheet, Show, column, quantity, tag_width};
use super::who_fits_where::Links;
use crate::rating::Rated;
use crate::units::Dimension;

pub(super) fn sheet(m: &Material<'_>, links: &Links) -> Sheet {
    let mut rated: Vec<&Rated> = m.rated.iter().filter(|r| r.is_overworked()).collect();
    rated.sort_by(|a, b| worst(a).total_cmp(&worst(b)).then(a.position.cmp(&b.position)));
    let rows = rated
        .into_iter()
        .map(|r| {
            let p = &m.plant.positions[r.position];
            vec![
                links.tag(m, r.position),
                Cell::text(p.driven_machine().unwrap_or("")),
                Cell::Number(r.required.factor),
                Cell::number(r.factor_on_absorbed),
                Cell::number(r.factor_on_motor),
                Cell::text(r.duty.demand_from().map_or("", |d| d.word())),
                Cell::number(r.duty.demand_torque().map(|t| t.value())),
                Cell::number(r.capacity.torque.map(|t| t.value())),
                Cell::text(r.short_of().join(", ")),
                Cell::number(r.pull_output.as_ref().map(|p| p.load.value())),
                Cell::number(r.pull_output.as_ref().and_then(|p| p.allowed).map(|f| f.value())),
                Cell::number(r.heat.as_ref().and_then(|h| h.demand_kw)),
                Cell::number(r.heat.as_ref().and_then(|h| h.corrected_kw)),
                Cell::number(r.peak.as_ref().map(|p| p.torque.value())),
                Cell::number(r.peak.as_ref().and_then(|p| p.allowed).map(|t| t.value())),
                Cell::text(format!("{}; {}", r.required.source, r.notes.join("; "))),
            ]
        })
        .collect();
    Sheet {
        name: "Overworked",
        says:
            "Units weaker than their duty asks; first those with the smallest share of what is needed, in strength, pull on the shaft or heat".into(),
        columns: vec![
            column("Tag", tag_width(m), Show::Text),
            column("Driven machine", 28.0, Show::Text),
            column("Service factor needed", 10.0, Show::Two),
            column("Factor there is, on absorbed power", 12.0, Show::Two).keyed("on_absorbed_power"),
            column("Factor there is, on motor power", 12.0, Show::Two).keyed("on_motor_power"),
            column("Demand taken from", 13.0, Show::Text),
            quantity("Demand", Dimension::Torque, 11.0, Show::Whole),
            quantity("Rated", Dimension::Torque, 11.0, Show::Whole),
            column("Falls short in", 15.0, Show::Text).keyed("short_of"),
            quantity("Radial load", Dimension::Force, 11.0, Show::Whole),
            quantity("Radial load allowed", Dimension::Force, 11.0, Show::Whole),
            quantity("Power at the input", Dimension::Power, 10.0, Show::Two),
            quantity("Heat allows", Dimension::Power, 10.0, Show::Two),
            quantity("Momentary peak", Dimension::Torque, 13.0, Show::Whole),
            quantity("Peak allowed", Dimension::Torque, 11.0, Show::Whole).keyed("gears_stand"),
            column("Where the figures come from", 56.0, Show::Text),
        ],
        rows,
        below: None,
    }
}

/// The smallest share of what is needed.
fn worst(r: &Rated) -> f64 {
    let strength = r.installed.map_or(f64::MAX, |sf| sf / r.required.factor);
    let pull = r.pull_output.as_ref().filter(|p| p.load.value() > 0.0);
    let pull = pull.and_then(|p| Some(p.allowed?.value() / p.load.value())).unwrap_or(f64::MAX);
    let heat = r.heat.as_ref().and_then(|h| h.share()).unwrap_or(f64::MAX);
    strength.min(pull).min(heat)
}
