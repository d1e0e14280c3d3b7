//! Cylindrical shaft ends and the limits of their tolerance classes.

use super::sheet::sheet;

/// Long and short length (mm) of a shaft end of `diameter` mm.
///
/// # Source
/// ISO 775.
#[must_use]
pub fn shaft_end(diameter: f64) -> Option<(f64, Option<f64>)> {
    let sheet = sheet("shaft-ends");
    let row = (0..sheet.rows.len())
        .find(|row| diameter >= sheet.number(*row, 0) && diameter <= sheet.number(*row, 1))?;
    let short = sheet.number(row, 3);
    Some((sheet.number(row, 2), (short > 0.0).then_some(short)))
}

/// Whose shaft end it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShaftOf {
    /// A gear unit's (ISO 775 / DIN 748).
    GearUnit,
    /// A motor's (IEC 60072-1).
    Motor,
}

/// The tolerance class of a shaft end.
#[must_use]
pub fn shaft_class(of: ShaftOf, diameter: f64) -> Option<&'static str> {
    let sheet = sheet("shaft-fits");
    let row = sheet.band(diameter)?;
    let col = if of == ShaftOf::GearUnit { 2 } else { 3 };
    Some(sheet.rows[row][col].as_str())
}

/// Upper and lower limit (µm) of a class (`H7`, `h6`, `j6`, `k6`, `m6`) at `diameter` mm.
///
/// # Source
/// ISO 286-2. At 50 mm m6 is +25/+9; 50 belongs to the band of 30 to 50.
///
/// ```
/// assert_eq!(sparemesh::standards::tolerance_limits("m6", 50.0), Some((25.0, 9.0)));
/// ```
#[must_use]
pub fn tolerance_limits(class: &str, diameter: f64) -> Option<(f64, f64)> {
    let sheet = sheet("tolerances");
    let row = sheet.band(diameter)?;
    let upper = sheet.headings.iter().position(|h| *h == format!("{class} upper"))?;
    Some((sheet.number(row, upper), sheet.number(row, upper + 1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_grow_with_the_shaft_and_the_short_is_shorter() {
        let sheet = sheet("shaft-ends");
        for row in 0..sheet.rows.len() {
            assert!(sheet.number(row, 3) < sheet.number(row, 2));
            assert!(row == 0 || sheet.number(row, 2) > sheet.number(row - 1, 2));
        }
    }

    #[test]
    fn classes_follow_their_rules() {
        // IT6 and IT7 are the widths of h6 and H7; ISO 286-1 gives m and k by rule.
        let sheet = sheet("tolerances");
        for row in 0..sheet.rows.len() {
            let (over, to) = (sheet.number(row, 0), sheet.number(row, 1));
            let get = |class| tolerance_limits(class, to).expect("in the band");
            let (it7, it6) = (get("H7").0, -get("h6").1);
            assert!((get("m6").1 - (it7 - it6)).abs() < 1e-9, "m6 up to {to}");
            assert!((get("m6").0 - get("m6").1 - it6).abs() < 1e-9);
            assert!((get("j6").0 - get("j6").1 - it6).abs() < 1e-9);
            assert!((get("k6").0 - get("k6").1 - it6).abs() < 1e-9);
            let mean = (over * to).sqrt();
            assert!((get("k6").1 - (0.6 * mean.cbrt())).abs() < 1.0, "k6 up to {to}");
        }
    }

    #[test]
    fn every_shaft_class_has_limits() {
        for diameter in [8.0, 24.0, 28.0, 30.0, 50.0, 55.0, 120.0] {
            for of in [ShaftOf::GearUnit, ShaftOf::Motor] {
                let class = shaft_class(of, diameter).expect("in range");
                assert!(tolerance_limits(class, diameter).is_some());
            }
        }
        assert_eq!(shaft_class(ShaftOf::GearUnit, 24.0), Some("k6"));
        assert_eq!(shaft_class(ShaftOf::Motor, 24.0), Some("j6"));
    }
}
