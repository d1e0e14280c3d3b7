//! What a row below the headings is: data, a total, a repeated heading, a remark, units.

use super::headings::fold;
use super::layout::{Layout, is_units};
use crate::workbook::{Cell, Raw};

/// What a row below the headings is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum RowKind {
    Data,
    Total,
    Repeated,
    Remark,
    Units,
}

/// Tells data from totals, repeated headings and remarks.
pub(super) fn kind_of_row(cells: &[Cell], layout: &Layout, first_row: bool) -> RowKind {
    let texts: Vec<(u32, &str)> = cells
        .iter()
        .filter_map(|cell| match &cell.raw {
            Raw::Text(text) => Some((cell.col, text.trim())),
            _ => None,
        })
        .collect();
    let headed = |col: u32| layout.columns.iter().find(|c| c.0 == col);
    let repeats_here = |(col, text): &&(u32, &str)| {
        layout.folded.iter().find(|c| c.0 == *col).is_some_and(|c| same(&c.1, text))
    };
    // A repeated heading shows in its first cells; data does not pay for comparing all.
    let repeats = if texts.iter().take(3).any(|t| repeats_here(&t)) {
        texts.iter().filter(repeats_here).count()
    } else {
        0
    };
    if repeats >= 2 && repeats * 10 >= cells.len() * 6 {
        return RowKind::Repeated;
    }
    let first = texts.first().map_or("", |t| t.1);
    let words_beside = || {
        texts.iter().skip(1).any(|(_, t)| {
            !super::number::is_missing(t)
                && super::number::read(t, super::number::Decimal::Comma).is_err()
        })
    };
    if is_total(first) && !words_beside() {
        return RowKind::Total;
    }
    if is_total_of_a_part(first) && !words_beside() && is_nearly_empty(cells, layout) {
        return RowKind::Total;
    }
    if first_row && is_units(cells) {
        return RowKind::Units;
    }
    let words = first.split_whitespace().count();
    let is_remark = cells.len() == 1
        && texts.len() == 1
        && (words >= 4
            || ["note", "source", "*", "remark", "printed"]
                .iter()
                .any(|w| first.to_lowercase().starts_with(w)));
    let outside = cells.iter().all(|cell| headed(cell.col).is_none_or(|c| c.2.is_none()));
    if is_remark || outside { RowKind::Remark } else { RowKind::Data }
}

/// Whether a text repeats a folded heading, or the last words of one of several levels.
fn same(heading: &str, text: &str) -> bool {
    let last = text.trim_end_matches(|c: char| !c.is_alphanumeric()).chars().next_back();
    let ends_alike = last.is_some_and(|c| c.to_lowercase().next_back() == heading.chars().last());
    if text.is_ascii() && !ends_alike {
        return false;
    }
    let folded = fold(text);
    heading.strip_suffix(&folded).is_some_and(|rest| rest.is_empty() || rest.ends_with(' '))
}

/// `Subtotal area 100`, `Total Area 2:`, `END OF LIST`: a total whatever number is in its name.
fn is_total_of_a_part(text: &str) -> bool {
    const BEGINNINGS: [&str; 16] = [
        "subtotal ",
        "sub total ",
        "total ",
        "totals ",
        "zwischensumme ",
        "summe ",
        "gesamt ",
        "sous total ",
        "totale ",
        "subtotale ",
        "suma ",
        "somme ",
        "installed power ",
        "end of list",
        "end of table",
        "ende der liste",
    ];
    let folded = fold(text) + " ";
    BEGINNINGS.iter().any(|begins| folded.starts_with(begins))
}

/// Whether a row fills at most a third of the headed columns.
fn is_nearly_empty(cells: &[Cell], layout: &Layout) -> bool {
    cells.len() * 3 <= layout.columns.len().max(6)
}

fn is_total(text: &str) -> bool {
    const TOTALS: [&str; 27] = [
        "average",
        "mean",
        "mittelwert",
        "durchschnitt",
        "moyenne",
        "promedio",
        "media",
        "gesamtsumme",
        "total general",
        "sous total",
        "subtotales",
        "totale generale",
        "overall total",
        "total",
        "totals",
        "sum",
        "subtotal",
        "sub total",
        "grand total",
        "summe",
        "gesamt",
        "zwischensumme",
        "ergebnis",
        "total général",
        "somme",
        "suma",
        "totale",
    ];
    let begins = |t: &str| text.get(..3).is_none_or(|b| b.eq_ignore_ascii_case(&t[..3]));
    if text.len() < 3 || !TOTALS.iter().any(|t| begins(t)) {
        return false;
    }
    let folded = fold(text);
    TOTALS.iter().any(|t| {
        let rest = folded.strip_prefix(t);
        // `SUM-101` is a tag.
        rest.is_some_and(|rest| {
            rest.is_empty()
                || (rest.starts_with(' ') && !rest.contains(|c: char| c.is_ascii_digit()))
        })
    })
}
