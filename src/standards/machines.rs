//! Driven machines: their load class and listed service factors, matched from text.

use std::sync::LazyLock;

use super::machine_words::in_list_words;
use super::sheet::sheet;

/// Load class of a driven machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LoadClass {
    /// Uniform load.
    Uniform,
    /// Moderate shock.
    Moderate,
    /// Heavy shock.
    Heavy,
    /// No factor may be taken from a list; a responsible engineer decides.
    Refer,
}

impl LoadClass {
    /// From `U`, `M`, `H` or `R`.
    #[must_use]
    pub fn from_letter(letter: &str) -> Option<Self> {
        match letter {
            "U" => Some(Self::Uniform),
            "M" => Some(Self::Moderate),
            "H" => Some(Self::Heavy),
            "R" => Some(Self::Refer),
            _ => None,
        }
    }

    /// The letter printed.
    #[must_use]
    pub const fn letter(self) -> &'static str {
        match self {
            Self::Uniform => "U",
            Self::Moderate => "M",
            Self::Heavy => "H",
            Self::Refer => "R",
        }
    }
}

/// A row of the machine list.
#[derive(Debug)]
pub struct Machine {
    /// The row's name.
    pub name: String,
    /// Load class.
    pub class: LoadClass,
    /// Listed factor up to 10 h and above, motor drive, helical and bevel units.
    pub listed: [Option<f64>; 2],
    /// The same for worm units, where a list gives them.
    pub listed_worm: [Option<f64>; 2],
    /// Each alternative of the row: words that must all stand in the text.
    alternatives: Vec<Vec<String>>,
    /// Words that speak for this row.
    qualifiers: Vec<String>,
    /// Words without which this row is not meant.
    only_named: Vec<String>,
}

/// What a text was matched to.
#[derive(Clone, Debug)]
pub struct MachineMatch {
    /// The row taken.
    pub machine: &'static Machine,
    /// Whether other rows fit as well and the heavier was taken.
    pub assumed: bool,
}

/// First words of rows that name an industry, not a machine.
const INDUSTRIES: [&str; 13] = [
    "lumber",
    "paper",
    "metal mill",
    "oil",
    "plastics",
    "rubber",
    "sewage",
    "sugar",
    "textile",
    "food",
    "laundry",
    "dredge",
    "machine tool",
];

/// Kinds of conveyor that the list names.
const CONVEYORS: &str = "apron/assembly/belt/bucket/chain/flight/oven/screw";

/// Machines that many industries have: their row of one industry is meant only where that
/// industry is named.
const COMMON: [&str; 16] = [
    "conveyor", "pump", "winch", "washer", "mixer", "dryer", "screen", "jig", "stacker", "slicer",
    "agitator", "press", "calender", "winder", "card", "shear",
];

/// Kinds that nobody means without saying so: a fan is hardly ever that of a cooling tower.
const ONLY_NAMED: [&str; 1] = ["cooling tower"];

static MACHINES: LazyLock<Vec<Machine>> = LazyLock::new(|| {
    let sheet = sheet("machines");
    sheet
        .rows
        .iter()
        .map(|row| {
            let number = |col: usize| row[col].parse::<f64>().ok();
            let (alternatives, qualifiers) = take_apart(&row[0]);
            Machine {
                name: row[0].clone(),
                class: LoadClass::from_letter(&row[1]).expect("checked by test"),
                listed: [number(2), number(3)],
                listed_worm: [number(4), number(5)],
                alternatives,
                qualifiers,
                only_named: ONLY_NAMED
                    .iter()
                    .filter(|kind| row[0].ends_with(**kind))
                    .flat_map(|kind| words(kind))
                    .collect(),
            }
        })
        .collect()
});

/// Lower-case words without plural, in order.
fn words(text: &str) -> Vec<String> {
    text.to_lowercase()
        .replace("not uniformly loaded or fed", "unevenly")
        .replace("not uniformly fed", "unevenly")
        .replace("non-uniformly fed", "unevenly")
        .replace("unevenly fed", "unevenly")
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| w.len() > 1 && !matches!(*w, "or" | "and" | "the" | "of" | "with" | "for"))
        .map(|w| match w.strip_suffix('s') {
            Some(stem) if w.len() > 3 && !w.ends_with("ss") => stem.to_owned(),
            _ => w.to_owned(),
        })
        .collect()
}

/// The alternatives and qualifiers of a row's name.
fn take_apart(name: &str) -> (Vec<Vec<String>>, Vec<String>) {
    // The list says `same types` for the kinds of its row above.
    let name = name.replace("same types", CONVEYORS);
    let (head, tail) = name.split_once(" - ").unwrap_or((&name, ""));
    let head_low = head.trim().to_lowercase();
    if INDUSTRIES.contains(&head_low.as_str()) {
        let industry = words(head);
        let phrase = |text: &str| {
            let mut phrase = words(text);
            if matches!(&phrase[..], [one] if COMMON.contains(&one.as_str())) {
                phrase.extend(industry.iter().cloned());
            }
            phrase
        };
        let phrases = tail.split('/').map(phrase).filter(|p| !p.is_empty()).collect();
        return (phrases, industry);
    }
    if let Some(kinds) = head_low.strip_prefix("conveyor ") {
        let mut qualifiers = words(kinds);
        qualifiers.extend(words(tail));
        return (vec![words("conveyor")], qualifiers);
    }
    // A shaker is another machine than a belt, not a belt that is loaded otherwise.
    if head_low == "conveyor" && !tail.contains("duty") {
        let kind = tail.split('(').next().unwrap_or(tail);
        let phrase = words(kind).into_iter().chain(words(head)).collect();
        return (vec![phrase], Vec::new());
    }
    let bare = head.split('(').next().unwrap_or(head);
    let alternatives: Vec<_> = bare
        .split(" / ")
        .flat_map(|p| p.split(" or "))
        .map(words)
        .filter(|p| !p.is_empty())
        .collect();
    (alternatives, words(tail))
}

/// Finds the machine a text names. Where several rows fit and the text does not say which, the
/// heavier is taken and marked assumed.
///
/// ```
/// use sparemesh::standards::{LoadClass, find_machine};
/// let found = find_machine("Belt conveyor, uniformly fed").unwrap();
/// assert_eq!(found.machine.class, LoadClass::Uniform);
/// let found = find_machine("belt conveyor").unwrap();
/// assert_eq!((found.machine.class, found.assumed), (LoadClass::Moderate, true));
/// ```
#[must_use]
pub fn find_machine(text: &str) -> Option<MachineMatch> {
    let told = words(&in_list_words(text));
    let holds = |word: &String| told.contains(word);
    let is_meant = |machine: &&Machine| machine.only_named.iter().all(&holds);
    let score = |machine: &Machine| {
        let named = machine
            .alternatives
            .iter()
            .filter(|phrase| phrase.iter().all(holds))
            .map(Vec::len)
            .max()?;
        Some((named, machine.qualifiers.iter().filter(|word| holds(word)).count()))
    };
    let meant: Vec<&'static Machine> = MACHINES.iter().filter(is_meant).collect();
    let best = meant.iter().copied().filter_map(score).max()?;
    let fitting: Vec<_> = meant.into_iter().filter(|m| score(m) == Some(best)).collect();
    let heaviest = fitting.iter().copied().max_by(|a, b| {
        a.class
            .cmp(&b.class)
            .then(a.listed[1].unwrap_or(0.0).total_cmp(&b.listed[1].unwrap_or(0.0)))
    })?;
    let assumed = fitting.iter().any(|m| m.class != heaviest.class || m.listed != heaviest.listed);
    Some(MachineMatch { machine: heaviest, assumed })
}

/// The names of the list nearest to a text that it does not know, best first.
///
/// ```
/// let near = sparemesh::standards::nearest_machines("Pumpp, cntrifugal", 2);
/// assert!(near[0].contains("Pump"));
/// ```
#[must_use]
pub fn nearest_machines(text: &str, count: usize) -> Vec<&'static str> {
    let told = words(text);
    let likeness = |machine: &Machine| {
        let of_list = words(&machine.name);
        let best = told
            .iter()
            .map(|word| of_list.iter().map(|w| strsim::jaro_winkler(word, w)).fold(0.0, f64::max));
        best.sum::<f64>() / told.len().max(1) as f64
    };
    let mut scored: Vec<(f64, &'static str)> =
        MACHINES.iter().map(|m| (likeness(m), m.name.as_str())).filter(|s| s.0 > 0.7).collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0));
    scored.into_iter().take(count).map(|s| s.1).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn listed_factors_are_steps_that_never_fall_with_hours() {
        for machine in MACHINES.iter() {
            for listed in [machine.listed, machine.listed_worm] {
                let [Some(ten), Some(day)] = listed else {
                    assert!(listed == [None, None], "{}", machine.name);
                    continue;
                };
                assert!(ten <= day, "{}", machine.name);
                assert!([ten, day].iter().all(|f| (f * 4.0).fract() == 0.0), "{}", machine.name);
            }
        }
    }

    #[test]
    fn machines_are_told_by_their_words() {
        let class = |text: &str| find_machine(text).map(|m| m.machine.class.letter());
        assert_eq!(class("Agitator, stock chest (pure liquid)"), Some("U"));
        assert_eq!(class("Bucket elevator, heavy load"), Some("M"));
        assert_eq!(class("Chipper"), Some("H"));
        assert_eq!(class("Passenger lift"), Some("R"));
        assert_eq!(class("Reel conveyor"), Some("M"));
        assert_eq!(class("Shaker conveyor"), Some("H"));
        assert_eq!(class("Frobnicator"), None);
        let listed = |text: &str| find_machine(text).and_then(|m| m.machine.listed[1]);
        assert_eq!(listed("Fan"), Some(1.5));
        assert_eq!(listed("Fan, cooling tower"), Some(2.0));
    }
}
