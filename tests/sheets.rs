//! The order and the words of the sheets that people work down.

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

use crate::sample::folder;

fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_sparemesh")).args(args).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn tables() -> Value {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("r.xlsx");
    let (paths, out) = (folder(), out.to_str().unwrap().to_owned());
    let args =
        ["report", paths.to_str().unwrap(), "--month", "2026-10", "-o", &out, "--json", "-q"];
    let printed: Value = serde_json::from_slice(&run(&args).stdout).unwrap();
    printed["tables"].clone()
}

fn text<'a>(row: &'a Value, key: &str) -> &'a str {
    row[key].as_str().unwrap_or_default()
}

/// What the planner is told to take tonight stands among the candidates of its position.
#[test]
fn what_is_here_and_turns_soonest_is_on_who_fits_where() {
    let all = tables();
    let rows = all["who-fits-where"].as_array().unwrap();
    let mut beyond = 0;
    for tag in ["CV-503", "CV-504", "BM-104", "BM-134", "PU-105"] {
        let paths = folder();
        let args = ["substitute", tag, paths.to_str().unwrap(), "--json", "-q"];
        let answer: Value = serde_json::from_slice(&run(&args).stdout).unwrap();
        let free = |c: &&Value| c["list"] == "soonest" && c["not_available"].is_null();
        let first = answer["candidates"].as_array().unwrap().iter().find(free).unwrap();
        let own: Vec<&Value> = rows.iter().filter(|r| text(r, "tag") == tag).collect();
        let row = own.iter().find(|r| r["candidate"] == first["candidate"]);
        let row = row.unwrap_or_else(|| panic!("{tag}: {} is not told", first["candidate"]));
        let key = "what_it_takes_or_what_must_be_measured";
        beyond += usize::from(text(row, key).starts_with("soonest of what is here"));
    }
    assert!(beyond > 0, "none of these positions shows the case");
}

#[test]
fn findings_are_worked_down_worst_first_and_kind_by_kind() {
    let all = tables();
    let rows = all["data-to-fix"].as_array().unwrap();
    let rank =
        |row: &Value| ["error", "warning", "note"].iter().position(|s| row["severity"] == **s);
    assert!(rows.windows(2).all(|w| rank(&w[0]) <= rank(&w[1])));
    // Every kind stands in one piece.
    let mut codes: Vec<&str> = rows.iter().map(|r| text(r, "code")).collect();
    codes.dedup();
    let mut once = codes.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(codes.len(), once.len(), "{codes:?}");
    let asks = |row: &&Value| !text(row, "what_to_do").starts_with("Nothing");
    let warnings: Vec<&Value> = rows.iter().filter(|r| r["severity"] == "warning").collect();
    let first = warnings.iter().position(|r| !asks(r)).unwrap_or(warnings.len());
    assert!(warnings[first..].iter().all(|r| !asks(r)));
}

#[test]
fn a_line_to_review_stands_together_with_its_value() {
    let all = tables();
    let rows = all["hold-release-buy"].as_array().unwrap();
    let order = ["release", "review", "inspect", "rebuild", "buy", "hold"];
    let rank = |r: &Value| order.iter().position(|w| r["action"] == **w).unwrap();
    let key = |r: &Value| (rank(r), -r["value_on_the_shelf"].as_f64().unwrap_or(0.0));
    for pair in rows.windows(2) {
        let (a, b) = (key(&pair[0]), key(&pair[1]));
        assert!(a.0 < b.0 || (a.0 == b.0 && (a.1 <= b.1 || a.0 == 4)), "{pair:?}");
    }
    let review = rows.iter().filter(|r| r["action"] == "review").count();
    assert_eq!(review, rows.iter().filter(|r| text(r, "why").starts_with("review")).count());
    assert!(review > 5);
    // Whom somebody is to look at it for is named.
    let open: Vec<&Value> =
        rows.iter().filter(|r| text(r, "why").contains("could take it")).collect();
    assert!(open.len() > 5 && open.iter().all(|r| !text(r, "for_or_who_keeps_cover").is_empty()));
    // A ready unit that alone serves others is not reviewed away without a word.
    let alone = rows.iter().find(|r| text(r, "why").contains("the only ready spare of"));
    assert_eq!(alone.map(|r| text(r, "action")), Some("review"));
}

#[test]
fn conversions_stand_under_the_families() {
    let all = tables();
    let rows = all["conversions"].as_array().unwrap();
    let saves: Vec<f64> = rows.iter().map(|r| r["saves_a_year"].as_f64().unwrap()).collect();
    assert!(saves.len() > 3 && saves.windows(2).all(|w| w[0] >= w[1]), "{saves:?}");
    assert!(rows.iter().all(|r| ["feet or flange", "output shaft", "motor side"].contains(&text(r, "convert"))));
}

#[test]
fn a_month_that_is_not_that_of_the_sheets_is_pointed_at() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("r.xlsx");
    let (paths, out) = (folder().join("2026-09"), out.to_str().unwrap().to_owned());
    let with = |month: &str| {
        said(&run(&["report", paths.to_str().unwrap(), "--month", month, "-o", &out]))
    };
    let own = with("2026-09");
    assert!(!own.contains("look:") && own.contains("kept the month's figures"), "{own}");
    assert!(with("2026-09").contains("replaced the figures kept of the month"));
    let other = with("2026-11");
    assert!(
        other.contains("newest dated event is of 2026-09, the report is for 2026-11"),
        "{other}"
    );
}

/// Refusals name the key and what it takes, or the order of the words.
#[test]
fn wrong_values_and_words_in_the_wrong_order_are_told_in_words() {
    let dir = tempfile::tempdir().unwrap();
    let policy = dir.path().join("policy.toml");
    let refused = |line: &str| {
        std::fs::write(&policy, line).unwrap();
        said(&run(&["check", "sample-data", "-q", "--policy", policy.to_str().unwrap()]))
    };
    for (line, want) in [
        ("speed_tolerance_pct = \"x\"", "line 1: `speed_tolerance_pct` takes a number, not \"x\""),
        ("speed_tolerance_pct =", "line 1: `speed_tolerance_pct` has no value"),
        ("\nnew_inverters = 3", "line 2: `new_inverters` takes true or false, not 3"),
        ("currency = 1 # euro", "line 1: `currency` takes text in quotes, not 1"),
        ("paper = \"a3\"", "line 1: `paper` is `a3`; it may be `a4` or `letter`"),
        ("work_cost = {banana = 3}", "`work_cost.banana` is no work; it may be change_unit,"),
        ("work_cost = {belt = -5}", "`work_cost.belt` is -5; it must lie between 0 and"),
        ("adapters = [\"FF215\"]", "`adapters` holds `FF215`; name two flanges"),
        ("currency_rates = {EUR = 2}", "`currency_rates.EUR` is 2, but that is the plant's own"),
    ] {
        let got = refused(line);
        assert!(got.contains(want), "{line}: {got}");
    }
    let swapped = said(&run(&["substitute", folder().to_str().unwrap(), "CV-503"]));
    assert!(swapped.contains("the tag comes first"), "{swapped}");
    let file = dir.path().join("r.csv");
    std::fs::write(&file, "").unwrap();
    let args = ["report", "sample-data", "--csv", file.to_str().unwrap(), "-o"];
    let out = dir.path().join("r.xlsx");
    let onto = said(&run(&[&args[..], &[out.to_str().unwrap()]].concat()));
    assert!(
        onto.contains("is a file; name a folder for --csv") && !Path::new(&out).exists(),
        "{onto}"
    );
}

/// What the policy decides alone can be tried out on the sheet: the figures follow the cells that hold it.
#[test]
fn figures_follow_the_key_inputs_on_the_method_sheet() {
    use calamine::{Data, DataType, Reader, Xlsx, open_workbook};
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("r.xlsx");
    let paths = folder();
    let args = [
        "report",
        paths.to_str().unwrap(),
        "--month",
        "2026-10",
        "-q",
        "-o",
        out.to_str().unwrap(),
    ];
    assert!(run(&args).status.success());
    let mut book: Xlsx<_> = open_workbook(&out).unwrap();
    let names = book.defined_names().to_vec();
    let method = book.worksheet_range("Method and sources").unwrap();
    let sheet = book.worksheet_range("This month").unwrap();
    let formulas = book.worksheet_formula("This month").unwrap();
    let row_of = |label: &str| {
        (0..80)
            .find(|r| sheet.get_value((*r, 0)).is_some_and(|v| v.get_string() == Some(label)))
            .unwrap()
    };
    let figure = |row: u32| match sheet.get_value((row, 1)) {
        Some(Data::Float(value)) => *value,
        other => panic!("{other:?}"),
    };
    for (name, of, from) in [
        ("Holding_share", "Cost of holding it, a year (EUR)", "Value of the shelf (EUR)"),
        (
            "Salvage_share",
            "Proposed releases, what they bring in (EUR)",
            "Proposed releases, book value written off (EUR)",
        ),
    ] {
        let (row, from) = (row_of(of), row_of(from));
        let formula = formulas.get_value((row, 1)).unwrap();
        assert_eq!(*formula, format!("B{}*{name}", from + 1));
        let place = &names.iter().find(|n| n.0 == name).unwrap().1;
        let line: u32 = place.rsplit('$').next().unwrap().parse().unwrap();
        let Some(Data::Float(share)) = method.get_value((line - 1, 1)) else { panic!("{place}") };
        assert!((figure(row) - figure(from) * share).abs() < 1e-6, "{of}");
    }
}

/// What one measurement settles is asked for once, and only what is missing: the ratio of BM-109 cannot be read, its motor is known.
#[test]
fn a_torque_that_is_not_known_asks_for_what_is_missing() {
    let paths = folder();
    let shown = run(&["explain", "BM-109", "shelf:S-1043", paths.to_str().unwrap(), "-q"]);
    let shown = String::from_utf8_lossy(&shown.stdout).into_owned();
    let words: Vec<&str> = shown.split_whitespace().collect();
    let plain = words.join(" ");
    assert!(plain.contains("the output speed is not known, so the torque is not"), "{plain}");
    assert!(!plain.contains("motor's power and speed"), "{plain}");
    // What nothing says of an efficiency is no figure to compare with.
    assert!(!plain.contains("Energy:"), "{plain}");
    let json = run(&["substitute", "BM-109", paths.to_str().unwrap(), "--json", "-q"]);
    let answer: Value = serde_json::from_slice(&json.stdout).unwrap();
    let all = answer.to_string();
    assert!(
        all.contains("the ratio on the plate")
            && !all.contains("the output speed, by counting turns")
    );
}
