//! How a candidate reaches the speed that a position wants: as it is, by another pole count, another
//! belt, or an inverter.

use super::candidate::Candidate;
use super::case::Case;
use super::work::{Work, WorkKind};
use crate::findings::words;
use crate::rating::{Way, WayFound, speeds_by_poles, ways};
use crate::records::{Field, How};

/// What is changed before a candidate so that it turns at the wanted speed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Reached {
    /// The way, with the speeds and powers it gives.
    pub(super) found: WayFound,
    /// What it takes.
    pub(super) work: Work,
    /// What to see to besides.
    pub(super) confirm: &'static str,
}

/// No way changes a speed by more than this (natural logarithm): two poles for four with their slip, a
/// belt of twice the ratio; common practice, no source.
pub(super) const FARTHEST: f64 = 0.75;

/// A motor this near to what the load takes is strong enough: plates round by as much.
const ENOUGH: f64 = 1.0 / 1.005;

/// Half width of the band of output speeds (%).
pub(super) fn tolerance(case: &Case<'_>) -> f64 {
    if case.position.matched_with().is_some() {
        case.policy.matched_tolerance_pct
    } else {
        case.position.speed_tolerance_pct().unwrap_or(case.policy.speed_tolerance_pct)
    }
}

/// The way that takes least work and brings `candidate` inside the band with a motor strong enough;
/// `None` where none does, or where it runs inside the band as it is.
pub(super) fn reach(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<Reached> {
    inside(case, candidate)
        .into_iter()
        .filter(|way| way.margin.is_none_or(|margin| margin >= ENOUGH))
        .filter_map(|found| {
            let (work, confirm) = taken(case, found.way)?;
            Some(Reached { found, work, confirm })
        })
        .min_by(|a, b| a.work.hours.total_cmp(&b.work.hours))
}

/// A way that this position has and that reaches the band, with a motor too weak there.
pub(super) fn too_weak(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<WayFound> {
    inside(case, candidate).into_iter().find(|way| taken(case, way.way).is_some())
}

/// Ways that bring `candidate` inside the band; none where it runs there as it is or is far from it.
fn inside(case: &Case<'_>, candidate: &Candidate<'_>) -> Vec<WayFound> {
    let (Some(ratio), Some(wanted)) = (candidate.unit.ratio(), case.duty.wanted_rpm) else {
        return Vec::new();
    };
    let Some(as_it_is) = case.output_rpm_with(ratio) else { return Vec::new() };
    let band = tolerance(case) + 1e-9;
    if (100.0 * (as_it_is / wanted - 1.0)).abs() <= band || is_far(as_it_is, wanted) {
        return Vec::new();
    }
    let efficiency =
        candidate.unit.efficiency(case.policy.efficiency_per_stage, case.duty.input_rpm).value;
    let mut found = ways(case.position, &case.duty, ratio, efficiency, case.policy);
    found.retain(|way| way.deviation_pct.abs() <= band);
    found
}

/// The work of a way, where this position allows it.
fn taken(case: &Case<'_>, way: Way) -> Option<(Work, &'static str)> {
    let work = |kind, text: String| Work::new(kind, case.policy, text);
    match way {
        Way::AsItIs => None,
        Way::Poles(poles) => {
            let kw = case.duty.motor_kw.map_or_else(String::new, |kw| words!(" of {kw:.1} kW"));
            let text = words!("fit a motor of {poles} poles{kw}, if one is at hand");
            let confirm = "input-fit: frame, shaft and flange of the motor with another pole count";
            Some((work(WorkKind::ChangeMotor, text), confirm))
        }
        Way::Belt(ratio) => {
            let belted = is_belted(case) && (0.25..=5.0).contains(&ratio);
            let text = words!("fit pulleys or sprockets of ratio {ratio:.2}, motor over unit");
            let confirm = "overhang: the pull of the other pulley on the input shaft";
            belted.then(|| (work(WorkKind::Belt, text), confirm))
        }
        Way::Inverter(hz) => {
            let confirm =
                "top-speed: cooling of the motor and oil to the bearings at that frequency";
            if has_inverter(case) {
                let within = inverter_reaches(case, hz);
                let text = words!("set the inverter to {hz:.1} Hz");
                return within.then(|| (work(WorkKind::Limiter, text), confirm));
            }
            let text = words!("fit an inverter and run it at {hz:.1} Hz");
            case.policy.new_inverters.then(|| (work(WorkKind::Inverter, text), confirm))
        }
    }
}

fn is_belted(case: &Case<'_>) -> bool {
    matches!(
        case.position.input_connection(),
        Some("v-belt" | "flat-belt" | "timing-belt" | "chain")
    )
}

/// Whether the motor runs on an inverter.
fn has_inverter(case: &Case<'_>) -> bool {
    case.position.knows(Field::inverter_range_hz)
        || case.position.start_kind() == Some("inverter")
        || case.position.limiter() == Some("inverter")
}

/// Whether the inverter that is there reaches a frequency; one whose range is not stated may.
fn inverter_reaches(case: &Case<'_>, hz: f64) -> bool {
    let Some(range) = case.position.inverter_range_hz() else { return true };
    let ends: Vec<f64> = range
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .filter_map(|part| part.parse().ok())
        .collect();
    match ends[..] {
        [low, high, ..] => (low - 1e-9..=high + 1e-9).contains(&hz),
        _ => true,
    }
}

fn is_far(have: f64, wanted: f64) -> bool {
    (have / wanted).ln().abs() > FARTHEST
}

/// The ratios that could serve a position at all, as spans of their natural logarithm: as it is, by
/// slower running, by another pole count, by its belt or its inverter. Any, where the speed wanted is not
/// known.
#[derive(Clone, Debug, Default)]
pub(super) struct Spans(Option<Vec<(f64, f64)>>);

impl Spans {
    /// The spans of a position.
    pub(super) fn of(case: &Case<'_>) -> Self {
        let sure = case.fitted.entry(Field::ratio).is_none_or(|e| e.how != How::Disputed)
            || case.position.wanted_speed_rpm().is_some();
        let (Some(n1), Some(wanted)) = (case.duty.input_rpm, case.duty.wanted_rpm) else {
            return Self(None);
        };
        if !(sure && n1 > 0.0 && wanted > 0.0) {
            return Self(None);
        }
        let needed = (n1 / wanted).ln();
        let mut spans = vec![in_band(case, n1 / wanted)];
        if let Some(slowest) = case.position.slowest_speed_rpm() {
            spans.push((needed, (n1 / slowest).ln() + SLACK));
        }
        let any_speed = is_belted(case) || case.policy.new_inverters || has_inverter(case);
        if any_speed {
            spans.push((needed - FARTHEST - SLACK, needed + FARTHEST + SLACK));
        } else {
            let speeds = speeds_by_poles(case.position, &case.duty);
            spans.extend(speeds.into_iter().map(|n| in_band(case, n / wanted)));
        }
        Self(Some(merged(spans)))
    }

    /// Whether a ratio lies in one of them.
    pub(super) fn hold(&self, ratio: f64) -> bool {
        let at = ratio.ln();
        self.0
            .as_ref()
            .is_none_or(|spans| spans.iter().any(|(low, high)| (*low..=*high).contains(&at)))
    }

    /// The spans; everything where there are none.
    pub(super) fn each(&self) -> &[(f64, f64)] {
        self.0.as_deref().unwrap_or(&[(f64::NEG_INFINITY, f64::INFINITY)])
    }
}

/// The ratios, as a span of their natural logarithm, that may reach the speed with what is there: as they are, or by the
/// inverter that is fitted; with `slower`, also as slow as the position allows. `None` where the speed wanted is not known.
pub(super) fn with_what_is_there(case: &Case<'_>, slower: bool) -> Option<(f64, f64)> {
    let (n1, wanted) = case.duty.input_rpm.zip(case.duty.wanted_rpm)?;
    if !(n1 > 0.0 && wanted > 0.0) {
        return None;
    }
    let (low, high) = in_band(case, n1 / wanted);
    if has_inverter(case) {
        return Some((low - FARTHEST, high + FARTHEST));
    }
    let slowest = case.position.slowest_speed_rpm().filter(|slowest| slower && *slowest > 0.0);
    Some((low, slowest.map_or(high, |slowest| high.max((n1 / slowest).ln() + SLACK))))
}

/// The span of the ratios whose speed differs from that of `ratio` by no more than the band.
fn in_band(case: &Case<'_>, ratio: f64) -> (f64, f64) {
    let band = tolerance(case) / 100.0;
    (ratio.ln() - band.ln_1p() - SLACK, ratio.ln() - (-band.min(0.99)).ln_1p() + SLACK)
}

/// What rounding may add at the ends of a span.
const SLACK: f64 = 1e-6;

/// Spans in order, those that touch made one.
fn merged(mut spans: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out: Vec<(f64, f64)> = Vec::with_capacity(spans.len());
    for (low, high) in spans {
        match out.last_mut() {
            Some(last) if low <= last.1 => last.1 = last.1.max(high),
            _ => out.push((low, high)),
        }
    }
    out
}
