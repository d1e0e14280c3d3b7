//! Rates from short histories.

use statrs::distribution::{ContinuousCDF, Gamma as GammaDistribution};
use statrs::function::gamma::ln_gamma;

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

/// Prior from the plant's own groups, `(events, exposure)` of each: the likeliest, else by moments.
///
/// `None` below five groups or five events, where the groups say too little; groups that do not
/// differ beyond chance are pooled into one posterior.
///
/// # Source
/// Bühlmann–Straub credibility; from memory.
#[must_use]
pub fn empirical_bayes(groups: &[(f64, f64)]) -> Option<Gamma> {
    let groups: Vec<(f64, f64)> = groups.iter().copied().filter(|g| g.1 > 0.0).collect();
    let events: f64 = groups.iter().map(|g| g.0).sum();
    let exposure: f64 = groups.iter().map(|g| g.1).sum();
    if groups.len() < 5 || events < 5.0 {
        return None;
    }
    if let Some(likeliest) = likeliest_prior(&groups) {
        return Some(likeliest);
    }
    let rate = events / exposure;
    let variance = variance_between(&groups);
    if variance <= 0.0 {
        return Some(Gamma { shape: events, rate: exposure });
    }
    Some(Gamma { shape: rate * rate / variance, rate: rate / variance })
}

/// Prior of a rate from two quantiles of the time between failures: half of all units reach `mtbf50`,
/// all but a twentieth `mtbf05`; both in one unit of time.
///
/// # Source
/// NIST/SEMATECH e-Handbook 8.2.5: 600 h and 250 h give a shape of 2.863 and a rate of 1522.
///
/// `None` unless the two differ and the first is the longer.
#[must_use]
pub fn prior_from_times(mtbf50: f64, mtbf05: f64) -> Option<Gamma> {
    let wanted = mtbf50 / mtbf05;
    if !(1.0 + 1e-9..1e12).contains(&wanted) || mtbf05 <= 0.0 {
        return None;
    }
    // The share of two quantiles falls as the shape grows.
    let share = |shape: f64| quantile(shape, 1.0, 0.95) / quantile(shape, 1.0, 0.50);
    let (mut low, mut high) = (0.02_f64.ln(), 1e6_f64.ln());
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if share(middle.exp()) > wanted { low = middle } else { high = middle }
    }
    let shape = (0.5 * (low + high)).exp();
    Some(Gamma { shape, rate: mtbf50 * quantile(shape, 1.0, 0.50) })
}

/// Prior from the plant's own groups by the largest likelihood of their counts.
///
/// ```text
/// x_g ~ NB(k = a, p = b / (b + T_g))
/// ```
///
/// `None` below five groups or five events, or where the groups do not differ beyond chance, so that
/// the likelihood rises without end as they are pooled.
///
/// # Source
/// Empirical Bayes; the maximum is found here by golden sections, over b within a.
#[must_use]
pub fn likeliest_prior(groups: &[(f64, f64)]) -> Option<Gamma> {
    let groups: Vec<_> = groups.iter().copied().filter(|g| g.1 > 0.0).collect();
    let events: f64 = groups.iter().map(|g| g.0).sum();
    if groups.len() < 5 || events < 5.0 {
        return None;
    }
    let mean = events / groups.iter().map(|g| g.1).sum::<f64>();
    let likelihood = |shape: f64, mean: f64| -> f64 {
        let rate = shape / mean;
        groups
            .iter()
            .map(|(x, t)| {
                ln_gamma(shape + x) - ln_gamma(shape)
                    + shape * (rate / (rate + t)).ln()
                    + x * (t / (rate + t)).ln()
            })
            .sum()
    };
    let best_mean = |shape: f64| {
        golden(mean.ln() - 3.0, mean.ln() + 3.0, &|m| likelihood(shape, m.exp())).exp()
    };
    let of_shape = |ln_shape: f64| {
        let shape = ln_shape.exp();
        likelihood(shape, best_mean(shape))
    };
    let (low, high) = (-4.0, 9.0);
    let shape = golden(low, high, &of_shape);
    (shape < high - 0.1).then(|| {
        let (shape, mean) = (shape.exp(), best_mean(shape.exp()));
        Gamma { shape, rate: shape / mean }
    })
}

/// Where a function of one hump is highest.
fn golden(mut low: f64, mut high: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    const SECTION: f64 = 0.618_033_988_749_894_9;
    let (mut a, mut b) = (high - SECTION * (high - low), low + SECTION * (high - low));
    let (mut at_a, mut at_b) = (f(a), f(b));
    for _ in 0..80 {
        if at_a > at_b {
            (high, b, at_b) = (b, a, at_a);
            a = high - SECTION * (high - low);
            at_a = f(a);
        } else {
            (low, a, at_a) = (a, b, at_b);
            b = low + SECTION * (high - low);
            at_b = f(b);
        }
    }
    0.5 * (low + high)
}

/// The variance of rates between groups beyond chance, by moments; negative where there is none.
///
/// # Source
/// Bühlmann–Straub credibility; from memory.
#[must_use]
pub fn variance_between(groups: &[(f64, f64)]) -> f64 {
    let events: f64 = groups.iter().map(|g| g.0).sum();
    let exposure: f64 = groups.iter().map(|g| g.1).sum();
    let rate = events / exposure;
    let squares: f64 = groups.iter().map(|(x, t)| t * (x / t - rate).powi(2)).sum();
    let weight = exposure - groups.iter().map(|g| g.1 * g.1).sum::<f64>() / exposure;
    (squares - (groups.len() as f64 - 1.0) * rate) / weight
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
