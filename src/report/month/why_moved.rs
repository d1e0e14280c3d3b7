//! Why the figures of *This month* moved since the month before.

use rust_xlsxwriter::{Formula, Worksheet, XlsxError};

use crate::findings::column_letters;
use crate::history::Moved;
use crate::report::Material;
use crate::report::styles;
use crate::report::table::{LINE, headings, wrapped};

/// Whether a change is more than rounding.
fn is_shown(value: f64) -> bool {
    value.abs() >= 0.005
}

/// Why the figures moved, cause by cause; the sum is the change above.
pub(super) fn write(sheet: &mut Worksheet, m: &Material<'_>, row: u32) -> Result<u32, XlsxError> {
    let Some(last) = m.before() else { return Ok(row) };
    let Some(why) = &m.why else {
        let line = format!(
            "Why the figures moved since {} is not known: an earlier version kept that month. Run it again to keep it.",
            last.month
        );
        sheet.merge_range(row, 0, row, 4, &line, &styles::text())?;
        sheet.set_row_height(row, 17.0)?;
        return Ok(row + 2);
    };
    let titles = [
        format!("Why these figures moved since {}", last.month),
        "Positions".to_owned(),
        "With a ready spare".to_owned(),
        format!("Risk a year ({})", m.policy.currency),
        format!("Shelf ({})", m.policy.currency),
    ];
    headings(sheet, row, 0, titles)?;
    let first = row + 1;
    let format = styles::number("+#,##0;-#,##0;0");
    for (at, moved) in (first..).zip(why) {
        let more = match moved.others {
            0 => String::new(),
            n => format!(" and {n} more"),
        };
        let said = format!("{}: {}{more}", moved.cause.words(), moved.mostly.join(", "));
        sheet.set_row_height(at, LINE * wrapped(&said, super::WIDTHS[0]))?;
        sheet.write_with_format(at, 0, said, &styles::text())?;
        for (col, value) in
            [(1, moved.positions), (2, moved.covered), (3, moved.risk), (4, moved.shelf)]
        {
            if is_shown(value) {
                sheet.write_number_with_format(at, col, value, &format)?;
            }
        }
    }
    let end = first + why.len() as u32;
    sheet.write_with_format(end, 0, "All of it", &styles::total("@"))?;
    let sums: [fn(&Moved) -> f64; 4] = [|m| m.positions, |m| m.covered, |m| m.risk, |m| m.shelf];
    for (col, of) in (1_u16..).zip(sums) {
        let letter = column_letters(u32::from(col));
        let sum: f64 = why.iter().map(of).filter(|v| is_shown(*v)).sum();
        let text = if why.is_empty() {
            "=0".to_owned()
        } else {
            format!("=SUM({letter}{}:{letter}{end})", first + 1)
        };
        let formula = Formula::new(text).set_result(sum.to_string());
        sheet.write_formula_with_format(end, col, formula, &styles::total("+#,##0;-#,##0;0"))?;
    }
    Ok(end + 2)
}
