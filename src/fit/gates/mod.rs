//! One file per gate.

mod asks;
mod axes;
mod back_stop;
pub(super) mod condition;
mod heat;
mod holding;
mod input_fit;
mod line_up;
mod oil;
mod orientation;
mod output_fit;
mod overhang;
mod peak;
mod room;
mod seat;
mod sense;
mod speed;
mod strength;
mod surroundings;
mod top_speed;
mod zone;

pub(super) use axes::is_turned;
pub(super) use oil::to_fill;
pub(super) use seat::fits;
pub(super) use zone::is_no_zone;

use super::candidate::Candidate;
use super::case::Case;
use super::gate::{Gate, GateOutcome, GateResult};
use super::reach::Reached;
use crate::standards::{Driver, read_mating};

/// Compares one gate; `reached` is what is changed to reach the speed, and `case` stands after it.
pub(super) fn compare(
    gate: Gate,
    case: &Case<'_>,
    candidate: &Candidate<'_>,
    identical: bool,
    reached: Option<&Reached>,
) -> GateResult {
    match gate {
        Gate::Axes => axes::compare(case, candidate, identical),
        Gate::Seat => seat::compare(case, candidate, identical),
        Gate::OutputFit => output_fit::compare(case, candidate, identical),
        Gate::InputFit => input_fit::compare(case, candidate, identical, reached),
        Gate::Speed => speed::compare(case, candidate, identical, reached),
        Gate::Sense => sense::compare(case, candidate, identical),
        Gate::Strength => strength::compare(case, candidate, identical),
        Gate::Overhang => overhang::compare(case, candidate, identical),
        Gate::TopSpeed => top_speed::compare(case, candidate),
        Gate::BackStop => back_stop::compare(case, candidate),
        Gate::Holding => holding::compare(case, candidate, identical, reached),
        Gate::Condition => condition::compare(case, candidate),
        Gate::Room => room::compare(case, candidate, identical),
        Gate::Zone => zone::compare(case, candidate),
        Gate::Peak => peak::compare(case, candidate, identical),
        Gate::Heat => heat::compare(case, candidate, identical),
        Gate::Orientation => orientation::compare(case, candidate, identical),
        Gate::LineUp => line_up::compare(case, candidate, identical),
        Gate::Surroundings => surroundings::compare(case, candidate, identical),
        Gate::Oil => oil::compare(case, candidate),
    }
}

/// What holds the power all day: a torque limiter only acts at a peak.
fn holds_power(case: &Case<'_>) -> &'static str {
    match case.position.limiter() {
        Some("inverter") => "the inverter's torque limit",
        Some("feed-rate") => "the feed rate",
        _ => by_the_driver(case),
    }
}

/// What every driver of its kind has to hold it.
fn by_the_driver(case: &Case<'_>) -> &'static str {
    if case.duty.driver == Driver::Motor {
        "the motor's overload relay"
    } else {
        "the engine's own fuel or torque limit"
    }
}

/// What holds a limit of power or torque.
fn held_by(case: &Case<'_>) -> &'static str {
    match case.position.limiter() {
        Some("inverter") => "the inverter's torque limit",
        Some("feed-rate") => "the feed rate",
        Some("torque-limiter" | "shear-pin" | "fluid-coupling") => "the torque limiter",
        _ => by_the_driver(case),
    }
}

/// Lengths (mm) that are equal within what plates and rules show.
fn equal_mm(a: f64, b: f64) -> bool {
    (a - b).abs() <= 0.1
}

/// Whether two flanges are one, however they are written; `None` where words name no flange.
fn flanges_agree(a: &str, b: &str) -> Option<bool> {
    let bare = |text: &str| text.replace([' ', '-'], "").to_uppercase();
    if bare(a) == bare(b) {
        return Some(true);
    }
    Some(read_mating(a)? == read_mating(b)?)
}

/// Two or three sizes written as `342x243` or `600 × 400 × 500` (mm).
fn sizes(text: &str) -> Option<Vec<f64>> {
    let sizes: Option<Vec<f64>> = text
        .to_lowercase()
        .replace("mm", "")
        .split(['x', '×', '*'])
        .map(|part| part.trim().replace(',', ".").parse::<f64>().ok().filter(|v| *v > 0.0))
        .collect();
    sizes.filter(|s| s.len() >= 2)
}
