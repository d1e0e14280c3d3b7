//! This program's side of the comparison with scripts on general-purpose libraries: `benches/peers/run` calls it on files
//! that it drew. Prints one JSON document with seconds and answers.
//!
//! `-- read FILE`: a workbook to typed records. `-- names FLEET CATALOGUE`: the model of every position, found in the
//! catalogue by what is written.

#![allow(clippy::print_stdout)] // a bench prints

use std::path::Path;
use std::time::Instant;

use serde_json::{Value, json};
use sparemesh::intake::{self, Intake};
use sparemesh::policy::{Columns, Policy};
use sparemesh::workbook::{Limits, open};

/// Rounds of which the median is told.
const ROUNDS: usize = 3;

fn read(files: &[String]) -> Intake {
    let books = files.iter().map(|file| open(Path::new(file), file, Limits::default()));
    let books = books.collect::<Result<Vec<_>, _>>().expect("the files open");
    intake::read(books, &Policy::default(), &Columns::default())
}

/// What a sum over the records comes to, so that nothing is left unread.
fn totals(made: &Intake) -> Value {
    let kw: f64 = made.plant.positions.iter().filter_map(|p| p.motor_power_kw()).sum();
    json!({ "rows": made.plant.positions.len(), "kw": kw })
}

/// The model found for every position, by its name in the catalogue.
fn names(made: &Intake) -> Value {
    let plant = &made.plant;
    let found = plant.positions.iter().map(|p| {
        let model = p.model.map(|found| &plant.models[found.model]);
        json!([p.tag(), model.and_then(|m| m.model())])
    });
    found.collect()
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    let Some((what, files)) = args.split_first() else {
        println!("own_side -- read FILE, or -- names FLEET CATALOGUE; benches/peers/run calls it");
        return;
    };
    let mut times = Vec::new();
    let mut answer = Value::Null;
    for _ in 0..ROUNDS {
        let began = Instant::now();
        let made = read(files);
        times.push(began.elapsed().as_secs_f64());
        answer = if what == "names" { names(&made) } else { totals(&made) };
    }
    times.sort_by(f64::total_cmp);
    println!("{}", json!({ "seconds": times[ROUNDS / 2], "answer": answer }));
}
