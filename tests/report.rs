//! The workbook is read back with the reader we ship.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use calamine::{Data, Reader, Xlsx, open_workbook};

use crate::sample::folder;

fn write(dir: &Path, month: &str, paths: &Path) -> std::path::PathBuf {
    let out = dir.join(format!("r-{month}.xlsx"));
    let status = Command::new(env!("CARGO_BIN_EXE_sparemesh"))
        .args([
            "report",
            paths.to_str().unwrap(),
            "-q",
            "--month",
            month,
            "-o",
            out.to_str().unwrap(),
        ])
        .args(["--csv", dir.join("csv").to_str().unwrap()])
        .status()
        .unwrap();
    assert!(status.success());
    out
}

/// A cell's text, empty for anything else.
fn text(cell: &Data) -> &str {
    match cell {
        Data::String(text) => text,
        _ => "",
    }
}

/// A cell's number.
fn number(cell: &Data) -> f64 {
    match cell {
        Data::Float(n) => *n,
        Data::Int(n) => *n as f64,
        other => panic!("{other:?}"),
    }
}

fn sheets(path: &Path) -> BTreeMap<String, Vec<Vec<Data>>> {
    let mut book: Xlsx<_> = open_workbook(path).unwrap();
    book.worksheets()
        .into_iter()
        .map(|(name, range)| (name, range.rows().map(<[Data]>::to_vec).collect()))
        .collect()
}

#[test]
fn the_workbook_holds_its_sheets_and_its_figures_agree() {
    let dir = tempfile::tempdir().unwrap();
    write(dir.path(), "2026-09", &folder().join("2026-09"));
    let out = write(dir.path(), "2026-10", &folder());
    let mut book: Xlsx<_> = open_workbook(&out).unwrap();
    assert_eq!(
        book.sheet_names(),
        [
            "This month",
            "Do next",
            "No cover",
            "Hold, release, buy",
            "Families",
            "Who fits where",
            "Overworked",
            "Measure next",
            "Shared parts",
            "Data to fix",
            "Method and sources",
        ]
    );
    assert!(book.worksheet_range("This month").is_ok());
    let all = sheets(&out);
    let figures = &all["This month"];
    let figure = |label: &str| {
        let row =
            figures.iter().find(|r| text(&r[0]) == label).unwrap_or_else(|| panic!("{label}"));
        let Data::Float(value) = row[1] else { panic!("{label}: {:?}", row[1]) };
        value
    };
    // The shelf's value, summed here from the storeroom's own workbook.
    let stock = sheets(&folder().join("storeroom.xlsx"));
    let by_hand: f64 = stock["Stock list"]
        .iter()
        .skip(1)
        .filter(|r| r[0].to_string().contains('-'))
        .map(|r| match (&r[5], &r[7]) {
            (Data::Float(quantity), Data::Float(value)) => quantity * value,
            _ => 0.0,
        })
        .sum();
    assert!((figure("Value of the shelf (EUR)") - by_hand).abs() < 0.5, "{by_hand}");
    let rows = &all["No cover"];
    let heading = rows.iter().position(|r| text(&r[0]) == "Tag").unwrap();
    let total = rows.iter().position(|r| text(&r[0]) == "Total").unwrap();
    let bare = total - heading - 1;
    assert_eq!(
        figure("Positions with a ready spare on the shelf") as usize,
        figure("Positions that run") as usize - bare
    );
    let last: &Data =
        &figures.iter().find(|r| text(&r[0]) == "Value of the shelf (EUR)").unwrap()[2];
    assert!(
        matches!(last, Data::Float(value) if *value > 0.0),
        "last month's figure is drawn from its snapshot"
    );
    assert!(dir.path().join("csv/no-cover.csv").is_file());
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let (a, b) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let first = std::fs::read(write(a.path(), "2026-10", &folder())).unwrap();
    let second = std::fs::read(write(b.path(), "2026-10", &folder())).unwrap();
    assert!(first == second);
}

#[test]
fn an_output_that_cannot_be_written_fails_at_once() {
    let run = |out: &str| {
        let output = Command::new(env!("CARGO_BIN_EXE_sparemesh"))
            .args(["report", folder().to_str().unwrap(), "-q", "--month", "2026-10", "-o", out])
            .output()
            .unwrap();
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    assert_eq!(
        run("no-such-folder/r.xlsx"),
        (Some(2), "error: the folder `no-such-folder` does not exist; make it first\n".into())
    );
    assert_eq!(
        run("r.pdf"),
        (Some(2), "error: `r.pdf` does not end in .xlsx; reports are xlsx workbooks\n".into())
    );
}

fn report(out: &Path, month: &str, more: &[&str]) -> std::process::Output {
    Command::new(env!("CARGO_BIN_EXE_sparemesh"))
        .args(["report", folder().to_str().unwrap(), "--month", month])
        .args(["-o", out.to_str().unwrap()])
        .args(more)
        .output()
        .unwrap()
}

#[test]
fn a_month_left_out_is_compared_with_the_newest_one_before_it() {
    let dir = tempfile::tempdir().unwrap();
    write(dir.path(), "2026-09", &folder().join("2026-09"));
    let out = dir.path().join("later.xlsx");
    let done = report(&out, "2026-11", &[]);
    assert!(done.status.success());
    let sheets = sheets(&out);
    let page = &sheets["This month"];
    let heading = page.iter().position(|r| text(&r[0]) == "Figure").unwrap();
    assert_eq!(text(&page[heading][2]), "2026-09");
    let shelf = page.iter().find(|r| text(&r[0]).starts_with("Value of the shelf")).unwrap();
    let (now, old, change) = (&shelf[1], &shelf[2], &shelf[3]);
    assert!((number(now) - number(old) - number(change)).abs() < 1e-9);
    let told = sheets["Data to fix"].iter().flatten().any(|c| text(c).contains("against 2026-09"));
    assert!(told);
}

#[test]
fn figures_in_another_currency_or_of_a_newer_version_are_not_used_nor_lost() {
    let dir = tempfile::tempdir().unwrap();
    let history = dir.path().join("history");
    std::fs::create_dir(&history).unwrap();
    let usd = r#"{"schema":1,"month":"2026-09","currency":"USD","figures":{"covered":1.0}}"#;
    std::fs::write(history.join("2026-09.json"), usd).unwrap();
    let newer = r#"{"schema":9,"month":"2026-10","shape":"unknown"}"#;
    std::fs::write(history.join("2026-10.json"), newer).unwrap();
    let out = dir.path().join("r.xlsx");
    let done = report(&out, "2026-10", &[]);
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    assert!(said.contains("is in USD, this report in EUR"), "{said}");
    assert!(said.contains("a newer version wrote it and it is left as it is"), "{said}");
    assert_eq!(done.status.code(), Some(2));
    assert_eq!(std::fs::read_to_string(history.join("2026-10.json")).unwrap(), newer);
    assert!(!out.exists(), "nothing is written where the month cannot be kept");
    std::fs::remove_file(history.join("2026-10.json")).unwrap();
    assert!(report(&out, "2026-10", &[]).status.success());
    let all = sheets(&out);
    let page = &all["This month"];
    let covered = page.iter().find(|r| text(&r[0]).starts_with("Positions with a ready")).unwrap();
    assert_eq!(text(&covered[2]), "not kept");
}

#[test]
fn json_and_csv_hold_the_tables_of_the_workbook() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("r.xlsx");
    let csv = dir.path().join("csv");
    let done = report(&out, "2026-10", &["--json", "-q", "--csv", csv.to_str().unwrap()]);
    let json: serde_json::Value = serde_json::from_slice(&done.stdout).unwrap();
    let sheets = sheets(&out);
    let tables = json["tables"].as_object().unwrap();
    assert_eq!(tables.len(), 11);
    for (sheet, name, key) in
        [("No cover", "no-cover", "tag"), ("Hold, release, buy", "hold-release-buy", "item")]
    {
        let tags: Vec<&str> = sheets[sheet][4..].iter().map(|r| text(&r[0])).collect();
        assert_eq!(text(&sheets[sheet][3][0]).to_lowercase(), key);
        let rows = tables[name].as_array().unwrap();
        let said: Vec<&str> = rows.iter().map(|r| r[key].as_str().unwrap()).collect();
        assert_eq!(said, tags[..said.len()], "{sheet}");
        assert!(tags.len() - said.len() <= 1 && said.len() > 5);
        let mut file = csv::Reader::from_path(csv.join(format!("{name}.csv"))).unwrap();
        assert_eq!(file.records().count(), said.len());
    }
    let spend = &tables["do-next"][1]["to_spend"];
    assert!(spend.is_number(), "{spend}");
    let figures = csv::Reader::from_path(csv.join("this-month.csv")).unwrap().records().count();
    assert_eq!(figures, json["figures"].as_object().unwrap().len());
    assert_eq!(json["currency"], "EUR");
}

/// Sheets and policy change between two months: positions gone and new, stock out, dearer hours, another weight of
/// unproven units. The causes add up to the change of each figure, on the sheet and in JSON.
#[test]
fn what_moved_the_figures_adds_up() {
    let dir = tempfile::tempdir().unwrap();
    let plant = dir.path().join("plant");
    std::fs::create_dir(&plant).unwrap();
    let fleet = |rows: &str| {
        let head = "Tag,Machine,Maker,Model,Ratio,Motor kW,Motor rpm,Absorbed kW,Hours/day,Consequence,Down cost per hour\n";
        std::fs::write(plant.join("fleet.csv"), format!("{head}{rows}")).unwrap();
    };
    let shelf = |rows: &str| {
        let head = "Item,Maker,Model,Ratio,Qty,Condition,Last inspected,Unit value\n";
        std::fs::write(plant.join("shelf.csv"), format!("{head}{rows}")).unwrap();
    };
    let list = "Maker,Model,Ratio,Rated torque [Nm],n1 [rpm],Price,Lead time [days],Gear train,Axes,Mounting,Shaft height [mm],Foot holes [mm],Output form,Output shaft [mm],Input shaft [mm]\n\
        Alm,A100,20,2500,1460,4000,60,helical 2-stage,parallel,foot,160,300x200,solid,60,32\n";
    std::fs::write(plant.join("list.csv"), list).unwrap();
    let log = "Date,Tag,Work done,Cause\n2026-08-03,M1,oil change,wear\n";
    std::fs::write(plant.join("events.csv"), log).unwrap();
    let row = |tag: &str, cost: u32| format!("{tag},Mixer,Alm,A100,20,15,1460,12,24,line,{cost}\n");
    let made = |month: &str, more: &[&str]| {
        let out = dir.path().join(format!("r-{month}.xlsx"));
        let done = Command::new(env!("CARGO_BIN_EXE_sparemesh"))
            .args(["report", plant.to_str().unwrap(), "--month", month, "--json", "-q", "-o"])
            .arg(&out)
            .args(more)
            .output()
            .unwrap();
        assert!(
            done.status.code().is_some_and(|c| c < 2),
            "{}",
            String::from_utf8_lossy(&done.stderr)
        );
        (out, serde_json::from_slice::<serde_json::Value>(&done.stdout).unwrap())
    };
    fleet(&(row("M1", 500) + &row("M2", 500) + &row("M3", 500)));
    shelf("S1,Alm,A100,20,2,ready,2026-05-01,4000\nS2,Alm,A100,20,1,,,3000\n");
    let (_, before) = made("2026-09", &[]);
    fleet(&(row("M1", 900) + &row("M2", 500) + &row("M4", 500)));
    shelf("S1,Alm,A100,20,1,ready,2026-05-01,4200\nS2,Alm,A100,20,1,,,3000\n");
    let log = format!("{log}2026-09-20,M2,unit replaced,wear\n");
    std::fs::write(plant.join("events.csv"), log).unwrap();
    std::fs::write(plant.join("policy.toml"), "unproven_weight = 0.5\n").unwrap();
    let (out, now) = made("2026-10", &[]);
    let moved = now["moved"].as_array().unwrap();
    for key in ["positions", "covered", "waiting_cost", "stock_value"] {
        let change =
            now["figures"][key].as_f64().unwrap() - before["figures"][key].as_f64().unwrap();
        let sum: f64 = moved.iter().map(|m| m[key].as_f64().unwrap()).sum();
        assert!((change - sum).abs() < 1e-6, "{key}: {change} and {sum}");
    }
    let causes: Vec<&str> = moved.iter().map(|m| m["cause"].as_str().unwrap()).collect();
    for cause in
        ["Positions added", "Positions gone", "Stock in", "Exchanges since", "Prices", "Policy"]
    {
        assert!(causes.iter().any(|c| c.starts_with(cause)), "{cause} not in {causes:?}");
    }
    // Two of 4000 and one of 3000 are now one of 4200 and one of 3000.
    let stock =
        moved.iter().find(|m| m["cause"].as_str().unwrap().starts_with("Stock in")).unwrap();
    let prices = moved.iter().find(|m| m["cause"].as_str().unwrap().starts_with("Prices")).unwrap();
    assert_eq!(stock["stock_value"].as_f64(), Some(-4000.0));
    assert!((prices["stock_value"].as_f64().unwrap() - 200.0).abs() < 1e-9);
    let page = &sheets(&out)["This month"];
    let at = page.iter().position(|r| text(&r[0]) == "All of it").unwrap();
    let risk = page.iter().find(|r| text(&r[0]).starts_with("Risk: expected")).unwrap();
    assert!((number(&page[at][3]) - number(&risk[3])).abs() < 0.5, "{:?} {:?}", page[at], risk);
}

#[test]
fn a_month_kept_by_the_first_schema_is_compared_but_not_explained() {
    let dir = tempfile::tempdir().unwrap();
    let history = dir.path().join("history");
    std::fs::create_dir(&history).unwrap();
    let old = r#"{"schema":1,"month":"2026-09","currency":"EUR","figures":{"covered":1.0}}"#;
    std::fs::write(history.join("2026-09.json"), old).unwrap();
    let out = dir.path().join("r.xlsx");
    assert!(report(&out, "2026-10", &[]).status.success());
    let page = &sheets(&out)["This month"];
    assert!(page.iter().any(|r| text(&r[0]).contains("an earlier version kept that month")));
    assert!(page.iter().any(|r| matches!(r[2], Data::Float(n) if n == 1.0)));
}

#[test]
fn a_file_called_history_is_named_and_left() {
    let dir = tempfile::tempdir().unwrap();
    std::fs::write(dir.path().join("history"), "mine").unwrap();
    let out = dir.path().join("r.xlsx");
    let done = report(&out, "2026-10", &[]);
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("is a file; move it away"), "{said}");
    assert!(!out.exists());
    assert_eq!(std::fs::read_to_string(dir.path().join("history")).unwrap(), "mine");
}
