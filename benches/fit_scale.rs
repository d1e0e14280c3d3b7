//! All pairs of a large plant: every position against every model, the best ten of each kept and the rest
//! counted by verdict. `cargo bench --bench fit_scale [-- SIZES…] [--write DIR]`; with `--write` the plants
//! are also left as csv files for `peers/fit.py`, which applies the same rules with general-purpose
//! libraries.

#![allow(clippy::print_stdout)] // a bench prints its table

use std::fmt::Write as _;
use std::path::Path;
use std::time::Instant;

use rayon::prelude::*;
use sparemesh::fit::{Candidates, Case, Surveyed, Verdict, assess, catalogue_candidates, survey};
use sparemesh::intake;
use sparemesh::policy::{Columns, Policy};
use sparemesh::records::Plant;
use sparemesh::workbook::{Limits, open};

#[allow(dead_code)] // each bench uses its part
#[path = "drawn.rs"]
mod drawn;
#[path = "timing.rs"]
mod timing;

use drawn::texts;
use timing::{median, peak_mb};

/// Up to this size all pairs are also taken one by one, without the index.
const PLAIN_UP_TO: u64 = 1_000;
/// Ratios of a group lie this far apart.
const STEP: f64 = 1e-4;
/// Best candidates kept for a position.
const KEPT: usize = 10;
/// Rounds of which the median is printed, where they are short.
const ROUNDS: usize = 3;

fn plant(folder: &Path, size: u64) -> Plant {
    let (fleet, models) = texts(size, STEP);
    let books = [("fleet.csv", fleet), ("models.csv", models)].map(|(name, text)| {
        std::fs::write(folder.join(name), text).expect("written");
        open(&folder.join(name), name, Limits::default()).expect("opens")
    });
    intake::read(books.into(), &Policy::default(), &Columns::default()).plant
}

/// Verdicts of all pairs, every gate of every pair, without the index.
fn plainly(plant: &Plant, policy: &Policy) -> Vec<[usize; Verdict::ALL.len()]> {
    let candidates = catalogue_candidates(plant);
    let one = |index| {
        let case = Case::new(plant, policy, index);
        let mut counts = [0; Verdict::ALL.len()];
        for candidate in &candidates {
            counts[assess(&case, candidate).verdict as usize] += 1;
        }
        counts
    };
    (0..plant.positions.len()).into_par_iter().map(one).collect()
}

/// The survey as csv, for the comparison with the peer.
fn write_counts(path: &Path, plant: &Plant, found: &[Surveyed]) {
    let mut out = String::from("tag");
    for verdict in Verdict::ALL {
        write!(out, ",{}", verdict.word()).expect("memory");
    }
    for (position, surveyed) in plant.positions.iter().zip(found) {
        write!(out, "\n{}", position.tag().unwrap_or("?")).expect("memory");
        for count in surveyed.counts {
            write!(out, ",{count}").expect("memory");
        }
    }
    std::fs::write(path, out).expect("written");
}

fn main() {
    let mut args: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    let kept = args.iter().position(|a| a == "--write").map(|at| {
        let folder = args.get(at + 1).expect("--write DIR").clone();
        args.drain(at..at + 2);
        folder
    });
    let sizes: Vec<u64> = args.iter().filter_map(|a| a.parse().ok()).collect();
    let sizes = if sizes.is_empty() { vec![1_000, 10_000, 100_000] } else { sizes };
    let policy = Policy::default();
    let mut before: Option<(u64, f64)> = None;
    println!("  positions  x models   seconds   pairs not `no`   us a pair   exponent   peak MB");
    for size in sizes {
        let scratch = tempfile::tempdir().expect("a folder");
        let folder = kept.as_ref().map_or_else(
            || scratch.path().to_owned(),
            |folder| Path::new(folder).join(size.to_string()),
        );
        std::fs::create_dir_all(&folder).expect("a folder");
        let plant = plant(&folder, size);
        let mut found = Vec::new();
        let rounds = if size > 30_000 { 1 } else { ROUNDS };
        let times = (0..rounds).map(|_| {
            let began = Instant::now();
            found = survey(&plant, &policy, &Candidates::of(&plant), KEPT);
            began.elapsed().as_secs_f64()
        });
        let seconds = median(times.collect());
        let pairs: usize = found.iter().flat_map(|s| &s.counts[..Verdict::No as usize]).sum();
        let exponent = before.map_or_else(String::new, |(n, s)| {
            format!("{:.3}", (seconds / s).ln() / (size as f64 / n as f64).ln())
        });
        let peak = peak_mb().map_or_else(String::new, |mb| format!("{mb:.0}"));
        let each = seconds * 1e6 / pairs as f64;
        println!(
            "{size:>11} {size:>10} {seconds:>9.3} {pairs:>16} {each:>11.2} {exponent:>10} {peak:>9}"
        );
        if size <= PLAIN_UP_TO {
            let began = Instant::now();
            let plain = plainly(&plant, &policy);
            let same = plain.iter().zip(&found).all(|(a, b)| *a == b.counts);
            assert!(same, "the survey differs from all pairs taken one by one");
            println!(
                "      plainly all pairs {:>9.3}: the same counts",
                began.elapsed().as_secs_f64()
            );
        }
        if kept.is_some() {
            write_counts(&folder.join("counts.csv"), &plant, &found);
            std::fs::write(folder.join("seconds.txt"), format!("{seconds}")).expect("written");
        }
        before = Some((size, seconds));
    }
}
