//! One pool with Poisson demand.

/// P(D ≤ s) for Poisson demand of mean `m`: the chance that no position waits.
///
/// ```text
/// F(s) = Σ_{k=0..s} e^(-m)·m^k / k!
/// ```
///
/// `m` expected units in resupply (units), at most 700; `s` spares owned (units).
///
/// # Source
/// Palm's theorem: units in resupply are Poisson whatever the resupply time's shape.
///
/// ```
/// // Hopp & Spearman, base stock example: F(14) at m = 10 is 0.9165.
/// assert!((sparemesh::spares::cdf(10.0, 14) - 0.916_541_527_065).abs() < 1e-9);
/// ```
#[must_use]
pub fn cdf(m: f64, s: u32) -> f64 {
    let mut term = (-m).exp();
    let mut sum = term;
    for k in 1..=s {
        term *= m / f64::from(k);
        sum += term;
    }
    sum.min(1.0)
}

/// P(D ≤ s−1): the chance that the next demand is met from the shelf (0 without spares).
#[must_use]
pub fn fill_rate(m: f64, s: u32) -> f64 {
    if s == 0 { 0.0 } else { cdf(m, s - 1) }
}

/// Expected number of positions waiting: Σ_{x>s} (x − s)·p(x), by its own tail sum.
#[must_use]
pub fn expected_backorders(m: f64, s: u32) -> f64 {
    if m <= 0.0 {
        return 0.0;
    }
    // ln p(s+1) keeps small terms exact where 1 − F would lose them.
    let first = s + 1;
    let ln_p = -m + f64::from(first) * m.ln() - ln_factorial(first);
    let mut p = ln_p.exp();
    let mut sum = 0.0;
    let mut x = first;
    loop {
        let add = f64::from(x - s) * p;
        sum += add;
        x += 1;
        p *= m / f64::from(x);
        if (f64::from(x) > m && add < 1e-18 * sum) || x > s + 20_000 {
            return sum;
        }
    }
}

/// P(D = k).
pub(super) fn pmf(mean: f64, k: u32) -> f64 {
    if mean == 0.0 {
        return f64::from(u8::from(k == 0));
    }
    (-mean + f64::from(k) * mean.ln() - ln_factorial(k)).exp()
}

/// Mean wait of a demand (years) at `rate` demands a year: EBO / rate.
///
/// # Source
/// Little's law.
#[must_use]
pub fn mean_wait(rate: f64, lead_years: f64, s: u32) -> f64 {
    expected_backorders(rate * lead_years, s) / rate
}

/// Chance that a demand waits longer than `wait` (years), where every resupply takes `lead_years`.
///
/// ```text
/// P(W > t) = P(Poisson(rate · (L − t)) ≥ s)        0 ≤ t < L
/// ```
#[must_use]
pub fn waits_longer(rate: f64, lead_years: f64, s: u32, wait: f64) -> f64 {
    if s == 0 {
        return f64::from(u8::from(wait < lead_years));
    }
    1.0 - cdf(rate * (lead_years - wait).max(0.0), s - 1)
}

/// The largest mean at which `s` spares still keep everybody from waiting with probability `level`.
///
/// ```text
/// M_s(α) = ½ · χ²_{1−α}(2s + 2), the lower quantile
/// ```
///
/// # Source
/// The Poisson sum as a chi-square integral; found here by halving the interval.
///
/// ```
/// // No spare at all: e^(−m) = 0.9.
/// assert!((sparemesh::spares::max_mean(0.9, 0) - -(0.9_f64.ln())).abs() < 1e-12);
/// ```
#[must_use]
pub fn max_mean(level: f64, s: u32) -> f64 {
    let (mut low, mut high) = (0.0, f64::from(s) + 1.0);
    while cdf(high, s) >= level {
        high *= 2.0;
    }
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if cdf(middle, s) >= level { low = middle } else { high = middle }
    }
    low
}

pub(super) fn ln_factorial(n: u32) -> f64 {
    statrs::function::factorial::ln_factorial(u64::from(n))
}

/// Least stock with P(D ≤ s) ≥ `level`; `None` if none up to 5000 is enough.
///
/// ```
/// // Blanchard's nomograph example: mean 4.32 at 95 % needs 8.
/// assert_eq!(sparemesh::spares::least_stock(4.32, 0.95), Some(8));
/// ```
#[must_use]
pub fn least_stock(m: f64, level: f64) -> Option<u32> {
    (0..=5000).find(|s| cdf(m, *s) >= level)
}

/// Least total of separate stocks whose probabilities multiply to `level`, and one such split:
/// among equal totals the one with the highest product.
#[must_use]
pub fn least_separate_stocks(means: &[f64], level: f64, each_up_to: u32) -> Option<Vec<u32>> {
    let product =
        |stocks: &[u32]| means.iter().zip(stocks).map(|(m, s)| cdf(*m, *s)).product::<f64>();
    let mut best: Option<(u32, f64, Vec<u32>)> = None;
    let mut stocks = vec![0; means.len()];
    loop {
        let total: u32 = stocks.iter().sum();
        let reached = product(&stocks);
        let better =
            best.as_ref().is_none_or(|(t, p, _)| total < *t || (total == *t && reached > *p));
        if reached >= level && better {
            best = Some((total, reached, stocks.clone()));
        }
        // Count up like an odometer.
        let Some(at) = stocks.iter().position(|s| *s < each_up_to) else {
            return best.map(|b| b.2);
        };
        stocks[at] += 1;
        stocks[..at].fill(0);
    }
}
