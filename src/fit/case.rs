//! A position, with all that its gates ask about it.

use std::sync::OnceLock;

use crate::gearing::{LoadKind, LoadKindFound, kind_of_load, level_unknown};
use crate::policy::Policy;
use crate::rating::{Capacity, Duty, Unit, capacity_at};
use crate::records::{Field, ModelMatch, Plant, Position, alike};

use super::candidate::Candidate;
use super::deciding::Deciding;
use super::outline::Outline;
use super::reach::{Spans, with_what_is_there};

/// A position under question.
#[derive(Debug)]
pub struct Case<'a> {
    /// The plant.
    pub plant: &'a Plant,
    /// The policy.
    pub policy: &'a Policy,
    /// Index of the position.
    pub index: usize,
    /// The position.
    pub position: &'a Position,
    /// The unit fitted today.
    pub fitted: Unit<'a>,
    /// Its duty.
    pub duty: Duty,
    /// Its kind of load.
    pub load: LoadKindFound,
    /// Whether the first thing to confirm is that the machine is level.
    pub level_unknown: bool,
    /// What the unit fitted can carry.
    pub fitted_capacity: Option<Capacity>,
    /// The gates that decide here.
    pub(super) deciding: Deciding,
    /// The ratios that could serve.
    pub(super) serves: Spans,
    /// What a candidate must look like.
    pub(super) outline: Outline,
    /// The same position with each model that the unit fitted may be.
    as_each: OnceLock<Vec<Case<'a>>>,
}

impl<'a> Case<'a> {
    /// The case of position `index`.
    #[must_use]
    pub fn new(plant: &'a Plant, policy: &'a Policy, index: usize) -> Self {
        Self::with(plant, policy, index, plant.positions[index].model)
    }

    /// The case of position `index`, its unit taken for `model`.
    fn with(plant: &'a Plant, policy: &'a Policy, index: usize, model: Option<ModelMatch>) -> Self {
        let position = &plant.positions[index];
        let fitted = Unit::new(position, model, plant);
        let duty = Duty::of(position, &fitted, policy);
        let fitted_capacity = duty
            .input_rpm
            .map(|n1| capacity_at(&fitted, n1, duty.reversing, policy.efficiency_per_stage));
        let mut case = Self {
            plant,
            policy,
            index,
            position,
            outline: Outline::of(&fitted),
            fitted,
            duty,
            load: kind_of_load(position),
            level_unknown: level_unknown(position),
            fitted_capacity,
            deciding: Deciding::default(),
            serves: Spans::default(),
            as_each: OnceLock::new(),
        };
        case.deciding = Deciding::at(&case);
        case.outline = Outline::of_position(&case);
        case.serves = Spans::of(&case);
        case
    }

    /// The same case with the unit's input at another speed, after a change before it.
    #[must_use]
    pub fn at_input(&self, input_rpm: f64) -> Self {
        Self {
            duty: Duty { input_rpm: Some(input_rpm), ..self.duty.clone() },
            fitted: self.fitted.clone(),
            load: self.load.clone(),
            fitted_capacity: self.fitted_capacity.clone(),
            serves: self.serves.clone(),
            as_each: OnceLock::new(),
            ..*self
        }
    }

    /// The same position with each model that the unit fitted may be; none where it is known, or its name is not.
    pub(super) fn as_each(&self) -> &[Self] {
        if self.fitted.model.is_some() {
            return &[];
        }
        self.as_each.get_or_init(|| {
            // Each of them has a model, so that none asks for its own again.
            let known = self.position.may_be.iter().filter(|at| **at < self.plant.models.len());
            let taken = known.map(|model| ModelMatch { model: *model, exact: true, score: 1.0 });
            taken
                .map(|model| Self::with(self.plant, self.policy, self.index, Some(model)))
                .collect()
        })
    }

    /// The tag.
    #[must_use]
    pub fn tag(&self) -> &'a str {
        self.position.tag().unwrap_or("?")
    }

    /// Whether the candidate is the same maker, model and ratio as the unit fitted, both known
    /// exactly and neither modified.
    #[must_use]
    pub fn is_identical(&self, candidate: &Candidate<'_>) -> bool {
        let (a, b) = (&self.fitted, &candidate.unit);
        if a.own.modification().is_some() || b.own.modification().is_some() || differ(a, b) {
            return false;
        }
        if let (Some(x), Some(y)) = (a.model, b.model) {
            return a.exact && b.exact && std::ptr::eq(x, y);
        }
        let same = |field| match (a.text(field), b.text(field)) {
            (Some(x), Some(y)) => alike(x.value, y.value),
            _ => false,
        };
        let ratio =
            matches!((a.ratio(), b.ratio()), (Some(x), Some(y)) if (x / y - 1.0).abs() < 1e-6);
        same(Field::maker) && same(Field::model) && ratio
    }

    /// Whether a candidate surely fails here, told by a few bare values: most pairs of a large
    /// catalogue end so. Never true of a pair that passes its gates.
    #[must_use]
    pub fn surely_fails(&self, candidate: &Candidate<'_>) -> bool {
        candidate.unit.ratio().is_some_and(|ratio| !self.serves.hold(ratio))
            || self.outline.excludes(&candidate.outline)
    }

    /// The ratios, as a span of their natural logarithm, outside which no unit covers this position: cover needs no other
    /// motor, belt or inverter. Slower ones too where the policy lets a stop-gap count.
    #[must_use]
    pub fn span_of_cover(&self) -> Option<(f64, f64)> {
        with_what_is_there(self, self.policy.covers("stop-gap"))
    }

    /// Whether a load hangs here or people are carried.
    #[must_use]
    pub fn is_suspended(&self) -> bool {
        self.load.kind == LoadKind::Suspended
    }

    /// Output speed of a unit of `ratio` at the present input speed.
    #[must_use]
    pub fn output_rpm_with(&self, ratio: f64) -> Option<f64> {
        self.duty.input_rpm.map(|n1| n1 / ratio)
    }
}

/// Whether two units of one model are recorded with different dimensions, arrangements or trains: what is
/// recorded, a value just measured above all, stands against the name.
fn differ(a: &Unit<'_>, b: &Unit<'_>) -> bool {
    const LENGTHS: [(Field, f64); 3] = [
        (Field::shaft_height_mm, 0.5),
        (Field::shaft_offset_mm, 0.5),
        (Field::shaft_end_to_foot_mm, 0.5),
    ];
    let off = |(field, play): &(Field, f64)| {
        let both = a.bare_number(*field).zip(b.bare_number(*field));
        both.is_some_and(|(x, y)| (x - y).abs() > *play)
    };
    let words = |field: Field| {
        let both = a.bare_text(field).zip(b.bare_text(field));
        both.is_some_and(|(x, y)| !alike(x, y))
    };
    let stages = |unit: &Unit<'_>| unit.train().and_then(|t| t.count);
    let trains = stages(a).zip(stages(b)).is_some_and(|(x, y)| x != y);
    let axes = a.bare_axes().zip(b.bare_axes()).is_some_and(|(x, y)| x != y);
    LENGTHS.iter().any(off)
        || words(Field::mounting)
        || words(Field::foot_holes_mm)
        || axes
        || trains
}
