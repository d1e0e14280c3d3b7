//! Headings that no list holds: put together from words whose part in a heading is known.
//!
//! `Perm. output torque` is a torque, at the output, rated, whatever the order and the language of its
//! words. A heading with one word that is not known means nothing.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use crate::records::{Field, Table};

/// Concepts of a heading, by number.
type Concepts = BTreeSet<usize>;

/// A heading that these concepts make.
struct Rule {
    field: Field,
    tables: Vec<Table>,
    needed: Concepts,
    allowed: Concepts,
}

/// Words and rules.
#[derive(Default)]
struct Grammar {
    /// What each word may stand for.
    words: BTreeMap<String, Concepts>,
    rules: Vec<Rule>,
    nothing: usize,
}

static GRAMMAR: LazyLock<Grammar> = LazyLock::new(|| {
    let mut grammar = Grammar::default();
    let mut names: Vec<String> = Vec::new();
    for line in include_str!("data/heading-words.txt").lines().filter(|l| !l.starts_with('#')) {
        let parts: Vec<&str> = line.split('|').map(str::trim).collect();
        match parts[..] {
            ["word", concept, words] => {
                let at = number(&mut names, concept);
                if concept == "nothing" {
                    grammar.nothing = at;
                }
                for word in words.split_whitespace() {
                    grammar.words.entry(word.to_owned()).or_default().insert(at);
                }
            }
            ["rule", field, tables, concepts] => {
                let Some(field) = Field::find(field) else { continue };
                let (mut needed, mut allowed) = (Concepts::new(), Concepts::new());
                for concept in concepts.split_whitespace() {
                    let at = number(&mut names, concept.trim_start_matches('?'));
                    allowed.insert(at);
                    if !concept.starts_with('?') {
                        needed.insert(at);
                    }
                }
                let named =
                    |t: &Table| tables.is_empty() || tables.split(',').any(|n| n == t.word());
                let tables =
                    Table::ALL.into_iter().filter(|t| named(t) && t.fields().contains(&field));
                grammar.rules.push(Rule { field, tables: tables.collect(), needed, allowed });
            }
            _ => {}
        }
    }
    grammar
});

fn number(names: &mut Vec<String>, name: &str) -> usize {
    names.iter().position(|n| n == name).unwrap_or_else(|| {
        names.push(name.to_owned());
        names.len() - 1
    })
}

/// Words without accents: `entrée` and `entree` are one.
fn plain(folded: &str) -> String {
    if folded.is_ascii() {
        return folded.to_owned();
    }
    let bare = folded.replace('ø', "dia").replace('ß', "ss");
    bare.nfd().filter(|c| !is_combining_mark(*c)).collect()
}

/// Phrases in which a word stands for something else than alone.
const PHRASES: [(&str, &str); 12] = [
    ("low speed shaft", "lss shaft"),
    ("slow speed shaft", "lss shaft"),
    ("high speed shaft", "hss shaft"),
    ("full load speed", "rated speed"),
    ("full load", "rated"),
    ("arbre lent", "sortie arbre"),
    ("arbre rapide", "entree arbre"),
    ("albero lento", "uscita albero"),
    ("albero veloce", "entrata albero"),
    ("eje lento", "salida eje"),
    ("eje rapido", "entrada eje"),
    ("over hung", "overhung"),
];

/// The fields that a folded heading may mean in a table, likeliest first; one word alone means
/// nothing unless a unit stands with it.
pub(super) fn meanings(folded: &str, table: Table, has_unit: bool) -> Vec<Field> {
    /// A longer heading is a sentence.
    const MOST_WORDS: usize = 7;
    if folded.split(' ').count() > MOST_WORDS {
        return Vec::new();
    }
    let grammar = &*GRAMMAR;
    let mut text = plain(folded);
    for (phrase, stands_for) in PHRASES {
        text = text.replace(phrase, stands_for);
    }
    let Some(words) = text.split(' ').map(|w| grammar.read(w)).collect::<Option<Vec<_>>>() else {
        return Vec::new();
    };
    let words: Vec<Concepts> =
        words.into_iter().flatten().filter(|w| !w.contains(&grammar.nothing)).collect();
    if words.len() < 2 && !has_unit {
        return Vec::new();
    }
    let mut found = Vec::new();
    for rule in grammar.rules.iter().filter(|r| r.tables.contains(&table)) {
        let spoken_for = rule.needed.iter().all(|need| words.iter().any(|w| w.contains(need)));
        let fits = |word: &Concepts| word.iter().any(|c| rule.allowed.contains(c));
        // Each needed concept wants a word of its own.
        let enough = words.len() >= rule.needed.len();
        if spoken_for && enough && words.iter().all(fits) && !found.contains(&rule.field) {
            found.push(rule.field);
        }
    }
    found
}

impl Grammar {
    /// The concepts of a word, or of the words that it is put together from.
    fn read(&self, word: &str) -> Option<Vec<Concepts>> {
        if word.is_empty() {
            return Some(Vec::new());
        }
        if let Some(concepts) = self.words.get(word) {
            return Some(vec![concepts.clone()]);
        }
        self.compound(word)
    }

    /// `Abtriebswellendurchmesser`: words joined to one, the longest first.
    fn compound(&self, word: &str) -> Option<Vec<Concepts>> {
        /// A part of a compound has at least this many letters.
        const SHORTEST: usize = 4;
        let ends = (SHORTEST..=word.len().saturating_sub(SHORTEST)).rev();
        for end in ends.filter(|end| word.is_char_boundary(*end)) {
            let (first, rest) = word.split_at(end);
            let Some(concepts) = self.words.get(first) else { continue };
            if let Some(mut parts) = self.read(rest) {
                parts.insert(0, concepts.clone());
                return Some(parts);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::headings::fold;

    fn first(heading: &str, table: Table) -> &'static str {
        meanings(&fold(heading), table, false).first().map_or("?", |f| f.name())
    }

    #[test]
    fn words_make_a_heading_in_any_order_and_language() {
        let fleet = |h: &str| first(h, Table::Fleet);
        assert_eq!(fleet("Perm. output torque"), "rated_torque_nm");
        assert_eq!(fleet("Gearbox output torque"), "rated_torque_nm");
        assert_eq!(fleet("Output torque capacity"), "rated_torque_nm");
        assert_eq!(fleet("Abtriebswellendurchmesser"), "output_shaft_mm");
        assert_eq!(fleet("Motornennleistung"), "motor_power_kw");
        assert_eq!(fleet("Puiss. moteur"), "motor_power_kw");
        assert_eq!(fleet("Pot. motore"), "motor_power_kw");
        assert_eq!(fleet("Diam. albero uscita"), "output_shaft_mm");
        assert_eq!(fleet("Low-speed shaft d2 x l2"), "output_shaft_mm");
        assert_eq!(fleet("Low-speed shaft dia."), "output_shaft_mm");
        assert_eq!(fleet("Diamètre de l'arbre d'entrée"), "input_shaft_mm");
        assert_eq!(fleet("Ore/gg"), "hours_per_day");
        assert_eq!(fleet("Elevation above sea level"), "altitude_m");
        assert_eq!(fleet("Overhung load capacity"), "overhung_output_n");
        assert_eq!(fleet("Sprocket pitch dia"), "output_pitch_diameter_mm");
        assert_eq!(fleet("Start method"), "start_kind");
        assert_eq!(fleet("Gear unit weight"), "mass_kg");
        assert_eq!(fleet("Gear unit builder"), "maker");
        assert_eq!(fleet("Gear unit designation"), "model");
        assert_eq!(fleet("True ratio"), "ratio");
        assert_eq!(fleet("Synch. speed"), "motor_speed_rpm");
        assert_eq!(fleet("Service hours/day"), "hours_per_day");
        assert_eq!(fleet("Nameplate rpm"), "motor_speed_rpm");
        assert_eq!(first("Catalog mech.", Table::Catalogue), "rated_power_kw");
        assert_eq!(first("Coppia nom.", Table::Catalogue), "rated_torque_nm");
    }

    #[test]
    fn one_word_that_is_not_known_is_too_many() {
        assert_eq!(first("Motor power supplier", Table::Fleet), "?");
        assert_eq!(first("Motor", Table::Catalogue), "?");
        assert_eq!(first("Shaft seal", Table::Fleet), "?");
        assert_eq!(first("Output", Table::Fleet), "?");
    }

    #[test]
    fn every_rule_names_a_field_and_concepts_that_have_words() {
        let lines: Vec<Vec<&str>> = include_str!("data/heading-words.txt")
            .lines()
            .filter(|l| !l.starts_with('#'))
            .map(|l| l.split('|').map(str::trim).collect())
            .collect();
        let concepts: BTreeSet<&str> =
            lines.iter().filter(|l| l[0] == "word").map(|l| l[1]).collect();
        for rule in lines.iter().filter(|l| l[0] == "rule") {
            assert!(Field::find(rule[1]).is_some(), "{rule:?}");
            for concept in rule[3].split_whitespace() {
                assert!(concepts.contains(concept.trim_start_matches('?')), "{rule:?}");
            }
        }
    }
}
