//! The figures of the month with those of the month before, and the change.

use std::collections::BTreeMap;

use rust_xlsxwriter::{Formula, Url, Worksheet, XlsxError};

use crate::figures::{Better, Figure, Form};
use crate::findings::column_letters;
use crate::report::Material;
use crate::report::hold_release_buy::{ACTION_COLUMN, VALUE_COLUMN};
use crate::report::method::{HOLDING_SHARE, SALVAGE_SHARE};
use crate::report::styles;
use crate::report::table::{Sheet, headings};

const fn form(form: Form) -> &'static str {
    match form {
        Form::Money | Form::Count => "#,##0",
        Form::Share => "0.0%",
        Form::Number => "0.00",
        Form::Fine => "0.000",
    }
}

/// The row of every figure, from a heading in `row` on: each part has a line of its own above it.
fn rows(figures: &[Figure], row: u32) -> BTreeMap<&'static str, u32> {
    let mut at = row;
    let mut last = None;
    let mut out = BTreeMap::new();
    for figure in figures {
        at += if last == Some(figure.part) { 1 } else { 2 };
        last = Some(figure.part);
        out.insert(figure.key, at);
    }
    out
}

/// Figures with last month's and the change, from row `top` on; formulas where another cell holds what they rest on.
/// Returns the row below.
pub(super) fn write(
    sheet: &mut Worksheet,
    m: &Material<'_>,
    tables: &[Sheet],
    top: u32,
) -> Result<u32, XlsxError> {
    let before = m.month.before().to_string();
    let earlier = match m.before() {
        Some(last) if last.month != before => last.month.as_str(),
        _ => "Last month",
    };
    headings(sheet, top, 0, ["Figure", "This month", earlier, "Change", "Better or worse"])?;
    let rows = rows(&m.figures, top);
    for figure in &m.figures {
        let row = rows[figure.key];
        if !rows.values().any(|r| *r + 1 == row) {
            for col in 0..5_u16 {
                let text = if col == 0 { figure.part.words() } else { "" };
                sheet.write_with_format(row - 1, col, text, &styles::part())?;
            }
        }
        label(sheet, m, figure, row)?;
        value(sheet, figure, row, formula(figure.key, &rows, tables))?;
        change(sheet, m, figure, row)?;
    }
    Ok(rows.values().max().map_or(top, |last| last + 1))
}

fn label(
    sheet: &mut Worksheet,
    m: &Material<'_>,
    figure: &Figure,
    row: u32,
) -> Result<(), XlsxError> {
    let label = match figure.form {
        Form::Money => format!("{} ({})", figure.label, m.policy.currency),
        _ => figure.label.to_owned(),
    };
    match sheet_of(figure.key) {
        Some(name) => {
            let link = Url::new(format!("internal:'{name}'!A1")).set_text(&label);
            sheet.write_url_with_format(row, 0, link, &styles::link())?;
        }
        None => {
            sheet.write_with_format(row, 0, &label, &styles::text())?;
        }
    }
    Ok(())
}

fn value(
    sheet: &mut Worksheet,
    figure: &Figure,
    row: u32,
    formula: Option<String>,
) -> Result<(), XlsxError> {
    let format = styles::number(form(figure.form));
    match (formula, figure.value) {
        (Some(text), Some(value)) => {
            let formula = Formula::new(text).set_result(value.to_string());
            sheet.write_formula_with_format(row, 1, formula, &format)?;
        }
        (None, Some(value)) => {
            sheet.write_number_with_format(row, 1, value, &format)?;
        }
        (_, None) => {
            sheet.write_with_format(row, 1, "not known", &styles::subtitle())?;
        }
    }
    Ok(())
}

/// Last month's figure and the change; shares move by points of a hundred, not by percent of themselves.
fn change(
    sheet: &mut Worksheet,
    m: &Material<'_>,
    figure: &Figure,
    row: u32,
) -> Result<(), XlsxError> {
    let Some(old) = m.before().and_then(|s| s.figures.get(figure.key)) else {
        sheet.write_with_format(row, 2, "not kept", &styles::subtitle())?;
        return Ok(());
    };
    sheet.write_number_with_format(row, 2, *old, &styles::number(form(figure.form)))?;
    let Some(value) = figure.value else { return Ok(()) };
    let (change, line) = (value - old, row + 1);
    let (text, shown) = if figure.form == Form::Share {
        (format!("=ROUND((B{line}-C{line})*100,1)"), (change * 1000.0).round() / 10.0 + 0.0)
    } else {
        (format!("=B{line}-C{line}"), change)
    };
    let formula = Formula::new(text).set_result(shown.to_string());
    sheet.write_formula_with_format(row, 3, formula, &styles::number(&signed(figure.form)))?;
    sheet.write_with_format(row, 4, direction(figure, change), &styles::text())?;
    Ok(())
}

/// The sheet that says more of a figure.
fn sheet_of(key: &str) -> Option<&'static str> {
    Some(match key {
        "covered" | "orphans" | "waiting_cost" => "No cover",
        "stock_value" | "holding_cost" | "excess_units" | "excess_value" | "idle_value"
        | "release_book" | "release_cash" => "Hold, release, buy",
        "expected_demand" | "fill" | "planned_value" | "sharing_saves" => "Families",
        "overworked" => "Overworked",
        "errors" => "Data to fix",
        _ => return None,
    })
}

fn signed(shape: Form) -> String {
    if shape == Form::Share {
        return "+0.0\" points\";-0.0\" points\";0".into();
    }
    let base = form(shape);
    format!("+{base};-{base};0")
}

/// Whether a change that shows is for the better.
fn direction(figure: &Figure, change: f64) -> &'static str {
    let shows = match figure.form {
        Form::Money | Form::Count => 0.5,
        Form::Share | Form::Fine => 0.0005,
        Form::Number => 0.005,
    };
    if change.abs() < shows || figure.better == Better::Neither {
        ""
    } else if (change > 0.0) == (figure.better == Better::More) {
        "better"
    } else {
        "worse"
    }
}

/// The formula that draws a figure from the cells that hold what it rests on.
fn formula(key: &str, rows: &BTreeMap<&str, u32>, tables: &[Sheet]) -> Option<String> {
    let cell = |key: &str| Some(format!("B{}", rows.get(key)? + 1));
    let span = |name: &str, col: u32| {
        let table = tables.iter().find(|t| t.name == name && !t.is_cut())?;
        let (first, last) = table.span();
        let letter = column_letters(col);
        Some(format!("'{name}'!${letter}${first}:${letter}${last}"))
    };
    let lines = "Hold, release, buy";
    Some(match key {
        "stock_value" => format!("=SUM({})", span(lines, VALUE_COLUMN)?),
        "release_book" => format!(
            "=SUMIF({},\"release\",{})",
            span(lines, ACTION_COLUMN)?,
            span(lines, VALUE_COLUMN)?
        ),
        "holding_cost" => format!("={}*{HOLDING_SHARE}", cell("stock_value")?),
        "release_cash" => format!("={}*{SALVAGE_SHARE}", cell("release_book")?),
        "covered" => format!("={}-COUNTA({})", cell("positions")?, span("No cover", 0)?),
        "availability" => format!("=1-{}/{}", cell("positions_waiting")?, cell("positions")?),
        "risk_avoided" => format!("={}-{}", cell("waiting_without")?, cell("waiting_cost")?),
        "avoided_to_holding" => format!("={}/{}", cell("risk_avoided")?, cell("holding_cost")?),
        "errors" => format!("=COUNTIF({},\"error\")", span("Data to fix", 0)?),
        _ => return None,
    })
}
