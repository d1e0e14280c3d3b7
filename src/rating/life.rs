//! Life of bearings and of wearing parts.

use crate::standards::reliability_factor;

/// Kind of rolling bearing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rolling {
    /// Point contact, exponent 3.
    Ball,
    /// Line contact, exponent 10/3.
    Roller,
}

impl Rolling {
    /// Exponent of the life equation (ISO 281).
    #[must_use]
    pub const fn exponent(self) -> f64 {
        match self {
            Self::Ball => 3.0,
            Self::Roller => 10.0 / 3.0,
        }
    }
}

/// Basic life in hours: L10h = 10⁶/(60·n)·(C/P)^p.
///
/// | symbol | meaning                | unit  |
/// |--------|------------------------|-------|
/// | C      | dynamic load rating    | kN    |
/// | P      | equivalent load        | kN    |
/// | n      | speed                  | r/min |
/// | p      | 3 ball, 10/3 roller    | -     |
///
/// # Source
/// ISO 281.
///
/// ```
/// use sparemesh::rating::{Rolling, bearing_life_h};
/// // By hand: (30/5)³ = 216 million turns, 3600 h at 1000 r/min.
/// assert_eq!(bearing_life_h(Rolling::Ball, 30.0, 5.0, 1000.0), Some(3600.0));
/// ```
#[must_use]
pub fn bearing_life_h(kind: Rolling, rating_kn: f64, load_kn: f64, rpm: f64) -> Option<f64> {
    let sane = rating_kn > 0.0 && load_kn > 0.0 && rpm > 0.0;
    let life = (rating_kn / load_kn).powf(kind.exponent()) * 1e6 / (60.0 * rpm);
    (sane && life.is_finite()).then_some(life)
}

/// The same at another reliability (per cent): L = a1·L10.
#[must_use]
pub fn bearing_life_at(life_h: f64, reliability: f64, older_edition: bool) -> Option<f64> {
    Some(life_h * reliability_factor(reliability, older_edition)?)
}

/// Life of several bearings together: (Σ Lᵢ^−β)^(−1/β).
///
/// # Source
/// Lundberg and Palmgren; β = 10/9 ball, 9/8 roller.
#[must_use]
pub fn system_life(lives: &[f64], shape: f64) -> Option<f64> {
    let sane = !lives.is_empty() && shape > 0.0 && lives.iter().all(|l| l.is_finite() && *l > 0.0);
    sane.then(|| lives.iter().map(|l| l.powf(-shape)).sum::<f64>().powf(-1.0 / shape))
}

/// Steady load with the same damage as a load that changes: (Σ q·P^p)^(1/p), q the shares of turns.
#[must_use]
pub fn equivalent_load(kind: Rolling, shares_and_loads: &[(f64, f64)]) -> Option<f64> {
    let total: f64 = shares_and_loads.iter().map(|s| s.0).sum();
    let sane =
        (total - 1.0).abs() < 1e-6 && shares_and_loads.iter().all(|s| s.0 >= 0.0 && s.1 >= 0.0);
    let p = kind.exponent();
    sane.then(|| {
        shares_and_loads.iter().map(|(q, load)| q * load.powf(p)).sum::<f64>().powf(1.0 / p)
    })
}

/// Load rating that a bearing needs: C = f·P·[x / (x0 + (θ − x0)·(ln 1/R)^(1/b))]^(1/p).
///
/// x is the design life over the rating life; x0 = 0.02, θ = 4.459, b = 1.483.
///
/// # Source
/// Shigley, equation 11-6 and problem 11-1.
#[must_use]
pub fn rating_needed_kn(
    kind: Rolling,
    load_kn: f64,
    life_ratio: f64,
    reliability: f64,
) -> Option<f64> {
    let sane = load_kn > 0.0 && life_ratio > 0.0 && (0.5..1.0).contains(&reliability);
    let spread = LEAST + (CHARACTERISTIC - LEAST) * (-reliability.ln()).powf(1.0 / SHAPE);
    sane.then(|| load_kn * (life_ratio / spread).powf(1.0 / kind.exponent()))
}

/// Reliability that a bearing of a known rating reaches, by the same distribution.
#[must_use]
pub fn reliability_reached(
    kind: Rolling,
    rating_kn: f64,
    load_kn: f64,
    life_ratio: f64,
) -> Option<f64> {
    let sane = rating_kn > 0.0 && load_kn > 0.0 && life_ratio > 0.0;
    let x = life_ratio * (load_kn / rating_kn).powf(kind.exponent());
    let beyond = ((x - LEAST) / (CHARACTERISTIC - LEAST)).max(0.0);
    sane.then(|| (-beyond.powf(SHAPE)).exp())
}

/// Weibull parameters of bearing life, in multiples of L10 (Shigley, chapter 11).
const LEAST: f64 = 0.02;
const CHARACTERISTIC: f64 = 4.459;
const SHAPE: f64 = 1.483;

/// Share that survives `hours`: R = exp(−(t/η)^β).
#[must_use]
pub fn weibull_survival(hours: f64, shape: f64, scale_h: f64) -> Option<f64> {
    let sane = hours >= 0.0 && shape > 0.0 && scale_h > 0.0 && hours.is_finite();
    sane.then(|| (-(hours / scale_h).powf(shape)).exp())
}

/// Time by which a share fails: t = η·(−ln(1 − share))^(1/β).
#[must_use]
pub fn weibull_time(share: f64, shape: f64, scale_h: f64) -> Option<f64> {
    let sane = (0.0..1.0).contains(&share) && shape > 0.0 && scale_h > 0.0;
    sane.then(|| scale_h * (-(1.0 - share).ln()).powf(1.0 / shape))
}

/// What a failure rate is multiplied by when a unit is loaded otherwise than its reference.
///
/// ```text
/// λ/λ_ref = (1 − f) + f·q^p      q = SF_reference / SF_actual
/// ```
///
/// f is the share of failures that load drives, p the life exponent on torque (10/3 for roller
/// bearings). Off unless the policy turns it on: life exponents on a constant rate are a modelling
/// step, and most field failures are of lubrication, dirt and alignment.
///
/// # Source
/// ISO 281 exponent; worked by hand.
///
/// ```
/// use sparemesh::rating::rate_by_margin;
/// let factor = rate_by_margin(2.0, 1.5, 0.6, 10.0 / 3.0).unwrap();
/// assert!((factor - 0.629_979_33).abs() < 1e-8);
/// ```
#[must_use]
pub fn rate_by_margin(actual: f64, reference: f64, load_share: f64, exponent: f64) -> Option<f64> {
    let sane =
        actual > 0.0 && reference > 0.0 && (0.0..=1.0).contains(&load_share) && exponent > 0.0;
    let factor = (1.0 - load_share) + load_share * (reference / actual).powf(exponent);
    (sane && factor.is_finite()).then_some(factor)
}
