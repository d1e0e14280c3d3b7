//! What an event says in a sentence: `Gearbox failed, replaced with spare`.

use super::headings::fold;
use super::nouns::{PARTS, UNITS};

/// Words of what was done; the beginning of a word is enough.
#[rustfmt::skip]
const EXCHANGED: &[&str] = &[
    "replac", "exchang", "renew", "swap", "changed", "change out", "installed", "fitted", "renewed", "getauscht", "ausgetauscht", "gewechselt",
    "ersetzt", "erneuert", "remplac", "échang", "echang", "changé", "cambi", "sustitu", "reemplaz", "sostitu",
];
#[rustfmt::skip]
const REPAIRED: &[&str] = &[
    "repair", "rebuil", "overhaul", "refurb", "repariert", "reparatur", "instand", "überholt", "répar", "repar", "riparat", "revision",
];
const INSPECTED: &[&str] =
    &["inspect", "checked", "geprüft", "inspiz", "contrôl", "inspecc", "controll"];
#[rustfmt::skip]
const ADJUSTED: &[&str] = &["oil", "adjust", "align", "breather", "lubric", "öl", "huile", "aceite", "olio", "tighten", "angezogen", "nachgezogen", "resserr", "reapret", "ausgerichtet", "aligné", "alinead"];

/// The event that a sentence tells of, if it tells of one.
pub(super) fn event(text: &str) -> Option<&'static str> {
    let folded = fold(&text.replace("R&R", "replaced").replace("r&r", "replaced"));
    let words: Vec<&str> = folded.split(' ').collect();
    let is = |word: &str, list: &[&str]| list.iter().any(|begin| word.starts_with(begin));
    let denied = |at: usize| {
        words[..at]
            .iter()
            .rev()
            .take(2)
            .any(|w| matches!(*w, "not" | "no" | "nicht" | "pas" | "non" | "without"))
    };
    let done = |list: &[&str]| (0..words.len()).find(|at| is(words[*at], list) && !denied(*at));
    let has_part = words.iter().any(|w| is(w, PARTS));
    if let Some(at) = done(EXCHANGED) {
        return Some(match nearest(&words, at) {
            Some(Thing::Part) => "part",
            Some(Thing::Unit) => "exchange",
            None if words.iter().any(|w| is(w, ADJUSTED)) => "adjust",
            None => "exchange",
        });
    }
    if done(REPAIRED).is_some() {
        return Some(if has_part && !words.iter().any(|w| is(w, UNITS)) {
            "part"
        } else {
            "repair"
        });
    }
    if done(INSPECTED).is_some() {
        return Some("inspect");
    }
    done(ADJUSTED).map(|_| "adjust")
}

enum Thing {
    Part,
    Unit,
}

/// What stands nearest to the word of what was done: a part or the unit.
fn nearest(words: &[&str], done: usize) -> Option<Thing> {
    let begins = |word: &str, list: &[&str]| list.iter().any(|begin| word.starts_with(begin));
    let thing = |at: usize| {
        let word = words[at];
        // `replaced gearbox seal` is about the seal.
        let next_is_part = at > done
            && words[at + 1..]
                .iter()
                .take(2)
                .take_while(|w| !["and", "und", "et", "y", "e", "with", "by"].contains(w))
                .any(|next| begins(next, PARTS));
        if begins(word, PARTS) || (begins(word, UNITS) && next_is_part) {
            Some(Thing::Part)
        } else if begins(word, UNITS) {
            Some(Thing::Unit)
        } else {
            None
        }
    };
    let mut at: Vec<usize> = (0..words.len()).filter(|at| *at != done).collect();
    at.sort_by_key(|at| (at.abs_diff(done), *at));
    at.into_iter().find_map(thing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_tell_what_was_done() {
        for (text, want) in [
            ("Gearbox failed, replaced with spare", Some("exchange")),
            ("Replaced gearbox", Some("exchange")),
            ("Replaced gearbox output seal", Some("part")),
            ("Bearing failed; gearbox exchanged", Some("exchange")),
            ("Gearbox: input seal leaking, seal replaced", Some("part")),
            ("Oil changed", Some("adjust")),
            ("Oil topped up", Some("adjust")),
            ("Getriebe getauscht wegen Lagerschaden", Some("exchange")),
            ("Wellendichtring erneuert", Some("part")),
            ("Roulement remplacé", Some("part")),
            ("Réducteur remplacé", Some("exchange")),
            ("Reductor cambiado", Some("exchange")),
            ("Gearbox not replaced", None),
            ("Rebuilt in place", Some("repair")),
            ("Inspected, ok", Some("inspect")),
            ("Failed, replaced", Some("exchange")),
            ("Motor replaced", Some("part")),
            ("noise", None),
            ("R&R reducer", Some("exchange")),
            ("gear unit exchanged", Some("exchange")),
            ("exchange of reducer", Some("exchange")),
            ("new gearbox fitted", Some("exchange")),
        ] {
            assert_eq!(event(text), want, "{text}");
        }
    }
}
