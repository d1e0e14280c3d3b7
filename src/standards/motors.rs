//! Standard motor powers and speeds.

use std::sync::LazyLock;

use super::sheet::sheet;
use crate::units::Power;

/// Synchronous speed (r/min): 120·f / p.
///
/// ```
/// assert_eq!(sparemesh::standards::synchronous_speed_rpm(60.0, 6), 1200.0);
/// ```
#[must_use]
pub fn synchronous_speed_rpm(supply_hz: f64, poles: u32) -> f64 {
    120.0 * supply_hz / f64::from(poles)
}

/// Slip of a motor: (nₛ − n) / nₛ.
#[must_use]
pub fn slip(synchronous_rpm: f64, speed_rpm: f64) -> f64 {
    (synchronous_rpm - speed_rpm) / synchronous_rpm
}

/// Pole counts that standard motors have.
#[must_use]
pub const fn pole_counts() -> [u32; 4] {
    [2, 4, 6, 8]
}

/// Standard powers of one series (`kW` or `hp`), in that unit, rising.
#[must_use]
pub fn standard_powers(unit: &str) -> Vec<f64> {
    let sheet = sheet("motor-powers");
    (0..sheet.rows.len())
        .filter(|row| sheet.rows[*row][0] == unit)
        .map(|row| sheet.number(row, 1))
        .collect()
}

static BOTH_SERIES_KW: LazyLock<Vec<f64>> = LazyLock::new(|| {
    let in_kw = |hp: f64| Power::horsepower(hp).over(1e3);
    let mut powers = standard_powers("kW");
    powers.extend(standard_powers("hp").into_iter().map(in_kw));
    powers.sort_by(f64::total_cmp);
    powers
});

/// Standard powers of both series, in kW, rising.
#[must_use]
pub fn standard_powers_kw() -> &'static [f64] {
    &BOTH_SERIES_KW
}

/// The standard power nearest to `power_kw` by ratio, and how far off it is (share).
#[must_use]
pub fn nearest_motor_power_kw(power_kw: f64) -> (f64, f64) {
    standard_powers_kw()
        .iter()
        .map(|&standard| (standard, (power_kw / standard - 1.0).abs()))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((power_kw, 0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::HORSEPOWER;

    #[test]
    fn both_series_rise_without_gaps() {
        for unit in ["kW", "hp"] {
            let series = standard_powers(unit);
            assert!(series.windows(2).all(|p| p[1] > p[0] && p[1] / p[0] < 1.7), "{unit}");
        }
    }

    #[test]
    fn a_horsepower_size_is_standard_too() {
        let (nearest, off) = nearest_motor_power_kw(10.0 * HORSEPOWER / 1e3);
        assert!((nearest - 7.456_998_7).abs() < 1e-6 && off < 1e-9);
    }
}
