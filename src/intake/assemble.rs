//! From rows to a plant: tags, duplicates, quantities, models, checks.

use std::collections::{BTreeMap, BTreeSet};

use super::{Intake, checks, describe, measured, models, notes, nouns, repeated, tags};
use crate::findings::{Code, Finding, Lies, name};
use crate::policy::Policy;
use crate::records::{
    Catalogued, Entry, Field, How, Plant, Position, Record, SheetRead, Shelf, Table, Value, alike,
};
pub(super) use checks::Seen;

pub(super) fn assemble(
    intake: &mut Intake,
    records: Vec<(Table, Vec<Record>)>,
    mut tally: tags::Tally,
    policy: &Policy,
) {
    let Intake { plant, findings } = intake;
    let mut fleet = Vec::new();
    for (table, mut rows) in records {
        match table {
            Table::Fleet if fleet.is_empty() => fleet = rows,
            Table::Fleet => fleet.append(&mut rows),
            Table::Catalogue => rows.into_iter().for_each(|record| add_model(plant, record)),
            Table::Shelf => {
                let lines = rows.into_iter().map(|record| Shelf { record, ..Shelf::default() });
                plant.shelf.extend(lines);
            }
            Table::Parts => plant.parts.append(&mut rows),
            Table::Swaps => plant.swaps.append(&mut rows),
            Table::Events => plant.events.append(&mut rows),
        }
    }
    repeated::leave_out(plant, policy, findings);
    repeated::leave_out_events(plant, findings);
    let measured = if tally.measured { measured::take(&mut fleet) } else { Vec::new() };
    if !tally.is_plain() {
        let named = name_by_place(fleet, plant, findings);
        let each = one_tag_each(named, findings);
        fleet = drop_duplicates(each, policy, plant, findings);
    }
    plant.positions = expand(fleet);
    number_lines(plant);
    measured::apply(plant, measured, findings);
    let strangers = std::thread::scope(|scope| {
        let strangers = scope.spawn(|| {
            let mut found = checks::siblings::check(plant);
            found.extend(checks::twice::check(plant));
            found
        });
        for position in &plant.positions {
            findings.extend(unidentified(position));
            findings.extend(no_place(position));
        }
        let blank = blank_consequences(plant, findings);
        findings.extend(blank);
        strangers.join()
    });
    let strangers = strangers.unwrap_or_else(|panic| std::panic::resume_unwind(panic));
    models::match_all(plant, findings);
    findings.extend(checks::listed::check(plant));
    findings.extend(strangers);
    checks::unknown::check(plant, findings);
    unread_log(plant, findings);
}

/// Whether a stock line is of a part and not of a unit.
pub(super) fn is_part(record: &Record) -> bool {
    record.description().is_some_and(nouns::names_a_part)
}

/// Takes what a row's description and tooth counts say, and holds its values against each other.
pub(super) fn settle(table: Table, record: &mut Record, seen: &mut Seen) -> Vec<Finding> {
    if !matches!(table, Table::Fleet | Table::Catalogue | Table::Shelf) {
        return Vec::new();
    }
    let part = table == Table::Shelf && is_part(record);
    if part && let Some(entry) = record.entry(Field::description).cloned() {
        record.set(Field::part, entry.value, How::FromText, entry.col);
    }
    let mut findings: Vec<Finding> =
        if part { Vec::new() } else { describe::fill(record).into_iter().collect() };
    checks::ratio_from_teeth(record);
    let checked = checks::check(record, seen);
    dispute_checked(record, &checked);
    findings.extend(checked);
    if table == Table::Shelf {
        findings.extend(notes::heed(record));
    }
    findings
}

/// Lines of one item are numbered, so that each can be named.
fn number_lines(plant: &mut Plant) {
    let key = |line: &Shelf| Some(crate::records::folded(line.item().or_else(|| line.model())?));
    let mut seen: BTreeMap<String, (u32, u32)> = BTreeMap::new();
    for key in plant.shelf.iter().filter_map(key) {
        seen.entry(key).or_default().0 += 1;
    }
    for line in &mut plant.shelf {
        let Some(counts) = key(line).and_then(|key| seen.get_mut(&key)) else { continue };
        if counts.0 > 1 {
            counts.1 += 1;
            line.nth = counts.1;
        }
    }
}

/// Rows of one maker, model and ratio are one model at several input speeds.
fn add_model(plant: &mut Plant, record: Record) {
    let same = |a: &Record| {
        a.maker() == record.maker()
            && a.model() == record.model()
            && a.order_code() == record.order_code()
            && match (a.ratio(), record.ratio()) {
                (Some(x), Some(y)) => (x - y).abs() < 1e-9,
                (a, b) => a.is_none() && b.is_none(),
            }
    };
    // Another list may hold other input speeds; the same one again is a model of its own, until the lists are compared.
    let again = |m: &Catalogued| {
        m.at != record.at
            && m.rows().any(|r| r.rated_input_speed_rpm() == record.rated_input_speed_rpm())
    };
    // Rows of one model stand together; looking back a few is enough and keeps this linear.
    match plant.models.iter_mut().rev().take(64).find(|m| same(&m.record) && !again(m)) {
        Some(model) => model.more.push(record),
        None => plant.models.push(Catalogued { record, more: Vec::new() }),
    }
}

/// Positions need a tag; without one, an area and machine that no other row has will do.
fn name_by_place(
    fleet: Vec<Record>,
    plant: &mut Plant,
    findings: &mut Vec<Finding>,
) -> Vec<Record> {
    if fleet.iter().all(|r| r.tag().is_some()) {
        return fleet;
    }
    let key = |r: &Record| Some(format!("{} / {}", r.area()?, r.driven_machine()?));
    let mut seen: BTreeMap<String, u32> = BTreeMap::new();
    for record in fleet.iter().filter(|r| r.tag().is_none()) {
        if let Some(key) = key(record) {
            *seen.entry(key).or_default() += 1;
        }
    }
    let mut kept = Vec::new();
    for mut record in fleet {
        if record.tag().is_some() {
            kept.push(record);
        } else if let Some(key) = key(&record).filter(|k| seen.get(k) == Some(&1)) {
            let place = record.place(Field::tag);
            findings.push(Finding::new(
                &name::NAMED_BY_PLACE,
                place,
                format!("the row has no tag; it is named `{key}`"),
            ));
            record.set(Field::tag, Value::Text(key.into()), How::Assumed, 0);
            kept.push(record);
        } else {
            findings.push(Finding::new(
                &name::NO_TAG,
                record.place(Field::tag),
                "the row has no tag; it was set aside",
            ));
            set_aside(plant, &record);
        }
    }
    kept
}

/// A row whose tag names several positions is as many rows.
fn one_tag_each(fleet: Vec<Record>, findings: &mut Vec<Finding>) -> Vec<Record> {
    if !fleet.iter().any(|r| r.tag().is_some_and(tags::may_join)) {
        return fleet;
    }
    let mut out = Vec::with_capacity(fleet.len());
    for mut record in fleet {
        let Some(tags) = record.tag().and_then(tags::several) else {
            out.push(record);
            continue;
        };
        let count = tags.len();
        let quantity = record.quantity().filter(|q| (q - count as f64).abs() > 0.5 && *q > 1.5);
        let also =
            quantity.map_or_else(String::new, |q| format!("; its quantity of {q} was not used"));
        let message = format!(
            "tag `{}` names {count} positions: {}{also}",
            record.tag().unwrap_or_default(),
            tags.join(", ")
        );
        findings.push(Finding::new(&name::SEVERAL_TAGS, record.place(Field::tag), message));
        record.clear(Field::quantity);
        let col = record.entry(Field::tag).map_or(0, |e| e.col);
        for tag in tags {
            let mut own = record.clone();
            own.set(Field::tag, Value::Text(tag.into()), How::Read, col);
            out.push(own);
        }
    }
    out
}

fn set_aside(plant: &mut Plant, record: &Record) {
    for file in plant.files.iter_mut().filter(|f| *f.path == *record.at.file) {
        // Of several tables on one sheet, the last that begins above the row.
        let begins = |s: &&mut SheetRead| {
            let fleet = s.table == Some(Table::Fleet);
            fleet
                && *s.name == *record.at.sheet
                && s.header_rows.first().is_none_or(|h| *h <= record.row)
        };
        if let Some(sheet) = file.sheets.iter_mut().rev().find(begins) {
            sheet.rows_used = sheet.rows_used.saturating_sub(1);
            sheet.rows_set_aside += 1;
        }
    }
}

/// Same tag, same serial or item (or another file): one unit in two rows. Same tag and another
/// serial, item, description or drive: separate positions.
fn drop_duplicates(
    fleet: Vec<Record>,
    policy: &Policy,
    plant: &mut Plant,
    findings: &mut Vec<Finding>,
) -> Vec<Record> {
    let mut by_tag: Vec<(_, usize)> = (0..)
        .zip(&fleet)
        .map(|(index, r)| (tags::key(r.tag().unwrap_or_default()), index))
        .collect();
    by_tag.sort_unstable();
    let mut fleet = fleet;
    let mut drop = vec![false; fleet.len()];
    let mut rename: BTreeMap<usize, String> = BTreeMap::new();
    for rows in by_tag.chunk_by(|a, b| a.0 == b.0).filter(|rows| rows.len() > 1) {
        let mut kept: Vec<usize> = Vec::new();
        for &(_, row) in rows {
            match kept.iter().position(|&k| is_same_unit(&fleet[k], &fleet[row])) {
                None => kept.push(row),
                Some(at) => {
                    let (win, lose) = winner(&fleet, kept[at], row, policy);
                    kept[at] = win;
                    drop[lose] = true;
                    set_aside(plant, &fleet[lose]);
                    findings.extend(tell_duplicate(&fleet[win], &fleet[lose]));
                    let other = fleet[lose].clone();
                    dispute(&mut fleet[win], &other);
                }
            }
        }
        for (n, &row) in kept.iter().enumerate().filter(|_| kept.len() > 1) {
            let tag = fleet[row].tag().unwrap_or_default().to_owned();
            let own = format!("{tag}/{}", n + 1);
            let message = format!(
                "tag `{tag}` stands on {} different units; this one is `{own}`",
                kept.len()
            );
            findings.push(Finding::new(&name::TAG_SHARED, fleet[row].place(Field::tag), message));
            rename.insert(row, own);
        }
    }
    if rename.is_empty() && !drop.contains(&true) {
        return fleet;
    }
    let mut out = Vec::with_capacity(fleet.len());
    for (index, mut record) in fleet.into_iter().enumerate().filter(|(i, _)| !drop[*i]) {
        if let Some(own) = rename.remove(&index) {
            let col = record.entry(Field::tag).map_or(0, |e| e.col);
            record.set(Field::tag, Value::Text(own.into()), How::Read, col);
        }
        out.push(record);
    }
    out
}

fn is_same_unit(a: &Record, b: &Record) -> bool {
    if a.at.file != b.at.file {
        return true;
    }
    let differ = |field| match (a.text(field), b.text(field)) {
        (Some(x), Some(y)) => !alike(x, y),
        (None, Some(_)) | (Some(_), None) => {
            field == Field::serial && a.serial().is_some() == b.serial().is_some()
        }
        _ => false,
    };
    match (a.serial(), b.serial()) {
        (Some(x), Some(y)) => alike(x, y),
        _ => ![Field::item, Field::description, Field::driven_machine, Field::driver]
            .into_iter()
            .any(differ),
    }
}

fn winner(fleet: &[Record], a: usize, b: usize, policy: &Policy) -> (usize, usize) {
    let rank = |r: &Record| policy.rank_of_file(&r.at.file);
    let (ra, rb) = (rank(&fleet[a]), rank(&fleet[b]));
    let b_wins = rb < ra || (ra == rb && fleet[b].entries().len() > fleet[a].entries().len());
    if b_wins { (b, a) } else { (a, b) }
}

/// What its own row contradicts is known to nobody: a ratio, a rating.
fn dispute_checked(record: &mut Record, findings: &[Finding]) {
    let found = |code: &Code| findings.iter().any(|f| f.code.code == code.code);
    let doubted: &[Field] = match (found(&name::CONTRADICTION), found(&name::RATING_DISAGREES)) {
        (false, false) => return,
        (true, false) => &[Field::ratio],
        (false, true) => &[Field::rated_power_kw, Field::rated_torque_nm],
        (true, true) => &[Field::ratio, Field::rated_power_kw, Field::rated_torque_nm],
    };
    for field in doubted {
        if let Some(entry) = record.entry(*field).cloned() {
            record.set(entry.field, entry.value, How::Disputed, entry.col);
        }
    }
}

/// Marks the fields in which two rows for one unit differ.
fn dispute(win: &mut Record, lose: &Record) {
    for entry in lose.entries() {
        let differs = |mine: &&Entry| !says_the_same(entry.field, &mine.value, &entry.value);
        let Some(mine) = win.entry(entry.field).filter(differs).cloned() else { continue };
        win.set(mine.field, mine.value, How::Disputed, mine.col);
    }
}

/// Whether two rows say the same of a field, but for spelling and for rounding in another unit.
fn says_the_same(field: Field, a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Text(a), Value::Text(b)) => alike(a, b),
        (Value::Number(a), Value::Number(b)) => {
            // 15 hp is a motor of 11 kW; standard sizes lie further apart.
            let within = match field {
                Field::motor_power_kw => 0.02,
                Field::motor_speed_rpm | Field::poles | Field::quantity => 1e-9,
                _ => 0.006,
            };
            (a - b).abs() <= within * a.abs().max(b.abs())
        }
        (a, b) => a == b,
    }
}

fn tell_duplicate(win: &Record, lose: &Record) -> Vec<Finding> {
    let tag = win.tag().unwrap_or_default();
    let used = win.place(Field::tag);
    let message =
        format!("tag `{tag}` stands in two rows for one unit; the one at {used} was used");
    let mut out = vec![Finding::new(&name::DUPLICATE_TAG, lose.place(Field::tag), message)];
    for entry in lose.entries() {
        let Some(other) = win.entry(entry.field) else { continue };
        if !says_the_same(entry.field, &other.value, &entry.value) {
            let message = format!(
                "{} of `{tag}` is {} here and {} at {}; the latter was used",
                entry.field.heading(),
                entry.value,
                other.value,
                win.place(entry.field)
            );
            out.push(Finding::new(&name::DUPLICATE_DIFFERS, lose.place(entry.field), message));
        }
    }
    out
}

/// A row for several equal units is as many positions.
fn expand(fleet: Vec<Record>) -> Vec<Position> {
    let mut out = Vec::with_capacity(fleet.len());
    for record in fleet {
        if record.quantity().is_none_or(|q| q < 1.5) {
            out.push(Position { record, ..Position::default() });
            continue;
        }
        let count = record.quantity().map_or(1, |q| q.round().clamp(1.0, 500.0) as u32);
        for n in 1..=count {
            let mut record = record.clone();
            if count > 1 {
                let tag = format!("{}#{n}", record.tag().unwrap_or_default());
                let col = record.entry(Field::tag).map_or(0, |e| e.col);
                record.set(Field::tag, Value::Text(tag.into()), How::Read, col);
            }
            out.push(Position { record, ..Position::default() });
        }
    }
    out
}

fn unidentified(position: &Position) -> Option<Finding> {
    let known = position.model().is_some()
        || (position.ratio().is_some()
            && (position.rated_power_kw().is_some() || position.rated_torque_nm().is_some()))
        || position.description().is_some();
    (!known).then(|| {
        let message = "nothing identifies the unit here: no model, no ratio with a rating";
        Finding::new(&name::NOTHING_IDENTIFIES, position.place(Field::tag), message)
    })
}

/// A tag that reads like a stored unit's.
fn no_place(position: &Position) -> Option<Finding> {
    const STORED: [&str; 8] =
        ["spare", "store", "stock", "in store", "reserve", "ersatz", "lager", "spare unit"];
    let tag = position.tag()?;
    if tag.bytes().any(|b| b.is_ascii_digit()) {
        return None;
    }
    let bare = tag.trim_matches(['(', ')', ' ']).to_lowercase();
    let odd = tag.starts_with('(') || STORED.contains(&bare.as_str());
    odd.then(|| {
        let message =
            format!("tag `{tag}` reads like a stored unit, not like a place where one runs");
        Finding::new(&name::UNUSUAL, position.place(Field::tag), message)
            .hint("move the row to the stock list")
    })
}

/// Positions whose class is blank count as `line`; a cell that could not be read has its own
/// finding.
fn blank_consequences(plant: &Plant, findings: &[Finding]) -> Vec<Finding> {
    let codes = [name::CONSEQUENCE_NUMBER.code, name::UNKNOWN_WORD.code];
    let refused: BTreeSet<(&str, &str, u32, u32)> = findings
        .iter()
        .filter(|f| codes.contains(&f.code.code))
        .filter(|f| f.message.starts_with(Field::consequence.heading()))
        .filter_map(|f| {
            let (row, col) = f.place.cell?;
            Some((&*f.place.file, &*f.place.sheet, row, col))
        })
        .collect();
    // A record's line is a row of the sheet, or whatever its cells were moved from.
    let was_refused = |p: &Position| {
        let of_sheet = (&*p.at.file, &*p.at.sheet);
        let upright = p.lies == Lies::Upright;
        let first = if upright { p.row } else { 0 };
        let in_line = |row: u32, col: u32| match p.lies {
            Lies::Upright => row == p.row,
            Lies::OnItsSide => col == p.row,
            Lies::Form => true,
        };
        refused
            .range((of_sheet.0, of_sheet.1, first, 0)..)
            .take_while(|r| (r.0, r.1) == of_sheet && (!upright || r.2 == p.row))
            .any(|r| in_line(r.2, r.3))
    };
    let is_blank = |p: &Position| !p.knows(Field::consequence) && !was_refused(p);
    let each = |p: &Position| {
        let message =
            format!("`{}` has no consequence class; `line` was assumed", p.tag().unwrap_or("?"));
        Finding::new(&name::BLANK_ASSUMED, p.place(Field::tag), message)
    };
    let mut findings = Vec::new();
    for sheet in plant.positions.chunk_by(|a, b| a.at == b.at) {
        if sheet.len() > 1 && sheet.iter().all(is_blank) {
            let message = format!(
                "none of the {} positions here has a consequence class; `line` was assumed for all",
                sheet.len()
            );
            let place = (*sheet[0].at).clone();
            findings.push(Finding::new(&name::BLANK_ASSUMED, place, message));
        } else {
            findings.extend(sheet.iter().filter(|p| is_blank(p)).map(each));
        }
    }
    findings
}

fn unread_log(plant: &Plant, findings: &mut Vec<Finding>) {
    if plant.events.is_empty() {
        return;
    }
    if !plant.events.iter().any(|e| e.event() == Some("exchange")) {
        let place = (*plant.events[0].at).clone();
        let message = "the events hold no exchange of a unit; they are no data on rates, not zero";
        findings.push(Finding::new(&name::UNREAD_LOG, place, message));
    }
}
