//! This month: one page of figures, words and charts.
//!
//! Figures stand at the left with why they moved below them; cover and charts at the right, with what is most worth doing
//! below. The points of the charts stand beside the page and are not printed.

mod charts;
mod figures;
mod why_moved;
mod words;

use rust_xlsxwriter::{Format, Formula, Workbook, Worksheet, XlsxError};

use super::Material;
use super::do_next;
use super::styles;
use super::table::{LINE, Sheet, headings, prepare, wrapped};
use crate::figures::GroupRow;

pub(super) const NAME: &str = "This month";
/// Columns and their widths: figures at the left, two tables at the right, the points of charts beside the page.
const WIDTHS: [f64; 22] = [
    62.0, 13.0, 13.0, 13.0, 9.0, 2.0, // figures
    22.0, 13.0, 10.0, 9.0, 13.0, 2.0, // classes
    22.0, 13.0, 10.0, 9.0, 13.0, 4.0, // areas
    14.0, 14.0, 14.0, 14.0, // points
];
/// The first column of each block.
const CLASSES: u16 = 6;
const AREAS: u16 = 12;
const POINTS: u16 = 18;
/// The last column of the page.
const LAST: u16 = 16;
/// Groups shown of a kind; the rest is one line.
const GROUPS: usize = 12;
/// Rows that a chart covers.
const CHART_ROWS: u32 = 14;

pub(super) fn write(
    book: &mut Workbook,
    m: &Material<'_>,
    tables: &[Sheet],
) -> Result<(), XlsxError> {
    let sheet = book.add_worksheet();
    let standing = m.plant.positions.iter().filter(|p| !p.runs()).count();
    let says = format!(
        "{} · {} positions, {standing} of them standing still · amounts in {}",
        m.month,
        m.plant.positions.len(),
        m.policy.currency
    );
    prepare(sheet, NAME, &says)?;
    sheet.set_print_fit_to_pages(1, 1);
    for (col, width) in (0_u16..).zip(WIDTHS) {
        sheet.set_column_width(col, width)?;
    }
    let top = said(sheet, m, 3)? + 1;
    let left = figures::write(sheet, m, tables, top)? + 1;
    let left = why_moved::write(sheet, m, left)?;
    let (classes, areas) = (shown(&m.by_consequence), shown(&m.by_area));
    let first = groups(sheet, (top, CLASSES), "Consequence class", &classes, &m.policy.currency)?;
    let second = groups(sheet, (top, AREAS), "Area", &areas, &m.policy.currency)?;
    let right = first.max(second) + 1;
    let place = charts::Place { row: right, areas: (top, areas.len() as u32) };
    charts::write(sheet, m, place)?;
    let right = actions(sheet, m, right + 2 * CHART_ROWS + 1)?;
    // The charts lie over empty cells, which a printer would leave out.
    sheet.set_print_area(0, 0, left.max(right), LAST)?;
    Ok(())
}

/// What the figures mean, in words over the whole width; returns the row below.
fn said(sheet: &mut Worksheet, m: &Material<'_>, row: u32) -> Result<u32, XlsxError> {
    let width: f64 = WIDTHS[..=usize::from(LAST)].iter().sum();
    let lines = words::lines(m);
    for (at, line) in (row..).zip(&lines) {
        sheet.merge_range(at, 0, at, LAST, line, &styles::text())?;
        sheet.set_row_height(at, LINE * wrapped(line, width))?;
    }
    Ok(row + lines.len() as u32)
}

/// The groups shown: the largest by positions, the others as one.
fn shown(rows: &[GroupRow]) -> Vec<GroupRow> {
    if rows.len() <= GROUPS {
        return rows.to_vec();
    }
    let mut sizes: Vec<usize> = (0..rows.len()).collect();
    sizes.sort_by(|a, b| rows[*b].positions.total_cmp(&rows[*a].positions).then(a.cmp(b)));
    let (mut own, others) = (sizes[..GROUPS - 1].to_vec(), &sizes[GROUPS - 1..]);
    own.sort_unstable();
    let sum = |f: &dyn Fn(&GroupRow) -> f64| others.iter().map(|at| f(&rows[*at])).sum();
    let rest = GroupRow {
        name: format!("{} others", others.len()),
        positions: sum(&|g| g.positions),
        covered: sum(&|g| g.covered),
        risk: sum(&|g| g.risk),
    };
    own.into_iter().map(|at| rows[at].clone()).chain(std::iter::once(rest)).collect()
}

/// A table of groups; returns the row below it.
fn groups(
    sheet: &mut Worksheet,
    (row, col): (u32, u16),
    title: &str,
    rows: &[GroupRow],
    currency: &str,
) -> Result<u32, XlsxError> {
    let risk = format!("Risk a year ({currency})");
    headings(sheet, row, col, [title, "Positions", "Ready spare", "Share", &risk])?;
    let whole = styles::number("#,##0");
    for (at, group) in (row + 1..).zip(rows) {
        sheet.write_with_format(at, col, &group.name, &styles::text())?;
        sheet.write_number_with_format(at, col + 1, group.positions, &whole)?;
        sheet.write_number_with_format(at, col + 2, group.covered, &whole)?;
        let share = if group.positions > 0.0 { group.covered / group.positions } else { 0.0 };
        let letter = |col: u16| crate::findings::column_letters(u32::from(col));
        let text = format!("={2}{0}/{1}{0}", at + 1, letter(col + 1), letter(col + 2));
        let formula = Formula::new(text).set_result(share.to_string());
        sheet.write_formula_with_format(at, col + 3, formula, &styles::number("0%"))?;
        sheet.write_number_with_format(at, col + 4, group.risk, &whole)?;
    }
    Ok(row + rows.len() as u32 + 1)
}

/// Headings of one line, which leave the height of the row to what stands beside them.
fn flat_headings(
    sheet: &mut Worksheet,
    row: u32,
    from: u16,
    titles: &[impl AsRef<str>],
) -> Result<(), XlsxError> {
    for (col, title) in (from..).zip(titles) {
        sheet.write_with_format(row, col, title.as_ref(), &styles::heading())?;
    }
    Ok(())
}

/// The five things most worth doing.
fn actions(sheet: &mut Worksheet, m: &Material<'_>, row: u32) -> Result<u32, XlsxError> {
    let lines = do_next::by_worth(m);
    flat_headings(sheet, row, AREAS, &["To spend", "Saves a year", "Quantity"])?;
    let wide = |sheet: &mut Worksheet, at: u32, text: &str, format: &Format| {
        sheet.merge_range(at, CLASSES, at, AREAS - 1, text, format).map(|_| ())
    };
    let title = format!("Most worth doing ({}); Do next lists all", m.policy.currency);
    wide(sheet, row, &title, &styles::heading())?;
    let money = styles::number("#,##0");
    for (at, line) in (row + 1..).zip(lines.iter().take(5)) {
        let said = format!("{} {}: {}", line.action.word(), line.item, line.what);
        wide(sheet, at, &said, &styles::text())?;
        for (col, value) in (AREAS..).zip([line.cost, line.benefit, Some(line.quantity)]) {
            if let Some(value) = value {
                sheet.write_number_with_format(at, col, value, &money)?;
            }
        }
    }
    Ok(row + 1 + lines.len().min(5) as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_areas_keep_the_largest_and_add_up() {
        let group = |at: usize| GroupRow {
            name: format!("Area {at}"),
            positions: (at % 7) as f64,
            covered: 1.0,
            risk: at as f64,
        };
        let all: Vec<GroupRow> = (0..30).map(group).collect();
        let few = shown(&all);
        assert_eq!((few.len(), few[GROUPS - 1].name.as_str()), (GROUPS, "19 others"));
        let sums = |rows: &[GroupRow]| {
            rows.iter()
                .fold((0.0, 0.0, 0.0), |s, g| (s.0 + g.positions, s.1 + g.covered, s.2 + g.risk))
        };
        assert_eq!(sums(&few), sums(&all));
        assert!(few[..GROUPS - 1].iter().all(|g| g.positions >= 4.0));
        assert_eq!(shown(&all[..12]), all[..12]);
    }
}
