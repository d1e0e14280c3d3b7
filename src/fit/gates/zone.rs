//! Zone: explosive atmosphere; the recorded marking must cover it.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::gate::Side;
use crate::records::Field;

/// An atmosphere that a place has, or that a marking stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Atmosphere {
    dust: bool,
    /// 3 best (zone 0, category 1, level a), 1 least (zone 2, category 3, level c).
    level: u8,
    /// Gas or dust group: A 1, B 2, C 3, where stated.
    group: Option<u8>,
    /// Highest surface temperature (°C), where stated.
    celsius: Option<f64>,
}

/// What one marking says of one place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Covers {
    No,
    /// As far as both say.
    Perhaps,
    Yes,
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
    if is_no_zone(zone) {
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
        return sides(GateResult::new(
            Gate::Zone,
            GateOutcome::Refer,
            "the place is classified by classes and divisions; whether the marking covers it is for the responsible engineer",
        ));
    }
    if low.contains('?') || low.contains("unknown") {
        return unknown("which zone it is is not known");
    }
    let (Some(places), Some(marked)) = (read(&low, true), read(&text.to_lowercase(), false)) else {
        return unknown("zone or marking cannot be read");
    };
    match covers(&marked, &places) {
        Covers::Yes => covered(case, &text.to_lowercase(), &sides),
        Covers::Perhaps => unknown(
            "the category covers the zone; group or surface temperature are not recorded on both sides",
        ),
        Covers::No => sides(GateResult::new(
            Gate::Zone,
            GateOutcome::Fail,
            "the marking does not cover the zone",
        )),
    }
}

/// A marking that covers the zone, with what it says besides: the ambient it holds for, special conditions.
fn covered(case: &Case<'_>, marking: &str, sides: &dyn Fn(GateResult) -> GateResult) -> GateResult {
    let (low, high) = ambient(marking);
    let here = case.position.ambient_c();
    if let Some(here) = here.filter(|t| *t < low || *t > high) {
        let note = words!(
            "the marking covers the zone, but holds for {low:.0} to {high:.0} °C and here it is {here:.0} °C"
        );
        return sides(GateResult::new(Gate::Zone, GateOutcome::Refer, note));
    }
    let passed =
        sides(GateResult::new(Gate::Zone, GateOutcome::Pass, "the marking covers the zone"))
            .confirm("zone: the responsible engineer, under local codes");
    let special = marking.split(|c: char| !c.is_alphanumeric()).any(|word| word == "x");
    if special {
        passed.confirm(
            "zone: the X in the marking stands for special conditions: read its certificate",
        )
    } else {
        passed
    }
}

/// Ambient (°C) that a marking holds for: as given with `Ta`, else −20 to +40 by IEC 60079-0.
fn ambient(marking: &str) -> (f64, f64) {
    const USUAL: (f64, f64) = (-20.0, 40.0);
    if !marking.contains("ta") && !marking.contains("tamb") {
        return USUAL;
    }
    let bare = marking.replace(['−', '–'], "-").replace("…", " ");
    let around = |at: usize| bare[..at].char_indices().rev().nth(14).map_or(0, |(i, _)| i);
    let Some(at) = bare.find("ta") else { return USUAL };
    let text: String = bare[around(at)..].chars().take(40).collect();
    let mut numbers: Vec<f64> = Vec::new();
    let mut word = String::new();
    for c in text.chars().chain([' ']) {
        if c.is_ascii_digit() || (word.is_empty() && matches!(c, '-' | '+')) {
            word.push(c);
            continue;
        }
        // The sign decides: a bare number may be a temperature class or a dust's surface.
        if word.len() > 1 && word.starts_with(['-', '+']) {
            numbers.extend(word.parse::<f64>());
        }
        word.clear();
    }
    match numbers[..] {
        [one, other, ..] => (one.min(other), one.max(other)),
        [one] if one > 0.0 => (USUAL.0, one),
        [one] => (one, USUAL.1),
        [] => USUAL,
    }
}

/// Every atmosphere of the place must be covered by one of the marking's.
fn covers(marked: &[Atmosphere], places: &[Atmosphere]) -> Covers {
    let best = |place: &Atmosphere| marked.iter().map(|m| one_covers(*m, *place)).max();
    places.iter().map(|place| best(place).unwrap_or(Covers::No)).min().unwrap_or(Covers::No)
}

fn one_covers(have: Atmosphere, need: Atmosphere) -> Covers {
    let short = have.dust != need.dust
        || have.level < need.level
        || have.group.zip(need.group).is_some_and(|(have, need)| have < need)
        || have.celsius.zip(need.celsius).is_some_and(|(have, need)| have > need);
    if short {
        return Covers::No;
    }
    let told = |a: Atmosphere| a.group.is_some() && a.celsius.is_some();
    if told(have) && told(need) { Covers::Yes } else { Covers::Perhaps }
}

/// Reads zones (`1`, `zone 21 IIIB T135C`), markings (`II 2GD c IIC T4 T120°C`, `Ex h IIC T4 Gb`) and
/// several of them; `None` where any part is not understood. Bare figures are zones of a place only.
fn read(text: &str, of_place: bool) -> Option<Vec<Atmosphere>> {
    let mut all: Vec<Atmosphere> = Vec::new();
    let text = if of_place { hydrogen_as_iic(text) } else { text.replace("+h2", "") };
    for part in text.split(['/', ';', ',', '+', '&', '\n']).filter(|p| !p.trim().is_empty()) {
        let found = in_part(part, of_place)?;
        if found.is_empty() {
            // Group or temperature alone: it belongs to what stands before.
            let (group, celsius) = (groups(part, false).or(groups(part, true)), temperatures(part));
            let last = all.last_mut()?;
            last.group = last.group.or(group);
            last.celsius = last.celsius.or(if last.dust { celsius.1 } else { celsius.0 });
        }
        all.extend(found);
    }
    (!all.is_empty()).then_some(all)
}

/// A place with hydrogen beside IIB asks for a IIC marking, or for one that names hydrogen, which is not
/// compared here.
fn hydrogen_as_iic(text: &str) -> String {
    text.replace("iib+h2", "iic").replace("iib + h2", "iic").replace("hydrogen", "iic")
}

/// Whether the words say that the place is not hazardous.
pub(in crate::fit) fn is_no_zone(text: &str) -> bool {
    let low = text.trim().to_lowercase();
    [
        "none",
        "no",
        "safe",
        "safe area",
        "unclassified",
        "non-hazardous",
        "non hazardous",
        "nonhazardous",
        "not hazardous",
        "no zone",
    ]
    .contains(&low.as_str())
}

/// The atmospheres that one part names; none where it names no level.
fn in_part(part: &str, of_place: bool) -> Option<Vec<Atmosphere>> {
    let words: Vec<&str> =
        part.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let zoned = of_place || words.contains(&"zone") || words.iter().any(|w| w.starts_with("zone"));
    let (gas, dust) = temperatures(part);
    let atmosphere = |level, of_dust| Atmosphere {
        dust: of_dust,
        level,
        group: groups(part, of_dust),
        celsius: if of_dust { dust } else { gas },
    };
    let mut found: Vec<Atmosphere> = Vec::new();
    let mut add = |level, of_dust| {
        if !found.iter().any(|a| a.dust == of_dust && a.level == level) {
            found.push(atmosphere(level, of_dust));
        }
    };
    for (at, word) in words.iter().enumerate() {
        let bare = word.trim_start_matches("zone");
        match (bare, words.get(at + 1).copied().unwrap_or_default()) {
            _ if contradicts(&words) => return None,
            ("1g" | "ga", _) | ("1", "g") => add(3, false),
            ("2g" | "gb", _) | ("2", "g") => add(2, false),
            ("3g" | "gc", _) | ("3", "g") => add(1, false),
            ("1d" | "da", _) | ("1", "d") => add(3, true),
            ("2d" | "db", _) | ("2", "d") => add(2, true),
            ("3d" | "dc", _) | ("3", "d") => add(1, true),
            (both @ ("1gd" | "2gd" | "3gd"), _) => {
                let level = 4 - both[..1].parse::<u8>().ok()?;
                add(level, false);
                add(level, true);
            }
            ("0" | "1" | "2", "gd") => return None,
            ("m1" | "m2" | "i", _) => return None,
            ("0", _) if zoned => add(3, false),
            ("1", _) if zoned => add(2, false),
            ("2", _) if zoned => add(1, false),
            ("20", _) if zoned => add(3, true),
            ("21", _) if zoned => add(2, true),
            ("22", _) if zoned => add(1, true),
            _ => {}
        }
    }
    Some(found)
}

/// Whether category and protection level of one marking say different levels: `II 2G … Gc`.
fn contradicts(words: &[&str]) -> bool {
    let level = |of: [&[&str]; 3]| {
        let hits = |list: &[&str]| words.iter().any(|w| list.contains(w));
        (0..3).filter(|at| hits(of[*at])).collect::<Vec<usize>>()
    };
    let gas = (level([&["1g"], &["2g"], &["3g"]]), level([&["ga"], &["gb"], &["gc"]]));
    let dust = (level([&["1d"], &["2d"], &["3d"]]), level([&["da"], &["db"], &["dc"]]));
    let differ = |(a, b): &(Vec<usize>, Vec<usize>)| a.len() == 1 && b.len() == 1 && a != b;
    differ(&gas) || differ(&dust)
}

/// The group of `IIB` (gas) or `IIIB` (dust).
fn groups(text: &str, dust: bool) -> Option<u8> {
    // Hydrogen asks for IIC, whatever letter stands before it; of a marking it is only a surplus.
    let lead = if dust { "iii" } else { "ii" };
    [('c', 3), ('b', 2), ('a', 1)].into_iter().find_map(|(letter, group)| {
        let at = text.find(&format!("{lead}{letter}"))?;
        (dust || !text[..at].ends_with('i')).then_some(group)
    })
}

/// Highest surface temperatures (°C): `T1`…`T6` for gas, `T120°C` for dust, and for gas where no class is
/// given. Classes are those of IEC 60079-0.
fn temperatures(text: &str) -> (Option<f64>, Option<f64>) {
    let (mut class, mut degrees) = (None, None);
    for (at, _) in text.match_indices('t') {
        let begins = !text[..at].ends_with(char::is_alphabetic);
        let after = &text[at + 1..];
        let after = if begins { after.trim_start() } else { after };
        let digits: String = after.chars().take_while(char::is_ascii_digit).collect();
        match (digits.len(), digits.parse::<usize>()) {
            (1, Ok(n @ 1..=6)) => {
                // Of several classes the warmest counts.
                let celsius = [450.0, 300.0, 200.0, 135.0, 100.0, 85.0][n - 1];
                class = Some(class.map_or(celsius, |c: f64| c.max(celsius)));
            }
            (2..=3, Ok(n)) => degrees = degrees.or(Some(n as f64)),
            _ => {}
        }
    }
    (class.or(degrees), degrees)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn says(place: &str, marking: &str) -> Option<Covers> {
        Some(covers(&read(marking, false)?, &read(place, true)?))
    }

    #[test]
    fn a_better_marking_covers_and_a_worse_one_does_not() {
        let on = |m: &str| says("zone 2 iia t3", m);
        assert_eq!(on("ii 2g ex h iib t4 gb"), Some(Covers::Yes));
        assert_eq!(on("ii 3g iia t3"), Some(Covers::Yes));
        assert_eq!(on("ii 3g iia t2"), Some(Covers::No), "warmer");
        assert_eq!(on("ii 3d iiia t120°c"), Some(Covers::No), "dust");
        assert_eq!(on("ii 3g"), Some(Covers::Perhaps));
        assert_eq!(on("painted green"), None);
    }

    #[test]
    fn a_place_may_be_given_by_its_category() {
        assert_eq!(says("ii 2g iib t4", "ii 3g ex h iic t4 gc"), Some(Covers::No));
        assert_eq!(says("ii 1g iib t4", "ii 2g c iib t4"), Some(Covers::No));
        assert_eq!(says("ii 2g iib t4", "ii 2g ex h iic t4 gb"), Some(Covers::Yes));
        let dust = "ii 2d ex h iiic t120°c db";
        assert_eq!(says(dust, dust), Some(Covers::Yes));
        assert_eq!(says(dust, "ii 2g ex h iic t4 gb"), Some(Covers::No));
    }

    #[test]
    fn gas_and_dust_are_both_asked_and_both_read() {
        assert_eq!(says("zone 21 iiib t135c", "ii 2gd c iiic t120c"), Some(Covers::Yes));
        assert_eq!(says("21", "ii 2gd c k t4"), Some(Covers::Perhaps));
        assert_eq!(says("1/21", "ii 2g c iib t4"), Some(Covers::No), "no word of dust");
        let both = "ii 2g c iib t4 / ii 2d c iiic t120°c";
        assert_eq!(says("zone 21 iiib t135c", both), Some(Covers::Yes));
        assert_eq!(says("zone 1 iib t3", both), Some(Covers::Yes));
    }
}
