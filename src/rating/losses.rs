//! Losses and energy of a unit, and what another efficiency changes.

/// What a unit loses in a year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Losses {
    /// Lost power (kW) while it runs.
    pub kw: f64,
    /// Hours a year it runs.
    pub hours: f64,
    /// Lost energy (kWh a year).
    pub kwh: f64,
    /// Its price.
    pub money: f64,
}

/// Losses of a unit that gives `output_kw`.
///
/// ```text
/// P_loss = P_out·(1/η − 1)      E = P_loss·h·365
/// ```
///
/// | symbol | meaning                       | unit |
/// |--------|-------------------------------|------|
/// | P_out  | power at the output shaft     | kW   |
/// | η      | efficiency                    | -    |
/// | h      | running hours a day           | h    |
///
/// # Source
/// Definition of efficiency; 365 days a year, as the hours a day are a mean.
///
/// ```
/// // By hand: 9.5 kW out at 0.95 lose 0.5 kW; 0.5 × 24 × 365 = 4380 kWh.
/// let lost = sparemesh::rating::losses(9.5, 0.95, 24.0, 0.20).unwrap();
/// assert!((lost.kwh - 4380.0).abs() < 1e-6 && (lost.money - 876.0).abs() < 1e-6);
/// ```
#[must_use]
pub fn losses(output_kw: f64, efficiency: f64, hours_per_day: f64, price: f64) -> Option<Losses> {
    let sane = output_kw >= 0.0
        && efficiency > 0.0
        && efficiency <= 1.0
        && (0.0..=24.0).contains(&hours_per_day)
        && price >= 0.0;
    let kw = output_kw * (1.0 / efficiency - 1.0);
    let hours = hours_per_day * 365.0;
    (sane && kw.is_finite()).then_some(Losses {
        kw,
        hours,
        kwh: kw * hours,
        money: kw * hours * price,
    })
}
