//! This month: one page of figures and charts.

use rust_xlsxwriter::{
    Chart, ChartFormat, ChartLegendPosition, ChartLine, ChartMarker, ChartMarkerType,
    ChartSolidFill, ChartType, Formula, Url, Workbook, Worksheet, XlsxError,
};

use super::Material;
use super::do_next;
use super::hold_release_buy::{ACTION_COLUMN, VALUE_COLUMN};
use super::method::{HOLDING_SHARE, SALVAGE_SHARE};
use super::styles;
use super::table::{LINE, Sheet, headings, prepare, wrapped};
use super::why_moved;
use crate::figures::{Better, Figure, Form, GroupRow};
use crate::findings::{column_letters, count};
use crate::spares::Action;

const NAME: &str = "This month";
/// The row of the first figure.
const FIRST: u32 = 4;

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
    for (col, width) in [
        (0, 58.0),
        (1, 15.0),
        (2, 15.0),
        (3, 13.0),
        (4, 12.0),
        (5, 3.0),
        (6, 26.0),
        (7, 12.0),
        (8, 12.0),
        (9, 14.0),
        (10, 12.0),
    ] {
        sheet.set_column_width(col, width)?;
    }
    let money = m.policy.currency.as_str();
    let after = figures(sheet, m, tables)?;
    let after = band(sheet, m, after + 1)?;
    let after = why_moved::write(sheet, m, after + 1)?;
    let after = actions(sheet, m, after + 1)?;
    let classes =
        groups(sheet, 3, "Cover by consequence class, from ready units", &m.by_consequence, money)?;
    let areas = groups(sheet, classes + 1, "Cover by area, from ready units", &m.by_area, money)?;
    let end = months(sheet, m, areas + 1)?;
    let row = after.max(end) + 1;
    charts(sheet, m, classes + 1, areas + 1, row)?;
    money_against_risk(sheet, m, row + 17)?;
    // The charts lie over empty cells, which a printer would leave out.
    sheet.set_print_area(0, 0, row + 34, 10)?;
    Ok(())
}

fn form(form: Form) -> &'static str {
    match form {
        Form::Money | Form::Count => "#,##0",
        Form::Share => "0.0%",
        Form::Number => "0.00",
    }
}

/// Figures with last month's and the change; formulas where another sheet holds the figure.
fn figures(sheet: &mut Worksheet, m: &Material<'_>, tables: &[Sheet]) -> Result<u32, XlsxError> {
    let before = m.month.before().to_string();
    let last = m.before();
    let earlier = match last {
        Some(last) if last.month != before => last.month.as_str(),
        _ => "Last month",
    };
    let titles = ["Figure", "This month", earlier, "Change", "Better or worse"];
    headings(sheet, 3, 0, titles)?;
    let mut row = FIRST;
    for figure in &m.figures {
        let format = styles::number(form(figure.form));
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
        match formula(figure, &m.figures, tables) {
            Some(text) => {
                let formula = Formula::new(text).set_result(figure.value.to_string());
                sheet.write_formula_with_format(row, 1, formula, &format)?;
            }
            None => {
                sheet.write_number_with_format(row, 1, figure.value, &format)?;
            }
        }
        if let Some(old) = last.and_then(|s| s.figures.get(figure.key)) {
            sheet.write_number_with_format(row, 2, *old, &format)?;
            let change = figure.value - old;
            let line = row + 1;
            // Shares move by points of a hundred, not by percent of themselves.
            let (text, shown) = if figure.form == Form::Share {
                (format!("=(B{line}-C{line})*100"), change * 100.0)
            } else {
                (format!("=B{line}-C{line}"), change)
            };
            let formula = Formula::new(text).set_result(shown.to_string());
            let format = styles::number(&signed(figure.form));
            sheet.write_formula_with_format(row, 3, formula, &format)?;
            sheet.write_with_format(row, 4, direction(figure, change), &styles::text())?;
        } else {
            sheet.write_with_format(row, 2, "not kept", &styles::subtitle())?;
        }
        row += 1;
    }
    Ok(row)
}

/// The sheet that says more of a figure.
fn sheet_of(key: &str) -> Option<&'static str> {
    Some(match key {
        "covered" | "waiting_cost" => "No cover",
        "stock_value" | "holding_cost" | "release_book" | "release_cash" => "Hold, release, buy",
        "expected_demand" | "fill" => "Families",
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
        Form::Share => 0.0005,
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

/// The formula that draws a figure from the sheet that holds it.
fn formula(figure: &Figure, all: &[Figure], tables: &[Sheet]) -> Option<String> {
    let cell_of =
        |key: &str| Some(format!("B{}", FIRST + 1 + all.iter().position(|f| f.key == key)? as u32));
    let span = |name: &str, col: u32| {
        let table = tables.iter().find(|t| t.name == name && !t.is_cut())?;
        let (first, last) = table.span();
        let letter = column_letters(col);
        Some(format!("'{name}'!${letter}${first}:${letter}${last}"))
    };
    let lines = "Hold, release, buy";
    Some(match figure.key {
        "stock_value" => format!("=SUM({})", span(lines, VALUE_COLUMN)?),
        "release_book" => format!(
            "=SUMIF({},\"release\",{})",
            span(lines, ACTION_COLUMN)?,
            span(lines, VALUE_COLUMN)?
        ),
        "holding_cost" => format!("={}*{HOLDING_SHARE}", cell_of("stock_value")?),
        "release_cash" => format!("={}*{SALVAGE_SHARE}", cell_of("release_book")?),
        "covered" => format!("=B5-COUNTA({})", span("No cover", 0)?),
        "errors" => format!("=COUNTIF({},\"error\")", span("Data to fix", 0)?),
        _ => return None,
    })
}

/// Risk as a band: at a third and at three times the rates, and what it rests on.
fn band(sheet: &mut Worksheet, m: &Material<'_>, row: u32) -> Result<u32, XlsxError> {
    let mut risks: Vec<f64> = m.plan.risk_today.iter().filter_map(|r| *r).collect();
    let total: f64 = risks.iter().sum();
    risks.sort_by(|a, b| b.total_cmp(a));
    let five: f64 = risks.iter().take(5).sum();
    let on_default: f64 = (0..m.plant.positions.len())
        .filter(|p| m.plan.demand.rate(*p).from != crate::spares::RateFrom::OwnData)
        .filter_map(|p| m.plan.risk_today[p])
        .sum();
    let unweighed = m.plan.risk_today.iter().filter(|r| r.is_none()).count();
    let share = |part: f64| if total > 0.0 { 100.0 * part / total } else { 0.0 };
    let released: f64 =
        m.plan.lines.iter().filter(|l| l.action == Action::Release).filter_map(|l| l.value).sum();
    let beyond: Vec<usize> = m.plan.beyond_reach(m.plant);
    let bare: f64 = beyond.iter().filter_map(|p| m.plan.risk_today[*p]).sum();
    let review: Vec<_> = m.plan.lines.iter().filter(|l| l.is_to_review()).collect();
    let reviewed: f64 = review.iter().filter_map(|l| l.value).sum();
    let lines = [
        format!(
            "Risk lies between about {} and {} {} a year (rates at a third and at three times); {:.0} % of it rests on five positions. \
             For {:.0} % the rate of failure comes more from the whole fleet or the policy than from units of its own kind.",
            two_figures(total / 3.0),
            two_figures(total * 3.0),
            m.policy.currency,
            share(five),
            share(on_default)
        ),
        format!(
            "Of the risk, {} {} stands at {} that no unit is proven to cover: no purchase proposed here lowers it; see No cover and Measure next.",
            two_figures(bare),
            m.policy.currency,
            count(beyond.len(), "position", "positions")
        ),
        format!(
            "Proposed releases: about {} {} in cash, {} written off the books. To review before anything of them may go: {} worth {}.",
            two_figures(released * m.policy.salvage),
            m.policy.currency,
            two_figures(released),
            count(review.len(), "line", "lines"),
            two_figures(reviewed)
        ),
        format!(
            "Data: {} errors and {} warnings stand on Data to fix; {unweighed} positions have no price of an hour and are not weighed.",
            m.findings.iter().filter(|f| f.severity == crate::findings::Severity::Error).count(),
            m.findings.iter().filter(|f| f.severity == crate::findings::Severity::Warning).count()
        ),
    ];
    for (at, line) in (row..).zip(&lines) {
        sheet.merge_range(at, 0, at, 4, line, &styles::text())?;
        sheet.set_row_height(at, LINE * wrapped(line, 113.0))?;
    }
    Ok(row + lines.len() as u32)
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

/// The five things most worth doing.
fn actions(sheet: &mut Worksheet, m: &Material<'_>, row: u32) -> Result<u32, XlsxError> {
    let lines = do_next::by_worth(m);
    let amount = |what: &str| format!("{what} ({})", m.policy.currency);
    let titles = [
        "Most worth doing; Do next lists all".to_owned(),
        amount("To spend"),
        amount("Saves a year"),
        "Quantity".to_owned(),
        String::new(),
    ];
    headings(sheet, row, 0, titles)?;
    let money = styles::number("#,##0");
    for (at, line) in (row + 1..).zip(lines.iter().take(5)) {
        let said = format!("{} {}: {}", line.action.word(), line.item, line.what);
        sheet.write_with_format(at, 0, said, &styles::text())?;
        for (col, value) in [(1, line.cost), (2, line.benefit), (3, Some(line.quantity))] {
            if let Some(value) = value {
                sheet.write_number_with_format(at, col, value, &money)?;
            }
        }
    }
    Ok(row + 1 + lines.len().min(5) as u32)
}

/// A small table of groups at the right; returns the row below it.
fn groups(
    sheet: &mut Worksheet,
    row: u32,
    title: &str,
    rows: &[GroupRow],
    currency: &str,
) -> Result<u32, XlsxError> {
    let risk = format!("Risk a year ({currency})");
    headings(sheet, row, 6, [title, "Positions", "Covered", "Share", &risk])?;
    let whole = styles::number("#,##0");
    for (at, group) in (row + 1..).zip(rows) {
        sheet.write_with_format(at, 6, &group.name, &styles::text())?;
        sheet.write_number_with_format(at, 7, group.positions, &whole)?;
        sheet.write_number_with_format(at, 8, group.covered, &whole)?;
        let share = if group.positions > 0.0 { group.covered / group.positions } else { 0.0 };
        let formula = Formula::new(format!("=I{0}/H{0}", at + 1)).set_result(share.to_string());
        sheet.write_formula_with_format(at, 9, formula, &styles::number("0%"))?;
        sheet.write_number_with_format(at, 10, group.risk, &whole)?;
    }
    Ok(row + rows.len() as u32 + 1)
}

/// Risk and stock value by month, for the chart; returns the row below.
fn months(sheet: &mut Worksheet, m: &Material<'_>, row: u32) -> Result<u32, XlsxError> {
    let titles = [
        "Month".to_owned(),
        format!("Risk a year ({})", m.policy.currency),
        format!("Shelf value ({})", m.policy.currency),
    ];
    headings(sheet, row, 6, titles)?;
    let whole = styles::number("#,##0");
    let mut at = row + 1;
    for (month, kept) in series(m) {
        sheet.write_with_format(at, 6, month, &styles::text())?;
        if let Some((risk, stock)) = kept {
            sheet.write_number_with_format(at, 7, risk, &whole)?;
            sheet.write_number_with_format(at, 8, stock, &whole)?;
        } else {
            sheet.write_with_format(at, 7, "not kept", &styles::subtitle())?;
        }
        at += 1;
    }
    Ok(at)
}

/// Risk and shelf value of the months shown, from the first that is kept on; months between that are not kept
/// have neither.
fn series(m: &Material<'_>) -> Vec<(String, Option<(f64, f64)>)> {
    let mut out = vec![(m.month.to_string(), Some((m.plan.waiting_cost, m.plan.stock_value)))];
    let first = m.history.first().map_or(m.month.to_string(), |s| s.month.clone());
    let mut month = m.month.before();
    while out.len() < m.policy.history_months_shown.max(1) && month.to_string() >= first {
        let kept = m.history.iter().find(|s| s.month == month.to_string());
        let of = |key: &str| kept.and_then(|s| s.figures.get(key)).copied();
        out.push((month.to_string(), of("waiting_cost").zip(of("stock_value"))));
        month = month.before();
    }
    out.reverse();
    out
}

/// Cover by area, and risk and stock over months.
fn charts(
    sheet: &mut Worksheet,
    m: &Material<'_>,
    areas: u32,
    months: u32,
    row: u32,
) -> Result<(), XlsxError> {
    let fill =
        |colour| ChartFormat::new().set_solid_fill(ChartSolidFill::new().set_color(colour)).clone();
    let last_area = areas + m.by_area.len() as u32;
    let mut cover = Chart::new(ChartType::Bar);
    cover
        .add_series()
        .set_name("Share of positions with a ready spare")
        .set_categories((NAME, areas + 1, 6, last_area, 6))
        .set_values((NAME, areas + 1, 9, last_area, 9))
        .set_format(&mut fill(styles::HUE));
    cover.title().set_name("Cover by area, ready units");
    cover.y_axis().set_name("Area");
    cover.x_axis().set_name("Share of positions").set_min(0.0).set_max(1.0).set_num_format("0%");
    cover.legend().set_hidden();
    cover.set_width(620).set_height(300);
    sheet.insert_chart(row, 0, &cover)?;
    let last_month = months + series(m).len() as u32;
    let mut trend = Chart::new(ChartType::Column);
    trend
        .add_series()
        .set_name("Risk a year (columns, left)")
        .set_categories((NAME, months + 1, 6, last_month, 6))
        .set_values((NAME, months + 1, 7, last_month, 7))
        .set_gap(80)
        .set_format(&mut fill(styles::HUE_LIGHT));
    // Of another size than the risk: on an axis of its own.
    let mut shelf = Chart::new(ChartType::Line);
    let mut marker = ChartMarker::new();
    marker.set_type(ChartMarkerType::Diamond).set_size(9).set_format(&mut fill(styles::INK));
    shelf
        .add_series()
        .set_name("Shelf value (line, right)")
        .set_categories((NAME, months + 1, 6, last_month, 6))
        .set_values((NAME, months + 1, 8, last_month, 8))
        .set_secondary_axis(true)
        .set_marker(&marker)
        .set_format(ChartLine::new().set_color(styles::INK).set_width(2.0));
    let (risk, value) = (
        format!("Risk a year ({})", m.policy.currency),
        format!("Shelf value ({})", m.policy.currency),
    );
    trend.title().set_name("Risk and shelf value by month");
    trend.x_axis().set_name("Month");
    trend.y_axis().set_name(&risk).set_num_format("#,##0").set_min(0.0);
    trend.y2_axis().set_name(&value).set_num_format("#,##0").set_min(0.0);
    trend.combine(&shelf);
    trend.legend().set_position(ChartLegendPosition::Bottom);
    trend.set_width(620).set_height(300);
    sheet.insert_chart(row, 4, &trend)?;
    Ok(())
}

/// What money for more units does to the risk, with where the shelf stands today; its points stand at the right.
fn money_against_risk(sheet: &mut Worksheet, m: &Material<'_>, row: u32) -> Result<(), XlsxError> {
    // A handful of points shows the bend; the first is today.
    let all = &m.plan.frontier;
    let every = all.len().div_ceil(POINTS).max(1);
    let shown: Vec<_> = all
        .iter()
        .enumerate()
        .filter(|(at, _)| at % every == 0 || at + 1 == all.len())
        .map(|(_, point)| point)
        .collect();
    if shown.len() < 2 {
        return Ok(());
    }
    let money = &m.policy.currency;
    let titles = [
        "Money against risk, buying only".to_owned(),
        "Units bought".to_owned(),
        format!("Spent ({money})"),
        format!("Risk a year ({money})"),
    ];
    headings(sheet, row, 6, titles)?;
    let whole = styles::number("#,##0");
    for (at, point) in (row + 1..).zip(&shown) {
        let name = if at == row + 1 { "today" } else { "" };
        sheet.write_with_format(at, 6, name, &styles::text())?;
        let values = [point.bought as f64, point.spent, point.waiting];
        for (col, value) in (7_u16..).zip(values) {
            sheet.write_number_with_format(at, col, value, &whole)?;
        }
    }
    let last = row + shown.len() as u32;
    let mut chart = Chart::new(ChartType::ScatterStraightWithMarkers);
    for (name, end) in [("One purchase after another, the best first", last), ("Today", row + 1)] {
        let (shape, colour, size) = if end == last {
            (ChartMarkerType::Circle, styles::HUE_LIGHT, 5)
        } else {
            (ChartMarkerType::Diamond, styles::HUE, 12)
        };
        let solid = ChartSolidFill::new().set_color(colour).clone();
        let mut fill = ChartFormat::new();
        fill.set_solid_fill(&solid).set_border(ChartLine::new().set_color(colour));
        let mut marker = ChartMarker::new();
        marker.set_type(shape).set_size(size).set_format(&mut fill);
        chart
            .add_series()
            .set_name(name)
            .set_categories((NAME, row + 1, 8, end, 8))
            .set_values((NAME, row + 1, 9, end, 9))
            .set_format(ChartLine::new().set_color(colour).set_width(1.5))
            .set_marker(&marker);
    }
    let spent = format!("Spent on more units ({money})");
    let risk = format!("Risk a year ({money})");
    chart.title().set_name("Risk if units are only bought, from today's shelf on");
    chart.x_axis().set_name(&spent).set_num_format("#,##0").set_min(0.0);
    chart.y_axis().set_name(&risk).set_num_format("#,##0").set_min(0.0);
    chart.legend().set_position(ChartLegendPosition::Bottom);
    chart.set_width(760).set_height(320);
    sheet.insert_chart(row, 0, &chart)?;
    Ok(())
}

/// Points of money against risk on the page.
const POINTS: usize = 12;
