//! Machines named in other words or another language, in those of the machine list.

use std::borrow::Cow;
use std::sync::LazyLock;

use super::sheet::sheet;

/// A word of the trade, and the words of the machine list that it stands for.
struct Alias {
    word: String,
    stands_for: String,
}

/// The aliases, the longest first.
static ALIASES: LazyLock<Vec<Alias>> = LazyLock::new(|| {
    let rows = &sheet("machine-words").rows;
    let alias = |row: &Vec<String>| Alias { word: folded(&row[0]), stands_for: row[1].clone() };
    let mut aliases: Vec<Alias> = rows.iter().map(alias).collect();
    aliases.sort_by_key(|a| std::cmp::Reverse(a.word.len()));
    aliases
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

/// Whether a text holds a word: anywhere in a compound, but a short one only as a whole word.
fn holds(text: &str, word: &str) -> bool {
    /// Shorter words hide in others by chance.
    const SHORT: usize = 6;
    let ends = |at: usize| !text[at..].starts_with(char::is_alphanumeric);
    let begins = |at: usize| !text[..at].ends_with(char::is_alphanumeric);
    text.match_indices(word).any(|(at, _)| {
        let end = at + word.len();
        let plural = text[end..].starts_with(['s', 'n', 'e']) && ends(end + 1);
        word.len() >= SHORT || (begins(at) && (ends(end) || plural))
    })
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
    let mut rest = folded(text);
    let mut out = Cow::Borrowed(text);
    for alias in ALIASES.iter() {
        if holds(&rest, &alias.word) {
            // A word within one that was found is not found again.
            rest = rest.replace(&alias.word, " ");
            out = Cow::Owned(format!("{out} {}", alias.stands_for));
        }
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
