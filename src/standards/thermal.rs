//! Factors that bring a thermal rating to the conditions where a unit stands.

use super::sheet::sheet;

/// A table's factor at `x`, on the straight line between its points; `None` outside them.
fn between(name: &'static str, x: f64) -> Option<f64> {
    let sheet = sheet(name);
    let point = |row: usize| (sheet.number(row, 0), sheet.number(row, 1));
    let last = sheet.rows.len() - 1;
    let at = (0..=last).find(|row| point(*row).0 >= x)?;
    let (x1, y1) = point(at);
    if (x1 - x).abs() < 1e-12 {
        return Some(y1);
    }
    let (x0, y0) = point(at.checked_sub(1)?);
    Some(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
}

/// By ambient temperature (°C); colder than the table counts as its coldest point.
///
/// # Source
/// ISO/TR 14179-1, AGMA 6013 annex; from memory.
///
/// ```
/// // Between 0.94 at 30 °C and 0.88 at 35 °C.
/// let factor = sparemesh::standards::ambient_factor(32.5).unwrap();
/// assert!((factor - 0.91).abs() < 1e-12);
/// ```
#[must_use]
pub fn ambient_factor(celsius: f64) -> Option<f64> {
    between("thermal-ambient", celsius.max(10.0))
}

/// By altitude (m); below sea level counts as sea level.
#[must_use]
pub fn altitude_factor(metres: f64) -> Option<f64> {
    between("thermal-altitude", metres.max(0.0))
}

/// By the highest sump temperature allowed (°C).
#[must_use]
pub fn sump_factor(celsius: f64) -> Option<f64> {
    between("thermal-sump", celsius)
}

/// By time under load in each hour (per cent); less than the table's least counts as that.
#[must_use]
pub fn duty_factor(percent: f64) -> Option<f64> {
    between("thermal-duty", percent.max(20.0))
}

/// The time under load in each hour (per cent) that a duty factor allows; `None` beyond the table.
///
/// ```
/// use sparemesh::standards::{duty_factor, duty_for_factor};
/// // Between 1.15 at 60 % and 1.35 at 40 %.
/// assert_eq!(duty_for_factor(1.25), Some(50.0));
/// assert!((duty_factor(50.0).unwrap() - 1.25).abs() < 1e-12);
/// ```
#[must_use]
pub fn duty_for_factor(factor: f64) -> Option<f64> {
    let sheet = sheet("thermal-duty");
    let point = |row: usize| (sheet.number(row, 0), sheet.number(row, 1));
    (1..sheet.rows.len()).find_map(|row| {
        let ((x0, y0), (x1, y1)) = (point(row - 1), point(row));
        let inside = (y1..=y0).contains(&factor);
        inside.then(|| x0 + (x1 - x0) * (y0 - factor) / (y0 - y1))
    })
}

/// By the air around the unit: `confined`, `indoor`, `forced`, `outdoor`.
#[must_use]
pub fn air_factor(air: &str) -> Option<f64> {
    let sheet = sheet("thermal-air");
    sheet.row_named(air).map(|row| sheet.number(row, 2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_reference_condition_is_one_and_factors_are_monotone() {
        for (name, reference, rises) in [
            ("thermal-ambient", 25.0, false),
            ("thermal-altitude", 0.0, false),
            ("thermal-sump", 95.0, true),
            ("thermal-duty", 100.0, false),
        ] {
            assert_eq!(between(name, reference), Some(1.0), "{name}");
            let sheet = sheet(name);
            for row in 1..sheet.rows.len() {
                assert!(sheet.number(row, 0) > sheet.number(row - 1, 0));
                let rose = sheet.number(row, 1) > sheet.number(row - 1, 1);
                assert_eq!(rose, rises, "{name}, row {row}");
            }
        }
        assert_eq!(air_factor("indoor"), Some(1.0));
        assert_eq!((ambient_factor(60.0), altitude_factor(9000.0)), (None, None));
    }
}
