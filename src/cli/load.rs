//! From paths to a plant: lists files, reads policy and mapping, opens the books.

use std::error::Error;
use std::path::{Path, PathBuf};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::Streams;
use crate::findings::{Finding, Place, Severity, name};
use crate::intake::{self, Intake};
use crate::policy::{self, Columns, Policy};
use crate::records::{Field, Table};
use crate::units::find_unit;
use crate::workbook::{self, Limits, Listing};

/// Everything a command starts from.
pub(super) struct Loaded {
    pub(super) intake: Intake,
    pub(super) policy: Policy,
}

/// Reads everything that `paths` mean.
pub(super) fn load(paths: &[PathBuf], streams: &mut Streams<'_>) -> Result<Loaded, Box<dyn Error>> {
    let listing = workbook::list(paths)?;
    let (policy, columns) = choices(&listing, streams)?;
    let limits = Limits {
        unpacked_bytes: policy.max_unpacked_mb << 20,
        cells: usize::try_from(policy.max_cells).unwrap_or(usize::MAX),
    };
    let mut findings = listing.findings.clone();
    let mut books = Vec::new();
    let bar = bar(listing.files.len() as u64, streams);
    for (path, shown) in &listing.files {
        bar.set_message(shown.clone());
        match workbook::open(path, shown, limits) {
            Ok(book) => books.push(book),
            Err(error) if listing.from_folder => {
                findings.push(Finding::new(
                    &name::UNREADABLE_FILE,
                    Place::file(shown),
                    error.reason,
                ));
            }
            Err(error) => return Err(error.into()),
        }
        bar.inc(1);
    }
    bar.finish_and_clear();
    if books.is_empty() {
        let first = findings.iter().find(|f| f.severity == Severity::Error);
        let said = first.map(|f| format!("{}: {}", f.place, f.message)).unwrap_or_default();
        return Err(format!("none of the files could be read; {said}").into());
    }
    let mut intake = intake::read(books, &policy, &columns);
    for doubled in intake.findings.iter().filter(|f| f.code == &name::TWO_LISTS) {
        // Whoever asks for quiet is not spared this: every figure of stock is wrong where it is so.
        let _ = writeln!(streams.err, "look: {}: {}", doubled.place, doubled.message);
    }
    findings.append(&mut intake.findings);
    intake.findings = findings;
    Ok(Loaded { intake, policy })
}

/// The same, for commands that need a fleet.
pub(super) fn load_fleet(
    paths: &[PathBuf],
    streams: &mut Streams<'_>,
) -> Result<Loaded, Box<dyn Error>> {
    let loaded = load(paths, streams)?;
    need_fleet(&loaded.intake)?;
    Ok(loaded)
}

/// Without a position there is nothing to answer; says what is missing.
pub(super) fn need_fleet(intake: &Intake) -> Result<(), String> {
    let plant = &intake.plant;
    if plant.positions.is_empty() {
        let sheets: Vec<_> = plant.files.iter().flat_map(|f| &f.sheets).collect();
        let fleets = sheets.iter().filter(|s| s.table == Some(Table::Fleet)).count();
        let refused = intake.findings.iter().find(|f| f.code == &name::UNREADABLE_SHEET);
        if let Some(refused) = refused.filter(|_| fleets == 0) {
            return Err(format!("no fleet was read; {}: {}", refused.place, refused.message));
        }
        let reason = if fleets > 0 {
            "the fleet table holds no row that could be used; `sparemesh check` lists why"
        } else if sheets.iter().all(|s| s.table.is_none()) {
            "no sheet has headings that are known; `sparemesh check` lists them, \
             columns.toml maps them, `sparemesh template DIR` writes a workbook to fill in"
        } else {
            "no fleet table was found: it needs a tag column and the model, ratio or machine; \
             `sparemesh template DIR` writes a workbook to fill in"
        };
        return Err(reason.into());
    }
    Ok(())
}

/// Policy and mapping, and the first line of talk that says which.
fn choices(
    listing: &Listing,
    streams: &mut Streams<'_>,
) -> Result<(Policy, Columns), Box<dyn Error>> {
    let beside = |file: &str| {
        listing.folder.as_ref().map(|folder| folder.join(file)).filter(|path| path.is_file())
    };
    let policy_path = streams.common.policy.clone().or_else(|| beside("policy.toml"));
    let columns_path = streams.common.columns.clone().or_else(|| beside("columns.toml"));
    let shown = |path: &Option<PathBuf>, else_said: &str| {
        path.as_deref().map_or_else(|| else_said.to_owned(), |p: &Path| workbook::shown_path(p))
    };
    streams.say(&format!(
        "policy: {}; columns: {}",
        shown(&policy_path, "built-in defaults"),
        shown(&columns_path, "as recognised")
    ));
    let policy = policy_path.as_deref().map_or_else(|| Ok(Policy::default()), policy::load)?;
    own_tables(&policy, policy_path.as_deref())?;
    let columns =
        columns_path.as_deref().map_or_else(|| Ok(Columns::default()), policy::load_columns)?;
    if let Some(path) = &columns_path {
        check_columns(&columns)
            .map_err(|why| format!("cannot use `{}`: {why}", workbook::shown_path(path)))?;
    }
    Ok((policy, columns))
}

/// Puts the plant's own tables in place, from files beside the policy.
fn own_tables(policy: &Policy, policy_path: Option<&Path>) -> Result<(), Box<dyn Error>> {
    let folder = policy_path.and_then(Path::parent).unwrap_or(Path::new("."));
    for (name, file) in &policy.tables {
        crate::standards::table_named(name)
            .map_err(|why| format!("[tables] of the policy: {why}"))?;
        let path = folder.join(file);
        let shown = workbook::shown_path(&path);
        let text = std::fs::read_to_string(&path)
            .map_err(|e| match e.kind() {
                std::io::ErrorKind::NotFound => format!(
                    "the policy takes its table `{name}` from `{shown}`, but there is no such file; put it there, or remove `{name}` from [tables]"
                ),
                _ => format!("cannot read the table `{name}` in `{shown}`: {e}"),
            })?;
        crate::standards::use_own(name, &text, &shown)?;
    }
    Ok(())
}

/// Fields and units of the mapping file must be known.
fn check_columns(columns: &Columns) -> Result<(), String> {
    let names: Vec<&str> = Field::ALL.iter().map(|f| f.name()).collect();
    for line in &columns.column {
        if line.field != "ignore" && Field::find(&line.field).is_none() {
            let near = super::lookup::near(&line.field, &names);
            return Err(format!(
                "column `{}`: no field `{}`; did you mean {}? (`sparemesh tables fields` lists them)",
                line.column,
                line.field,
                near.join(", ")
            ));
        }
        // The unit of an amount is its currency, by its code.
        let is_code = line.unit.len() == 3 && line.unit.bytes().all(|b| b.is_ascii_uppercase());
        let known = is_code || line.unit == "$" || find_unit(&line.unit).is_some();
        if !line.unit.is_empty() && !known {
            return Err(format!("column `{}`: no unit `{}`", line.column, line.unit));
        }
    }
    Ok(())
}

/// A bar on a terminal, nothing elsewhere.
fn bar(length: u64, streams: &Streams<'_>) -> ProgressBar {
    let target = if streams.common.quiet || length < 2 {
        ProgressDrawTarget::hidden()
    } else {
        ProgressDrawTarget::stderr()
    };
    let bar = ProgressBar::with_draw_target(Some(length), target);
    if let Ok(style) = ProgressStyle::with_template("reading {pos}/{len} {wide_msg}") {
        bar.set_style(style);
    }
    bar
}

/// What is being done, on a terminal, while it lasts.
pub(super) fn spinner(doing: &'static str, streams: &Streams<'_>) -> ProgressBar {
    let target = if streams.common.quiet {
        ProgressDrawTarget::hidden()
    } else {
        ProgressDrawTarget::stderr()
    };
    let bar = ProgressBar::with_draw_target(None, target).with_message(doing);
    if let Ok(style) = ProgressStyle::with_template("{spinner} {msg}, {elapsed}") {
        bar.set_style(style);
    }
    bar.enable_steady_tick(std::time::Duration::from_millis(500));
    bar
}
