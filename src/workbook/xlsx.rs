//! Office Open XML, cell by cell: a bad cell costs that cell, a bad sheet that sheet.

use std::io::Cursor;
use std::path::Path;
use std::sync::Arc;

use calamine::{DataRef, Reader, SheetType, SheetVisible, Xlsx};

use super::parts::{self, Parts, SheetParts};
use super::{Book, Cell, Limits, Merge, Raw, Sheet};
use crate::findings::{Finding, Place, name};

/// Days between the two date systems.
const SHIFT_1904: f64 = 1462.0;

/// A reader that keeps failing at one spot is left after this many errors.
const ERRORS_A_SHEET: usize = 1_000;

pub(super) fn read(bytes: Vec<u8>, book: &mut Book, limits: Limits) -> Result<(), String> {
    let bytes = readable_sheets_only(bytes, book);
    // The second pass over the parts runs on the other core.
    let second = std::thread::scope(|scope| {
        let second = scope.spawn(|| super::quiet::catch(|| parts::read(&bytes)));
        let first = cells(&bytes, book, limits);
        first.map(|()| second.join().ok().flatten().unwrap_or_default())
    })?;
    tell_parts(book, second);
    Ok(())
}

/// A workbook whose sheets all have a kind that the reading library knows.
fn readable_sheets_only(bytes: Vec<u8>, book: &mut Book) -> Vec<u8> {
    let Some((main, sheets)) = parts::listed(&bytes) else { return bytes };
    let foreign = |kind: &str| !matches!(kind, "worksheet" | "chartsheet" | "dialogsheet");
    let drop: Vec<usize> = (0..sheets.len()).filter(|at| foreign(&sheets[*at].kind)).collect();
    if drop.is_empty() || drop.len() == sheets.len() {
        return bytes;
    }
    let Some(rest) = parts::without(&bytes, &main, &drop) else { return bytes };
    for at in drop {
        let sheet = &sheets[at];
        let place = Place {
            file: book.path.as_str().into(),
            sheet: sheet.name.as_str().into(),
            cell: None,
        };
        let kind = if sheet.kind.is_empty() { "a sheet without content" } else { "a macro sheet" };
        book.findings.push(Finding::new(&name::SHEET_LEFT_OUT, place, format!("{kind}, no data")));
    }
    rest
}

fn cells(bytes: &[u8], book: &mut Book, limits: Limits) -> Result<(), String> {
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
        if meta.typ != SheetType::WorkSheet {
            let message = "a sheet of charts or dialogs, no data";
            book.findings.push(Finding::new(&name::SHEET_LEFT_OUT, place, message));
            continue;
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
        sheet.cells.sort_by_key(|c| (c.row, c.col));
        book.sheets.push(sheet);
    }
    Ok(())
}

fn read_sheet(
    xlsx: &mut Xlsx<Cursor<&[u8]>>,
    sheet_name: &str,
    sheet: &mut Sheet,
    findings: &mut Vec<Finding>,
    limits: Limits,
) -> Result<(), String> {
    let mut reader = xlsx.worksheet_cells_reader(sheet_name).map_err(|error| plain(&error))?;
    let mut last = (0, 0);
    let mut errors = 0;
    loop {
        match reader.next_cell() {
            Ok(None) => return Ok(()),
            Ok(Some(cell)) => {
                last = cell.get_position();
                let place = || Place { cell: Some(last), ..(*sheet.at).clone() };
                match raw(cell.get_value()) {
                    Ok(Some(raw)) => {
                        sheet.cells.push(Cell { row: last.0, col: last.1, raw });
                    }
                    Ok(None) => {}
                    Err(shown) => findings.push(Finding::new(
                        &name::ERROR_CELL,
                        place(),
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

/// Adds to the sheets what the parts say, and tells what a person should know.
pub(super) fn tell_parts(book: &mut Book, parts: Parts) {
    if parts.manual {
        let message = "the workbook calculates only when told; its formulas may show old values";
        let place = Place::file(&book.path);
        book.findings.push(Finding::new(&name::MANUAL_CALCULATION, place, message));
    }
    let Parts { styles, by_writer, sheets, dates_by_format, .. } = parts;
    for read in sheets {
        let Some(sheet) = book.sheets.iter_mut().find(|s| *s.at.sheet == *read.name) else {
            continue;
        };
        tell_sheet(sheet, &read, by_writer, &mut book.findings);
        let SheetParts { styled, totals, merges, .. } = read;
        let struck: Vec<_> = styled
            .iter()
            .filter(|(row, col, style)| styles[*style as usize].strike && has(sheet, *row, *col))
            .map(|(row, col, _)| (*row, *col))
            .collect();
        tell_cells(
            sheet,
            &name::STRUCK_THROUGH,
            &struck,
            "struck through; they were read like the others",
            &mut book.findings,
        );
        sheet.totals = totals;
        sheet.merges.extend(merges.iter().map(|(start, end)| Merge { start: *start, end: *end }));
        sheet.formats = styles.iter().map(|s| s.format.clone()).collect();
        sheet.formatted = styled;
        sheet.formatted.sort_unstable();
        sheet.formatted.dedup_by_key(|f| (f.0, f.1));
        if dates_by_format {
            no_dates_from_units(sheet);
        }
    }
}

fn has(sheet: &Sheet, row: u32, col: u32) -> bool {
    sheet.cells.binary_search_by_key(&(row, col), |c| (c.row, c.col)).is_ok()
}

/// A number whose format only looks like a date's (`0 rpm`) is a number.
fn no_dates_from_units(sheet: &mut Sheet) {
    let dated = |row: u32, col: u32| {
        let found = sheet.formatted.binary_search_by_key(&(row, col), |f| (f.0, f.1));
        found.is_ok_and(|at| sheet.formats[sheet.formatted[at].2 as usize].date)
    };
    for cell in &mut sheet.cells {
        if let Raw::Time(value) | Raw::Elapsed(value) = cell.raw
            && !dated(cell.row, cell.col)
        {
            cell.raw = Raw::Number(value);
        }
    }
}

fn tell_sheet(sheet: &Sheet, read: &SheetParts, by_writer: bool, findings: &mut Vec<Finding>) {
    let place = || (*sheet.at).clone();
    // Cells stand in row order, so that a row with cells is found by halving.
    let with_cells = |row: &&u32| sheet.cells.binary_search_by_key(row, |c| &c.row).is_ok();
    let hidden: Vec<String> =
        read.hidden_rows.iter().filter(with_cells).map(|row| (row + 1).to_string()).collect();
    let rows = hidden.len();
    let columns: u32 = read.hidden_columns.iter().map(|(a, b)| b.saturating_sub(*a) + 1).sum();
    if rows > 0 || columns > 0 {
        let letters = |(first, last): &(u32, u32)| {
            let name = crate::findings::column_letters;
            if first == last { name(*first) } else { format!("{}:{}", name(*first), name(*last)) }
        };
        let named: Vec<String> = read.hidden_columns.iter().map(letters).collect();
        let mut where_ = Vec::new();
        if rows > 0 {
            where_.push(format!("rows {}", some(&hidden)));
        }
        if columns > 0 {
            where_.push(format!("columns {}", some(&named)));
        }
        let message = format!(
            "{rows} rows and {columns} columns are hidden ({}); they were read like the others",
            where_.join("; ")
        );
        findings.push(Finding::new(&name::HIDDEN_CELLS, place(), message));
    }
    if !read.notes.is_empty() {
        let message = format!("notes that were not read hang on {}", some(&read.notes));
        findings.push(Finding::new(&name::NOTES, place(), message));
    }
    if read.pivots > 0 {
        let message = "a pivot table lies on the sheet; its rows are sums of others";
        findings.push(Finding::new(&name::PIVOT, place(), message));
    }
    for at in read.unanswered.iter().filter(|at| !has(sheet, at.0, at.1)) {
        let place = Place { cell: Some(*at), ..place() };
        let message = "the formula holds no value";
        findings.push(Finding::new(&name::NEVER_CALCULATED, place, message));
    }
    let said = "worked out from another file, whose state is not known";
    tell_cells(sheet, &name::OTHER_FILE, &read.elsewhere, said, findings);
    if by_writer {
        let said = "formulas with the value 0 that no spreadsheet program has calculated";
        tell_cells(sheet, &name::PLACEHOLDER, &read.zeros, said, findings);
    }
}

/// The first of many names, and how many more there are.
fn some(names: &[String]) -> String {
    const MOST: usize = 12;
    let more = names.len().saturating_sub(MOST);
    let tail = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}{tail}", names[..names.len().min(MOST)].join(", "))
}

/// One finding for some cells of a sheet, at the first of them.
fn tell_cells(
    sheet: &Sheet,
    code: &'static crate::findings::Code,
    cells: &[(u32, u32)],
    said: &str,
    findings: &mut Vec<Finding>,
) {
    let Some(first) = cells.first() else { return };
    let shown: Vec<String> = cells.iter().take(5).map(|c| after(*c)).collect();
    let more = cells.len().saturating_sub(shown.len());
    let tail = if more > 0 { format!(" and {more} more") } else { String::new() };
    let place = Place { cell: Some(*first), ..(*sheet.at).clone() };
    let message = match cells {
        [_] => said.to_owned(),
        _ => format!("{}{tail}: {said}", shown.join(", ")),
    };
    findings.push(Finding::new(code, place, message));
}

fn after((row, col): (u32, u32)) -> String {
    format!("{}{}", crate::findings::column_letters(col), row + 1)
}

/// The content of a cell; `Ok(None)` if blank, `Err` with the text of an error value.
pub(super) fn raw(value: &DataRef<'_>) -> Result<Option<Raw>, String> {
    Ok(match value {
        DataRef::Int(n) => Some(Raw::Number(*n as f64)),
        DataRef::Float(n) if !n.is_finite() => return Err("no finite number".into()),
        DataRef::Float(n) => Some(Raw::Number(*n)),
        DataRef::String(text) => text_or_blank(text),
        DataRef::SharedString(text) => text_or_blank(text),
        DataRef::Bool(flag) => Some(Raw::Flag(*flag)),
        DataRef::DateTime(time) if time.is_duration() => Some(Raw::Elapsed(time.as_f64())),
        DataRef::DateTime(time) => Some(Raw::Time(time.as_f64())),
        DataRef::DateTimeIso(text) => from_iso(text).map_or_else(|| text_or_blank(text), Some),
        DataRef::DurationIso(text) => duration(text).map_or_else(|| text_or_blank(text), Some),
        DataRef::Error(error) => return Err(error.to_string()),
        DataRef::Empty => None,
    })
}

/// A date or date and time in ISO 8601, as the serial day of the 1900 system.
fn from_iso(text: &str) -> Option<Raw> {
    let (day, clock) = text.split_once('T').unwrap_or((text, ""));
    let day: jiff::civil::Date = day.parse().ok()?;
    let days = jiff::civil::date(1899, 12, 30).until(day).ok()?.get_days();
    let clock = clock.split(['+', 'Z']).next().unwrap_or_default();
    let time = match clock {
        "" => 0.0,
        clock => {
            let time: jiff::civil::Time = clock.parse().ok()?;
            let seconds = f64::from(time.hour()) * 3600.0
                + f64::from(time.minute()) * 60.0
                + f64::from(time.second());
            seconds / 86_400.0
        }
    };
    Some(Raw::Time(f64::from(days) + time))
}

/// A duration such as `PT25H01M00S`, in days.
fn duration(text: &str) -> Option<Raw> {
    let mut seconds = 0.0;
    let mut number = String::new();
    for c in text.strip_prefix("PT")?.chars() {
        match c {
            '0'..='9' | '.' => number.push(c),
            unit => {
                let value: f64 = std::mem::take(&mut number).parse().ok()?;
                seconds += value
                    * [('H', 3600.0), ('M', 60.0), ('S', 1.0)]
                        .into_iter()
                        .find(|(letter, _)| *letter == unit)?
                        .1;
            }
        }
    }
    Some(Raw::Elapsed(seconds / 86_400.0))
}

fn text_or_blank(text: &str) -> Option<Raw> {
    if text.bytes().all(|b| (b'!'..0x7F).contains(&b)) && !text.is_empty() {
        return Some(Raw::Text(text.into()));
    }
    (!text.trim().is_empty()).then(|| Raw::Text(super::printable(text)))
}

fn plain(error: &calamine::XlsxError) -> String {
    let text = error.to_string();
    if text.to_lowercase().contains("password") {
        "it is password-protected; open it, remove the password and save it".into()
    } else if text.contains("sheet:type") {
        "it holds a macro or dialog sheet of an old kind; copy the data into a new xlsx workbook"
            .into()
    } else {
        // Where in a part that nobody sees tells nobody anything.
        let text = text.replace("at 0..0: ", "");
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
