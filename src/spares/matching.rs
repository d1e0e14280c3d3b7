//! Which types of spare cover which positions.

use std::collections::HashMap;

use rayon::prelude::*;

use super::at_hand::AtHand;
use crate::fit::{Candidate, Candidates, Case, From, Standing, Verdict, covers, standing, verdict};
use crate::policy::Policy;
use crate::records::{Field, Plant, Record};

/// A type of spare: a catalogue model, or a shelf line that is in no catalogue.
#[derive(Clone, Debug, Default)]
pub struct SpareType {
    /// `model:…` or `shelf:…`.
    pub name: String,
    /// Catalogue model.
    pub model: Option<usize>,
    /// Shelf lines of this type.
    pub lines: Vec<usize>,
    /// Whether more can be ordered.
    pub orderable: bool,
    /// Value of one.
    pub value: Option<f64>,
    /// Resupply time (days).
    pub lead_days: f64,
    /// Units that are ready and not reserved elsewhere.
    pub ready: f64,
    /// Units that are unproven.
    pub unproven: f64,
    /// Units on order and at repair.
    pub coming: f64,
    /// Those of them that are on order.
    pub on_order: f64,
    /// Units as removed that may be rebuilt at a price worth paying.
    pub rebuildable: f64,
    /// What rebuilding one of them costs, on average.
    pub rebuild_cost: f64,
    /// Positions covered by a ready unit, in order.
    pub positions: Vec<usize>,
    /// What adapting it to each of them costs each time.
    pub adapting: Vec<f64>,
}

/// Types and what they cover.
#[derive(Clone, Debug, Default)]
pub struct Coverage {
    /// The types, shelf ones first.
    pub types: Vec<SpareType>,
    /// Types that cover each position.
    pub of_position: Vec<Vec<usize>>,
    /// Positions without a ready spare that could still take a type of the shelf, per type.
    pub undecided: Vec<Undecided>,
}

/// Positions without a ready spare that a type does not cover but could still serve, in order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Undecided {
    /// As a stop-gap or by the engineer's word.
    pub almost: Vec<usize>,
    /// Once something is measured.
    pub to_measure: Vec<usize>,
}

impl Undecided {
    /// All of them, in order.
    #[must_use]
    pub fn all(&self) -> Vec<usize> {
        let mut all = [self.almost.as_slice(), &self.to_measure].concat();
        all.sort_unstable();
        all
    }
}

impl SpareType {
    /// Units on the shelf, unproven ones by the chance that the policy gives them.
    #[must_use]
    pub const fn at_hand(&self, policy: &Policy) -> AtHand {
        AtHand { ready: self.ready, unproven: self.unproven, chance: policy.unproven_weight }
    }

    /// Units that will be there: on the shelf, on order, at repair.
    #[must_use]
    pub fn stock_position(&self) -> f64 {
        self.ready + self.unproven + self.coming
    }

    /// Units that can be there without buying one: those of the stock position, and what can be rebuilt.
    #[must_use]
    pub fn within_reach(&self) -> f64 {
        self.stock_position() + self.rebuildable
    }

    /// What `missing` units beyond the stock position cost: rebuilt while there are any, then bought.
    #[must_use]
    pub fn to_obtain(&self, missing: f64) -> f64 {
        let rebuilt = missing.clamp(0.0, self.rebuildable);
        rebuilt * self.rebuild_cost + (missing - rebuilt).max(0.0) * self.value.unwrap_or(0.0)
    }

    /// Whether more can be bought at a known price.
    #[must_use]
    pub fn is_for_sale(&self) -> bool {
        self.orderable && self.value.is_some()
    }
}

impl SpareType {
    /// What adapting this type to a position that it covers costs each time.
    #[must_use]
    pub fn adapting_to(&self, position: usize) -> f64 {
        self.positions.binary_search(&position).map_or(0.0, |at| self.adapting[at])
    }
}

impl Coverage {
    /// Tests every type against every position whose speed it could serve.
    #[must_use]
    pub fn of(plant: &Plant, policy: &Policy) -> Self {
        let mut types = shelf_types(plant, policy);
        let mut taken = vec![false; plant.models.len()];
        types.iter().filter_map(|t| t.model).for_each(|m| taken[m] = true);
        for model in (0..plant.models.len()).filter(|m| !taken[*m]) {
            if plant.models[model].status() != Some("discontinued") {
                types.push(model_type(plant, policy, model));
            }
        }
        let cases: Vec<Case<'_>> =
            (0..plant.positions.len()).map(|index| Case::new(plant, policy, index)).collect();
        let units = Units::of(plant, &types, |_| true);
        let covered = |case: &Case<'_>| -> Vec<(usize, f64)> {
            let span = case.span_of_cover().filter(|_| !case.position.is_retired());
            let Some(span) = span else { return Vec::new() };
            let near = units.all.within(case, span);
            let near = near.map(|at| units.all.at(at));
            let able =
                near.filter_map(|unit| covers(case, unit).map(|c| (units.of[&unit.from], c.cost)));
            let mut able: Vec<(usize, f64)> = able.collect();
            able.sort_unstable_by_key(|(at, _)| *at);
            able
        };
        let found: Vec<Vec<(usize, f64)>> = cases.par_iter().map(covered).collect();
        let mut of_position = Vec::with_capacity(cases.len());
        for (index, able) in found.into_iter().enumerate() {
            for (at, cost) in &able {
                types[*at].positions.push(index);
                types[*at].adapting.push(*cost);
            }
            of_position.push(able.into_iter().map(|(at, _)| at).collect());
        }
        let undecided = undecided(plant, &cases, &types, &of_position);
        Self { types, of_position, undecided }
    }
}

impl Coverage {
    /// Whether a ready unit on the shelf covers a position.
    #[must_use]
    pub fn has_ready(&self, position: usize) -> bool {
        self.of_position[position].iter().any(|t| self.types[*t].ready >= 1.0)
    }
}

/// The type as a new or rebuilt unit: the model, or the line itself.
pub(super) fn as_new<'a>(plant: &'a Plant, spare: &SpareType) -> Option<Candidate<'a>> {
    match spare.model {
        Some(model) => Some(Candidate::of_model(plant, model)),
        None => Candidate::of_shelf(plant, *spare.lines.first()?).map(Candidate::once_rebuilt),
    }
}

/// Types as new or rebuilt units, by ratio, so that a position is held against near ones alone.
struct Units<'a> {
    all: Candidates<'a>,
    /// The type of each.
    of: HashMap<From, usize>,
}

impl<'a> Units<'a> {
    fn of(plant: &'a Plant, types: &[SpareType], wanted: impl Fn(&SpareType) -> bool) -> Self {
        let wanted = types.iter().enumerate().filter(|(_, spare)| wanted(spare));
        let (all, of): (Vec<Candidate<'a>>, HashMap<From, usize>) = wanted
            .filter_map(|(at, spare)| as_new(plant, spare).map(|unit| (at, unit)))
            .map(|(at, unit)| (unit.clone(), (unit.from, at)))
            .unzip();
        Self { all: Candidates::among(all), of }
    }
}

/// Ratios up to this far apart (natural logarithm) are compared where something might still be measured.
const REACH: f64 = 0.5;

/// Whether the ratio could serve; leaves the other gates alone.
fn near(case: &Case<'_>, candidate: &Candidate<'_>) -> bool {
    let (Some(wanted), Some(ratio)) = (case.duty.wanted_rpm, candidate.unit.ratio()) else {
        return false;
    };
    case.output_rpm_with(ratio).is_some_and(|n2| (n2 / wanted).ln().abs() < REACH)
}

/// For each type of the shelf, the positions without a ready spare that could still take it, new or rebuilt. A model that
/// can only be ordered covers nobody today. Every position looks at the units near it alone.
fn undecided(
    plant: &Plant,
    cases: &[Case<'_>],
    types: &[SpareType],
    of_position: &[Vec<usize>],
) -> Vec<Undecided> {
    let units = Units::of(plant, types, |spare| !spare.lines.is_empty());
    let open = |case: &Case<'_>| -> Vec<(usize, Verdict)> {
        let each = units.all.near(case).map(|at| units.all.at(at));
        each.map(|unit| (units.of[&unit.from], verdict(case, unit)))
            .filter(|(_, verdict)| *verdict != Verdict::No)
            .collect()
    };
    let bare: Vec<&Case<'_>> = cases
        .iter()
        .filter(|case| plant.positions[case.index].runs())
        .filter(|case| of_position[case.index].iter().all(|t| types[*t].ready < 1.0))
        .collect();
    let found: Vec<Vec<(usize, Verdict)>> = bare.par_iter().map(|case| open(case)).collect();
    let mut out = vec![Undecided::default(); types.len()];
    for (case, open) in bare.iter().zip(found) {
        for (at, verdict) in open {
            match verdict {
                Verdict::Measure => out[at].to_measure.push(case.index),
                _ => out[at].almost.push(case.index),
            }
        }
    }
    out
}

/// Whether a position could run on a unit as a stop-gap, by the engineer's word or once something is measured, though it
/// does not cover it.
pub(super) fn could_stand_in(case: &Case<'_>, candidate: &Candidate<'_>) -> bool {
    (near(case, candidate) || case.duty.wanted_rpm.is_none())
        && verdict(case, candidate) != Verdict::No
}

/// The same of a type, at a position by its index.
pub(super) fn type_could_stand_in(
    plant: &Plant,
    policy: &Policy,
    spare: &SpareType,
    position: usize,
) -> bool {
    let case = Case::new(plant, policy, position);
    as_new(plant, spare).is_some_and(|candidate| could_stand_in(&case, &candidate))
}

fn shelf_types(plant: &Plant, policy: &Policy) -> Vec<SpareType> {
    let mut types: Vec<SpareType> = Vec::new();
    let mut of_model: HashMap<usize, usize> = HashMap::new();
    for (line, shelf) in plant.shelf.iter().enumerate() {
        if Candidate::of_shelf(plant, line).is_none() {
            continue;
        }
        let model = shelf.model.filter(|m| m.exact || m.score > 0.9).map(|m| m.model);
        let at = model.and_then(|m| of_model.get(&m).copied());
        let at = at.unwrap_or_else(|| {
            if let Some(model) = model {
                of_model.insert(model, types.len());
            }
            types.push(match model {
                Some(model) => model_type(plant, policy, model),
                None => SpareType {
                    name: format!("shelf:{}", shelf.name()),
                    model: None,
                    lines: Vec::new(),
                    orderable: false,
                    value: shelf.unit_value().filter(|v| *v > 0.0),
                    lead_days: policy.what_if_lead_times
                        * policy.lead_days_by_mass(shelf.mass_kg()),
                    ready: 0.0,
                    unproven: 0.0,
                    coming: 0.0,
                    on_order: 0.0,
                    rebuildable: 0.0,
                    rebuild_cost: 0.0,
                    positions: Vec::new(),
                    adapting: Vec::new(),
                },
            });
            types.len() - 1
        });
        add_line(&mut types[at], plant, policy, line);
    }
    types
}

/// Whether a repair costs more than the policy's share of a new unit.
pub(super) fn too_dear(repair: Option<f64>, value: Option<f64>, policy: &Policy) -> bool {
    repair.zip(value).is_some_and(|(r, v)| r > policy.worth_repair_share * v)
}

fn add_line(spare: &mut SpareType, plant: &Plant, policy: &Policy, line: usize) {
    let shelf = &plant.shelf[line];
    let quantity = shelf.quantity().unwrap_or(0.0).max(0.0).floor();
    // A reservation holds the whole line: it does not say how many of it.
    let reserved = if shelf.knows(Field::reserved_for) { quantity } else { 0.0 };
    spare.value = spare.value.or(shelf.unit_value().filter(|v| *v > 0.0));
    match standing(plant, policy, line) {
        Standing::Ready => spare.ready += quantity - reserved,
        Standing::Unproven => spare.unproven += quantity - reserved,
        Standing::Scrap => {}
        Standing::AsRemoved => {
            if let Some(cost) = rebuild_cost(plant, policy, line, spare.value) {
                let more = quantity - reserved;
                let all = spare.rebuildable + more;
                if all > 0.0 {
                    let before = spare.rebuild_cost * spare.rebuildable;
                    spare.rebuild_cost = (before + cost * more) / all;
                }
                spare.rebuildable = all;
            }
        }
    }
    spare.on_order += shelf.on_order().unwrap_or(0.0);
    spare.coming += shelf.on_order().unwrap_or(0.0) + shelf.at_repair().unwrap_or(0.0);
    spare.lines.push(line);
}

/// What rebuilding one unit of a line costs: as the sheet says, else the policy's share of a new one; `None` where
/// it is not known or not worth it.
pub(super) fn rebuild_cost(
    plant: &Plant,
    policy: &Policy,
    line: usize,
    value: Option<f64>,
) -> Option<f64> {
    let said = plant.shelf[line].repair_cost();
    if too_dear(said, value, policy) {
        return None;
    }
    said.or_else(|| Some(policy.worth_repair_share * value?))
}

/// Lead time of a row; nothing comes in no time, so a 0 is a blank.
pub(super) fn listed_lead(row: &Record) -> Option<f64> {
    row.lead_time_days().filter(|days| *days > 0.0)
}

fn model_type(plant: &Plant, policy: &Policy, model: usize) -> SpareType {
    let row = &plant.models[model];
    SpareType {
        name: format!("model:{}", row.title()),
        model: Some(model),
        lines: Vec::new(),
        orderable: row.status() != Some("discontinued"),
        value: row.price().filter(|v| *v > 0.0),
        lead_days: policy.what_if_lead_times
            * listed_lead(row).unwrap_or_else(|| policy.lead_days_by_mass(row.mass_kg())),
        ready: 0.0,
        unproven: 0.0,
        coming: 0.0,
        on_order: 0.0,
        rebuildable: 0.0,
        rebuild_cost: 0.0,
        positions: Vec::new(),
        adapting: Vec::new(),
    }
}
