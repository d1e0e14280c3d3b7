//! What the figures mean, in words: the band of the risk, what it rests on, what no purchase lowers, and how good the data are.

use crate::figures::last_year;
use crate::findings::{Severity, count};
use crate::report::Material;
use crate::spares::{Action, RateFrom, garwood_lower, garwood_upper};

/// One sentence or two a line.
pub(super) fn lines(m: &Material<'_>) -> Vec<String> {
    let mut out = vec![band(m), bare(m)];
    out.extend(log(m));
    out.push(releases(m));
    out.push(data(m));
    out
}

/// Risk as a band: at a third and at three times the rates, and what it rests on.
fn band(m: &Material<'_>) -> String {
    let mut risks: Vec<f64> = m.plan.risk_today.iter().filter_map(|r| *r).collect();
    let total: f64 = risks.iter().sum();
    risks.sort_by(|a, b| b.total_cmp(a));
    let five: f64 = risks.iter().take(5).sum();
    let on_default: f64 = (0..m.plant.positions.len())
        .filter(|p| m.plan.demand.rate(*p).from != RateFrom::OwnData)
        .filter_map(|p| m.plan.risk_today[p])
        .sum();
    let share = |part: f64| if total > 0.0 { 100.0 * part / total } else { 0.0 };
    format!(
        "Risk lies between about {} and {} {} a year (rates at a third and at three times); {:.0} % of it rests on five positions. \
         For {:.0} % the rate of failure comes more from the whole fleet or the policy than from units of its own kind.",
        two_figures(total / 3.0),
        two_figures(total * 3.0),
        m.policy.currency,
        share(five),
        share(on_default)
    )
}

/// What no purchase lowers.
fn bare(m: &Material<'_>) -> String {
    let beyond: Vec<usize> = m.plan.beyond_reach(m.plant);
    let risk: f64 = beyond.iter().filter_map(|p| m.plan.risk_today[*p]).sum();
    format!(
        "Of the risk, {} {} stands at {} that no unit is proven to cover: no purchase proposed here lowers it; see No cover and Measure next.",
        two_figures(risk),
        m.policy.currency,
        count(beyond.len(), "position", "positions")
    )
}

/// What the log says of waiting, with its limits.
fn log(m: &Material<'_>) -> Option<String> {
    /// Confidence of the limits.
    const SURE: f64 = 0.90;
    let logged = last_year(m.plant).filter(|l| l.exchanges > 0)?;
    let silent = match logged.silent {
        0 => String::new(),
        n => format!("; {n} of them do not say how long"),
    };
    Some(format!(
        "Of {} in the last twelve months, {} kept the drive down for more than a day{silent}: between {:.1} and {:.1} a year with {:.0} % confidence (Garwood).",
        count(logged.exchanges as usize, "exchange", "exchanges"),
        logged.late,
        garwood_lower(logged.late, SURE),
        garwood_upper(logged.late, SURE),
        100.0 * SURE
    ))
}

fn releases(m: &Material<'_>) -> String {
    let released: f64 =
        m.plan.lines.iter().filter(|l| l.action == Action::Release).filter_map(|l| l.value).sum();
    let review: Vec<_> = m.plan.lines.iter().filter(|l| l.is_to_review()).collect();
    let reviewed: f64 = review.iter().filter_map(|l| l.value).sum();
    format!(
        "Proposed releases: about {} {} in cash, {} written off the books. To review before anything of them may go: {} worth {}.",
        two_figures(released * m.policy.salvage),
        m.policy.currency,
        two_figures(released),
        count(review.len(), "line", "lines"),
        two_figures(reviewed)
    )
}

/// The honest line about the data.
fn data(m: &Material<'_>) -> String {
    let unweighed = m.plan.risk_today.iter().filter(|r| r.is_none()).count();
    let of = |severity: Severity| m.findings.iter().filter(|f| f.severity == severity).count();
    let weighed = match unweighed {
        0 => "every position is weighed".to_owned(),
        n => format!(
            "{} neither a cost of an hour nor a class that has one, and no part in the risk",
            count(n, "position has", "positions have")
        ),
    };
    format!(
        "Data: {} and {} stand on Data to fix; {weighed}.",
        count(of(Severity::Error), "error", "errors"),
        count(of(Severity::Warning), "warning", "warnings")
    )
}

/// A number to two figures, thousands apart.
fn two_figures(value: f64) -> String {
    if value <= 0.0 {
        return "0".into();
    }
    let step = 10f64.powf(value.log10().floor() - 1.0);
    let rounded = (value / step).round() * step;
    let digits = format!("{rounded:.0}");
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at) % 3 == 0 {
            out.push(' ');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_figures_and_thousands_apart() {
        for (value, said) in
            [(0.0, "0"), (-3.0, "0"), (7.4, "7"), (5_990_392.0, "6 000 000"), (1_549.0, "1 500")]
        {
            assert_eq!(two_figures(value), said, "{value}");
        }
    }
}
