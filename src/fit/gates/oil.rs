//! Oil: kind and grade, and what must never meet: bronze and EP oil, PAG and mineral oil, a back-stop
//! and an oil that makes it slip.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
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
    let litres = candidate.unit.number(Field::oil_volume_l).map(|k| k.value);
    let fill = litres.map_or_else(String::new, |l| format!(", about {l:.1} L"));
    if used.slippery && has_back_stop(candidate) {
        let note = "the oil here makes a back-stop slip, and the candidate has one inside: flush and fill another first";
        return base(GateOutcome::Fail, note.into(), Side::Text("back-stop inside".into()));
    }
    if candidate.unit.family() == Family::Worm && used.extreme_pressure {
        let text =
            format!("fill an oil without EP additives{fill}: they eat the bronze of a worm wheel");
        return base(GateOutcome::Mend, "EP oil and bronze".into(), Side::Text("worm".into()))
            .work(Work::new(WorkKind::Oil, case.policy, text));
    }
    let listed = candidate.unit.model.and_then(|m| m.oil());
    let wants = listed.filter(|oil| !Oil::read(oil).agrees(used) && !alike(oil, need.value));
    let fill_with = match wants {
        Some(oil) if used.food && !Oil::read(oil).food => {
            format!("a food-grade oil that its maker permits (its list has {oil})")
        }
        Some(oil) => format!("what its list asks for, {oil}, and not the {} used here", need.value),
        None => need.value.to_owned(),
    };
    if matches!(candidate.from, From::Catalogue(_)) {
        let note = format!("a new unit: fill {fill_with}{fill}");
        return base(GateOutcome::Pass, note, Side::Text("new".into()));
    }
    let Some(own) = candidate.unit.own.oil() else {
        let note = "what is in the candidate is not known; drain and look".to_owned();
        return base(GateOutcome::Unknown, note, Side::Unknown).measure(
            field,
            candidate.unit.place(field),
            "the oil in the candidate, or that it is dry",
        );
    };
    let have = Side::Text(own.to_owned());
    if ["dry", "empty", "none", "trocken", "leer", "vide", "sec", "vacío", "vuoto"]
        .contains(&own.trim().to_lowercase().as_str())
    {
        return base(GateOutcome::Pass, format!("dry: fill {fill_with}{fill}"), have);
    }
    let stored = Oil::read(own);
    if candidate.unit.family() == Family::Worm && stored.extreme_pressure {
        let text =
            format!("drain, flush and fill {fill_with}{fill}: EP oil is in it, and eats bronze");
        return base(GateOutcome::Mend, "EP oil stands on bronze in the candidate".into(), have)
            .work(Work::new(WorkKind::Oil, case.policy, text));
    }
    if alike(own, need.value) || stored.agrees(used) {
        return base(GateOutcome::Pass, "the same kind and grade".into(), have);
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
    let text = format!("drain, flush and fill {fill_with}{fill}");
    base(GateOutcome::Mend, why.into(), have).work(Work::new(WorkKind::Oil, case.policy, text))
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
