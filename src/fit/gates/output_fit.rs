//! Output fit: form, diameter, key, side.

use super::{Candidate, Case, Gate, GateOutcome, GateResult};
use crate::findings::words;
use crate::fit::gate::Side;
use crate::fit::work::{Work, WorkKind};
use crate::policy::Policy;
use crate::rating::{Known, required_factor};
use crate::records::Field;
use crate::standards::{is_inch_size, key_width, nominal_size, parallel_key, same_size};

/// A hub keeps its seat on a shaft end down to this share of its length; common practice, no source.
pub(super) const SHORTEST_SHARE: f64 = 0.9;

/// A hollow shaft and the shaft in it may differ by so much in length (mm) without more than the
/// retaining disc's own adjustment; common practice, no source.
const LENGTH_PLAY_MM: f64 = 5.0;

/// A diameter as a machinist reads it: to the thousandth, with the inches it stands for.
pub(super) fn size(mm: f64) -> String {
    let exact = nominal_size(mm).filter(|_| is_inch_size(mm)).unwrap_or(mm);
    let shown = words!("{exact:.3}");
    let shown = shown.trim_end_matches('0').trim_end_matches('.');
    if !is_inch_size(mm) {
        return words!("{shown} mm");
    }
    let mut parts = ((exact / 25.4) * 16.0).round() as u32;
    let whole = parts / 16;
    parts %= 16;
    let mut of = 16;
    while parts > 0 && parts.is_multiple_of(2) {
        parts /= 2;
        of /= 2;
    }
    let inches = match (whole, parts) {
        (whole, 0) => whole.to_string(),
        (0, parts) => words!("{parts}/{of}"),
        (whole, parts) => words!("{whole} {parts}/{of}"),
    };
    words!("{shown} mm ({inches} in)")
}

/// Whether a hub bored out from one shaft to another keeps a keyway wider than the new key.
pub(super) fn keyway_too_wide(from: f64, to: f64) -> bool {
    key_width(from).zip(key_width(to)).is_some_and(|(old, new)| old > new + 0.05)
}

/// A longer shaft end goes in, but what stands in its way is to be looked at.
pub(super) fn longer(result: GateResult, gate: &str, need: f64, have: f64) -> GateResult {
    if have <= need / SHORTEST_SHARE {
        return result;
    }
    result.confirm(words!(
        "{gate}: the shaft end is {have:.0} mm long, not {need:.0}: the gap to the other half, and the guard"
    ))
}

pub(super) fn compare(case: &Case<'_>, candidate: &Candidate<'_>, identical: bool) -> GateResult {
    let forms = (case.fitted.text(Field::output_form), candidate.unit.text(Field::output_form));
    let result = match &forms {
        (Some(need), Some(have)) if need.value != have.value => GateResult::new(
            Gate::OutputFit,
            GateOutcome::Fail,
            "the output shaft is of another form",
        )
        .sides(Side::Text(have.value.into()), Side::Text(need.value.into()), "")
        .cells([have.place.clone(), need.place.clone()]),
        (Some(form), Some(_)) if form.value == "solid" => solid(case, candidate),
        (Some(_), Some(_)) => hollow(case, candidate),
        _ if identical => solid(case, candidate),
        _ => form_unknown(case, candidate),
    };
    if result.outcome == GateOutcome::Fail {
        result
    } else {
        side(case, candidate, identical, result)
    }
}

fn form_unknown(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let field = Field::output_form;
    let unit = if case.fitted.text(field).is_none() { &case.fitted } else { &candidate.unit };
    let mut result = GateResult::new(
        Gate::OutputFit,
        GateOutcome::Unknown,
        "the form of the output shaft is not known on both sides",
    )
    .measure(field, unit.place(field), "whether the output shaft is solid or hollow");
    if case.fitted.number(Field::output_shaft_mm).is_none() {
        let place = case.fitted.place(Field::output_shaft_mm);
        result = result.measure(
            Field::output_shaft_mm,
            place,
            "the diameter of the output shaft, on the machine",
        );
    }
    result
}

type Length = Known<f64>;

fn diameters(
    need: Option<Length>,
    case: &Case<'_>,
    candidate: &Candidate<'_>,
) -> Result<(Length, Length), Box<GateResult>> {
    let field = Field::output_shaft_mm;
    let have = candidate.unit.number(field);
    match (need, have) {
        (Some(need), Some(have)) => Ok((need, have)),
        (need, have) => {
            let note = "the output shaft's diameter is not known on both sides";
            let mut result = GateResult::new(Gate::OutputFit, GateOutcome::Unknown, note).sides(
                Side::number(have.as_ref().map(|k| k.value)),
                Side::number(need.as_ref().map(|k| k.value)),
                "mm",
            );
            if need.is_none() {
                let place = case.fitted.place(field);
                result = result.measure(
                    field,
                    place,
                    "the diameter of the output shaft, on the machine",
                );
            }
            if have.is_none() {
                let place = candidate.unit.place(field);
                result =
                    result.measure(field, place, "the diameter of the candidate's output shaft");
            }
            Err(Box::new(result))
        }
    }
}

fn compared(
    outcome: GateOutcome,
    need: &Length,
    have: &Length,
    note: impl Into<String>,
) -> GateResult {
    GateResult::new(Gate::OutputFit, outcome, note)
        .sides(Side::Number(have.value), Side::Number(need.value), "mm")
        .cells([have.place.clone(), need.place.clone()])
}

fn solid(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    let fitted = case.fitted.number(Field::output_shaft_mm);
    let (need, have) = match diameters(fitted, case, candidate) {
        Ok(both) => both,
        Err(result) => return *result,
    };
    if same_size(need.value, have.value) {
        return lengths(case, candidate, &need, &have);
    }
    if have.value > need.value {
        larger(case, &need, &have)
    } else {
        smaller(case, candidate, &need, &have)
    }
}

/// Shaft ends of one diameter: their lengths, where both are known.
fn lengths(case: &Case<'_>, candidate: &Candidate<'_>, need: &Length, have: &Length) -> GateResult {
    let length = |unit: &crate::rating::Unit<'_>| unit.bare_number(Field::output_shaft_length_mm);
    let (Some(needed), Some(there)) = (length(&case.fitted), length(&candidate.unit)) else {
        return compared(GateOutcome::Pass, need, have, "same shaft diameter")
            .confirm("output-fit: length of the shaft end and its key against the hub");
    };
    if there < SHORTEST_SHARE * needed {
        let text = words!(
            "new hub, or shorten the old one: the shaft end is {there:.0} mm long, not {needed:.0}"
        );
        return compared(GateOutcome::Mend, need, have, "same diameter, shorter shaft end")
            .work(Work::new(WorkKind::NewHub, case.policy, text))
            .confirm("output-fit: that the key carries the torque on the shorter end");
    }
    let note = "same shaft diameter and length";
    longer(compared(GateOutcome::Pass, need, have, note), "output-fit", needed, there)
}

fn larger(case: &Case<'_>, need: &Length, have: &Length) -> GateResult {
    let limit = case.position.coupling_max_bore_mm();
    let within = limit.is_some_and(|limit| have.value <= limit + 0.1);
    let narrower = keyway_too_wide(need.value, have.value);
    if within && !narrower {
        let text = words!(
            "rebore the hub from {} to {} and cut its keyway",
            size(need.value),
            size(have.value)
        );
        return compared(GateOutcome::Mend, need, have, "larger shaft, the hub can be rebored")
            .work(Work::new(WorkKind::Rebore, case.policy, text))
            .confirm("output-fit: that the hub still carries the torque with the larger bore");
    }
    let why = match limit {
        Some(_) if within => "and the hub's keyway is wider than the new key",
        Some(_) => "beyond the hub's largest bore",
        None => "the hub's largest bore is not known",
    };
    let what = if limit.is_some() && !within { "new, larger coupling" } else { "new hub" };
    compared(GateOutcome::Mend, need, have, words!("larger shaft, {why}")).work(Work::new(
        WorkKind::NewHub,
        case.policy,
        words!("{what} with a bore of {}", size(have.value)),
    ))
}

fn smaller(case: &Case<'_>, candidate: &Candidate<'_>, need: &Length, have: &Length) -> GateResult {
    let wall = (need.value - have.value) / 2.0;
    let torque = required_torque(case, candidate);
    let key = key_capacity_nm(case.policy, have.value);
    let key_holds = torque.zip(key).is_some_and(|(t, k)| k >= t);
    if wall >= case.policy.sleeve_min_wall_mm
        && need.value / have.value <= case.policy.sleeve_max_ratio
        && key_holds
    {
        let text = words!("sleeve {} on {} with a stepped key", size(need.value), size(have.value));
        return compared(GateOutcome::Mend, need, have, "smaller shaft, a sleeve carries it")
            .work(Work::new(WorkKind::Sleeve, case.policy, text));
    }
    let note = words!("smaller shaft, and {}", no_sleeve(case, wall, need, have, torque, key));
    compared(GateOutcome::Mend, need, have, note).work(Work::new(
        WorkKind::NewHub,
        case.policy,
        words!("new hub with a bore of {}", size(have.value)),
    ))
}

/// Why no sleeve carries a smaller shaft, with the numbers.
fn no_sleeve(
    case: &Case<'_>,
    wall: f64,
    need: &Length,
    have: &Length,
    torque: Option<f64>,
    key: Option<f64>,
) -> String {
    let (least, most) = (case.policy.sleeve_min_wall_mm, case.policy.sleeve_max_ratio);
    if wall < least {
        return words!("a sleeve's wall would be {wall:.1} mm, below {least:.1}");
    }
    let ratio = need.value / have.value;
    if ratio > most {
        return words!("bore over shaft is {ratio:.2}, above {most:.2} for a sleeve");
    }
    match torque.zip(key) {
        Some((torque, key)) => {
            words!("its key carries {key:.0} N·m, below the {torque:.0} N·m that it must")
        }
        None => "whether its key carries the torque is not known".into(),
    }
}

/// Demand torque times the factor required.
fn required_torque(case: &Case<'_>, candidate: &Candidate<'_>) -> Option<f64> {
    let required = required_factor(&case.duty, case.position, &candidate.unit, case.policy);
    Some(case.duty.demand_torque()?.value() * required.factor)
}

/// Torque (N·m) that the parallel key of a shaft carries on its side in the hub, over a length
/// of one and a half diameters.
fn key_capacity_nm(policy: &Policy, shaft_mm: f64) -> Option<f64> {
    key_on_length_nm(policy, shaft_mm, 1.5 * shaft_mm)
}

/// The same over a length of key (mm).
fn key_on_length_nm(policy: &Policy, shaft_mm: f64, length_mm: f64) -> Option<f64> {
    let key = parallel_key(shaft_mm)?;
    let force = policy.key_pressure_mpa * (key.height - key.shaft_depth) * length_mm;
    Some(force * shaft_mm / 2.0 / 1e3)
}

fn hollow(case: &Case<'_>, candidate: &Candidate<'_>) -> GateResult {
    // The machine's own shaft counts; the fitted bore stands for it.
    let machine = case.fitted.number(Field::driven_shaft_mm);
    let need = machine.or_else(|| case.fitted.number(Field::output_shaft_mm));
    let (need, have) = match diameters(need, case, candidate) {
        Ok(both) => both,
        Err(result) => return *result,
    };
    if same_size(need.value, have.value) {
        return hollow_lengths(case, candidate, &need, &have);
    }
    if have.value < need.value {
        return compared(
            GateOutcome::Fail,
            &need,
            &have,
            "the bore is below the machine's shaft; never turn that down",
        );
    }
    let bushings = candidate
        .unit
        .text(Field::bushings)
        .or_else(|| candidate.unit.text(Field::output_bore_range_mm));
    let listed = bushings.is_some_and(|k| holds_size(k.value, need.value));
    if listed {
        let text = words!("bushing {} in {}", size(need.value), size(have.value));
        compared(GateOutcome::Mend, &need, &have, "a bushing is listed").work(Work::new(
            WorkKind::Sleeve,
            case.policy,
            text,
        ))
    } else {
        compared(GateOutcome::Fail, &need, &have, "larger bore and no bushing is listed")
    }
}

/// The machine's shaft in a hollow shaft of its diameter: their lengths, where both are known.
fn hollow_lengths(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    need: &Length,
    have: &Length,
) -> GateResult {
    let shaft = case.fitted.bare_number(Field::driven_shaft_length_mm);
    let hollow = candidate.unit.bare_number(Field::hollow_shaft_length_mm);
    let (Some(shaft), Some(hollow)) = (shaft, hollow) else {
        return compared(GateOutcome::Pass, need, have, "same bore")
            .confirm("output-fit: length of the hollow shaft against the machine's shaft");
    };
    let over = shaft - hollow;
    let told = |text: &str| words!("same bore; {text}: {shaft:.0} mm in {hollow:.0} mm");
    let spacer = |text: String| Work::new(WorkKind::Sleeve, case.policy, text);
    if over.abs() <= LENGTH_PLAY_MM {
        return compared(GateOutcome::Pass, need, have, "same bore and length");
    }
    if over > 0.0 {
        let text = words!("spacer of {over:.0} mm between the hollow shaft and its retaining disc");
        return compared(GateOutcome::Mend, need, have, told("the machine's shaft stands out"))
            .work(spacer(text))
            .confirm("output-fit: room behind the unit for the shaft that stands out");
    }
    let carried =
        key_on_length_nm(case.policy, need.value, shaft).zip(required_torque(case, candidate));
    match carried {
        Some((key, torque)) if key < torque => compared(
            GateOutcome::Fail,
            need,
            have,
            words!(
                "{}: its key carries {key:.0} N·m, below the {torque:.0} N·m needed",
                told("the machine's shaft is short")
            ),
        ),
        _ => compared(GateOutcome::Mend, need, have, told("the machine's shaft is short"))
            .work(spacer(words!(
                "spacer of {:.0} mm and a longer retaining bolt at the end of the machine's shaft",
                -over
            )))
            .confirm("output-fit: that the key carries the torque on the shorter seat"),
    }
}

/// Whether a list such as `50, 55, 60` or a range `40-60` holds a size.
fn holds_size(text: &str, size: f64) -> bool {
    text.split([',', ';']).any(|part| {
        let numbers: Vec<f64> = part
            .split(['-', '–'])
            .filter_map(|n| n.trim().trim_end_matches("mm").trim().parse().ok())
            .collect();
        match numbers[..] {
            [one] => same_size(one, size),
            [low, high] => (low - 0.1..=high + 0.1).contains(&size),
            _ => false,
        }
    })
}

/// The side of the output shaft: the wrong swap seen most.
fn side(
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    identical: bool,
    mut result: GateResult,
) -> GateResult {
    let code =
        |unit: &crate::rating::Unit<'_>| unit.text(Field::order_code).map(|k| k.value.to_owned());
    let same_code =
        identical && code(&case.fitted).is_some() && code(&case.fitted) == code(&candidate.unit);
    match (case.fitted.text(Field::hand), candidate.unit.text(Field::hand)) {
        _ if same_code => result,
        (Some(need), Some(have)) if need.value == have.value || have.value == "both" => result,
        (Some(need), Some(have)) => {
            result.outcome = GateOutcome::Fail;
            result.note = words!("output shaft: {} side, needed: {}", have.value, need.value);
            result.sides(Side::Text(have.value.into()), Side::Text(need.value.into()), "")
        }
        (Some(need), None) => {
            if result.outcome != GateOutcome::Fail {
                result.outcome = GateOutcome::Unknown;
            }
            result.note =
                words!("{}; side of the candidate not known, needed {}", result.note, need.value);
            result.measure(
                Field::hand,
                candidate.unit.place(Field::hand),
                "on which side the candidate's output shaft is",
            )
        }
        _ => result
            .confirm("output-fit: the side of the output shaft, on the machine and on the spare"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_carries_what_its_side_carries() {
        // By hand, shaft 60: key 18 × 11, depth in the shaft 7, so 4 mm in the hub;
        // 100 N/mm² × 4 mm × 90 mm × 30 mm = 1080 N·m.
        assert!(
            (key_capacity_nm(&Policy::default(), 60.0).expect("in the table") - 1080.0).abs()
                < 1e-9
        );
    }

    #[test]
    fn sizes_are_printed_as_a_machinist_reads_them() {
        assert_eq!(size(60.0), "60 mm");
        assert_eq!(size(60.325), "60.325 mm (2 3/8 in)");
        assert_eq!(size(50.8), "50.8 mm (2 in)");
        assert_eq!(size(22.2), "22.225 mm (7/8 in)");
    }

    #[test]
    fn a_wide_keyway_stays_wide() {
        // 50 mm has a key of 14 mm, 2 in one of 1/2 in = 12.7 mm; 65 mm has 18, 2 3/4 in 15.875.
        assert!(keyway_too_wide(50.0, 50.8) && keyway_too_wide(65.0, 69.85));
        assert!(!keyway_too_wide(60.0, 65.0) && !keyway_too_wide(47.625, 50.0));
    }

    #[test]
    fn bushings_are_lists_or_ranges() {
        assert!(holds_size("50, 55, 60", 55.0) && holds_size("40-60", 55.0));
        assert!(!holds_size("50, 60", 55.0));
    }
}
