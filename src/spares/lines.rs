//! Hold, release, buy, rebuild or inspect: each shelf line with its reason and its proof.

use super::demand::{Demand, RateFrom};
use super::matching::{Coverage, SpareType, too_dear};
use super::parts::SharedPart;
use super::plan::{Pool, between};
use super::pools::plan_pool;
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

/// Why a line of an item that has several is not let go.
const SEVERAL_LINES: &str =
    "review: the item stands in several lines; settle which are there first";

/// `1 position`, `3 positions`.
fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
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

    /// What `more` units in pool `at` would save a year.
    fn look(&self, at: usize, pool: &Pool, more: f64) -> f64 {
        let waiting = |stock: f64| between(stock, &|s| pool.input.with(s).waiting);
        (waiting(self.counted[at]) - waiting(self.counted[at] + more)).max(0.0)
    }

    /// Waiting saved a year by `more` units in pool `at`, which then count.
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
        if out.quantity < 1.0 {
            out.reason = "none is there".into();
            return;
        }
        if self.plant.shelf[line].knows(Field::reserved_for) {
            out.reason = "reserved".into();
        } else if self.plant.shelf[line].nth > 0 {
            out.reason = SEVERAL_LINES.into();
        } else if open.almost > 0 {
            out.reason = format!(
                "review: {} without a ready spare could take it as a stop-gap or by the engineer's word",
                count(open.almost, "position", "positions")
            );
        } else if open.to_measure > 0 {
            out.reason = format!(
                "review: {} without a ready spare could take it once measured",
                count(open.to_measure, "position", "positions")
            );
        } else if Self::is_last_of_discontinued(kind, out.quantity) {
            out.reason = "review: the last of what cannot be bought again is never released".into();
        } else if out.value.is_none() {
            out.reason = "review: fits no position, but has no value to weigh".into();
        } else {
            out.action = Action::Release;
            out.reason =
                "covers no position, and every position without a ready spare fails a gate with it"
                    .into();
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
            out.reason = "review: the plan holds none of this type: another serves its positions, or none is worth what it costs".into();
            return;
        };
        if out.quantity < 1.0 {
            out.reason = "none is there".into();
            return;
        }
        let unproven = self.plant.shelf[line].condition() != Some("ready");
        // What would be planned at the higher rate stays, and what stop-gaps are owed.
        let enough = plan_pool(&pool.input.at_rate(RELEASE_RATE)).stock;
        let keep = f64::from(enough.max(pool.planned.stock)).max(1.0) + f64::from(pool.owed);
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
        let blocked = std::mem::take(&mut out.reason);
        out.reason = format!(
            "{} planned for {} at {:.0} %",
            pool.planned.stock,
            count(pool.positions.len(), "position", "positions"),
            100.0 * pool.level
        );
        let surplus = kind.ready - f64::from(pool.planned.stock + pool.owed);
        if !blocked.is_empty() {
            out.reason = format!("{blocked}; {}", out.reason);
        } else if !unproven && surplus >= 1.0 {
            out.reason = format!(
                "{}, {:.0} ready; {keep:.0} stay, as at three times the rate",
                out.reason, kind.ready
            );
        }
        let needed = f64::from(pool.planned.stock.max(1)) - steps.proven[at];
        if unproven && needed >= 1.0 {
            let wanted = needed.min(out.quantity).ceil();
            let counts = 1.0 - self.policy.unproven_weight;
            let saves = steps.look(at, pool, wanted * counts);
            let costs = self.policy.hours.inspection * self.policy.cost_per_hour_of_work * wanted;
            if saves < costs && pool.input.at_least == 0 {
                out.reason = format!("unproven; looking costs more than it saves; {}", out.reason);
                return;
            }
            steps.proven[at] += wanted;
            out.action = Action::Inspect;
            out.quantity = wanted;
            out.value = self.plant.shelf[line].unit_value().map(|v| v * wanted);
            out.reason = format!("unproven, and {}", out.reason);
            out.benefit = Some(steps.step(at, pool, wanted * counts));
        }
    }

    /// The rules that forbid a release; each leaves its reason. Ready units of the same model stay whenever one goes,
    /// so what a position could make of it, it can make of them.
    fn may_release(&self, out: &mut Line, line: usize, kind: &SpareType, pool: &Pool) -> bool {
        let weak_rate =
            pool.positions.iter().any(|p| self.demand.rate(*p).from == RateFrom::Default);
        let numbered =
            pool.positions.iter().any(|p| !self.plant.positions[*p].knows(Field::consequence));
        let suspended =
            pool.positions.iter().any(|p| Case::new(self.plant, self.policy, *p).is_suspended());
        let why = if self.plant.shelf[line].knows(Field::reserved_for) {
            "reserved"
        } else if self.plant.shelf[line].nth > 0 {
            SEVERAL_LINES
        } else if suspended {
            "it serves a suspended load; always held"
        } else if weak_rate {
            "review: more than planned, but the rate rests on less than half of the plant's own data"
        } else if numbered {
            "review: a position it serves has no consequence class"
        } else if !kind.orderable {
            "review: a discontinued model cannot be bought back"
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
        let kind = &self.coverage.types[pool.spare];
        let coming = match kind.coming {
            c if c > 0.0 => format!("; {c:.0} more to come, which could be cancelled"),
            _ => String::new(),
        };
        out.reason =
            format!("{surplus:.0} more than would be planned at three times the rate{coming}");
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
                "{} planned for {}, {:.0} there{}{}; nobody waits {:.2} → {:.2} % of the time",
                pool.planned.stock,
                count(pool.positions.len(), "position", "positions"),
                kind.ready + kind.unproven,
                if kind.coming > 0.0 {
                    format!(", {:.0} to come", kind.coming)
                } else {
                    String::new()
                },
                if pool.owed > 0 {
                    format!(", {} owed to stop-gaps", pool.owed)
                } else {
                    String::new()
                },
                100.0 * pool.no_wait_today,
                100.0 * pool.planned.no_wait
            ),
            covered_by: self.tags(&pool.positions),
            benefit: Some(benefit),
        }
    }
}
