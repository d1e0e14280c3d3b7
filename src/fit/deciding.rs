//! Which gates decide at a position, and which only ask to be confirmed.

use super::case::Case;
use super::gate::Gate;
use crate::rating::Jams;
use crate::records::Field;
use crate::standards::Family;

/// Heat decides for any motor above this (kW).
const HEAT_ABOVE_KW: f64 = 75.0;
/// Heat decides in any place warmer than this (°C); common practice, no source.
const HEAT_AMBIENT_C: f64 = 45.0;
/// Heat decides for a worm that runs longer than this (h a day).
const HEAT_WORM_HOURS: f64 = 10.0;

/// Whether `gate` decides in this case for a unit of `family`; the others confirm.
#[must_use]
pub fn decides(gate: Gate, case: &Case<'_>, family: Family) -> bool {
    case.deciding.holds(gate, family)
}

/// The gates that decide at a position, for each family of units.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Deciding([u32; 2]);

impl Deciding {
    pub(super) fn at(case: &Case<'_>) -> Self {
        let of = |family| {
            let deciding = Gate::ALL.iter().filter(|gate| asked(**gate, case, family));
            deciding.fold(0, |set, gate| set | 1 << *gate as u32)
        };
        Self([of(Family::Helical), of(Family::Worm)])
    }

    fn holds(self, gate: Gate, family: Family) -> bool {
        self.0[usize::from(family == Family::Worm)] & (1 << gate as u32) != 0
    }
}

fn asked(gate: Gate, case: &Case<'_>, family: Family) -> bool {
    if case.policy.always_deciding.iter().any(|word| word == gate.word()) {
        return true;
    }
    let position = case.position;
    match gate {
        Gate::Overhang => {
            let pulls = |connection| {
                matches!(
                    connection,
                    Some("v-belt" | "flat-belt" | "timing-belt" | "chain" | "pinion")
                )
            };
            pulls(position.output_connection())
                || pulls(position.input_connection())
                || position.knows(Field::output_pitch_diameter_mm)
                || position.axial_load_n().is_some_and(|n| n > 0.0)
        }
        Gate::BackStop => {
            case.load.hinted || position.back_stop().is_some_and(|word| word != "none")
        }
        Gate::Holding | Gate::Sense => case.load.hinted,
        Gate::Zone => position.knows(Field::zone),
        Gate::Heat => {
            (family == Family::Worm && case.duty.hours > HEAT_WORM_HOURS)
                || case.duty.motor_kw.is_some_and(|kw| kw > HEAT_ABOVE_KW)
                || position.ambient_c().is_some_and(|t| t > HEAT_AMBIENT_C)
        }
        Gate::Peak => case.duty.jams == Jams::Prone,
        Gate::Surroundings => position.washdown() == Some(true),
        _ => false,
    }
}
