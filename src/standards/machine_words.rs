//! Machines named in other words or another language, in those of the machine list.

use std::borrow::Cow;
use std::sync::LazyLock;

use aho_corasick::{AhoCorasick, MatchKind};

use super::sheet::sheet;

/// Words of the trade in one automaton, and the words of the machine list that each stands for.
struct Aliases {
    words: AhoCorasick,
    stand_for: Vec<String>,
}

static ALIASES: LazyLock<Aliases> = LazyLock::new(|| {
    let rows = &sheet("machine-words").rows;
    let words = AhoCorasick::builder()
        .match_kind(MatchKind::LeftmostLongest)
        .build(rows.iter().map(|row| folded(&row[0])))
        .expect("a few hundred words make no automaton too large");
    Aliases { words, stand_for: rows.iter().map(|row| row[1].clone()).collect() }
});

/// Lower case without accents, as `ruhrwerk` for `Rührwerk`; words parted by single blanks.
fn folded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars().flat_map(char::to_lowercase) {
        match c {
            'ä' | 'à' | 'á' | 'â' => out.push('a'),
            'é' | 'è' | 'ê' | 'ë' => out.push('e'),
            'í' | 'ì' | 'î' | 'ï' => out.push('i'),
            'ö' | 'ó' | 'ò' | 'ô' => out.push('o'),
            'ü' | 'ú' | 'ù' | 'û' => out.push('u'),
            'ß' => out.push_str("ss"),
            'ñ' => out.push('n'),
            'ç' => out.push('c'),
            c if c.is_alphanumeric() => out.push(c),
            _ => out.push(' '),
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a word that was found stands there: anywhere in a compound, but a short one only as a
/// whole word.
fn stands(text: &str, found: std::ops::Range<usize>) -> bool {
    /// Shorter words hide in others by chance.
    const SHORT: usize = 6;
    let ends = |at: usize| !text[at..].starts_with(char::is_alphanumeric);
    let begins = !text[..found.start].ends_with(char::is_alphanumeric);
    let plural = text[found.end..].starts_with(['s', 'n', 'e']) && ends(found.end + 1);
    found.len() >= SHORT || (begins && (ends(found.end) || plural))
}

/// The text with the words of the machine list behind it that its own stand for.
///
/// ```
/// use sparemesh::standards::in_list_words;
/// assert_eq!(in_list_words("Backenbrecher 2"), "Backenbrecher 2 crusher stone");
/// assert_eq!(in_list_words("Belt conveyor"), "Belt conveyor");
/// ```
#[must_use]
pub fn in_list_words(text: &str) -> Cow<'_, str> {
    let low = folded(text);
    let mut out = Cow::Borrowed(text);
    for found in ALIASES.words.find_iter(&low).filter(|found| stands(&low, found.range())) {
        let words = &ALIASES.stand_for[found.pattern().as_usize()];
        out = Cow::Owned(format!("{out} {words}"));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::find_machine;

    #[test]
    fn what_a_word_stands_for_is_in_the_machine_list() {
        for row in &sheet("machine-words").rows {
            let found = find_machine(&row[1]);
            assert!(found.is_some(), "{} stands for {}, which is in no list", row[0], row[1]);
        }
    }

    #[test]
    fn machines_are_told_in_five_languages() {
        let class = |text: &str| find_machine(text).map(|m| m.machine.class.letter());
        for heavy in [
            "Backenbrecher",
            "Frantoio a mascelle",
            "Concasseur à mâchoires",
            "Trituradora de mandíbulas",
            "Jaw crusher",
            "Hackmaschine / Trommelhacker",
            "Molino de bolas",
            "Kugelmühle 1",
        ] {
            assert_eq!(class(heavy), Some("H"), "{heavy}");
        }
        for moderate in ["Drehofen", "Rotary kiln", "Becherwerk", "Förderschnecke", "Nastro 12"] {
            assert_eq!(class(moderate), Some("M"), "{moderate}");
        }
        assert_eq!(class("Kreiselpumpe"), Some("U"));
        assert_eq!(class("Personenaufzug"), Some("R"));
        assert_eq!(class("Grueneberg"), None);
    }
}
