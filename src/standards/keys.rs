//! Parallel keys.

use super::is_inch_size;
use super::sheet::sheet;

/// A parallel key and its keyway (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ParallelKey {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// Depth in the shaft.
    pub shaft_depth: f64,
    /// Depth in the hub.
    pub hub_depth: f64,
}

/// The key of a shaft of `diameter` mm; the lower bound is excluded, the upper included.
///
/// # Source
/// DIN 6885-1 / ISO 773.
///
/// ```
/// use sparemesh::standards::parallel_key;
/// assert_eq!(parallel_key(30.0).unwrap().width, 8.0);
/// assert_eq!(parallel_key(30.1).unwrap().width, 10.0);
/// ```
#[must_use]
pub fn parallel_key(diameter: f64) -> Option<ParallelKey> {
    let sheet = sheet("keys-metric");
    (0..sheet.rows.len())
        .find(|row| diameter > sheet.number(*row, 0) && diameter <= sheet.number(*row, 1))
        .map(|row| ParallelKey {
            width: sheet.number(row, 2),
            height: sheet.number(row, 3),
            shaft_depth: sheet.number(row, 4),
            hub_depth: sheet.number(row, 5),
        })
}

/// The width of the square key of an inch shaft (in).
///
/// # Source
/// ASME B17.1.
///
/// ```
/// use sparemesh::standards::square_key_in;
/// assert_eq!((square_key_in(2.25), square_key_in(2.251)), (Some(0.5), Some(0.625)));
/// ```
#[must_use]
pub fn square_key_in(diameter: f64) -> Option<f64> {
    let sheet = sheet("keys-inch");
    sheet.band(diameter).map(|row| sheet.number(row, 2))
}

/// Width (mm) of the key that a shaft of `diameter` mm has: by the inch table where its size is one
/// of inches, else by the metric one.
///
/// ```
/// use sparemesh::standards::key_width;
/// assert_eq!((key_width(60.0), key_width(60.325)), (Some(18.0), Some(15.875)));
/// ```
#[must_use]
pub fn key_width(diameter: f64) -> Option<f64> {
    if is_inch_size(diameter) {
        let size = super::nominal_size(diameter)? / 25.4;
        return square_key_in(size).map(|width| width * 25.4);
    }
    parallel_key(diameter).map(|key| key.width)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inch_keys_join_and_widen() {
        let sheet = sheet("keys-inch");
        for row in 1..sheet.rows.len() {
            assert!((sheet.number(row, 0) - sheet.number(row - 1, 1)).abs() < 1e-9);
            assert!(sheet.number(row, 2) > sheet.number(row - 1, 2));
        }
    }

    #[test]
    fn bounds_join_and_depths_hold_the_key() {
        let sheet = sheet("keys-metric");
        for row in 0..sheet.rows.len() {
            if row > 0 {
                assert!((sheet.number(row, 0) - sheet.number(row - 1, 1)).abs() < 1e-9);
                assert!(sheet.number(row, 2) > sheet.number(row - 1, 2));
            }
            let depth = sheet.number(row, 4) + sheet.number(row, 5);
            let height = sheet.number(row, 3);
            assert!(depth > height && depth < height + 0.5, "row {row}: {depth} for {height}");
        }
    }
}
