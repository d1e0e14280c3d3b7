//! Habits of writing: what people put into cells that no program would.

use rust_xlsxwriter::{Format, Workbook};

use crate::field::{file, says, take_in};
use sparemesh::intake::{Intake, read};
use sparemesh::policy::{Columns, Policy};
use sparemesh::records::Field;
use sparemesh::workbook::{Limits, open};

fn csv(text: &str) -> Intake {
    take_in("a.csv", text.as_bytes())
}

/// Two files read together.
fn both(first: std::path::PathBuf, second: std::path::PathBuf) -> Intake {
    let open = |path: std::path::PathBuf| {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        open(&path, &name, Limits::default()).unwrap()
    };
    read(vec![open(first), open(second)], &Policy::default(), &Columns::default())
}

fn tags(intake: &Intake) -> Vec<&str> {
    intake.plant.positions.iter().filter_map(|p| p.tag()).collect()
}

#[test]
fn a_value_in_two_units_is_one_value_or_a_question() {
    let intake = csv("Tag,Machine,Motor power,Ratio\n\
        A,Pump,7.5kW/10HP,25\nB,Pump,15 kW (20 HP),25\nC,Pump,15 kW / 40 HP,25\n");
    let powers: Vec<_> = intake.plant.positions.iter().map(|p| p.motor_power_kw()).collect();
    assert_eq!(powers, [Some(7.5), Some(15.0), None]);
    assert!(says(&intake, "IN-003").contains("C4: Motor power is `15 kW / 40 HP`, two values"));
}

#[test]
fn hours_are_read_as_shifts_and_weeks() {
    let intake = csv("Tag,Machine,kW,Ratio,Hours/day\n\
        A,Pump,11,25,24/7\nB,Pump,11,25,2 shifts\nC,Pump,11,25,16 h/day\nD,Pump,11,25,often\n");
    let hours: Vec<_> = intake.plant.positions.iter().map(|p| p.hours_per_day()).collect();
    assert_eq!(hours, [Some(24.0), Some(16.0), Some(16.0), None]);
    assert!(says(&intake, "IN-035").contains("E2: Hours per day `24/7` was read as 24"));
    assert!(says(&intake, "IN-003").starts_with("E5: "));
}

#[test]
fn a_week_that_became_a_date_is_24_hours() {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    for (col, heading) in (0_u16..).zip(["Tag", "Machine", "kW", "Ratio", "Hours/day"]) {
        sheet.write(0, col, heading).unwrap();
    }
    for (col, text) in (0_u16..).zip(["A", "Pump", "11 kW", "25:1"]) {
        sheet.write(1, col, text).unwrap();
    }
    // 24 July 2026 is day 46227 of the 1900 system.
    let date = Format::new().set_num_format("d-mmm");
    sheet.write_number_with_format(1, 4, 46_227.0, &date).unwrap();
    let intake = take_in("a.xlsx", &book.save_to_buffer().unwrap());
    assert_eq!(intake.plant.positions[0].hours_per_day(), Some(24.0));
}

#[test]
fn ditto_signs_stand_for_the_value_above() {
    let intake = csv("Tag,Machine,Maker,Model,kW,Ratio\n\
        A,Pump,Heron,H 140,11,25\nB,ditto,do.,H 160,''''''',25\nC,\"\"\"\",\"\"\"\",H 140,ditto,ditto\n");
    let third = &intake.plant.positions[2];
    assert_eq!((third.driven_machine(), third.maker()), (Some("Pump"), Some("Heron")));
    assert_eq!(third.ratio(), Some(25.0));
    assert!(says(&intake, "IN-034").contains("B3: Driven machine was taken from above the ditto"));
    let alone = csv("Tag,Machine,Maker,kW,Ratio\nA,Pump,ditto,11,25\nB,Pump,Heron,11,25\n");
    assert_eq!(alone.plant.positions[0].maker(), None);
    assert_eq!(says(&alone, "IN-037"), "C2: Maker is a ditto sign with no value above it");
}

#[test]
fn a_row_for_several_tags_is_several_positions() {
    let intake = csv("Tag,Machine,kW,Ratio,Quantity\n\
        P-101A/B,Pump,11,25,2\nCV-11 to CV-13,Conveyor,15,25,\nM-1/2,Mixer,15,25,\n");
    assert_eq!(tags(&intake), ["P-101A", "P-101B", "CV-11", "CV-12", "CV-13", "M-1/2"]);
    assert_eq!(intake.plant.positions[4].motor_power_kw(), Some(15.0));
    let said = says(&intake, "IN-040");
    assert!(said.contains("A2: tag `P-101A/B` names 2 positions: P-101A, P-101B"), "{said}");
    let odd = csv("Tag,Machine,kW,Ratio,Quantity\nP-101A/B,Pump,11,25,3\n");
    assert!(says(&odd, "IN-040").contains("its quantity of 3 was not used"));
}

#[test]
fn a_row_for_two_tags_meets_the_row_of_one_of_them() {
    let intake = csv("Tag,Machine,kW,Ratio\nP-101A/B,Pump,11,25\nP-101A,Pump,11,30\n");
    assert_eq!(tags(&intake), ["P-101A", "P-101B"]);
    assert!(says(&intake, "IN-017").contains("D3: Ratio of `P-101A` is 30 here and 25 at"));
}

#[test]
fn a_data_sheet_whose_headings_stand_in_a_column_is_read() {
    let intake =
        csv("Gear unit data sheet,,\nTag:,CV-7,CV-8\nDriven machine:,Belt conveyor,Mixer\n\
        Motor power [kW]:,11,15\nMotor speed [r/min]:,1460,1470\nRatio:,25:1,31.5\n\
        Output shaft [mm]:,60,abc\n");
    assert_eq!(tags(&intake), ["CV-7", "CV-8"]);
    let first = &intake.plant.positions[0];
    assert_eq!((first.motor_power_kw(), first.ratio()), (Some(11.0), Some(25.0)));
    // Addresses are those of the sheet, not of the turned table.
    assert_eq!(first.place(Field::ratio).address().as_deref(), Some("B6"));
    assert_eq!(says(&intake, "IN-003"), "C7: Output shaft is `abc`, not a number");
    assert!(says(&intake, "IN-041").contains("the headings stand in column A"));
    let sheet = &intake.plant.files[0].sheets[0];
    assert_eq!(sheet.rows_read, sheet.rows_used + sheet.rows_set_aside);
}

#[test]
fn two_columns_of_one_meaning_are_held_against_each_other() {
    let intake = csv("Tag,Machine,Motor kW,Motor HP,Ratio\n\
        A,Pump,11,15,25\nB,Pump,15,60,25\nC,Pump,,20,25\n");
    let said = says(&intake, "IN-026");
    // 60 × 0.745 699 871 58 kW, by hand.
    assert!(said.starts_with("D3: Motor power is 15 in C3 and 44.74"), "{said}");
    assert!(!said.contains("D2") && !said.contains("D4"));
    let power = intake.plant.positions[2].motor_power_kw().unwrap();
    assert!((power - 20.0 * 0.745_699_871_58).abs() < 1e-9);
}

#[test]
fn a_torque_below_what_any_motor_gives_is_an_error() {
    let intake = csv("Tag;Machine;Motor power [kW];Rated torque [N·m];Ratio\n\
        A;Pump;18,5;2,450;25\nB;Pump;7,5;1,250;25\nC;Pump;11;1800;25\n");
    // 9549.3 × 18.5 / 3600 = 49 N·m, by hand.
    let said = says(&intake, "IN-038");
    assert!(said.starts_with("D2: rated torque 2.45 N·m in D2 is less than the 49 N·m"), "{said}");
    assert!(!said.contains("D4"));
}

#[test]
fn events_are_read_from_sentences_and_told() {
    let fleet = "Tag,Machine,kW,Ratio\nA,Pump,11,25\n";
    let events = "Date,Tag,What was done,Hours down\n2026-01-05,A,\"Gearbox failed, replaced\",6\n\
        2026-02-07,A,Output seal replaced,2\n2026-03-01,A,made noise,1\n";
    let (_a, fleet) = file("fleet.csv", fleet.as_bytes());
    let (_b, events) = file("events.csv", events.as_bytes());
    let intake = both(fleet, events);
    let what: Vec<_> = intake.plant.events.iter().map(|e| e.event()).collect();
    assert_eq!(what, [Some("exchange"), Some("part"), None]);
    assert!(says(&intake, "IN-029").contains("C2: Event `Gearbox failed, replaced` was taken as"));
    assert!(says(&intake, "IN-012").starts_with("C4: "));
}

#[test]
fn a_catalogue_name_in_a_description_is_found_and_told() {
    let catalogue = "Maker,Model,Ratio,Rated power [kW]\nHeron,HX 140,25,15\nHeron,HX 140,31.5,12\nHeron,HX 160,25,20\n";
    let fleet = "Tag,Description\nA,GBX HERON HX-140 25:1 11KW\nB,GBX HX140 11KW\nC,SEAL 140\n";
    let (_a, catalogue) = file("catalogue.csv", catalogue.as_bytes());
    let (_b, fleet) = file("fleet.csv", fleet.as_bytes());
    let intake = both(fleet, catalogue);
    let models: Vec<_> = intake.plant.positions.iter().map(|p| p.model).collect();
    let first = models[0].unwrap();
    assert!(!first.exact, "a name from text gives no identity");
    assert_eq!(intake.plant.models[first.model].title(), "Heron HX 140 i=25");
    // Without a ratio the name fits two rows of the catalogue, and nothing is guessed.
    assert_eq!((models[1], models[2]), (None, None));
    assert!(says(&intake, "IN-020").contains("B2: the description names `HX-140`"));
}

#[test]
fn a_part_on_the_shelf_is_no_unit_whatever_it_fits() {
    let catalogue = "Maker,Model,Ratio,Rated power [kW]\nHeron,HX 140,25,15\n";
    let shelf =
        "Item,Description,Qty,Bin\nS-1,WORM AND WHEEL HX 140 I=25,1,A1\nS-2,GBX HX 140 I=25,1,A2\n";
    let (_a, catalogue) = file("catalogue.csv", catalogue.as_bytes());
    let (_b, shelf) = file("shelf.csv", shelf.as_bytes());
    let intake = both(shelf, catalogue);
    let shelf = &intake.plant.shelf;
    assert_eq!((shelf[0].ratio(), shelf[0].model), (None, None));
    assert_eq!(shelf[1].ratio(), Some(25.0));
    assert!(shelf[1].model.is_some_and(|m| !m.exact));
}

#[test]
fn a_power_without_a_unit_is_told_by_the_plates_torque() {
    // Sizes of both series; T = 9549.3 · P · 0.95 / n2 with P in hp × 0.7457 kW, worked by hand.
    let intake = csv("Tag,Machine,Motor power,Rated torque [N·m],Output speed\n\
        A,Pump,7.5,870,58.3\nB,Pump,15,1740,58.3\nC,Pump,30,3481,58.3\nD,Pump,1.5,174,58.3\n");
    let power = intake.plant.positions[0].motor_power_kw().unwrap();
    assert!((power - 7.5 * 0.745_699_871_58).abs() < 1e-9, "{power}");
    assert!(says(&intake, "IN-005").contains("hp fits 100 %"));
}

#[test]
fn a_shaft_without_a_unit_is_told_by_how_shafts_are_turned() {
    let intake = csv("Tag,Machine,kW,Ratio,Input shaft\n\
        A,Pump,11,25,11\nB,Pump,11,25,14\nC,Pump,11,25,9\nD,Pump,11,25,12\nE,Pump,11,25,19\n");
    assert_eq!(intake.plant.positions[0].number(Field::input_shaft_mm), Some(11.0));
    let inches = csv("Tag,Machine,kW,Ratio,Output shaft\n\
        A,Pump,11,25,1.375\nB,Pump,11,25,2.4375\nC,Pump,11,25,11.5\nD,Pump,11,25,10.25\n");
    // 1.375 × 25.4 mm, by hand.
    assert_eq!(inches.plant.positions[0].output_shaft_mm(), Some(34.925));
}

#[test]
fn ratios_from_times_can_be_vetoed_in_a_workbook_too() {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    for (col, heading) in (0_u16..).zip(["Tag", "Machine", "Motor power", "Ratio"]) {
        sheet.write(0, col, heading).unwrap();
    }
    for (col, text) in (0_u16..).zip(["A", "Pump", "11 kW"]) {
        sheet.write(1, col, text).unwrap();
    }
    // 25:1 taken for 25 h 01 min.
    let time = Format::new().set_num_format("[h]:mm:ss");
    sheet.write_number_with_format(1, 3, 25.0 / 24.0 + 1.0 / 1440.0, &time).unwrap();
    let (_dir, path) = file("a.xlsx", &book.save_to_buffer().unwrap());
    let veto: Columns = toml::from_str(
        "[[column]]\nfile = \"a.xlsx\"\nsheet = \"Sheet1\"\ncolumn = \"Ratio\"\nfield = \"ratio\"\ntimes = \"keep\"\n",
    )
    .unwrap();
    let ratio = |columns: &Columns| {
        let book = open(&path, "a.xlsx", Limits::default()).unwrap();
        let intake = read(vec![book], &Policy::default(), columns);
        (intake.plant.positions[0].ratio(), says(&intake, "IN-008"), says(&intake, "IN-009"))
    };
    let (value, recovered, _) = ratio(&Columns::default());
    assert_eq!(value, Some(25.0));
    assert!(recovered.starts_with("D2: Ratio 25:1 was recovered from the time"), "{recovered}");
    let (value, recovered, lost) = ratio(&veto);
    assert_eq!((value, recovered.as_str()), (None, ""));
    assert!(lost.starts_with("D2: "), "{lost}");
}

#[test]
fn a_near_model_must_stand_clear_of_the_next() {
    let catalogue = "Maker,Model,Ratio,Rated power [kW]\nHeron,GRB 101,25,15\nHeron,GRC 101,25,12\nHeron,KLM 77,25,12\n";
    // `GRD 101` is one letter from two names; `KLN 77` from one.
    let fleet = "Tag,Maker,Model,Ratio,kW\nA,Heron,GRD 101,25,11\nB,Heron,KLN 77,25,11\n";
    let (_a, catalogue) = file("catalogue.csv", catalogue.as_bytes());
    let (_b, fleet) = file("fleet.csv", fleet.as_bytes());
    let intake = both(fleet, catalogue);
    assert!(intake.plant.positions[0].model.is_none());
    assert!(says(&intake, "IN-021").contains("could be more than one of the catalogue"));
    assert!(intake.plant.positions[1].model.is_some_and(|m| !m.exact));
}

/// A name that the catalogue holds in several ratios: what all say alike is known, the ratio is not.
#[test]
fn a_name_without_a_ratio_tells_how_the_unit_is_built() {
    let catalogue = "Maker,Model,Ratio,Rated power [kW],Shaft height [mm],Mass [kg]\nHeron,GRB 101,25,15,180,90\nHeron,GRB 101,40,12,180,92\n";
    let fleet = "Tag,Maker,Model,Ratio,kW\nA,Heron,GRB 101,10:l,11\nB,Heron,grb-101,40,11\n";
    let (_a, catalogue) = file("catalogue.csv", catalogue.as_bytes());
    let (_b, fleet) = file("fleet.csv", fleet.as_bytes());
    let intake = both(fleet, catalogue);
    let [a, b] = &intake.plant.positions[..] else { panic!("two positions") };
    assert!(a.model.is_none() && b.model.is_some());
    assert_eq!((a.shaft_height_mm(), a.mass_kg(), a.rated_power_kw()), (Some(180.0), None, None));
    let said = says(&intake, "IN-045");
    assert!(said.contains("is any of 2 in the catalogue (Heron GRB 101 i=25, Heron GRB 101 i=40; from catalogue.csv csv!B2 on)"), "{said}");
    assert!(said.ends_with("of how they are built was taken: shaft height"), "{said}");
    assert_eq!(says(&intake, "IN-021"), "");
}

/// The catalogues of two months are one catalogue: what differs in price alone is the same model, what differs in build
/// is not.
#[test]
fn a_model_in_two_catalogues_is_one_model() {
    let list = |price: u32, mass: u32| {
        format!(
            "Maker,Model,Ratio,Rated power [kW],Mass [kg],Price\nHeron,GRB 101,25,15,90,{price}\nHeron,GRB 140,25,30,{mass},{price}\n"
        )
    };
    let (_a, may) = file("may.csv", list(4000, 150).as_bytes());
    let (_b, june) = file("june.csv", list(4100, 155).as_bytes());
    let intake = both(may, june);
    let prices: Vec<_> = intake.plant.models.iter().map(|m| m.price()).collect();
    assert_eq!(prices, [Some(4000.0), Some(4000.0), Some(4100.0)]);
    let said = says(&intake, "IN-047");
    assert!(said.starts_with("B2: 1 models of this list stand in may.csv"), "{said}");
}

/// A log that goes on from month to month, read twice: each event counts once; two alike in one log are two.
#[test]
fn an_event_in_two_logs_is_one_event() {
    let may = "Date,Tag,Work done,Cause\n2026-03-01,M1,unit replaced,wear\n2026-03-01,M1,unit replaced,wear\n2026-04-02,M2,unit replaced,wear\n";
    let june = format!("{may}2026-06-03,M1,unit replaced,wear\n");
    let (_a, may) = file("may.csv", may.as_bytes());
    let (_b, june) = file("june.csv", june.as_bytes());
    let intake = both(may, june);
    assert_eq!(intake.plant.events.len(), 4);
    let said = says(&intake, "IN-048");
    assert!(said.contains("3 events of this list stand word for word in may.csv"), "{said}");
}

/// One storeroom at two times, named together, is told; two storerooms whose bins differ are not.
#[test]
fn two_lists_of_one_storeroom_are_told() {
    let list = |store: &str, more: u32| {
        let line = |n: u32| format!("S-{n},GRB {n},25,{},{store}{n}\n", n % 3 + more);
        let lines: String = (1..=8).map(line).collect();
        format!("Item,Model,Ratio,Quantity,Bin\n{lines}")
    };
    let (_a, may) = file("may.csv", list("A", 1).as_bytes());
    let (_b, june) = file("june.csv", list("A", 2).as_bytes());
    let (_c, other) = file("other.csv", list("B", 1).as_bytes());
    let said = says(&both(may, june), "IN-046");
    assert!(said.contains("8 of the 8 items of this list"), "{said}");
    let (_d, may) = file("may.csv", list("A", 1).as_bytes());
    assert_eq!(says(&both(may, other), "IN-046"), "");
}

#[test]
fn a_chart_sheet_is_left_out_and_told() {
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    for (col, heading) in (0_u16..).zip(["Tag", "Machine", "Motor power", "Ratio"]) {
        sheet.write(0, col, heading).unwrap();
    }
    for (col, text) in (0_u16..).zip(["A", "Pump", "11 kW", "25:1"]) {
        sheet.write(1, col, text).unwrap();
    }
    let mut chart = rust_xlsxwriter::Chart::new(rust_xlsxwriter::ChartType::Column);
    chart.add_series().set_values("Sheet1!$C$2:$C$2");
    book.add_chartsheet().insert_chart(0, 0, &chart).unwrap();
    let intake = take_in("a.xlsx", &book.save_to_buffer().unwrap());
    assert_eq!(tags(&intake), ["A"]);
    assert!(says(&intake, "WB-014").contains("charts"), "{:?}", intake.findings);
}

#[test]
fn a_fleet_above_a_stock_list_is_read_too() {
    let intake =
        csv("Tag,Machine,Motor kW,Ratio\nL-1,Pump,11,25\nL-2,Mixer,15,31.5\n\nSpares,,,\n\
        Item,Description,Qty on hand,Bin\nS-1,GBX 25:1,2,A1\n");
    assert_eq!(tags(&intake), ["L-1", "L-2"]);
    assert_eq!(intake.plant.shelf.len(), 1);
}

#[test]
fn a_heading_only_in_the_upper_row_heads_its_column() {
    let intake =
        csv("Tag,Driven machine,Motor,,Gear unit,,\n,,Power [kW],Speed [rpm],Maker,Model,Ratio\n\
        SF-1,Screw conveyor,7.5,1450,Heron,H 125,28.5\nSF-2,Mixer,11,1460,Heron,H 140,31.5\n");
    let first = &intake.plant.positions[0];
    assert_eq!((first.tag(), first.motor_power_kw()), (Some("SF-1"), Some(7.5)));
    assert_eq!((first.driven_machine(), first.ratio()), (Some("Screw conveyor"), Some(28.5)));
}

#[test]
fn a_form_is_one_unit_and_what_it_leaves_is_named() {
    let intake =
        csv("NAMEPLATE SURVEY,,,\nEquipment tag:,CV-12,Surveyed by:,crew\nGEARBOX,,MOTOR,\n\
        Make,Heron,HP,60\nModel,H 209,RPM,1780\nSerial,A-77,Volts,460\nRatio,49.8:1,Frame,364T\n");
    assert_eq!(tags(&intake), ["CV-12"]);
    let unit = &intake.plant.positions[0];
    assert_eq!((unit.maker(), unit.motor_speed_rpm()), (Some("Heron"), Some(1780.0)));
    // 60 × 0.745 699 871 58 kW, by hand.
    assert!((unit.motor_power_kw().unwrap() - 44.741_992_3).abs() < 1e-6);
    assert_eq!(unit.place(Field::motor_speed_rpm).address().as_deref(), Some("D5"));
    assert!(says(&intake, "IN-041").contains("the sheet is a form"));
    assert!(says(&intake, "IN-024").contains("`NAMEPLATE SURVEY`"));
}

#[test]
fn one_model_with_two_shafts_is_a_slip() {
    let intake = csv("Tag,Machine,Model,Motor kW,Ratio,Output shaft [mm],Shaft height [mm]\n\
        A,Pump,H 140,11,25,60,140\nB,Pump,H 140,11,25,60,140\nC,Pump,H 140,11,25,60,140\nD,Pump,H 140,11,25,6,140\n");
    let said = says(&intake, "IN-027");
    assert!(
        said.contains("F5: Output shaft of `H 140` is 6 here, about 60 in 3 other rows"),
        "{said}"
    );
    let hint =
        intake.findings.iter().find_map(|f| f.hint.as_deref().filter(|h| h.contains("digit")));
    assert_eq!(hint, Some("a digit may be missing; 60 would mend it"));
}

#[test]
fn slips_that_single_rows_show_are_told() {
    let intake = csv(
        "Tag,Machine,Motor kW,Motor rpm,Ratio,Input shaft [mm],Output shaft [mm],Starts/h,Hours/day\n\
        A,Pump,30,14750,2.5,42,80,2,24\nB,Pump,30,1475,2.5,80,42,2,24\nC,Pump,30,1475,2.5,42,800,2,24\n\
        D,Pump,30,1475,2.5,42,80,2000,24\nE,Pump,30,1475,2.5,42,80,2,0\nF,Pump,1475,30,2.5,42,80,2,24\n",
    );
    let said = says(&intake, "IN-027");
    for want in [
        "D2: motor speed 14750 r/min",
        "F3: input shaft 80 mm in F3 is thicker than output shaft 42 mm in G3",
        "G4: output shaft 800 mm in G4 is very thick",
        "H5: 2000 starts an hour",
        "I6: 0 hours a day",
        "C7: motor power 1475 kW in C7 looks like a motor's speed",
    ] {
        assert!(said.contains(want), "{want} in {said}");
    }
}

#[test]
fn one_tag_in_two_spellings_is_one_unit() {
    let (_a, first) = file("a.csv", b"Tag,Machine,Motor kW,Ratio\nCV101,Conveyor,37,25\n");
    let (_b, second) = file("b.csv", b"Tag,Machine,Motor kW,Ratio\nCV-101,Conveyor,45,25\n");
    let intake = both(first, second);
    assert_eq!(tags(&intake), ["CV101"]);
    let said = says(&intake, "IN-017");
    assert!(said.contains("Motor power of `CV101` is 45 here and 37"), "{said}");
    assert!(!said.contains("Tag of"), "{said}");
}

#[test]
fn a_bare_cell_beside_cells_with_units_costs_itself() {
    let intake =
        csv("Tag,Machine,Motor power,Ratio\nA,Pump,30 HP,25\nB,Pump,22kW,25\nC,Pump,15,25\n");
    let powers: Vec<_> = intake.plant.positions.iter().map(|p| p.motor_power_kw()).collect();
    assert_eq!(powers[1..], [Some(22.0), None]);
    assert!(says(&intake, "IN-006").starts_with("C4: Motor power is `15` without a unit"));
}

#[test]
fn a_sheet_that_was_meant_as_data_is_a_warning_when_it_is_lost() {
    let intake = csv("Tag,Machine,Odd,Column\nA,Pump,1,2\nB,Pump,3,4\nC,Mixer,5,6\n");
    let lost = intake.findings.iter().find(|f| f.code.code == "IN-001");
    let known = intake.plant.positions.len();
    assert!(
        known == 3 || lost.is_some_and(|f| f.severity == sparemesh::findings::Severity::Warning)
    );
    let list = csv("Model,Item,Odd,Other\nH 1,S-1,x,y\nH 2,S-2,x,y\nH 3,S-3,x,y\n");
    let lost = list.findings.iter().find(|f| f.code.code == "IN-001").unwrap();
    assert_eq!(lost.severity, sparemesh::findings::Severity::Warning);
    assert!(lost.message.contains("if row 1 holds the headings"), "{}", lost.message);
}

#[test]
fn amounts_waits_and_sizes_are_read_among_their_words() {
    let intake = csv("Model,Maker,Ratio,Price,Lead time [weeks],Output shaft [mm]\n\
        H 1,Heron,25,\"1,890\",6-8,hollow 100 mm\nH 2,Heron,40 (2-stage),\"21,-\",sofort,Ø80h6x140\nH 3,Heron,30,on request,3 Wo.,60\n");
    let models = &intake.plant.models;
    let prices: Vec<_> = models.iter().map(|m| m.price()).collect();
    assert_eq!(prices, [Some(1890.0), Some(21.0), None]);
    let waits: Vec<_> = models.iter().map(|m| m.lead_time_days()).collect();
    assert_eq!(waits, [Some(56.0), Some(0.0), Some(21.0)]);
    let shafts: Vec<_> = models.iter().map(|m| m.output_shaft_mm()).collect();
    assert_eq!(shafts, [Some(100.0), Some(80.0), Some(60.0)]);
    assert_eq!(models[1].ratio(), Some(40.0));
    assert!(says(&intake, "IN-035").contains("E2: Lead time `6-8` was read as 56"));
}

#[test]
fn rows_of_a_text_file_are_those_of_a_spreadsheet() {
    let intake = csv(
        "Tag,Machine,\"Motor\nkW\",Ratio,Remarks\nA,Pump,11,25,\"two\nlines\"\nB,Pump,1x,25,\n",
    );
    assert!(says(&intake, "IN-003").starts_with("C3: "), "{}", says(&intake, "IN-003"));
}

#[test]
fn a_line_shifted_by_a_decimal_comma_is_held_back() {
    let intake = csv(
        "Tag,Model,Ratio,Motor kW,Motor rpm,Hours/day\nA1,K,20,5,5,1450,16\nA2,K,20,4,1450,16\n",
    );
    assert_eq!(tags(&intake), ["A2"]);
    let sheet = &intake.plant.files[0].sheets[0];
    assert_eq!((sheet.rows_read, sheet.rows_used, sheet.rows_set_aside), (2, 1, 1));
    assert!(says(&intake, "WB-019").contains("A2: the line holds more fields than its headings"));
}

#[test]
fn the_exact_ratio_and_the_motors_own_power_come_first() {
    let intake =
        csv("Tag,Machine,Nameplate kW,Motor kW,Nominal ratio,Exact ratio\nA,Pump,55,37,25,24.75\n");
    let unit = &intake.plant.positions[0];
    assert_eq!((unit.motor_power_kw(), unit.rated_power_kw()), (Some(37.0), Some(55.0)));
    assert_eq!(unit.ratio(), Some(24.75));
}

#[test]
fn a_day_number_without_its_format_is_a_date() {
    let intake =
        csv("Tag,Machine,Motor kW,Ratio,Installed on\nA,Pump,11,25,45000\nB,Pump,11,25,2019\n");
    // Day 45 000 of the 1900 system is 15 March 2023.
    let days: Vec<_> =
        intake.plant.positions.iter().map(|p| p.installed_on().unwrap().to_string()).collect();
    assert_eq!(days, ["2023-03-15", "2019-01-01"]);
    assert!(says(&intake, "IN-035").contains("E2: Installed on `45000`"));
}

#[test]
fn a_second_column_of_tags_that_repeats_is_the_machine() {
    let intake = csv(
        "Equipment,Tag,Motor kW,Ratio\nKiln feeder,D-1,11,25\nKiln feeder,D-2,11,25\nKiln feeder,D-3,11,25\n",
    );
    assert_eq!(tags(&intake), ["D-1", "D-2", "D-3"]);
    assert_eq!(intake.plant.positions[0].driven_machine(), Some("Kiln feeder"));
}

#[test]
fn a_plates_torque_with_its_factor_is_the_motors_times_the_factor() {
    let intake =
        csv("Tag,Machine,Motor kW,Motor rpm,Gear train,Ratio,Output torque [Nm],Service factor\n\
        R1,Fan,5.5,1450,helical,10,348,1.6\nR2,Fan,5.5,1450,helical,10,557,1.6\n");
    let (rated, findings) = sparemesh::rating::rate(&intake.plant, &Policy::default());
    // 348 N·m is 9549.3 × 5.5 / 145 × 0.96: the motor's; 348 × 1.6 = 556.8 N·m, by hand.
    let torque = rated[0].capacity.torque.unwrap().value();
    assert!((torque - 556.8).abs() < 0.1, "{torque}");
    assert!((rated[1].capacity.torque.unwrap().value() - 557.0).abs() < 1e-6);
    assert_eq!(findings.iter().filter(|f| f.code.code == "RA-003").count(), 1);
}

#[test]
fn what_is_at_repair_or_defective_is_not_on_the_shelf() {
    let intake = csv("Item,Model,Qty on hand,Bin,Condition,Earmarked for\n\
        S-1,H 140,1 (at repair),A1,ready,\nS-2,H 140,1,A2,defective,Q-9\n");
    let shelf = &intake.plant.shelf;
    assert_eq!(shelf[0].quantity(), None);
    assert!(says(&intake, "IN-003").starts_with("C2: "));
    assert_eq!((shelf[1].condition(), shelf[1].reserved_for()), (Some("as-removed"), Some("Q-9")));
}

#[test]
fn headings_that_no_list_holds_are_put_together_from_their_words() {
    let intake = csv("Tag,Machine,Puiss. moteur (kW),Nameplate rpm,Perm. output torque [N·m],\
        Keyed shaft dia. (mm),Radial load cap. kN,Gear unit weight kg,True ratio,Absorbed kW at motor\n\
        A,Pump,11,1460,2400,60,22,185,25.3,9\n");
    let unit = &intake.plant.positions[0];
    assert_eq!((unit.motor_power_kw(), unit.motor_speed_rpm()), (Some(11.0), Some(1460.0)));
    assert_eq!((unit.rated_torque_nm(), unit.output_shaft_mm()), (Some(2400.0), Some(60.0)));
    assert_eq!((unit.overhung_output_n(), unit.mass_kg()), (Some(22_000.0), Some(185.0)));
    assert_eq!((unit.ratio(), unit.absorbed_power_kw()), (Some(25.3), Some(9.0)));
    assert_eq!(unit.absorbed_taken_at(), Some("input"));
    assert_eq!(says(&intake, "IN-002"), "");
}

#[test]
fn another_currency_is_never_taken_for_the_policys() {
    let heading = csv("Item,Model,Qty,Cost each £\nS1,H 140,1,900\nS2,H 160,1,800\n");
    assert_eq!(heading.plant.shelf[0].unit_value(), None);
    assert!(says(&heading, "IN-031").starts_with("D1: `Cost each £` is in GBP"));
    let column = csv("Item,Model,Qty,Price,Currency\nS1,H 140,1,900,EUR\nS2,H 160,1,800,USD\n");
    let values: Vec<_> = column.plant.shelf.iter().map(|s| s.unit_value()).collect();
    assert_eq!(values, [Some(900.0), None]);
    assert!(says(&column, "IN-031").starts_with("D3: Unit value is in USD"));
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    for (col, heading) in (0_u16..).zip(["Item", "Model", "Qty", "Price"]) {
        sheet.write(0, col, heading).unwrap();
    }
    for (row, format) in (1_u32..).zip(["[$$-409]#,##0.00", "[$€-2] #,##0", "0.00"]) {
        sheet.write(row, 0, format!("S{row}")).unwrap();
        sheet.write(row, 1, "H 140").unwrap();
        sheet.write(row, 2, 1).unwrap();
        let format = Format::new().set_num_format(format);
        sheet.write_number_with_format(row, 3, 900.0, &format).unwrap();
    }
    let format = take_in("a.xlsx", &book.save_to_buffer().unwrap());
    let values: Vec<_> = format.plant.shelf.iter().map(|s| s.unit_value()).collect();
    assert_eq!(values, [None, Some(900.0), Some(900.0)]);
    assert!(says(&format, "IN-031").starts_with("D2: Unit value is in $"));
}

#[test]
fn a_remark_that_forbids_a_unit_or_keeps_it_is_heeded() {
    let intake = csv("Item,Model,Qty,Condition,Remarks\n\
        S1,H 140,1,ready,\"do not use, cracked housing\"\n\
        S2,H 160,1,ready,reserved for CV-12\nS3,H 180,1,ready,not cracked\n");
    let shelf = &intake.plant.shelf;
    assert_eq!(shelf[0].condition(), Some("as-removed"));
    assert_eq!((shelf[1].condition(), shelf[1].reserved_for()), (Some("ready"), Some("CV-12")));
    assert_eq!(shelf[2].condition(), Some("ready"));
    assert!(says(&intake, "IN-027").contains("E2: the note `do not use, cracked housing` says"));
}

#[test]
fn a_rating_that_its_own_row_contradicts_rates_nothing() {
    let intake =
        csv("Tag,Machine,Motor kW,Motor rpm,Ratio,Rated kW,Rated torque Nm,Rated input speed\n\
        A,Pump,15,1460,25,19.6,3200,1460\nB,Pump,15,1460,25,196,3200,1460\n");
    let (rated, _) = sparemesh::rating::rate(&intake.plant, &Policy::default());
    // 9549.3 × 15 / (1460 / 25) = 2453 N·m at the motor; 3200 / 2453 = 1.30.
    assert!((rated[0].installed.unwrap() - 1.30).abs() < 0.01, "{:?}", rated[0].installed);
    assert_eq!(rated[1].installed, None);
    assert!(rated[1].capacity.note.contains("is disputed"), "{}", rated[1].capacity.note);
}

#[test]
fn a_listed_service_factor_is_held_against_rating_over_motor() {
    let intake = csv("Tag,Machine,Motor kW,Motor rpm,Ratio,Rated kW,SF\n\
        A,Pump,15,1460,25,19.6,1.3\nB,Pump,15,1460,25,19.6,3.3\n");
    // 19.6 / 15 = 1.31.
    let said = says(&intake, "IN-027");
    assert!(said.starts_with("G3: service factor 3.3 in G3 is not 1.31"), "{said}");
}

#[test]
fn sister_lists_that_round_another_unit_do_not_contradict() {
    let (_si, si) =
        file("a.csv", b"Tag,Machine,Motor kW,Ratio,Output shaft mm\nA,Pump,11,25,60.3\n");
    let (_us, us) =
        file("b.csv", b"Tag,Machine,Motor HP,Ratio,Output shaft in\nA,Pump,15,25,2 3/8\n");
    let intake = both(si, us);
    assert_eq!(says(&intake, "IN-017"), "");
    assert_eq!(intake.plant.positions.len(), 1);
}

#[test]
fn a_card_whose_first_row_holds_two_known_words_is_a_card() {
    let intake = csv("Machine,Conveyor\nTag,C-9\nMake,Kell\nModel,K7\nRatio,20\nkW,15\nrpm,1460\n");
    assert_eq!(tags(&intake), ["C-9"]);
    let unit = &intake.plant.positions[0];
    assert_eq!((unit.driven_machine(), unit.model()), (Some("Conveyor"), Some("K7")));
    assert_eq!((unit.ratio(), unit.motor_power_kw()), (Some(20.0), Some(15.0)));
}

#[test]
fn totals_are_totals_whatever_number_is_in_their_name() {
    let intake = csv("Tag,Machine,Make,Model,Ratio,Motor kW\nT-1,Mixer,Kell,K7,20,15\n\
        Subtotal area 100,,,,,15\nT-2,Mixer,Kell,K7,20,15\nTotal Area 2:,,,,,15\nEND OF LIST,,,,,\n\
        TOTAL-7,Mixer,Kell,K7,20,15\n");
    assert_eq!(tags(&intake), ["T-1", "T-2", "TOTAL-7"]);
    let sheet = &intake.plant.files[0].sheets[0];
    assert_eq!((sheet.rows_used, sheet.rows_set_aside), (3, 3));
}

#[test]
fn a_part_for_a_model_is_no_unit_of_that_model() {
    let intake = csv("Item,Description,Make,Model,Qty\n504,Gearbox helical 20:1,Kell,K7,1\n\
        505,Oil seal for K7 gearbox,Kell,K7,12\n506,Shaft mounted reducer,Kell,K7,1\n");
    let candidates = sparemesh::fit::shelf_candidates(&intake.plant);
    let units: Vec<_> = candidates.iter().map(|c| c.id.as_str()).collect();
    assert_eq!(units, ["shelf:504", "shelf:506"]);
}

#[test]
fn one_serial_in_two_places_is_told() {
    let intake = csv("Tag,Machine,Make,Model,Ratio,Serial\nT-1,Mixer,Kell,K7,20,55012\n\
        T-2,Mixer,Kell,K7,20,55012\nT-3,Mixer,Holt,K7,20,55012\n");
    let said = says(&intake, "IN-042");
    assert!(said.starts_with("F2: serial `55012` stands at tag `T-1` and at tag `T-2`"), "{said}");
    assert_eq!(said.lines().count(), 1);
    let items = csv("Item,Model,Qty,Bin,Unit value\nX-1,H 140,1,A1,3000\nX-1,H 140,1,A2,30000\n\
        X-2,H 160,1,A3,500\nX-2,H 160,2,A4,500\n");
    let said = says(&items, "IN-042");
    assert!(said.starts_with("A2: item `X-1` stands again at"), "{said}");
    assert_eq!(said.lines().count(), 1);
}

#[test]
fn the_cell_that_mends_both_torque_and_shaft_is_the_culprit() {
    let head = "Tag,Machine,Motor kW,Motor rpm,Ratio,Rated torque Nm,Output shaft mm\n";
    // 9549.3 × 7.5 × 25 / 1460 = 1226 N·m; a shaft of 60 mm bears it at 29 N/mm².
    let watts = csv(&format!("{head}A,Mixer,7500,1460,25,2000,60\n"));
    let said = says(&watts, "IN-027");
    assert!(said.contains("C2: motor power 7500 kW in C2 goes neither with"), "{said}");
    assert!(!said.contains("F2:") && !said.contains("G2:"), "{said}");
    let ratio = csv(&format!("{head}A,Mixer,7.5,1460,2500,2000,60\n"));
    assert!(says(&ratio, "IN-027").contains("E2: ratio 2500 in E2 goes neither with"));
    let swapped = csv("Tag,Machine,Motor rpm,Ratio,Output rpm\nA,Mixer,23.7,60,1420\n");
    let hints: Vec<_> = swapped.findings.iter().filter_map(|f| f.hint.as_deref()).collect();
    assert!(hints.contains(&"the two speeds stand in each other's cells"), "{hints:?}");
}

#[test]
fn amounts_with_separators_keep_their_currency_and_approximations_are_told() {
    let intake = csv("Make;Model;Ratio;Preis\nKell;K9;25;1.150 CHF\nKell;K7;25;3.400 EUR\n");
    assert_eq!(intake.plant.models[0].price(), None);
    assert_eq!(intake.plant.models[1].price(), Some(3400.0));
    let about = csv("Tag,Machine,Ratio,Motor kW\nA,Mixer,25,approx 7.5\n");
    assert_eq!(about.plant.positions[0].motor_power_kw(), Some(7.5));
    assert!(says(&about, "IN-035").contains("D2: Motor power `approx 7.5` was read as 7.5"));
}

#[test]
fn an_inch_with_three_decimals_is_no_thousand() {
    let intake = csv("Tag,Machine,kW,Ratio,Output shaft [in]\n\
        A,Pump,11,25,2.375\nB,Pump,11,25,1.875 in\n");
    let shafts: Vec<_> = intake.plant.positions.iter().map(|p| p.output_shaft_mm()).collect();
    let near = |shaft: Option<f64>, mm: f64| (shaft.unwrap() - mm).abs() < 1e-9;
    assert!(near(shafts[0], 2.375 * 25.4) && near(shafts[1], 1.875 * 25.4), "{shafts:?}");
}

#[test]
fn the_programs_own_names_carry_their_unit() {
    let intake = csv("tag,driven_machine,motor_power_kw,ratio,overhung_output_n,ambient_c\n\
        A,Pump,11,25,5000,35\n");
    let row = &intake.plant.positions[0];
    assert_eq!((row.number(Field::overhung_output_n), row.ambient_c()), (Some(5000.0), Some(35.0)));
}

#[test]
fn a_back_stop_is_held_against_the_way_the_drive_turns() {
    let intake = csv("Tag,Machine,kW,Ratio,Back-stop,Rotation,Reversing\n\
        A,Belt conveyor,11,25,cw,ccw,no\nB,Belt conveyor,11,25,cw,cw,yes\n\
        C,Belt conveyor,11,25,cw,cw,no\n");
    let said = says(&intake, "IN-026");
    assert!(
        said.contains("E2: the back-stop in E2 is free cw, but the output turns ccw in F2"),
        "{said}"
    );
    assert!(said.contains("E3: the drive reverses in G3"), "{said}");
    assert!(!said.contains("E4"), "{said}");
}

#[test]
fn a_frame_is_held_against_the_flange_and_bore_it_hangs_on() {
    // Frame 132M has FF265 and a shaft of 38 mm.
    let intake = csv("Tag,Machine,kW,Ratio,Motor frame,Input flange,Input shaft [mm]\n\
        A,Pump,7.5,25,132M,FF215,38\nB,Pump,7.5,25,132M,FF265,28\nC,Pump,7.5,25,132M,FF265,38\n");
    let said = says(&intake, "IN-027");
    assert!(said.contains("F2: motor frame 132M in E2 has the flange FF265"), "{said}");
    assert!(said.contains("G3: motor frame 132M in E3 has a shaft of 38 mm"), "{said}");
    assert!(!said.contains("4: "), "{said}");
}

#[test]
fn a_row_is_held_against_the_catalogue_of_its_model() {
    let (_a, fleet) = file(
        "fleet.csv",
        b"Tag,Machine,Maker,Model,Ratio,Output shaft [mm],Shaft height [mm]\n\
        A,Pump,Alm,A100,25,65,160\nB,Pump,Alm,A100,25,60,160.5\n",
    );
    let (_b, list) = file(
        "list.csv",
        b"Maker,Model,Ratio,Rated torque [Nm],Price,Output shaft [mm],Shaft height [mm]\n\
        Alm,A100,25,2500,4000,60,160\nAlm,A120,25,3500,5000,70,180\n",
    );
    let said = says(&both(fleet, list), "IN-027");
    assert!(said.contains("F2: output shaft is 65 mm in F2, but 60 mm in the catalogue"), "{said}");
    assert!(!said.contains("F3") && !said.contains("G3"), "{said}");
}

#[test]
fn what_hangs_is_held_against_what_is_said_to_hold_it() {
    let intake = csv(
        "Tag,Machine,kW,Ratio,Holds load,Carries people,Brake,Motor frame,Input flange\n\
        A,Hoist,11,25,suspended,no,no,,\nB,Lift,11,25,none,yes,yes,,\nC,Hoist,11,25,suspended,no,yes,256TC,143TC\n",
    );
    let said = says(&intake, "IN-027");
    assert!(
        said.contains("G2: a load hangs or people are carried, and G2 says that there is no brake"),
        "{said}"
    );
    assert!(
        said.contains("I4: motor frame 256TC in H4 does not bolt to the input's 143TC"),
        "{said}"
    );
    assert!(says(&intake, "IN-026").contains("E3: F3 says that people are carried"));
}
