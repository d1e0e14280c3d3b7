//! The steps whose time a user feels, on plants of three sizes. Data is generated, never read.

use divan::{Bencher, counter::ItemsCount};
use sparemesh::findings::Place;
use sparemesh::fit::{Candidates, Case, best};
use sparemesh::intake;
use sparemesh::policy::{Columns, Policy};
use sparemesh::rating::rate;
use sparemesh::records::Plant;
use sparemesh::workbook::{Book, Cell, Raw, Sheet};

fn main() {
    divan::main();
}

/// A fleet and a catalogue as sheets of cells; models come in groups of about thirty.
fn books(positions: u32) -> Vec<Book> {
    let sheet = |name: &str, headings: &[&str], rows: Vec<Vec<String>>| {
        let mut sheet = Sheet::default();
        sheet.at = Place { file: "plant.xlsx".into(), sheet: name.into(), cell: None }.into();
        let head: Vec<String> = headings.iter().map(|h| (*h).to_owned()).collect();
        for (row, cells) in (0_u32..).zip(std::iter::once(head).chain(rows)) {
            for (col, text) in (0_u32..).zip(cells) {
                let raw =
                    text.parse().map_or_else(|_| Raw::Text(text.as_str().into()), Raw::Number);
                sheet.cells.push(Cell { row, col, raw });
            }
        }
        sheet
    };
    let ratio = |k: u32| format!("{}", 8 + (k / 30) % 40);
    let fleet = (0..positions)
        .map(|k| {
            vec![
                format!("T-{k}"),
                "Pump, centrifugal".into(),
                "11".into(),
                "1460".into(),
                format!("Model {}", k % (positions / 4 + 1)),
                ratio(k % (positions / 4 + 1)),
            ]
        })
        .collect();
    let models = (0..=positions / 4)
        .map(|k| {
            vec![
                "Maker".into(),
                format!("Model {k}"),
                ratio(k),
                "1450".into(),
                format!("{}", 1500 + k % 900),
                "helical".into(),
                "parallel".into(),
                "foot".into(),
                "160".into(),
                "60".into(),
            ]
        })
        .collect();
    let sheets = vec![
        sheet(
            "Fleet",
            &["Tag", "Driven machine", "Motor power [kW]", "Motor speed", "Model", "Ratio"],
            fleet,
        ),
        sheet(
            "Models",
            &[
                "Maker",
                "Model",
                "Ratio",
                "n1 [rpm]",
                "Rated torque [Nm]",
                "Gear type",
                "Axes",
                "Mounting",
                "Shaft height [mm]",
                "Output shaft [mm]",
            ],
            models,
        ),
    ];
    vec![Book { path: "plant.xlsx".into(), sheets, ..Book::default() }]
}

fn plant(positions: u32) -> Plant {
    intake::read(books(positions), &Policy::default(), &Columns::default()).plant
}

/// A workbook of 100,000 rows and 20 columns, half text, written once.
fn large_workbook() -> &'static std::path::Path {
    static FILE: std::sync::LazyLock<tempfile::NamedTempFile> = std::sync::LazyLock::new(|| {
        let file = tempfile::Builder::new().suffix(".xlsx").tempfile().expect("a file");
        let mut book = rust_xlsxwriter::Workbook::new();
        let sheet = book.add_worksheet();
        let headings = [
            "Tag",
            "Area",
            "Driven machine",
            "Maker",
            "Model",
            "Serial",
            "Gear train",
            "Axes",
            "Mounting",
            "Remarks",
            "Ratio",
            "Motor power [kW]",
            "Motor speed",
            "Absorbed power [kW]",
            "Hours per day",
            "Output shaft [mm]",
            "Shaft height [mm]",
            "Mass [kg]",
            "Starts per hour",
            "Ambient [°C]",
        ];
        for (col, heading) in (0_u16..).zip(headings) {
            sheet.write(0, col, heading).expect("fits");
        }
        for k in 0..100_000_u32 {
            let texts = [
                format!("T-{k:06}"),
                format!("Area {}", k % 37),
                "Pump, centrifugal".into(),
                format!("Maker {}", k % 7),
                format!("Model {}", k % 900),
                format!("S{k:07}"),
                "helical".into(),
                "parallel".into(),
                "foot".into(),
                format!("remark {} of the crew", k % 5000),
            ];
            let numbers = [8 + k % 40, 11, 1460, 8, 24, 60, 160, 200, 4, 35];
            for (col, text) in (0_u16..).zip(texts) {
                sheet.write(k + 1, col, text).expect("fits");
            }
            for (col, number) in (10_u16..).zip(numbers) {
                sheet.write(k + 1, col, number).expect("fits");
            }
        }
        book.save(file.path()).expect("written");
        file
    });
    FILE.path()
}

/// The floor: the reading library alone, cell by cell.
#[divan::bench(sample_count = 5)]
fn large_raw_read(bencher: Bencher) {
    let path = large_workbook();
    bencher.bench(|| {
        let mut book: calamine::Xlsx<_> = calamine::open_workbook(path).expect("opens");
        let mut cells = book.worksheet_cells_reader("Sheet1").expect("a sheet");
        let mut count = 0_u32;
        while let Ok(Some(_)) = cells.next_cell() {
            count += 1;
        }
        count
    });
}

#[divan::bench(sample_count = 5)]
fn large_open(bencher: Bencher) {
    let path = large_workbook();
    bencher.bench(|| {
        sparemesh::workbook::open(path, "large.xlsx", sparemesh::workbook::Limits::default())
    });
}

/// To typed records.
#[divan::bench(sample_count = 5)]
fn large_records(bencher: Bencher) {
    let path = large_workbook();
    bencher.bench(|| {
        let book =
            sparemesh::workbook::open(path, "large.xlsx", sparemesh::workbook::Limits::default());
        intake::read(vec![book.expect("opens")], &Policy::default(), &Columns::default())
    });
}

const SIZES: [u32; 3] = [100, 1_000, 10_000];

#[divan::bench(args = SIZES, sample_count = 5)]
fn intake_rows(bencher: Bencher, positions: u32) {
    bencher
        .counter(ItemsCount::new(positions))
        .with_inputs(|| books(positions))
        .bench_values(|books| intake::read(books, &Policy::default(), &Columns::default()));
}

#[divan::bench(args = SIZES, sample_count = 5)]
fn rate_positions(bencher: Bencher, positions: u32) {
    let plant = plant(positions);
    bencher.counter(ItemsCount::new(positions)).bench(|| rate(&plant, &Policy::default()));
}

#[divan::bench(args = SIZES, sample_count = 5)]
fn best_for_one_position(bencher: Bencher, positions: u32) {
    let plant = plant(positions);
    let policy = Policy::default();
    let candidates = Candidates::of(&plant);
    bencher.bench(|| best(&Case::new(&plant, &policy, 0), &candidates, 3).len());
}
