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
    terms(shape, rate / (rate + exposure)).take(s as usize + 1).sum::<f64>().min(1.0)
}

/// P(D = 0), P(D = 1), …: each from the one before, or by logarithms where the first is too small to hold.
fn terms(shape: f64, p: f64) -> impl Iterator<Item = f64> {
    let first = (shape * p.ln()).exp();
    let mut next = first;
    (0_u32..).map(move |x| {
        if first < LEAST {
            return ln_pmf(shape, p, x).exp();
        }
        let now = next;
        next *= (shape + f64::from(x)) / (f64::from(x) + 1.0) * (1.0 - p);
        now
    })
}

/// A first term below this has lost digits.
const LEAST: f64 = 1e-290;

/// Expected number waiting with `s` spares under the same demand.
#[must_use]
pub fn nb_expected_backorders(shape: f64, rate: f64, exposure: f64, s: u32) -> f64 {
    if exposure <= 0.0 {
        return 0.0;
    }
    // E[(D − s)+] = E[D] − Σ_{x<s} P(D > x)
    let mean = shape * exposure / rate;
    let below = |sum: &mut f64, term: f64| {
        *sum += term;
        Some(1.0 - sum.min(1.0))
    };
    let covered: f64 =
        terms(shape, rate / (rate + exposure)).take(s as usize).scan(0.0, below).sum();
    (mean - covered).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NB(2000, 2/3): P(D = 0) = (2/3)^2000 is too small for a number. scipy 1.17.1, `nbinom.cdf`, and the waiting
    /// summed from `nbinom.pmf`.
    #[test]
    fn demand_far_from_zero_is_summed_by_logarithms() {
        assert!((nb_cdf(2000.0, 2.0, 1.0, 1000) - 0.508_582_782_369_714).abs() < 1e-9);
        assert!((nb_cdf(2000.0, 2.0, 1.0, 900) - 0.004_399_507_210_258).abs() < 1e-9);
        let waiting = nb_expected_backorders(2000.0, 2.0, 1.0, 950);
        assert!((waiting - 51.721_973_084_842).abs() < 1e-6, "{waiting}");
    }
}
