//! Wear-out: expected replacements of a position over a horizon, where installation dates are known.

/// Points of the coarse grid; the fine one has twice as many.
const POINTS: usize = 400;

/// Share that fails by `t` under a Weibull life: 1 − exp(−(t/η)^β).
fn weibull(t: f64, shape: f64, scale: f64) -> f64 {
    if t <= 0.0 { 0.0 } else { -(-(t / scale).powf(shape)).exp_m1() }
}

/// Renewals from new on a grid of `points` over `horizon`, for any distribution of life.
///
/// ```text
/// M(t) = F(t) + ∫₀ᵗ M(t − x) dF(x)
/// M_i = [F(t_i) + Σ_{j<i} (M_j − M_{j−1}) · F(t_i − t_{j−½}) − F(h/2) · M_{i−1}] / (1 − F(h/2))
/// ```
fn on_grid(life: &dyn Fn(f64) -> f64, horizon: f64, points: usize) -> Vec<f64> {
    let step = horizon / points as f64;
    let half = life(step / 2.0);
    // F at every half step that the sums ask for.
    let at_half: Vec<f64> = (0..points).map(|k| life((k as f64 + 0.5) * step)).collect();
    let mut renewals = vec![0.0; points + 1];
    for i in 1..=points {
        let before: f64 = (1..i).map(|j| (renewals[j] - renewals[j - 1]) * at_half[i - j]).sum();
        renewals[i] = (life(i as f64 * step) + before - half * renewals[i - 1]) / (1.0 - half);
    }
    renewals
}

/// Expected replacements of one position from new within `horizon`, for any distribution of life.
///
/// # Validity
/// `life` is the share that has failed by a time; two grids and Richardson's step reach about 1e-8 for
/// smooth lives.
///
/// # Source
/// Renewal equation; checked against the power series of Smith and Leadbetter (1963) and the closed form
/// of an Erlang life of two stages.
///
/// ```
/// // Two exponential stages at rate 1: M(t) = t/2 − 1/4 + e^(−2t)/4.
/// let life = |t: f64| 1.0 - (1.0 + t) * (-t).exp();
/// let found = sparemesh::spares::renewals(&life, 2.0);
/// assert!((found - (0.75 + 0.25 * (-4.0_f64).exp())).abs() < 1e-7);
/// ```
#[must_use]
pub fn renewals(life: &dyn Fn(f64) -> f64, horizon: f64) -> f64 {
    if horizon <= 0.0 {
        return 0.0;
    }
    let (coarse, fine) = (on_grid(life, horizon, POINTS), on_grid(life, horizon, 2 * POINTS));
    (4.0 * fine[2 * POINTS] - coarse[POINTS]) / 3.0
}

/// The same under a Weibull life of `shape` β and `scale` η, in the unit of `horizon`.
#[must_use]
pub fn weibull_renewals(shape: f64, scale: f64, horizon: f64) -> f64 {
    renewals(&|t| weibull(t, shape, scale), horizon)
}

/// Share of units of age `age` that fail within `horizon`: F_a(t) = 1 − R(a + t) / R(a).
#[must_use]
pub fn weibull_fails_within(shape: f64, scale: f64, age: f64, horizon: f64) -> f64 {
    let hazard = |t: f64| (t / scale).powf(shape);
    -(hazard(age) - hazard(age + horizon)).exp_m1()
}

/// Expected replacements of a position whose unit is of age `age` today, within `horizon`.
///
/// ```text
/// M_a(H) = F_a(H) + ∫₀ᴴ M(H − x) dF_a(x)
/// ```
///
/// # Source
/// Delayed renewal process; the unit put in is new.
#[must_use]
pub fn aged_renewals(shape: f64, scale: f64, age: f64, horizon: f64) -> f64 {
    if horizon <= 0.0 {
        return 0.0;
    }
    let on = |points: usize| {
        let new = on_grid(&|t| weibull(t, shape, scale), horizon, points);
        let fails = |t: f64| weibull_fails_within(shape, scale, age, t);
        let step = horizon / points as f64;
        // Each share that fails within a step is renewed from the step's middle on.
        let after: f64 = (0..points)
            .map(|k| {
                let share = fails((k as f64 + 1.0) * step) - fails(k as f64 * step);
                share * 0.5 * (new[points - k] + new[points - k - 1])
            })
            .sum();
        fails(horizon) + after
    };
    (4.0 * on(2 * POINTS) - on(POINTS)) / 3.0
}

/// The mean life of a Weibull distribution: η · Γ(1 + 1/β).
#[must_use]
pub fn weibull_mean(shape: f64, scale: f64) -> f64 {
    scale * statrs::function::gamma::gamma(1.0 + 1.0 / shape)
}

/// Mean life over the life that nine of ten reach: Γ(1 + 1/β) / (−ln 0.9)^(1/β).
#[must_use]
pub fn mean_over_l10(shape: f64) -> f64 {
    weibull_mean(shape, 1.0) / (-(0.9_f64).ln()).powf(1.0 / shape)
}
