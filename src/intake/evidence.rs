//! Which unit a column without one is in: hypotheses tested against standard sizes, against the
//! other units of its sheet, and against T = 9549.3 · P / n.

use super::headings::Heading;
use super::number::{self, Decimal};
use super::{grid, ratio};
use crate::records::{Field, Kind};
use crate::standards::standard_powers;
use crate::units::{Dimension, NM_PER_KW_RPM, Unit, find_unit};
use crate::workbook::{Cell, Raw};

/// A hypothesis must hold for this share of the values, and lead the next by that.
const HOLDS: f64 = 0.7;
const LEADS: f64 = 0.2;

/// What stands around a column: the other columns and their rows.
pub(super) struct Around<'a> {
    pub(super) columns: &'a [(u32, String, Heading)],
    pub(super) rows: &'a [&'a [Cell]],
}

/// The unit that a column's bare numbers speak for, and the share that fits.
pub(super) fn unit_of(
    col: u32,
    dimension: Dimension,
    values: &[f64],
    around: &Around<'_>,
) -> Option<(&'static str, f64)> {
    if values.len() < 2 {
        return None;
    }
    let share = |fits: &dyn Fn(f64) -> bool| {
        values.iter().filter(|v| fits(**v)).count() as f64 / values.len() as f64
    };
    match dimension {
        Dimension::Power => {
            let in_series = |unit: &str, v: f64| {
                standard_powers(unit).iter().any(|p| (v / p - 1.0).abs() < 0.005)
            };
            let kw = share(&|v| in_series("kW", v));
            clear_lead(&[("kW", kw), ("hp", share(&|v| in_series("hp", v)))])
                .or_else(|| around.power_unit(col))
        }
        Dimension::Length => {
            clear_lead(&[("mm", share(&|v| v >= 14.0)), ("in", share(&|v| v < 10.0))]).or_else(
                || {
                    // Shafts are turned to whole millimetres, or to sixteenths of an inch.
                    let whole = |v: f64| (v - v.round()).abs() < 1e-6;
                    let inches = |v: f64| v < 14.0 && whole(v * 16.0) && !whole(v);
                    clear_lead(&[("mm", share(&|v| v >= 6.0 && whole(v))), ("in", share(&inches))])
                },
            )
        }
        // A mass in pounds looks like one in kilograms: the sheet's other units decide.
        Dimension::Mass if around.is_metric()? => {
            clear_lead(&[("kg", share(&|v| v >= 5.0)), ("t", share(&|v| v < 3.0))])
        }
        Dimension::Mass => Some(("lb", 1.0)),
        Dimension::Torque => around.torque_unit(col),
        _ => None,
    }
}

/// The hypothesis that holds and leads, if one does.
fn clear_lead(hypotheses: &[(&'static str, f64)]) -> Option<(&'static str, f64)> {
    let best = hypotheses.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let rivals = hypotheses.iter().filter(|h| h.0 != best.0).map(|h| h.1).fold(0.0, f64::max);
    (best.1 >= HOLDS && best.1 - rivals >= LEADS).then_some(best)
}

impl Around<'_> {
    /// Whether the units written in the other headings are metric; `None` if they tell nothing or
    /// are mixed.
    fn is_metric(&self) -> Option<bool> {
        const METRIC: [&str; 6] = ["mm", "kW", "N·m", "kg", "kN", "°C"];
        const IMPERIAL: [&str; 6] = ["in", "hp", "lbf·in", "lbf·ft", "lb", "°F"];
        let written = |list: &[&str]| {
            self.columns.iter().any(|(_, _, h)| h.unit.is_some_and(|u| list.contains(&u.symbol)))
        };
        match (written(&METRIC), written(&IMPERIAL)) {
            (true, false) => Some(true),
            (false, true) => Some(false),
            _ => None,
        }
    }

    /// The unit in which a power is that of the plate's torque: T = 9549.3 · P · η / n2.
    fn power_unit(&self, col: u32) -> Option<(&'static str, f64)> {
        let rows: Vec<(f64, f64)> = self
            .rows
            .iter()
            .filter_map(|cells| {
                let power = plain_number(grid::at(cells, col)?)?;
                let torque = self.value(Field::rated_torque_nm, cells)?;
                Some((power, torque * self.output_speed(cells)? / NM_PER_KW_RPM))
            })
            .collect();
        if rows.len() < 3 {
            return None;
        }
        let share = |symbol: &'static str| {
            let unit = find_unit(symbol)?;
            let fits = |(power, turned): &&(f64, f64)| {
                (0.86..=1.02).contains(&(turned / unit.to_record(*power)))
            };
            Some((symbol, rows.iter().filter(fits).count() as f64 / rows.len() as f64))
        };
        clear_lead(&["kW", "hp"].into_iter().filter_map(share).collect::<Vec<_>>())
    }

    /// The unit in which a torque is 0.8 to 4 times what the motor gives at the output.
    fn torque_unit(&self, col: u32) -> Option<(&'static str, f64)> {
        // N·m and lbf·ft lie too near each other to be told apart without the sheet's other units.
        let units: &[&str] = match self.is_metric() {
            Some(true) => &["N·m", "kN·m", "kgf·m"],
            Some(false) => &["lbf·in", "lbf·ft"],
            None => &["N·m", "kN·m", "lbf·in", "lbf·ft", "kgf·m"],
        };
        let pairs: Vec<(f64, f64)> = self
            .rows
            .iter()
            .filter_map(|cells| {
                Some((plain_number(grid::at(cells, col)?)?, self.motor_torque(cells)?))
            })
            .collect();
        if pairs.len() < 3 {
            return None;
        }
        let share = |symbol: &'static str| {
            let unit = find_unit(symbol)?;
            let fits = |(torque, motor): &&(f64, f64)| {
                (0.8..=4.0).contains(&(unit.to_record(*torque) / motor))
            };
            Some((symbol, pairs.iter().filter(fits).count() as f64 / pairs.len() as f64))
        };
        clear_lead(&units.iter().copied().filter_map(share).collect::<Vec<_>>())
    }

    /// The motor's torque at the output of a row (N·m).
    fn motor_torque(&self, cells: &[Cell]) -> Option<f64> {
        let power = self.value(Field::motor_power_kw, cells)?;
        Some(NM_PER_KW_RPM * power / self.output_speed(cells)?)
    }

    /// The output speed of a row (r/min).
    fn output_speed(&self, cells: &[Cell]) -> Option<f64> {
        let speed = self.value(Field::output_speed_rpm, cells).or_else(|| {
            Some(self.value(Field::motor_speed_rpm, cells)? / self.value(Field::ratio, cells)?)
        })?;
        (speed > 0.0).then_some(speed)
    }

    /// A row's value of another column, if that column has its unit.
    fn value(&self, field: Field, cells: &[Cell]) -> Option<f64> {
        let (col, _, heading) = self.columns.iter().find(|(_, _, h)| h.field == field)?;
        let raw = grid::at(cells, *col)?;
        if field.kind() == Kind::Ratio {
            return match raw {
                Raw::Text(text) => ratio::parse(text, Decimal::Unknown).map(|r| r.value),
                Raw::Number(n) => ratio::whole(*n).map(|r| r.value),
                _ => None,
            };
        }
        let needs_none = matches!(field.kind(), Kind::Number(d) if d.needs_no_unit());
        let in_record = |value: f64| heading.unit.map(|u: Unit| u.to_record(value));
        plain_number(raw).and_then(|v| in_record(v).or(needs_none.then_some(v)))
    }
}

fn plain_number(raw: &Raw) -> Option<f64> {
    match raw {
        Raw::Number(n) => Some(*n),
        Raw::Text(text) => {
            number::read(text, Decimal::Unknown).ok().filter(|q| q.unit.is_none()).map(|q| q.value)
        }
        _ => None,
    }
}
