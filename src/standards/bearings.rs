//! Boundary dimensions of rolling bearings and shaft seals.

use super::sheet::sheet;

/// Bore, outside and width (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boundary {
    /// Bore, or shaft of a seal.
    pub inside: f64,
    /// Outside diameter.
    pub outside: f64,
    /// Width; of tapered bearings the overall width.
    pub width: f64,
}

/// The boundary dimensions of a designation; suffixes that do not change them are left off.
///
/// ```
/// let dims = sparemesh::standards::bearing("6210-2RS C3").unwrap();
/// assert_eq!((dims.inside, dims.outside, dims.width), (50.0, 90.0, 20.0));
/// ```
#[must_use]
pub fn bearing(designation: &str) -> Option<Boundary> {
    let digits: String = designation.trim().chars().take_while(char::is_ascii_digit).collect();
    let sheet = sheet("bearings");
    let row = sheet.row_named(&digits)?;
    Some(Boundary {
        inside: sheet.number(row, 2),
        outside: sheet.number(row, 3),
        width: sheet.number(row, 4),
    })
}

/// The bore (mm) that a designation says.
///
/// The last two digits: 00 is 10, 01 is 12, 02 is 15, 03 is 17, from 04 five times the number; a
/// bore behind a slash is in millimetres; of three digits the last is the bore.
///
/// # Source
/// ISO 15, from memory.
///
/// ```
/// use sparemesh::standards::bore_of;
/// assert_eq!(bore_of("32206"), Some(30.0));
/// assert_eq!(bore_of("302/28"), Some(28.0));
/// assert_eq!(bore_of("608"), Some(8.0));
/// ```
#[must_use]
pub fn bore_of(designation: &str) -> Option<f64> {
    let text = designation.trim();
    let digits: String = text.chars().take_while(char::is_ascii_digit).collect();
    if let Some(behind) = text[digits.len()..].strip_prefix('/') {
        let bore: String = behind.chars().take_while(char::is_ascii_digit).collect();
        return bore.parse().ok();
    }
    if digits.len() == 3 {
        return digits[2..].parse().ok().filter(|bore: &f64| *bore > 0.0);
    }
    if !(4..=5).contains(&digits.len()) {
        return None;
    }
    let code: u32 = digits[digits.len() - 2..].parse().ok()?;
    match code {
        0..=3 => Some([10.0, 12.0, 15.0, 17.0][code as usize]),
        4..=96 => Some(f64::from(5 * code)),
        _ => None,
    }
}

/// The seals that the standard lists for a shaft of `diameter` mm.
///
/// # Source
/// DIN 3760 / ISO 6194-1.
#[must_use]
pub fn seals_for(diameter: f64) -> Vec<Boundary> {
    let sheet = sheet("seals");
    (0..sheet.rows.len())
        .map(|row| Boundary {
            inside: sheet.number(row, 0),
            outside: sheet.number(row, 1),
            width: sheet.number(row, 2),
        })
        .filter(|seal| (seal.inside - diameter).abs() < 1e-9)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_designation_tells_the_bore_and_series_grow() {
        let sheet = sheet("bearings");
        for row in 0..sheet.rows.len() {
            let name = &sheet.rows[row][0];
            let dims = bearing(name).expect("listed");
            assert_eq!(bore_of(name), Some(dims.inside), "{name}");
            assert!(dims.outside > dims.inside);
            if row > 0
                && sheet.rows[row - 1][0][..2] == name[..2]
                && sheet.rows[row - 1][1] == sheet.rows[row][1]
            {
                let before = bearing(&sheet.rows[row - 1][0]).expect("listed");
                assert!(dims.outside > before.outside && dims.width >= before.width, "{name}");
            }
        }
    }

    #[test]
    fn seals_lie_outside_their_shaft() {
        let sheet = sheet("seals");
        for row in 0..sheet.rows.len() {
            assert!(sheet.number(row, 1) > sheet.number(row, 0));
            assert!(row == 0 || sheet.number(row, 0) >= sheet.number(row - 1, 0));
        }
        let seal = Boundary { inside: 50.0, outside: 72.0, width: 8.0 };
        assert!(seals_for(50.0).contains(&seal));
    }
}
