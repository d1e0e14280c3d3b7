//! What the plan cannot weigh, or takes for granted: told cell by cell, whether a plan is made or not.

use std::collections::BTreeMap;

use super::demand::window;
use super::matching::{Coverage, SpareType, listed_lead, type_could_stand_in};
use super::waiting::{class_of, median_of_class};
use crate::findings::{Code, Finding, Place, count, name};
use crate::fit::months_too_old;
use crate::policy::Policy;
use crate::records::{Field, Plant, k_of_n};

/// Cells of one sheet told one by one; beyond it the sheet is told once.
const EACH: usize = 5;

/// What `check` tells of the spares without making a plan.
#[must_use]
pub fn noticed(plant: &Plant, policy: &Policy) -> Vec<Finding> {
    findings(plant, policy, &Coverage::of(plant, policy))
}

pub(super) fn findings(plant: &Plant, policy: &Policy, coverage: &Coverage) -> Vec<Finding> {
    let mut all = shelf(plant, policy, coverage);
    all.extend(supply(plant, policy, coverage));
    all.extend(hours_down(plant));
    all.extend(levels(policy));
    all.extend(inspections(plant, policy, coverage));
    all.extend(groups(plant));
    all.extend(no_exchanges(plant));
    all
}

/// Shelf lines without a value, and those that cover no position.
fn shelf(plant: &Plant, policy: &Policy, coverage: &Coverage) -> Vec<Finding> {
    let mut out = Vec::new();
    let mut lines: Vec<(usize, &SpareType)> =
        coverage.types.iter().flat_map(|t| t.lines.iter().map(move |l| (*l, t))).collect();
    lines.sort_by_key(|l| l.0);
    for (line, kind) in lines {
        let shelf = &plant.shelf[line];
        if shelf.unit_value().is_none() {
            let message = format!(
                "`{}` has no value; it is in no sum of money and is not let go",
                shelf.name()
            );
            out.push(Finding::new(&name::NO_PRICE, shelf.place(Field::unit_value), message));
        }
        let meant = shelf.reserved_for().and_then(|who| Some((who, plant.find_position(who)?)));
        if let Some((who, position)) = meant.filter(|(_, p)| !kind.positions.contains(p)) {
            let what = plant.positions[position].model().unwrap_or("a unit of no known model");
            let may = type_could_stand_in(plant, policy, kind, position);
            let how = if may { "is not proven to fit" } else { "does not fit" };
            let message =
                format!("`{}` is reserved for {who} ({what}), where it {how}", shelf.name());
            out.push(Finding::new(
                &name::RESERVED_ELSEWHERE,
                shelf.place(Field::reserved_for),
                message,
            ));
        }
        if kind.positions.is_empty() && shelf.quantity().is_some_and(|n| n >= 1.0) {
            let message = format!("`{}` covers no position", shelf.name());
            out.push(Finding::new(&name::FITS_NOTHING, shelf.cell(0), message));
        }
    }
    out
}

/// Types that would cover a position, but whose price or lead time nobody gives.
fn supply(plant: &Plant, policy: &Policy, coverage: &Coverage) -> Vec<Finding> {
    let used = || coverage.types.iter().filter(|t| !t.positions.is_empty());
    let zero = |value: Option<f64>| if value.is_some() { "a price of 0" } else { "no price" };
    let unpriced: Vec<(Place, String)> = used()
        .filter(|t| t.orderable && t.value.is_none())
        .filter_map(|t| {
            let model = &plant.models[t.model?];
            let what = zero(model.price());
            let message = format!("`{}` has {what}: buying it is not weighed", model.title());
            Some((model.place(Field::price), message))
        })
        .collect();
    let undated: Vec<(Place, String)> = used()
        .filter_map(|t| {
            let record = match t.model {
                Some(model) => &plant.models[model].record,
                None => &plant.shelf[*t.lines.first()?].record,
            };
            let days = t.lead_days / policy.what_if_lead_times;
            let none = listed_lead(record).is_none();
            let what =
                if record.lead_time_days().is_some() { "a lead time of 0" } else { "no lead time" };
            let place = record.place(Field::lead_time_days);
            none.then(|| (place, format!("`{}` has {what}; {days:.0} days were taken", t.name)))
        })
        .collect();
    let mut out = by_sheet(&name::NO_PRICE, unpriced);
    out.extend(by_sheet(&name::NO_LEAD_TIME, undated));
    out
}

/// Each by its cell, but for a sheet that has many: one for all of them, at the first.
fn by_sheet(code: &'static Code, found: Vec<(Place, String)>) -> Vec<Finding> {
    let finding = |place, message| Finding::new(code, place, message);
    let mut sheets: BTreeMap<(String, String), Vec<(Place, String)>> = BTreeMap::new();
    for (place, message) in found {
        let sheet = (place.file.to_string(), place.sheet.to_string());
        sheets.entry(sheet).or_default().push((place, message));
    }
    let mut out = Vec::new();
    for mut cells in sheets.into_values() {
        cells.sort();
        let more = cells.len() - 1;
        if more < EACH {
            out.extend(cells.into_iter().map(|(place, message)| finding(place, message)));
        } else if let Some((place, message)) = cells.into_iter().next() {
            out.push(finding(place, format!("{message}; and so for {more} more of this sheet")));
        }
    }
    out
}

/// Running positions whose hour down is not known: not weighed, or taken from the others of their class.
fn hours_down(plant: &Plant) -> Vec<Finding> {
    let mut classes: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (at, position) in plant.positions.iter().enumerate() {
        if position.runs() && position.down_cost_per_hour().is_none() {
            classes.entry(class_of(position)).or_default().push(at);
        }
    }
    let mut out = Vec::new();
    for (class, positions) in classes {
        let who = format!(
            "{} of class `{class}` ({})",
            count(positions.len(), "position", "positions"),
            plant.tags(&positions)
        );
        let place = plant.positions[positions[0]].place(Field::down_cost_per_hour);
        out.push(match median_of_class(plant, class) {
            Some(hour) => Finding::new(
                &name::DOWN_COST_ASSUMED,
                place,
                format!("the cost of an hour down of {who} was taken as {hour:.0}, the middle of their class"),
            ),
            None => Finding::new(
                &name::NO_DOWN_COST,
                place,
                format!("the cost of an hour down is not known for {who}; no spare is weighed for them"),
            ),
        });
    }
    out
}

/// Service levels that fall from a mild class to a worse one.
fn levels(policy: &Policy) -> Option<Finding> {
    const CLASSES: [&str; 4] = ["people", "line", "slow", "minor"];
    let level = |class: &str| policy.service_levels.of(class);
    let pair = CLASSES.windows(2).find(|w| level(w[0]) < level(w[1]))?;
    let message = format!(
        "class `{}` is asked to be served {} of the time, the milder `{}` {}",
        pair[0],
        level(pair[0]),
        pair[1],
        level(pair[1])
    );
    Some(Finding::new(&name::LEVELS_OUT_OF_ORDER, Place::file("policy.toml"), message))
}

/// Units called ready whose inspection is too old, or has no date.
fn inspections(plant: &Plant, policy: &Policy, coverage: &Coverage) -> Vec<Finding> {
    let lines = coverage.types.iter().flat_map(|t| t.lines.iter().copied());
    let ready = |line: &usize| plant.shelf[*line].condition() == Some("ready");
    let mut ready: Vec<usize> = lines.filter(ready).collect();
    ready.sort_unstable();
    let (dated, undated): (Vec<usize>, Vec<usize>) =
        ready.into_iter().partition(|line| plant.shelf[*line].last_inspected().is_some());
    let place = |line: usize| plant.shelf[line].place(Field::last_inspected);
    let old = dated.into_iter().filter_map(|line| {
        let months = months_too_old(plant, policy, line)?;
        let name = plant.shelf[line].name();
        let message = if months < 0.0 {
            format!("`{name}` was inspected after the stock date, which cannot be: it counts as unproven")
        } else {
            format!("`{name}` was inspected {months:.0} months before the stock date: it counts as unproven")
        };
        Some((place(line), message))
    });
    let old = old.collect();
    let name = |line: usize| plant.shelf[line].name();
    let undated = undated
        .into_iter()
        .map(|line| {
            (place(line), format!("`{}` is called ready without a date of inspection", name(line)))
        })
        .collect();
    let mut out = by_sheet(&name::INSPECTION_OLD, old);
    out.extend(by_sheet(&name::INSPECTION_UNDATED, undated));
    out
}

/// Redundancy groups whose count is not that of the positions that name them.
fn groups(plant: &Plant) -> Vec<Finding> {
    let mut groups: BTreeMap<(String, u32), Vec<usize>> = BTreeMap::new();
    for (at, position) in plant.positions.iter().enumerate().filter(|(_, p)| !p.is_retired()) {
        let Some(text) = position.redundancy() else { continue };
        let group = text.split_once('@').map(|(_, group)| group.trim().to_lowercase());
        if let (Some(group), Some((_, n))) = (group.filter(|g| !g.is_empty()), k_of_n(text)) {
            groups.entry((group, n)).or_default().push(at);
        }
    }
    let off = groups.into_iter().filter(|((_, n), positions)| positions.len() != *n as usize);
    off.map(|((group, n), positions)| {
        let place = plant.positions[positions[0]].place(Field::redundancy);
        let message =
            format!("group `{group}` is said to be of {n}, and {} stand in it", positions.len());
        Finding::new(&name::GROUP_SIZE, place, message)
    })
    .collect()
}

/// A log without a single exchange says nothing of rates.
fn no_exchanges(plant: &Plant) -> Option<Finding> {
    let place = plant.events.first().map_or_else(Place::nowhere, |e| e.cell(0));
    let what = if plant.events.is_empty() {
        "no events were read"
    } else {
        "none of the events is an exchange of a unit"
    };
    window(plant).is_none().then(|| {
        Finding::new(
            &name::NO_EXCHANGES,
            place,
            format!("{what}: every rate of failure is the policy's"),
        )
    })
}
