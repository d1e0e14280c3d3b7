//! Oil: kind and grade, and what must never meet: bronze and EP oil, PAG and mineral oil, a back-stop
//! and an oil that makes it slip.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::candidate::From;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::records::{Field, alike};
use crate::standards::{Family, grade_of_number};

/// What an oil's name says.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Oil {
    grade: Option<f64>,
    kind: Kind,
    extreme_pressure: bool,
    slippery: bool,
    food: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Mineral,
    Polyglycol,
    Polyalphaolefin,
    Unsaid,
}

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let field = Field::oil;
    let Some(need) = case.fitted.text(field) else {
        return GateResult::new(Gate::Oil, GateOutcome::Unknown, "the oil used here is not known")
            .measure(field, case.fitted.place(field), "the oil in the unit: kind and grade");
    };
    let used = Oil::read(need.value);
    let base = |outcome, note: String, have: Side| {
        GateResult::new(Gate::Oil, outcome, note)
            .sides(have, Side::Text(need.value.into()), "")
            .cells([need.place.clone()])
    };
    let litres = candidate.unit.bare_number(Field::oil_volume_l);
    let fill = litres.map_or_else(String::new, |l| words!(", about {l:.1} L"));
    if used.slippery && has_back_stop(candidate) {
        let note = "the oil here makes a back-stop slip, and the candidate has one inside: flush and fill another first";
        return base(GateOutcome::Fail, note.into(), Side::Text("back-stop inside".into()));
    }
    let fill_with = to_fill(case, candidate).unwrap_or_else(|| need.value.to_owned());
    let worm = candidate.unit.family() == Family::Worm;
    let mend = |note: &str, have: Side, text: String| {
        base(GateOutcome::Mend, note.into(), have).work(Work::new(WorkKind::Oil, case.policy, text))
    };
    if matches!(candidate.from, From::Catalogue(_)) {
        let have = Side::Text("new".into());
        if worm && used.extreme_pressure {
            return mend("EP oil and bronze", have, words!("fill {fill_with}{fill}"));
        }
        let note = words!("a new unit: fill {fill_with}{fill}");
        return base(GateOutcome::Pass, note, have);
    }
    let Some(own) = candidate.unit.own.oil() else {
        let note =
            words!("what is in the candidate is not known; drain and look; fill {fill_with}{fill}");
        return base(GateOutcome::Unknown, note, Side::Unknown).measure(
            field,
            candidate.unit.place(field),
            "the oil in the candidate, or that it is dry",
        );
    };
    let have = Side::Text(own.to_owned());
    if is_dry(own) {
        if worm && used.extreme_pressure {
            return mend("EP oil and bronze", have, words!("fill {fill_with}{fill}"));
        }
        return base(GateOutcome::Pass, words!("dry: fill {fill_with}{fill}"), have);
    }
    let stored = Oil::read(own);
    let text = words!("drain, flush and fill {fill_with}{fill}");
    if worm && stored.extreme_pressure {
        let text = words!("{text}: EP oil is in it, and eats bronze");
        return mend("EP oil stands on bronze in the candidate", have, text);
    }
    let listed = candidate.unit.model.and_then(|m| m.oil()).map(Oil::read);
    let as_listed = listed.is_none_or(|listed| stored.agrees(listed));
    if worm && used.extreme_pressure && as_listed {
        // What is in it is what a worm may have: it stays.
        return base(
            GateOutcome::Pass,
            words!("keep {own}: EP oil as used here eats bronze"),
            have,
        );
    }
    if alike(own, need.value) {
        return base(GateOutcome::Pass, "the same oil".into(), have);
    }
    if stored.agrees(used) && !(worm && used.extreme_pressure) {
        if stored.kind == used.kind && stored.kind != Kind::Unsaid && stored.food == used.food {
            return base(GateOutcome::Pass, "the same kind and grade".into(), have);
        }
        let note =
            "the same grade; the kind is not said on both sides, and polyglycol mixes with nothing";
        return base(GateOutcome::Unknown, note.to_owned(), have).measure(
            field,
            candidate.unit.place(field),
            "which kind of oil each of both is; drain and fill anew if they are not the same",
        );
    }
    let why = match (stored.kind, used.kind) {
        (Kind::Polyglycol, other) | (other, Kind::Polyglycol)
            if other != Kind::Polyglycol && stored.kind != used.kind =>
        {
            "polyglycol mixes with no other oil"
        }
        _ if used.food && !stored.food => "a food-grade oil is used here and none is in it",
        _ => "another oil is in it",
    };
    mend(why, have, text)
}

/// What is to be filled, in words: what the candidate's list asks for, else what is used here; never EP
/// oil on bronze. `None` where neither is known.
pub(in crate::fit) fn to_fill(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<String> {
    let need = case.fitted.bare_text(Field::oil);
    let listed = candidate.unit.model.and_then(|m| m.oil());
    let used = need.map(Oil::read);
    let oil = listed.or(need)?;
    let reads = Oil::read(oil);
    if candidate.unit.family() == Family::Worm && reads.extreme_pressure {
        let whose = if listed.is_some() { "its list says" } else { "used here is" };
        return Some(words!(
            "an oil without EP additives that its maker permits on bronze ({whose} {oil})"
        ));
    }
    if used.is_some_and(|used| used.food) && !reads.food {
        return Some(words!("a food-grade oil that its maker permits (its list has {oil})"));
    }
    let other =
        need.filter(|need| listed.is_some() && !alike(oil, need) && !Oil::read(need).agrees(reads));
    Some(match other {
        Some(need) => words!("what its list asks for, {oil}, and not the {need} used here"),
        None => need.unwrap_or(oil).to_owned(),
    })
}

fn is_dry(oil: &str) -> bool {
    ["dry", "empty", "none", "trocken", "leer", "vide", "sec", "vacío", "vuoto"]
        .contains(&oil.trim().to_lowercase().as_str())
}

fn has_back_stop(candidate: &Candidate<'_>) -> bool {
    candidate.unit.text(Field::back_stop).is_some_and(|b| b.value != "none")
}

impl Oil {
    /// Reads `CLP 220`, `ISO VG 320 PAG`, `CLP HC 220`, `7 EP`.
    fn read(text: &str) -> Self {
        let upper = text.to_uppercase();
        let words: Vec<&str> =
            upper.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
        let has = |word: &str| words.contains(&word);
        let digits = |word: &&str| word.trim_start_matches("VG").parse::<f64>().ok();
        let grade = words.iter().find_map(|w| digits(w).filter(|n| *n >= 10.0));
        let number = upper.trim().trim_start_matches("AGMA").trim().to_owned();
        let grade = grade.or_else(|| grade_of_number(&number));
        let food =
            has("H1") || has("NSF") || upper.contains("FOOD") || upper.contains("LEBENSMITTEL");
        let kind =
            if has("PAG") || has("PG") || upper.contains("GLYCOL") || upper.contains("GLYKOL") {
                Kind::Polyglycol
            } else if has("PAO") || has("HC") || upper.contains("SYNTH") {
                Kind::Polyalphaolefin
            } else if upper.contains("MINERAL") || has("CLP") || has("EP") {
                Kind::Mineral
            } else {
                Kind::Unsaid
            };
        let slippery = ["MOLY", "MOS2", "GRAPHIT", "SOLID LUB", "FRICTION MOD", "LSD"]
            .iter()
            .any(|word| upper.contains(word));
        Self { grade, kind, extreme_pressure: has("EP"), slippery, food }
    }

    /// Whether two oils are of one kind and grade, as far as both say.
    fn agrees(self, other: Self) -> bool {
        let same_grade = self.grade == other.grade && self.grade.is_some();
        // Polyglycol must be said on both sides: it mixes with nothing else.
        let unsaid = [self.kind, other.kind].contains(&Kind::Unsaid);
        let polyglycol = [self.kind, other.kind].contains(&Kind::Polyglycol);
        let same_kind = self.kind == other.kind || (unsaid && !polyglycol);
        let food = self.food || !other.food;
        same_grade && same_kind && food && self.slippery == other.slippery
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn oils_are_told_by_their_names() {
        let read = Oil::read;
        assert_eq!(read("CLP 220").grade, Some(220.0));
        assert_eq!(read("ISO VG320 PAG").kind, Kind::Polyglycol);
        assert_eq!(read("CLP HC 220").kind, Kind::Polyalphaolefin);
        assert!(read("7 EP").extreme_pressure && read("VG 220 with MoS2").slippery);
        assert!(read("VG 220").agrees(read("CLP 220")));
        assert!(!read("CLP 220").agrees(read("CLP 320")));
        assert!(!read("CLP PG 220").agrees(read("CLP 220")));
        assert!(!read("ISO VG 220 PAG").agrees(read("ISO VG 220")));
        assert!(
            !read("VG 220").agrees(read("VG 220 H1")) && read("VG 220 H1").agrees(read("VG 220"))
        );
        assert!(read("AGMA 5").agrees(read("VG 220")));
    }
}
