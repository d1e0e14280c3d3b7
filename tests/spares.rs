//! The mathematics of spares against published examples and forty-digit recomputation.

use proptest::prelude::*;
use sparemesh::spares::{
    Cover, Gamma, cdf, chain_servable, cheapest_chain_stock, cheapest_cover, count_covers,
    expected_backorders, fill_rate, garwood_lower, garwood_upper, greedy_cover,
    least_separate_stocks, least_stock, nb_cdf, nb_expected_backorders, noninformative,
};

use crate::vectors::{Vector, read};

fn between(first: u32, last: u32) -> Vec<Vector> {
    let number = |v: &Vector| v.id[1..].parse::<u32>().unwrap();
    let all: Vec<_> =
        read("spares.csv").into_iter().filter(|v| (first..=last).contains(&number(v))).collect();
    assert!(!all.is_empty());
    all
}

#[test]
fn poisson_probabilities_and_stocks() {
    for v in between(1, 11) {
        v.check(cdf(v.input("m"), v.input("s") as u32));
    }
    for v in between(12, 14).iter().chain(&between(17, 18)) {
        assert_eq!(
            least_stock(v.input("m"), v.input("alpha")).map(f64::from),
            Some(v.number()),
            "{}",
            v.id
        );
    }
}

#[test]
fn three_separate_stocks_need_seventeen() {
    let means = [2.6, 3.0, 2.4];
    let stocks = least_separate_stocks(&means, 0.90, 9).unwrap();
    assert_eq!(between(15, 15)[0].value, "total 17, s=(6,6,5)");
    assert_eq!(stocks, [6, 6, 5]);
    let product: f64 = means.iter().zip([6, 6, 5]).map(|(m, s)| cdf(*m, s)).product();
    between(16, 16)[0].check(product);
}

#[test]
fn expected_backorders_keep_their_digits() {
    for v in between(19, 31) {
        v.check(expected_backorders(v.input("m"), v.input("s") as u32));
    }
}

#[test]
fn limits_of_a_rate() {
    for v in between(62, 70) {
        let x = v.input("x") as u32;
        let upper = [62, 64, 66, 68, 70].contains(&v.id[1..].parse::<u32>().unwrap());
        v.check(if upper { garwood_upper(x, 0.95) } else { garwood_lower(x, 0.95) });
    }
    // A one-sided 90 % limit is the upper end of a two-sided 80 % one.
    let one_sided = |x: u32, level: f64| garwood_upper(x, 2.0 * level - 1.0);
    let all = between(71, 73);
    all[0].check(one_sided(0, 0.90));
    all[1].check(one_sided(0, 0.60));
    all[2].check(one_sided(2, 0.90));
}

#[test]
fn posteriors_of_short_histories() {
    let all = between(74, 80);
    let jeffreys = Gamma { shape: 0.5, rate: 0.0 };
    all[0].check(jeffreys.after(0.0, 30.0).quantile(0.95));
    all[1].check(jeffreys.after(1.0, 100.0).quantile(0.05));
    all[2].check(jeffreys.after(1.0, 100.0).quantile(0.95));
    all[3].check(Gamma { shape: 2.0, rate: 50.0 }.after(0.0, 30.0).quantile(0.95));
    all[4].check(noninformative(0.03).after(1.0, 40.0).quantile(0.95));
    all[5].check(noninformative(0.03).after(0.0, 40.0).mean());
    all[6].check(noninformative(0.03).after(3.0, 40.0).mean());
}

/// Six types over eight classes, with the optimum known from looking at every set.
#[test]
fn the_cheapest_cover_is_seventeen() {
    let bits = |classes: &[u32]| classes.iter().fold(0_u64, |sum, c| sum | 1 << (c - 1));
    let types = [
        Cover { cost: 9.0, classes: bits(&[1, 2, 3, 4]) },
        Cover { cost: 5.0, classes: bits(&[1, 2]) },
        Cover { cost: 4.0, classes: bits(&[3, 5]) },
        Cover { cost: 7.0, classes: bits(&[4, 5, 6]) },
        Cover { cost: 6.0, classes: bits(&[6, 7, 8]) },
        Cover { cost: 8.0, classes: bits(&[5, 6, 7, 8]) },
    ];
    let all = bits(&[1, 2, 3, 4, 5, 6, 7, 8]);
    assert_eq!(
        between(123, 123)[0].value,
        "cost 17 {A,F}; greedy 22 {C,E,B,D}; 25 feasible covers"
    );
    assert_eq!(cheapest_cover(&types, all), Some((17.0, vec![0, 5])));
    assert_eq!(greedy_cover(&types, all), Some((22.0, vec![2, 4, 1, 3])));
    assert_eq!(count_covers(&types, all), 25);
}

#[test]
fn a_chain_of_four_serves_what_the_vectors_say() {
    let means = [0.1, 0.3, 0.2, 0.5];
    for v in between(130, 134) {
        let list = v.inputs.rsplit_once('(').unwrap().1.trim_end_matches(')');
        let stock: Vec<u32> = list.split(',').map(|s| s.trim().parse().unwrap()).collect();
        v.check(chain_servable(&means, &stock));
    }
    let costs = [30.0, 18.0, 15.0, 8.0];
    let stock = cheapest_chain_stock(&means, &costs, 0.95, 5).unwrap();
    let cost: f64 = costs.iter().zip(&stock).map(|(c, s)| c * f64::from(*s)).sum();
    assert!(between(135, 135)[0].value.starts_with("cost 56 s=(1,1,0,1)"));
    assert_eq!((cost, stock), (56.0, vec![1, 1, 0, 1]));
}

/// How many cases a property is tried on; `SPAREMESH_CASES` sets the depth.
pub(crate) fn cases() -> ProptestConfig {
    let cases = std::env::var("SPAREMESH_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(256);
    ProptestConfig { failure_persistence: None, cases, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn the_level_is_enough_and_no_more(m in 0.01..40.0, p in 0.5..0.999) {
        let s = least_stock(m, p).unwrap();
        prop_assert!(cdf(m, s) >= p);
        prop_assert!(s == 0 || cdf(m, s - 1) < p);
    }

    /// Two routes to one number: the tail sum, and E = m·P(D ≥ s) − s·P(D ≥ s+1).
    #[test]
    fn backorders_by_two_routes(m in 0.05..30.0, s in 0_u32..40) {
        let above = |k: u32| if k == 0 { 1.0 } else { 1.0 - cdf(m, k - 1) };
        let other = m * above(s) - f64::from(s) * above(s + 1);
        prop_assert!((expected_backorders(m, s) - other).abs() < 1e-9 * (1.0 + m));
    }

    /// A rate known without doubt gives Poisson demand.
    #[test]
    fn a_sharp_rate_is_poisson(m in 0.05..5.0, s in 0_u32..8) {
        let (shape, rate) = (1e7, 1e7 / m);
        prop_assert!((nb_cdf(shape, rate, 1.0, s) - cdf(m, s)).abs() < 1e-5);
        prop_assert!((nb_expected_backorders(shape, rate, 1.0, s) - expected_backorders(m, s)).abs() < 1e-5);
    }

    #[test]
    fn one_more_spare_never_hurts(m in 0.05..10.0, s in 0_u32..20) {
        prop_assert!(fill_rate(m, s + 1) >= fill_rate(m, s));
        prop_assert!(expected_backorders(m, s + 1) <= expected_backorders(m, s));
    }
}
