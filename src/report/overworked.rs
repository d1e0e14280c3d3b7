//! Overworked: service factor and radial load below need.

use super::Material;
use super::table::{Cell, Sheet, Show, column};
use crate::rating::Rated;

pub(super) fn sheet(m: &Material<'_>) -> Sheet {
    let mut rated: Vec<&Rated> = m.rated.iter().filter(|r| r.is_overworked()).collect();
    rated.sort_by(|a, b| worst(a).total_cmp(&worst(b)).then(a.position.cmp(&b.position)));
    let rows = rated
        .into_iter()
        .map(|r| {
            let p = &m.plant.positions[r.position];
            vec![
                Cell::text(p.tag().unwrap_or("?")),
                Cell::text(p.driven_machine().unwrap_or("")),
                Cell::Number(r.required.factor),
                Cell::number(r.factor_on_absorbed),
                Cell::number(r.factor_on_motor),
                Cell::text(r.duty.demand_from().map_or("", |d| d.word())),
                Cell::number(r.duty.demand_torque().map(|t| t.value())),
                Cell::number(r.capacity.torque.map(|t| t.value())),
                Cell::number(r.overhung.map(|f| f.value())),
                Cell::number(r.overhung_allowed.map(|f| f.value())),
                Cell::text(format!("{}; {}", r.required.source, r.notes.join("; "))),
            ]
        })
        .collect();
    Sheet {
        name: "Overworked",
        says: "Units weaker than their duty asks; heat and momentary peak are not computed by this version".into(),
        columns: vec![
            column("Tag", 14.0, Show::Text),
            column("Driven machine", 34.0, Show::Text),
            column("Service factor needed", 10.0, Show::Two),
            column("On absorbed power", 10.0, Show::Two),
            column("On motor power", 10.0, Show::Two),
            column("Demand taken from", 15.0, Show::Text),
            column("Demand (N·m)", 11.0, Show::Whole),
            column("Rated (N·m)", 11.0, Show::Whole),
            column("Radial load (N)", 11.0, Show::Whole),
            column("Radial load allowed (N)", 11.0, Show::Whole),
            column("Where the figures come from", 70.0, Show::Text),
        ],
        rows,
    }
}

/// The smallest share of what is needed.
fn worst(r: &Rated) -> f64 {
    let strength = r.installed.map_or(f64::MAX, |sf| sf / r.required.factor);
    let pull = match (r.overhung, r.overhung_allowed) {
        (Some(load), Some(allowed)) if load.value() > 0.0 => allowed.value() / load.value(),
        _ => f64::MAX,
    };
    strength.min(pull)
}
