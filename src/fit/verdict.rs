//! From gates to a verdict.

use super::candidate::{Candidate, From};
use super::case::Case;
use super::deciding::decides;
use super::gate::{Gate, GateOutcome, GateResult, Limit, LimitKind, Side};
use super::gates;
use super::reach::reach;
use super::work::WorkKind;
use crate::findings::{in_brief, is_brief};
use crate::records::{Field, How, alike, folded, swap_named, swap_names};

/// The verdict on a pair, best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Goes in as it is.
    DropIn,
    /// Goes in after the work listed.
    Adapt,
    /// Goes in below stated limits, until the right unit is in.
    StopGap,
    /// A responsible person must decide.
    Refer,
    /// Something must be measured first.
    Measure,
    /// Does not fit.
    No,
}

impl Verdict {
    /// All verdicts, best first.
    pub const ALL: [Self; 6] =
        [Self::DropIn, Self::Adapt, Self::StopGap, Self::Refer, Self::Measure, Self::No];

    /// The word printed and used in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::DropIn => "drop-in",
            Self::Adapt => "adapt",
            Self::StopGap => "stop-gap",
            Self::Refer => "refer",
            Self::Measure => "measure",
            Self::No => "no",
        }
    }
}

/// A pair with all its gates.
#[derive(Clone, Debug)]
pub struct Assessed {
    /// The verdict.
    pub verdict: Verdict,
    /// The best verdict still possible once everything is measured.
    pub best: Verdict,
    /// The worst verdict still possible.
    pub worst: Verdict,
    /// The ratio of the unit fitted with which the best may come, where its name leaves several.
    pub best_at_ratio: Option<f64>,
    /// Every gate.
    pub gates: Vec<GateResult>,
    /// Unknown gates that only ask to be confirmed, and what gates ask to confirm besides.
    pub confirm: Vec<String>,
    /// Gates that decide here and are unknown.
    pub open: Vec<Gate>,
    /// An entry of the swaps table, in words.
    pub swap: Option<String>,
    /// Whether the unit is the same as the one fitted.
    pub identical: bool,
    /// Rated over required torque, where both are known.
    pub margin: Option<f64>,
    /// Output speed (r/min) after what is changed to reach the wanted one.
    pub output_rpm: Option<f64>,
}

impl Assessed {
    /// Which ratio the best rests on, behind a verb: `, if the ratio here is 10`.
    #[must_use]
    pub fn with_ratio(&self) -> String {
        let said = |ratio| format!(", if the ratio here is {ratio}");
        self.best_at_ratio.map(said).unwrap_or_default()
    }

    /// What must be measured before the verdict stands, in the order of the gates, each once.
    #[must_use]
    pub fn to_measure(&self) -> Vec<String> {
        let mut texts: Vec<String> = Vec::new();
        for gate in self.gates.iter().filter(|g| g.outcome == GateOutcome::Unknown) {
            for measure in gate.measure.iter().filter(|_| self.open.contains(&gate.gate)) {
                if !texts.contains(&measure.text) {
                    texts.push(measure.text.clone());
                }
            }
        }
        texts
    }
}

/// Assesses `candidate` in `case`, every gate.
#[must_use]
pub fn assess(case: &Case<'_>, candidate: &Candidate<'_>) -> Assessed {
    let identical = case.is_identical(candidate);
    let reached = reach(case, candidate);
    let there = reached.as_ref().map(|r| case.at_input(r.found.input_rpm));
    let there = there.as_ref().unwrap_or(case);
    let gates: Vec<GateResult> = Gate::ALL
        .iter()
        .map(|gate| gates::compare(*gate, there, candidate, identical, reached.as_ref()))
        .map(|result| if identical { as_before(result) } else { result })
        .collect();
    let mut gates = without_moot_hours(gates);
    tell_unread(case, candidate, &mut gates);
    let (never, swap) = swaps(case, candidate);
    let family = candidate.unit.family();
    let deciding = |gate: Gate| decides(gate, case, family);
    let verdict = verdict_of(case, &gates, &deciding, never);
    let best = if never { Verdict::No } else { judge(&at_best(&gates, &deciding), &deciding) };
    let (best, best_at_ratio) = match as_each(case, candidate) {
        Some((best, ratio)) if verdict == Verdict::Measure => (best, ratio),
        _ => (best, None),
    };
    let is_open = |g: &&GateResult| g.outcome == GateOutcome::Unknown;
    let open = gates.iter().filter(is_open).map(|g| g.gate).filter(|g| deciding(*g)).collect();
    let confirm: Vec<String> = gates
        .iter()
        .filter(|g| !deciding(g.gate))
        .filter(is_open)
        .map(|g| format!("{}: {}", g.gate.word(), g.note))
        .chain(gates.iter().flat_map(|g| g.confirm.iter().cloned()))
        .collect();
    let disputed = case.position.entries().iter().filter(|e| e.how == How::Disputed).map(|e| {
        let at = case.position.place(e.field);
        format!(
            "DISPUTED: {} is {} at {at}, and another row says otherwise",
            e.field.heading(),
            e.value
        )
    });
    let level = case.level_unknown.then(|| "level? if not, stop".to_owned());
    let mut confirm = confirm;
    confirm.sort_by_key(|text| danger(text));
    let confirm: Vec<String> = level.into_iter().chain(disputed).chain(confirm).collect();
    let margin = margin_of(&gates);
    let unknown = gates.iter().any(|g| g.outcome == GateOutcome::Unknown);
    let worst = if unknown { Verdict::No } else { verdict };
    let own = candidate.unit.ratio().and_then(|i| case.output_rpm_with(i));
    let output_rpm = reached.as_ref().map(|r| r.found.output_rpm).or(own);
    Assessed {
        verdict,
        best,
        worst,
        best_at_ratio,
        gates,
        confirm,
        open,
        swap,
        identical,
        margin,
        output_rpm,
    }
}

/// Where the unit fitted may be one of several models: the best that may come of it with any of them, and that one's ratio.
/// Gates that rest on one unknown ratio cannot come out well each at another.
fn as_each(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<(Verdict, Option<f64>)> {
    let each = case.as_each();
    let could = each.iter().filter(|case| !case.surely_fails(candidate));
    let best = could.map(|case| (in_brief(|| assess(case, candidate)).best, case.fitted.ratio()));
    let first = best.min_by_key(|(verdict, _)| *verdict);
    (!each.is_empty()).then(|| first.unwrap_or((Verdict::No, None)))
}

/// Says what stands in a cell that could not be read, where it is asked for.
fn tell_unread(case: &Case<'_>, candidate: &Candidate<'_>, gates: &mut [GateResult]) {
    if is_brief() {
        return;
    }
    for measure in gates.iter_mut().flat_map(|g| &mut g.measure) {
        for record in [&case.position.record, candidate.unit.own] {
            let unread = record.unread(measure.field);
            if let Some(unread) = unread.filter(|_| record.place(measure.field) == measure.place) {
                let at = measure.place.address().unwrap_or_default();
                let said: String = unread.text.chars().take(24).collect();
                measure.text.push_str(&format!(" (the sheet says `{said}` at {at})"));
            }
        }
    }
}

/// Where another gate forbids full load at any hour, full load for fewer hours is no way out.
fn without_moot_hours(mut gates: Vec<GateResult>) -> Vec<GateResult> {
    let of = |kind| move |limit: &Limit| limit.kind == kind;
    let bound = |g: &GateResult| {
        g.outcome == GateOutcome::Limit
            && g.limits.iter().any(of(LimitKind::Power))
            && !g.limits.iter().any(of(LimitKind::Hours))
    };
    if gates.iter().any(bound) {
        for gate in &mut gates {
            if gate.limits.iter().any(of(LimitKind::Power)) {
                gate.limits.retain(|limit| limit.kind != LimitKind::Hours);
            }
        }
    }
    gates
}

/// What can hurt someone is confirmed first.
fn danger(text: &str) -> usize {
    let first = [Gate::BackStop, Gate::Holding, Gate::Zone, Gate::Sense, Gate::TopSpeed];
    first.iter().position(|gate| text.starts_with(gate.word())).unwrap_or(first.len())
}

/// The same unit carries what it carried: where its rating is not known, what ran here ran with it.
fn as_before(mut result: GateResult) -> GateResult {
    let of_load = matches!(result.gate, Gate::Strength | Gate::Peak | Gate::Heat | Gate::Overhang);
    if of_load && result.outcome == GateOutcome::Unknown {
        result.outcome = GateOutcome::Pass;
        result.assumed = true;
        result.note = format!("the same as what ran here; {}", result.note);
        result.measure.clear();
        result.confirm.push(format!(
            "{}: the same as what ran here; whether that is enough is not known",
            result.gate.word()
        ));
    }
    result
}

/// Gates in the order that ends a hopeless pair soonest: cheap and selective ones first.
const ORDER: [Gate; 9] = [
    Gate::Speed,
    Gate::Axes,
    Gate::Seat,
    Gate::OutputFit,
    Gate::InputFit,
    Gate::Strength,
    Gate::Condition,
    Gate::Holding,
    Gate::BackStop,
];

/// A pair that no gate fails, as far as a ranking needs it.
pub(super) struct Weighed {
    /// The verdict.
    pub(super) verdict: Verdict,
    /// Every gate.
    pub(super) gates: Vec<GateResult>,
}

/// Weighs a pair; `None` at the first gate that fails or that `stops` the question.
pub(super) fn weigh_until(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    mut stops: impl FnMut(&GateResult, bool) -> bool,
) -> Option<Weighed> {
    if case.surely_fails(candidate) || swaps(case, candidate).0 {
        return None;
    }
    let identical = case.is_identical(candidate);
    let reached = reach(case, candidate);
    let there = reached.as_ref().map(|r| case.at_input(r.found.input_rpm));
    let there = there.as_ref().unwrap_or(case);
    let family = candidate.unit.family();
    let deciding = |gate: Gate| decides(gate, case, family);
    let rest = Gate::ALL.iter().copied().filter(|gate| !ORDER.contains(gate));
    let mut gates = Vec::with_capacity(Gate::ALL.len());
    for gate in ORDER.into_iter().chain(rest) {
        let result = gates::compare(gate, there, candidate, identical, reached.as_ref());
        let result = if identical { as_before(result) } else { result };
        if result.outcome == GateOutcome::Fail || stops(&result, deciding(gate)) {
            return None;
        }
        gates.push(result);
    }
    Some(Weighed { verdict: verdict_of(case, &gates, &deciding, false), gates })
}

/// Weighs a pair; `None` where it does not fit.
pub(super) fn weigh(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<Weighed> {
    weigh_until(case, candidate, |_, _| false)
}

/// The verdict alone, without words.
#[must_use]
pub fn verdict(case: &Case<'_>, candidate: &Candidate<'_>) -> Verdict {
    in_brief(|| weigh(case, candidate)).map_or(Verdict::No, |weighed| weighed.verdict)
}

/// What a spare that covers a position takes each time it goes in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Covers {
    /// The verdict.
    pub verdict: Verdict,
    /// Labour and material of the work that adapts it.
    pub cost: f64,
}

/// Whether the verdict counts as cover, and what the work costs; stops at the first gate that forbids it. What needs
/// another motor, belt or inverter covers nothing: nobody says that there is one.
#[must_use]
pub fn covers(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<Covers> {
    let open = |result: &GateResult, decides| decides && result.outcome == GateOutcome::Unknown;
    let weighed = in_brief(|| weigh_until(case, candidate, open))?;
    let works = || weighed.gates.iter().flat_map(|g| &g.work);
    let other = |kind| matches!(kind, WorkKind::ChangeMotor | WorkKind::Belt | WorkKind::Inverter);
    if works().any(|w| other(w.kind)) {
        return None;
    }
    let cost = works().map(|w| w.cost).sum();
    let verdict = weighed.verdict;
    case.policy.covers(verdict.word()).then_some(Covers { verdict, cost })
}

/// The one gate that fails, where only one does; without words.
#[must_use]
pub fn only_failure(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<Gate> {
    let assessed = in_brief(|| assess(case, candidate));
    let mut fails = assessed.gates.iter().filter(|g| g.outcome == GateOutcome::Fail);
    let first = fails.next()?.gate;
    let open = assessed.gates.iter().any(|g| {
        g.outcome == GateOutcome::Unknown && decides(g.gate, case, candidate.unit.family())
    });
    (fails.next().is_none() && !open).then_some(first)
}

/// Rated over required torque, where the strength gate knows both.
pub(super) fn margin_of(gates: &[GateResult]) -> Option<f64> {
    let strength = gates.iter().find(|g| g.gate == Gate::Strength)?;
    match (&strength.have, &strength.need) {
        (Side::Number(have), Side::Number(need)) => Some(have / need),
        _ => None,
    }
}

/// The verdict of all gates, after what the swaps table forbids and what hangs.
fn verdict_of(
    case: &Case<'_>,
    gates: &[GateResult],
    deciding: &dyn Fn(Gate) -> bool,
    never: bool,
) -> Verdict {
    let verdict = if never { Verdict::No } else { judge(gates, deciding) };
    // A limit is no way to lift: the responsible engineer decides.
    if verdict == Verdict::StopGap && case.is_suspended() { Verdict::Refer } else { verdict }
}

/// The worst that any gate leaves. A gate that has both work and limits counts by its outcome: the mend
/// decides.
fn judge(gates: &[GateResult], deciding: &dyn Fn(Gate) -> bool) -> Verdict {
    let each = gates.iter().map(|g| left_by(g, deciding(g.gate)));
    each.max().unwrap_or(Verdict::DropIn)
}

/// The best verdict that a gate leaves a pair, by its outcome and whether it decides here.
pub(super) fn left_by(result: &GateResult, decides: bool) -> Verdict {
    match result.outcome {
        GateOutcome::Fail => Verdict::No,
        GateOutcome::Unknown if decides => Verdict::Measure,
        GateOutcome::Refer => Verdict::Refer,
        GateOutcome::Limit => Verdict::StopGap,
        GateOutcome::Mend => Verdict::Adapt,
        GateOutcome::Pass | GateOutcome::Unknown => Verdict::DropIn,
    }
}

/// The gates as they would stand if everything open came out well.
fn at_best(gates: &[GateResult], deciding: &dyn Fn(Gate) -> bool) -> Vec<GateResult> {
    gates
        .iter()
        .cloned()
        .map(|mut g| {
            let open = g.outcome == GateOutcome::Unknown;
            if open && deciding(g.gate) {
                g.outcome = GateOutcome::Pass;
            }
            g
        })
        .collect()
}

/// What the swaps table says of the pair: whether it forbids it, and its words.
fn swaps(case: &Case<'_>, candidate: &Candidate<'_>) -> (bool, Option<String>) {
    let fitted_model = case.fitted.model.and_then(|m| m.model()).or_else(|| case.position.model());
    let is_here = |swap: &&crate::records::Record| {
        let tags = |t: &str| t.split([',', ';']).any(|one| alike(one.trim(), case.tag()));
        swap.tag().is_some_and(tags)
            || (!swap.knows(Field::tag)
                && swap.model().zip(fitted_model).is_some_and(|(a, b)| alike(a, b)))
    };
    let mut said = None;
    for swap in case.plant.swaps.iter().filter(is_here) {
        if !swap.candidate().is_some_and(|c| means(case, candidate, c)) {
            continue;
        }
        let words = format!(
            "{} by {}{}{}",
            swap.ruling().unwrap_or("noted"),
            swap.by().unwrap_or("nobody named"),
            swap.date().map_or_else(String::new, |d| format!(", {d}")),
            swap.note().map_or_else(String::new, |n| format!(": {n}")),
        );
        let remark = swap.note().unwrap_or_default().to_lowercase();
        let forbids = swap.ruling().is_none()
            && ["never", "not ", "nie", "jamais", "nunca", "mai "]
                .iter()
                .any(|w| remark.contains(w));
        if swap.ruling() == Some("never") || forbids {
            return (true, Some(words));
        }
        said = Some(words);
    }
    (false, said)
}

/// Whether a swap means a candidate.
fn means(case: &Case<'_>, candidate: &Candidate<'_>, text: &str) -> bool {
    let named = swap_named(text);
    let unit = &candidate.unit;
    if let From::Position(_) = candidate.from
        && unit.own.tag().is_some_and(|tag| folded(tag) == named)
    {
        return true;
    }
    let line = match candidate.from {
        From::Shelf(line) => Some(&case.plant.shelf[line]),
        _ => None,
    };
    swap_names(unit.own, unit.model, line).contains(&named)
}
