//! xlsb, xls and ods.

use std::io::Cursor;
use std::sync::Arc;

use calamine::{Data, DataRef, Ods, Range, Reader, SheetVisible, Xls, XlsOptions, Xlsb};

use super::sniff::Container;
use super::{Book, Cell, Limits, Raw, Sheet};
use crate::findings::{Finding, Place, name};

/// Code page 1200: UTF-16, which some exporters use without saying so.
const UTF_16: u16 = 1200;

pub(super) fn read(
    bytes: Vec<u8>,
    kind: Container,
    book: &mut Book,
    limits: Limits,
) -> Result<(), String> {
    if kind == Container::Ods {
        return read_ods(bytes, book, limits);
    }
    let place = Place::file(&book.path);
    let message = "hidden rows, notes and number formats of this kind of file cannot be seen";
    book.findings.push(Finding::new(&name::NOT_SEEN, place, message));
    match kind {
        Container::Xlsb => read_xlsb(bytes, book, limits),
        _ => read_xls(bytes, book, limits),
    }
}

fn read_ods(bytes: Vec<u8>, book: &mut Book, limits: Limits) -> Result<(), String> {
    if super::ods::is_locked(&bytes) {
        return Err(super::sniff::PROTECTED.into());
    }
    let parts = super::quiet::catch(|| super::ods::read(&bytes)).flatten();
    let parts = parts.ok_or(
        "the file is damaged: its content breaks off or does not close; open it and save it again",
    )?;
    let ods: Ods<_> = Ods::new(Cursor::new(bytes)).map_err(plain)?;
    read_ranges(ods, book, limits, 0.0)?;
    super::xlsx::tell_parts(book, parts);
    Ok(())
}

fn plain(error: impl std::fmt::Display) -> String {
    let text = error.to_string();
    let low = text.to_lowercase();
    if low.contains("password") || low.contains("codepage") || low.contains("code page") {
        "it is password-protected or of an unknown kind; open it, remove any password and save it as xlsx".into()
    } else if low.contains("cell limit exceeded") {
        "it repeats its cells over more places than a sheet can hold; delete the blank rows and columns at its end, and save it as xlsx".into()
    } else {
        format!("the file is damaged or of an old kind ({text}); open it and save it as xlsx")
    }
}

fn read_xls(bytes: Vec<u8>, book: &mut Book, limits: Limits) -> Result<(), String> {
    let xls: Xls<_> = Xls::new(Cursor::new(bytes.clone())).map_err(plain)?;
    let shift = if xls.has_1904_epoch() { 1462.0 } else { 0.0 };
    read_ranges(xls, book, limits, shift)?;
    let garbled = book.sheets.iter().flat_map(|s| &s.cells).any(|cell| match &cell.raw {
        Raw::Text(text) => text.contains(super::NUL_SIGN),
        _ => false,
    });
    if garbled {
        let mut options = XlsOptions::default();
        options.force_codepage = Some(UTF_16);
        let xls = Xls::new_with_options(Cursor::new(bytes), options).map_err(plain)?;
        book.sheets.clear();
        read_ranges(xls, book, limits, shift)?;
    }
    Ok(())
}

fn read_ranges<R>(mut reader: R, book: &mut Book, limits: Limits, shift: f64) -> Result<(), String>
where
    R: Reader<Cursor<Vec<u8>>>,
    R::Error: std::fmt::Display,
{
    for meta in reader.sheets_metadata().to_vec() {
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
        match super::quiet::catch(|| reader.worksheet_range(&meta.name)) {
            Some(Ok(range)) => fill(&mut sheet, &range, &mut book.findings, limits)?,
            Some(Err(error)) => book.findings.push(Finding::new(
                &name::UNREADABLE_SHEET,
                place,
                format!("it cannot be read: {error}"),
            )),
            None => book.findings.push(Finding::new(
                &name::UNREADABLE_SHEET,
                place,
                "its reader failed on it",
            )),
        }
        book.sheets.push(sheet);
    }
    Ok(())
}

fn fill(
    sheet: &mut Sheet,
    range: &Range<Data>,
    findings: &mut Vec<Finding>,
    limits: Limits,
) -> Result<(), String> {
    let (top, left) = range.start().unwrap_or((0, 0));
    for (row, col, value) in range.used_cells() {
        let (row, col) = (top + row as u32, left + col as u32);
        match super::xlsx::raw(&borrowed(value)) {
            Ok(Some(raw)) => sheet.cells.push(Cell { row, col, raw }),
            Ok(None) => {}
            Err(shown) => findings.push(Finding::new(
                &name::ERROR_CELL,
                Place { cell: Some((row, col)), ..(*sheet.at).clone() },
                format!("the cell shows {shown}"),
            )),
        }
        if sheet.cells.len() > limits.cells {
            return Err(format!("a sheet holds more than {} cells", limits.cells));
        }
    }
    Ok(())
}

/// A cell of a range as the streaming readers give it.
fn borrowed(value: &Data) -> DataRef<'_> {
    match value {
        Data::Int(n) => DataRef::Int(*n),
        Data::Float(n) => DataRef::Float(*n),
        Data::String(text) => DataRef::SharedString(text),
        Data::Bool(flag) => DataRef::Bool(*flag),
        Data::DateTime(time) => DataRef::DateTime(*time),
        Data::DateTimeIso(text) => DataRef::DateTimeIso(text.clone()),
        Data::DurationIso(text) => DataRef::DurationIso(text.clone()),
        Data::Error(error) => DataRef::Error(error.clone()),
        Data::Empty => DataRef::Empty,
    }
}

fn read_xlsb(bytes: Vec<u8>, book: &mut Book, limits: Limits) -> Result<(), String> {
    let mut xlsb: Xlsb<_> = Xlsb::new(Cursor::new(bytes)).map_err(plain)?;
    let shift = if xlsb.has_1904_epoch() { 1462.0 } else { 0.0 };
    for meta in xlsb.sheets_metadata().to_vec() {
        let place =
            Place { file: book.path.as_str().into(), sheet: meta.name.as_str().into(), cell: None };
        let mut sheet =
            Sheet { at: Arc::new(place.clone()), epoch_shift: shift, ..Sheet::default() };
        let result = super::quiet::catch(|| -> Result<(), String> {
            let mut reader = xlsb.worksheet_cells_reader(&meta.name).map_err(plain)?;
            while let Some(cell) = reader.next_cell().map_err(plain)? {
                let (row, col) = cell.get_position();
                match super::xlsx::raw(cell.get_value()) {
                    Ok(Some(raw)) => sheet.cells.push(Cell { row, col, raw }),
                    Ok(None) => {}
                    Err(shown) => book.findings.push(Finding::new(
                        &name::ERROR_CELL,
                        Place { cell: Some((row, col)), ..place.clone() },
                        format!("the cell shows {shown}"),
                    )),
                }
                if sheet.cells.len() > limits.cells {
                    return Err(format!(
                        "it holds more than {} cells, which is what `max_cells` of the policy allows",
                        limits.cells
                    ));
                }
            }
            Ok(())
        });
        if let Some(Err(reason)) = result {
            book.findings.push(Finding::new(&name::UNREADABLE_SHEET, place, reason));
        } else if result.is_none() {
            book.findings.push(Finding::new(
                &name::UNREADABLE_SHEET,
                place,
                "its reader failed on it",
            ));
        }
        book.sheets.push(sheet);
    }
    Ok(())
}
