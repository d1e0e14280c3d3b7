//! Laws of the mathematics of spares, as properties.

use proptest::prelude::*;
use sparemesh::spares::{
    cdf, expected_backorders, fill_rate, least_stock, nb_cdf, nb_expected_backorders,
};

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
