//! The sample plant is what its generator writes, and holds what its README says.

use std::path::{Path, PathBuf};

#[path = "../sample-data/make.rs"]
mod make;

pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-data")
}

#[test]
fn the_committed_files_are_what_the_generator_writes() {
    let dir = tempfile::tempdir().unwrap();
    make::make(dir.path()).unwrap();
    let mut compared = 0;
    for sub in ["", "2026-09"] {
        for entry in std::fs::read_dir(dir.path().join(sub)).unwrap().map(|e| e.unwrap().path()) {
            if entry.is_dir() {
                continue;
            }
            let committed = folder().join(sub).join(entry.file_name().unwrap());
            let (made, kept) = (std::fs::read(&entry).unwrap(), std::fs::read(&committed).unwrap());
            assert!(made == kept, "{} differs; run the example sample-plant", committed.display());
            compared += 1;
        }
    }
    assert_eq!(compared, 14);
}
