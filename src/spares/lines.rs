//! Hold, release, buy, rebuild or inspect: each shelf line with its reason and its proof.

use super::demand::{Demand, RateFrom};
use super::matching::{Coverage, SpareType, too_dear};
use super::parts::SharedPart;
use super::plan::{Pool, between};
use crate::findings::{Finding, name};
use crate::fit::Case;
use crate::policy::Policy;
use crate::records::{Field, Plant};

/// What to do with a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Action {
    /// Buy.
    Buy,
    /// Inspect, turn, re-preserve.
    Inspect,
    /// Have it rebuilt.
    Rebuild,
    /// Let go.
    Release,
    /// Keep.
    Hold,
}

impl Action {
    /// The word printed and used in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Buy => "buy",
            Self::Inspect => "inspect",
            Self::Rebuild => "rebuild",
            Self::Release => "release",
            Self::Hold => "hold",
        }
    }
}

/// A decision on a shelf line or on something to buy.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Shelf item, or the model to buy.
    pub item: String,
    /// What it is.
    pub what: String,
    /// Index of the shelf line; `None` for something to buy.
    pub line: Option<usize>,
    /// Decision.
    pub action: Action,
    /// How many.
    pub quantity: f64,
    /// Money: value held or let go, or the price to pay.
    pub value: Option<f64>,
    /// Why.
    pub reason: String,
    /// Who still covers, for a release; who is covered, for the rest.
    pub covered_by: String,
    /// Benefit a year: waiting saved by buying, rebuilding or inspecting; holding saved by release.
    pub benefit: Option<f64>,
}

/// The rate factor at which a release must still hold.
const RELEASE_RATE: f64 = 3.0;

/// Savings are counted once: each action starts from what the actions before it left, in the
/// order inspect, rebuild, buy.
struct Steps {
    /// Units that count so far, per pool.
    counted: Vec<f64>,
    /// Units that are ready so far, per pool.
    proven: Vec<f64>,
    /// Units still short of the plan, per pool.
    short: Vec<f64>,
    /// Ready units let go, per pool.
    released: Vec<f64>,
}

impl Steps {
    fn of(pools: &[Pool], coverage: &Coverage) -> Self {
        let kind = |p: &Pool| &coverage.types[p.spare];
        Self {
            counted: pools.iter().map(|p| p.have).collect(),
            proven: pools.iter().map(|p| kind(p).ready).collect(),
            short: pools
                .iter()
                .map(|p| (f64::from(p.planned.stock) - kind(p).stock_position()).max(0.0))
                .collect(),
            released: vec![0.0; pools.len()],
        }
    }

    /// Waiting saved a year by `more` units in pool `at`.
    fn step(&mut self, at: usize, pool: &Pool, more: f64) -> f64 {
        let waiting = |stock: f64| between(stock, &|s| pool.input.with(s).waiting);
        let before = waiting(self.counted[at]);
        self.counted[at] += more;
        self.short[at] = (self.short[at] - more.floor()).max(0.0);
        (before - waiting(self.counted[at])).max(0.0)
    }
}

struct Desk<'a> {
    plant: &'a Plant,
    policy: &'a Policy,
    coverage: &'a Coverage,
    demand: &'a Demand,
    pools: &'a [Pool],
    parts: &'a [SharedPart],
}

/// Decides every line.
pub(super) fn decide(
    plant: &Plant,
    policy: &Policy,
    coverage: &Coverage,
    demand: &Demand,
    pools: &[Pool],
    parts: &[SharedPart],
) -> (Vec<Line>, Vec<Finding>) {
    let desk = Desk { plant, policy, coverage, demand, pools, parts };
    let mut findings = Vec::new();
    let mut lines = Vec::new();
    let mut steps = Steps::of(pools, coverage);
    // Unproven lines go first, so that what stays is the better part; as removed ones last.
    let mut order: Vec<usize> = (0..plant.shelf.len()).collect();
    order.sort_by_key(|l| {
        let rank = match plant.shelf[*l].condition() {
            Some("ready") => 1,
            Some("as-removed") => 2,
            _ => 0,
        };
        (rank, *l)
    });
    for line in order {
        lines.push(desk.line(line, &mut steps, &mut findings));
    }
    findings.extend(desk.assumed_lead_times());
    lines.sort_by_key(|l| l.line);
    let bought = pools.iter().enumerate().filter(|(_, p)| p.buy > 0);
    lines.extend(bought.map(|(at, p)| desk.buy(p, steps.step(at, p, f64::from(p.buy)))));
    (lines, findings)
}

impl Desk<'_> {
    fn line(&self, line: usize, steps: &mut Steps, findings: &mut Vec<Finding>) -> Line {
        let shelf = &self.plant.shelf[line];
        let quantity = shelf.quantity().unwrap_or(0.0);
        let value = shelf.unit_value().map(|v| v * quantity);
        let mut out = Line {
            item: shelf.name(),
            what: shelf.description().or_else(|| shelf.model()).unwrap_or("").to_owned(),
            line: Some(line),
            action: Action::Hold,
            quantity,
            value,
            reason: String::new(),
            covered_by: String::new(),
            benefit: None,
        };
        let spare = self.coverage.types.iter().position(|t| t.lines.contains(&line));
        let Some(spare) = spare else {
            self.of_part(&mut out, line);
            return out;
        };
        if shelf.unit_value().is_none() {
            let place = shelf.place(Field::unit_value);
            findings.push(Finding::new(
                &name::NO_PRICE,
                place,
                format!("`{}` has no value; held and not weighed", out.item),
            ));
        }
        let kind = &self.coverage.types[spare];
        out.covered_by = self.tags(&kind.positions);
        if kind.positions.is_empty() {
            self.fits_nothing(&mut out, line, kind, findings);
        } else if shelf.condition() == Some("as-removed") {
            self.as_removed(&mut out, line, spare, steps);
        } else {
            self.useful(&mut out, line, spare, steps);
        }
        out
    }

    /// A line that holds a part: never let go by figures alone, but it says who needs it.
    fn of_part(&self, out: &mut Line, line: usize) {
        let Some(part) = self.parts.iter().find(|p| p.lines.contains(&line)) else {
            out.reason = "a part that no list of parts names".into();
            return;
        };
        out.covered_by = self.tags(&part.positions);
        if part.positions.is_empty() {
            out.reason =
                "review: a part that fits no installed unit that the parts list knows".into();
            return;
        }
        let over = part.have - part.planned;
        let more =
            if over >= 1.0 { format!(", {over:.0} more than planned") } else { String::new() };
        out.reason = format!(
            "part for {} positions: {:.0} planned, {:.0} there{more}",
            part.positions.len(),
            part.planned,
            part.have
        );
    }

    /// Pools whose spare has no lead time of its own.
    fn assumed_lead_times(&self) -> Vec<Finding> {
        let assumed = |pool: &&Pool| {
            self.coverage.types[pool.spare]
                .model
                .is_none_or(|m| self.plant.models[m].lead_time_days().is_none())
        };
        let finding = |pool: &Pool| {
            let kind = &self.coverage.types[pool.spare];
            let place = kind.model.map_or_else(
                || kind.lines.first().map(|l| self.plant.shelf[*l].cell(0)).unwrap_or_default(),
                |m| self.plant.models[m].cell(0),
            );
            let message =
                format!("`{}` has no lead time; {:.0} days were taken", kind.name, kind.lead_days);
            Finding::new(&name::NO_LEAD_TIME, place, message)
        };
        self.pools.iter().filter(assumed).map(finding).collect()
    }

    fn tags(&self, positions: &[usize]) -> String {
        let shown: Vec<&str> =
            positions.iter().take(6).filter_map(|p| self.plant.positions[*p].tag()).collect();
        let more = positions.len().saturating_sub(6);
        if more > 0 { format!("{} and {more} more", shown.join(", ")) } else { shown.join(", ") }
    }

    fn is_last_of_discontinued(kind: &SpareType, quantity: f64) -> bool {
        !kind.orderable && quantity <= 1.0
    }

    fn fits_nothing(
        &self,
        out: &mut Line,
        line: usize,
        kind: &SpareType,
        findings: &mut Vec<Finding>,
    ) {
        let open = self.coverage.undecided[line];
        if open.almost > 0 {
            out.reason = format!(
                "review: {} positions without cover could take it as a stop-gap, by the engineer's word, or \
                 but for a gate that this version does not compare",
                open.almost
            );
        } else if open.to_measure > 0 {
            out.reason = format!(
                "review: {} positions could take it once they are measured",
                open.to_measure
            );
        } else if Self::is_last_of_discontinued(kind, out.quantity) {
            out.reason = "review: the last of a discontinued model is never released".into();
        } else if out.value.is_none() {
            out.reason = "review: fits no position, but has no value to weigh".into();
        } else {
            out.action = Action::Release;
            out.reason = "fits no position: each fails a gate, none is left to be measured".into();
            out.covered_by = "no position draws on it".into();
            out.benefit = out.value.map(|v| v * self.policy.holding());
        }
        let place = self.plant.shelf[line].cell(0);
        findings.push(Finding::new(
            &name::FITS_NOTHING,
            place,
            format!("`{}` covers no position", out.item),
        ));
    }

    fn as_removed(&self, out: &mut Line, line: usize, spare: usize, steps: &mut Steps) {
        let kind = &self.coverage.types[spare];
        let repair = self.plant.shelf[line].repair_cost();
        if too_dear(repair, kind.value, self.policy) {
            let share = 100.0 * self.policy.worth_repair_share;
            out.reason =
                format!("as removed; the repair costs more than {share:.0} % of a new unit");
            return;
        }
        let pool = self.pools.iter().enumerate().find(|(_, p)| p.spare == spare);
        let wanted = pool.map_or(0.0, |(at, _)| steps.short[at].min(out.quantity).ceil());
        let Some((at, pool)) = pool.filter(|_| wanted >= 1.0) else {
            out.reason = "review: as removed and not needed for the planned stock".into();
            return;
        };
        out.action = Action::Rebuild;
        out.value = self.plant.shelf[line].unit_value().map(|v| v * wanted);
        out.quantity = wanted;
        out.reason = format!(
            "as removed; rebuilt, {wanted:.0} would fill the {} planned",
            pool.planned.stock
        );
        out.benefit = Some(steps.step(at, pool, wanted));
    }

    fn useful(&self, out: &mut Line, line: usize, spare: usize, steps: &mut Steps) {
        let kind = &self.coverage.types[spare];
        let pool = self.pools.iter().enumerate().find(|(_, p)| p.spare == spare);
        let Some((at, pool)) = pool else {
            out.reason = "review: other units cover the same positions, but not every gate between them is known".into();
            return;
        };
        let unproven = self.plant.shelf[line].condition() != Some("ready");
        let enough =
            (0..=200).find(|s| pool.input.at_rate(RELEASE_RATE).is_met_by(*s)).unwrap_or(200);
        let keep = f64::from(enough.max(pool.planned.stock)).max(1.0);
        // Only ready units prove a release, so only they count as what stays.
        let ready = kind.ready - steps.released[at];
        let surplus = if !unproven {
            (ready - keep).floor().min(out.quantity)
        } else if ready >= keep {
            out.quantity
        } else {
            0.0
        };
        if surplus >= 1.0 && self.may_release(out, line, kind, pool) {
            let stays = if unproven { ready } else { ready - surplus };
            if !unproven {
                steps.released[at] += surplus;
            }
            self.release(out, pool, stays, surplus);
            return;
        }
        out.reason = format!(
            "{} planned for {} positions at {:.0} %",
            pool.planned.stock,
            pool.positions.len(),
            100.0 * pool.level
        );
        let needed = f64::from(pool.planned.stock.max(1)) - steps.proven[at];
        if unproven && needed >= 1.0 {
            let wanted = needed.min(out.quantity);
            steps.proven[at] += wanted;
            out.action = Action::Inspect;
            out.reason = format!("unproven, and {}", out.reason);
            let counts = 1.0 - self.policy.unproven_weight;
            out.benefit = Some(steps.step(at, pool, wanted * counts));
        }
    }

    /// The rules that forbid a release; each leaves its reason.
    fn may_release(&self, out: &mut Line, line: usize, kind: &SpareType, pool: &Pool) -> bool {
        let weak_rate =
            pool.positions.iter().any(|p| self.demand.rate(*p).from == RateFrom::Default);
        let numbered =
            pool.positions.iter().any(|p| !self.plant.positions[*p].knows(Field::consequence));
        let suspended =
            pool.positions.iter().any(|p| Case::new(self.plant, self.policy, *p).is_suspended());
        let why = if self.plant.shelf[line].knows(Field::reserved_for) {
            "reserved"
        } else if suspended {
            "it serves a suspended load; always held"
        } else if weak_rate {
            "review: the rate is less than half the plant's own data"
        } else if numbered {
            "review: a position it serves has no consequence class"
        } else if !kind.orderable {
            "review: a discontinued model cannot be bought back"
        } else if self.coverage.undecided[line].almost > 0 {
            "review: a position without cover could use it as a stop-gap, or but for a gate that this version does not compare"
        } else if kind.value.is_none() {
            "review: no value to weigh"
        } else {
            return true;
        };
        why.clone_into(&mut out.reason);
        false
    }

    /// What stays is the same model as what goes, so no gate can differ between them.
    fn release(&self, out: &mut Line, pool: &Pool, stays: f64, surplus: f64) {
        let proof = pool.input.at_rate(RELEASE_RATE).with(stays as u32).no_wait;
        out.action = Action::Release;
        out.quantity = surplus;
        out.value = self.plant.shelf[out.line.unwrap_or(0)].unit_value().map(|v| v * surplus);
        out.benefit = out.value.map(|v| v * self.policy.holding());
        out.reason = format!("{surplus:.0} more than needed even at three times the rate");
        out.covered_by = format!(
            "{stays:.0} ready of the same model for {}; nobody waits {:.1} % of the time at three times the rate, asked {:.0} %",
            self.tags(&pool.positions),
            100.0 * proof,
            100.0 * pool.level
        );
    }

    fn buy(&self, pool: &Pool, benefit: f64) -> Line {
        let kind = &self.coverage.types[pool.spare];
        Line {
            item: pool.name.clone(),
            what: kind.model.map(|m| self.plant.models[m].title()).unwrap_or_default(),
            line: None,
            action: Action::Buy,
            quantity: f64::from(pool.buy),
            value: kind.value.map(|v| v * f64::from(pool.buy)),
            reason: format!(
                "{} planned for {} positions, {:.0} there; nobody waits {:.1} → {:.1} % of the time",
                pool.planned.stock,
                pool.positions.len(),
                kind.stock_position(),
                100.0 * pool.no_wait_today,
                100.0 * pool.planned.no_wait
            ),
            covered_by: self.tags(&pool.positions),
            benefit: Some(benefit),
        }
    }
}
