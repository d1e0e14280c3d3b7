//! The program as its user meets it.

use calamine::Reader as _;
use std::path::Path;
use std::process::Command;

pub(crate) fn command(args: &[&str]) -> std::process::Output {
    Command::new(env!("CARGO_BIN_EXE_sparemesh"))
        .args(args)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

fn run(args: &[&str]) -> String {
    let output = command(args);
    format!(
        "exit {}\n--- stdout\n{}--- stderr\n{}",
        output.status.code().unwrap(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

pub(crate) fn json(args: &[&str]) -> serde_json::Value {
    let output = command(args);
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn a_missing_file_is_named() {
    insta::assert_snapshot!(run(&["check", "no-such.xlsx"]), @r"
    exit 2
    --- stdout
    --- stderr
    error: cannot read `no-such.xlsx`: no such file or folder
    ");
}

#[test]
fn a_folder_without_spreadsheets_says_what_it_wants() {
    insta::assert_snapshot!(run(&["check", "src"]), @r"
    exit 2
    --- stdout
    --- stderr
    error: cannot read `src`: no spreadsheet in this folder (xlsx, xlsm, xlsb, xls, ods, csv, tsv); name a file, or the folder that holds them
    ");
}

#[test]
fn an_unknown_tag_brings_near_ones() {
    insta::assert_snapshot!(run(&["substitute", "CV-5O1", "sample-data", "-q"]), @r"
    exit 2
    --- stdout
    --- stderr
    error: no tag `CV-5O1` in the fleet; did you mean CV-501, CV-502, CV-503?
    ");
}

#[test]
fn a_misspelt_policy_key_is_pointed_at() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("policy.toml");
    std::fs::write(&path, "currency = \"EUR\"\nholding_rat = 0.2\n").unwrap();
    let said = run(&["check", "sample-data", "-q", "--policy", path.to_str().unwrap()]);
    let said = said.replace(&dir.path().display().to_string(), "DIR");
    insta::assert_snapshot!(said, @r"
    exit 2
    --- stdout
    --- stderr
    error: cannot use `DIR/policy.toml`: line 2: unknown key `holding_rat`; did you mean `holding_rate`? (`sparemesh tables policy` prints every key)
    ");
}

#[test]
fn unknown_headings_and_empty_fleets_say_what_to_do() {
    let dir = tempfile::tempdir().unwrap();
    let file = |name: &str, text: &str| {
        let path = dir.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let unknown = file("telephones.csv", "Name,Telephone\nA,1\nB,2\n");
    for command in ["check", "rate"] {
        let said = run(&[command, &unknown, "-q"]);
        assert!(said.starts_with("exit 2"), "{said}");
        assert!(said.contains("no sheet has headings that are known"), "{said}");
    }
    let empty = file("fleet.csv", "Tag,Driven machine,Motor kW,Ratio\n");
    let said = run(&["rate", &empty, "-q"]);
    assert!(said.starts_with("exit 2") && said.contains("no row that could be used"), "{said}");
}

#[test]
fn a_list_of_tags_and_models_alone_is_a_fleet() {
    let folder = tempfile::tempdir().unwrap();
    let list = folder.path().join("drives.csv");
    std::fs::write(&list, "Tag,Model\nA-1,Any 100 i=20\n").unwrap();
    let read = json(&["rate", list.to_str().unwrap(), "--json"]);
    assert_eq!(read["positions"].as_array().unwrap().len(), 1);
}

/// Words of a table are whole, and no line is wider than the screen.
#[test]
fn a_table_cuts_no_word_and_keeps_to_the_screen() {
    let shown = run(&["rate", "sample-data", "-q"]);
    assert!(shown.contains("absorbed") && shown.contains("demand"), "{shown}");
    let widest = shown.lines().map(|line| line.chars().count()).max().unwrap();
    assert!(widest <= 80, "{widest} characters");
}

#[test]
fn the_story_of_the_sample_plant_holds() {
    for (tag, verdict) in [
        ("CV-501", "drop-in"),
        ("CV-503", "adapt"),
        ("CV-504", "stop-gap"),
        ("HO-601", "refer"),
        ("MX-701", "measure"),
    ] {
        let answer = json(&["substitute", tag, "sample-data", "--json", "-q"]);
        let near: Vec<_> = answer["candidates"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|c| c["from"] != "catalogue" && c["verdict"] != "no")
            .collect();
        assert_eq!(near[0]["verdict"], verdict, "{tag}");
        assert_eq!(answer["tag"], tag);
    }
    let none = json(&["substitute", "PU-902", "sample-data", "--json", "-q"]);
    assert!(none["candidates"].as_array().unwrap().iter().all(|c| c["verdict"] == "no"));
}

#[test]
fn every_gate_of_a_pair_is_in_the_json() {
    let pair = json(&["explain", "CV-501", "shelf:S-1001", "sample-data", "--json", "-q"]);
    let gates: Vec<&str> =
        pair["gates"].as_array().unwrap().iter().map(|g| g["gate"].as_str().unwrap()).collect();
    assert_eq!(gates.len(), 20);
    let keys: Vec<&str> = pair.as_object().unwrap().keys().take(4).map(String::as_str).collect();
    assert_eq!(keys, ["program", "version", "command", "schema"]);
    let strength = &pair["gates"][6];
    assert_eq!(strength["gate"], "strength");
    // By hand: 22 kW at 1475/25 r/min through 94 %: 9549.297 × 22 × 0.94 / 59 = 3347.1 N·m;
    // a uniform conveyor day and night asks 1.25 of it.
    assert!((strength["need"].as_f64().unwrap() - 1.25 * 3347.1).abs() < 1.0);
}

#[test]
fn the_load_line_comes_first_where_it_must() {
    let first = |tag: &str| {
        let output = command(&["substitute", tag, "sample-data", "-q"]);
        String::from_utf8(output.stdout).unwrap().lines().next().unwrap().to_owned()
    };
    assert!(first("HO-601").starts_with("CLAMP THE BELT, CHAIN OR LOAD BEFORE LOOSENING ANYTHING"));
    assert!(first("CV-501").starts_with("Load    none"));
}

#[test]
fn what_was_measured_changes_the_answer() {
    let before = json(&["explain", "MX-701", "shelf:S-1001", "sample-data", "--json", "-q"]);
    assert_eq!(before["verdict"], "measure");
    let mut args = vec!["explain", "MX-701", "shelf:S-1001", "sample-data", "--json", "-q"];
    let settings = [
        "axes=parallel",
        "mounting=foot",
        "output_form=solid",
        "output_shaft_mm=80",
        "shaft_height_mm=180",
        "foot_holes_mm=342x243",
        "input_shaft_mm=40",
    ];
    for setting in &settings {
        args.extend(["--set", setting]);
    }
    let after = json(&args);
    assert_eq!(after["verdict"], "drop-in", "{after:#}");
    args.extend(["--set", "ratoi=25"]);
    assert!(run(&args).contains("no field `ratoi`; did you mean ratio"));
}

#[test]
fn a_plan_adds_up_and_proves_its_releases() {
    let plan = json(&["plan", "sample-data", "--json", "-q"]);
    let lines = plan["lines"].as_array().unwrap();
    let releases: Vec<_> = lines.iter().filter(|l| l["action"] == "release").collect();
    assert!(!releases.is_empty());
    for release in releases {
        let proof = release["covered_by"].as_str().unwrap();
        assert!(
            proof.contains("ready of the same model") || proof == "no position draws on it",
            "{release}"
        );
    }
    for pool in plan["pools"].as_array().unwrap() {
        let asked = pool["level"].as_f64().unwrap();
        assert!(pool["no_wait_probability"].as_f64().unwrap() >= asked, "{pool}");
    }
    assert!(plan["gap"].as_f64().unwrap() >= 0.0);
}

#[test]
fn a_template_is_understood_when_it_comes_back() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("plant");
    assert!(run(&["template", out.to_str().unwrap(), "-q"]).starts_with("exit 0"));
    let check = json(&["check", out.to_str().unwrap(), "--json", "-q"]);
    let sheets = check["files"][0]["sheets"].as_array().unwrap();
    let tables: Vec<&str> = sheets.iter().map(|s| s["table"].as_str().unwrap_or("none")).collect();
    assert_eq!(tables, ["fleet", "catalogue", "shelf", "parts", "swaps", "events"]);
    for sheet in sheets {
        for column in sheet["columns"].as_array().unwrap() {
            assert!(column["field"].is_string(), "{} of {}", column["heading"], sheet["name"]);
        }
    }
    assert!(run(&["template", out.to_str().unwrap(), "-q"]).contains("already there"));
}

#[test]
fn check_exits_with_one_where_errors_stand() {
    let output = command(&["check", "sample-data", "-q"]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(command(&["rate", "sample-data", "-q"]).status.code(), Some(0));
    assert_eq!(command(&["rate", "sample-data", "-q", "--strict"]).status.code(), Some(1));
    let text = String::from_utf8(output.stdout).unwrap();
    let widest = text.lines().map(|l| l.chars().count()).max().unwrap();
    assert!(widest <= 80, "{widest} columns");
}

#[test]
fn drafted_columns_read_the_same_again() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("columns.toml");
    let path = path.to_str().unwrap();
    command(&["check", "sample-data", "-q", "--write-columns", path]);
    let plain = json(&["rate", "sample-data", "--json", "-q"]);
    let mapped = json(&["rate", "sample-data", "--json", "-q", "--columns", path]);
    assert!(plain == mapped, "the drafted mapping reads otherwise");
}

#[test]
fn every_table_and_finding_can_be_printed() {
    let all = json(&["tables", "--json"]);
    for row in all["rows"].as_array().unwrap() {
        let name = row[0].as_str().unwrap();
        assert!(run(&["tables", name]).starts_with("exit 0"), "{name}");
    }
    assert!(run(&["tables", "findings", "in-008"]).contains("cure:"));
    assert!(run(&["tables", "no-such"]).contains("`sparemesh tables` lists them"));
    assert!(Path::new(env!("CARGO_MANIFEST_DIR")).join("LICENSE").is_file());
}

/// A slower candidate carries more torque for the same power: 2684 N·m over 1.25 at 73.75 r/min
/// are 16.6 kW, by hand, not what they would be at the present 92.2 r/min.
#[test]
fn a_power_limit_is_that_of_the_candidates_own_speed() {
    let pair =
        json(&["explain", "CV-504", "model:Orlesund Tern 140 i=20", "sample-data", "--json", "-q"]);
    let limits = pair["limits"].as_array().unwrap();
    let power =
        limits.iter().find(|l| l["text"].as_str().unwrap().contains("kW at the output")).unwrap();
    let rated = pair["gates"][6]["have"].as_f64().unwrap();
    let by_hand = rated / 1.25 * (1475.0 / 20.0) / 9549.3;
    assert!((power["value"].as_f64().unwrap() - by_hand).abs() < 0.11, "{power} for {by_hand}");
}

#[test]
fn no_input_and_no_other_work_is_overwritten() {
    let dir = tempfile::tempdir().unwrap();
    let input = dir.path().join("fleet.csv");
    std::fs::write(&input, "Tag,Driven machine,Motor kW,Motor speed,Ratio\nA,Pump,11,1460,25\n")
        .unwrap();
    let mine = dir.path().join("mine.xlsx");
    std::fs::write(&mine, "mine").unwrap();
    let (input, mine) = (input.to_str().unwrap(), mine.to_str().unwrap());
    let said = run(&["report", input, "-q", "--month", "2026-10", "-o", mine]);
    assert!(said.starts_with("exit 2") && said.contains("no report of this program"), "{said}");
    assert_eq!(std::fs::read(mine).unwrap(), b"mine");
    let said = run(&["check", input, "-q", "--write-columns", input]);
    assert!(said.starts_with("exit 2") && said.contains("already"), "{said}");
    let folder = dir.path().to_str().unwrap();
    let out = dir.path().join("r.xlsx");
    let said = run(&[
        "report",
        input,
        "-q",
        "--month",
        "2026-10",
        "-o",
        out.to_str().unwrap(),
        "--csv",
        folder,
    ]);
    assert!(said.starts_with("exit 2") && said.contains("holds the inputs"), "{said}");
}

#[test]
fn a_file_named_twice_is_read_once() {
    let once = json(&["plan", "sample-data", "--json", "-q"]);
    let twice = json(&["plan", "sample-data", "sample-data/storeroom.xlsx", "--json", "-q"]);
    assert!(once == twice, "the shelf was counted twice");
}

#[test]
fn a_policy_out_of_range_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("policy.toml");
    std::fs::write(&path, "[service_levels]\nline = 2.0\n").unwrap();
    let said = run(&["rate", "sample-data", "-q", "--policy", path.to_str().unwrap()]);
    assert!(
        said.contains("`service_levels.line` is 2; it must lie between 0 and 0.999999"),
        "{said}"
    );
}

/// What is to be spent and saved is counted once: all steps of a pool together save no more than
/// the waiting there is.
#[test]
fn savings_are_counted_once() {
    let plan = json(&["plan", "sample-data", "--json", "-q"]);
    let saved: f64 = plan["lines"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|l| l["action"] != "release")
        .filter_map(|l| l["benefit"].as_f64())
        .sum();
    assert!(saved > 0.0 && saved <= plan["waiting_cost"].as_f64().unwrap());
}

#[test]
fn a_swap_that_was_forbidden_is_no_and_one_that_was_allowed_is_shown() {
    let never = json(&["explain", "DR-801", "model:Heron 225 i=10", "sample-data", "--json", "-q"]);
    assert_eq!(never["verdict"], "no");
    assert!(never["swap"].as_str().unwrap().contains("never by mechanical engineer, 2019-08-03"));
    let allowed = json(&["explain", "CV-501", "shelf:S-1001", "sample-data", "--json", "-q"]);
    assert!(allowed["swap"].as_str().unwrap().starts_with("allowed by shift lead"));
}

#[test]
fn a_disputed_value_is_told_where_it_counts() {
    let pair = json(&["explain", "BM-110", "shelf:S-1030", "sample-data", "--json", "-q"]);
    let confirm = pair["confirm"].as_array().unwrap();
    assert!(
        confirm.iter().any(|c| c.as_str().unwrap().starts_with("DISPUTED: Absorbed power")),
        "{confirm:?}"
    );
}

#[test]
fn the_working_of_a_drive_shows_formula_numbers_and_source() {
    insta::assert_snapshot!(run(&["rate", "sample-data", "--working", "FN-109", "-q"]));
}

#[test]
fn a_table_of_the_plants_own_is_used_or_refused_in_words() {
    let dir = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(dir.path().join(name), text).unwrap();
    write(
        "fleet.csv",
        "Tag,Machine,Load class,Motor kW,Motor rpm,Ratio,Rated torque [Nm],Hours/day\nA,Mixer,M,11,1460,25,3000,24\n",
    );
    write("policy.toml", "[tables]\nservice-factor-helical = \"own.csv\"\n");
    let head = "driver,hours up to,U,M,H\n";
    let rows = |m: &str| {
        ["motor", "multi-cylinder", "single-cylinder"]
            .iter()
            .map(|d| format!("{d},24,1.00,{m},2.00\n"))
            .collect::<String>()
    };
    let folder = dir.path().to_str().unwrap();
    write("own.csv", &format!("{head}{}", rows("1.60")));
    let needed = json(&["rate", folder, "--json", "-q"]);
    assert_eq!(needed["positions"][0]["required_service_factor"], 1.6);
    write("own.csv", &format!("{head}{}", rows("much")));
    let said = run(&["rate", folder, "-q"]);
    assert!(said.contains("exit 2") && said.contains("`much` under `M` is no number"), "{said}");
    write("policy.toml", "[tables]\nservice-factors = \"own.csv\"\n");
    assert!(run(&["rate", folder, "-q"]).contains("there is no table `service-factors`"));
}

#[test]
fn a_swap_sheet_is_written_for_the_first_choice_and_left_out_of_the_inputs() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("swap.xlsx");
    let shown = path.to_str().unwrap();
    let said = run(&["substitute", "CV-503", "sample-data", "--sheet", shown, "-q"]);
    assert!(said.starts_with("exit 0"), "{said}");
    let mut book: calamine::Xlsx<_> = calamine::open_workbook(&path).unwrap();
    assert_eq!(book.sheet_names(), ["Swap sheet"]);
    let range = book.worksheet_range("Swap sheet").unwrap();
    let text: Vec<String> = range.used_cells().map(|c| c.2.to_string()).collect();
    let all = text.join("\n");
    assert!(all.contains("CV-503") && all.contains("shelf:S-1002"), "{all}");
    for last in ["oil in", "breather open", "guards fitted", "bump-tested uncoupled"] {
        assert!(all.contains(&format!("☐ {last}")), "{last}");
    }
    // Twenty gates stand under their heading.
    let gates = text.iter().filter(|t| sparemesh::fit::Gate::ALL.iter().any(|g| g.word() == **t));
    assert_eq!(gates.count(), 20);
    let listed = sparemesh::workbook::list(&[dir.path().to_path_buf()]);
    assert!(listed.is_err() || listed.unwrap().files.is_empty());
    run(&["substitute", "CV-503", "sample-data", "--sheet", shown, "-q", "--units", "us"]);
    let mut book: calamine::Xlsx<_> = calamine::open_workbook(&path).unwrap();
    let us = book.worksheet_range("Swap sheet").unwrap();
    // The shaft of 80 mm is 80 / 25.4 = 3.150 in.
    assert!(us.used_cells().any(|c| *c.2 == "3.150 in"));
    let again = run(&["substitute", "CV-503", "sample-data", "--sheet", "Cargo.toml"]);
    assert!(again.starts_with("exit 2") && again.contains("does not end in .xlsx"), "{again}");
}

#[test]
fn what_was_measured_is_kept_in_a_file_that_is_an_input() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("measured.csv");
    let shown = path.to_str().unwrap();
    for set in ["output_shaft_mm=60", "shaft_height_mm=141"] {
        let args = ["substitute", "CV-601", "sample-data", "--set", set, "--save-measured", shown];
        let said = run(&args);
        assert!(said.starts_with("exit 0"), "{said}");
    }
    let records = json(&["check", "sample-data", shown, "--json", "--records"]);
    let value = |field: &str| {
        let of_tag = records["values"].as_array().unwrap().iter();
        let mut row: Option<&str> = None;
        let mut found = None;
        for v in of_tag.filter(|v| v["table"] == "fleet") {
            if v["field"] == "tag" {
                row = v["value"].as_str();
            }
            if row == Some("CV-601") && v["field"] == field {
                found = v["value"].as_f64();
            }
        }
        found
    };
    assert_eq!((value("output_shaft_mm"), value("shaft_height_mm")), (Some(60.0), Some(141.0)));
    let codes = records["findings"].as_array().unwrap().iter();
    assert_eq!(codes.filter(|f| f["code"] == "IN-043").count(), 1);
    let other = dir.path().join("other.csv");
    std::fs::write(&other, "Tag,Machine,Ratio\nA,Pump,25\n").unwrap();
    let args = [
        "substitute",
        "CV-601",
        "sample-data",
        "--set",
        "ratio=25",
        "--save-measured",
        other.to_str().unwrap(),
    ];
    let said = run(&args);
    assert!(said.contains("was not written by --save-measured"), "{said}");
}

#[test]
fn a_place_without_a_tag_can_be_asked_for() {
    let place = "ratio=31.5 motor_power_kw=30 motor_speed_rpm=1460 driven_machine=Belt conveyor";
    let said = run(&["substitute", "--like", place, "sample-data", "-q"]);
    assert!(said.starts_with("exit 0"), "{said}");
    assert!(said.contains("Ratio 31.5 (you said)"), "{said}");
    assert!(said.contains("Driven machine Belt conveyor (you said)"), "{said}");
    let nothing = run(&["substitute", "--like", "", "sample-data"]);
    assert!(nothing.contains("--like wants what is known of the place"), "{nothing}");
    let alone = run(&["substitute", "CV-503"]);
    assert!(alone.contains("name the files or folders to read behind the tag"), "{alone}");
}

#[test]
fn what_changes_if_is_held_against_today() {
    let figures = |args: &[&str]| {
        let mut all = vec!["plan", "sample-data", "--json", "-q"];
        all.extend(args);
        json(&all)["what_if"]["figures"].clone()
    };
    let pair = |figures: &serde_json::Value, key: &str| {
        let of = |when: &str| figures[key][when].as_f64().unwrap();
        (of("today"), of("then"))
    };
    // Every unit fails three times as often: waiting without a spare is three times as dear.
    let (now, then) = pair(&figures(&["--rates", "3"]), "waiting_without");
    assert!((then / now - 3.0).abs() < 1e-9, "{now} {then}");
    // It is proportional to the lead time too.
    let (now, then) = pair(&figures(&["--lead-times", "1.5"]), "waiting_without");
    assert!((then / now - 1.5).abs() < 1e-9, "{now} {then}");
    let lines = json(&["plan", "sample-data", "--json", "-q"])["lines"].clone();
    let line = lines.as_array().unwrap().iter().find(|l| l["item"] == "S-1002").unwrap().clone();
    let (now, then) = pair(&figures(&["--without", "s1002"]), "stock_value");
    assert!((now - then - line["value"].as_f64().unwrap()).abs() < 1e-6, "{now} {then} {line}");
    let (now, then) = pair(&figures(&["--with", "S-1002=2"]), "waiting_cost");
    assert!(then <= now + 1e-6, "more on the shelf never waits longer: {now} {then}");
    let (now, then) = pair(&figures(&["--remove", "CV-503"]), "waiting_without");
    assert!(then < now, "{now} {then}");
    let both = json(&["plan", "sample-data", "--json", "-q", "--rates", "1"]);
    let (now, then) = pair(&both["what_if"]["figures"], "waiting_cost");
    assert!((now - then).abs() < 1e-6, "nothing changed: {now} {then}");
}

#[test]
fn a_budget_is_spent_where_it_saves_most_and_never_passed() {
    let mut saved_before = -1.0;
    for budget in ["0", "3000", "12000", "1000000"] {
        let made = json(&["plan", "sample-data", "--budget", budget, "--json", "-q"]);
        let of = |key: &str| made["budget"][key].as_f64().unwrap();
        assert!(of("spent") <= budget.parse::<f64>().unwrap());
        assert!(of("saved_a_year") >= saved_before, "more money saves no less");
        saved_before = of("saved_a_year");
    }
    let said = run(&["plan", "sample-data", "--without", "S-9999", "-q"]);
    assert!(said.starts_with("exit 2") && said.contains("no shelf item `S-9999`"), "{said}");
    let said = run(&["plan", "sample-data", "--with", "S-1002", "-q"]);
    assert!(said.contains("is no ITEM=N"), "{said}");
    let said = run(&["plan", "sample-data", "--rates", "0", "-q"]);
    assert!(said.contains("beyond sense"), "{said}");
}

/// A plant of two lines of one item, each short of a dimension.
fn plant_of_twins(dir: &Path) -> String {
    std::fs::write(
        dir.join("fleet.csv"),
        "Tag,Machine,Maker,Model,Ratio,Gear train,Motor kW,Motor rpm,Axes,Mounting,Shaft height [mm],Foot holes [mm],Output form,Output shaft [mm],Input shaft [mm],Hand,Rated torque [Nm],Rated input speed [rpm],Absorbed kW\n\
         M1,Mixer,Alm,A100,20,helical 2-stage,15,1460,parallel,foot,160,300x200,solid,60,32,right,2500,1460,12\n",
    )
    .unwrap();
    std::fs::write(
        dir.join("stock.csv"),
        "Item,Maker,Model,Quantity,Bin,Condition,Ratio,Gear train,Axes,Mounting,Shaft height [mm],Foot holes [mm],Output form,Output shaft [mm],Input shaft [mm],Hand,Rated torque [Nm],Rated input speed [rpm]\n\
         100,Bor,B100,1,A1,ready,20,helical 2-stage,parallel,foot,160,300x200,solid,55,32,right,2500,1460\n\
         100,Bor,B101,1,A2,ready,20,helical 2-stage,parallel,foot,160,300x200,solid,,32,right,2500,1460\n",
    )
    .unwrap();
    dir.to_str().unwrap().to_owned()
}

#[test]
fn each_line_of_an_item_can_be_named_and_measured() {
    let dir = tempfile::tempdir().unwrap();
    let plant = plant_of_twins(dir.path());
    let two = run(&["explain", "M1", "100", &plant, "-q"]);
    assert!(two.contains("`100` has 2 lines on the shelf; name one: 100#1, 100#2"), "{two}");
    let before = json(&["explain", "M1", "shelf:100#2", &plant, "--json", "-q"]);
    assert_eq!(
        (&before["candidate"], &before["verdict"]),
        (&"shelf:100#2".into(), &"measure".into())
    );
    let set = ["--set", "spare.output_shaft_mm=60", "--json", "-q"];
    let after = json(&[&["explain", "M1", "100#2", &plant], &set[..]].concat());
    assert_eq!(after["verdict"], "drop-in", "{after:#}");
    let kept = dir.path().join("measured.csv");
    let args = ["--set", "100#2.output_shaft_mm=60", "--save-measured", kept.to_str().unwrap()];
    let said = run(&[&["substitute", "M1", &plant], &args[..]].concat());
    assert!(said.contains("Output shaft of shelf:100#2 60 (you measured)"), "{said}");
    let again = json(&["explain", "M1", "100#2", &plant, "--json", "-q"]);
    assert_eq!(again["verdict"], "drop-in", "the file in the folder was not read again");
    let both = ["--set", "output_shaft_mm=61", "--set", "output_shaft_mm=55"];
    let twice = run(&[&["explain", "M1", "100#1", &plant], &both[..]].concat());
    assert!(twice.contains("output_shaft_mm was given before, as 61; leave one"), "{twice}");
    let refused = run(&["substitute", "M1", &plant, "--set", "spare.hand=left"]);
    assert!(refused.contains("name the item"), "{refused}");
}

#[test]
fn the_other_system_of_units_stands_beside_or_instead() {
    let dir = tempfile::tempdir().unwrap();
    let plant = plant_of_twins(dir.path());
    let us = run(&["explain", "M1", "100#1", &plant, "--units", "us"]);
    // 60 mm / 25.4 and 55 mm / 25.4.
    assert!(us.contains("2.165 in") && us.contains("2.362 in"), "{us}");
    assert!(us.contains("55 mm (2.165 in)"), "{us}");
    let none = run(&["substitute", "M1", &plant, "--top", "0"]);
    assert!(none.contains("a whole number from 1"), "{none}");
}

#[test]
fn a_ruling_reaches_its_candidate_however_it_is_written() {
    let dir = tempfile::tempdir().unwrap();
    let plant = plant_of_twins(dir.path());
    let swaps = dir.path().join("swaps.csv");
    for name in
        ["Bor B101", "B101 i=20", "Bor B101 20", "shelf:100#2", "100#2", "model:Bor B101 i=20"]
    {
        std::fs::write(&swaps, format!("Tag,Candidate,Ruling\nM1,{name},never\n")).unwrap();
        let made = json(&["explain", "M1", "100#2", &plant, "--json", "-q"]);
        assert_eq!(made["verdict"], "no", "{name}");
    }
    std::fs::write(&swaps, "Tag,Candidate,Ruling\nM1; M7,100#2,never\n").unwrap();
    assert_eq!(json(&["explain", "M1", "100#2", &plant, "--json", "-q"])["verdict"], "no");
    std::fs::write(&swaps, "Tag,Candidate,Ruling\nM1,ZZZ,never\n").unwrap();
    let said = run(&["check", &plant]);
    assert!(said.contains("error[IN-044]: `ZZZ` is no shelf item"), "{said}");
}

#[test]
fn a_mistyped_table_or_code_is_answered_with_the_nearest() {
    for (args, near) in [
        (&["tables", "polcy"][..], "did you mean `policy`?"),
        (&["tables", "findings", "IN-8"][..], "did you mean `IN-008`?"),
    ] {
        let done = std::process::Command::new(env!("CARGO_BIN_EXE_sparemesh"))
            .args(args)
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        assert_eq!(done.status.code(), Some(2));
        assert!(said.contains(near), "{said}");
    }
}

/// The page in `docs/` says of every finding what the program says; `docs/findings.sh` makes it anew.
#[test]
fn the_page_of_findings_is_the_program_s_own() {
    let page = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/findings.md");
    let page = std::fs::read_to_string(page).unwrap();
    let list = json(&["tables", "findings", "--json"]);
    let codes: Vec<&str> =
        list["rows"].as_array().unwrap().iter().map(|r| r[0].as_str().unwrap()).collect();
    assert!(codes.len() > 50, "{codes:?}");
    for code in &codes {
        let said = json(&["tables", "findings", code, "--json"]);
        let of = |key: &str| said[key].as_str().unwrap().to_owned();
        let want = format!(
            "## {code} ({})\n\n{}\n\n*Cure:* {}\n",
            of("severity"),
            of("meaning"),
            of("cure")
        );
        assert!(
            page.contains(&want),
            "docs/findings.md says of {code} something else than\n{want}"
        );
    }
    assert_eq!(page.matches("\n## ").count(), codes.len());
}

/// What cannot be meant is refused in words that say what would be.
#[test]
fn odd_values_on_the_command_line_are_refused_in_words() {
    for (args, says) in [
        (vec!["plan", "sample-data", "--rates", "-1"], "name 0.01 to 100"),
        (vec!["plan", "sample-data", "--budget", "abc"], "a number is wanted"),
        (vec!["plan", "sample-data", "--budget", "inf"], "a number is wanted"),
        (vec!["plan", "sample-data", "--budget", "-5"], "not negative"),
        (
            vec!["explain", "CV-503", "model:Heron180", "sample-data"],
            "with 10 ratios (8, 10, 12.5, 16, 20, 25, 31.5, 40, 50, 63)",
        ),
        (vec!["explain", "CV-503", "model:Heorn 180", "sample-data"], "did you mean Heron 180"),
    ] {
        let done = command(&args);
        let said = String::from_utf8(done.stderr).unwrap();
        assert_eq!(done.status.code(), Some(2), "{args:?}");
        assert!(said.contains(says), "{args:?}: {said}");
    }
}

/// `--units us`: the workbook's columns of quantities are converted, its texts carry both, csv stays as it is.
#[test]
fn a_workbook_in_us_units() {
    let folder = tempfile::tempdir().unwrap();
    let book = |units: &str| {
        let path = folder.path().join(format!("{units}.xlsx"));
        let csv = folder.path().join(units);
        let (path_text, csv_text) = (path.display().to_string(), csv.display().to_string());
        let args =
            ["report", "sample-data", "-o", &path_text, "--csv", &csv_text, "--units", units];
        assert!(command(&args).status.success());
        let mut book = calamine::open_workbook_auto(&path).unwrap();
        let sheet = book.worksheet_range("Overworked").unwrap();
        (sheet, std::fs::read_to_string(csv.join("overworked.csv")).unwrap())
    };
    let ((si, si_csv), (us, us_csv)) = (book("si"), book("us"));
    assert_eq!(si_csv, us_csv);
    let column = |sheet: &calamine::Range<calamine::Data>, heading: &str| {
        let row = sheet.rows().nth(3).unwrap();
        let at =
            row.iter().position(|c| calamine::DataType::get_string(c) == Some(heading)).unwrap();
        sheet.rows().skip(4).map(|r| r[at].clone()).collect::<Vec<_>>()
    };
    let (torque, inches) = (column(&si, "Demand (N·m)"), column(&us, "Demand (lbf·in)"));
    let mut compared = 0;
    for (nm, lbf_in) in torque.iter().zip(&inches) {
        let numbers = (nm.to_string().parse::<f64>(), lbf_in.to_string().parse::<f64>());
        if let (Ok(nm), Ok(lbf_in)) = numbers {
            // 1 N·m = 8.850 745 8 lbf·in (NIST SP 811, 2008, appendix B.8: 0.112 984 8 N·m).
            assert!((lbf_in * 0.112_984_8 / nm - 1.0).abs() < 1e-6, "{nm} {lbf_in}");
            compared += 1;
        }
    }
    assert!(compared > 20);
    let texts = |sheet: &calamine::Range<calamine::Data>| {
        sheet.rows().flatten().filter(|c| c.to_string().contains("lbf·in)")).count()
    };
    assert!(texts(&us) > 0 && texts(&si) == 0);
}

/// A shell can complete what `tables` takes, though a misspelt name there is told in our own words.
#[test]
fn completions_know_the_names_of_tables_and_findings() {
    let printed = |args: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_sparemesh")).args(args).output().unwrap();
        (output.status.code(), String::from_utf8_lossy(&output.stdout).into_owned(), output.stderr)
    };
    let (code, script, _) = printed(&["completions", "bash"]);
    let opts = script.lines().find(|l| l.contains("service-factor-helical")).unwrap();
    assert!(
        code == Some(0) && [" policy ", " fields ", " findings "].iter().all(|n| opts.contains(n))
    );
    let (_, script, _) = printed(&["completions", "zsh"]);
    let first = sparemesh::findings::CODES[0].code;
    assert!(script.contains(first), "{first}");
    let (code, _, said) = printed(&["tables", "servicefactor-helical"]);
    let said = String::from_utf8_lossy(&said).into_owned();
    assert!(code == Some(2) && said.contains("did you mean `service-factor-helical`?"), "{said}");
}
