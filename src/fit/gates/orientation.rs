//! Orientation: mounting position, and with it oil level, breather and the top bearing.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::candidate::From;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::records::{Field, alike};

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let field = Field::orientation;
    let Some(need) = case.fitted.text(field) else {
        return GateResult::new(
            Gate::Orientation,
            GateOutcome::Unknown,
            "the mounting position here is not known",
        )
        .measure(field, case.fitted.place(field), "how the unit stands: which side is up");
    };
    let own = candidate.unit.own.orientation();
    let new = matches!(candidate.from, From::Catalogue(_));
    let permitted = candidate.unit.text(Field::permitted_orientations);
    let allowed = permitted.as_ref().and_then(|list| permits(list.value, need.value));
    let have = if new { permitted.as_ref().map(|p| p.value) } else { own };
    let result = |outcome, note: &str| {
        GateResult::new(Gate::Orientation, outcome, note)
            .sides(Side::text(have), Side::Text(need.value.into()), "")
            .cells([need.place.clone()])
            .cells(permitted.iter().map(|p| p.place.clone()))
    };
    let prepared = own.is_some_and(|own| alike(own, need.value));
    match (new, allowed, own) {
        (false, _, Some(_)) if prepared => {
            result(GateOutcome::Pass, "prepared for this mounting position")
        }
        (_, Some(false), _) => {
            result(GateOutcome::Fail, "its maker does not permit this mounting position")
        }
        (true, Some(true), _) => {
            result(GateOutcome::Pass, "its maker permits this mounting position")
        }
        (false, _, Some(own)) => {
            let text = words!(
                "move plugs and breather and change the fill from {own} to {}; see that the top bearing gets oil",
                need.value
            );
            let mend = result(GateOutcome::Mend, "prepared for another mounting position")
                .work(Work::new(WorkKind::MovePlugs, case.policy, text));
            if allowed.is_none() && !identical {
                mend.confirm("orientation: that its maker permits this mounting position")
            } else {
                mend
            }
        }
        _ => result(GateOutcome::Unknown, "for which mounting position it is made is not known")
            .measure(
                field,
                candidate.unit.place(field),
                "the candidate's mounting position, from its plate, plugs and breather",
            ),
    }
}

/// Whether a list such as `B3, B6, V5` or `M1-M6` holds a mounting position; `None` where it is written
/// in another notation.
fn permits(list: &str, wanted: &str) -> Option<bool> {
    let letters = |text: &str| -> String {
        text.chars().take_while(|c| c.is_alphabetic()).collect::<String>().to_uppercase()
    };
    let all = ["all", "any", "every", "alle", "toutes", "todas", "tutte"];
    let parts: Vec<&str> =
        list.split([',', ';', '/', ' ']).map(str::trim).filter(|p| !p.is_empty()).collect();
    let held = parts.iter().any(|part| {
        alike(part, wanted) || all.iter().any(|word| alike(part, word)) || in_range(part, wanted)
    });
    // B3 and V5 are of one notation, M1 of another.
    let notation = |text: &str| match letters(text).as_str() {
        "B" | "V" | "IMB" | "IMV" | "IM" => "im".to_owned(),
        other => other.to_owned(),
    };
    let same = parts.iter().any(|part| notation(part) == notation(wanted));
    if held { Some(true) } else { same.then_some(false) }
}

/// `M1-M6` holds `M4`.
fn in_range(part: &str, wanted: &str) -> bool {
    let Some((first, last)) = part.split_once('-') else { return false };
    let take = |text: &str| {
        let digits = text.find(|c: char| c.is_ascii_digit())?;
        let number: u32 = text[digits..].parse().ok()?;
        Some((text[..digits].to_uppercase(), number))
    };
    match (take(first.trim()), take(last.trim()), take(wanted.trim())) {
        (Some((a, low)), Some((b, high)), Some((c, n))) => {
            a == c && (b == a || b.is_empty()) && (low..=high).contains(&n)
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_and_ranges_of_mounting_positions_are_read() {
        for (list, wanted) in [("B3, B6, V5", "V5"), ("M1-M6", "M4"), ("all", "V1")] {
            assert_eq!(permits(list, wanted), Some(true), "{list} {wanted}");
        }
        for (list, wanted) in [("B3, B6", "V5"), ("M1-M3", "M4"), ("B3", "B35")] {
            assert_eq!(permits(list, wanted), Some(false), "{list} {wanted}");
        }
        assert_eq!(permits("M1-M6", "B3"), None);
    }
}
