//! Faults of real files in containers: each workbook is built here, part by part.

use std::io::Write;
use std::path::PathBuf;

use sparemesh::intake::{Intake, read};
use sparemesh::policy::{Columns, Policy};
use sparemesh::workbook::{Book, Limits, open};

/// A file with `bytes` in a folder of its own.
pub(crate) fn file(name: &str, bytes: &[u8]) -> (tempfile::TempDir, PathBuf) {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join(name);
    std::fs::write(&path, bytes).unwrap();
    (dir, path)
}

pub(crate) fn zip(parts: &[(&str, &str)]) -> Vec<u8> {
    let parts: Vec<_> = parts.iter().map(|(name, text)| (*name, text.as_bytes())).collect();
    zip_bytes(&parts)
}

pub(crate) fn zip_bytes(parts: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
        zip.write_all(text).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
const OFFICE: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";

/// What an xlsx is made of, where a test wants it otherwise than plain.
#[derive(Default)]
pub(crate) struct Parts<'a> {
    /// Everything inside `worksheet`.
    pub(crate) sheet: &'a str,
    /// Everything inside `styleSheet`.
    pub(crate) styles: &'a str,
    /// What follows `sheets` in the workbook.
    pub(crate) tail: &'a str,
    /// More sheets: name and kind of relation.
    pub(crate) more: &'a [(&'a str, &'a str)],
    /// Relations of the sheet, and parts.
    pub(crate) relations: &'a str,
    pub(crate) others: &'a [(&'a str, &'a str)],
    /// What precedes `sheets` in the workbook.
    pub(crate) lead: &'a str,
    /// Attributes of the sheet in the workbook.
    pub(crate) state: &'a str,
    /// The names of the strict kind of the standard.
    pub(crate) strict: bool,
}

pub(crate) fn xlsx(parts: &Parts<'_>) -> Vec<u8> {
    let mut sheets = format!("<sheet name=\"Fleet\" sheetId=\"1\"{} r:id=\"rId1\"/>", parts.state);
    let mut relations = format!(
        "<Relationship Id=\"rId1\" Type=\"{OFFICE}/worksheet\" Target=\"worksheets/sheet1.xml\"/>\
         <Relationship Id=\"rId9\" Type=\"{OFFICE}/styles\" Target=\"styles.xml\"/>"
    );
    for (at, (name, kind)) in (20..).zip(parts.more) {
        sheets.push_str(&format!("<sheet name=\"{name}\" sheetId=\"{at}\" r:id=\"rId{at}\"/>"));
        relations.push_str(&format!(
            "<Relationship Id=\"rId{at}\" Type=\"{OFFICE}/{kind}\" Target=\"other/{at}.xml\"/>"
        ));
    }
    let head = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>";
    let package = "http://schemas.openxmlformats.org/package/2006/relationships";
    let of =
        |inner: &str| format!("{head}<Relationships xmlns=\"{package}\">{inner}</Relationships>");
    let root = of(&format!(
        "<Relationship Id=\"rId1\" Type=\"{OFFICE}/officeDocument\" Target=\"xl/workbook.xml\"/>"
    ));
    let book = format!(
        "{head}<workbook xmlns=\"{MAIN}\" xmlns:r=\"{OFFICE}\">{}<sheets>{sheets}</sheets>{}</workbook>",
        parts.lead, parts.tail
    );
    let sheet = format!("{head}<worksheet xmlns=\"{MAIN}\">{}</worksheet>", parts.sheet);
    let styles = format!("{head}<styleSheet xmlns=\"{MAIN}\">{}</styleSheet>", parts.styles);
    let (relations, own) = (of(&relations), of(parts.relations));
    let mut all = vec![
        ("_rels/.rels", root.as_str()),
        ("xl/workbook.xml", &book),
        ("xl/_rels/workbook.xml.rels", &relations),
        ("xl/worksheets/sheet1.xml", &sheet),
        ("xl/styles.xml", &styles),
        ("xl/worksheets/_rels/sheet1.xml.rels", &own),
    ];
    all.extend(parts.others);
    if !parts.strict {
        return zip(&all);
    }
    let strict: Vec<(&str, String)> = all
        .iter()
        .map(|(name, text)| {
            let text = text.replace(MAIN, "http://purl.oclc.org/ooxml/spreadsheetml/main");
            (*name, text.replace(OFFICE, "http://purl.oclc.org/ooxml/officeDocument/relationships"))
        })
        .collect();
    zip(&strict.iter().map(|(name, text)| (*name, text.as_str())).collect::<Vec<_>>())
}

/// Rows of cells: `=f|v` a formula, digits a number, else text; `value@3` has style 3.
pub(crate) fn rows(rows: &[&[&str]]) -> String {
    let mut xml = String::from("<sheetData>");
    for (row, cells) in (1..).zip(rows) {
        xml.push_str(&format!("<row r=\"{row}\">"));
        for (col, cell) in ('A'..).zip(*cells) {
            let (text, style) = cell.split_once('@').unwrap_or((cell, "0"));
            let at = format!("r=\"{col}{row}\" s=\"{style}\"");
            if let Some((formula, value)) = text.strip_prefix('=').and_then(|f| f.split_once('|')) {
                let value =
                    if value.is_empty() { String::new() } else { format!("<v>{value}</v>") };
                xml.push_str(&format!("<c {at}><f>{formula}</f>{value}</c>"));
            } else if text.parse::<f64>().is_ok() {
                xml.push_str(&format!("<c {at}><v>{text}</v></c>"));
            } else if !text.is_empty() {
                xml.push_str(&format!("<c {at} t=\"inlineStr\"><is><t>{text}</t></is></c>"));
            }
        }
        xml.push_str("</row>");
    }
    xml + "</sheetData>"
}

pub(crate) fn book(name: &str, bytes: &[u8]) -> Book {
    let (_dir, path) = file(name, bytes);
    open(&path, name, Limits::default()).unwrap()
}

pub(crate) fn take_in(name: &str, bytes: &[u8]) -> Intake {
    read(vec![book(name, bytes)], &Policy::default(), &Columns::default())
}

pub(crate) fn says(intake: &Intake, code: &str) -> String {
    let found: Vec<String> = intake
        .findings
        .iter()
        .filter(|f| f.code.code == code)
        .map(|f| format!("{}: {}", f.place.address().unwrap_or_default(), f.message))
        .collect();
    found.join("\n")
}

pub(crate) const HEADINGS: &[&str] = &["Tag", "Machine", "Motor power [kW]", "Ratio", "Hours/day"];

#[test]
fn a_unit_may_stand_only_in_the_number_format() {
    let styles = "<numFmts count=\"3\"><numFmt numFmtId=\"164\" formatCode=\"0 &quot;hp&quot;\"/>\
        <numFmt numFmtId=\"165\" formatCode=\"&quot;1:&quot;0\"/><numFmt numFmtId=\"166\" formatCode=\"0 rpm\"/>\
        </numFmts><cellXfs count=\"4\"><xf numFmtId=\"0\"/><xf numFmtId=\"164\"/><xf numFmtId=\"165\"/>\
        <xf numFmtId=\"166\"/></cellXfs>";
    let sheet = rows(&[
        &["Tag", "Machine", "Motor power", "Ratio", "Motor speed"],
        &["A", "Pump", "15@1", "25@2", "1460@3"],
    ]);
    let bytes = xlsx(&Parts { sheet: &sheet, styles, ..Parts::default() });
    let position = &take_in("a.xlsx", &bytes).plant.positions[0];
    // 15 × 0.745 699 871 58 kW, by hand.
    assert!((position.motor_power_kw().unwrap() - 11.185_498).abs() < 1e-6);
    assert_eq!((position.ratio(), position.motor_speed_rpm()), (Some(25.0), Some(1460.0)));
}

#[test]
fn a_percentage_is_what_the_sheet_shows() {
    let styles = "<cellXfs count=\"2\"><xf numFmtId=\"0\"/><xf numFmtId=\"9\"/></cellXfs>";
    let sheet = rows(&[
        &["Tag", "Machine", "Motor kW", "Model", "Speed tolerance"],
        &["A", "Pump", "11", "X 1", "0.03@1"],
    ]);
    let bytes = xlsx(&Parts { sheet: &sheet, styles, ..Parts::default() });
    assert_eq!(take_in("a.xlsx", &bytes).plant.positions[0].speed_tolerance_pct(), Some(3.0));
}

#[test]
fn hidden_rows_and_columns_are_read_and_told() {
    let sheet = rows(&[HEADINGS, &["A", "Pump", "11", "25", "8"], &["B", "Pump", "15", "20", "8"]])
        .replace("<row r=\"3\">", "<row r=\"3\" hidden=\"1\">");
    let sheet = format!("<cols><col min=\"4\" max=\"4\" hidden=\"1\"/></cols>{sheet}");
    let intake = take_in("a.xlsx", &xlsx(&Parts { sheet: &sheet, ..Parts::default() }));
    assert_eq!(intake.plant.positions.len(), 2);
    assert_eq!(
        says(&intake, "WB-010"),
        ": 1 rows and 1 columns are hidden (rows 3; columns D); they were read like the others"
    );
}

#[test]
fn what_colour_and_notes_say_is_counted() {
    let styles = "<fonts count=\"2\"><font/><font><strike/></font></fonts>\
        <cellXfs count=\"2\"><xf numFmtId=\"0\" fontId=\"0\"/><xf numFmtId=\"0\" fontId=\"1\"/></cellXfs>";
    let sheet = rows(&[HEADINGS, &["A@1", "Pump", "11", "25", "8"]]);
    let comments = format!(
        "<comments xmlns=\"{MAIN}\"><commentList><comment ref=\"A2\"/><comment ref=\"B2\"/></commentList></comments>"
    );
    let relations = format!(
        "<Relationship Id=\"rId1\" Type=\"{OFFICE}/comments\" Target=\"../comments1.xml\"/>"
    );
    let bytes = xlsx(&Parts {
        sheet: &sheet,
        styles,
        relations: &relations,
        others: &[("xl/comments1.xml", &comments)],
        ..Parts::default()
    });
    let intake = take_in("a.xlsx", &bytes);
    assert_eq!(says(&intake, "WB-012"), ": notes that were not read hang on A2, B2");
    assert_eq!(says(&intake, "WB-013"), "A2: struck through; they were read like the others");
    assert_eq!(intake.plant.positions[0].tag(), Some("A"));
}

#[test]
fn formulas_that_cannot_be_trusted_are_told() {
    let sheet = rows(&[
        HEADINGS,
        &["A", "Pump", "=[1]Motors!B2|11", "25", "8"],
        &["B", "Pump", "=5+6|", "=5*5|0", "8"],
    ]);
    let app = "<Properties><Application>some xlsx writer</Application></Properties>";
    let bytes = xlsx(&Parts {
        sheet: &sheet,
        tail: "<calcPr calcMode=\"manual\"/>",
        others: &[("docProps/app.xml", app)],
        ..Parts::default()
    });
    let intake = take_in("a.xlsx", &bytes);
    assert!(says(&intake, "WB-009").starts_with("C3: "));
    assert!(says(&intake, "WB-011").contains("only when told"));
    assert!(says(&intake, "WB-015").starts_with("C2: worked out from another file"));
    assert!(says(&intake, "WB-016").starts_with("D3: "));
    assert_eq!(intake.plant.positions[0].motor_power_kw(), Some(11.0));
    assert_eq!(intake.plant.positions[1].motor_power_kw(), None);
}

#[test]
fn a_macro_sheet_does_not_cost_the_workbook() {
    let sheet = rows(&[HEADINGS, &["A", "Pump", "11", "25", "8"]]);
    let macros = format!("<xm:macrosheet xmlns:xm=\"{MAIN}\"/>");
    let bytes = xlsx(&Parts {
        sheet: &sheet,
        more: &[("Old macros", "xlMacrosheet")],
        others: &[("xl/other/20.xml", &macros)],
        ..Parts::default()
    });
    let intake = take_in("a.xlsm", &bytes);
    assert_eq!(intake.plant.positions.len(), 1);
    assert_eq!(says(&intake, "WB-014"), ": a macro sheet, no data");
}

#[test]
fn a_bad_cell_part_costs_that_cell() {
    let good = "<c r=\"A2\" t=\"inlineStr\"><is><t>A</t></is></c><c r=\"B2\" t=\"inlineStr\"><is><t>Pump</t></is></c>";
    for bad in [
        "<c r=\"C2\" t=\"e\"><v>#SPILL!</v></c>",
        "<c r=\"C2\" t=\"b\"><v>2</v></c>",
        "<c r=\"C2\" t=\"n\"><v>1,5</v></c>",
        "<c r=\"C2\" t=\"s\"><v>7</v></c>",
        "<c r=\"C2\"><v>1E400</v></c>",
        "<c r=\"C2\"><v>NaN</v></c>",
    ] {
        let head = rows(&[HEADINGS]).replace("</sheetData>", "");
        let sheet = format!(
            "<dimension ref=\"A1:XFD1048576\"/>{head}<row r=\"2\">{good}{bad}<c r=\"D2\"><v>25</v></c></row></sheetData>"
        );
        let intake = take_in("a.xlsx", &xlsx(&Parts { sheet: &sheet, ..Parts::default() }));
        let position = &intake.plant.positions[0];
        assert_eq!((position.motor_power_kw(), position.ratio()), (None, Some(25.0)), "{bad}");
        let told =
            ["WB-004", "WB-008", "IN-003"].iter().any(|code| !says(&intake, code).is_empty());
        assert!(told, "{bad}: {:?}", intake.findings);
    }
}

#[test]
fn a_declared_totals_row_is_no_unit() {
    let sheet = rows(&[
        HEADINGS,
        &["A", "Pump", "11", "25", "8"],
        &["Ergebnis aller", "x", "11", "25", "8"],
    ]);
    let table = format!(
        "<table xmlns=\"{MAIN}\" id=\"1\" name=\"T\" displayName=\"T\" ref=\"A1:E3\" totalsRowCount=\"1\"/>"
    );
    let relations = format!(
        "<Relationship Id=\"rId1\" Type=\"{OFFICE}/table\" Target=\"../tables/table1.xml\"/>"
    );
    let bytes = xlsx(&Parts {
        sheet: &sheet,
        relations: &relations,
        others: &[("xl/tables/table1.xml", &table)],
        ..Parts::default()
    });
    let intake = take_in("a.xlsx", &bytes);
    assert_eq!(intake.plant.positions.len(), 1);
    assert!(says(&intake, "IN-022").starts_with("A3: "));
}

#[test]
fn text_files_are_read_in_every_encoding_and_with_every_separator() {
    let text = "Tag;Machine;Motor power kW;Ratio\nA;Café;7,5;25:01:00\n\nB;Pump;11;1:20\n";
    let utf_16 = |bytes: fn(u16) -> [u8; 2], mark: &[u8]| {
        [mark, &text.encode_utf16().flat_map(bytes).collect::<Vec<u8>>()].concat()
    };
    let latin: Vec<u8> = text.chars().map(|c| c as u8).collect();
    let files: Vec<(&str, Vec<u8>)> = vec![
        ("utf-8", text.as_bytes().to_vec()),
        ("bom", [b"\xef\xbb\xbf", text.as_bytes()].concat()),
        ("1252", latin),
        ("utf-16le", utf_16(u16::to_le_bytes, &[0xFF, 0xFE])),
        ("utf-16be", utf_16(u16::to_be_bytes, &[0xFE, 0xFF])),
        ("utf-16le without mark", utf_16(u16::to_le_bytes, &[])),
        ("tabs", text.replace(';', "\t").into_bytes()),
        ("pipes", text.replace(';', "|").into_bytes()),
        ("carriage returns only", text.replace('\n', "\r").into_bytes()),
        ("both", text.replace('\n', "\r\n").into_bytes()),
        ("separator line", format!("sep=;\n{text}").into_bytes()),
    ];
    for (kind, bytes) in files {
        let intake = take_in("a.csv", &bytes);
        let got: Vec<_> =
            intake.plant.positions.iter().map(|p| (p.motor_power_kw(), p.ratio())).collect();
        assert_eq!(got, [(Some(7.5), Some(25.0)), (Some(11.0), Some(20.0))], "{kind}");
        assert_eq!(intake.plant.positions[0].driven_machine(), Some("Café"), "{kind}");
        // The blank line counts: an editor shows the second unit on line 4.
        let line = if kind == "separator line" { 4 } else { 3 };
        assert_eq!(intake.plant.positions[1].row, line, "{kind}");
    }
}

#[test]
fn odd_bytes_and_ragged_lines_are_told_with_their_line() {
    let text = b"Tag,Machine,Motor kW\nA,Pump,11\nB,Caf\xe9,15,left over\n";
    let intake = take_in("a.csv", text);
    assert!(says(&intake, "WB-006").contains("line 3, byte E9"), "{:?}", intake.findings);
    assert!(says(&intake, "WB-019").starts_with("D3: 1 rows hold more fields"));
    assert!(says(&intake, "IN-024").starts_with("D3: "));
}

#[test]
fn inch_marks_and_quoted_lines_survive_in_text() {
    let text = "Tag,Machine,Motor kW,Output shaft,Notes\nA,Pump,11,1 1/2\",plain\n\
        B,Pump,15,\"2 1/4\"\"\",\"two\nlines\"\nC,Pump,15,\"1-3/8 in\",\n";
    let intake = take_in("a.csv", text.as_bytes());
    let shafts: Vec<_> = intake.plant.positions.iter().map(|p| p.output_shaft_mm()).collect();
    // 1.5 × 25.4, 2.25 × 25.4 and 1.375 × 25.4 mm, by hand.
    for (got, want) in shafts.iter().zip([38.1, 57.15, 34.925]) {
        assert!((got.unwrap() - want).abs() < 1e-9);
    }
    assert_eq!(intake.plant.positions[1].note(), Some("two lines"));
}

/// A small OpenDocument spreadsheet.
pub(crate) fn ods(rows: &str) -> Vec<u8> {
    ods_with("", rows)
}

fn ods_with(styles: &str, rows: &str) -> Vec<u8> {
    let content = format!(
        "<?xml version=\"1.0\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\">{styles}<office:body><office:spreadsheet>\
         <table:table table:name=\"Fleet\">{rows}</table:table></office:spreadsheet></office:body>\
         </office:document-content>"
    );
    let manifest = "<?xml version=\"1.0\"?><manifest:manifest \
        xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"/>";
    zip(&[
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", &content),
        ("META-INF/manifest.xml", manifest),
    ])
}

pub(crate) fn ods_text(text: &str) -> String {
    format!(
        "<table:table-cell office:value-type=\"string\"><text:p>{text}</text:p></table:table-cell>"
    )
}

#[test]
fn a_ratio_that_became_a_time_or_date_comes_back_from_opendocument() {
    let row = |cells: &[String]| format!("<table:table-row>{}</table:table-row>", cells.concat());
    let time = |value: &str| {
        format!(
            "<table:table-cell office:value-type=\"time\" office:time-value=\"{value}\"><text:p>x</text:p></table:table-cell>"
        )
    };
    let date = "<table:table-cell office:value-type=\"date\" office:date-value=\"2025-01-25\"><text:p>x</text:p></table:table-cell>".to_owned();
    let plain =
        |tag: &str, ratio: String| row(&[ods_text(tag), ods_text("Pump"), ods_text("11"), ratio]);
    let all = [
        row(&["Tag", "Machine", "Motor kW", "Ratio"].map(ods_text)),
        plain("A", time("PT25H01M00S")),
        plain("B", time("PT1H20M0S")),
        plain("C", date),
    ];
    let intake = take_in("a.ods", &ods(&all.concat()));
    let ratios: Vec<_> = intake.plant.positions.iter().map(|p| p.ratio()).collect();
    assert_eq!(ratios, [Some(25.0), Some(20.0), Some(25.0)]);
    assert!(says(&intake, "IN-008").starts_with("D2: "));
}

#[test]
fn hidden_rows_notes_and_formats_of_opendocument_are_seen() {
    let styles = "<office:automatic-styles xmlns:number=\"urn:n\" xmlns:style=\"urn:s\">\
        <number:number-style style:name=\"N1\"><number:number/><number:text> kW</number:text></number:number-style>\
        <number:percentage-style style:name=\"N2\"><number:number/><number:text>%</number:text></number:percentage-style>\
        <style:style style:name=\"ce1\" style:family=\"table-cell\" style:data-style-name=\"N1\"/>\
        <style:style style:name=\"ce2\" style:family=\"table-cell\" style:data-style-name=\"N2\"/>\
        <style:style style:name=\"ce3\" style:family=\"table-cell\">\
        <style:text-properties style:text-line-through-style=\"solid\"/></style:style></office:automatic-styles>";
    let number = |style: &str, kind: &str, value: &str| {
        format!(
            "<table:table-cell table:style-name=\"{style}\" office:value-type=\"{kind}\" \
             office:value=\"{value}\"><text:p>x</text:p></table:table-cell>"
        )
    };
    let heads =
        ["Tag", "Machine", "Motor power", "Ratio", "Speed tolerance"].map(ods_text).concat();
    let struck =
        ods_text("25:1").replace("<table:table-cell", "<table:table-cell table:style-name=\"ce3\"");
    let noted = ods_text("A")
        .replace("<text:p>", "<office:annotation><text:p>old</text:p></office:annotation><text:p>");
    let cells = [
        noted,
        ods_text("Pump"),
        number("ce1", "float", "15"),
        struck,
        number("ce2", "percentage", "0.03"),
    ];
    let rows = format!(
        "<table:table-row>{heads}</table:table-row>\
         <table:table-row table:visibility=\"collapse\">{}</table:table-row>",
        cells.concat()
    );
    let bytes = ods_with(styles, &rows);
    let intake = take_in("a.ods", &bytes);
    let first = &intake.plant.positions[0];
    // 3 % stand in the cell as 0.03, and the unit of the power only in its format.
    assert_eq!((first.speed_tolerance_pct(), first.motor_power_kw()), (Some(3.0), Some(15.0)));
    assert!(says(&intake, "WB-010").contains("1 rows"), "{:?}", intake.findings);
    assert!(says(&intake, "WB-012").contains("hang on A2"), "{:?}", intake.findings);
    assert!(says(&intake, "WB-013").starts_with("D2: struck through"), "{:?}", intake.findings);
}

#[test]
fn far_corners_cost_no_memory_and_caps_are_kept() {
    let sheet = "<sheetData><row r=\"1\"><c r=\"A1\"><v>1</v></c></row>\
        <row r=\"1048576\"><c r=\"XFD1048576\"><v>2</v></c></row></sheetData>";
    let read = book("a.xlsx", &xlsx(&Parts { sheet, ..Parts::default() }));
    assert_eq!(read.sheets[0].cells.len(), 2);
    let (_dir, path) = file("b.csv", b"Tag,Machine,Motor kW\nA,Pump,11\n");
    let error = open(&path, "b.csv", Limits { cells: 3, ..Limits::default() }).unwrap_err();
    assert!(error.to_string().contains("more than 3 cells"), "{error}");
}
