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
    let of_class = |h: &String| h.strip_suffix(" upper") == Some(class);
    let upper = sheet.headings.iter().position(of_class)?;
    Some((sheet.number(row, upper), sheet.number(row, upper + 1)))
}

/// The nominal size (mm) that a written or measured diameter stands for: a whole millimetre or a
/// sixteenth of an inch; `None` where it is near neither.
///
/// # Validity
/// An inch size counts within half a tenth of a millimetre, as plates round it (`60.3` for 2 3/8 in);
/// a whole millimetre within a tenth, as rules and callipers show it.
///
/// ```
/// use sparemesh::standards::nominal_size;
/// assert_eq!((nominal_size(60.3), nominal_size(59.9)), (Some(60.325), Some(60.0)));
/// assert_eq!((nominal_size(38.1), nominal_size(38.0)), (Some(38.1), Some(38.0)));
/// assert_eq!(nominal_size(61.3), None);
/// ```
#[must_use]
pub fn nominal_size(diameter: f64) -> Option<f64> {
    let whole = diameter.round();
    let inch = (diameter / SIXTEENTH_MM).round() * SIXTEENTH_MM;
    let (off_whole, off_inch) = ((diameter - whole).abs(), (diameter - inch).abs());
    if off_whole <= 0.005 {
        Some(whole)
    } else if off_inch <= 0.051 && off_inch <= off_whole {
        Some((inch * 1e4).round() / 1e4)
    } else if off_whole <= 0.1 + 1e-9 {
        Some(whole)
    } else {
        None
    }
}

/// A sixteenth of an inch (mm).
const SIXTEENTH_MM: f64 = 25.4 / 16.0;

/// Whether a nominal size is one of inches and not of millimetres.
#[must_use]
pub fn is_inch_size(diameter: f64) -> bool {
    nominal_size(diameter).is_some_and(|size| (size - size.round()).abs() > 1e-6)
}

/// Whether a shaft and a bore of these diameters (mm) are of one size: their nominal sizes lie no
/// further apart than the shaft's class (k6 to 50 mm, m6 above) and an H7 bore allow together. A
/// shaft of 1 1/2 in is none for a bore of 38 mm.
///
/// # Source
/// ISO 286-2; ISO 775 for the classes.
///
/// ```
/// use sparemesh::standards::same_size;
/// assert!(same_size(60.0, 59.95) && same_size(60.3, 60.325));
/// assert!(!same_size(38.1, 38.0) && !same_size(50.8, 50.0) && !same_size(19.05, 19.0));
/// ```
#[must_use]
pub fn same_size(a: f64, b: f64) -> bool {
    if (a - b).abs() < 1e-9 {
        return true;
    }
    if (a - b).abs() > 0.25 {
        return false;
    }
    let (Some(x), Some(y)) = (nominal_size(a), nominal_size(b)) else {
        return (a - b).abs() <= 0.1 + 1e-9;
    };
    let larger = x.max(y);
    let upper = |class| tolerance_limits(class, larger).map_or(40.0, |limits| limits.0);
    let of_shaft = shaft_class(ShaftOf::GearUnit, larger).map_or(40.0, upper);
    (x - y).abs() <= (of_shaft + upper("H7")) / 1e3 + 1e-9
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
