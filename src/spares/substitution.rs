//! Service where one type may stand in for another: what could be served, and what a shared unit takes
//! from the class that needs it.

use super::poisson::pmf;

/// Probability that all demand of a few classes can be served by some assignment of the stock.
///
/// `means` of the classes; `covers` lists for each type the classes it serves as bits; `stock` of the
/// types. Exact, by every demand that the stock could serve; for at most about six classes.
///
/// # Source
/// Hall's condition: every set of classes asks for no more than the types that serve any of them hold.
///
/// ```
/// // Two types over three classes, one of each.
/// let p = sparemesh::spares::servable(&[0.2, 0.4, 0.3], &[0b011, 0b110], &[1, 1]);
/// assert!((p - 0.910_716_037_819).abs() < 1e-9);
/// ```
#[must_use]
pub fn servable(means: &[f64], covers: &[u32], stock: &[u32]) -> f64 {
    let all: u32 = stock.iter().sum();
    let sets = 1_u32 << means.len();
    let within: Vec<u32> = (0..sets)
        .map(|set| covers.iter().zip(stock).filter(|(c, _)| **c & set != 0).map(|(_, s)| s).sum())
        .collect();
    let holds = |demand: &[u32]| {
        (1..sets).all(|set| {
            let asked: u32 =
                demand.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1).map(|(_, d)| d).sum();
            asked <= within[set as usize]
        })
    };
    let mut demand = vec![0_u32; means.len()];
    let mut total = 0.0;
    loop {
        if holds(&demand) {
            total += means.iter().zip(&demand).map(|(m, d)| pmf(*m, *d)).product::<f64>();
        }
        if !advance(&mut demand, all) {
            return total;
        }
    }
}

/// The next demand whose sum is at most `all`; `false` when there is none.
fn advance(demand: &mut [u32], all: u32) -> bool {
    for at in 0..demand.len() {
        if demand.iter().sum::<u32>() < all {
            demand[at] += 1;
            return true;
        }
        demand[at] = 0;
    }
    false
}

/// Share of demand lost of two classes where type A serves both and type B only its own, demand that finds
/// nothing goes elsewhere, and class B takes A's unit when its own is out: `(of A, of B)`.
///
/// `means` demand of each class during a resupply, exponential; exact by the states of both stocks.
///
/// # Source
/// Continuous-time Markov chain over the units of each type in resupply, solved by elimination.
#[must_use]
pub fn one_way_losses(means: (f64, f64), stock: (u32, u32)) -> (f64, f64) {
    let (a, b) = (stock.0 as usize, stock.1 as usize);
    let states = (a + 1) * (b + 1);
    let at = |i: usize, j: usize| i * (b + 1) + j;
    let mut rates = vec![vec![0.0; states]; states];
    let mut add = |from: usize, to: usize, rate: f64| {
        rates[from][to] += rate;
        rates[from][from] -= rate;
    };
    for i in 0..=a {
        for j in 0..=b {
            let here = at(i, j);
            if i < a {
                add(here, at(i + 1, j), means.0);
            }
            if j < b {
                add(here, at(i, j + 1), means.1);
            } else if i < a {
                add(here, at(i + 1, j), means.1);
            }
            if i > 0 {
                add(here, at(i - 1, j), i as f64);
            }
            if j > 0 {
                add(here, at(i, j - 1), j as f64);
            }
        }
    }
    let shares = stationary(&rates);
    let of_a: f64 = (0..=b).map(|j| shares[at(a, j)]).sum();
    (of_a, shares[at(a, b)])
}

/// The stationary shares of a chain: π·Q = 0, Σπ = 1, by elimination with the largest pivot.
fn stationary(rates: &[Vec<f64>]) -> Vec<f64> {
    let n = rates.len();
    // Columns of Q are the equations; the last one is the sum.
    let mut rows: Vec<Vec<f64>> = (0..n)
        .map(|to| {
            let mut row: Vec<f64> =
                (0..n).map(|from| if to + 1 == n { 1.0 } else { rates[from][to] }).collect();
            row.push(if to + 1 == n { 1.0 } else { 0.0 });
            row
        })
        .collect();
    for col in 0..n {
        let pivot = (col..n)
            .max_by(|x, y| rows[*x][col].abs().total_cmp(&rows[*y][col].abs()))
            .unwrap_or(col);
        rows.swap(col, pivot);
        let lead = rows[col].clone();
        for (at, row) in rows.iter_mut().enumerate() {
            if at != col {
                let factor = row[col] / lead[col];
                row.iter_mut().zip(&lead).for_each(|(x, l)| *x -= factor * l);
            }
        }
    }
    (0..n).map(|i| rows[i][n] / rows[i][i]).collect()
}
