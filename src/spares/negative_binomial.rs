//! Demand whose rate is itself uncertain: gamma rate, Poisson demand.

use statrs::function::gamma::ln_gamma;

fn ln_pmf(shape: f64, p: f64, x: u32) -> f64 {
    let x = f64::from(x);
    ln_gamma(shape + x) - ln_gamma(shape) - ln_gamma(x + 1.0) + shape * p.ln() + x * (-p).ln_1p()
}

/// P(D ≤ s) for demand over `exposure` (unit-years) at a rate Gamma(`shape`, `rate`).
///
/// ```text
/// D ~ NB(k = a, p = b / (b + E))
/// ```
///
/// # Source
/// NIST/SEMATECH e-Handbook 8.4.6 for the posterior; the predictive follows by integration.
#[must_use]
pub fn nb_cdf(shape: f64, rate: f64, exposure: f64, s: u32) -> f64 {
    if exposure <= 0.0 {
        return 1.0;
    }
    let p = rate / (rate + exposure);
    (0..=s).map(|x| ln_pmf(shape, p, x).exp()).sum::<f64>().min(1.0)
}

/// Expected number waiting with `s` spares under the same demand.
#[must_use]
pub fn nb_expected_backorders(shape: f64, rate: f64, exposure: f64, s: u32) -> f64 {
    if exposure <= 0.0 {
        return 0.0;
    }
    // E[(D − s)+] = E[D] − Σ_{x<s} P(D > x)
    let mean = shape * exposure / rate;
    let covered: f64 = (0..s).map(|x| 1.0 - nb_cdf(shape, rate, exposure, x)).sum();
    (mean - covered).max(0.0)
}
