//! Matches models to the catalogue as people write them; digits are compared exactly.

use std::collections::BTreeMap;

use super::agreed;
use crate::findings::{Finding, name};
use crate::records::{Catalogued, Field, How, ModelMatch, Plant, Record};

/// How far a near match must stand above the next name.
const MARGIN: f64 = 0.05;

/// A name's letters and digit groups apart: `GR-101 B` gives `GRB` and `101`.
fn take_apart(text: &str) -> (String, Vec<String>) {
    let mut letters = String::new();
    let mut groups: Vec<String> = Vec::new();
    let mut in_digits = false;
    for c in text.chars().flat_map(char::to_uppercase) {
        if c.is_ascii_digit() {
            if !in_digits {
                groups.push(String::new());
            }
            if let Some(group) = groups.last_mut() {
                group.push(c);
            }
        } else if c.is_alphanumeric() {
            letters.push(c);
        }
        in_digits = c.is_ascii_digit();
    }
    (letters, groups)
}

fn folded(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect()
}

/// Letters that stand for digits, brought to digits where digits stand around them.
fn letters_for_digits(text: &str) -> String {
    let folded: Vec<char> = folded(text).chars().collect();
    let near = |at: usize| {
        let digit =
            |i: Option<usize>| i.and_then(|i| folded.get(i)).is_some_and(char::is_ascii_digit);
        digit(at.checked_sub(1)) || digit(Some(at + 1))
    };
    folded
        .iter()
        .enumerate()
        .map(|(at, c)| match c {
            'O' if near(at) => '0',
            'I' | 'L' if near(at) => '1',
            c => *c,
        })
        .collect()
}

/// How alike two names are: 1 the same, below that the reason counts.
fn likeness(a: &str, b: &str) -> f64 {
    if folded(a) == folded(b) {
        return 1.0;
    }
    if letters_for_digits(a) == letters_for_digits(b) {
        return 0.95;
    }
    let (letters_a, digits_a) = take_apart(a);
    let (letters_b, digits_b) = take_apart(b);
    if digits_a != digits_b || digits_a.is_empty() {
        return 0.0;
    }
    let (short, long) = if letters_a.len() < letters_b.len() {
        (&letters_a, &letters_b)
    } else {
        (&letters_b, &letters_a)
    };
    if !short.is_empty() && long.starts_with(short.as_str()) && long.len() - short.len() <= 2 {
        return 0.9;
    }
    match strsim::osa_distance(&letters_a, &letters_b) {
        0 => 0.97,
        1 if short.len() >= 2 => 0.8,
        _ => 0.0,
    }
}

/// The catalogue by its names' digits, so that only like names are compared.
pub(super) struct Names<'a> {
    models: &'a [Catalogued],
    by_digits: BTreeMap<String, Vec<usize>>,
}

impl<'a> Names<'a> {
    pub(super) fn new(models: &'a [Catalogued]) -> Self {
        let mut by_digits: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (index, model) in models.iter().enumerate() {
            let key = digits_key(model.model().unwrap_or_default());
            by_digits.entry(key).or_default().push(index);
        }
        Self { models, by_digits }
    }

    /// Finds a row's model: by name, then maker, then ratio.
    pub(super) fn find(&self, record: &Record) -> Found {
        let Some(name) = record.model() else { return Found::default() };
        let mut scored: Vec<(f64, usize)> = self
            .by_digits
            .get(&digits_key(name))
            .into_iter()
            .flatten()
            .map(|&index| (self.score(record, name, index), index))
            .filter(|(score, _)| *score > 0.0)
            .collect();
        scored.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let Some(&(score, model)) = scored.first() else { return Found::default() };
        let same = |index: usize| self.models[index].model() == self.models[model].model();
        let runner_up = scored.iter().copied().find(|(_, index)| !same(*index));
        // A near match must stand clear of the next name; an exact one stands by itself.
        let next_name = scored.iter().find(|(_, index)| !same(*index)).map_or(0.0, |s| s.0);
        let too_close = score <= 0.999 && score - next_name < MARGIN;
        let tied = too_close || scored.get(1).is_some_and(|(next, _)| (score - next).abs() < 1e-9);
        Found {
            hit: (!tied).then_some(ModelMatch { model, exact: score > 0.999, score }),
            runner_up,
            tied: if tied { close(&scored).collect() } else { Vec::new() },
        }
    }

    /// A catalogue name that stands in the description of a row without a model.
    fn in_text(&self, record: &Record) -> Option<(ModelMatch, Finding)> {
        /// Names are up to this many words long.
        const LONGEST: usize = 4;
        if record.knows(Field::model) {
            return None;
        }
        let text = record.description()?;
        let words: Vec<&str> =
            text.split([' ', ',', ';', '(', ')']).filter(|w| !w.is_empty()).collect();
        let windows = (1..=LONGEST).rev().flat_map(|n| words.windows(n).map(|w| w.join(" ")));
        let telling = |name: &String| {
            let (letters, digits) = take_apart(name);
            letters.len() >= 2 && !digits.is_empty()
        };
        for name in windows.filter(telling) {
            let same = |index: &&usize| {
                folded(self.models[**index].model().unwrap_or_default()) == folded(&name)
            };
            let named: Vec<usize> = self
                .by_digits
                .get(&digits_key(&name))
                .into_iter()
                .flatten()
                .filter(same)
                .copied()
                .collect();
            let fits = |index: &&usize| self.score(record, &name, **index) > 0.0;
            let fitting: Vec<usize> = named.iter().filter(fits).copied().collect();
            if let [model] = fitting[..] {
                let title = self.models[model].title();
                let message = format!("the description names `{name}`; it was taken as {title}");
                let finding =
                    Finding::new(&name::NEAR_MODEL, record.place(Field::description), message);
                return Some((ModelMatch { model, exact: false, score: 0.9 }, finding));
            }
        }
        None
    }

    fn score(&self, record: &Record, name: &str, index: usize) -> f64 {
        let model = &self.models[index];
        let mut score = likeness(name, model.model().unwrap_or_default());
        if let (Some(a), Some(b)) = (record.maker(), model.maker()) {
            let alike = folded(a).starts_with(&folded(b)) || folded(b).starts_with(&folded(a));
            let typo = strsim::osa_distance(&folded(a), &folded(b)) <= 1;
            score *= if alike {
                1.0
            } else if typo {
                0.98
            } else {
                0.0
            };
        }
        match (record.ratio(), model.ratio()) {
            (Some(a), Some(b)) => {
                let off = (a / b - 1.0).abs();
                // The nearest ratio wins; a nominal one may differ by a few per cent.
                score * if off > 0.04 { 0.0 } else { 1.0 - off / 100.0 }
            }
            _ => score,
        }
    }
}

/// The models that are as like as the likest, within the margin of a near match.
fn close(scored: &[(f64, usize)]) -> impl Iterator<Item = usize> {
    let best = scored.first().map_or(0.0, |s| s.0);
    let within = if best > 0.999 { 1e-9 } else { MARGIN };
    scored.iter().filter(move |(score, _)| best - score < within).map(|(_, index)| *index)
}

fn digits_key(name: &str) -> String {
    let (_, groups) = take_apart(&letters_for_digits(name));
    groups.join(" ")
}

/// What a look-up gave.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub(super) hit: Option<ModelMatch>,
    /// The next name and its score.
    runner_up: Option<(f64, usize)>,
    tied: Vec<usize>,
}

/// What a row's name stands for: a model, or one of several.
struct Named {
    model: Option<ModelMatch>,
    may_be: Vec<usize>,
}

/// Matches every position and shelf line.
pub(super) fn match_all(plant: &mut Plant, findings: &mut Vec<Finding>) {
    if plant.models.is_empty() {
        return;
    }
    let names = Names::new(&plant.models);
    let mut place = |record: &mut Record| {
        if let Some((hit, finding)) = names.in_text(record) {
            findings.push(finding);
            return Named { model: Some(hit), may_be: Vec::new() };
        }
        let found = names.find(record);
        if let Some(several) = several(&plant.models, record, &found.tied) {
            let taken = agreed::fill(record, &several);
            findings.push(say_several(record, &several, &taken));
            return Named { model: None, may_be: found.tied };
        }
        if let Some(finding) = say(&plant.models, record, &found) {
            findings.push(finding);
        }
        Named { model: found.hit, may_be: Vec::new() }
    };
    for position in &mut plant.positions {
        Named { model: position.model, may_be: position.may_be } = place(&mut position.record);
    }
    for line in &mut plant.shelf {
        let part = super::assemble::is_part(&line.record);
        line.model = if part { None } else { place(&mut line.record).model };
    }
}

/// Matches one position again, after something was measured there.
pub fn match_again(plant: &mut Plant, index: usize) {
    let position = &mut plant.positions[index];
    Named { model: position.model, may_be: position.may_be } =
        named_again(&plant.models, &mut position.record);
}

/// Matches one shelf line again, after something was measured at the spare.
pub fn match_line_again(plant: &mut Plant, line: usize) {
    let line = &mut plant.shelf[line];
    line.model = named_again(&plant.models, &mut line.record).model;
}

/// The model of a row whose name or ratio was just set; what an earlier name had told is forgotten.
fn named_again(models: &[Catalogued], record: &mut Record) -> Named {
    record.forget(How::FromName);
    let found = Names::new(models).find(record);
    let Some(several) = several(models, record, &found.tied) else {
        return Named { model: found.hit, may_be: Vec::new() };
    };
    agreed::fill(record, &several);
    Named { model: None, may_be: found.tied }
}

/// The models of the very name that a row gives, where it could be any of them.
fn several<'a>(
    models: &'a [Catalogued],
    record: &Record,
    tied: &[usize],
) -> Option<Vec<&'a Catalogued>> {
    let typed = folded(record.model()?);
    let named: Vec<_> = tied.iter().map(|i| &models[*i]).collect();
    let same = |m: &&Catalogued| folded(m.model().unwrap_or_default()) == typed;
    (!named.is_empty() && named.iter().all(same)).then_some(named)
}

fn say_several(record: &Record, named: &[&Catalogued], taken: &[Field]) -> Finding {
    /// As many are named.
    const NAMED: usize = 3;
    let titles: Vec<_> = named.iter().take(NAMED).map(|m| m.title()).collect();
    let more = if named.len() > NAMED { ", …" } else { "" };
    let headings: Vec<_> = taken.iter().map(|f| f.heading().to_lowercase()).collect();
    let built = if headings.is_empty() {
        "they agree on nothing of how they are built that the row does not say".to_owned()
    } else {
        format!(
            "what all of them say alike of how they are built was taken: {}",
            headings.join(", ")
        )
    };
    let message = format!(
        "model `{}` is any of {} in the catalogue ({}{more}; from {} on), and the row does not say which; {built}",
        record.model().unwrap_or_default(),
        named.len(),
        titles.join(", "),
        named[0].place(Field::model),
    );
    let lacks = match (record.knows(Field::ratio), record.knows(Field::maker)) {
        (false, _) => "enter the ratio",
        (true, false) => "enter the maker",
        (true, true) => "enter the order code, or leave one row for each model in the catalogue",
    };
    Finding::new(&name::SEVERAL_MODELS, record.place(Field::model), message).hint(lacks)
}

fn say(models: &[Catalogued], record: &Record, found: &Found) -> Option<Finding> {
    let typed = record.model()?;
    let place = record.place(Field::model);
    if !found.tied.is_empty() {
        let titles: Vec<_> = found.tied.iter().take(3).map(|i| models[*i].title()).collect();
        let message = format!(
            "model `{typed}` could be more than one of the catalogue: {}",
            titles.join("; ")
        );
        return Some(
            Finding::new(&name::NO_MODEL, place, message)
                .hint("spell it as the catalogue does and enter the ratio, so that one is left"),
        );
    }
    let Some(hit) = found.hit else {
        if record.knows(Field::part) {
            return None;
        }
        let message = format!("model `{typed}` is not in the catalogue");
        return Some(Finding::new(&name::NO_MODEL, place, message));
    };
    if hit.exact || likeness(typed, models[hit.model].model().unwrap_or_default()) > 0.999 {
        return None;
    }
    let taken = models[hit.model].title();
    let runner_up = found.runner_up.map_or_else(
        || "no runner-up".to_owned(),
        |(score, i)| format!("runner-up {} at {score:.2}", models[i].title()),
    );
    let message =
        format!("model `{typed}` was taken as `{taken}` (likeness {:.2}, {runner_up})", hit.score);
    Some(Finding::new(&name::NEAR_MODEL, place, message))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Value;
    use proptest::prelude::*;

    fn row(model: &str, ratio: f64) -> Record {
        let mut record = Record::default();
        record.set(Field::model, Value::Text(model.into()), How::Read, 0);
        record.set(Field::ratio, Value::Number(ratio), How::Read, 1);
        record
    }

    fn catalogue() -> Vec<Catalogued> {
        let names = [
            "GR-101",
            "GR-1001",
            "GR 110",
            "Heron 180",
            "W63 B",
            "KH-7.5",
            "Size 40",
            "Tern 160/2",
        ];
        names.map(|n| Catalogued { record: row(n, 25.0), ..Catalogued::default() }).into()
    }

    proptest! {
        #![proptest_config(crate::units::depth::cases())]

        #[test]
        fn no_code_makes_it_panic(text in ".{0,30}") {
            let models = catalogue();
            let found = Names::new(&models).find(&row(&text, 25.0));
            prop_assert!(found.hit.is_none_or(|hit| hit.model < models.len() && hit.score <= 1.0));
        }

        /// A name in other letters, with other dashes and blanks, is itself; with another digit it is never that model.
        #[test]
        fn a_code_is_itself_however_it_is_written_and_never_with_another_digit(
            which in 0..8_usize,
            dash in 0..4_usize,
            capital in any::<bool>(),
            digit in 0..9_u32,
            place in 0..8_usize,
        ) {
            let models = catalogue();
            let names = Names::new(&models);
            let own = models[which].model().unwrap_or_default().to_owned();
            let written = own.replace(['-', ' '], ["-", " ", "", "_"][dash]);
            let written = if capital { written.to_uppercase() } else { written.to_lowercase() };
            let hit = names.find(&row(&written, 25.0)).hit;
            prop_assert!(hit.is_some_and(|h| h.model == which && h.exact), "{} as {}: {:?}", own, written, hit);
            let digits: Vec<usize> = own.char_indices().filter(|(_, c)| c.is_ascii_digit()).map(|c| c.0).collect();
            let at = digits[place % digits.len()];
            let then = (u32::from(own.as_bytes()[at] - b'0') + 1 + digit) % 10;
            let other = format!("{}{then}{}", &own[..at], &own[at + 1..]);
            let hit = names.find(&row(&other, 25.0)).hit;
            prop_assert!(hit.is_none_or(|h| h.model != which), "{} for {}", other, own);
        }
    }

    #[test]
    fn digits_are_never_forgiven_letters_a_little() {
        assert!(likeness("GR-101", "GR 101") > 0.99);
        assert!(likeness("GR-1O1", "GR-101") > 0.9);
        assert!(likeness("GR-101", "GR-1001") < 0.1);
        assert!(likeness("GR-101", "GR-101 B") > 0.85);
        assert!(likeness("size 40", "size 140") < 0.1);
    }
}
