//! `report`: the monthly workbook.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use serde_json::json;

use super::args::ReportArgs;
use super::load::{Loaded, load_fleet};
use super::{Ran, Streams, render};
use crate::figures::{Drivers, Given, Month, by_area, by_consequence, figures};
use crate::findings::{self, Finding, Place, name};
use crate::fit::{Candidates, Case, as_asked_for, best, misplaced, soonest_at_hand, soonest_ready};
use crate::history::{self, Moved, Snapshot};
use crate::policy::Policy;
use crate::rating::rate;
use crate::records::Plant;
use crate::report::{Material, ReportTable, Told, write, write_file};
use crate::spares::plan;
use crate::workbook::is_own_report;

pub(super) fn run(args: &ReportArgs, streams: &mut Streams<'_>) -> Ran {
    let asked = args.month.as_deref().map(month).transpose()?;
    if let Some(path) = &args.output {
        check_output(path)?;
    }
    let Loaded { mut intake, policy } = load_fleet(&args.paths, streams)?;
    if let Some(folder) = &args.csv {
        check_csv_folder(folder, &args.paths)?;
    }
    let month = match asked {
        Some(month) => {
            other_month(month, &intake.plant, streams);
            month
        }
        None => newest(&intake.plant, streams)?,
    };
    let output =
        args.output.clone().unwrap_or_else(|| PathBuf::from(format!("sparemesh-{month}.xlsx")));
    check_not_overwritten(&output)?;
    if args.csv.as_deref() == Some(output.as_path()) {
        return Err("--csv wants a folder of its own, not the name of the workbook".into());
    }
    let folder = output.parent().map(Path::to_owned).unwrap_or_default();
    let (history, unread) = history::read(&folder, month, &policy.currency);
    for line in unread {
        streams.say(&line);
    }
    let (rated, more) = rate(&intake.plant, &policy);
    let busy = super::load::spinner("planning", streams);
    let made = plan(&intake.plant, &rated, &policy);
    busy.set_message("comparing candidates");
    intake.findings.extend(more);
    intake.findings.extend(made.findings.iter().cloned());
    intake.findings.extend(misplaced(&intake.plant, &policy));
    intake.findings.extend(no_snapshot(month, &history));
    findings::sort(&mut intake.findings);
    let plant = &intake.plant;
    let best = shown(plant, &policy);
    let drivers = Drivers::of(plant, &policy, &made);
    let why = why_moved(plant, &policy, &drivers, history::newest_before(&history, month));
    let material = Material {
        month,
        plant,
        policy: &policy,
        rated: &rated,
        plan: &made,
        best,
        findings: &intake.findings,
        figures: figures(Given {
            plant,
            policy: &policy,
            rated: &rated,
            plan: &made,
            findings: &intake.findings,
        }),
        by_area: by_area(plant, &made)?,
        by_consequence: by_consequence(plant, &made)?,
        history,
        why,
        system: render::system(streams.common),
        folder: folder.clone(),
    };
    busy.set_message("writing");
    let kept = asked
        .map(|month| {
            let (figures, policy_kept) = (&material.figures, json!(policy));
            Snapshot::of(month, &policy.currency, figures, policy_kept, drivers).file(&folder)
        })
        .transpose()?;
    let replaced = kept.as_ref().is_some_and(|(path, _)| path.exists());
    let written = write(&material, args.csv.as_deref(), streams.common.json)?;
    write_file(&output, &written.bytes)?;
    if let Some((path, text)) = &kept {
        write_file(path, text.as_bytes())?;
    }
    busy.finish_and_clear();
    streams.say(&format!("wrote {}: {} sheets", output.display(), written.sheets));
    if streams.common.json {
        let list = material.figures.iter().map(|f| (f.key.to_owned(), json!(f.value)));
        let figures: serde_json::Map<String, serde_json::Value> = list.collect();
        let tables: serde_json::Map<String, serde_json::Value> =
            written.tables.iter().map(|t| (t.name.clone(), json!(records(t)))).collect();
        let body = json!({
            "month": month.to_string(),
            "currency": policy.currency,
            "output": output.display().to_string(),
            "figures": figures,
            "moved": material.why.as_ref().map(|why| why.iter().map(moved).collect::<Vec<_>>()),
            "tables": tables,
        });
        render::document("report", body, streams.out)?;
    }
    if let Some((path, _)) = kept {
        let done = if replaced {
            "replaced the figures kept of the month"
        } else {
            "kept the month's figures"
        };
        streams.say(&format!("{done} in {}", path.display()));
    }
    Ok(super::strict(streams.common, &intake.findings, &[]))
}

/// The candidates shown of every position: the best, and where they are not among them what is here and turns soonest, and
/// the ready unit that covers: who has to run tonight looks for these, whatever would be better.
fn shown(plant: &Plant, policy: &Policy) -> Vec<Vec<Told>> {
    let candidates = Candidates::of(plant);
    let of = |index| {
        let case = Case::new(plant, policy, index);
        let mut found = best(&case, &candidates, policy.shown_candidates);
        for here in [soonest_at_hand(&case, &candidates), soonest_ready(&case, &candidates)] {
            found.extend(here.filter(|h| found.iter().all(|f| f.candidate.id != h.candidate.id)));
        }
        as_asked_for(&mut found);
        found.iter().map(Told::from).collect()
    };
    (0..plant.positions.len()).into_par_iter().map(of).collect()
}

/// Why the figures moved since an earlier month. Where its policy was another, this month's sheets are planned
/// under that one as well: the difference is the policy's.
fn why_moved(
    plant: &Plant,
    policy: &Policy,
    now: &Drivers,
    before: Option<&Snapshot>,
) -> Option<Vec<Moved>> {
    let before = before?;
    let then = before.drivers.as_ref()?;
    let text = serde_json::to_string(policy).ok()?;
    let own: serde_json::Value = serde_json::from_str(&text).ok()?;
    let earlier = if before.policy == own {
        None
    } else {
        // A policy that this version cannot read leaves the causes unknown.
        Some(serde_json::from_value::<Policy>(before.policy.clone()).ok()?)
    };
    let under = earlier.map(|earlier| {
        let (rated, _) = rate(plant, &earlier);
        Drivers::of(plant, &earlier, &plan(plant, &rated, &earlier))
    });
    Some(history::why(then, now, under.as_ref()))
}

fn moved(moved: &Moved) -> serde_json::Value {
    json!({
        "cause": moved.cause.words(),
        "positions": moved.positions,
        "covered": moved.covered,
        "waiting_cost": moved.risk,
        "stock_value": moved.shelf,
        "mostly": moved.mostly,
        "others": moved.others,
    })
}

/// Rows as objects by key; the cells that are empty are left out.
fn records(table: &ReportTable) -> Vec<BTreeMap<&str, &serde_json::Value>> {
    table
        .rows
        .iter()
        .map(|row| {
            let cells = table.keys.iter().zip(row);
            cells.filter(|(_, c)| !c.is_null()).map(|(h, c)| (h.as_str(), c)).collect()
        })
        .collect()
}

/// Says what the changes are against, where the month before was not kept.
fn no_snapshot(month: Month, history: &[Snapshot]) -> Option<Finding> {
    let before = month.before().to_string();
    let message = match history::newest_before(history, month) {
        Some(old) if old.month == before => return None,
        Some(old) => {
            format!("no figures of {before} are kept, so changes are against {}", old.month)
        }
        None => format!("no figures of {before} are kept, so no changes are shown"),
    };
    Some(Finding::new(&name::NO_HISTORY, Place::default(), message))
}

fn month(text: &str) -> Result<Month, String> {
    Month::read(text)
        .filter(|m| (1900..=2100).contains(&m.year))
        .ok_or_else(|| format!("`{text}` is no month; write it as 2026-10"))
}

/// Says so where the sheets are of another month than the one named.
fn other_month(month: Month, plant: &Plant, streams: &mut Streams<'_>) {
    if let Some(newest) = Month::newest(plant).filter(|newest| *newest != month) {
        streams.say(&format!(
            "look: the newest dated event is of {newest}, the report is for {month}; see that these are the right sheets"
        ));
    }
}

/// The month of the newest dated event; the clock is never read.
fn newest(plant: &Plant, streams: &mut Streams<'_>) -> Result<Month, String> {
    let month = Month::newest(plant)
        .ok_or("no event is dated, so the month is not known; name it with --month 2026-10")?;
    streams.say(&format!(
        "month: {month}, that of the newest dated event; no figures are kept without --month"
    ));
    Ok(month)
}

/// Only a report of this program is ever replaced, so no input and no other work can be lost.
pub(super) fn check_not_overwritten(path: &Path) -> Result<(), String> {
    if path.is_dir() {
        return Err(format!("`{}` is a folder; name a file in it", path.display()));
    }
    if path.exists() && !is_own_report(path) {
        return Err(format!(
            "`{}` is there already and is no report of this program; it was left as it is, name another file",
            path.display()
        ));
    }
    Ok(())
}

/// Tables written among the inputs would be read as inputs the next time.
fn check_csv_folder(folder: &Path, inputs: &[PathBuf]) -> Result<(), String> {
    if folder.is_file() {
        return Err(format!("`{}` is a file; name a folder for --csv", folder.display()));
    }
    let real = |p: &Path| std::fs::canonicalize(p).ok();
    let taken =
        inputs.iter().map(|p| if p.is_dir() { p.as_path() } else { p.parent().unwrap_or(p) });
    let same = |p: &Path| real(p).is_some() && real(p) == real(folder);
    if taken.into_iter().any(same) {
        return Err(format!(
            "`{}` holds the inputs; name another folder for --csv",
            folder.display()
        ));
    }
    Ok(())
}

/// A bad output fails before the long work.
pub(super) fn check_output(path: &Path) -> Result<(), String> {
    if path.extension().is_none_or(|e| !e.eq_ignore_ascii_case("xlsx")) {
        return Err(format!(
            "`{}` does not end in .xlsx; reports are xlsx workbooks",
            path.display()
        ));
    }
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if !folder.is_dir() {
        return Err(format!("the folder `{}` does not exist; make it first", folder.display()));
    }
    Ok(())
}
