//! What the figures of a month rest on, drive by drive and line by line: kept, so that a later month can say why a
//! figure moved.

use std::collections::{BTreeMap, HashMap, HashSet};

use serde::{Deserialize, Serialize};

use crate::fit::{Standing, standing};
use crate::policy::Policy;
use crate::records::{Field, Plant};
use crate::spares::Plan;

/// What a month's figures rest on.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Drivers {
    /// Positions that run, by tag.
    pub positions: BTreeMap<String, Drive>,
    /// Shelf lines, by item.
    pub lines: BTreeMap<String, Stocked>,
}

/// One position that runs.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Drive {
    /// Exchanges expected a year.
    pub rate: f64,
    /// Price of a year of waiting; none where it is not known.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub price: Option<f64>,
    /// Expected cost of waiting a year; none where it could not be weighed.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub risk: Option<f64>,
    /// Whether a ready spare lies on the shelf.
    pub covered: bool,
    /// Units on the shelf that count for it.
    pub units: f64,
    /// Shortest lead time of what can be ordered for it, days.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub lead_days: Option<f64>,
    /// Exchanges in the log.
    pub exchanges: u32,
    /// The group whose rate it has; none in months that an earlier version kept.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub group: Option<String>,
}

/// What lies on the shelf of one item.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Stocked {
    /// Units.
    pub quantity: f64,
    /// Units that count: unproven ones by the policy's weight, reserved and as-removed ones not.
    pub counted: f64,
    /// Value of all units.
    pub value: f64,
}

impl Drivers {
    /// What the figures of this plan rest on.
    #[must_use]
    pub fn of(plant: &Plant, policy: &Policy, plan: &Plan) -> Self {
        let mut exchanges: HashMap<String, u32> = HashMap::new();
        for event in plant.events.iter().filter(|e| e.event() == Some("exchange")) {
            if let Some(tag) = event.tag() {
                *exchanges.entry(tag.to_uppercase()).or_default() += 1;
            }
        }
        let mut out = Self::default();
        let uncovered: HashSet<usize> = plan.no_cover.iter().map(|n| n.position).collect();
        for (at, position) in plant.positions.iter().enumerate().filter(|(_, p)| p.runs()) {
            let name = named(position.tag(), out.positions.keys().len(), |n| {
                out.positions.contains_key(n)
            });
            let types = plan.coverage.of_position[at].iter().map(|t| &plan.coverage.types[*t]);
            let leads = types.clone().filter(|t| t.orderable).map(|t| t.lead_days);
            let failed = position.tag().and_then(|t| exchanges.get(&t.to_uppercase()));
            let drive = Drive {
                rate: plan.demand.mean_rate(at),
                price: plan.price_today[at],
                risk: plan.risk_today[at],
                covered: !uncovered.contains(&at),
                units: types.map(|t| t.at_hand(policy).count()).sum(),
                lead_days: leads.min_by(f64::total_cmp),
                exchanges: failed.copied().unwrap_or(0),
                group: Some(plan.demand.rate(at).name.clone()),
            };
            out.positions.insert(name, drive);
        }
        for (at, line) in plant.shelf.iter().enumerate() {
            let item = line.item().map_or_else(|| line.name(), ToOwned::to_owned);
            let known = out.lines.entry(item).or_default();
            let quantity = line.quantity().unwrap_or(0.0);
            known.quantity += quantity;
            known.counted += quantity * weight(plant, at, policy);
            known.value += line.worth();
        }
        out
    }
}

/// How far a unit of a line counts as there.
fn weight(plant: &Plant, line: usize, policy: &Policy) -> f64 {
    if plant.shelf[line].knows(Field::reserved_for) {
        return 0.0;
    }
    match standing(plant, policy, line) {
        Standing::Ready => 1.0,
        Standing::Unproven => policy.unproven_weight,
        Standing::AsRemoved | Standing::Scrap => 0.0,
    }
}

/// A name that is not taken yet: the tag, with a number where it stands more than once or is missing.
fn named(tag: Option<&str>, count: usize, taken: impl Fn(&str) -> bool) -> String {
    let tag = tag.unwrap_or_default();
    if !tag.is_empty() && !taken(tag) {
        return tag.to_owned();
    }
    (2..=count + 2).map(|n| format!("{tag}#{n}")).find(|n| !taken(n)).unwrap_or_default()
}
