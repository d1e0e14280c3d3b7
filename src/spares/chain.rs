//! Substitution along a chain: spare k serves class k and every later one.

use super::poisson::pmf;

/// Probability that all demand can be served: D₁+…+Dᵢ ≤ s₁+…+sᵢ for every i.
///
/// `means` of the classes, the most demanding first; `stock` of the types in the same order.
/// By dynamic programming over the prefix sums.
///
/// # Source
/// Hall's condition; on a chain only the prefixes bind.
///
/// ```
/// use sparemesh::spares::chain_servable;
/// // One class alone is a Poisson pool: F(1) at 0.5 is 0.9098.
/// assert!((chain_servable(&[0.5], &[1]) - 0.909_795_989_6).abs() < 1e-9);
/// ```
#[must_use]
pub fn chain_servable(means: &[f64], stock: &[u32]) -> f64 {
    let mut reached = vec![1.0];
    let mut limit = 0;
    for (mean, own) in means.iter().zip(stock) {
        limit += *own as usize;
        let mut next = vec![0.0; limit + 1];
        for (before, p) in reached.iter().enumerate() {
            for (total, slot) in next.iter_mut().enumerate().skip(before) {
                *slot += p * pmf(*mean, (total - before) as u32);
            }
        }
        reached = next;
    }
    reached.iter().sum()
}

/// The cheapest stock, up to `each_up_to` of a type, whose servable probability reaches `level`.
#[must_use]
pub fn cheapest_chain_stock(
    means: &[f64],
    costs: &[f64],
    level: f64,
    each_up_to: u32,
) -> Option<Vec<u32>> {
    let mut best: Option<(f64, Vec<u32>)> = None;
    let mut stock = vec![0; means.len()];
    loop {
        let cost: f64 = costs.iter().zip(&stock).map(|(c, s)| c * f64::from(*s)).sum();
        if best.as_ref().is_none_or(|(c, _)| cost < *c) && chain_servable(means, &stock) >= level {
            best = Some((cost, stock.clone()));
        }
        let Some(at) = stock.iter().position(|s| *s < each_up_to) else {
            return best.map(|b| b.1);
        };
        stock[at] += 1;
        stock[..at].fill(0);
    }
}
