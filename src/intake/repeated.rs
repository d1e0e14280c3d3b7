//! A model that two catalogues list alike is one model, an event that two logs hold alike one event.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use crate::findings::{Finding, Place, name};
use crate::policy::Policy;
use crate::records::{Catalogued, Field, Plant, Record, folded};

/// What a catalogue may say otherwise of the same model: how it is sold, and remarks.
const SOLD: [Field; 6] = [
    Field::price,
    Field::lead_time_days,
    Field::status,
    Field::supplier,
    Field::note,
    Field::description,
];

/// Leaves out models that an earlier list holds with the same build and rating, and says so once for each pair of lists.
/// The lists that the policy names first come first.
pub(super) fn leave_out(plant: &mut Plant, policy: &Policy, findings: &mut Vec<Finding>) {
    let one_list = plant.models.windows(2).all(|pair| pair[0].at == pair[1].at);
    if one_list {
        return;
    }
    let mut models = std::mem::take(&mut plant.models);
    models.sort_by_key(|model| policy.rank_of_file(&model.at.file));
    let mut first: HashMap<(String, String, String, u64), Vec<usize>> = HashMap::new();
    let mut left_out: BTreeMap<(String, String), (usize, Finding)> = BTreeMap::new();
    for model in models {
        let known = first.entry(name_of(&model)).or_default();
        let same =
            |at: &&usize| plant.models[**at].at != model.at && alike(&plant.models[**at], &model);
        if let Some(at) = known.iter().find(same) {
            let lists = (model.at.to_string(), plant.models[*at].at.to_string());
            let finding =
                || Finding::new(&name::REPEATED_MODELS, model.place(Field::model), String::new());
            left_out.entry(lists).or_insert_with(|| (0, finding())).0 += 1;
        } else {
            known.push(plant.models.len());
            plant.models.push(model);
        }
    }
    findings.extend(left_out.into_iter().map(|((_, earlier), (count, finding))| Finding {
        message: format!(
            "{count} models of this list stand in {earlier} with the same build and rating; those were used, with their prices and lead times"
        ),
        ..finding
    }));
}

/// Leaves out events that an earlier list holds word for word, and says so once for each pair of lists.
pub(super) fn leave_out_events(plant: &mut Plant, findings: &mut Vec<Finding>) {
    if plant.events.windows(2).all(|pair| pair[0].at == pair[1].at) {
        return;
    }
    let mut first: HashMap<String, Arc<Place>> = HashMap::new();
    let mut left_out: BTreeMap<(String, String), (usize, Finding)> = BTreeMap::new();
    plant.events.retain(|event| {
        // Without its day it may well be another.
        if event.date().is_none() {
            return true;
        }
        let words = in_words(event, &[]);
        let earlier = first.entry(words).or_insert_with(|| Arc::clone(&event.at));
        if *earlier == event.at {
            return true;
        }
        let lists = (event.at.to_string(), earlier.to_string());
        let finding =
            || Finding::new(&name::REPEATED_EVENTS, event.place(Field::tag), String::new());
        left_out.entry(lists).or_insert_with(|| (0, finding())).0 += 1;
        false
    });
    findings.extend(left_out.into_iter().map(|((_, earlier), (count, finding))| Finding {
        message: format!(
            "{count} events of this list stand word for word in {earlier}; each was counted once"
        ),
        ..finding
    }));
}

/// A row in words, without some fields.
fn in_words(row: &Record, but: &[Field]) -> String {
    let entries = row.entries().iter().filter(|e| !but.contains(&e.field));
    entries.fold(String::new(), |said, e| said + e.field.name() + "=" + &e.value.to_string() + ";")
}

fn name_of(model: &Catalogued) -> (String, String, String, u64) {
    let text = |text: Option<&str>| folded(text.unwrap_or_default());
    let ratio = model.ratio().unwrap_or_default().to_bits();
    (text(model.maker()), text(model.model()), text(model.order_code()), ratio)
}

fn alike(a: &Catalogued, b: &Catalogued) -> bool {
    let said = |model: &Catalogued| -> Vec<String> {
        let rows = model.rows().map(|row| in_words(row, &SOLD));
        let mut rows: Vec<String> = rows.collect();
        rows.sort_unstable();
        rows
    };
    said(a) == said(b)
}
