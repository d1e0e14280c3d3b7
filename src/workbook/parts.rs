//! What the reading library does not give, read from the parts of an xlsx in a second pass:
//! hidden rows and columns, number formats, strike-through, notes, manual calculation, formulas
//! that reach into other files, and sheets that are no worksheets.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::io::{BufReader, Cursor, Read};

use memchr::memmem;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::formats::{NumberFormat, built_in};

type Archive<'a> = zip::ZipArchive<Cursor<&'a [u8]>>;

/// What the parts say of a workbook.
#[derive(Debug, Default)]
pub(super) struct Parts {
    /// Styles by index.
    pub(super) styles: Vec<Style>,
    /// Whether the workbook calculates only when told.
    pub(super) manual: bool,
    /// Whether a cell is a date only by its number format.
    pub(super) dates_by_format: bool,
    /// Whether a program without a calculator wrote it.
    pub(super) by_writer: bool,
    /// Its sheets, in order.
    pub(super) sheets: Vec<SheetParts>,
}

/// One entry of the cell formats.
#[derive(Clone, Debug, Default)]
pub(super) struct Style {
    pub(super) format: NumberFormat,
    pub(super) strike: bool,
}

/// What the parts say of a sheet.
#[derive(Debug, Default)]
pub(super) struct SheetParts {
    pub(super) name: String,
    pub(super) hidden_rows: Vec<u32>,
    pub(super) hidden_columns: Vec<(u32, u32)>,
    /// Row, column and style of cells whose style matters.
    pub(super) styled: Vec<(u32, u32, u16)>,
    /// Cells whose formula reaches into another file.
    pub(super) elsewhere: Vec<(u32, u32)>,
    /// Cells whose formula holds no value.
    pub(super) unanswered: Vec<(u32, u32)>,
    /// Cells whose formula holds the value 0.
    pub(super) zeros: Vec<(u32, u32)>,
    /// First and last cell of merged ranges.
    pub(super) merges: Vec<((u32, u32), (u32, u32))>,
    /// Cells with notes.
    pub(super) notes: Vec<String>,
    pub(super) pivots: usize,
    /// Last rows of the sheet's declared tables that are totals.
    pub(super) totals: Vec<u32>,
}

/// A sheet as the workbook lists it.
#[derive(Debug)]
pub(super) struct Listed {
    pub(super) name: String,
    path: String,
    /// The last word of the relation's type: `worksheet`, `chartsheet`, `xlMacrosheet`…
    pub(super) kind: String,
}

/// The sheets of a workbook and the path of its main part.
pub(super) fn listed(bytes: &[u8]) -> Option<(String, Vec<Listed>)> {
    let mut zip = Archive::new(Cursor::new(bytes)).ok()?;
    let main = main_part(&mut zip)?;
    let relations = relations(&mut zip, &main);
    let mut sheets = Vec::new();
    walk(&mut zip, &main, |e| {
        if e.local_name().as_ref() == "sheet" {
            let id = any_attribute(e, "id").unwrap_or_default();
            let (kind, path) = relations.get(&id).cloned().unwrap_or_default();
            sheets.push(Listed { name: attribute(e, "name").unwrap_or_default(), path, kind });
        }
    })?;
    Some((main, sheets))
}

/// Reads the parts; what cannot be read is left at its default.
pub(super) fn read(bytes: &[u8]) -> Parts {
    let mut parts = Parts { dates_by_format: true, ..Parts::default() };
    let (Ok(mut zip), Some((main, sheets))) = (Archive::new(Cursor::new(bytes)), listed(bytes))
    else {
        return parts;
    };
    let _ = walk(&mut zip, &main, |e| {
        if e.local_name().as_ref() == "calcPr" {
            parts.manual = attribute(e, "calcMode").is_some_and(|mode| mode == "manual");
        }
    });
    parts.by_writer = text_of(&mut zip, "docProps/app.xml").is_some_and(|app| {
        ["writer", "openpyxl", "poi", "phpspreadsheet", "closedxml", "excelize", "exceljs"]
            .iter()
            .any(|word| application(&app).to_lowercase().contains(word))
    });
    parts.styles = styles(&mut zip, &main).unwrap_or_default();
    for sheet in sheets {
        let mut read = SheetParts { name: sheet.name, ..SheetParts::default() };
        if !sheet.path.is_empty() {
            let _ = cells(&mut zip, &sheet.path, &parts.styles, &mut read);
            beside(&mut zip, &sheet.path, &mut read);
        }
        parts.sheets.push(read);
    }
    parts
}

/// The workbook without the sheets at `drop`, for a reader that stumbles over their kind.
pub(super) fn without(bytes: &[u8], main: &str, drop: &[usize]) -> Option<Vec<u8>> {
    let mut zip = Archive::new(Cursor::new(bytes)).ok()?;
    let text = text_of(&mut zip, main)?;
    let mut out = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for at in 0..zip.len() {
        let entry = zip.by_index_raw(at).ok()?;
        if !entry.name().is_ok_and(|name| name.eq_ignore_ascii_case(main)) {
            out.raw_copy_file(entry).ok()?;
        }
    }
    let mut kept = String::new();
    let mut rest = text.as_str();
    let mut index = 0;
    while let Some(start) = rest.find("<sheet ").or_else(|| rest.find(":sheet ")) {
        let open = rest[..=start].rfind('<')?;
        let end = open + rest[open..].find('>')? + 1;
        kept.push_str(&rest[..open]);
        if !drop.contains(&index) {
            kept.push_str(&rest[open..end]);
        }
        index += 1;
        rest = &rest[end..];
    }
    kept.push_str(rest);
    out.start_file(main, zip::write::SimpleFileOptions::default()).ok()?;
    std::io::Write::write_all(&mut out, kept.as_bytes()).ok()?;
    Some(out.finish().ok()?.into_inner())
}

fn application(app: &str) -> &str {
    let after = app.split("<Application>").nth(1).unwrap_or_default();
    after.split('<').next().unwrap_or_default()
}

fn main_part(zip: &mut Archive<'_>) -> Option<String> {
    let mut found = None;
    let _ = walk(zip, "_rels/.rels", |e| {
        if attribute(e, "Type").is_some_and(|t| t.ends_with("/officeDocument")) {
            found = attribute(e, "Target").map(|t| t.trim_start_matches('/').to_owned());
        }
    });
    found.or_else(|| Some("xl/workbook.xml".to_owned()))
}

/// Relations of a part: kind and path by id.
fn relations(zip: &mut Archive<'_>, part: &str) -> BTreeMap<String, (String, String)> {
    let (folder, file) = part.rsplit_once('/').unwrap_or(("", part));
    let path = format!("{folder}/_rels/{file}.rels");
    let mut out = BTreeMap::new();
    let _ = walk(zip, path.trim_start_matches('/'), |e| {
        if let (Some(id), Some(kind), Some(target)) =
            (attribute(e, "Id"), attribute(e, "Type"), attribute(e, "Target"))
        {
            let kind = kind.rsplit('/').next().unwrap_or_default().to_owned();
            out.insert(id, (kind, resolve(folder, &target)));
        }
    });
    out
}

fn resolve(folder: &str, target: &str) -> String {
    if let Some(absolute) = target.strip_prefix('/') {
        return absolute.to_owned();
    }
    let mut parts: Vec<&str> = folder.split('/').filter(|p| !p.is_empty()).collect();
    for part in target.split('/') {
        match part {
            ".." => {
                parts.pop();
            }
            "." | "" => {}
            part => parts.push(part),
        }
    }
    parts.join("/")
}

fn index_of(zip: &Archive<'_>, path: &str) -> Option<usize> {
    zip.index_for_name(path).or_else(|| {
        // Case and slashes of another system are forgiven; only names as long can be meant.
        let same = |name: &str| {
            name.len() == path.len() && name.replace('\\', "/").eq_ignore_ascii_case(path)
        };
        let wanted = zip.file_names().filter_map(Result::ok).find(|name| same(name))?.to_string();
        zip.index_for_name(&wanted)
    })
}

fn text_of(zip: &mut Archive<'_>, path: &str) -> Option<String> {
    let at = index_of(zip, path)?;
    let mut text = String::new();
    zip.by_index(at).ok()?.read_to_string(&mut text).ok()?;
    Some(text)
}

/// Calls `see` for every element that opens.
fn walk(zip: &mut Archive<'_>, path: &str, mut see: impl FnMut(&BytesStart<'_>)) -> Option<()> {
    let at = index_of(zip, path)?;
    let mut xml = Reader::from_reader(BufReader::new(zip.by_index(at).ok()?));
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match xml.read_event_into(&mut buffer).ok()? {
            Event::Start(e) | Event::Empty(e) => see(&e),
            Event::Eof => return Some(()),
            _ => {}
        }
    }
}

fn attribute(e: &BytesStart<'_>, name: &str) -> Option<String> {
    let value = e.try_get_attribute(name).ok()??.value;
    let plain =
        quick_xml::escape::unescape(&value).map_or_else(|_| value.to_string(), Cow::into_owned);
    Some(plain)
}

/// An attribute by its local name: `r:id` under whatever prefix.
fn any_attribute(e: &BytesStart<'_>, local: &str) -> Option<String> {
    let found = e.attributes().with_checks(false).flatten().find(|a| {
        let key = a.key.as_ref();
        key.rsplit_once(':').is_some_and(|(_, name)| name == local)
    })?;
    Some(found.value.into_owned())
}

fn is_on(e: &BytesStart<'_>, name: &str) -> bool {
    attribute(e, name).is_some_and(|v| v == "1" || v == "true")
}

fn styles(zip: &mut Archive<'_>, main: &str) -> Option<Vec<Style>> {
    let path = relations(zip, main).into_values().find(|(kind, _)| kind == "styles")?.1;
    let mut codes: BTreeMap<u32, NumberFormat> = BTreeMap::new();
    let mut struck: Vec<bool> = Vec::new();
    let mut out: Vec<Style> = Vec::new();
    let (mut in_fonts, mut in_cells) = (false, false);
    walk(zip, &path, |e| {
        let number = |name: &str| attribute(e, name).and_then(|v| v.parse::<u32>().ok());
        match e.local_name().as_ref() {
            "numFmt" => {
                if let (Some(id), Some(code)) = (number("numFmtId"), attribute(e, "formatCode")) {
                    codes.insert(id, NumberFormat::read(&code));
                }
            }
            "fonts" => in_fonts = true,
            "fills" => in_fonts = false,
            "font" if in_fonts => struck.push(false),
            "strike" if in_fonts => {
                let off = attribute(e, "val").is_some_and(|v| v == "0" || v == "false");
                if let Some(last) = struck.last_mut() {
                    *last = !off;
                }
            }
            "cellXfs" => in_cells = true,
            "cellStyles" | "dxfs" | "cellStyleXfs" => in_cells = false,
            "xf" if in_cells => {
                let id = number("numFmtId").unwrap_or(0);
                let format =
                    codes.get(&id).cloned().unwrap_or_else(|| NumberFormat::read(built_in(id)));
                let font = number("fontId").unwrap_or(0) as usize;
                out.push(Style { format, strike: struck.get(font).copied().unwrap_or(false) });
            }
            _ => {}
        }
    })?;
    Some(out)
}

/// Rows, columns and cells of a sheet.
fn cells(zip: &mut Archive<'_>, path: &str, styles: &[Style], out: &mut SheetParts) -> Option<()> {
    // A style matters if it is struck through, says something, or might be taken for a date.
    let matters: Vec<bool> =
        styles.iter().map(|s| s.strike || s.format.says_something() || s.format.date).collect();
    let at = index_of(zip, path)?;
    if says_nothing(zip.by_index(at).ok()?, &matters) == Some(true) {
        return Some(());
    }
    let mut xml = Reader::from_reader(BufReader::with_capacity(1 << 16, zip.by_index(at).ok()?));
    let mut buffer = Vec::new();
    let (mut row, mut next_row, mut col) = (0_u32, 0_u32, 0_u32);
    let mut inside = Inside::Nothing;
    let (mut has_formula, mut has_value) = (false, false);
    loop {
        buffer.clear();
        match xml.read_event_into(&mut buffer).ok()? {
            Event::Start(e) | Event::Empty(e) => match e.local_name().as_ref() {
                "c" => {
                    let (place, style, is_text) = cell_attributes(&e);
                    if let Some(place) = place {
                        (row, col) = place;
                    }
                    // A text of no letters is an answer.
                    (has_formula, has_value) = (false, is_text);
                    let style = style.unwrap_or(0);
                    if matters.get(style as usize).copied().unwrap_or(false) {
                        out.styled.push((row, col, style));
                    }
                    col += 1;
                }
                "row" => {
                    let number = attribute(&e, "r").and_then(|r| r.parse::<u32>().ok());
                    row = number.and_then(|r| r.checked_sub(1)).unwrap_or(next_row);
                    next_row = row + 1;
                    col = 0;
                    if is_on(&e, "hidden") {
                        out.hidden_rows.push(row);
                    }
                }
                "f" => {
                    has_formula = true;
                    inside = Inside::Formula;
                }
                "v" => inside = Inside::Value,
                "mergeCell" => {
                    let reference = attribute(&e, "ref").unwrap_or_default();
                    let (first, last) =
                        reference.split_once(':').unwrap_or((&reference, &reference));
                    out.merges.extend(address(first).zip(address(last)));
                }
                "col" if is_on(&e, "hidden") => {
                    let number = |name| attribute(&e, name).and_then(|v| v.parse::<u32>().ok());
                    if let (Some(first), Some(last)) = (number("min"), number("max")) {
                        out.hidden_columns
                            .push((first.saturating_sub(1), last.saturating_sub(1).min(16_383)));
                    }
                }
                _ => {}
            },
            Event::Text(text) if inside != Inside::Nothing && has_formula => {
                let at = (row, col.saturating_sub(1));
                has_value |= inside == Inside::Value && !text.trim().is_empty();
                match inside {
                    Inside::Formula if text.contains('[') && text.contains('!') => {
                        out.elsewhere.push(at);
                    }
                    Inside::Value if &*text == "0" => out.zeros.push(at),
                    _ => {}
                }
            }
            Event::End(e) => {
                inside = Inside::Nothing;
                if has_formula && !has_value && e.local_name().as_ref() == "c" {
                    out.unanswered.push((row, col.saturating_sub(1)));
                }
            }
            Event::Eof => return Some(()),
            _ => {}
        }
    }
}

/// Whether a sheet's part holds none of the words that the second pass looks for, which a scan of
/// its bytes tells in a fraction of the time of reading its elements.
fn says_nothing(mut part: impl Read, matters: &[bool]) -> Option<bool> {
    /// As long as the longest of the words, so that none is cut in two.
    const OVERLAP: usize = 16;
    let mut words = vec!["<f", "hidden", "mergeCell"];
    if matters.iter().any(|m| *m) {
        words.push(" s=");
    }
    if matters.first().copied().unwrap_or(false) {
        return Some(false);
    }
    let finders: Vec<_> = words.into_iter().map(memmem::Finder::new).collect();
    let mut bytes = vec![0; 1 << 16];
    let (mut kept, mut plain) = (0, false);
    loop {
        let read = part.read(&mut bytes[kept..]).ok()?;
        let full = kept + read;
        // Elements with a prefix, or in an encoding of two bytes, are left to the slow way.
        plain = plain || memmem::find(&bytes[..full], b"<worksheet").is_some();
        if finders.iter().any(|f| f.find(&bytes[..full]).is_some()) {
            return Some(false);
        }
        if read == 0 {
            return Some(plain);
        }
        let keep = full.min(OVERLAP);
        bytes.copy_within(full - keep..full, 0);
        kept = keep;
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Inside {
    Nothing,
    Formula,
    Value,
}

/// Address and style of a `c` element, and whether it holds the text of a formula.
fn cell_attributes(e: &BytesStart<'_>) -> (Option<(u32, u32)>, Option<u16>, bool) {
    let (mut place, mut style, mut is_text) = (None, None, false);
    for attribute in e.attributes().with_checks(false).flatten() {
        match attribute.key.as_ref() {
            "r" => place = address(&attribute.value),
            "s" => style = attribute.value.parse().ok(),
            "t" => is_text = &*attribute.value == "str",
            _ => {}
        }
    }
    (place, style, is_text)
}

/// `C7` as row and column from 0.
fn address(text: &str) -> Option<(u32, u32)> {
    let digits = text.find(|c: char| c.is_ascii_digit())?;
    let row: u32 = text[digits..].parse().ok()?;
    let col = text[..digits].bytes().try_fold(0_u32, |col, letter| {
        let letter = letter.to_ascii_uppercase();
        letter.is_ascii_uppercase().then(|| col * 26 + u32::from(letter - b'A') + 1)
    })?;
    Some((row.checked_sub(1)?, col.checked_sub(1)?))
}

/// Notes, pivot tables and declared tables that belong to a sheet.
fn beside(zip: &mut Archive<'_>, sheet: &str, out: &mut SheetParts) {
    for (kind, path) in relations(zip, sheet).into_values() {
        match kind.as_str() {
            "comments" | "threadedComment" => {
                let _ = walk(zip, &path, |e| {
                    if e.local_name().as_ref() == "comment" {
                        out.notes.push(attribute(e, "ref").unwrap_or_default());
                    }
                });
            }
            "pivotTable" => out.pivots += 1,
            "table" => {
                let _ = walk(zip, &path, |e| {
                    let totals = attribute(e, "totalsRowCount").is_some_and(|n| n != "0");
                    if e.local_name().as_ref() == "table" && totals {
                        let reference = attribute(e, "ref").unwrap_or_default();
                        let last = reference.rsplit(':').next().and_then(address);
                        out.totals.extend(last.map(|(row, _)| row));
                    }
                });
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_and_targets_are_read() {
        assert_eq!(address("A1"), Some((0, 0)));
        assert_eq!(address("XFD1048576"), Some((1_048_575, 16_383)));
        assert_eq!(address("A0"), None);
        assert_eq!(resolve("xl", "worksheets/sheet1.xml"), "xl/worksheets/sheet1.xml");
        assert_eq!(resolve("xl/worksheets", "../tables/table1.xml"), "xl/tables/table1.xml");
        assert_eq!(resolve("xl", "/xl/worksheets/s.xml"), "xl/worksheets/s.xml");
    }
}
