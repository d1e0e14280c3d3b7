//! Service factors by load class, hours and driver, and the application factor of ISO 6336.

use super::sheet::{DataSheet, sheet};
use super::{Driver, LoadClass};

/// The row of a driver whose hours suffice.
fn row_for(sheet: &DataSheet, driver: Driver, hours: f64) -> usize {
    let rows = (0..sheet.rows.len()).filter(|row| sheet.rows[*row][0] == driver.word());
    rows.clone()
        .find(|row| hours <= sheet.number(*row, 1) + 1e-9)
        .or_else(|| rows.max())
        .expect("every driver has rows")
}

const fn column(class: LoadClass) -> usize {
    match class {
        LoadClass::Uniform => 2,
        LoadClass::Moderate => 3,
        LoadClass::Heavy | LoadClass::Refer => 4,
    }
}

/// Service factor of a helical or bevel unit.
///
/// `hours` a day; rows end at ½, 3, 10 and 24 h, upper ends included.
///
/// # Source
/// AGMA 420.04 / 6010-E88 lineage, from memory.
///
/// # Examples
/// ```
/// use sparemesh::standards::{Driver, LoadClass, helical_factor};
/// // Motor, 3 to 10 h, heavy shock: 1.75 in the table.
/// assert_eq!(helical_factor(Driver::Motor, 8.0, LoadClass::Heavy), 1.75);
/// ```
#[must_use]
pub fn helical_factor(driver: Driver, hours: f64, class: LoadClass) -> f64 {
    let sheet = sheet("service-factor-helical");
    sheet.number(row_for(sheet, driver, hours), column(class))
}

/// Service factor of a worm unit; more than ten `starts` an hour are frequent.
///
/// # Source
/// AGMA 440.04 / 6034 lineage, from memory; the ½ h and 2 h rows are unverified.
#[must_use]
pub fn worm_factor(driver: Driver, hours: f64, class: LoadClass, starts: f64) -> f64 {
    let sheet = sheet("service-factor-worm");
    let frequent = if starts > 10.0 { 3 } else { 0 };
    sheet.number(row_for(sheet, driver, hours), column(class) + frequent)
}

/// A listed motor-drive factor brought to another driver.
///
/// # Source
/// AGMA 6010-F97 / 6013-A06 annex, from memory: the engine columns lie 0.25 and 0.50 higher.
#[must_use]
pub fn engine_factor(motor_factor: f64, driver: Driver) -> f64 {
    let sheet = sheet("engine-conversion");
    let col = match driver {
        Driver::Motor => return motor_factor,
        Driver::MultiCylinder => 1,
        Driver::SingleCylinder => 2,
    };
    let near = (0..sheet.rows.len())
        .find(|row| motor_factor <= sheet.number(*row, 0) + 1e-9)
        .unwrap_or(sheet.rows.len() - 1);
    motor_factor + sheet.number(near, col) - sheet.number(near, 0)
}

/// Service factor of application class I, II or III.
#[must_use]
pub fn application_class(class: &str) -> Option<f64> {
    let sheet = sheet("application-classes");
    (0..sheet.rows.len()).find(|r| sheet.rows[*r][0] == class).map(|r| sheet.number(r, 1))
}

fn by_words(name: &'static str, driver: &str, driven: &str) -> Option<f64> {
    let sheet = sheet(name);
    let col = sheet.headings.iter().position(|heading| heading == driven)?;
    (0..sheet.rows.len()).find(|r| sheet.rows[*r][0] == driver).map(|r| sheet.number(r, col))
}

/// Application factor K_A by driver and driven class (`uniform`, `light shocks`,
/// `moderate shocks`, `heavy shocks`). The last entry is a least value.
///
/// # Source
/// ISO 6336-6:2006 annex.
#[must_use]
pub fn application_factor(driver: &str, driven: &str) -> Option<f64> {
    by_words("application-factor", driver, driven)
}

/// Textbook overload factor K_o.
///
/// # Source
/// Norton, Machine Design, table 12-17.
#[must_use]
pub fn overload_factor(driver: &str, driven: &str) -> Option<f64> {
    by_words("overload-factor", driver, driven)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_engine_row_is_the_motor_row_one_step_up() {
        let sheet = sheet("service-factor-helical");
        for step in 0..3 {
            for col in 2..5 {
                let motor_next = sheet.number(step + 1, col);
                let engine = sheet.number(4 + step, col);
                assert!((motor_next - engine).abs() < 1e-9, "row {step}, column {col}");
            }
        }
        for row in [2, 3] {
            for col in 2..5 {
                let (motor, multi, single) = (
                    sheet.number(row, col),
                    sheet.number(row + 4, col),
                    sheet.number(row + 8, col),
                );
                assert!((multi - motor - 0.25).abs() < 1e-9);
                assert!((single - motor - 0.50).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn worm_factors_never_fall_with_duty() {
        let sheet = sheet("service-factor-worm");
        for row in 0..sheet.rows.len() {
            for col in 2..4 {
                assert!(sheet.number(row, col) <= sheet.number(row, col + 1));
                assert!(sheet.number(row, col) <= sheet.number(row, col + 3));
            }
            if row % 4 != 0 {
                assert!((2..8).all(|c| sheet.number(row - 1, c) <= sheet.number(row, c)));
            }
        }
    }

    #[test]
    fn conversion_and_classes_keep_their_steps() {
        let conversion = sheet("engine-conversion");
        for row in 0..conversion.rows.len() {
            let motor = conversion.number(row, 0);
            assert!((conversion.number(row, 1) - motor - 0.25).abs() < 1e-9);
            assert!((conversion.number(row, 2) - motor - 0.50).abs() < 1e-9);
        }
        let classes = ["I", "II", "III"].map(|c| application_class(c).expect("listed"));
        assert!((classes[1] - 2f64.sqrt()).abs() < 0.01 && (classes[2] - 2.0).abs() < 1e-9);
    }

    #[test]
    fn application_factors_rise_by_the_same_steps() {
        let sheet = sheet("application-factor");
        for row in 0..4 {
            for col in 1..4 {
                let step = sheet.number(row, col + 1) - sheet.number(row, col);
                assert!((step - 0.25).abs() < 1e-9, "row {row}, column {col}");
            }
        }
        let overload = super::sheet("overload-factor");
        for row in 0..2 {
            for col in 1..3 {
                assert!(overload.number(row, col) < overload.number(row + 1, col));
            }
        }
    }
}
