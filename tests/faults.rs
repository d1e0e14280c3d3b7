//! Faults of layout, values and containers as plants' files have them, each on a small workbook.

use std::path::Path;

use crate::field::{HEADINGS, Parts, book, file, ods, ods_text, rows, says, take_in, xlsx, zip};
use sparemesh::intake::{Intake, read};
use sparemesh::policy::{Columns, Policy};
use sparemesh::workbook::{Limits, list, open};

fn csv(text: &str) -> Intake {
    take_in("a.csv", text.as_bytes())
}

fn sheet(inner: &str) -> Intake {
    take_in("a.xlsx", &xlsx(&Parts { sheet: inner, ..Parts::default() }))
}

#[test]
fn data_may_begin_anywhere_and_addresses_hold() {
    let inner = rows(&[HEADINGS, &["A", "Pump", "x11", "25", "8"]])
        .replace("<row r=\"1\">", "<row r=\"11\">")
        .replace("<row r=\"2\">", "<row r=\"12\">")
        .replace("1\" s=", "11\" s=")
        .replace("2\" s=", "12\" s=");
    let intake = sheet(&inner);
    assert_eq!(intake.plant.positions[0].row, 11);
    assert!(says(&intake, "IN-003").starts_with("C12: "), "{:?}", intake.findings);
}

#[test]
fn hidden_sheets_are_read_and_told() {
    let inner = rows(&[HEADINGS, &["A", "Pump", "11", "25", "8"]]);
    let bytes = xlsx(&Parts { sheet: &inner, state: " state=\"veryHidden\"", ..Parts::default() });
    let intake = take_in("a.xlsx", &bytes);
    assert_eq!(intake.plant.positions.len(), 1);
    assert_eq!(says(&intake, "WB-005"), ": the sheet is hidden");
}

#[test]
fn equal_and_blank_headings_are_told_by_their_columns() {
    let intake = csv("Tag,Machine,kW,,kW\nA,Pump,11,odd,15\nB,Pump,,odd,15\n");
    let powers: Vec<_> = intake.plant.positions.iter().map(|p| p.motor_power_kw()).collect();
    assert_eq!(powers, [Some(11.0), Some(15.0)]);
    assert!(says(&intake, "IN-025").contains("headings in C1 and E1"));
    assert!(says(&intake, "IN-024").starts_with("D2: 2 cells"));
}

#[test]
fn a_pivot_table_is_told() {
    let relations = "<Relationship Id=\"rId1\" Type=\"http://x/pivotTable\" Target=\"../p.xml\"/>";
    let inner = rows(&[HEADINGS, &["A", "Pump", "11", "25", "8"]]);
    let intake = take_in("a.xlsx", &xlsx(&Parts { sheet: &inner, relations, ..Parts::default() }));
    assert!(says(&intake, "WB-017").contains("sums of others"));
}

#[test]
fn an_error_value_costs_its_cell() {
    let inner = rows(&[HEADINGS, &["A", "Pump", "11", "25", "8"]])
        .replace("<c r=\"C2\" s=\"0\"><v>11</v>", "<c r=\"C2\" t=\"e\"><v>#N/A</v>");
    let intake = sheet(&inner);
    assert_eq!(says(&intake, "WB-008"), "C2: the cell shows #N/A");
    assert_eq!(intake.plant.positions[0].ratio(), Some(25.0));
}

#[test]
fn float_noise_is_not_shown() {
    let intake = sheet(&rows(&[HEADINGS, &["7.0000000000000009", "Pump", "11", "25", "8"]]));
    assert_eq!(intake.plant.positions[0].tag(), Some("7"));
}

#[test]
fn names_keep_their_zeros_and_lost_digits_are_told() {
    let intake = csv("Tag,Machine,Motor kW,Serial\n007,Pump,11,0123\n2E+169,Pump,11,5\n");
    assert_eq!(intake.plant.positions[0].tag(), Some("007"));
    assert_eq!(intake.plant.positions[0].serial(), Some("0123"));
    assert!(says(&intake, "IN-027").contains("A3: Tag is 2E+169"));
    let inner = rows(&[
        &["Tag", "Machine", "Motor kW", "Serial"],
        &["A", "Pump", "11", "12345678901234567"],
    ]);
    assert!(says(&sheet(&inner), "IN-027").contains("more than 15 digits"));
}

#[test]
fn a_tag_that_became_a_date_is_an_error() {
    let styles = "<cellXfs count=\"2\"><xf numFmtId=\"0\"/><xf numFmtId=\"16\"/></cellXfs>";
    let inner = rows(&[HEADINGS, &["45717@1", "Pump", "11", "25", "8"]]);
    let intake = take_in("a.xlsx", &xlsx(&Parts { sheet: &inner, styles, ..Parts::default() }));
    // 45 717 days after 30 December 1899 is 1 March 2025.
    assert!(says(&intake, "IN-027").contains("A2: the tag is a date, 2025-03-01"));
}

#[test]
fn both_date_systems_give_the_same_day() {
    let styles = "<cellXfs count=\"2\"><xf numFmtId=\"0\"/><xf numFmtId=\"14\"/></cellXfs>";
    // 1 January 2020: 43 831 in the system of 1900, 1 462 days fewer in that of 1904.
    for (serial, tail) in [("43831@1", ""), ("42369@1", "<workbookPr date1904=\"1\"/>")] {
        let head = &["Tag", "Machine", "Motor kW", "Installed on"];
        let inner = rows(&[head, &["A", "Pump", "11", serial]]);
        let intake = take_in(
            "a.xlsx",
            &xlsx(&Parts { sheet: &inner, styles, lead: tail, ..Parts::default() }),
        );
        let day = intake.plant.positions[0].installed_on().map(|d| d.to_string());
        assert_eq!(day.as_deref(), Some("2020-01-01"), "{tail}");
    }
}

#[test]
fn dates_that_cannot_be_and_dates_as_text() {
    let intake = csv(
        "Tag,Machine,Motor kW,Installed on\nA,Pump,11,31.10.2019\nB,Pump,11,2994-01-01\nC,Pump,11,Okt 2019\nD,Pump,11,soon\n",
    );
    let days: Vec<_> =
        intake.plant.positions.iter().map(|p| p.installed_on().map(|d| d.to_string())).collect();
    assert_eq!(days, [Some("2019-10-31".into()), None, Some("2019-10-01".into()), None]);
    assert_eq!(says(&intake, "IN-032").lines().count(), 2);
}

#[test]
fn yes_and_no_are_read_in_many_spellings() {
    let intake = csv(
        "Tag,Machine,Motor kW,Brake\nA,Pump,11,Y\nB,Pump,11,X\nC,Pump,11,nein\nD,Pump,11,0\nE,Pump,11,maybe\n",
    );
    let brakes: Vec<_> = intake.plant.positions.iter().map(|p| p.brake()).collect();
    assert_eq!(brakes, [Some(true), Some(true), Some(false), Some(false), None]);
    assert!(says(&intake, "IN-012").starts_with("D6: "));
}

#[test]
fn odd_blanks_wide_letters_and_look_alikes_are_read() {
    let intake = csv(
        "Tag,Machine,Motor power,Ratio,Output shaft\nA\u{a0}1,Pump,１１\u{a0}ｋＷ,25\u{2236}1,2½\u{2033}\n  B ,Pump,\"1\u{202f}200 W\",1\u{2044}25,60 mm\n",
    );
    let (a, b) = (&intake.plant.positions[0], &intake.plant.positions[1]);
    assert_eq!((a.tag(), b.tag()), (Some("A 1"), Some("B")));
    assert_eq!((a.motor_power_kw(), a.ratio()), (Some(11.0), Some(25.0)));
    // 2.5 × 25.4 mm and 1 200 W, by hand.
    assert!((a.output_shaft_mm().unwrap() - 63.5).abs() < 1e-9);
    assert!((b.motor_power_kw().unwrap() - 1.2).abs() < 1e-9);
    assert_eq!(b.ratio(), Some(25.0));
}

#[test]
fn ranges_and_joined_fractions_are_never_guessed() {
    let intake = csv(
        "Tag,Machine,Motor kW,Output shaft [in]\nA,Pump,10\u{2013}15,21/2\nB,Pump,approx. 11,2 1/2\n",
    );
    assert_eq!(intake.plant.positions[0].motor_power_kw(), None);
    assert_eq!(intake.plant.positions[0].output_shaft_mm(), None);
    assert_eq!(intake.plant.positions[1].motor_power_kw(), Some(11.0));
    assert_eq!(says(&intake, "IN-003").lines().count(), 2);
}

#[test]
fn words_for_not_known_are_blanks_and_counted() {
    let intake =
        csv("Tag,Machine,Motor kW,Ratio\nA,Pump,TBD,n/a\nB,Pump,unbekannt,?\nC,Pump,11,25\n");
    assert_eq!(says(&intake, "IN-037").lines().count(), 4);
    assert_eq!(intake.plant.positions[0].motor_power_kw(), None);
}

#[test]
fn strict_workbooks_and_cells_without_addresses_are_read() {
    let inner = rows(&[HEADINGS, &["A", "Pump", "11", "25", "8"]]);
    let bare: String = inner
        .split('<')
        .map(|tag| {
            if tag.starts_with("c r=") {
                tag.replacen(&tag[1..tag.find(" s=").unwrap()], "", 1)
            } else {
                tag.to_owned()
            }
        })
        .collect::<Vec<_>>()
        .join("<");
    assert!(!bare.contains("<c r="));
    assert_eq!(sheet(&bare).plant.positions[0].ratio(), Some(25.0));
    let strict = xlsx(&Parts { sheet: &inner, strict: true, ..Parts::default() });
    assert_eq!(take_in("a.xlsx", &strict).plant.positions[0].ratio(), Some(25.0));
}

#[test]
fn locked_old_and_foreign_files_are_left_out_or_refused() {
    let dir = tempfile::tempdir().unwrap();
    std::fs::write(dir.path().join("~$fleet.xlsx"), b"lock").unwrap();
    std::fs::write(dir.path().join("fleet.csv"), b"Tag,Machine,Motor kW\nA,Pump,11\n").unwrap();
    let listing = list(&[dir.path().to_path_buf()]).unwrap();
    assert_eq!(listing.files.len(), 1);
    assert!(
        listing.findings.iter().any(|f| f.message.contains("lock") || f.place.file.contains("~$"))
    );
    let refused = |name: &str, bytes: &[u8]| {
        let (_dir, path) = file(name, bytes);
        open(&path, name, Limits::default()).unwrap_err().to_string()
    };
    assert!(
        refused("a.xls", &[0x09, 0x04, 0x06, 0x00, 0, 0, 0x10, 0]).contains("Excel 4 or older")
    );
    assert!(refused("a.xls", b"<?xml version=\"1.0\"?><x/>").contains("XML document"));
}

#[test]
fn what_would_unpack_too_large_is_refused_before_unpacking() {
    let blanks = " ".repeat(3 << 20);
    let bytes = zip(&[("xl/workbook.xml", &blanks)]);
    let (_dir, path) = file("a.xlsx", &bytes);
    let error =
        open(&path, "a.xlsx", Limits { unpacked_bytes: 1 << 20, ..Limits::default() }).unwrap_err();
    assert!(error.to_string().contains("max_unpacked_mb"), "{error}");
}

#[test]
fn repeated_and_huge_runs_of_opendocument_cells_are_read_or_refused() {
    let row = |cells: &str| format!("<table:table-row>{cells}</table:table-row>");
    let head: String =
        ["Tag", "Machine", "Motor kW", "Absorbed power kW", "Ratio"].map(ods_text).concat();
    let twice = "<table:table-cell table:number-columns-repeated=\"2\" office:value-type=\"float\" office:value=\"11\"><text:p>11</text:p></table:table-cell>";
    let body = format!("{}{}{twice}{}", ods_text("A"), ods_text("Pump"), ods_text("25"));
    let intake = take_in("a.ods", &ods(&(row(&head) + &row(&body))));
    let p = &intake.plant.positions[0];
    assert_eq!(
        (p.motor_power_kw(), p.absorbed_power_kw(), p.ratio()),
        (Some(11.0), Some(11.0), Some(25.0))
    );
    let huge = "<table:table-row table:number-rows-repeated=\"1048576\"><table:table-cell table:number-columns-repeated=\"16384\" office:value-type=\"float\" office:value=\"1\"><text:p>1</text:p></table:table-cell></table:table-row>";
    let (_dir, path) = file("b.ods", &ods(huge));
    assert!(open(&path, "b.ods", Limits::default()).is_err());
}

#[test]
fn an_unclosed_quote_is_told() {
    let mut text = String::from("Tag,Machine,Motor kW\nA,\"Pump,11\n");
    text.push_str(&"B,Pump,11\n".repeat(30));
    assert!(says(&csv(&text), "WB-004").contains("does not close"));
}

#[test]
fn a_number_far_down_a_column_of_whole_numbers_keeps_its_decimals() {
    let mut text = String::from("Tag,Machine,Motor kW\n");
    for k in 0..300 {
        text.push_str(&format!("T-{k},Pump,11\n"));
    }
    text.push_str("T-last,Pump,7.5\n");
    assert_eq!(csv(&text).plant.positions[300].motor_power_kw(), Some(7.5));
}

/// What every container should give: field and value of each row.
fn typed(intake: &Intake) -> Vec<Vec<(String, String)>> {
    let row = |p: &sparemesh::records::Position| {
        p.entries().iter().map(|e| (e.field.name().to_owned(), e.value.to_string())).collect()
    };
    intake.plant.positions.iter().map(row).collect()
}

#[test]
fn one_fleet_gives_the_same_records_from_every_container() {
    let fleet: &[&[&str]] = &[
        &["Tag", "Machine", "Motor power [kW]", "Ratio", "Output shaft [mm]", "Hours/day"],
        &["CV-1", "Belt conveyor", "7.5", "24.97", "60", "16"],
        &["CV-2", "Bucket elevator", "11", "1:25", "2 3/8 in", "24"],
        &["P-3", "Pump, centrifugal", "15 hp", "25 to 1", "n/a", "8"],
    ];
    let from_xlsx = typed(&sheet(&rows(fleet)));
    let ods_rows: String = fleet
        .iter()
        .map(|cells| {
            let cells: String = cells
                .iter()
                .map(|cell| match cell.parse::<f64>() {
                    Ok(n) => format!("<table:table-cell office:value-type=\"float\" office:value=\"{n}\"><text:p>{n}</text:p></table:table-cell>"),
                    Err(_) => ods_text(cell),
                })
                .collect();
            format!("<table:table-row>{cells}</table:table-row>")
        })
        .collect();
    let line = |cells: &&[&str], sign: &str, comma: bool| {
        let cell = |c: &&str| {
            let c = if comma && c.parse::<f64>().is_ok() {
                c.replace('.', ",")
            } else {
                (*c).to_owned()
            };
            format!("\"{c}\"")
        };
        cells.iter().map(cell).collect::<Vec<_>>().join(sign) + "\n"
    };
    let plain: String = fleet.iter().map(|cells| line(cells, ",", false)).collect();
    let comma: String = fleet.iter().map(|cells| line(cells, ";", true)).collect();
    assert_eq!(from_xlsx.len(), 3);
    assert_eq!(from_xlsx, typed(&take_in("a.ods", &ods(&ods_rows))), "ods");
    assert_eq!(from_xlsx, typed(&csv(&plain)), "csv");
    assert_eq!(from_xlsx, typed(&csv(&comma)), "csv with decimal commas");
}

#[test]
fn a_blank_template_and_a_filled_one_read_back_clean() {
    let bytes = sparemesh::template::workbook().unwrap();
    let (_dir, path) = file("input.xlsx", &bytes);
    let read_back = read(
        vec![open(Path::new(&path), "input.xlsx", Limits::default()).unwrap()],
        &Policy::default(),
        &Columns::default(),
    );
    let loud: Vec<_> = read_back
        .findings
        .iter()
        .filter(|f| f.severity != sparemesh::findings::Severity::Note)
        .collect();
    assert!(loud.is_empty(), "{loud:?}");
    let unknown = |s: &&sparemesh::records::SheetRead| s.columns.iter().any(|c| c.field.is_none());
    assert_eq!(read_back.plant.files[0].sheets.iter().filter(unknown).count(), 0);
    assert_eq!(read_back.plant.files[0].sheets.len(), 6);
    assert!(book("input.xlsx", &bytes).sheets.iter().all(|s| !s.cells.is_empty()));
}

#[test]
fn tables_side_by_side_are_two_tables() {
    let intake = csv(
        "Tag,Model,Ratio,Motor kW,,Stock No,Make,Model,Ratio,Qty,Location\nPU-1,H 60,25,18.5,,S-1,Heron,H 107,30.1,1,A1\nPU-3,H 77,14,11,,,,,,,\n",
    );
    let tags: Vec<_> = intake.plant.positions.iter().filter_map(|p| p.tag()).collect();
    assert_eq!(tags, ["PU-1", "PU-3"]);
    let shelf = &intake.plant.shelf[0];
    assert_eq!(intake.plant.shelf.len(), 1);
    assert_eq!(
        (shelf.item(), shelf.model(), shelf.ratio()),
        (Some("S-1"), Some("H 107"), Some(30.1))
    );
}

#[test]
fn two_sizes_in_a_cell_are_no_fraction_and_no_group_of_thousands() {
    let intake = csv(
        "Tag,Machine,Ratio,Output shaft (mm),Weight (kg)\nA,Pump,25.4.24,60/65,3.2.1\nB,Pump,25 a 1,80 k6,300/310\n",
    );
    let (a, b) = (&intake.plant.positions[0], &intake.plant.positions[1]);
    assert_eq!((a.ratio(), a.output_shaft_mm(), a.mass_kg()), (None, None, None));
    assert_eq!((b.ratio(), b.output_shaft_mm(), b.mass_kg()), (Some(25.0), Some(80.0), None));
    assert_eq!(says(&intake, "IN-003").lines().count(), 3);
}

#[test]
fn values_that_no_unit_has_are_refused() {
    let inner = rows(&[
        &["Tag", "Machine", "Motor speed", "Ratio", "Output shaft [mm]", "Rated torque [kNm]"],
        &["A", "Pump", "1.45", "45292", "2.4375", "32000"],
    ]);
    let intake = sheet(&inner);
    // 2.4375 × 25.4 mm, by hand.
    let hints: Vec<_> = intake.findings.iter().filter_map(|f| f.hint.clone()).collect();
    assert!(hints.iter().any(|h| h.contains("inches, it is 61.9 mm")), "{hints:?}");
    let p = &intake.plant.positions[0];
    assert_eq!(
        (p.motor_speed_rpm(), p.ratio(), p.output_shaft_mm(), p.rated_torque_nm()),
        (None, None, None, None)
    );
}

#[test]
fn a_unit_in_a_heading_keeps_it_from_being_a_name() {
    let intake = csv(
        "Gearbox No,Tag,Model,Ratio,Drive kW,Drive rpm,Duty hours\nG1,CV-1,H 60,25,11,1460,24\n",
    );
    let p = &intake.plant.positions[0];
    assert_eq!(
        (p.tag(), p.motor_power_kw(), p.motor_speed_rpm(), p.hours_per_day()),
        (Some("CV-1"), Some(11.0), Some(1460.0), Some(24.0))
    );
}

#[test]
fn totals_of_text_figures_are_no_units() {
    for word in ["Total", "Summe", "Sous-total", "Gesamt", "Average"] {
        let intake = csv(&format!("Tag,Machine,Motor kW,Mass kg\nA,Pump,11,300\n{word},,22,600\n"));
        assert_eq!(intake.plant.positions.len(), 1, "{word}");
        assert!(says(&intake, "IN-022").starts_with("A3: "), "{word}");
    }
}

#[test]
fn a_sheet_without_a_known_table_names_its_headings() {
    let intake = csv("Colour,Ratio,Smell\nred,25,none\nblue,20,none\n");
    let said = says(&intake, "IN-001");
    assert!(
        said.contains(
            "if row 1 holds the headings, known are `Ratio`, not known `Colour`, `Smell`"
        ),
        "{said}"
    );
    assert_eq!(intake.plant.files[0].sheets[0].columns.len(), 3);
}

#[test]
fn a_column_of_units_speaks_for_the_number_beside_it() {
    let inner = rows(&[
        &["Tag", "Model", "Motor power", "Unit", "Mass", "UoM"],
        &["A", "H 60", "15", "hp", "400", "lb"],
        &["B", "H 60", "15", "kW", "180", "kg"],
    ]);
    let intake = sheet(&inner);
    let (a, b) = (&intake.plant.positions[0], &intake.plant.positions[1]);
    // 15 × 0.745 699 871 58 kW and 400 × 0.453 592 37 kg, by hand.
    assert!((a.motor_power_kw().unwrap() - 11.185_498).abs() < 1e-6);
    assert!((a.mass_kg().unwrap() - 181.436_948).abs() < 1e-6);
    assert_eq!(
        (a.model(), b.motor_power_kw(), b.mass_kg()),
        (Some("H 60"), Some(15.0), Some(180.0))
    );
}

#[test]
fn a_number_of_the_gearbox_is_a_tag() {
    let intake =
        csv("Gearbox No,Model,Ratio,Drive kW,Drive rpm\nG1,H 60,25,11,1460\nG2,H 60,25,11,1460\n");
    let tags: Vec<_> = intake.plant.positions.iter().filter_map(|p| p.tag()).collect();
    assert_eq!(tags, ["G1", "G2"]);
}

/// A table whose end is missing or misspelt would be read for ever.
#[test]
fn an_opendocument_sheet_that_never_ends_is_refused() {
    let rows = "<table:table-row><table:table-cell><text:p>Tag</text:p></table:table-cell></table:table-row>";
    for (from, to) in
        [("</table:table>", "</table:tablf>"), ("</table:table>", ""), ("</office:body>", "")]
    {
        let mut archive = ::zip::ZipArchive::new(std::io::Cursor::new(ods(rows))).unwrap();
        let mut content = String::new();
        std::io::Read::read_to_string(&mut archive.by_name("content.xml").unwrap(), &mut content)
            .unwrap();
        let content = content.replace(from, to);
        let bytes = zip(&[
            ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
            ("content.xml", &content),
        ]);
        let (_dir, path) = file("a.ods", &bytes);
        let error = open(&path, "a.ods", Limits::default()).unwrap_err();
        assert!(error.reason.contains("damaged"), "{error}");
    }
}

/// As many columns as a sheet can have: the last is read like the first.
#[test]
fn a_sheet_of_all_columns_is_read() {
    let more = |last: &str, word: &str| {
        let cells: Vec<String> = (4..16_384).map(|at| format!("{word} {at}")).collect();
        format!("{},{last}", cells.join(","))
    };
    let text = format!(
        "Tag,Machine,Ratio,{}\nA,Pump,25:1,{}\n",
        more("Motor power [kW]", "Remark"),
        more("11", "x")
    );
    let intake = csv(&text);
    let only = &intake.plant.positions[0];
    assert_eq!((only.ratio(), only.motor_power_kw()), (Some(25.0), Some(11.0)));
    assert_eq!(
        only.place(sparemesh::records::Field::motor_power_kw).address().as_deref(),
        Some("XFD2")
    );
}
