//! What the position's load does when nothing holds it.

use std::borrow::Cow;

use crate::records::{Field, How, Record};
use crate::standards::in_list_words;

/// Kind of load at the output shaft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadKind {
    /// The machine cannot store a load.
    None,
    /// Runs back when let go.
    RunsBack,
    /// Drives the motor.
    Overhauling,
    /// Hangs, or people are carried.
    Suspended,
    /// Nobody has said.
    Unknown,
}

impl LoadKind {
    /// The word of the field `holds_load`; empty if unknown.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::RunsBack => "runs-back",
            Self::Overhauling => "overhauling",
            Self::Suspended => "suspended",
            Self::Unknown => "unknown",
        }
    }
}

/// The kind of load and how it is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LoadKindFound {
    /// The kind.
    pub kind: LoadKind,
    /// Why, where it was not stated in its own column.
    pub why: Option<String>,
    /// Whether the gates back-stop, holding and sense decide here.
    pub hinted: bool,
}

const SUSPENDED: &[&str] = &[
    "hoist",
    "crane",
    "winch",
    "man lift",
    "passenger lift",
    "goods lift",
    "freight",
    "hebezeug",
    "kran",
    "winde",
    "aufzug",
    "treuil",
    "palan",
    "grue",
    "skip",
    "escalator",
    "mine winder",
    "shaft winder",
    "man winder",
    "cage winder",
    "dumbwaiter",
    "ropeway",
    "cable car",
    "chairlift",
    "davit",
    "drawbridge",
    "bascule",
    "stage lift",
];
const OVERHAULING: &[&str] = &["decline", "unwind", "downhill", "abwickl"];
const RUNS_BACK: &[&str] = &[
    "incline",
    "elevator",
    "bucket",
    "stacker",
    "becherwerk",
    "steig",
    "elevateur",
    "archimed",
    "vertical turbine pump",
    "vertical pump",
    "deep well",
    "deepwell",
    "borehole",
];
/// What slopes where a conveyor's name holds it.
const SLOPES: &[&str] = &["vertical", "steep", "uphill", "rising", "sloping"];
/// A kiln rolls back when it is stopped with its charge to one side (common practice, no source),
/// and a mill swings back with its charge.
const UNSURE: &[&str] = &[
    "lift",
    "gate",
    "raise",
    "lifting",
    "lifter",
    "jack",
    "scissor",
    "sluice",
    "hatch",
    "kiln",
    "screw pump",
    "ball mill",
    "rod mill",
    "tube mill",
    "autogenous",
    "sag mill",
    "cable reel",
    "hose reel",
    "rope",
    "tilter",
    "tilting",
    "tippler",
    "tipper",
    "ladle",
    "capstan",
    "counterweight",
    "take-up",
    "takeup",
    "roller door",
    "shutter",
];
const NONE: &[&str] = &[
    "pump",
    "fan",
    "blower",
    "mixer",
    "agitator",
    "mill",
    "screen",
    "refiner",
    "pulper",
    "thickener",
    "dryer",
    "press",
    "winder",
    "reel",
    "calender",
    "chipper",
    "debark",
    "clarifier",
    "aerator",
    "compressor",
    "filter",
    "washer",
    "drum",
    "couch",
    "cutter",
    "deflaker",
    "save-all",
    "pumpe",
    "ruhrwerk",
    "rührwerk",
    "pompe",
    "agitateur",
    "centrifuge",
    "granulator",
    "crusher",
    "doctor",
];
/// What carries its load along.
const CARRIES: &[&str] = &["conveyor", "feeder", "förder", "forder", "convoyeur", "belt", "auger"];
const LEVEL_UNSAID: &[&str] =
    &["conveyor", "feeder", "lift table", "förder", "forder", "convoyeur", "belt", "table"];

/// Words that are the beginning of others: a winder is no winch (*Winde*), a lifter no lift.
const WHOLE: &[&str] = &["winde", "kran", "grue", "lift", "gate", "crane", "skip"];

fn holds(text: &str, words: &[&str]) -> Option<String> {
    let low = text.to_lowercase();
    let ends = |at: usize| !low[at..].starts_with(char::is_alphabetic);
    let found = |word: &str| {
        low.match_indices(word).any(|(at, _)| {
            let end = at + word.len();
            !WHOLE.contains(&word) || ends(end) || (low[end..].starts_with('s') && ends(end + 1))
        })
    };
    words.iter().find(|word| found(word)).map(|word| (*word).to_owned())
}

/// A word or an angle that says a conveyor slopes.
fn slope(text: &str) -> Option<String> {
    let low = text.to_lowercase();
    let angle = |mark: &str| {
        low.match_indices(mark)
            .any(|(at, _)| {
                let before = low[..at].trim_end();
                let digits = before.trim_end_matches(|c: char| c.is_ascii_digit());
                before[digits.len()..].parse::<u32>().is_ok_and(|degrees| degrees > 0)
            })
            .then(|| mark.to_owned())
    };
    holds(text, SLOPES).or_else(|| angle("°")).or_else(|| angle("deg"))
}

/// A load stated as none, unless the machine's name says that one hangs there.
fn stated_none(position: &Record) -> LoadKindFound {
    let name = machine(position);
    // Who stands at the machine and says so is believed.
    let seen = position.entry(Field::holds_load).is_some_and(|e| e.how == How::Measured);
    let named = || {
        let word = [SUSPENDED, OVERHAULING, RUNS_BACK].iter().find_map(|w| holds(&name, w))?;
        Some(format!("`{word}` is in the machine's name"))
    };
    let fitted = || {
        let stop = position.back_stop().is_some_and(|b| b != "none")
            || position.back_stop_elsewhere() == Some(true);
        let lift = position.lift_m().is_some_and(|lift| lift > 0.0);
        match (stop, lift) {
            (true, _) => Some("a back-stop is recorded".to_owned()),
            (_, true) => Some("a lift is recorded".to_owned()),
            _ => None,
        }
    };
    match named().or_else(fitted).filter(|_| !seen) {
        Some(but) => LoadKindFound {
            kind: LoadKind::Unknown,
            why: Some(format!("stated as none, but {but}")),
            hinted: true,
        },
        None => LoadKindFound { kind: LoadKind::None, why: None, hinted: false },
    }
}

/// The position's kind of load: stated, else from what is fitted, else from words.
#[must_use]
pub fn kind_of_load(position: &Record) -> LoadKindFound {
    let found =
        |kind, why: Option<String>| LoadKindFound { kind, why, hinted: kind != LoadKind::None };
    if position.carries_people() == Some(true) {
        return found(LoadKind::Suspended, None);
    }
    match position.holds_load() {
        Some("none") => return stated_none(position),
        Some("runs-back") => return found(LoadKind::RunsBack, None),
        Some("overhauling") => return found(LoadKind::Overhauling, None),
        Some("suspended") => return found(LoadKind::Suspended, None),
        _ => {}
    }
    let text = format!(
        "{} {}",
        in_list_words(position.driven_machine().unwrap_or_default()),
        position.description().unwrap_or_default()
    );
    let by = |word: String| Some(format!("`{word}` in the machine's name"));
    if let Some(word) = holds(&text, SUSPENDED) {
        return found(LoadKind::Suspended, by(word));
    }
    if let Some(word) = holds(&text, OVERHAULING) {
        return found(LoadKind::Overhauling, by(word));
    }
    if let Some(word) = holds(&text, RUNS_BACK) {
        return found(LoadKind::RunsBack, by(word));
    }
    if let Some(word) = holds(&text, CARRIES).and_then(|_| slope(&text)) {
        return found(LoadKind::RunsBack, by(word));
    }
    if let Some(lift) = position.lift_m().filter(|lift| *lift > 0.0) {
        return found(LoadKind::RunsBack, Some(format!("a lift of {lift} m is recorded")));
    }
    let fitted = position.back_stop().is_some_and(|b| b != "none")
        || position.back_stop_elsewhere() == Some(true);
    if fitted {
        return found(LoadKind::RunsBack, Some("a back-stop is fitted today".into()));
    }
    if position.brake() == Some(true) {
        let why = Some("a brake is fitted today".into());
        return LoadKindFound { kind: LoadKind::Unknown, why, hinted: true };
    }
    if let Some(word) = holds(&text, UNSURE) {
        return LoadKindFound { kind: LoadKind::Unknown, why: by(word), hinted: true };
    }
    if let Some(word) = holds(&text, NONE)
        && holds(&text, &["conveyor"]).is_none()
    {
        return found(LoadKind::None, Some(format!("`{word}`: such machines store no load")));
    }
    LoadKindFound { kind: LoadKind::Unknown, why: None, hinted: false }
}

/// Whether the first thing to confirm is that the machine is level.
#[must_use]
pub fn level_unknown(position: &Record) -> bool {
    kind_of_load(position).kind == LoadKind::Unknown
        && !position.knows(Field::holds_load)
        && holds(&machine(position), LEVEL_UNSAID).is_some()
}

/// The driven machine's name, with the words of the machine list that its own stand for.
fn machine(position: &Record) -> Cow<'_, str> {
    in_list_words(position.driven_machine().unwrap_or_default())
}

/// Whether the machine is one that jams.
#[must_use]
pub fn is_jam_prone(position: &Record) -> bool {
    let words =
        ["crusher", "chipper", "shredder", "feeder", "screen", "pulper", "brecher", "hacker"];
    holds(&machine(position), &words).is_some()
}

/// Whether the power of the machine may follow the cube of its speed.
#[must_use]
pub fn is_fan_like(position: &Record) -> bool {
    let words = [
        "fan",
        "blower",
        "agitator",
        "pump",
        "ventilator",
        "lüfter",
        "gebläse",
        "rührwerk",
        "pumpe",
        "ventilateur",
        "agitateur",
        "pompe",
        "bomba",
        "pompa",
    ];
    let machine = machine(position);
    let displaces =
        ["reciprocating", "lobe", "vane", "piston", "screw", "progressing", "proportioning"];
    holds(&machine, &words).is_some() && holds(&machine, &displaces).is_none()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::{How, Value};

    fn kind(machine: &str) -> LoadKind {
        let mut record = Record::default();
        record.set(Field::driven_machine, Value::Text(machine.into()), How::Read, 0);
        kind_of_load(&record).kind
    }

    #[test]
    fn words_set_the_kind() {
        assert_eq!(kind("Bark conveyor, inclined"), LoadKind::RunsBack);
        assert_eq!(kind("Chain hoist, pulper rejects"), LoadKind::Suspended);
        assert_eq!(kind("White water pump"), LoadKind::None);
        assert_eq!(kind("Winder, paper"), LoadKind::None);
        assert_eq!(kind("Seilwinde"), LoadKind::Suspended);
        assert_eq!(kind("Cranes, reel hall"), LoadKind::Suspended);
        assert_eq!(kind("Broke conveyor"), LoadKind::Unknown);
        assert_eq!(kind("Unwind stand"), LoadKind::Overhauling);
        assert_eq!(kind("Archimedes screw pump"), LoadKind::RunsBack);
        assert_eq!(kind("Belt conveyor 12 deg up"), LoadKind::RunsBack);
        assert_eq!(kind("Vertical screw conveyor"), LoadKind::RunsBack);
        assert_eq!(kind("Screw pump"), LoadKind::Unknown);
        assert_eq!(kind("Ball mill"), LoadKind::Unknown);
        assert_eq!(kind("Cable reel"), LoadKind::Unknown);
        assert_eq!(kind("Ladle tilter"), LoadKind::Unknown);
        assert_eq!(kind("Vertical mixer"), LoadKind::None);
    }
}
