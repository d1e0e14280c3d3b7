//! How often a unit is exchanged, per group of positions.

use std::collections::{BTreeMap, BTreeSet};

use super::bayes::{Gamma, empirical_bayes, noninformative};
use crate::gearing::Train;
use crate::policy::Policy;
use crate::rating::{Rated, rate_by_margin};
use crate::records::{Plant, Position, folded};
use crate::standards::Family;

/// Days in a year.
const YEAR: f64 = 365.25;

/// Events and unit-years of a group.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Exposure {
    /// Units exchanged.
    pub events: f64,
    /// Unit-years watched.
    pub years: f64,
}

/// What a group's rate rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RateFrom {
    /// Mostly the plant's own events.
    OwnData,
    /// Mostly the other groups of the plant.
    Group,
    /// Mostly the policy's default.
    Default,
}

impl RateFrom {
    /// The words printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::OwnData => "own data",
            Self::Group => "the plant's other groups",
            Self::Default => "the policy's default",
        }
    }
}

/// A group's rate.
#[derive(Clone, Debug, PartialEq)]
pub struct GroupRate {
    /// The group's name.
    pub name: String,
    /// Its positions.
    pub positions: Vec<usize>,
    /// What was watched.
    pub exposure: Exposure,
    /// The rate's distribution.
    pub rate: Gamma,
    /// Share of the rate that is the group's own data.
    pub own_share: f64,
    /// What it mostly rests on.
    pub from: RateFrom,
    /// Whether own data were not allowed to pull it lower.
    pub held_up: bool,
}

/// Rates of every position.
#[derive(Clone, Debug, Default)]
pub struct Demand {
    /// The groups, by name.
    pub groups: Vec<GroupRate>,
    /// Group of each position.
    pub group_of: Vec<usize>,
    /// Share of the time that each position runs, where rates are per running year; else 1.
    pub duty: Vec<f64>,
    /// First and last day of the events.
    pub window: Option<(jiff::civil::Date, jiff::civil::Date)>,
}

impl Demand {
    /// The rate of a position.
    #[must_use]
    pub fn rate(&self, position: usize) -> &GroupRate {
        &self.groups[self.group_of[position]]
    }

    /// The mean rate of a position a calendar year.
    #[must_use]
    pub fn mean_rate(&self, position: usize) -> f64 {
        self.rate(position).rate.mean() * self.duty[position]
    }

    /// Watches the events and rates every group.
    #[must_use]
    pub fn of(plant: &Plant, rated: &[Rated], policy: &Policy) -> Self {
        let mut names: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (index, position) in plant.positions.iter().enumerate() {
            names.entry(group_name(plant, position, rated.get(index))).or_default().push(index);
        }
        let window = window(plant);
        let log = Log::of(plant);
        let duty: Vec<f64> = plant.positions.iter().map(|p| duty_of(p, policy)).collect();
        let exposures: Vec<Exposure> =
            names.values().map(|p| watched(plant, p, window, &log, &duty)).collect();
        let prior =
            empirical_bayes(&exposures.iter().map(|e| (e.events, e.years)).collect::<Vec<_>>());
        let mut group_of = vec![0; plant.positions.len()];
        let groups = names
            .into_iter()
            .zip(exposures)
            .enumerate()
            .map(|(at, ((name, positions), exposure))| {
                for position in &positions {
                    group_of[*position] = at;
                }
                let margin = load_margin(&positions, rated, policy);
                group_rate(plant, name, positions, exposure, prior, policy, margin)
            })
            .map(|mut group: GroupRate| {
                // The mean of Gamma(a, b) is a / b.
                group.rate.rate /= policy.what_if_rates;
                group
            })
            .collect();
        Self { groups, group_of, duty, window }
    }
}

/// The share of the day that a position runs, where the policy counts running time; blank is all day.
fn duty_of(position: &Position, policy: &Policy) -> f64 {
    let hours = position.hours_per_day().filter(|h| *h > 0.0).unwrap_or(policy.hours_blank);
    if policy.rates_per_running_year { (hours / 24.0).clamp(0.01, 1.0) } else { 1.0 }
}

/// Gear family and load class: what wears a unit.
fn group_name(plant: &Plant, position: &Position, rated: Option<&Rated>) -> String {
    let train = position
        .gear_train()
        .or_else(|| plant.model_of(position.model).and_then(|m| m.gear_train()));
    let family = match train.and_then(Train::read).map(|t| t.family()) {
        Some(Family::Worm) => "worm",
        Some(Family::Helical) => "helical and bevel",
        None => "type not known",
    };
    let class = rated.map_or("M", |r| r.duty.class.letter());
    format!("{family}, class {class}")
}

/// First and last dated event, if the table holds any exchange; else it is no data.
pub(super) fn window(plant: &Plant) -> Option<(jiff::civil::Date, jiff::civil::Date)> {
    let exchanges = plant.events.iter().any(|e| e.event() == Some("exchange"));
    let dates = || plant.events.iter().filter_map(|e| e.date());
    let (first, last) = (dates().min()?, dates().max()?);
    exchanges.then_some((first, last))
}

/// Words by which repairs name what they took.
const PARTS: [&str; 7] = ["bearing", "seal", "gear", "wheel", "worm", "shaft", "coupling"];

/// What the events table can say: its window, and the areas that report at all.
pub(super) struct Watch {
    window: Option<(jiff::civil::Date, jiff::civil::Date)>,
    log: Log,
}

impl Watch {
    pub(super) fn of(plant: &Plant) -> Self {
        Self { window: window(plant), log: Log::of(plant) }
    }

    /// Repairs that name a kind of part, and the unit-years watched. Without a single repair of any kind
    /// the table is no data on parts.
    pub(super) fn repairs(&self, plant: &Plant, kind: &str) -> Exposure {
        let repairs = || plant.events.iter().filter(|e| e.event() == Some("part"));
        if repairs().next().is_none() {
            return Exposure::default();
        }
        let says = |event: &crate::records::Record, word: &str| {
            let texts = [event.cause(), event.parts_used(), event.note()];
            texts.into_iter().flatten().any(|text| text.to_lowercase().contains(word))
        };
        let names = |event: &&crate::records::Record| says(event, kind);
        // Where most repairs do not say what they took, their silence on one part is no data.
        let named = repairs().filter(|e| PARTS.iter().any(|word| says(e, word))).count();
        if named * 2 < repairs().count() {
            return Exposure::default();
        }
        let all: Vec<usize> = (0..plant.positions.len()).collect();
        let calendar = vec![1.0; plant.positions.len()];
        let years = watched(plant, &all, self.window, &self.log, &calendar).years;
        Exposure { events: repairs().filter(names).count() as f64, years }
    }
}

/// The events by position, and the areas that report at all.
struct Log {
    exchanges: Vec<f64>,
    areas: BTreeSet<String>,
}

impl Log {
    fn of(plant: &Plant) -> Self {
        let tags: BTreeMap<String, usize> = plant
            .positions
            .iter()
            .enumerate()
            .rev()
            .filter_map(|(at, p)| p.tag().map(|tag| (folded(tag), at)))
            .collect();
        let mut log = Self { exchanges: vec![0.0; plant.positions.len()], areas: BTreeSet::new() };
        for event in &plant.events {
            let Some(&at) = event.tag().and_then(|tag| tags.get(&folded(tag))) else { continue };
            log.areas.insert(plant.positions[at].area().unwrap_or_default().to_owned());
            if event.event() == Some("exchange") {
                log.exchanges[at] += 1.0;
            }
        }
        log
    }
}

/// Exchanges and unit-years of positions, counted only inside the window and in areas that
/// report at all.
fn watched(
    plant: &Plant,
    positions: &[usize],
    window: Option<(jiff::civil::Date, jiff::civil::Date)>,
    log: &Log,
    duty: &[f64],
) -> Exposure {
    let Some((first, last)) = window else { return Exposure::default() };
    let mut out = Exposure::default();
    for &index in positions {
        let position = &plant.positions[index];
        if !log.areas.contains(position.area().unwrap_or_default()) {
            continue;
        }
        let from = position.installed_on().map_or(first, |d| d.max(first));
        out.years += (f64::from((last - from).get_days()) / YEAR).max(0.0) * duty[index];
        out.events += log.exchanges[index];
    }
    out
}

fn group_rate(
    plant: &Plant,
    name: String,
    positions: Vec<usize>,
    exposure: Exposure,
    plant_prior: Option<Gamma>,
    policy: &Policy,
    margin: f64,
) -> GroupRate {
    let generic = generic_rate(plant, &positions, policy) * margin;
    let prior = plant_prior.unwrap_or_else(|| noninformative(generic));
    let mut rate = prior.after(exposure.events, exposure.years);
    let own_share = exposure.years / (exposure.years + prior.rate);
    // A log with gaps must not pull a rate down without bound.
    let held_up = !policy.log_complete && rate.mean() < generic / 3.0;
    if held_up {
        rate = Gamma { shape: rate.rate * generic / 3.0, rate: rate.rate };
    }
    let from = if held_up {
        RateFrom::Default
    } else if own_share >= 0.5 {
        RateFrom::OwnData
    } else if plant_prior.is_some() {
        RateFrom::Group
    } else {
        RateFrom::Default
    };
    GroupRate { name, positions, exposure, rate, own_share, from, held_up }
}

/// What the default rate of a group is multiplied by for its load; 1 unless the policy asks for it.
/// The reference of a position is the service factor it needs.
fn load_margin(positions: &[usize], rated: &[Rated], policy: &Policy) -> f64 {
    if !policy.rate_by_load_margin {
        return 1.0;
    }
    let factor = |at: &usize| {
        let r = rated.get(*at)?;
        let (share, exponent) = (policy.load_driven_share, policy.load_life_exponent);
        rate_by_margin(r.installed?, r.required.factor, share, exponent)
    };
    let factors: Vec<f64> = positions.iter().filter_map(factor).collect();
    if factors.is_empty() { 1.0 } else { factors.iter().sum::<f64>() / factors.len() as f64 }
}

/// The policy's default by the surroundings that most positions of the group report.
fn generic_rate(plant: &Plant, positions: &[usize], policy: &Policy) -> f64 {
    let harsh = positions
        .iter()
        .filter(|p| {
            plant.positions[**p].washdown() == Some(true)
                || plant.positions[**p].load_class() == Some("H")
        })
        .count();
    if harsh * 2 > positions.len() { policy.rate_harsh } else { policy.rate_per_year }
}
