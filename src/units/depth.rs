//! How deep the property tests of all rooms go: 256 cases each, or as many as `SPAREMESH_CASES` says.

use proptest::prelude::ProptestConfig;

/// The cases of a property test.
pub(crate) fn cases() -> ProptestConfig {
    let asked = std::env::var("SPAREMESH_CASES").ok().and_then(|n| n.parse().ok());
    let cases = asked.unwrap_or(256);
    // Values that do not fit are drawn again; a deep run draws many.
    ProptestConfig {
        cases,
        failure_persistence: None,
        max_global_rejects: u32::MAX,
        ..ProptestConfig::default()
    }
}
