//! The few bare values by which most pairs fail, side by side in memory: a large catalogue is gone
//! through by these, and gate by gate only where they leave a doubt.

use std::hash::{DefaultHasher, Hash, Hasher};

use super::case::Case;
use super::gates::{fits, is_turned};
use crate::rating::Unit;
use crate::records::{Field, folded};

/// Lengths (mm) further apart than this differ for every gate.
const CLEARLY_MM: f64 = 0.11;

/// Bare values of a unit; 0 and NaN are unknown.
#[derive(Clone, Copy, Debug)]
pub(super) struct Outline {
    axes: u8,
    mounting: u8,
    form: u8,
    hand: u8,
    /// Whether a bushing or a range of bores is listed.
    bushed: bool,
    height: f64,
    shaft: f64,
    /// Which catalogue row, as an address; 0 for none.
    model: usize,
    /// The model's name, folded and hashed.
    name: u64,
}

const AXES: [&str; 4] = ["parallel", "in-line", "right-angle", "crossed"];
const MOUNTINGS: [&str; 4] = ["foot", "flange", "foot-flange", "shaft"];
const FORMS: [&str; 4] = ["solid", "hollow", "hollow-shrink-disc", "flange"];
const HANDS: [&str; 3] = ["left", "right", "both"];
/// The code of the last of them.
const BOTH: u8 = 3;

fn code(words: &[&str], word: Option<&str>) -> u8 {
    let at = word.and_then(|word| words.iter().position(|w| *w == word));
    at.map_or(0, |at| at as u8 + 1)
}

fn word<'a>(words: &[&'a str], code: u8) -> Option<&'a str> {
    usize::from(code).checked_sub(1).map(|at| words[at])
}

impl Outline {
    /// What a candidate is.
    pub(super) fn of(unit: &Unit<'_>) -> Self {
        // Axes that the gear type contradicts are unknown.
        let axes = unit.bare_axes().filter(|axes| {
            unit.train().is_none_or(|train| {
                train.has(crate::gearing::Stage::CrossedHelical)
                    || train.turns_axis() == is_turned(axes)
            })
        });
        let bushed =
            [Field::bushings, Field::output_bore_range_mm].map(|f| unit.bare_text(f).is_some());
        let name = unit.bare_text(Field::model).map_or(0, |text| {
            let mut hasher = DefaultHasher::new();
            folded(text).hash(&mut hasher);
            hasher.finish()
        });
        Self {
            axes: code(&AXES, axes),
            mounting: code(&MOUNTINGS, unit.bare_text(Field::mounting)),
            form: code(&FORMS, unit.bare_text(Field::output_form)),
            hand: code(&HANDS, unit.bare_text(Field::hand)),
            bushed: bushed.contains(&true),
            height: unit.bare_number(Field::shaft_height_mm).unwrap_or(f64::NAN),
            shaft: unit.bare_number(Field::output_shaft_mm).unwrap_or(f64::NAN),
            model: unit.model.map_or(0, |model| std::ptr::from_ref(model).addr()),
            name,
        }
    }

    /// What a position needs: what is fitted, with the machine's own shaft where it is known.
    pub(super) fn of_position(case: &Case<'_>) -> Self {
        let own = Self::of(&case.fitted);
        let axes = code(&AXES, case.fitted.bare_axes());
        let machine = case.fitted.bare_number(Field::driven_shaft_mm);
        let hollow = own.form > 1;
        let shaft = machine.filter(|_| hollow).unwrap_or(own.shaft);
        Self { axes, shaft, ..own }
    }

    /// Whether a unit may be the very one fitted: what passes by identity is not excluded.
    fn may_be(&self, have: &Self) -> bool {
        if self.model != 0 && have.model != 0 {
            return self.model == have.model;
        }
        self.name != 0 && self.name == have.name
    }

    /// Whether `have` surely fails where this is needed. Never true of a pair that a gate lets pass.
    pub(super) fn excludes(&self, have: &Self) -> bool {
        if self.form != 0 && have.form != 0 {
            if self.form != have.form {
                return true;
            }
            let wider = have.shaft > self.shaft + CLEARLY_MM && !have.bushed;
            if self.form > 1 && (have.shaft < self.shaft - CLEARLY_MM || wider) {
                return true;
            }
        }
        (self.excludes_seat(have) || self.excludes_axes(have) || self.excludes_side(have))
            && !self.may_be(have)
    }

    fn excludes_side(&self, have: &Self) -> bool {
        self.hand != 0 && have.hand != 0 && self.hand != have.hand && have.hand != BOTH
    }

    fn excludes_axes(&self, have: &Self) -> bool {
        let (Some(need), Some(have)) = (word(&AXES, self.axes), word(&AXES, have.axes)) else {
            return false;
        };
        need != have && !(is_turned(need) && is_turned(have))
    }

    fn excludes_seat(&self, have: &Self) -> bool {
        let mountings = (word(&MOUNTINGS, have.mounting), word(&MOUNTINGS, self.mounting));
        let (Some(there), Some(need)) = mountings else { return false };
        if !fits(there, need) {
            return true;
        }
        matches!(need, "foot" | "foot-flange") && have.height > self.height + CLEARLY_MM
    }
}
