//! Do next: actions in order of benefit per cost.

use super::Material;
use super::table::{Cell, Sheet, Show, column, summed};
use super::who_fits_where::Links;
use crate::spares::{Action, Line};

pub(super) fn sheet(m: &Material<'_>, links: &Links) -> Sheet {
    let mut rows: Vec<Vec<Cell>> = stop_gaps(m, links);
    rows.extend(by_worth(m).into_iter().map(|l| {
        vec![
            Cell::text(l.action.word()),
            Cell::text(&l.item),
            Cell::text(&l.what),
            Cell::Number(l.quantity),
            Cell::number(l.cost),
            Cell::number(
                l.value.filter(|_| l.action == Action::Release).map(|v| v * m.policy.salvage),
            ),
            Cell::number(l.benefit),
            // A release spends nothing, so there is nothing to divide by.
            Cell::number((l.action != Action::Release).then(|| worth(l)).filter(|w| *w < 1e9)),
            Cell::text(&l.reason),
            Cell::text(&l.covered_by),
        ]
    }));
    Sheet {
        name: "Do next",
        says: "Stop-gaps that are due, then what is most worth doing by saving a year for each unit of money; a release by what holding it costs. Measuring costs next to nothing: see Measure next; conversions stand under Families".into(),
        columns: vec![
            column("Action", 10.0, Show::Text),
            column("Item", 33.0, Show::Text),
            column("What", 38.0, Show::Text),
            column("Quantity", 9.0, Show::Whole),
            summed(format!("To spend ({})", m.policy.currency), 13.0, Show::Money),
            summed(format!("Brings in ({})", m.policy.currency), 11.0, Show::Money),
            summed(format!("Saves a year ({})", m.policy.currency), 14.0, Show::Money).with_bar(),
            column("Saving per spending", 11.0, Show::Two),
            column("Why", 52.0, Show::Text),
            column("For, or who keeps cover", 46.0, Show::Text),
        ],
        rows,
        below: None,
    }
}

/// What is to be done, most worth doing first.
pub(super) fn by_worth<'a>(m: &Material<'a>) -> Vec<&'a Line> {
    let mut lines: Vec<&Line> = m.plan.lines.iter().filter(|l| l.action != Action::Hold).collect();
    lines.sort_by(|a, b| worth(b).total_cmp(&worth(a)).then_with(|| a.item.cmp(&b.item)));
    lines
}

/// Saving a year per unit of money; what costs nothing comes by its saving alone.
fn worth(line: &Line) -> f64 {
    let benefit = line.benefit.unwrap_or(0.0);
    match line.cost {
        Some(cost) if cost > 0.0 => benefit / cost,
        Some(_) if line.action == Action::Release => benefit / line.value.unwrap_or(1.0).max(1.0),
        _ => 0.0,
    }
}

/// Stop-gaps in place whose date has passed come first.
fn stop_gaps(m: &Material<'_>, links: &Links) -> Vec<Vec<Cell>> {
    let first = jiff::civil::Date::new(m.month.year, m.month.month, 1).ok();
    let end = first.map(jiff::civil::Date::last_of_month);
    let mut due: Vec<_> = m
        .plant
        .positions
        .iter()
        .enumerate()
        .filter_map(|(at, p)| Some((p.stop_gap_until()?, at, p)))
        .filter(|(until, _, _)| end.is_some_and(|end| *until <= end))
        .collect();
    due.sort_by_key(|d| d.0);
    due.into_iter()
        .map(|(until, at, p)| {
            vec![
                Cell::text("end stop-gap"),
                links.tag(m, at),
                Cell::text(p.fitted_as().unwrap_or("stop-gap")),
                Cell::Number(1.0),
                Cell::Blank,
                Cell::Blank,
                Cell::Blank,
                Cell::Blank,
                Cell::text(format!("was to end on {until}; the right unit is not in")),
                Cell::Blank,
            ]
        })
        .collect()
}
