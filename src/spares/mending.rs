//! What makes cover: looking at units that nobody has looked at, rebuilding, buying.

use super::at_hand::AtHand;
use super::letting_go::percent;
use super::lines::{Action, Desk, Line, Steps, why_planned};
use super::matching::{SpareType, rebuild_cost, too_dear};
use super::pool::Pool;
use crate::fit::{Standing, months_too_old, standing};

impl Desk<'_> {
    /// A unit as removed is rebuilt where the plan asks for it.
    pub(super) fn as_removed(&self, out: &mut Line, line: usize, spare: usize, steps: &mut Steps) {
        let (plant, policy) = (self.base.plant, self.base.policy);
        let kind = &self.base.coverage.types[spare];
        if too_dear(plant.shelf[line].repair_cost(), kind.value, policy) {
            let share = 100.0 * policy.worth_repair_share;
            out.reason =
                format!("as removed; the repair costs more than {share:.0} % of a new unit");
            return;
        }
        let Some(each) = rebuild_cost(plant, policy, line, kind.value) else {
            out.reason = "review: as removed; neither repair cost nor value says what rebuilding it would cost".into();
            return;
        };
        let pool = self.pool_of(spare);
        let wanted = pool.map_or(0.0, |(at, _)| steps.short[at].min(out.quantity).ceil());
        let Some((at, pool)) = pool.filter(|_| wanted >= 1.0) else {
            out.reason = "review: as removed and not needed for the planned stock".into();
            return;
        };
        out.action = Action::Rebuild;
        out.quantity = wanted;
        out.value = self.worth(line, wanted);
        out.cost = Some(each * wanted);
        let listed = plant.shelf[line].repair_cost().is_some();
        let guess = if listed { "" } else { "; its cost is the policy's share of a new one" };
        out.reason = format!("as removed; {}{guess}", why_planned(pool));
        out.benefit = Some(steps.add(at, pool, wanted));
    }

    /// Units that nobody has looked at are looked at where the plan rests on them and it costs less than it saves; the
    /// saving counts that those that fail are made good.
    pub(super) fn inspect(
        &self,
        out: &mut Line,
        line: usize,
        (at, pool): (usize, &Pool),
        steps: &mut Steps,
    ) {
        let (plant, policy) = (self.base.plant, self.base.policy);
        let needed = f64::from(pool.planned.stock.max(1)) - steps.proven[at];
        if standing(plant, policy, line) != Standing::Unproven || needed < 1.0 {
            return;
        }
        let wanted = needed.min(out.quantity).ceil();
        let known = steps.hand(at).proven(wanted);
        let saves = steps.look(at, pool, known);
        let costs = policy.hours.inspection * policy.cost_per_hour_of_work * wanted;
        let people = if saves < costs { self.people_of(pool) } else { Vec::new() };
        if saves < costs && people.is_empty() {
            let why = self.why_unproven(line);
            out.reason = format!("{why}; looking costs more than it saves; {}", out.reason);
            return;
        }
        let anyway = match people.as_slice() {
            [] => String::new(),
            some => format!(
                "; in money it costs more than it saves, but it may serve {}, where people are carried",
                self.tags(some)
            ),
        };
        steps.proven[at] += wanted;
        out.action = Action::Inspect;
        out.quantity = wanted;
        out.value = self.worth(line, wanted);
        out.cost = Some(costs);
        out.reason = format!("{}{anyway}; {}", self.why_unproven(line), out.reason);
        out.benefit = Some(steps.step(at, pool, known));
    }

    /// Positions of the worst class that draw on a type, or could run on it for want of a ready spare: what a look
    /// at it saves is not counted in money then.
    fn people_of(&self, pool: &Pool) -> Vec<usize> {
        let kind = self.kind(pool);
        let mut all = self.stand_ins(pool);
        all.extend(kind.positions.iter().chain(&pool.positions));
        all.retain(|p| self.base.consequence(*p) == "people");
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Unproven, and since when.
    fn why_unproven(&self, line: usize) -> String {
        let shelf = &self.base.plant.shelf[line];
        let old = months_too_old(self.base.plant, self.base.policy, line);
        match (shelf.condition(), shelf.last_inspected(), old) {
            (Some("ready"), Some(day), Some(months)) if months < 0.0 => {
                format!("unproven: inspected on {day}, after the stock date")
            }
            (Some("ready"), Some(day), Some(_)) => format!("unproven: last inspected on {day}"),
            _ => "unproven".to_owned(),
        }
    }

    /// What is bought, from what is at hand `before` on.
    pub(super) fn buy(&self, pool: &Pool, before: AtHand, benefit: f64) -> Line {
        let kind = self.kind(pool);
        let price = kind.value.map(|v| v * f64::from(pool.buy));
        let coming = match kind.coming {
            c if c > 0.0 => format!(", {c:.0} to come"),
            _ => String::new(),
        };
        let rebuilt = match rebuilt(kind, pool) {
            r if r > 0.0 => format!(", {r:.0} to rebuild"),
            _ => String::new(),
        };
        let before = before.expect(&|s| pool.input.with(s).no_wait);
        let owed = match pool.owed {
            0 => String::new(),
            n => format!(", {n} owed to stop-gaps"),
        };
        Line {
            item: pool.name.clone(),
            what: kind.model.map(|m| self.base.plant.models[m].title()).unwrap_or_default(),
            line: None,
            action: Action::Buy,
            quantity: f64::from(pool.buy),
            value: price,
            cost: price,
            reason: format!(
                "{}; {:.0} there{coming}{rebuilt}{owed}; somebody waits {} of the time without more, {} with",
                why_planned(pool),
                kind.ready + kind.unproven,
                percent(1.0 - before),
                percent(1.0 - pool.planned.no_wait)
            ),
            covered_by: self.tags(&pool.positions),
            benefit: Some(benefit),
            rest: false,
        }
    }
}

/// Units as removed that the plan asks to rebuild.
pub(super) fn rebuilt(kind: &SpareType, pool: &Pool) -> f64 {
    let missing = f64::from(pool.planned.stock + pool.owed) - kind.stock_position();
    missing.max(0.0).min(kind.rebuildable)
}
