//! Rates from short histories.

use statrs::distribution::{ContinuousCDF, Gamma as GammaDistribution};

/// A gamma distribution of a rate: `shape` events in `rate` unit-years.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gamma {
    /// Shape a (events).
    pub shape: f64,
    /// Rate b (unit-years).
    pub rate: f64,
}

impl Gamma {
    /// The posterior after `events` in `exposure` unit-years: Gamma(a + x, b + T).
    ///
    /// # Source
    /// NIST/SEMATECH e-Handbook 8.4.6.
    #[must_use]
    pub fn after(self, events: f64, exposure: f64) -> Self {
        Self { shape: self.shape + events, rate: self.rate + exposure }
    }

    /// The mean rate a / b.
    #[must_use]
    pub fn mean(self) -> f64 {
        self.shape / self.rate
    }

    /// The rate below which it lies with probability `q`.
    #[must_use]
    pub fn quantile(self, q: f64) -> f64 {
        quantile(self.shape, self.rate, q)
    }
}

/// Quantile of a gamma distribution by bisection on its cumulative function: the library's own
/// inverse stops early for small shapes.
fn quantile(shape: f64, rate: f64, q: f64) -> f64 {
    let Ok(unit) = GammaDistribution::new(shape, 1.0) else { return f64::NAN };
    let (mut low, mut high) = (0.0, shape.max(1.0));
    while unit.cdf(high) < q {
        high *= 2.0;
    }
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if unit.cdf(middle) < q { low = middle } else { high = middle }
    }
    0.5 * (low + high) / rate
}

/// Constrained non-informative prior round a generic rate: Gamma(½, ½ / λ₀).
///
/// # Source
/// Atwood, INEL-94/0074.
#[must_use]
pub fn noninformative(generic_rate: f64) -> Gamma {
    Gamma { shape: 0.5, rate: 0.5 / generic_rate }
}

/// Prior from the plant's own groups by moments: `(events, exposure)` of each.
///
/// `None` below five groups or five events, where the groups say too little; groups that do not
/// differ beyond chance are pooled into one posterior.
///
/// # Source
/// Bühlmann–Straub credibility; from memory.
#[must_use]
pub fn empirical_bayes(groups: &[(f64, f64)]) -> Option<Gamma> {
    let groups: Vec<_> = groups.iter().filter(|g| g.1 > 0.0).collect();
    let events: f64 = groups.iter().map(|g| g.0).sum();
    let exposure: f64 = groups.iter().map(|g| g.1).sum();
    if groups.len() < 5 || events < 5.0 {
        return None;
    }
    let rate = events / exposure;
    let squares: f64 = groups.iter().map(|(x, t)| t * (x / t - rate).powi(2)).sum();
    let weight = exposure - groups.iter().map(|g| g.1 * g.1).sum::<f64>() / exposure;
    let variance = (squares - (groups.len() as f64 - 1.0) * rate) / weight;
    if variance <= 0.0 {
        return Some(Gamma { shape: events, rate: exposure });
    }
    Some(Gamma { shape: rate * rate / variance, rate: rate / variance })
}

/// Lower limit of a Poisson mean with `x` events: ½ χ²_{α/2}(2x); 0 without events.
///
/// # Source
/// Garwood, 1936.
#[must_use]
pub fn garwood_lower(x: u32, confidence: f64) -> f64 {
    let tail = (1.0 - confidence) / 2.0;
    if x == 0 { 0.0 } else { quantile(f64::from(x), 1.0, tail) }
}

/// Upper limit of a Poisson mean with `x` events: ½ χ²_{1−α/2}(2x + 2).
#[must_use]
pub fn garwood_upper(x: u32, confidence: f64) -> f64 {
    let tail = (1.0 - confidence) / 2.0;
    quantile(f64::from(x) + 1.0, 1.0, 1.0 - tail)
}
