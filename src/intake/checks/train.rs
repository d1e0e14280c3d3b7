//! Facts of gear types held against a row. All are common practice, no source.

use super::cell;
use crate::findings::{Finding, name};
use crate::gearing::{Stage, Train, tooth_pairs};
use crate::records::{Field, Record};

/// A row whose gear train was understood.
struct Row<'a> {
    record: &'a Record,
    text: &'a str,
    train: Train,
}

/// The gear trains of the rows before; a plant has few kinds.
#[derive(Debug, Default)]
pub(in crate::intake) struct Seen(Vec<(String, Option<Train>)>);

impl Seen {
    /// Trains beyond this many are read each time.
    const MOST: usize = 32;

    fn train(&mut self, text: &str) -> Option<Train> {
        if let Some((_, train)) = self.0.iter().find(|(seen, _)| seen == text) {
            return train.clone();
        }
        let train = Train::read(text);
        if self.0.len() < Self::MOST {
            self.0.push((text.to_owned(), train.clone()));
        }
        train
    }
}

/// Runs every check of gear types on a row.
pub(super) fn check(record: &Record, seen: &mut Seen) -> Vec<Finding> {
    let read = record.gear_train().and_then(|text| Some((text, seen.train(text)?)));
    let Some((text, train)) = read else { return Vec::new() };
    let row = Row { record, text, train };
    [against_axes, ratio_range, pinion_teeth, stages_against_pairs, offset, sense, thrust]
        .iter()
        .filter_map(|check| check(&row))
        .collect()
}

fn unusual(record: &Record, field: Field, message: String) -> Finding {
    Finding::new(&name::UNUSUAL, record.place(field), message)
}

/// A worm, bevel or hypoid stage turns the axis, crossed helical gears can, spur and helical
/// stages never do.
fn against_axes(row: &Row<'_>) -> Option<Finding> {
    let Row { record, text, train } = row;
    let axes = record.axes()?;
    let turned = matches!(axes, "right-angle" | "crossed");
    let may_either_way = train.has(Stage::CrossedHelical);
    (!may_either_way && train.turns_axis() != turned).then(|| {
        let message = format!(
            "gear train `{text}` in {} and axes `{axes}` in {} cannot both be right",
            cell(record, Field::gear_train),
            cell(record, Field::axes)
        );
        Finding::new(&name::TRAIN_AXES, record.place(Field::axes), message).hint(
            "a worm or bevel stage turns the axis, spur and helical stages never do (common practice, no source)",
        )
    })
}

/// The ratio against what the train usually has.
fn ratio_range(row: &Row<'_>) -> Option<Finding> {
    let Row { record, text, train } = row;
    let ratio = record.ratio()?;
    let (low, high) = train.plausible_ratios()?;
    (ratio < low || ratio > high).then(|| {
        let message = format!(
            "ratio {ratio} is unusual for `{text}`, which usually has {low:.0} to {high:.0}"
        );
        Finding::new(&name::RATIO_RANGE, record.place(Field::ratio), message)
    })
}

/// Fewest teeth that a pinion of a stage usually has.
const fn fewest_teeth(stage: Stage) -> f64 {
    match stage {
        Stage::Worm => 1.0,
        Stage::Hypoid => 5.0,
        Stage::Bevel | Stage::Helical | Stage::CrossedHelical | Stage::Planetary => 10.0,
    }
}

/// A hypoid pinion may have as few as five teeth, a bevel pinion usually has ten or more.
fn pinion_teeth(row: &Row<'_>) -> Option<Finding> {
    let Row { record, text, train } = row;
    let pairs = tooth_pairs(record.tooth_counts()?)?;
    let fewest = train.stages.iter().map(|s| fewest_teeth(*s)).fold(f64::MAX, f64::min);
    let least = pairs.iter().map(|p| p.driver.min(p.driven)).fold(f64::MAX, f64::min);
    (least < fewest).then(|| {
        let message = format!(
            "a pinion of {least:.0} teeth in {} is unusual for `{text}` in {}, which usually has {fewest:.0} or more",
            cell(record, Field::tooth_counts),
            cell(record, Field::gear_train)
        );
        unusual(record, Field::tooth_counts, message).hint("common practice, no source")
    })
}

/// As many pairs of tooth counts as stages.
fn stages_against_pairs(row: &Row<'_>) -> Option<Finding> {
    let Row { record, text, train } = row;
    let pairs = tooth_pairs(record.tooth_counts()?)?.len();
    let count = train.count? as usize;
    (count != pairs).then(|| {
        let message = format!(
            "`{text}` in {} has {count} stages, the tooth counts in {} have {pairs} pairs",
            cell(record, Field::gear_train),
            cell(record, Field::tooth_counts)
        );
        unusual(record, Field::tooth_counts, message)
    })
}

/// Shafts of hypoid gears are offset, those of bevel gears meet.
fn offset(row: &Row<'_>) -> Option<Finding> {
    let Row { record, text, train } = row;
    let offset = record.shaft_offset_mm()?;
    let said = match train.stages[..] {
        [Stage::Hypoid] if offset == 0.0 => "shafts of hypoid gears are offset",
        [Stage::Bevel] if offset != 0.0 => {
            "shafts of bevel gears meet; an offset speaks for hypoid"
        }
        _ => return None,
    };
    let message = format!(
        "shaft offset {offset} mm in {} does not go with `{text}` in {}",
        cell(record, Field::shaft_offset_mm),
        cell(record, Field::gear_train)
    );
    Some(
        unusual(record, Field::shaft_offset_mm, message)
            .hint(format!("{said} (common practice, no source)")),
    )
}

/// Two external gears turn opposite ways; an idler or an internal gear makes them turn alike.
fn sense(row: &Row<'_>) -> Option<Finding> {
    let opposite = |a: &str, b: &str| match (a, b) {
        ("cw", "ccw") | ("ccw", "cw") => Some(true),
        ("cw", "cw") | ("ccw", "ccw") => Some(false),
        _ => None,
    };
    let Row { record, text, train } = row;
    let turns = opposite(record.input_rotation()?, record.rotation()?)?;
    if train.stages.iter().any(|s| *s != Stage::Helical) {
        return None;
    }
    let teeth = record.tooth_counts()?;
    let meshes: u32 = tooth_pairs(teeth)?.iter().map(|p| p.external_meshes).sum();
    (crate::gearing::reverses(meshes) != turns).then(|| {
        let message = format!(
            "input turns {} in {} and output {} in {}, but `{text}` with {teeth} in {} has {meshes} outside meshes",
            record.input_rotation().unwrap_or("?"),
            cell(record, Field::input_rotation),
            record.rotation().unwrap_or("?"),
            cell(record, Field::rotation),
            cell(record, Field::tooth_counts)
        );
        unusual(record, Field::rotation, message).hint(
            "each outside mesh turns the sense, an idler or an internal gear makes it alike again (common practice, no source); look from the same end",
        )
    })
}

/// Helical gears push along the shaft, a double-helical one cancels it, spur gears do not push.
fn thrust(row: &Row<'_>) -> Option<Finding> {
    let Row { record, text, train } = row;
    let said = record.gear_thrust()?;
    let expected = train.pushes()?;
    (said != expected).then(|| {
        let word = |yes: bool| if yes { "pushes" } else { "does not push" };
        let message = format!(
            "`{text}` in {} {} along its shaft, but {} says that it {}",
            cell(record, Field::gear_train),
            word(expected),
            cell(record, Field::gear_thrust),
            word(said)
        );
        unusual(record, Field::gear_thrust, message).hint("common practice, no source")
    })
}
