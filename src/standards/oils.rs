//! Viscosity grades and the older numbers of gear oils.

use super::sheet::sheet;

/// Least and most viscosity (mm²/s at 40 °C) of a grade.
///
/// # Source
/// ISO 3448:1992.
#[must_use]
pub fn grade_limits(grade: f64) -> Option<(f64, f64)> {
    let sheet = sheet("oil-grades");
    let row = (0..sheet.rows.len()).find(|row| (sheet.number(*row, 0) - grade).abs() < 1e-9)?;
    Some((sheet.number(row, 2), sheet.number(row, 3)))
}

/// The grade of an older number, as `5`, `5EP`, `7 Comp`, `8A Comp`, `6S`.
///
/// # Source
/// AGMA 9005-D94; later editions name the ISO grade itself.
///
/// ```
/// use sparemesh::standards::grade_of_number;
/// assert_eq!(grade_of_number("8A Comp"), Some(1000.0));
/// assert_eq!(grade_of_number("5 EP"), Some(220.0));
/// ```
#[must_use]
pub fn grade_of_number(number: &str) -> Option<f64> {
    let low = number.trim().to_uppercase();
    let bare = ["COMPOUNDED", "COMP", "EP", "S", "R&O"]
        .iter()
        .fold(low.as_str(), |text, suffix| text.strip_suffix(suffix).unwrap_or(text).trim_end());
    let sheet = sheet("oil-numbers");
    sheet.row_named(bare).map(|row| sheet.number(row, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_lie_ten_per_cent_about_the_middle_and_do_not_touch() {
        let sheet = sheet("oil-grades");
        for row in 0..sheet.rows.len() {
            let (middle, least, most) =
                (sheet.number(row, 1), sheet.number(row, 2), sheet.number(row, 3));
            assert!((least / middle - 0.9).abs() < 0.006 && (most / middle - 1.1).abs() < 0.006);
            assert!(row == 0 || sheet.number(row - 1, 3) < least);
        }
    }

    #[test]
    fn numbers_rise_with_their_grades() {
        let sheet = sheet("oil-numbers");
        for row in 0..sheet.rows.len() {
            assert!(grade_limits(sheet.number(row, 1)).is_some());
            assert!(row == 0 || sheet.number(row, 1) > sheet.number(row - 1, 1));
        }
    }
}
