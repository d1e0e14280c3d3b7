//! Finds what a person typed: tags, candidates, measured values.

use fuzzy_matcher::FuzzyMatcher;
use fuzzy_matcher::skim::SkimMatcherV2;

use crate::fit::{From, find_candidate};
use crate::intake::{match_again, match_line_again, read_typed};
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
    let measured = set(plant, index, None, &settings, policy)?;
    Ok((index, measured.iter().map(|m| m.said("you said")).collect()))
}

/// A value that a person measured.
#[derive(Debug)]
pub(super) struct Measured {
    /// The tag, or `shelf:…` of a spare.
    pub(super) of: String,
    /// What it is.
    pub(super) field: Field,
    /// As typed.
    pub(super) text: String,
    /// As read.
    value: Value,
    /// Whether it is the position asked about.
    here: bool,
}

impl Measured {
    /// In words, with how it is known.
    pub(super) fn said(&self, how: &str) -> String {
        let of = if self.here { String::new() } else { format!(" of {}", self.of) };
        format!("{}{of} {} ({how})", self.field.heading(), self.value)
    }
}

/// Puts measured values into the position, or into the spare that stands before a dot: `spare` for
/// the candidate asked about, else its name.
///
/// # Errors
/// A message that says which setting cannot be read.
pub(super) fn set(
    plant: &mut Plant,
    index: usize,
    candidate: Option<&str>,
    settings: &[String],
    policy: &Policy,
) -> Result<Vec<Measured>, String> {
    let mut measured: Vec<Measured> = Vec::new();
    for setting in settings {
        let (name, text) = setting
            .split_once('=')
            .ok_or_else(|| format!("`{setting}` is no FIELD=VALUE, as output_shaft_mm=60"))?;
        let (of, name) = name.rsplit_once('.').map_or((None, name), |(of, name)| (Some(of), name));
        let at = match of.map(str::trim) {
            None => From::Position(index),
            Some("spare") => find_candidate(
                plant,
                candidate.ok_or("`spare.` is the candidate of `explain`; here name the item, as S-1001.output_shaft_mm=60")?,
            )?
            .from,
            Some(named) => find_candidate(plant, named)?.from,
        };
        let field = field_named(name.trim())?;
        let value =
            read_typed(field, text.trim(), policy).map_err(|why| format!("`{setting}`: {why}"))?;
        let (record, of) = match at {
            From::Position(at) => {
                let position = &mut plant.positions[at];
                let tag = position.tag().unwrap_or_default().to_owned();
                (&mut position.record, tag)
            }
            From::Shelf(line) => {
                let of = format!("shelf:{}", plant.shelf[line].name());
                (&mut plant.shelf[line].record, of)
            }
            From::Catalogue(_) => {
                return Err(format!(
                    "`{setting}`: what a model of the catalogue is stands in the catalogue; correct it there"
                ));
            }
        };
        record.set(field, value.clone(), How::Measured, 0);
        let names_it = matches!(
            field,
            Field::model | Field::maker | Field::ratio | Field::order_code | Field::description
        );
        match at {
            _ if !names_it => {}
            From::Position(at) => match_again(plant, at),
            From::Shelf(line) => match_line_again(plant, line),
            From::Catalogue(_) => {}
        }
        let same = |m: &&Measured| m.of == of && m.field == field;
        if let Some(first) = measured.iter().find(same) {
            return Err(format!(
                "`{setting}`: {} was given before, as {}; leave one",
                first.field.name(),
                first.text
            ));
        }
        let here = at == From::Position(index);
        measured.push(Measured { of, field, text: text.trim().to_owned(), value, here });
    }
    Ok(measured)
}

/// A field by the name that a person typed.
fn field_named(name: &str) -> Result<Field, String> {
    if name == "tag" || name == "item" {
        return Err(format!("`{name}` is a name and cannot be measured"));
    }
    Field::find(name).ok_or_else(|| {
        let names: Vec<&str> = Field::ALL.iter().map(|f| f.name()).collect();
        let near = near(name, &names);
        let hint = if near.is_empty() {
            "`sparemesh tables fields` lists them".to_owned()
        } else {
            format!("did you mean {}?", near.join(", "))
        };
        format!("no field `{name}`; {hint}")
    })
}
