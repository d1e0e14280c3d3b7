//! The whole plan: pools, lines, money and risk.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use petgraph::unionfind::UnionFind;
use rayon::prelude::*;

use super::choice::{Chosen, OUT_OF_REACH, Options, choose};
use super::demand::{Demand, Watch};
use super::frontier::{FrontierPoint, frontier};
use super::lines::{self, Line};
use super::matching::Coverage;
use super::no_cover::NoCover;
use super::noticed;
use super::outlook::{self, Outlook, newest};
use super::parts::{self, SharedPart};
use super::pool::Pool;
use super::service::{self, FamilyService};
use super::sharing::Sharing;
use super::standardise::Conversion;
use super::waiting::waiting_prices;
use crate::findings::Finding;
use crate::policy::Policy;
use crate::rating::Rated;
use crate::records::{Field, Plant, Shelf};

/// A plan.
#[derive(Clone, Debug)]
pub struct Plan {
    /// What covers what.
    pub coverage: Coverage,
    /// Rates.
    pub demand: Demand,
    /// Pools, largest saving first within a family.
    pub pools: Vec<Pool>,
    /// Every shelf line, then what to buy.
    pub lines: Vec<Line>,
    /// Positions nothing on the shelf covers.
    pub no_cover: Vec<NoCover>,
    /// Price of one year of waiting, per position, by the waits that the plan leaves.
    pub waiting_price: Vec<Option<f64>>,
    /// The same by the waits of today.
    pub price_today: Vec<Option<f64>>,
    /// Chance that the next failure of each position finds a unit on the shelf today.
    pub fill_today: Vec<f64>,
    /// Risk of every position today (per year).
    pub risk_today: Vec<Option<f64>>,
    /// Positions that wait at any time today, on average.
    pub positions_waiting: f64,
    /// Risk a year beyond today's if resupply took half as long again.
    pub exposure: f64,
    /// What sharing spares between models saves.
    pub sharing: Sharing,
    /// Value of the shelf.
    pub stock_value: f64,
    /// Holding a year, today's shelf.
    pub holding_cost: f64,
    /// Waiting a year, today's shelf.
    pub waiting_cost: f64,
    /// Waiting a year without any spare.
    pub waiting_without: f64,
    /// Waiting a year as planned.
    pub waiting_planned: f64,
    /// Cost of the choice, and the bound below which none can be.
    pub cost: f64,
    /// What the cost of the choice is made of.
    pub costs: Costs,
    /// The bound.
    pub bound: f64,
    /// Families of positions and types, by index.
    pub families: usize,
    /// Money against risk, from today's shelf on: each point is efficient.
    pub frontier: Vec<FrontierPoint>,
    /// Service of families whose pools can lend to each other.
    pub services: Vec<FamilyService>,
    /// Conversions that would let positions share, the best first.
    pub conversions: Vec<Conversion>,
    /// Exchanges over the next years, where the policy says how units wear.
    pub outlook: Option<Outlook>,
    /// Parts that models share.
    pub parts: Vec<SharedPart>,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// What the choice of spares costs a year.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Costs {
    /// Holding: of what is there, what letting it go would earn.
    pub holding: f64,
    /// Buying and rebuilding, spread over the years.
    pub obtaining: f64,
    /// Work that adapts units to their positions.
    pub adapting: f64,
    /// Waiting of the positions that some unit could serve.
    pub waiting: f64,
}

impl Plan {
    /// How far the choice can be from the optimum, as a share of its cost.
    #[must_use]
    pub fn gap(&self) -> f64 {
        if self.cost > 0.0 { (self.cost - self.bound) / self.cost } else { 0.0 }
    }

    /// Running positions that no unit is proven to cover, whatever is bought.
    #[must_use]
    pub fn beyond_reach(&self, plant: &Plant) -> Vec<usize> {
        let all = 0..plant.positions.len();
        let bare =
            |p: &usize| plant.positions[*p].runs() && self.coverage.of_position[*p].is_empty();
        all.filter(bare).collect()
    }
}

/// Plans the spares of the whole plant.
#[must_use]
pub fn plan(plant: &Plant, rated: &[Rated], policy: &Policy) -> Plan {
    plan_at(plant, policy, Demand::of(plant, rated, policy))
}

/// Plans the spares at rates that are given.
#[must_use]
pub fn plan_at(plant: &Plant, policy: &Policy, demand: Demand) -> Plan {
    let coverage = Coverage::of(plant, policy);
    let standing = standing(plant);
    let (waiting_price, (mut pools, cost, bound, families)) =
        settled(plant, policy, &coverage, &demand, &standing);
    let desk = Desk {
        plant,
        policy,
        coverage: &coverage,
        demand: &demand,
        waiting_price: &waiting_price,
        standing: &standing,
        today: newest(plant),
    };
    pools.sort_by(|a, b| (a.family, &a.name).cmp(&(b.family, &b.name)));
    let today = desk.today();
    let risk_today = &today.risks;
    for pool in &mut pools {
        pool.waiting_today = pool.positions.iter().filter_map(|p| risk_today[*p]).sum();
    }
    let parts = parts::shared(plant, policy, &Watch::of(plant));
    let lines = lines::decide(desk, &pools, &parts);
    let no_cover = desk.no_cover(&pools, &lines, risk_today);
    let findings = noticed::findings(plant, policy, &coverage);
    let serves = |spare: usize, position: usize| {
        coverage.types[spare].positions.binary_search(&position).is_ok()
    };
    let services = service::services(&pools, &serves, families, policy.simulate_above);
    let conversions = desk.conversions(&pools);
    let outlook = outlook::outlook(plant, &demand, policy, risk_today);
    let served = desk.pool_of(&pools);
    let sum = |f: &dyn Fn(usize) -> Option<f64>| (0..plant.positions.len()).filter_map(f).sum();
    let waiting_cost: f64 = sum(&|p| risk_today[p]);
    let unserved: f64 = sum(&|p| risk_today[p].filter(|_| served[p].is_none()));
    let frontier = frontier(&pools, waiting_cost, unserved);
    let stock_value: f64 = plant.shelf.iter().map(Shelf::worth).sum();
    Plan {
        exposure: desk.exposure(&today),
        sharing: desk.sharing(&pools),
        positions_waiting: today.waiting,
        stock_value,
        holding_cost: policy.holding() * stock_value,
        waiting_cost,
        waiting_without: sum(&|p| today.without[p]),
        waiting_planned: pools.iter().map(Pool::waiting_then).sum::<f64>() + unserved,
        no_cover,
        lines,
        risk_today: today.risks,
        price_today: today.prices,
        fill_today: today.fill,
        costs: desk.costs(&pools, cost),
        pools,
        cost,
        bound,
        families,
        frontier,
        services,
        conversions,
        outlook,
        parts,
        findings,
        waiting_price: waiting_price.clone(),
        coverage,
        demand,
    }
}

/// Consequence class of every position; where none is said it stops the line.
fn standing(plant: &Plant) -> Vec<&'static str> {
    let class = |position: &crate::records::Position| match position.consequence() {
        Some("people") => "people",
        Some("slow") => "slow",
        Some("minor") => "minor",
        _ => "line",
    };
    plant.positions.iter().map(class).collect()
}

/// Pools, cost, bound and families of a choice.
type Choice = (Vec<Pool>, f64, f64, usize);

/// The choice, with prices of waiting that rest on the waits it leaves: where units stand in groups, the
/// time out of service is the swap and the mean wait at the planned stock, found by going round until
/// it moves by less than a hundredth.
fn settled(
    plant: &Plant,
    policy: &Policy,
    coverage: &Coverage,
    demand: &Demand,
    standing: &[&'static str],
) -> (Vec<Option<f64>>, Choice) {
    /// Rounds at most; each halves what is left, or more.
    const ROUNDS: usize = 6;
    let mut waits: Vec<Option<f64>> = vec![None; plant.positions.len()];
    let mut prices = waiting_prices(plant, demand, policy, &waits);
    let choice = |prices: &[Option<f64>]| {
        let today = newest(plant);
        let waiting_price = prices;
        let desk = Desk { plant, policy, coverage, demand, waiting_price, standing, today };
        desk.choose(&desk.classes())
    };
    let mut chosen = choice(&prices);
    if !plant.positions.iter().any(|p| p.knows(Field::redundancy)) {
        return (prices, chosen);
    }
    for _ in 0..ROUNDS {
        for pool in &chosen.0 {
            let rate: f64 = pool.positions.iter().map(|p| demand.mean_rate(*p)).sum();
            for p in &pool.positions {
                waits[*p] = (rate > 0.0).then(|| pool.planned.backorders / rate);
            }
        }
        let next = waiting_prices(plant, demand, policy, &waits);
        let moved = |(a, b): (&Option<f64>, &Option<f64>)| match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() > 0.01 * a.abs(),
            _ => a.is_some() != b.is_some(),
        };
        let settled = !prices.iter().zip(&next).any(moved);
        let then = choice(&next);
        // A position that has a spare because waiting is dear must not lose it because it then waits little.
        let pooled = |choice: &Choice| -> Vec<usize> {
            let mut all: Vec<usize> =
                choice.0.iter().flat_map(|p| p.positions.iter().copied()).collect();
            all.sort_unstable();
            all
        };
        let (before, after) = (pooled(&chosen), pooled(&then));
        if before.iter().any(|p| after.binary_search(p).is_err()) {
            break;
        }
        (prices, chosen) = (next, then);
        if settled {
            break;
        }
    }
    (prices, chosen)
}

/// Positions of one consequence class with the same usable types.
pub(super) struct Class {
    pub(super) positions: Vec<usize>,
    pub(super) types: Vec<usize>,
    pub(super) consequence: &'static str,
}

/// Everything the choice looks at.
#[derive(Clone, Copy)]
pub(super) struct Desk<'a> {
    pub(super) plant: &'a Plant,
    pub(super) policy: &'a Policy,
    pub(super) coverage: &'a Coverage,
    pub(super) demand: &'a Demand,
    pub(super) waiting_price: &'a [Option<f64>],
    /// Consequence class of every position.
    pub(super) standing: &'a [&'static str],
    /// The day of the newest event, by which ages count.
    pub(super) today: Option<jiff::civil::Date>,
}

impl Desk<'_> {
    pub(super) fn consequence(&self, position: usize) -> &'static str {
        self.standing[position]
    }

    fn classes(&self) -> Vec<Class> {
        let worth = self.worth_looking_at();
        let mut classes: Vec<Class> = Vec::new();
        let mut known: HashMap<(Vec<usize>, &str), usize> = HashMap::new();
        for (position, types) in self.coverage.of_position.iter().enumerate() {
            let consequence = self.consequence(position);
            let types: Vec<usize> = types.iter().copied().filter(|t| worth[*t]).collect();
            if types.is_empty() || !self.plant.positions[position].runs() {
                continue;
            }
            match known.entry((types, consequence)) {
                Entry::Occupied(at) => classes[*at.get()].positions.push(position),
                Entry::Vacant(new) => {
                    let types = new.key().0.clone();
                    new.insert(classes.len());
                    classes.push(Class { positions: vec![position], types, consequence });
                }
            }
        }
        classes
    }

    /// Types worth looking at: those that can be bought or are there, but for dearer ones that cover no more than
    /// a cheaper one that is as quick.
    fn worth_looking_at(&self) -> Vec<bool> {
        let types = 0..self.coverage.types.len();
        types.into_par_iter().map(|t| self.is_usable(t) && !self.is_beaten(t)).collect()
    }

    fn is_usable(&self, t: usize) -> bool {
        let spare = &self.coverage.types[t];
        spare.within_reach() > 0.0 || spare.is_for_sale()
    }

    /// Whether another type covers all that this one does, for no more money and no later. It then covers this one's
    /// first position too, so the types of that are all there is to look at.
    fn is_beaten(&self, t: usize) -> bool {
        let a = &self.coverage.types[t];
        let Some(first) = a.positions.first() else { return false };
        let price = |s: &super::matching::SpareType| s.value.unwrap_or(f64::MAX);
        let beats = |o: &usize| {
            let b = &self.coverage.types[*o];
            let no_worse = b.orderable && price(b) <= price(a) && b.lead_days <= a.lead_days;
            let strictly = price(b) < price(a) || b.positions.len() > a.positions.len() || *o < t;
            let covers = || a.positions.iter().all(|p| b.positions.binary_search(p).is_ok());
            *o != t && no_worse && strictly && self.is_usable(*o) && covers()
        };
        a.within_reach() == 0.0 && self.coverage.of_position[*first].iter().any(beats)
    }

    /// Chooses a type for every class, component by component.
    fn choose(&self, classes: &[Class]) -> Choice {
        let mut joined = UnionFind::new(classes.len() + self.coverage.types.len());
        for (at, class) in classes.iter().enumerate() {
            for spare in &class.types {
                joined.union(at, classes.len() + spare);
            }
        }
        let mut components: Vec<Vec<usize>> = Vec::new();
        let mut of_root: HashMap<usize, usize> = HashMap::new();
        for at in 0..classes.len() {
            let known = *of_root.entry(joined.find(at)).or_insert(components.len());
            if known == components.len() {
                components.push(Vec::new());
            }
            components[known].push(at);
        }
        let (mut pools, mut cost, mut bound) = (Vec::new(), 0.0, 0.0);
        let chosen: Vec<Chosen> =
            components.par_iter().with_max_len(1).map(|c| self.choose_in(classes, c)).collect();
        for (family, (members, chosen)) in components.iter().zip(chosen).enumerate() {
            // What cannot be ordered is a last choice, not a price.
            cost += chosen.cost % OUT_OF_REACH;
            bound += chosen.bound % OUT_OF_REACH;
            pools.extend(self.pools(classes, members, &chosen.types, family));
        }
        (pools, cost, bound, components.len())
    }

    fn choose_in(&self, classes: &[Class], members: &[usize]) -> Chosen {
        let options: Vec<Options> = members
            .iter()
            .map(|at| {
                let class = &classes[*at];
                let mut options: Options = class.types.iter().map(|t| Some(*t)).collect();
                if !self.must_have(class) {
                    options.push(None);
                }
                options
            })
            .collect();
        let relaxed = || self.relaxed(classes, members, &options);
        choose(&options, self.policy.enumeration_limit, relaxed, |spare, inner| {
            let positions: Vec<usize> =
                inner.iter().flat_map(|i| classes[members[*i]].positions.iter().copied()).collect();
            match spare {
                None => positions.iter().filter_map(|p| self.risk_without(*p)).sum(),
                Some(spare) => self.yearly_cost(spare, &positions),
            }
        })
    }

    /// Whether a stop-gap runs at a position.
    pub(super) fn has_stop_gap(&self, position: usize) -> bool {
        let p = &self.plant.positions[position];
        p.knows(Field::fitted_as) || p.knows(Field::stop_gap_until)
    }

    /// The worst class has a spare or a documented alternative.
    pub(super) fn must_have(&self, class: &Class) -> bool {
        class.consequence == "people"
            && class
                .positions
                .iter()
                .any(|p| !self.plant.positions[*p].knows(Field::documented_alternative))
    }
}
