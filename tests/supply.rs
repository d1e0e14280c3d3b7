//! What the program is built from: licences, sources, the compiler it needs, what is unmaintained.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

/// Licences that go with the program's own; every one that a crate names must be among them.
const ALLOWED: [&str; 11] = [
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "Zlib",
    "Unicode-3.0",
    "BSL-1.0",
    "Unlicense",
    "CC0-1.0",
    "LLVM-exception",
];

/// Crates that nobody keeps any more, and why they stay.
const UNMAINTAINED: [&str; 1] = ["fuzzy-matcher"];

/// Crates that could open a connection, all of them behind polars, which has no feature to leave them out.
const NETWORK: [&str; 3] = ["mio", "socket2", "tokio"];
/// Crates of the kind that would be asked about if they came in.
const OTHER_NETWORK: [&str; 11] = [
    "reqwest",
    "hyper",
    "ureq",
    "curl",
    "native-tls",
    "rustls",
    "openssl",
    "object_store",
    "h2",
    "isahc",
    "attohttpc",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(name: &str) -> String {
    std::fs::read_to_string(root().join(name)).unwrap()
}

/// The crates that are built on this machine, without the program itself.
fn crates() -> Vec<Value> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    let said = |program: &str, args: &[&str]| {
        let done = Command::new(program).args(args).current_dir(root()).output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        String::from_utf8(done.stdout).unwrap()
    };
    let version = said(&cargo, &["-vV"]);
    let host = version.lines().find_map(|l| l.strip_prefix("host: ")).unwrap();
    let args =
        ["metadata", "--offline", "--locked", "--format-version", "1", "--filter-platform", host];
    let all: Value = serde_json::from_str(&said(&cargo, &args)).unwrap();
    let nodes = all["resolve"]["nodes"].as_array().unwrap();
    let built = |p: &&Value| nodes.iter().any(|n| n["id"] == p["id"]) && !p["source"].is_null();
    all["packages"].as_array().unwrap().iter().filter(built).cloned().collect()
}

#[test]
fn every_crate_has_a_licence_that_goes_with_ours_and_comes_from_the_registry() {
    let crates = crates();
    assert!(crates.len() > 100, "{}", crates.len());
    for found in &crates {
        let name = found["name"].as_str().unwrap();
        let licence =
            found["license"].as_str().unwrap_or_else(|| panic!("{name} states no licence"));
        let words = licence.split(|c: char| c.is_whitespace() || "()/".contains(c));
        for word in words.filter(|w| !["", "OR", "AND", "WITH"].contains(w)) {
            assert!(ALLOWED.contains(&word), "{name}: {licence}");
        }
        let source = found["source"].as_str().unwrap();
        assert!(source.starts_with("registry+"), "{name} comes from {source}");
    }
}

#[test]
fn the_compiler_asked_for_is_the_newest_that_a_crate_asks_for() {
    let version = |text: &str| {
        let mut parts = text.split('.').map(|n| n.parse::<u32>().unwrap());
        (parts.next().unwrap_or(0), parts.next().unwrap_or(0))
    };
    let crates = crates();
    let asked =
        crates.iter().filter_map(|c| Some((version(c["rust_version"].as_str()?), &c["name"])));
    let (newest, by) = asked.max_by_key(|a| a.0).unwrap();
    let manifest = read("Cargo.toml");
    let own = manifest.lines().find_map(|l| l.strip_prefix("rust-version = ")).unwrap();
    assert_eq!(version(own.trim_matches('"')), newest, "{by} asks for {newest:?}");
}

#[test]
fn what_is_unmaintained_or_could_reach_a_network_is_known_and_explained() {
    let crates = crates();
    let names: Vec<&str> = crates.iter().filter_map(|c| c["name"].as_str()).collect();
    let developers = read("DEVELOPERS.md");
    for known in UNMAINTAINED.iter().chain(&NETWORK) {
        assert!(names.contains(known), "{known} is gone: take it off the list");
        assert!(
            developers.contains(&format!("`{known}`")),
            "DEVELOPERS.md does not say why {known} stays"
        );
    }
    for other in OTHER_NETWORK {
        assert!(!names.contains(&other), "{other} came in");
    }
    let locked = read("Cargo.lock").matches("[[package]]").count();
    assert!(developers.contains(&format!("{locked} packages")), "Cargo.lock has {locked} packages");
}
