//! When a spare is worth its money: thresholds and annuities.

/// Mean demand during a resupply above which the first spare pays: −ln(1 − h·c / b).
///
/// `holding` h·c a year, `waiting` b a year of waiting, in one currency; infinite where holding costs more
/// than waiting all the time.
///
/// ```
/// // 0.25 a year on 20 000, 500 an hour of waiting: one failure in 438 years at half a year of resupply.
/// let mean = sparemesh::spares::first_spare_pays_above(5_000.0, 500.0 * 8760.0);
/// assert!((mean - 0.001_142_204_578_78).abs() < 1e-12);
/// ```
#[must_use]
pub fn first_spare_pays_above(holding: f64, waiting: f64) -> f64 {
    if holding >= waiting { f64::INFINITY } else { -(-holding / waiting).ln_1p() }
}

/// Share of demand that should be met where holding is charged on what lies on the shelf: b / (b + h·c).
#[must_use]
pub fn critical_ratio(holding: f64, waiting: f64) -> f64 {
    waiting / (waiting + holding)
}

/// Yearly share of a price spread over `years` at an interest `rate`: r·(1+r)^N / ((1+r)^N − 1).
///
/// ```
/// assert!((sparemesh::spares::annuity(0.08, 20.0) - 0.101_852_208_823).abs() < 1e-12);
/// ```
#[must_use]
pub fn annuity(rate: f64, years: f64) -> f64 {
    if rate == 0.0 {
        return 1.0 / years;
    }
    let grown = (1.0 + rate).powf(years);
    rate * grown / (grown - 1.0)
}

/// The holding rate at which a spare saves what it costs: λ · Δ / c, Δ saved at each failure.
#[must_use]
pub fn break_even_holding(rate: f64, saved: f64, price: f64) -> f64 {
    rate * saved / price
}
