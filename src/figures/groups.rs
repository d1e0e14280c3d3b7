//! Cover and risk by area and by consequence class.

use polars::prelude::{Column, DataFrame, IntoVec, SortMultipleOptions};

use super::FiguresError;
use crate::records::{Plant, Position};
use crate::spares::Plan;

/// One group: how many positions, how many with a ready spare, and their risk a year.
#[derive(Clone, Debug, PartialEq)]
pub struct GroupRow {
    /// Area or class.
    pub name: String,
    /// Positions.
    pub positions: f64,
    /// Positions that a ready unit on the shelf covers.
    pub covered: f64,
    /// Expected cost of waiting a year, where weighed.
    pub risk: f64,
}

/// Groups by area.
///
/// # Errors
/// When the frame cannot be made.
pub fn by_area(plant: &Plant, plan: &Plan) -> Result<Vec<GroupRow>, FiguresError> {
    grouped(plant, plan, |p| p.area().unwrap_or("no area").to_owned())
}

/// Groups by consequence class, worst first.
///
/// # Errors
/// When the frame cannot be made.
pub fn by_consequence(plant: &Plant, plan: &Plan) -> Result<Vec<GroupRow>, FiguresError> {
    let mut rows = grouped(plant, plan, |p| p.consequence().unwrap_or("line").to_owned())?;
    let rank = |name: &str| ["people", "line", "slow", "minor"].iter().position(|c| *c == name);
    rows.sort_by_key(|r| rank(&r.name));
    Ok(rows)
}

fn grouped(
    plant: &Plant,
    plan: &Plan,
    key: impl Fn(&Position) -> String,
) -> Result<Vec<GroupRow>, FiguresError> {
    let bare: std::collections::BTreeSet<usize> =
        plan.no_cover.iter().map(|n| n.position).collect();
    let running: Vec<usize> =
        (0..plant.positions.len()).filter(|p| plant.positions[*p].runs()).collect();
    let names: Vec<String> = running.iter().map(|p| key(&plant.positions[*p])).collect();
    let count = running.len();
    let covered: Vec<f64> =
        running.iter().map(|p| f64::from(u8::from(!bare.contains(p)))).collect();
    let risk: Vec<f64> = running.iter().map(|p| plan.risk_today[*p].unwrap_or(0.0)).collect();
    let frame = DataFrame::new(
        count,
        vec![
            Column::new("name".into(), names),
            Column::new("positions".into(), vec![1.0; count]),
            Column::new("covered".into(), covered),
            Column::new("risk".into(), risk),
        ],
    );
    let rows = frame.and_then(|f| sums(&f)).map_err(|e| FiguresError::Frame(e.to_string()))?;
    Ok(rows)
}

/// Sums of the three figures by name, names in order.
fn sums(frame: &DataFrame) -> polars::prelude::PolarsResult<Vec<GroupRow>> {
    #[allow(deprecated)] // the eager aggregation; the lazy engine would double the build
    let summed = frame.group_by(["name"])?.select(["positions", "covered", "risk"]).sum()?;
    let sorted = summed.sort(["name"].into_vec(), SortMultipleOptions::default())?;
    let names = sorted.column("name")?.str()?.clone();
    let number = |column: &str| -> polars::prelude::PolarsResult<Vec<f64>> {
        Ok(sorted.column(column)?.f64()?.iter().map(|v| v.unwrap_or(0.0)).collect())
    };
    let (positions, covered, risk) =
        (number("positions_sum")?, number("covered_sum")?, number("risk_sum")?);
    Ok(names
        .iter()
        .enumerate()
        .map(|(at, name)| GroupRow {
            name: name.unwrap_or("").to_owned(),
            positions: positions[at],
            covered: covered[at],
            risk: risk[at],
        })
        .collect())
}
