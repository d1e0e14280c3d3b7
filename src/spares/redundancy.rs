//! Groups of which some must run: how often one may wait before the function is lost.

/// Share of time that a unit is out, from ρ = λ · (wait + swap): ρ / (1 + ρ).
#[must_use]
pub fn unavailability(rho: f64) -> f64 {
    rho / (1.0 + rho)
}

/// Chance that exactly `k` of `n` are out, each with probability `u`.
#[must_use]
pub fn exactly_out(n: u32, k: u32, u: f64) -> f64 {
    if k > n {
        return 0.0;
    }
    let ways: f64 = (0..k).map(|i| f64::from(n - i) / f64::from(i + 1)).product();
    ways * u.powi(k as i32) * (1.0 - u).powi((n - k) as i32)
}

/// Chance that fewer than `k` of `n` run, so that the function is lost.
///
/// ```
/// // 2 of 3 at u = 0.1 is lost when two or three are out: 3·0.01·0.9 + 0.001.
/// assert!((sparemesh::spares::function_lost(2, 3, 0.1) - 0.028).abs() < 1e-12);
/// ```
#[must_use]
pub fn function_lost(k: u32, n: u32, u: f64) -> f64 {
    (n - k.min(n) + 1..=n).map(|out| exactly_out(n, out, u)).sum()
}

/// Chance that the others of a `k` of `n` group are already at their limit when one more waits:
/// C(n−1, k−1) · (1−u)^(k−1) · u^(n−k).
#[must_use]
pub fn others_at_limit(k: u32, n: u32, u: f64) -> f64 {
    if k == 0 || k > n { 0.0 } else { exactly_out(n - 1, n - k, u) }
}
