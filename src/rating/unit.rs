//! What is known of a gear unit: its own row, and behind it its catalogue model.

use crate::findings::Place;
use crate::gearing::{
    RunsBack, Stage, Train, runs_back, teeth_ratio, worm_efficiency, worm_friction,
};
use crate::records::{Catalogued, Entry, Field, How, ModelMatch, Plant, Record};
use crate::standards::{Family, ratio_deviation};
use crate::units::ShaftSpeed;

/// A value with its cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Known<T> {
    /// The value.
    pub value: T,
    /// Its cell.
    pub place: Place,
    /// How it is known.
    pub how: How,
    /// Whether it comes from the catalogue and not from the unit's own row.
    pub from_catalogue: bool,
}

/// Where an efficiency comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EfficiencyFrom {
    /// From the unit's row or its catalogue.
    Listed,
    /// Worked out from a worm's lead angle and sliding speed.
    LeadAngle,
    /// Assumed by gear type and ratio.
    Train,
    /// Nothing is known: no losses, the safe side for the gears.
    Nothing,
}

impl EfficiencyFrom {
    /// The words printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Listed => "as listed",
            Self::LeadAngle => "from the worm's lead angle and sliding speed",
            Self::Train => "by gear type and ratio",
            Self::Nothing => "gear type not known: no losses taken, the safe side for the gears",
        }
    }
}

/// An efficiency as a share, and where it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Efficiency {
    /// Output over input power.
    pub value: f64,
    /// How it is known.
    pub from: EfficiencyFrom,
}

/// A gear unit, seen through its row and its model.
#[derive(Clone, Debug)]
pub struct Unit<'a> {
    /// The unit's own row.
    pub own: &'a Record,
    /// Its catalogue model.
    pub model: Option<&'a Catalogued>,
    /// Whether the model was matched exactly.
    pub exact: bool,
    /// The gear train, read once.
    train: Option<Train>,
}

/// The train of a row, else of its model.
fn read_train(own: &Record, model: Option<&Catalogued>) -> Option<Train> {
    Train::read(own.gear_train().or_else(|| model?.gear_train())?)
}

impl<'a> Unit<'a> {
    /// A unit by its row and the model found for it.
    #[must_use]
    pub fn new(own: &'a Record, found: Option<ModelMatch>, plant: &'a Plant) -> Self {
        let model = plant.model_of(found);
        Self { own, model, exact: found.is_some_and(|f| f.exact), train: read_train(own, model) }
    }

    /// A catalogue model as a new unit.
    #[must_use]
    pub fn of_model(model: &'a Catalogued) -> Self {
        let own = &model.record;
        Self { own, model: Some(model), exact: true, train: read_train(own, Some(model)) }
    }

    fn holder(&self, field: Field) -> Option<(&'a Record, bool)> {
        if self.own.knows(field) {
            return Some((self.own, false));
        }
        let record = &self.model?.record;
        record.knows(field).then_some((record, true))
    }

    fn known<T>(&self, field: Field, read: impl Fn(&'a Record) -> Option<T>) -> Option<Known<T>> {
        let (record, from_catalogue) = self.holder(field)?;
        let how = record.entry(field)?.how;
        Some(Known { value: read(record)?, place: record.place(field), how, from_catalogue })
    }

    /// A number with its cell.
    #[must_use]
    pub fn number(&self, field: Field) -> Option<Known<f64>> {
        self.known(field, |record| record.number(field))
    }

    /// A number without its cell, where only the comparison counts.
    #[must_use]
    pub fn bare_number(&self, field: Field) -> Option<f64> {
        self.own.number(field).or_else(|| self.model?.record.number(field))
    }

    /// A text without its cell, where only the comparison counts.
    #[must_use]
    pub fn bare_text(&self, field: Field) -> Option<&'a str> {
        self.own.text(field).or_else(|| self.model?.record.text(field))
    }

    /// A text with its cell.
    #[must_use]
    pub fn text(&self, field: Field) -> Option<Known<&'a str>> {
        self.known(field, |record| record.text(field))
    }

    /// A flag with its cell.
    #[must_use]
    pub fn flag(&self, field: Field) -> Option<Known<bool>> {
        self.known(field, |record| record.flag(field))
    }

    /// Where a missing field would go.
    #[must_use]
    pub fn place(&self, field: Field) -> Place {
        let nowhere = || match self.own.unread(field) {
            Some(unread) => self.own.cell(u32::from(unread.col)),
            None => self.own.cell(0),
        };
        self.holder(field).map_or_else(nowhere, |(record, _)| record.place(field))
    }

    /// The gear train, if it can be read.
    #[must_use]
    pub fn train(&self) -> Option<&Train> {
        self.train.as_ref()
    }

    /// The family whose service-factor table counts; helical where nothing says worm.
    #[must_use]
    pub fn family(&self) -> Family {
        self.train().map_or(Family::Helical, |train| train.family())
    }

    /// Gear ratio.
    #[must_use]
    pub fn ratio(&self) -> Option<f64> {
        self.bare_number(Field::ratio)
    }

    /// Efficiency at an input speed, where that is known.
    #[must_use]
    pub fn efficiency(&self, per_stage: f64, input_rpm: Option<f64>) -> Efficiency {
        let found = |value: f64, from| Efficiency { value, from };
        if let Some(known) = self.number(Field::efficiency) {
            return found((known.value / 100.0).clamp(0.2, 1.0), EfficiencyFrom::Listed);
        }
        if let Some(value) = self.worm_efficiency(input_rpm) {
            return found(value, EfficiencyFrom::LeadAngle);
        }
        match (self.train(), self.ratio()) {
            (Some(train), Some(ratio)) => {
                found(train.efficiency(ratio, per_stage), EfficiencyFrom::Train)
            }
            // The safe side for the gears: no losses between motor and output.
            _ => found(1.0, EfficiencyFrom::Nothing),
        }
    }

    /// Efficiency of a single worm stage from its lead angle and sliding speed.
    ///
    /// ```text
    /// v = π · d · n / (60 · cos λ)        e = (cos αn − f(v) · tan λ) / (cos αn + f(v) · cot λ)
    /// ```
    fn worm_efficiency(&self, input_rpm: Option<f64>) -> Option<f64> {
        /// Normal pressure angle where none is listed (°); common practice, no source.
        const PRESSURE: f64 = 20.0;
        let alone = self.train()?.stages == [Stage::Worm];
        let lead = self.bare_number(Field::worm_lead_deg).filter(|_| alone)?;
        let pitch = self.bare_number(Field::worm_pitch_mm)?;
        let worm = ShaftSpeed::rpm(input_rpm?)?;
        let rim = worm.as_radians_per_second() * pitch / 2e3;
        let friction = worm_friction(rim / lead.to_radians().cos());
        Some(worm_efficiency(lead, friction, PRESSURE).clamp(0.05, 1.0))
    }

    /// Whether the output can drive the input: by the worm's lead angle where it is known, else by
    /// type and ratio.
    #[must_use]
    pub fn runs_back(&self) -> Option<RunsBack> {
        let train = self.train()?;
        match self.bare_number(Field::worm_lead_deg).filter(|_| train.has(Stage::Worm)) {
            Some(lead) => Some(runs_back(lead)),
            None => Some(train.runs_back(self.ratio()?)),
        }
    }

    /// The interval in which the actual ratio lies: a ratio of three figures or fewer without tooth
    /// counts is nominal, and may be off by what its number of stages permits.
    #[must_use]
    pub fn ratio_interval(&self, second_list: bool) -> Option<(f64, f64)> {
        let ratio = self.ratio()?;
        let teeth = self.bare_text(Field::tooth_counts).and_then(teeth_ratio);
        if let Some(exact) = teeth {
            return Some((exact, exact));
        }
        let figures = format!("{ratio}").bytes().filter(u8::is_ascii_digit).count();
        if figures > 3 {
            return Some((ratio, ratio));
        }
        let stages = self.train().map_or(2, |train| train.stage_count(ratio));
        let off = ratio_deviation(stages, second_list) / 100.0;
        Some((ratio * (1.0 - off), ratio * (1.0 + off)))
    }

    /// The entry of a field, in its own row or its model's.
    #[must_use]
    pub fn entry(&self, field: Field) -> Option<&'a Entry> {
        self.own.entry(field).or_else(|| self.model?.record.entry(field))
    }

    /// Axes without their cell, where only the comparison counts.
    #[must_use]
    pub fn bare_axes(&self) -> Option<&str> {
        self.bare_text(Field::axes).or_else(|| self.train()?.axes())
    }

    /// Axes: stated, else those the train makes.
    #[must_use]
    pub fn axes(&self) -> Option<(&str, Place)> {
        if let Some(known) = self.text(Field::axes) {
            return Some((known.value, known.place));
        }
        let axes = self.train()?.axes()?;
        Some((axes, self.place(Field::gear_train)))
    }

    /// Maker and model as one name.
    #[must_use]
    pub fn name(&self) -> String {
        let maker = self.text(Field::maker).map_or("", |k| k.value);
        let model = self.model.and_then(|m| m.model()).or_else(|| self.own.model()).unwrap_or("");
        let name = format!("{maker} {model}").trim().to_owned();
        let name = if name.is_empty() { "unit without a name".to_owned() } else { name };
        self.ratio()
            .map_or_else(|| name.clone(), |i| format!("{name} i={}", (i * 100.0).round() / 100.0))
    }
}
