//! Workbooks damaged at random, byte by byte and part by part: each is read or refused, and never more than that.

use std::io::{Cursor, Read, Write};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::Command;
use std::time::{Duration, Instant};

use crate::binary::{compound, version_5, xlsb};
use crate::field::{HEADINGS, Parts, file, ods, ods_text, rows, xlsx};
use sparemesh::intake::read;
use sparemesh::policy::{Columns, Policy};
use sparemesh::rating::rate;
use sparemesh::spares::{SplitMix, plan};
use sparemesh::workbook::{Limits, open};

/// Damaged workbooks, unless `SPAREMESH_CASES` asks for another number.
const CASES: usize = 400;
/// Longer than this nothing may take.
const LONGEST: Duration = Duration::from_secs(10);
/// Every so many cases the program itself is run.
const SPAWNED: usize = 100;

/// The whole workbooks that are damaged, with their names.
fn whole() -> Vec<(&'static str, Vec<u8>)> {
    let fleet = rows(&[
        HEADINGS,
        &["CV-1", "Belt conveyor", "11", "25", "8"],
        &["CV-2", "Mixer", "7.5", "31.5", "24"],
        &["CV-3", "=1+1|2", "15@1", "25:1", ""],
    ]);
    let open_rows: String =
        [["Tag", "Machine", "Ratio"], ["CV-1", "Pump", "25:1"], ["CV-2", "Fan", "1:20"]]
            .map(|row| {
                let cells: String = row.map(ods_text).concat();
                format!("<table:table-row>{cells}</table:table-row>")
            })
            .concat();
    let text = "Tag;Machine;Motor power [kW];Ratio;Consequence\nCV-1;Förderband;11;25,5;A\nCV-2;Pumpe;7,5;31,5;B\n";
    vec![
        ("a.xlsx", xlsx(&Parts { sheet: &fleet, ..Parts::default() })),
        ("a.xlsb", xlsb()),
        ("a.xls", compound("Book", version_5())),
        ("a.ods", ods(&open_rows)),
        ("a.csv", text.as_bytes().to_vec()),
        ("storeroom.xlsx", sample("storeroom.xlsx")),
    ]
}

fn sample(name: &str) -> Vec<u8> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-data");
    std::fs::read(folder.join(name)).unwrap()
}

/// Things that damage what is written in words and numbers.
const PIECES: [&[u8]; 12] = [
    b"99999999999999999999",
    b"-1",
    b"NaN",
    b"&#0;",
    b"&lol;",
    b"]]>",
    b"<",
    b"\"",
    b"r=\"XFE9999999\"",
    b"\xFF\xFE",
    b"<!--",
    b"count=\"4294967295\"",
];

fn damage(bytes: &mut Vec<u8>, random: &mut SplitMix) {
    for _ in 0..=random.below(4) {
        if bytes.is_empty() {
            return;
        }
        let at = random.below(bytes.len());
        let run = (1 + random.below(40)).min(bytes.len() - at);
        match random.below(8) {
            0 => bytes[at] ^= 1 << random.below(8),
            1 => bytes[at] = random.below(256) as u8,
            2 => bytes.truncate(at),
            3 => drop(bytes.drain(at..at + run)),
            4 => {
                let again = bytes[at..at + run].to_vec();
                let to = random.below(bytes.len());
                bytes.splice(to..to, again);
            }
            5 => bytes[at..at + run].fill([0, 0xFF, b'9'][random.below(3)]),
            6 => {
                let to = random.below(bytes.len());
                bytes.swap(at, to);
            }
            _ => drop(bytes.splice(at..at, PIECES[random.below(PIECES.len())].iter().copied())),
        }
    }
}

/// One part of a container damaged, the container whole again; `None` where it is none.
fn damaged_part(bytes: &[u8], random: &mut SplitMix) -> Option<Vec<u8>> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).ok()?;
    let mut parts: Vec<(String, Vec<u8>)> = Vec::new();
    for at in 0..archive.len() {
        let mut part = archive.by_index(at).ok()?;
        let mut content = Vec::new();
        part.read_to_end(&mut content).ok()?;
        let name = part.name().ok()?.into_owned();
        parts.push((name, content));
    }
    let which = random.below(parts.len());
    match random.below(12) {
        0 => drop(parts.remove(which)),
        1 => parts[which].0.push('x'),
        2 => {
            let other = random.below(parts.len());
            let other = parts[other].1.clone();
            parts[which].1 = other;
        }
        _ => damage(&mut parts[which].1, random),
    }
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in &parts {
        // Two parts of one name cannot be written.
        zip.start_file(name.as_str(), zip::write::SimpleFileOptions::default()).ok()?;
        zip.write_all(content).unwrap();
    }
    Some(zip.finish().unwrap().into_inner())
}

/// Reads what can be read, and goes on with it to a plan.
fn taken(name: &str, bytes: &[u8]) -> bool {
    let (_dir, path) = file(name, bytes);
    let limits = Limits { unpacked_bytes: 64 << 20, cells: 1_000_000 };
    let Ok(book) = open(&path, name, limits) else { return false };
    let policy = Policy::default();
    let plant = read(vec![book], &policy, &Columns::default()).plant;
    let (rated, _) = rate(&plant, &policy);
    let made = plan(&plant, &rated, &policy);
    assert!(made.waiting_cost.is_finite() && made.stock_value.is_finite());
    true
}

#[test]
fn a_damaged_workbook_is_read_or_refused() {
    let cases = std::env::var("SPAREMESH_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(CASES);
    let whole = whole();
    for (name, bytes) in &whole {
        assert!(taken(name, bytes), "{name} is not read even whole");
    }
    let mut random = SplitMix::new(0xDA_3A6E);
    let (mut read, mut slowest) = (0_usize, Duration::ZERO);
    for case in 0..cases {
        // The large one takes longer, so it comes seldom.
        let (name, bytes) = &whole[if case % 20 == 19 { 5 } else { random.below(5) }];
        let part = (random.below(2) == 0).then(|| damaged_part(bytes, &mut random)).flatten();
        let damaged = part.unwrap_or_else(|| {
            let mut bytes = bytes.clone();
            damage(&mut bytes, &mut random);
            bytes
        });
        let began = Instant::now();
        let done = catch_unwind(AssertUnwindSafe(|| taken(name, &damaged)));
        let took = began.elapsed();
        slowest = slowest.max(took);
        let Ok(done) = done else { panic!("case {case}, {name}: a panic") };
        assert!(took < LONGEST, "case {case}, {name}: {took:?}");
        read += usize::from(done);
        if case % SPAWNED == 0 {
            let (_dir, path) = file(name, &damaged);
            let mut check = Command::new(env!("CARGO_BIN_EXE_sparemesh"));
            let said = check.arg("check").arg(&path).output().unwrap();
            assert!(
                said.status.code().is_some_and(|c| c <= 2),
                "case {case}, {name}: {:?}",
                said.status
            );
            assert!(
                !said.stdout.is_empty() || !said.stderr.is_empty(),
                "case {case}, {name}: not a word"
            );
        }
    }
    // Most damage leaves something to read, some does not: else it is no damage, or too much.
    assert!(read * 5 > cases && read < cases, "{read} of {cases} were read");
    println!(
        "{cases} damaged workbooks: {read} read, the rest refused; the slowest took {slowest:?}"
    );
}
