//! The charts of the month and the points that they are drawn from.

use rust_xlsxwriter::{
    Chart, ChartAxisCrossing, ChartFont, ChartFormat, ChartLegendPosition, ChartLine, ChartMarker,
    ChartMarkerType, ChartSolidFill, ChartType, Color, Worksheet, XlsxError,
};

use super::{AREAS, CHART_ROWS, CLASSES, NAME, POINTS, flat_headings};
use crate::report::Material;
use crate::report::styles;

/// Size of a chart in pixels: one of the blocks at the right wide, [`CHART_ROWS`] rows high.
const SIZE: (u32, u32) = (470, 20 * CHART_ROWS - 8);
/// Points of money against risk.
const SHOWN: usize = 12;

/// Where the charts stand, and the table of areas: its heading and how many rows it has.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub(super) row: u32,
    pub(super) areas: (u32, u32),
}

/// Four charts, two by two.
pub(super) fn write(
    sheet: &mut Worksheet,
    m: &Material<'_>,
    place: Place,
) -> Result<(), XlsxError> {
    let (first, second) = (place.row, place.row + CHART_ROWS);
    if place.areas.1 > 0 {
        let mut cover =
            by_area(place.areas, AREAS + 3, "Share of positions", "Cover by area, ready units");
        cover.x_axis().set_min(0.0).set_max(1.0).set_num_format("0%");
        insert(sheet, (first, AREAS), cover)?;
        let most = m.by_area.iter().map(|g| g.risk).fold(0.0, f64::max);
        let (format, unit) = if most >= 1e6 { ("0.0,,", "million ") } else { ("#,##0", "") };
        let axis = format!("Risk a year ({unit}{})", m.policy.currency);
        let mut at_risk = by_area(place.areas, AREAS + 4, &axis, "Risk by area");
        at_risk.x_axis().set_min(0.0).set_num_format(format);
        insert(sheet, (second, AREAS), at_risk)?;
    }
    let last = months(sheet, m, place.areas.0)?;
    insert(sheet, (first, CLASSES), trend(m, (place.areas.0 + 1, last)))?;
    let top = last + 2;
    if let Some(last) = money_points(sheet, m, top)? {
        insert(sheet, (second, CLASSES), money_against_risk(m, (top + 1, last)))?;
    }
    Ok(())
}

/// Puts a chart over the cells from `row`, `col` on, in one size and type.
fn insert(
    sheet: &mut Worksheet,
    (row, col): (u32, u16),
    mut chart: Chart,
) -> Result<(), XlsxError> {
    let mut title = ChartFont::new();
    title.set_size(11).set_bold().set_color(styles::INK);
    chart.title().set_font(&title);
    chart.set_width(SIZE.0).set_height(SIZE.1);
    sheet.insert_chart(row, col, &chart)?;
    Ok(())
}

fn fill(colour: Color) -> ChartFormat {
    ChartFormat::new().set_solid_fill(ChartSolidFill::new().set_color(colour)).clone()
}

/// Bars by area of one column of their table.
fn by_area((heading, rows): (u32, u32), col: u16, axis: &str, title: &str) -> Chart {
    let (first, last) = (heading + 1, heading + rows);
    let mut chart = Chart::new(ChartType::Bar);
    chart
        .add_series()
        .set_name(title)
        .set_categories((NAME, first, AREAS, last, AREAS))
        .set_values((NAME, first, col, last, col))
        .set_gap(60)
        .set_format(&mut fill(styles::HUE));
    chart.title().set_name(title);
    chart.y_axis().set_name("Area").set_reverse().set_crossing(ChartAxisCrossing::Max);
    chart.x_axis().set_name(axis);
    chart.legend().set_hidden();
    chart
}

/// Risk and stock value by month; returns the last row.
fn months(sheet: &mut Worksheet, m: &Material<'_>, row: u32) -> Result<u32, XlsxError> {
    let titles = [
        "Month".to_owned(),
        format!("Risk a year ({})", m.policy.currency),
        format!("Shelf value ({})", m.policy.currency),
    ];
    flat_headings(sheet, row, POINTS, &titles)?;
    let whole = styles::number("#,##0");
    let mut at = row;
    for (month, kept) in series(m) {
        at += 1;
        sheet.write_with_format(at, POINTS, month, &styles::text())?;
        if let Some((risk, stock)) = kept {
            sheet.write_number_with_format(at, POINTS + 1, risk, &whole)?;
            sheet.write_number_with_format(at, POINTS + 2, stock, &whole)?;
        } else {
            sheet.write_with_format(at, POINTS + 1, "not kept", &styles::subtitle())?;
        }
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

/// Risk as columns, shelf value as a line on an axis of its own.
fn trend(m: &Material<'_>, (first, last): (u32, u32)) -> Chart {
    let column = |col: u16| (NAME, first, POINTS + col, last, POINTS + col);
    let mut trend = Chart::new(ChartType::Column);
    trend
        .add_series()
        .set_name("Risk a year (columns, left)")
        .set_categories(column(0))
        .set_values(column(1))
        .set_gap(80)
        .set_format(&mut fill(styles::HUE_LIGHT));
    let mut shelf = Chart::new(ChartType::Line);
    let mut marker = ChartMarker::new();
    marker.set_type(ChartMarkerType::Diamond).set_size(9).set_format(&mut fill(styles::INK));
    shelf
        .add_series()
        .set_name("Shelf value (line, right)")
        .set_categories(column(0))
        .set_values(column(2))
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
    trend
}

/// What money for more units does to the risk, from where the shelf stands today on; returns the last row, where there is
/// anything to buy.
fn money_points(
    sheet: &mut Worksheet,
    m: &Material<'_>,
    row: u32,
) -> Result<Option<u32>, XlsxError> {
    // A handful of points shows the bend; the first is today.
    let all = &m.plan.frontier;
    let every = all.len().div_ceil(SHOWN).max(1);
    let is_shown = |at: usize| at.is_multiple_of(every) || at + 1 == all.len();
    let shown: Vec<_> =
        all.iter().enumerate().filter(|(at, _)| is_shown(*at)).map(|(_, point)| point).collect();
    if shown.len() < 2 {
        return Ok(None);
    }
    let money = &m.policy.currency;
    let titles = [
        "Money against risk".to_owned(),
        "Units bought".to_owned(),
        format!("Spent ({money})"),
        format!("Risk a year ({money})"),
    ];
    flat_headings(sheet, row, POINTS, &titles)?;
    let whole = styles::number("#,##0");
    for (at, point) in (row + 1..).zip(&shown) {
        let name = if at == row + 1 { "today" } else { "" };
        sheet.write_with_format(at, POINTS, name, &styles::text())?;
        let values = [point.bought as f64, point.spent, point.waiting];
        for (col, value) in (POINTS + 1..).zip(values) {
            sheet.write_number_with_format(at, col, value, &whole)?;
        }
    }
    Ok(Some(row + shown.len() as u32))
}

fn money_against_risk(m: &Material<'_>, (first, last): (u32, u32)) -> Chart {
    let money = &m.policy.currency;
    let mut chart = Chart::new(ChartType::ScatterStraightWithMarkers);
    for (name, end) in [("One purchase after another, the best first", last), ("Today", first)] {
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
            .set_categories((NAME, first, POINTS + 2, end, POINTS + 2))
            .set_values((NAME, first, POINTS + 3, end, POINTS + 3))
            .set_format(ChartLine::new().set_color(colour).set_width(1.5))
            .set_marker(&marker);
    }
    chart.title().set_name("Risk if units are only bought");
    chart
        .x_axis()
        .set_name(&format!("Spent on more units ({money})"))
        .set_num_format("#,##0")
        .set_min(0.0);
    chart.y_axis().set_name(&format!("Risk a year ({money})")).set_num_format("#,##0").set_min(0.0);
    chart.legend().set_position(ChartLegendPosition::Bottom);
    chart
}
