//! Preferred numbers, which nominal ratios and ratings tend to follow.

use super::sheet::sheet;

/// The numbers of one decade of a series, `R10` or `R20`, rising.
#[must_use]
pub fn preferred_numbers(series: &str) -> Vec<f64> {
    let sheet = sheet("preferred-numbers");
    (0..sheet.rows.len())
        .filter(|row| sheet.rows[*row][0] == series)
        .map(|row| sheet.number(row, 1))
        .collect()
}

/// The R20 number nearest to `value` on a logarithmic scale; `None` unless it is above zero.
///
/// ```
/// assert_eq!(sparemesh::standards::nearest_preferred(24.6), Some(25.0));
/// ```
#[must_use]
pub fn nearest_preferred(value: f64) -> Option<f64> {
    if !(value.is_finite() && value > 0.0) {
        return None;
    }
    let decade = 10f64.powf(value.log10().floor());
    let numbers = preferred_numbers("R20");
    let candidates = numbers.iter().map(|n| n * decade).chain([10.0 * decade]);
    let distance = |n: f64| (n / value).ln().abs();
    candidates.min_by(|a, b| distance(*a).total_cmp(&distance(*b)))
}

/// The nominal ratios of units with several stages, in steps of √1.5, rising.
#[must_use]
pub fn nominal_ratios() -> Vec<f64> {
    let sheet = sheet("nominal-ratios");
    (0..sheet.rows.len()).map(|row| sheet.number(row, 1)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn series_follow_their_rule() {
        let (r10, r20) = (preferred_numbers("R10"), preferred_numbers("R20"));
        assert_eq!((r10.len(), r20.len()), (10, 20));
        for (k, term) in (0_u8..).zip(&r20) {
            let exact = 10f64.powf(f64::from(k) / 20.0);
            assert!((term / exact - 1.0).abs() < 0.013, "R20[{k}]");
        }
        for (k, term) in r10.iter().enumerate() {
            assert!((term - r20[2 * k]).abs() < 1e-12, "R10[{k}] is every second of R20");
        }
    }

    #[test]
    fn nominal_ratios_are_powers_of_one_and_a_half() {
        for (k, ratio) in (1_i32..).zip(nominal_ratios()) {
            let exact = 1.5f64.powf(f64::from(k) / 2.0);
            assert!((ratio / exact - 1.0).abs() < 6e-4, "step {k}: {ratio} and {exact}");
        }
    }
}
