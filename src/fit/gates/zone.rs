//! Zone: explosive atmosphere; the recorded marking must cover it.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::fit::gate::Side;
use crate::records::Field;

/// What a zone asks for, or a marking gives: higher numbers cover lower ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Rank {
    dust: bool,
    /// Category or zone: 3 best (zone 0), 1 least (zone 2).
    level: u8,
    /// Gas or dust group: A 1, B 2, C 3; 0 not stated.
    group: u8,
    /// Temperature class T1…T6; 0 not stated.
    cooler: u8,
}

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let Some(zone) = case.position.zone() else {
        return GateResult::new(Gate::Zone, GateOutcome::Pass, "no hazardous zone is recorded");
    };
    let marking = candidate.unit.text(Field::zone_marking);
    let sides = |r: GateResult| {
        r.sides(Side::text(marking.as_ref().map(|k| k.value)), Side::Text(zone.into()), "")
            .cells([case.position.place(Field::zone)])
            .cells(marking.iter().map(|k| k.place.clone()))
    };
    let low = zone.to_lowercase();
    if ["none", "no", "safe", "unclassified"].iter().any(|w| low.trim() == *w) {
        return sides(GateResult::new(Gate::Zone, GateOutcome::Pass, "not hazardous"));
    }
    let place = candidate.unit.place(Field::zone_marking);
    let unknown = |note: &str| {
        sides(GateResult::new(Gate::Zone, GateOutcome::Unknown, note)).measure(
            Field::zone_marking,
            place.clone(),
            "the explosion marking on the candidate's plate",
        )
    };
    let Some(text) = marking.as_ref().map(|k| k.value) else {
        return unknown("the candidate's marking is not recorded");
    };
    if text.to_lowercase().contains("not marked") || text.eq_ignore_ascii_case("none") {
        return sides(GateResult::new(
            Gate::Zone,
            GateOutcome::Fail,
            "the candidate is not marked",
        ));
    }
    // Divisions and zones are two systems; one marking does not speak for the other.
    let by_divisions = low.contains("div") || low.contains("class i");
    if by_divisions {
        return unknown(
            "the place is classified by divisions; whether the marking covers it is for the responsible engineer",
        );
    }
    if low.contains('?') || low.contains("unknown") {
        return unknown("which zone it is is not known");
    }
    match (zone_rank(&low), marking_rank(&text.to_lowercase())) {
        (Some(need), Some(have)) if covers(have, need) && (need.group == 0 || need.cooler == 0) => {
            unknown(
                "the category covers the zone; group or temperature class of the place are not recorded",
            )
        }
        (Some(need), Some(have)) if covers(have, need) => {
            sides(GateResult::new(Gate::Zone, GateOutcome::Pass, "the marking covers the zone"))
                .confirm("zone: the responsible engineer, under local codes")
        }
        (Some(_), Some(_)) => sides(GateResult::new(
            Gate::Zone,
            GateOutcome::Fail,
            "the marking does not cover the zone",
        )),
        _ => unknown("zone or marking cannot be read"),
    }
}

fn covers(have: Rank, need: Rank) -> bool {
    have.dust == need.dust
        && have.level >= need.level
        && have.group >= need.group
        && have.cooler >= need.cooler
}

fn group(text: &str, dust: bool) -> u8 {
    let lead = if dust { "iii" } else { "ii" };
    [('c', 3), ('b', 2), ('a', 1)]
        .into_iter()
        .find(|(letter, _)| text.contains(&format!("{lead}{letter}")))
        .map_or(0, |g| g.1)
}

fn cooler(text: &str) -> u8 {
    (1..=6).rev().find(|n| text.contains(&format!("t{n}"))).unwrap_or(0)
}

fn zone_rank(text: &str) -> Option<Rank> {
    let number = text
        .split(|c: char| !c.is_ascii_digit())
        .find(|n| matches!(*n, "0" | "1" | "2" | "20" | "21" | "22"))?;
    let dust = number.len() == 2;
    let level = 3 - number[number.len() - 1..].parse::<u8>().ok()?;
    Some(Rank { dust, level, group: group(text, dust), cooler: cooler(text) })
}

fn marking_rank(text: &str) -> Option<Rank> {
    for (digit, level) in [(1, 3), (2, 2), (3, 1)] {
        for (letter, dust) in [('g', false), ('d', true)] {
            if text.contains(&format!("{digit}{letter}")) {
                return Some(Rank { dust, level, group: group(text, dust), cooler: cooler(text) });
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_better_marking_covers_and_a_worse_one_does_not() {
        let need = zone_rank("zone 2 iia t3").expect("read");
        let have = |m: &str| marking_rank(m).is_some_and(|h| covers(h, need));
        assert!(have("ii 2g ex h iib t4 gb"));
        assert!(have("ii 3g iia t3"));
        assert!(!have("ii 3g iia t2"), "warmer");
        assert!(!have("ii 3d iiia t3"), "dust");
        assert!(zone_rank("zone 21").is_some_and(|z| z.dust && z.level == 2));
    }
}
