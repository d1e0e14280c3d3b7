//! Pools whose failed positions fail no more while they wait, and demand that is met elsewhere.

/// What a pool of finite many positions comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FiniteSource {
    /// Chance that no position waits.
    pub no_wait: f64,
    /// Expected positions waiting.
    pub backorders: f64,
    /// Chance that the next demand is met from the shelf.
    pub fill: f64,
}

/// A pool of `positions` with `spares`, each position failing at ρ = λ·L while it runs.
///
/// ```text
/// w(0) = 1        w(k+1) = w(k) · min(n, n + s − k) · ρ / (k + 1)        k = 0 … n + s − 1
/// ```
///
/// `rho` failures of one position during one resupply time (–), any finite value above 0. The Poisson
/// form errs on the safe side, by less than a tenth while ρ ≤ 0.1.
///
/// # Source
/// Machine-repair form of a closed network; insensitive to the shape of the resupply time where lifetimes
/// are exponential (from memory).
///
/// ```
/// // One position and one spare is Erlang's loss formula for two servers.
/// let pool = sparemesh::spares::finite_source(1, 1, 0.05);
/// assert!((pool.backorders - sparemesh::spares::erlang_b(2, 0.05)).abs() < 1e-12);
/// ```
#[must_use]
pub fn finite_source(positions: u32, spares: u32, rho: f64) -> FiniteSource {
    let (n, s) = (f64::from(positions), f64::from(spares));
    let running = |k: u32| n.min(n + s - f64::from(k));
    // Weights are scaled as they go, so that no power of ρ runs over.
    let mut weights = vec![1.0_f64];
    for k in 0..positions + spares {
        let last = weights[weights.len() - 1];
        let next = last * running(k) * rho / (f64::from(k) + 1.0);
        weights.push(next);
        if next > 1e200 {
            for weight in &mut weights {
                *weight *= 1e-200;
            }
        }
    }
    let all: f64 = weights.iter().sum();
    let (mut no_wait, mut backorders, mut met, mut asked) = (0.0, 0.0, 0.0, 0.0);
    for (k, weight) in (0..).zip(&weights) {
        let p = weight / all;
        if k <= spares {
            no_wait += p;
        } else {
            backorders += f64::from(k - spares) * p;
        }
        if k < positions + spares {
            asked += p * running(k);
            met += if k < spares { p * running(k) } else { 0.0 };
        }
    }
    FiniteSource { no_wait, backorders, fill: if asked > 0.0 { met / asked } else { 0.0 } }
}

/// Chance that a demand finds nothing where such demand is met from outside, at `load` = rate × resupply
/// time: Erlang's loss formula.
///
/// ```text
/// B(0) = 1        B(k) = m · B(k−1) / (k + m · B(k−1))
/// ```
///
/// # Source
/// Erlang B; `B(10, 10)` = 0.2146 in the usual tables.
///
/// ```
/// assert!((sparemesh::spares::erlang_b(3, 2.0) - 4.0 / 19.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn erlang_b(spares: u32, load: f64) -> f64 {
    (1..=spares).fold(1.0, |b, k| load * b / (f64::from(k) + load * b))
}
