//! Tags of events and swaps, and candidates of swaps, that are nothing in the plant.

use std::collections::BTreeSet;

use crate::findings::{Finding, name};
use crate::records::{Field, Plant, folded, swap_named, swap_names};

/// Findings for both.
pub(in crate::intake) fn check(plant: &Plant, findings: &mut Vec<Finding>) {
    unknown_tags(plant, findings);
    unknown_candidates(plant, findings);
}

fn unknown_tags(plant: &Plant, findings: &mut Vec<Finding>) {
    // Without a fleet there is nothing that a tag could be missing from.
    if (plant.events.is_empty() && plant.swaps.is_empty()) || plant.positions.is_empty() {
        return;
    }
    let mut known: BTreeSet<String> = BTreeSet::new();
    for tag in plant.positions.iter().filter_map(|p| p.tag()) {
        known.insert(folded(tag));
        // A tag that was split over several units is still a tag.
        known.extend(tag.rsplit_once(['#', '/']).map(|(whole, _)| folded(whole)));
    }
    for event in plant.events.iter().chain(&plant.swaps) {
        if let Some(tag) = event.tag()
            && !known.contains(&folded(tag))
        {
            let message = format!("tag `{tag}` is not in the fleet");
            findings.push(Finding::new(&name::UNKNOWN_TAG, event.place(Field::tag), message));
        }
    }
}

/// Swaps whose candidate is nothing in the plant: a ruling that reaches nobody.
fn unknown_candidates(plant: &Plant, findings: &mut Vec<Finding>) {
    if plant.swaps.is_empty() {
        return;
    }
    let mut known: BTreeSet<String> = BTreeSet::new();
    known.extend(plant.positions.iter().filter_map(|p| p.tag()).map(folded));
    for line in &plant.shelf {
        known.extend(swap_names(&line.record, plant.model_of(line.model), Some(line)));
    }
    for position in &plant.positions {
        known.extend(swap_names(&position.record, plant.model_of(position.model), None));
    }
    for model in &plant.models {
        known.extend(swap_names(&model.record, Some(model), None));
    }
    for swap in &plant.swaps {
        let Some(candidate) = swap.candidate().filter(|c| !known.contains(&swap_named(c))) else {
            continue;
        };
        let ruling = swap.ruling().unwrap_or("noted");
        let message = format!(
            "`{candidate}` is no shelf item, tag or model that was read; the swap ({ruling}) reaches nothing"
        );
        findings.push(Finding::new(
            &name::UNKNOWN_CANDIDATE,
            swap.place(Field::candidate),
            message,
        ));
    }
}
