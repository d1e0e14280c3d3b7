//! Preferred numbers, which nominal ratios and ratings tend to follow.

/// The R10 series over one decade (ISO 3:1973).
pub const R10: [f64; 10] = [1.00, 1.25, 1.60, 2.00, 2.50, 3.15, 4.00, 5.00, 6.30, 8.00];

/// The R20 series over one decade (ISO 3:1973).
#[rustfmt::skip]
pub const R20: [f64; 20] = [
    1.00, 1.12, 1.25, 1.40, 1.60,  1.80, 2.00, 2.24, 2.50, 2.80,
    3.15, 3.55, 4.00, 4.50, 5.00,  5.60, 6.30, 7.10, 8.00, 9.00,
];

/// The R20 number nearest to `value` on a logarithmic scale.
///
/// ```
/// assert_eq!(sparemesh::standards::nearest_preferred(24.6), 25.0);
/// ```
#[must_use]
pub fn nearest_preferred(value: f64) -> f64 {
    let step = (20.0 * value.log10()).round();
    let decade = (step / 20.0).floor();
    R20[(step - 20.0 * decade) as usize] * 10f64.powf(decade)
}

/// The k-th term of the nominal ratio series in steps of √1.5 from 1 (AGMA practice).
#[must_use]
pub fn step_of_root(k: u32) -> f64 {
    1.5f64.sqrt().powi(k as i32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn series_follow_their_rule() {
        for (k, term) in (0_u8..).zip(R20) {
            let exact = 10f64.powf(f64::from(k) / 20.0);
            assert!((term / exact - 1.0).abs() < 0.013, "R20[{k}]");
        }
        for (k, term) in R10.iter().enumerate() {
            assert!((term - R20[2 * k]).abs() < 1e-12, "R10[{k}] is every second of R20");
        }
    }
}
