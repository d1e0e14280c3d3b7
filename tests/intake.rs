//! Small workbooks, each with one fault seen in the field, built here.

use std::path::{Path, PathBuf};

use rust_xlsxwriter::{Format, Workbook, Worksheet};
use sparemesh::findings::Severity;
use sparemesh::intake::{Intake, read};
use sparemesh::policy::{Columns, Policy};
use sparemesh::workbook::{Limits, OpenError, open};

/// A workbook of one sheet in a folder of its own.
fn book(fill: impl FnOnce(&mut Worksheet)) -> (tempfile::TempDir, PathBuf) {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("fleet.xlsx");
    let mut book = Workbook::new();
    fill(book.add_worksheet());
    book.save(&path).unwrap();
    (dir, path)
}

fn rows(sheet: &mut Worksheet, first: u32, rows: &[&[&str]]) {
    for (row, cells) in (first..).zip(rows) {
        for (col, cell) in (0_u16..).zip(*cells) {
            // A leading apostrophe keeps a number text, as in a spreadsheet.
            if let Some(text) = cell.strip_prefix('\'') {
                sheet.write(row, col, text).unwrap();
                continue;
            }
            match cell.parse::<f64>() {
                Ok(number) => sheet.write(row, col, number).unwrap(),
                Err(_) if cell.is_empty() => continue,
                Err(_) => sheet.write(row, col, *cell).unwrap(),
            };
        }
    }
}

fn take_in(path: &Path) -> Intake {
    let book = open(path, "fleet.xlsx", Limits::default()).unwrap();
    read(vec![book], &Policy::default(), &Columns::default())
}

fn codes(intake: &Intake) -> Vec<&'static str> {
    let mut codes: Vec<_> = intake.findings.iter().map(|f| f.code.code).collect();
    codes.sort_unstable();
    codes.dedup();
    codes
}

#[test]
fn headings_are_found_below_titles_and_counts_add_up() {
    let (_dir, path) = book(|sheet| {
        rows(sheet, 0, &[&["Gear reducers of the mill"], &["as of October"]]);
        rows(
            sheet,
            4,
            &[
                &["Tag", "Driven machine", "Motor power [kW]", "Motor speed", "Ratio", "Model"],
                &["CV-1", "Belt conveyor", "11", "1460", "25", "Heron 140"],
                &["Tag", "Driven machine", "Motor power [kW]", "Motor speed", "Ratio", "Model"],
                &["CV-2", "Belt conveyor", "15 hp", "'1.460", "25:1", "Heron 160"],
                &["Total", "", "26", "", "", ""],
                &["", "", "", "", "", ""],
                &["Remark: counted by hand last autumn by the crew"],
            ],
        );
    });
    let intake = take_in(&path);
    let sheet = &intake.plant.files[0].sheets[0];
    assert_eq!(sheet.header_rows, [5]);
    assert_eq!((sheet.rows_read, sheet.rows_used, sheet.rows_set_aside), (5, 2, 3));
    let second = &intake.plant.positions[1];
    // 15 × 0.745 699 871 58 kW, by hand.
    assert!((second.motor_power_kw().unwrap() - 11.185_498).abs() < 1e-6);
    assert_eq!((second.motor_speed_rpm(), second.ratio()), (Some(1460.0), Some(25.0)));
    assert_eq!(
        second.place(sparemesh::records::Field::ratio).to_string(),
        "fleet.xlsx 'Sheet1'!E8"
    );
    for code in ["IN-022", "IN-023", "IN-024", "IN-035"] {
        assert!(codes(&intake).contains(&code), "{code} in {:?}", codes(&intake));
    }
}

#[test]
fn a_bad_cell_costs_that_cell_only() {
    let (_dir, path) = book(|sheet| {
        rows(
            sheet,
            0,
            &[
                &["Tag", "Machine", "Motor kW", "Ratio", "Hours/day"],
                &["A-1", "Pump", "1l", "25:l", "24"],
                &["A-2", "Pump", "11", "25", "24"],
            ],
        );
    });
    let intake = take_in(&path);
    let first = &intake.plant.positions[0];
    assert_eq!(
        (first.motor_power_kw(), first.ratio(), first.hours_per_day()),
        (None, None, Some(24.0))
    );
    let bad: Vec<String> = intake
        .findings
        .iter()
        .filter(|f| f.severity == Severity::Error)
        .map(|f| {
            format!(
                "{} {} {}",
                f.code.code,
                f.place.address().unwrap(),
                f.hint.clone().unwrap_or_default()
            )
        })
        .collect();
    assert_eq!(
        bad,
        [
            "IN-003 C2 a letter may stand for a digit; did you mean `11`?",
            "IN-010 D2 a letter may stand for a digit; did you mean `25:1`?"
        ]
    );
}

#[test]
fn ratios_that_became_times_and_dates_come_back() {
    let (_dir, path) = book(|sheet| {
        rows(sheet, 0, &[&["Tag", "Machine", "Motor kW", "Ratio"]]);
        let elapsed = Format::new().set_num_format("[h]:mm:ss");
        let clock = Format::new().set_num_format("h:mm");
        let day = Format::new().set_num_format("d-mmm");
        // 25 h 01 min; 1 h 25 min; 25 January 2025; 4 March 2025; 8:30 in the morning.
        let stored = [
            (25.0 / 24.0 + 1.0 / 1440.0, &elapsed),
            (85.0 / 1440.0, &clock),
            (45_682.0, &day),
            (45_720.0, &day),
            (0.354_166_67, &clock),
        ];
        for (row, (value, format)) in (1_u32..).zip(stored) {
            sheet.write(row, 0, format!("T-{row}")).unwrap();
            sheet.write(row, 1, "Pump").unwrap();
            sheet.write(row, 2, 11).unwrap();
            sheet.write_with_format(row, 3, value, format).unwrap();
        }
    });
    let intake = take_in(&path);
    let ratios: Vec<_> = intake.plant.positions.iter().map(|p| p.ratio()).collect();
    assert_eq!(ratios, [Some(25.0), Some(25.0), Some(25.0), None, None]);
    let count = |code: &str| intake.findings.iter().filter(|f| f.code.code == code).count();
    assert_eq!((count("IN-008"), count("IN-009")), (3, 2));
}

#[test]
fn merged_headings_and_merged_areas_are_spread() {
    let (_dir, path) = book(|sheet| {
        let format = Format::new();
        sheet.merge_range(0, 2, 0, 3, "Motor", &format).unwrap();
        rows(sheet, 1, &[&["Area", "Tag", "Power [kW]", "Speed [rpm]", "Model"]]);
        sheet.merge_range(2, 0, 3, 0, "Yard", &format).unwrap();
        for (row, tag) in (2_u32..).zip(["A", "B"]) {
            sheet.write(row, 1, tag).unwrap();
            sheet.write(row, 2, 11).unwrap();
            sheet.write(row, 3, 1460).unwrap();
            sheet.write(row, 4, "Heron 140").unwrap();
        }
    });
    let intake = take_in(&path);
    let last = &intake.plant.positions[1];
    assert_eq!(
        (last.area(), last.motor_power_kw(), last.motor_speed_rpm()),
        (Some("Yard"), Some(11.0), Some(1460.0))
    );
    assert!(codes(&intake).contains(&"IN-034"));
}

#[test]
fn a_semicolon_file_with_decimal_commas_is_read() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("fleet.csv");
    std::fs::write(&path, b"Tag;Machine;Motor power kW;Motor speed;Ratio\r\nA;Pump;7,5;1.450;24,97\r\nB;Caf\xe9;11;1460;1:20\r\n").unwrap();
    let intake = take_in(&path);
    let first = &intake.plant.positions[0];
    assert_eq!(
        (first.motor_power_kw(), first.motor_speed_rpm(), first.ratio()),
        (Some(7.5), Some(1450.0), Some(24.97))
    );
    assert_eq!(intake.plant.positions[1].driven_machine(), Some("Café"));
    assert!(codes(&intake).contains(&"WB-006"));
}

#[test]
fn one_tag_twice_is_one_unit_or_two() {
    let (_dir, path) = book(|sheet| {
        rows(
            sheet,
            0,
            &[
                &["Tag", "Machine", "Motor kW", "Serial"],
                &["A-1", "Pump", "11", "S1"],
                &["A-1", "Pump", "15", "S1"],
                &["B-1", "Pump", "11", "S2"],
                &["B-1", "Pump", "11", "S3"],
                &["", "Pump", "11", "S4"],
            ],
        );
    });
    let intake = take_in(&path);
    let tags: Vec<_> = intake.plant.positions.iter().filter_map(|p| p.tag()).collect();
    assert_eq!(tags, ["A-1", "B-1/1", "B-1/2"]);
    for code in ["IN-013", "IN-015", "IN-016", "IN-017"] {
        assert!(codes(&intake).contains(&code), "{code}");
    }
    let sheet = &intake.plant.files[0].sheets[0];
    assert_eq!((sheet.rows_read, sheet.rows_used, sheet.rows_set_aside), (5, 3, 2));
}

#[test]
fn numbers_for_consequence_are_never_guessed() {
    let (_dir, path) = book(|sheet| {
        rows(
            sheet,
            0,
            &[
                &["Tag", "Machine", "Motor kW", "Criticality"],
                &["A", "Pump", "11", "1"],
                &["B", "Pump", "11", "A"],
            ],
        );
    });
    let book_read = open(&path, "fleet.xlsx", Limits::default()).unwrap();
    let intake = read(vec![book_read.clone()], &Policy::default(), &Columns::default());
    assert_eq!(intake.plant.positions[0].consequence(), None);
    assert_eq!(intake.plant.positions[1].consequence(), Some("people"));
    assert!(codes(&intake).contains(&"IN-028"));
    let policy = Policy { consequence_order: vec!["1".into(), "2".into()], ..Policy::default() };
    let intake = read(vec![book_read], &policy, &Columns::default());
    assert_eq!(intake.plant.positions[0].consequence(), Some("people"));
}

#[test]
fn a_column_without_a_unit_is_tested_not_guessed() {
    let fleet = |powers: [&str; 4]| {
        book(move |sheet| {
            rows(sheet, 0, &[&["Tag", "Machine", "Motor power", "Ratio"]]);
            for (row, power) in (1_u32..).zip(powers) {
                rows(sheet, row, &[&[&format!("T-{row}"), "Pump", power, "25"]]);
            }
        })
    };
    let (_dir, path) = fleet(["5.5", "11", "18.5", "22"]);
    let intake = take_in(&path);
    assert_eq!(intake.plant.positions[0].motor_power_kw(), Some(5.5));
    assert!(codes(&intake).contains(&"IN-005"));
    let (_dir, path) = fleet(["10", "20", "25", "50"]);
    let intake = take_in(&path);
    assert!((intake.plant.positions[0].motor_power_kw().unwrap() - 7.456_998_7).abs() < 1e-6);
    let (_dir, path) = fleet(["13", "17", "19", "23"]);
    let intake = take_in(&path);
    assert_eq!(intake.plant.positions[0].motor_power_kw(), None);
    assert!(codes(&intake).contains(&"IN-006"));
}

#[test]
fn the_plates_torque_of_the_motor_is_no_rating() {
    let (_dir, path) = book(|sheet| {
        rows(
            sheet,
            0,
            &[
                &[
                    "Tag",
                    "Machine",
                    "Motor kW",
                    "Motor speed",
                    "Ratio",
                    "Rated torque [Nm]",
                    "Gear type",
                    "Service factor",
                ],
                // 9549.3 × 7.5 × 0.9409 / 58 = 1161.8 N·m is what the motor itself gives.
                &["A", "Pump, centrifugal", "7.5", "1450", "25", "1160", "helical 2-stage", ""],
                &["B", "Pump, centrifugal", "7.5", "1450", "25", "2400", "helical 2-stage", ""],
            ],
        );
    });
    let intake = take_in(&path);
    let (rated, findings) = sparemesh::rating::rate(&intake.plant, &Policy::default());
    assert!(rated[0].capacity.torque.is_none() && rated[0].capacity.motor_limited);
    assert!(findings.iter().any(|f| f.code.code == "RA-003"));
    assert!((rated[1].capacity.torque.unwrap().value() - 2400.0).abs() < 1e-6);
}

#[test]
fn protected_and_foreign_files_are_refused_in_words() {
    let dir = tempfile::tempdir().unwrap();
    let refused = |name: &str, bytes: &[u8]| -> String {
        let path = dir.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        let error: OpenError = open(&path, name, Limits::default()).unwrap_err();
        error.to_string()
    };
    // A compound file whose directory names an encrypted package.
    let mut protected = vec![0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];
    protected.resize(600, 0);
    protected.extend("EncryptedPackage".encode_utf16().flat_map(u16::to_le_bytes));
    assert_eq!(
        refused("a.xlsx", &protected),
        "cannot read `a.xlsx`: it is password-protected; open it, remove the password and save it"
    );
    assert_eq!(
        refused("b.xls", b"<html><table><tr><td>Tag</td></tr></table></html>"),
        "cannot read `b.xls`: it is a web page, not a spreadsheet; open it and save it as xlsx"
    );
    assert!(refused("c.xlsx", b"PK\x03\x04rest").contains("incomplete or damaged (8 bytes)"));
    assert_eq!(refused("d.csv", b""), "cannot read `d.csv`: it is empty");
}

#[test]
fn a_mapping_file_overrules_a_heading() {
    let (_dir, path) = book(|sheet| {
        rows(
            sheet,
            0,
            &[&["Tag", "Machine", "Motor kW", "Colour of plate"], &["A", "Pump", "11", "25"]],
        );
    });
    let book_read = open(&path, "fleet.xlsx", Limits::default()).unwrap();
    let mapping: Columns =
        toml::from_str("[[column]]\ncolumn = \"Colour of plate\"\nfield = \"ratio\"\n").unwrap();
    let intake = read(vec![book_read], &Policy::default(), &mapping);
    assert_eq!(intake.plant.positions[0].ratio(), Some(25.0));
}

#[test]
fn a_mapping_file_rescues_a_sheet_whose_headings_nobody_knows() {
    let (_dir, path) = book(|sheet| {
        rows(sheet, 0, &[&["Alpha", "Beta", "Gamma", "Delta"], &["A", "Pump", "11", "25"]]);
    });
    let book_read = open(&path, "fleet.xlsx", Limits::default()).unwrap();
    let line = |column: &str, field: &str| {
        format!("[[column]]\ncolumn = \"{column}\"\nfield = \"{field}\"\n")
    };
    let text = [
        line("Alpha", "tag"),
        line("B", "driven_machine"),
        line("Gamma", "motor_power_kw") + "unit = \"kW\"\n",
        line("Delta", "ignore"),
    ]
    .concat();
    let mapping: Columns = toml::from_str(&text).unwrap();
    let intake = read(vec![book_read], &Policy::default(), &mapping);
    let position = &intake.plant.positions[0];
    assert_eq!(
        (position.tag(), position.motor_power_kw(), position.ratio()),
        (Some("A"), Some(11.0), None)
    );
}

#[test]
fn values_that_cannot_be_count_as_unknown() {
    let (_dir, path) = book(|sheet| {
        rows(
            sheet,
            0,
            &[
                &[
                    "Tag",
                    "Machine",
                    "Motor kW",
                    "Hours/day",
                    "Starts per hour",
                    "Downtime cost",
                    "Absorbed power kW",
                ],
                &["A", "Pump", "5.5", "-1", "-3", "-500", "50"],
                &["B", "Pump", "5.5", "25", "4", "1e300", "4"],
            ],
        );
    });
    let intake = take_in(&path);
    let (a, b) = (&intake.plant.positions[0], &intake.plant.positions[1]);
    assert_eq!(
        (a.hours_per_day(), a.starts_per_hour(), a.down_cost_per_hour()),
        (None, None, None)
    );
    assert_eq!(
        (b.hours_per_day(), b.starts_per_hour(), b.down_cost_per_hour()),
        (None, Some(4.0), None)
    );
    let count = |code: &str| intake.findings.iter().filter(|f| f.code.code == code).count();
    assert_eq!(count("IN-003"), 5);
    assert_eq!(count("IN-027"), 1, "absorbed power of ten motors is worth a word");
}

#[test]
fn a_tag_that_sounds_like_a_total_is_a_tag() {
    let (_dir, path) = book(|sheet| {
        rows(
            sheet,
            0,
            &[
                &["Tag", "Machine", "Motor kW", "Model"],
                &["SUM-101", "Pump", "11", "X 1"],
                &["Total", "", "11", ""],
            ],
        );
    });
    let tags: Vec<_> =
        take_in(&path).plant.positions.iter().map(|p| p.tag().unwrap().to_owned()).collect();
    assert_eq!(tags, ["SUM-101"]);
}

#[test]
fn cells_beside_the_headings_are_named() {
    let (_dir, path) = book(|sheet| {
        rows(sheet, 0, &[&["Tag", "Machine", "Motor kW"], &["A", "Pump", "11", "'by hand", "7"]]);
    });
    let intake = take_in(&path);
    let cells: Vec<_> = intake
        .findings
        .iter()
        .filter(|f| f.code.code == "IN-024")
        .map(|f| f.place.address().unwrap())
        .collect();
    assert_eq!(cells, ["D2", "E2"]);
}

/// The findings of one fleet row, as `code cell: hint`.
fn said_of(headings: &[&str], cells: &[&str]) -> Vec<String> {
    let (_dir, path) = book(|sheet| rows(sheet, 0, &[headings, cells]));
    let told = ["IN-026", "IN-027", "IN-038", "GE-002", "GE-003"];
    take_in(&path)
        .findings
        .iter()
        .filter(|f| told.contains(&f.code.code))
        .map(|f| {
            let hint = f.hint.clone().unwrap_or_default();
            format!("{} {}: {} | {hint}", f.code.code, f.place.address().unwrap(), f.message)
        })
        .collect()
}

#[test]
fn facts_of_gear_types_find_wrong_entries() {
    const HEAD: &[&str] = &[
        "Tag",
        "Machine",
        "Gear train",
        "Tooth counts",
        "Axes",
        "Shaft offset [mm]",
        "Input rotation",
        "Rotation",
        "Gear thrust",
    ];
    let finds = |cells: &[&str], code: &str, cell: &str| {
        let said = said_of(HEAD, cells);
        let want = format!("{code} {cell}: ");
        assert!(said.iter().any(|s| s.starts_with(&want)), "{cells:?}: {said:?}");
        assert!(
            said.iter().all(|s| s.contains("common practice, no source") || !s.starts_with(&want)),
            "{said:?}"
        );
    };
    let quiet =
        |cells: &[&str]| assert_eq!(said_of(HEAD, cells), Vec::<String>::new(), "{cells:?}");
    finds(&["A", "Pump", "worm", "", "parallel"], "GE-002", "E2");
    finds(&["A", "Pump", "helical", "", "right-angle"], "GE-002", "E2");
    quiet(&["A", "Pump", "crossed helical", "", "crossed"]);
    quiet(&["A", "Pump", "bevel", "", "right-angle"]);
    // A bevel pinion of six teeth; a hypoid one of six is usual, of four is not.
    finds(&["A", "Pump", "bevel", "30/6", "right-angle"], "IN-027", "D2");
    quiet(&["A", "Pump", "hypoid", "30/6", "crossed"]);
    finds(&["A", "Pump", "hypoid", "40/4", "crossed"], "IN-027", "D2");
    finds(&["A", "Pump", "hypoid", "", "crossed", "0"], "IN-027", "F2");
    finds(&["A", "Pump", "bevel", "", "right-angle", "30"], "IN-027", "F2");
    // One outside mesh turns the sense, an idler or an internal gear makes it alike.
    finds(&["A", "Pump", "spur", "60/20", "parallel", "", "cw", "cw"], "IN-027", "H2");
    quiet(&["A", "Pump", "spur", "60/20", "parallel", "", "cw", "ccw"]);
    quiet(&["A", "Pump", "spur", "60/35/20", "parallel", "", "cw", "cw"]);
    quiet(&["A", "Pump", "spur", "72i/18", "parallel", "", "cw", "cw"]);
    // Helical gears push, double-helical ones cancel it.
    finds(&["A", "Pump", "helical", "", "parallel", "", "", "", "no"], "IN-027", "I2");
    finds(&["A", "Pump", "double-helical", "", "parallel", "", "", "", "yes"], "IN-027", "I2");
    quiet(&["A", "Pump", "double-helical", "", "parallel", "", "", "", "no"]);
}

#[test]
fn power_torque_speed_and_shaft_are_held_against_each_other() {
    let head = &[
        "Tag",
        "Machine",
        "Motor kW",
        "Motor speed",
        "Ratio",
        "Rated torque [Nm]",
        "Poles",
        "Output shaft [mm]",
    ];
    let hint = |cells: &[&str]| said_of(head, cells).join("\n");
    // 9549.3 × 11 / (1460 / 25) = 1798.7 N·m; 20 000 lbf·in × 0.112 985 = 2259.7 N·m.
    let said = hint(&["A", "Pump", "11", "1460", "25", "30000", "4", "60"]);
    assert!(said.starts_with("IN-027 F2: ") && said.contains("30000 lbf·in is 3390 N·m"), "{said}");
    let said = hint(&["A", "Pump", "11", "1460", "25", "2.4", "4", "60"]);
    assert!(said.contains("2.4 kN·m is 2400 N·m"), "{said}");
    assert_eq!(hint(&["A", "Pump", "11", "1460", "25", "2400", "4", "60"]), "");
    let said = hint(&["A", "Pump", "11", "1460", "25", "2400", "6", "60"]);
    assert!(said.starts_with("IN-027 D2: ") && said.contains("4 poles would mend it"), "{said}");
    // 16 × 1 798 700 / (π × 4.5³) is far above any steel; 4.5 in is 114.3 mm.
    let said = hint(&["A", "Pump", "11", "1460", "25", "2400", "4", "4.5"]);
    assert!(said.starts_with("IN-027 H2: ") && said.contains("4.5 in is 114.3 mm"), "{said}");
}

#[test]
fn a_catalogue_row_whose_power_and_torque_disagree_is_an_error() {
    let (_dir, path) = book(|sheet| {
        rows(
            sheet,
            0,
            &[
                &["Maker", "Model", "Ratio", "Input speed", "Rated power kW", "Rated torque Nm"],
                // 9549.3 × 10 × 20 / 1450 = 1317 N·m before losses.
                &["Heron", "H 100", "20", "1450", "10", "1250"],
                &["Heron", "H 101", "20", "1450", "10", "11100"],
            ],
        );
    });
    let found: Vec<_> =
        take_in(&path).findings.into_iter().filter(|f| f.code.code == "IN-038").collect();
    assert_eq!(found.len(), 1);
    // 11 100 lbf·in × 0.112 985 = 1254 N·m.
    assert!(found[0].hint.as_ref().unwrap().contains("11100 lbf·in is 1254 N·m"));
    assert_eq!(found[0].place.address().unwrap(), "F3");
}

#[test]
fn headings_are_known_in_five_languages() {
    // Tag, machine, motor power, motor speed, ratio, output shaft, maker, model, output speed.
    let languages: [&[&str]; 6] = [
        &[
            "Equip. ID",
            "Machine served",
            "Mtr Pwr (kW)",
            "Mtr RPM",
            "GB ratio",
            "LSS dia [mm]",
            "Mfr",
            "Gearbox type",
            "Out RPM",
        ],
        &[
            "Anlagen-Nr.",
            "Arbeitsmaschine",
            "Nennleistung [kW]",
            "Motordrehzahl [1/min]",
            "Übersetzung i",
            "Abtriebswelle Ø [mm]",
            "Hersteller",
            "Getriebetyp",
            "Abtriebsdrehzahl",
        ],
        &[
            "Repère",
            "Machine entraînée",
            "Puissance moteur (kW)",
            "Vitesse moteur (tr/min)",
            "Rapport de réduction",
            "Arbre lent (mm)",
            "Constructeur",
            "Type de réducteur",
            "Vitesse de sortie",
        ],
        &[
            "Código de equipo",
            "Máquina accionada",
            "Potencia del motor [kW]",
            "Velocidad del motor",
            "Relación de transmisión",
            "Eje de salida [mm]",
            "Fabricante",
            "Tipo de reductor",
            "Velocidad de salida",
        ],
        &[
            "Sigla macchina",
            "Macchina comandata",
            "Potenza motore [kW]",
            "Giri motore",
            "Rapporto di riduzione",
            "Albero lento [mm]",
            "Costruttore",
            "Tipo riduttore",
            "Giri uscita",
        ],
        &[
            "EQUIPMENT_NO",
            "MACHINE_NAME",
            "MOTOR_KW",
            "MOTOR_RPM",
            "GEAR_RATIO",
            "OUTPUT_SHAFT_DIA_MM",
            "MAKE",
            "MODEL_NO",
            "OUTPUT_RPM",
        ],
    ];
    for headings in languages {
        let (_dir, path) = book(|sheet| {
            rows(
                sheet,
                0,
                &[headings, &["A-1", "Pump", "11", "1460", "25", "60", "Heron", "H 140", "58.4"]],
            );
        });
        let intake = take_in(&path);
        let p = intake.plant.positions.first().unwrap_or_else(|| panic!("{headings:?}"));
        assert_eq!(
            (p.tag(), p.driven_machine(), p.maker(), p.model()),
            (Some("A-1"), Some("Pump"), Some("Heron"), Some("H 140")),
            "{headings:?}"
        );
        assert_eq!(
            (
                p.motor_power_kw(),
                p.motor_speed_rpm(),
                p.ratio(),
                p.output_shaft_mm(),
                p.output_speed_rpm()
            ),
            (Some(11.0), Some(1460.0), Some(25.0), Some(60.0), Some(58.4)),
            "{headings:?}"
        );
    }
}

#[test]
fn a_bare_speed_is_the_motors_or_the_outputs_by_its_values() {
    for (speed, motor, output) in [("1460", Some(1460.0), None), ("58", None, Some(58.0))] {
        let (_dir, path) = book(|sheet| {
            rows(
                sheet,
                0,
                &[&["Tag", "Machine", "Motor kW", "Speed"], &["A", "Pump", "11", speed]],
            );
        });
        let p = &take_in(&path).plant.positions[0];
        assert_eq!((p.motor_speed_rpm(), p.output_speed_rpm()), (motor, output));
    }
}

#[test]
fn a_column_whose_values_contradict_its_heading_is_asked_about() {
    let (_dir, path) = book(|sheet| {
        rows(sheet, 0, &[&["Tag", "Machine", "Motor kW", "Ratio", "n"]]);
        for (row, text) in (1_u32..).zip(["red", "blue", "green", "red", "grey", "blue"]) {
            rows(sheet, row, &[&[&format!("T-{row}"), "Pump", "11", text, "1460"]]);
        }
    });
    let intake = take_in(&path);
    let asked: Vec<_> = intake.findings.iter().filter(|f| f.code.code == "IN-039").collect();
    assert_eq!(asked.len(), 1);
    assert_eq!(asked[0].place.address().unwrap(), "D1");
    assert!(!codes(&intake).contains(&"IN-010"), "one question, not six errors");
    let unknown = intake.findings.iter().find(|f| f.code.code == "IN-002").unwrap();
    assert!(unknown.hint.as_ref().unwrap().contains("look like motor_speed_rpm"));
}

#[test]
fn three_levels_of_headings_and_a_row_of_units_are_read() {
    let (_dir, path) = book(|sheet| {
        let format = Format::new();
        sheet.merge_range(0, 2, 0, 5, "Nameplate", &format).unwrap();
        sheet.merge_range(1, 2, 1, 3, "Motor", &format).unwrap();
        sheet.merge_range(1, 4, 1, 5, "Output", &format).unwrap();
        rows(
            sheet,
            2,
            &[
                &["Tag", "Machine", "Power", "Speed", "Shaft", "Speed", "Ratio"],
                &["-", "-", "hp", "rpm", "in", "rpm", "-"],
                &["A", "Pump", "15", "1760", "2.375", "70.4", "25"],
            ],
        );
    });
    let intake = take_in(&path);
    let p = &intake.plant.positions[0];
    assert!((p.motor_power_kw().unwrap() - 11.185_498).abs() < 1e-6);
    // 2.375 × 25.4 mm, by hand.
    assert!((p.output_shaft_mm().unwrap() - 60.325).abs() < 1e-9);
    assert_eq!((p.motor_speed_rpm(), p.output_speed_rpm()), (Some(1760.0), Some(70.4)));
    let sheet = &intake.plant.files[0].sheets[0];
    assert_eq!((sheet.rows_read, sheet.rows_used, sheet.rows_set_aside), (2, 1, 1));
}

#[test]
fn two_tables_below_each_other_are_both_read() {
    let (_dir, path) = book(|sheet| {
        rows(
            sheet,
            0,
            &[&["Drives"], &["Tag", "Machine", "Motor kW", "Model"], &["A", "Pump", "11", "H 140"]],
        );
        rows(
            sheet,
            5,
            &[
                &["In the store"],
                &["Item", "Description", "Qty on hand", "Bin"],
                &["S-1", "reducer H 140", "2", "R4"],
                &["S-2", "reducer H 160", "1", "R5"],
                &["Total", "", "3"],
            ],
        );
    });
    let intake = take_in(&path);
    assert_eq!((intake.plant.positions.len(), intake.plant.shelf.len()), (1, 2));
    let counts: Vec<_> = intake.plant.files[0]
        .sheets
        .iter()
        .map(|s| (s.table.unwrap().word(), s.rows_read, s.rows_used, s.rows_set_aside))
        .collect();
    assert_eq!(counts, [("fleet", 2, 1, 1), ("shelf", 3, 2, 1)]);
}

#[test]
fn ratios_come_back_from_the_dates_of_a_text_file() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("fleet.csv");
    std::fs::write(&path, "Tag,Machine,Motor kW,Ratio\nA,Pump,11,25-Jan\nB,Pump,11,Jan-60\nC,Pump,11,4-Mar\nD,Pump,11,25:01\n").unwrap();
    let intake = take_in(&path);
    let ratios: Vec<_> = intake.plant.positions.iter().map(|p| p.ratio()).collect();
    assert_eq!(ratios, [Some(25.0), Some(60.0), None, Some(25.0)]);
    let vetoed: Columns =
        toml::from_str("[[column]]\ncolumn = \"Ratio\"\nfield = \"ratio\"\ntimes = \"keep\"\n")
            .unwrap();
    let book_read = open(&path, "fleet.csv", Limits::default()).unwrap();
    let intake = read(vec![book_read], &Policy::default(), &vetoed);
    assert_eq!(intake.plant.positions[0].ratio(), None);
}

#[test]
fn torque_and_mass_without_a_unit_are_tested_against_the_rest_of_the_sheet() {
    let fleet = |power: &'static str, torques: [&'static str; 3], masses: [&'static str; 3]| {
        let (_dir, path) = book(move |sheet| {
            rows(
                sheet,
                0,
                &[&["Tag", "Machine", power, "Motor speed", "Ratio", "Rated torque", "Mass"]],
            );
            for (row, (torque, mass)) in (1_u32..).zip(torques.into_iter().zip(masses)) {
                rows(
                    sheet,
                    row,
                    &[&[&format!("T-{row}"), "Pump", "11", "1460", "25", torque, mass]],
                );
            }
        });
        let intake = take_in(&path);
        let p = &intake.plant.positions[0];
        (p.rated_torque_nm().map(|t| t.round()), p.mass_kg().map(|m| m.round()))
    };
    // The motor gives 9549.3 × 11 × 25 / 1460 = 1799 N·m at the output.
    let metric = fleet("Motor power [kW]", ["2400", "2500", "3000"], ["180", "200", "220"]);
    assert_eq!(metric, (Some(2400.0), Some(180.0)));
    // 11 hp give 1341 N·m; 21 000 lbf·in × 0.112 985 = 2373 N·m, 400 lb × 0.453 592 = 181 kg.
    let imperial = fleet("Motor power [hp]", ["21000", "22000", "26000"], ["400", "440", "480"]);
    assert_eq!(imperial, (Some(2373.0), Some(181.0)));
    // Nothing tells which of pounds and kilograms, and torques that fit nothing are asked about.
    assert_eq!(fleet("Motor power", ["7", "9", "8"], ["180", "200", "220"]), (None, None));
}
