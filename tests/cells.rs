//! Prints the cells of workbooks as the workbook room hands them inward, one JSON line each; the
//! outside checks compare them with other readers.

#![allow(clippy::print_stdout)]

use std::path::Path;

use serde_json::json;
use sparemesh::workbook::{Limits, Raw, open};

fn main() {
    for path in std::env::args().skip(1) {
        match open(Path::new(&path), &path, Limits::default()) {
            Ok(book) => {
                for cell in book.sheets.iter().flat_map(|s| s.cells.iter().map(move |c| (s, c))) {
                    let (sheet, cell) = cell;
                    let (kind, value) = match &cell.raw {
                        Raw::Text(text) => ("text", json!(text)),
                        Raw::Number(n) => ("number", json!(n)),
                        Raw::Time(n) => ("time", json!(n)),
                        Raw::Elapsed(n) => ("elapsed", json!(n)),
                        Raw::Flag(flag) => ("flag", json!(flag)),
                    };
                    let line = json!({
                        "file": path, "sheet": &*sheet.at.sheet, "row": cell.row + 1,
                        "col": cell.col + 1, "kind": kind, "value": value,
                        "shift": sheet.epoch_shift,
                    });
                    println!("{line}");
                }
            }
            Err(error) => println!("{}", json!({ "file": path, "refused": error.reason })),
        }
    }
}
