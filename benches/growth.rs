//! The whole pipeline on drawn plants of growing size: `cargo bench --bench growth [-- SIZES…]`. Prints seconds, rows a
//! second, the growth exponent from the size before, and the peak of memory of every stage; a million positions is run by
//! hand, as `-- 100000 1000000` (20 minutes), or without spares and report as `-- 1000000 --to-fit`. `-- SIZE --write DIR` only leaves the files of a plant.

#![allow(clippy::print_stdout, clippy::print_stderr)] // a bench prints its table, and how far it is

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Instant;

use rayon::prelude::*;
use rust_xlsxwriter::{Workbook, XlsxError};
use sparemesh::figures::{Given, Month, by_area, by_consequence, figures};
use sparemesh::findings::sort;
use sparemesh::fit::{Candidates, Case, best, misplaced};
use sparemesh::intake;
use sparemesh::policy::{Columns, Policy};
use sparemesh::rating::rate;
use sparemesh::report::{Material, ReportTable, Told, write};
use sparemesh::spares::plan;
use sparemesh::units::System;
use sparemesh::workbook::{Limits, open};

#[allow(dead_code)] // each bench uses its part
#[path = "drawn.rs"]
mod drawn;
#[path = "timing.rs"]
mod timing;

use timing::{median, peak_mb};

/// A million positions of 22 columns are more cells than the policy's default allows.
const LIMITS: Limits = Limits { unpacked_bytes: 2 << 30, cells: 40_000_000 };
/// Positions above which the floor of the report is left out: it takes the tables a second time.
const MOST_RAW: usize = 200_000;
/// Rounds of which the median is printed, where they are short.
const ROUNDS: usize = 3;

/// One stage of one size.
struct Stage {
    name: &'static str,
    seconds: f64,
    peak: Option<f64>,
}

/// Times a stage, and the peak of memory while it ran.
fn timed<T>(name: &'static str, work: impl FnOnce() -> T) -> (Stage, T) {
    forget_peak();
    let began = Instant::now();
    let made = work();
    let seconds = began.elapsed().as_secs_f64();
    let peak = peak_mb();
    // A run of an hour tells how far it is.
    eprintln!("{name}: {seconds:.1} s, {:.0} MB", peak.unwrap_or(f64::NAN));
    (Stage { name, seconds, peak }, made)
}

/// Linux forgets the peak when asked; elsewhere it stays that of the process.
fn forget_peak() {
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}

/// Every stage once, on the files of `folder`.
fn pipeline(folder: &Path, names: &[&str], to_fit: bool) -> Vec<Stage> {
    let policy = Policy::default();
    let (read, mut intake) = timed("intake", || {
        let books = names.iter().map(|name| open(&folder.join(name), name, LIMITS).expect("opens"));
        intake::read(books.collect(), &policy, &Columns::default())
    });
    let (rating, (rated, more)) = timed("rating", || rate(&intake.plant, &policy));
    intake.findings.extend(more);
    let plant = &intake.plant;
    let (fit, best) = timed("fit", || {
        let candidates = Candidates::of(plant);
        let one = |at| {
            let found = best(&Case::new(plant, &policy, at), &candidates, policy.shown_candidates);
            found.iter().map(Told::from).collect()
        };
        (0..plant.positions.len()).into_par_iter().map(one).collect::<Vec<Vec<Told>>>()
    });
    if to_fit {
        return vec![read, rating, fit];
    }
    let (spares, made) = timed("spares", || plan(plant, &rated, &policy));
    let mut findings = intake.findings.clone();
    findings.extend(made.findings.iter().cloned());
    findings.extend(misplaced(plant, &policy));
    sort(&mut findings);
    let (report, material) = timed("report", || {
        let material = Material {
            month: Month { year: 2026, month: 10 },
            plant,
            policy: &policy,
            rated: &rated,
            plan: &made,
            best,
            findings: &findings,
            figures: figures(Given {
                plant,
                policy: &policy,
                rated: &rated,
                plan: &made,
                findings: &findings,
            }),
            by_area: by_area(plant, &made).expect("groups"),
            by_consequence: by_consequence(plant, &made).expect("groups"),
            history: Vec::new(),
            why: None,
            system: System::Si,
            folder: folder.to_owned(),
        };
        write(&material, None, false).expect("written");
        material
    });
    if plant.positions.len() > MOST_RAW {
        return vec![read, rating, fit, spares, report];
    }
    let written = write(&material, None, true).expect("written");
    let (raw, _) = timed("raw write", || raw_write(&written.tables).expect("written"));
    vec![read, rating, fit, spares, report, raw]
}

/// The floor of the report: its cells, written by the writing library and nothing else.
fn raw_write(tables: &[ReportTable]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    for table in tables {
        let sheet = match table.rows.len() {
            0..=20_000 => book.add_worksheet(),
            _ => book.add_worksheet_with_constant_memory()?,
        };
        for (row, cells) in (0_u32..).zip(&table.rows) {
            for (col, cell) in (0_u16..).zip(cells) {
                if let Some(number) = cell.as_f64() {
                    sheet.write_number(row, col, number)?;
                } else if let Some(text) = cell.as_str() {
                    sheet.write_string(row, col, text)?;
                }
            }
        }
    }
    book.save_to_buffer()
}

/// Writes the files of a plant and gives their names.
fn leave(folder: &Path, size: u64) -> [&'static str; 4] {
    let texts = drawn::whole(size);
    let names = texts.each_ref().map(|(name, _)| *name);
    for (name, text) in texts {
        std::fs::write(folder.join(name), text).expect("written");
    }
    names
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    let sizes: Vec<u64> = args.iter().filter_map(|a| a.parse().ok()).collect();
    if let Some(at) = args.iter().position(|a| a == "--write") {
        let folder = Path::new(args.get(at + 1).expect("--write DIR"));
        std::fs::create_dir_all(folder).expect("a folder");
        leave(folder, sizes[0]);
        return;
    }
    let to_fit = args.iter().any(|a| a == "--to-fit");
    let sizes = if sizes.is_empty() { vec![1_000, 10_000, 100_000] } else { sizes };
    let mut before: BTreeMap<&str, (u64, f64)> = BTreeMap::new();
    println!("  positions  stage       seconds  positions a s   exponent   peak MB");
    for size in sizes {
        let folder = tempfile::tempdir().expect("a folder");
        let names = leave(folder.path(), size);
        let rounds = if size > 30_000 { 1 } else { ROUNDS };
        let all: Vec<Vec<Stage>> =
            (0..rounds).map(|_| pipeline(folder.path(), &names, to_fit)).collect();
        for (at, first) in all[0].iter().enumerate() {
            let seconds = median(all.iter().map(|stages| stages[at].seconds).collect());
            let exponent = before.get(first.name).map_or_else(String::new, |(n, s)| {
                format!("{:.2}", (seconds / s).ln() / (size as f64 / *n as f64).ln())
            });
            let peak = first.peak.map_or_else(String::new, |mb| format!("{mb:.0}"));
            println!(
                "{size:>11}  {:<10}{seconds:>9.3}{:>15.0}{exponent:>11}{peak:>10}",
                first.name,
                size as f64 / seconds
            );
            before.insert(first.name, (size, seconds));
        }
    }
}
