//! One thing in two places: a serial number at two tags, or installed and in store; an item in two
//! stock lines that do not say the same.

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};

use crate::findings::{Finding, name};
use crate::records::{Field, Plant, Record, folded};

/// Findings for serial and item numbers that stand twice.
pub(in crate::intake) fn check(plant: &Plant) -> Vec<Finding> {
    let mut findings = serials(plant);
    findings.extend(items(plant));
    findings.extend(lists(plant));
    findings
}

/// Two lists that hold the same items in the same bins are most likely one storeroom at two times.
fn lists(plant: &Plant) -> Vec<Finding> {
    /// Fewer items may well be the same in two storerooms.
    const FEWEST: usize = 3;
    let mut first_of: Vec<&Record> = Vec::new();
    let mut sizes: Vec<usize> = Vec::new();
    let mut seen: BTreeMap<(String, String), usize> = BTreeMap::new();
    let mut shared: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for line in &plant.shelf {
        let Some(item) = line.item() else { continue };
        if first_of.last().is_none_or(|last| last.at != line.at) {
            first_of.push(&line.record);
            sizes.push(0);
        }
        let list = sizes.len() - 1;
        sizes[list] += 1;
        let key = (folded(item), folded(line.bin().unwrap_or_default()));
        let earlier = *seen.entry(key).or_insert(list);
        if earlier != list {
            *shared.entry((earlier, list)).or_default() += 1;
        }
    }
    let doubled = shared
        .into_iter()
        .filter(|((a, b), both)| *both >= FEWEST && 2 * both >= sizes[*a].min(sizes[*b]));
    let tell = |((a, b), both): ((usize, usize), usize)| {
        let message = format!(
            "{both} of the {} items of this list stand in the same bins in {}; if it is one storeroom at two times, every unit was counted twice",
            sizes[b], first_of[a].at
        );
        Finding::new(&name::TWO_LISTS, (*first_of[b].at).clone(), message)
            .hint("read only the newest stock list")
    };
    doubled.map(tell).collect()
}

fn serials(plant: &Plant) -> Vec<Finding> {
    let rows = plant
        .positions
        .iter()
        .map(|p| &p.record)
        .chain(plant.shelf.iter().map(|s| &s.record))
        .filter(|r| r.serial().is_some_and(|s| s.len() >= 3));
    let rows: Vec<&Record> = rows.collect();
    if all_differ(rows.iter().filter_map(|row| row.serial())) {
        return Vec::new();
    }
    let mut seen: BTreeMap<(String, String), Vec<&Record>> = BTreeMap::new();
    for row in rows {
        let maker = folded(row.maker().unwrap_or_default());
        seen.entry((folded(row.serial().unwrap_or_default()), maker)).or_default().push(row);
    }
    let twice = seen.into_values().filter(|rows| rows.len() > 1);
    twice.filter_map(|rows| serial_twice(&rows)).collect()
}

/// Whether no two names are alike; in doubt `false`. Nearly always they differ, and a sort of
/// numbers tells.
fn all_differ<'a>(names: impl Iterator<Item = &'a str>) -> bool {
    let hash = |name: &str| {
        let mut hasher = DefaultHasher::new();
        let letters = name.bytes().filter(|b| !b" -_./".contains(b));
        letters.for_each(|b| b.to_ascii_uppercase().hash(&mut hasher));
        hasher.finish()
    };
    let mut hashes: Vec<u64> = names.map(hash).collect();
    hashes.sort_unstable();
    hashes.windows(2).all(|pair| pair[0] != pair[1])
}

fn serial_twice(rows: &[&Record]) -> Option<Finding> {
    let first = rows[0];
    // A row for several units is one cell.
    let other = rows.iter().find(|r| (&r.at, r.row) != (&first.at, first.row))?;
    let named = |row: &Record| {
        let what = row.tag().map(|t| format!("tag `{t}`"));
        what.or_else(|| row.item().map(|i| format!("item `{i}`"))).unwrap_or_else(|| "a row".into())
    };
    let message = format!(
        "serial `{}` stands at {} and at {} ({}); one unit cannot be in two places",
        first.serial().unwrap_or_default(),
        named(first),
        named(other),
        other.place(Field::serial)
    );
    Some(Finding::new(&name::TWO_PLACES, first.place(Field::serial), message))
}

fn items(plant: &Plant) -> Vec<Finding> {
    let mut seen: BTreeMap<String, Vec<&Record>> = BTreeMap::new();
    for line in &plant.shelf {
        if let Some(item) = line.item().filter(|i| i.len() >= 2) {
            seen.entry(folded(item)).or_default().push(&line.record);
        }
    }
    seen.into_values().filter(|rows| rows.len() > 1).filter_map(|rows| item_twice(&rows)).collect()
}

/// Two lines of one item may be two bins of it; not two models, two prices or two counts of one bin.
fn item_twice(rows: &[&Record]) -> Option<Finding> {
    let first = rows[0];
    let differs = |row: &&&Record| {
        let text = |field| match (first.text(field), row.text(field)) {
            (Some(a), Some(b)) => folded(a) != folded(b),
            _ => false,
        };
        let number = |field| match (first.number(field), row.number(field)) {
            (Some(a), Some(b)) => (a - b).abs() > 1e-9,
            _ => false,
        };
        let same_bin = !text(Field::bin);
        text(Field::model)
            || text(Field::maker)
            || number(Field::unit_value)
            || (same_bin && (number(Field::quantity) || first.bin().is_some()))
    };
    let other = rows.iter().skip(1).find(differs)?;
    let same = first
        .entries()
        .iter()
        .map(|e| (e.field, &e.value))
        .eq(other.entries().iter().map(|e| (e.field, &e.value)));
    let how = if same {
        "word for word: typed twice, or two lots"
    } else {
        "and the two lines do not say the same"
    };
    let message = format!(
        "item `{}` stands again at {}, {how}",
        first.item().unwrap_or_default(),
        other.place(Field::item)
    );
    Some(Finding::new(&name::TWO_PLACES, first.place(Field::item), message))
}
