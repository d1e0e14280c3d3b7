//! Office Open XML, cell by cell: a bad cell costs that cell, a bad sheet that sheet.

use std::io::Cursor;
use std::path::Path;
use std::sync::Arc;

use calamine::{DataRef, Reader, SheetVisible, Xlsx};

use super::{Book, Cell, Limits, Merge, Raw, Sheet};
use crate::findings::{Finding, Place, name};

/// Days between the two date systems.
const SHIFT_1904: f64 = 1462.0;

/// A reader that keeps failing at one spot is left after this many errors.
const ERRORS_A_SHEET: usize = 1_000;

pub(super) fn read(bytes: Vec<u8>, book: &mut Book, limits: Limits) -> Result<(), String> {
    let mut xlsx: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|error| plain(&error))?;
    let shift = if xlsx.has_1904_epoch() { SHIFT_1904 } else { 0.0 };
    let sheets: Vec<_> = xlsx.sheets_metadata().to_vec();
    for meta in sheets {
        let place =
            Place { file: book.path.as_str().into(), sheet: meta.name.as_str().into(), cell: None };
        if meta.visible != SheetVisible::Visible {
            book.findings.push(Finding::new(
                &name::HIDDEN_SHEET,
                place.clone(),
                "the sheet is hidden",
            ));
        }
        let mut sheet =
            Sheet { at: Arc::new(place.clone()), epoch_shift: shift, ..Sheet::default() };
        let result = super::quiet::catch(|| {
            read_sheet(&mut xlsx, &meta.name, &mut sheet, &mut book.findings, limits)
        });
        let reason = match result {
            Some(Ok(())) => None,
            Some(Err(reason)) => Some(reason),
            None => Some("its reader failed on it".to_owned()),
        };
        if let Some(reason) = reason {
            book.findings.push(Finding::new(&name::UNREADABLE_SHEET, place, reason));
        }
        if let Some(Ok(merges)) = super::quiet::catch(|| xlsx.merge_cells_by_sheet_name(&meta.name))
        {
            sheet.merges = merges.iter().map(|m| Merge { start: m.start, end: m.end }).collect();
        }
        book.sheets.push(sheet);
    }
    Ok(())
}

fn read_sheet(
    xlsx: &mut Xlsx<Cursor<Vec<u8>>>,
    sheet_name: &str,
    sheet: &mut Sheet,
    findings: &mut Vec<Finding>,
    limits: Limits,
) -> Result<(), String> {
    let mut reader = xlsx.worksheet_cells_reader(sheet_name).map_err(|error| plain(&error))?;
    let mut last = (0, 0);
    let mut errors = 0;
    loop {
        match reader.next_cell_with_formula_metadata() {
            Ok(None) => return Ok(()),
            Ok(Some(cell)) => {
                last = cell.pos;
                let place = Place { cell: Some(cell.pos), ..(*sheet.at).clone() };
                match raw(cell.value) {
                    Ok(Some(raw)) => {
                        sheet.cells.push(Cell { row: cell.pos.0, col: cell.pos.1, raw });
                    }
                    Ok(None) if cell.formula.is_some() => findings.push(Finding::new(
                        &name::NEVER_CALCULATED,
                        place,
                        "the formula holds no value",
                    )),
                    Ok(None) => {}
                    Err(shown) => findings.push(Finding::new(
                        &name::ERROR_CELL,
                        place,
                        format!("the cell shows {shown}"),
                    )),
                }
                if sheet.cells.len() > limits.cells {
                    return Err(format!("it holds more than {} cells", limits.cells));
                }
            }
            Err(error) => {
                errors += 1;
                let text = error.to_string();
                if errors > ERRORS_A_SHEET || text.contains("end of XML") || text.contains("xml") {
                    return Err(format!("reading stopped after {}: {text}", after(last)));
                }
                let place = Place { cell: Some((last.0, last.1 + 1)), ..(*sheet.at).clone() };
                findings.push(Finding::new(
                    &name::UNREADABLE_CELL,
                    place,
                    format!("a cell after {} cannot be read: {text}", after(last)),
                ));
            }
        }
    }
}

fn after((row, col): (u32, u32)) -> String {
    format!("{}{}", crate::findings::column_letters(col), row + 1)
}

/// The content of a cell; `Ok(None)` if blank, `Err` with the text of an error value.
pub(super) fn raw(value: DataRef<'_>) -> Result<Option<Raw>, String> {
    Ok(match value {
        DataRef::Int(n) => Some(Raw::Number(n as f64)),
        DataRef::Float(n) => n.is_finite().then_some(Raw::Number(n)),
        DataRef::String(text) => text_or_blank(&text),
        DataRef::SharedString(text) => text_or_blank(text),
        DataRef::Bool(flag) => Some(Raw::Flag(flag)),
        DataRef::DateTime(time) if time.is_duration() => Some(Raw::Elapsed(time.as_f64())),
        DataRef::DateTime(time) => Some(Raw::Time(time.as_f64())),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => text_or_blank(&text),
        DataRef::Error(error) => return Err(error.to_string()),
        DataRef::Empty => None,
    })
}

fn text_or_blank(text: &str) -> Option<Raw> {
    (!text.trim().is_empty()).then(|| Raw::Text(super::printable(text).into()))
}

fn plain(error: &calamine::XlsxError) -> String {
    let text = error.to_string();
    if text.to_lowercase().contains("password") {
        "it is password-protected; open it, remove the password and save it".into()
    } else if text.contains("sheet:type") {
        "it holds a macro or dialog sheet of an old kind; copy the data into a new xlsx workbook"
            .into()
    } else {
        format!(
            "the workbook is damaged ({text}); open it in a spreadsheet program and save it again"
        )
    }
}

/// Whether the document properties carry this program's mark.
pub(super) fn carries_own_mark(path: &Path) -> bool {
    let Ok(mut book) = calamine::open_workbook::<Xlsx<_>, _>(path) else { return false };
    book.workbook_properties().is_ok_and(|p| format!("{p:?}").contains("sparemesh report"))
}
