//! Parallel keys.

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

#[cfg(test)]
mod tests {
    use super::*;

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
