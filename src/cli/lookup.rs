//! Finds what a person typed: tags, candidates, measured values.

use fuzzy_matcher::FuzzyMatcher;
use fuzzy_matcher::skim::SkimMatcherV2;

use crate::intake::{match_again, read_typed};
use crate::policy::Policy;
use crate::records::{Field, How, Plant, Position, Value};

/// Index of the position with this tag.
///
/// # Errors
/// A message with near tags.
pub(super) fn tag(plant: &Plant, typed: &str) -> Result<usize, String> {
    if let Some(index) = plant.find_position(typed) {
        return Ok(index);
    }
    let tags: Vec<&str> = plant.positions.iter().filter_map(|p| p.tag()).collect();
    let near = near(typed, &tags);
    let hint = if near.is_empty() {
        format!("there are {} tags; `sparemesh check` shows what was read", tags.len())
    } else {
        format!("did you mean {}?", near.join(", "))
    };
    Err(format!("no tag `{typed}` in the fleet; {hint}"))
}

/// The three names nearest to what was typed, for a person to choose from.
pub(super) fn near(typed: &str, names: &[&str]) -> Vec<String> {
    let matcher = SkimMatcherV2::default().ignore_case();
    let mut scored: Vec<(i64, &str)> = names
        .iter()
        .filter_map(|name| {
            let by_edit =
                strsim::normalized_damerau_levenshtein(&typed.to_uppercase(), &name.to_uppercase());
            let subsequence = matcher.fuzzy_match(name, typed).unwrap_or(0);
            (by_edit > 0.6 || subsequence > 0)
                .then_some(((by_edit * 1000.0) as i64 + subsequence, *name))
        })
        .collect();
    scored.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(b.1)));
    scored.dedup_by(|a, b| a.1 == b.1);
    scored.into_iter().take(3).map(|(_, name)| name.to_owned()).collect()
}

/// A place without a tag, as a person describes it: `ratio=25 driven_machine=Belt conveyor`.
///
/// # Errors
/// A message that says which setting cannot be read.
pub(super) fn like(
    plant: &mut Plant,
    text: &str,
    policy: &Policy,
) -> Result<(usize, Vec<String>), String> {
    let mut settings: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match settings.last_mut() {
            Some(last) if !word.contains('=') => {
                last.push(' ');
                last.push_str(word);
            }
            _ => settings.push(word.to_owned()),
        }
    }
    if settings.is_empty() {
        return Err(
            "--like wants what is known of the place, as 'ratio=25 motor_power_kw=11'".into()
        );
    }
    let mut position = Position::default();
    position.record.set(Field::tag, Value::Text("the place asked for".into()), How::Measured, 0);
    plant.positions.push(position);
    let index = plant.positions.len() - 1;
    let said = set(plant, index, &settings, policy)?;
    Ok((index, said.into_iter().map(|s| s.replace("(you measured)", "(you said)")).collect()))
}

/// Puts measured values into a position.
///
/// # Errors
/// A message that says which setting cannot be read.
pub(super) fn set(
    plant: &mut Plant,
    index: usize,
    settings: &[String],
    policy: &Policy,
) -> Result<Vec<String>, String> {
    let mut said = Vec::new();
    for setting in settings {
        let (name, text) = setting
            .split_once('=')
            .ok_or_else(|| format!("`{setting}` is no FIELD=VALUE, as output_shaft_mm=60"))?;
        if name.trim() == "tag" {
            return Err("a tag cannot be measured; name it as the first argument".into());
        }
        let names: Vec<&str> = Field::ALL.iter().map(|f| f.name()).collect();
        let field = Field::find(name.trim()).ok_or_else(|| {
            format!("no field `{name}`; did you mean {}?", near(name, &names).join(", "))
        })?;
        let value =
            read_typed(field, text.trim(), policy).map_err(|why| format!("`{setting}`: {why}"))?;
        said.push(format!("{} {value} (you measured)", field.heading()));
        plant.positions[index].record.set(field, value, How::Measured, 0);
    }
    if !settings.is_empty() {
        match_again(plant, index);
    }
    Ok(said)
}
