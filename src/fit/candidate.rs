//! Candidates: from the shelf, from other positions, from the catalogue.

use super::case::Case;
use super::outline::Outline;
use crate::policy::Policy;
use crate::rating::Unit;
use crate::records::{Field, Plant, alike};

/// Where a candidate comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum From {
    /// A shelf line, by index.
    Shelf(usize),
    /// Another position, by index.
    Position(usize),
    /// A catalogue model, by index.
    Catalogue(usize),
}

impl From {
    /// The word printed and used in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Shelf(_) => "shelf",
            Self::Position(_) => "position",
            Self::Catalogue(_) => "catalogue",
        }
    }
}

/// A unit that might stand in.
#[derive(Clone, Debug)]
pub struct Candidate<'a> {
    /// `shelf:…`, `tag:…` or `model:…`.
    pub id: String,
    /// Where it comes from.
    pub from: From,
    /// The unit.
    pub unit: Unit<'a>,
    /// Its bare values.
    pub(super) outline: Outline,
    /// Whether it is looked at as it is once rebuilt, whatever its condition is now.
    pub(super) rebuilt: bool,
}

/// How many of a shelf line are free: on hand, and not reserved for another tag.
fn free(plant: &Plant, line: usize) -> f64 {
    plant.shelf[line].quantity().unwrap_or(0.0)
}

impl<'a> Candidate<'a> {
    /// A shelf line as a candidate; `None` for parts and lines without a unit.
    #[must_use]
    pub fn of_shelf(plant: &'a Plant, line: usize) -> Option<Self> {
        let shelf = &plant.shelf[line];
        if shelf.knows(Field::part) || (shelf.model().is_none() && shelf.ratio().is_none()) {
            return None;
        }
        let unit = Unit::new(shelf, shelf.model, plant);
        let outline = Outline::of(&unit);
        let id = format!("shelf:{}", shelf.name());
        Some(Self { id, from: From::Shelf(line), unit, outline, rebuilt: false })
    }

    /// The same as it will be once it is rebuilt: no condition stands against it.
    #[must_use]
    pub fn once_rebuilt(self) -> Self {
        Self { rebuilt: true, ..self }
    }

    /// The unit at another position as a candidate.
    #[must_use]
    pub fn of_position(plant: &'a Plant, index: usize) -> Self {
        let position = &plant.positions[index];
        let unit = Unit::new(position, position.model, plant);
        let id = format!("tag:{}", position.tag().unwrap_or("?"));
        Self { id, from: From::Position(index), outline: Outline::of(&unit), unit, rebuilt: false }
    }

    /// A catalogue model as a candidate.
    #[must_use]
    pub fn of_model(plant: &'a Plant, index: usize) -> Self {
        let model = &plant.models[index];
        let unit = Unit::of_model(model);
        let id = format!("model:{}", model.title());
        Self { id, from: From::Catalogue(index), outline: Outline::of(&unit), unit, rebuilt: false }
    }

    /// How many are free to take.
    #[must_use]
    pub fn free(&self, plant: &Plant) -> f64 {
        match self.from {
            From::Shelf(line) => free(plant, line),
            From::Position(_) => 1.0,
            From::Catalogue(_) => f64::INFINITY,
        }
    }

    /// Days until it is here.
    #[must_use]
    pub fn lead_days(&self, policy: &Policy) -> f64 {
        match self.from {
            // Nothing comes in no time: a 0 is a blank.
            From::Catalogue(_) => {
                let listed = self.unit.bare_number(Field::lead_time_days).filter(|d| *d > 0.0);
                let by_mass = || policy.lead_days_by_mass(self.unit.bare_number(Field::mass_kg));
                listed.unwrap_or_else(by_mass)
            }
            _ => 0.0,
        }
    }
}

/// Every unit on the shelf.
#[must_use]
pub fn shelf_candidates(plant: &Plant) -> Vec<Candidate<'_>> {
    (0..plant.shelf.len()).filter_map(|line| Candidate::of_shelf(plant, line)).collect()
}

/// Units at positions that may be robbed: idle or retired ones.
#[must_use]
pub fn position_candidates(plant: &Plant, but: usize) -> Vec<Candidate<'_>> {
    (0..plant.positions.len())
        .filter(|index| *index != but)
        .filter(|index| {
            matches!(plant.positions[*index].position_state(), Some("idle" | "retired"))
        })
        .map(|index| Candidate::of_position(plant, index))
        .collect()
}

/// Models that can still be ordered.
#[must_use]
pub fn catalogue_candidates(plant: &Plant) -> Vec<Candidate<'_>> {
    (0..plant.models.len())
        .filter(|index| plant.models[*index].status() != Some("discontinued"))
        .map(|index| Candidate::of_model(plant, index))
        .collect()
}

/// Every candidate of a plant, by ratio, so that a position looks only at near ones.
#[derive(Debug)]
pub struct Candidates<'a> {
    /// By ratio; those whose ratio is not known last.
    all: Vec<Candidate<'a>>,
    /// Natural logarithm of the ratios that are known.
    ratios: Vec<f64>,
    /// What each looks like, side by side.
    outlines: Vec<Outline>,
    /// Those that stand at a position.
    standing: Vec<From>,
}

impl<'a> Candidates<'a> {
    /// Shelf, idle positions and catalogue of a plant.
    #[must_use]
    pub fn of(plant: &'a Plant) -> Self {
        let nobody = usize::MAX;
        let all = shelf_candidates(plant)
            .into_iter()
            .chain(position_candidates(plant, nobody))
            .chain(catalogue_candidates(plant));
        Self::among(all)
    }

    /// These candidates and no others.
    #[must_use]
    pub fn among(all: impl IntoIterator<Item = Candidate<'a>>) -> Self {
        let all = all.into_iter();
        let (mut known, unknown): (Vec<_>, Vec<_>) =
            all.map(|c| (c.unit.ratio().map(f64::ln), c)).partition(|c| c.0.is_some());
        known.sort_by(|a, b| {
            let ratio = |c: &(Option<f64>, Candidate<'a>)| c.0.unwrap_or_default();
            ratio(a).total_cmp(&ratio(b)).then_with(|| a.1.id.cmp(&b.1.id))
        });
        let ratios = known.iter().filter_map(|c| c.0).collect();
        let all: Vec<Candidate<'a>> = known.into_iter().chain(unknown).map(|c| c.1).collect();
        let outlines = all.iter().map(|c| c.outline).collect();
        let stands = |from: &From| matches!(from, From::Position(_));
        let mut standing: Vec<From> = all.iter().map(|c| c.from).filter(stands).collect();
        standing.sort_unstable();
        Self { all, ratios, outlines, standing }
    }

    /// One of them.
    #[must_use]
    pub fn at(&self, index: usize) -> &Candidate<'a> {
        &self.all[index]
    }

    /// How many there are without the one that stands at `own`.
    pub(super) fn count_but(&self, own: From) -> usize {
        self.all.len() - usize::from(self.standing.binary_search(&own).is_ok())
    }

    /// Indices of those whose ratio (natural logarithm) lies in a span and that do not surely fail in `case`.
    pub fn within(&self, case: &Case<'_>, (low, high): (f64, f64)) -> impl Iterator<Item = usize> {
        let first = self.ratios.partition_point(|ratio| *ratio < low);
        let last = self.ratios.partition_point(|ratio| *ratio <= high);
        (first..last.max(first)).filter(|at| !case.outline.excludes(&self.outlines[*at]))
    }

    /// Shelf lines that do not surely fail in `case`.
    pub fn near_lines(&self, case: &Case<'_>) -> impl Iterator<Item = usize> {
        self.near(case).filter_map(|at| match self.all[at].from {
            From::Shelf(line) => Some(line),
            _ => None,
        })
    }

    /// Indices of the candidates that do not surely fail in `case`.
    pub fn near(&self, case: &Case<'_>) -> impl Iterator<Item = usize> {
        let in_span = |(low, high): &(f64, f64)| {
            let first = self.ratios.partition_point(|ratio| ratio < low);
            let last = self.ratios.partition_point(|ratio| ratio <= high);
            first..last.max(first)
        };
        let known = case.serves.each().iter().flat_map(in_span);
        known
            .chain(self.ratios.len()..self.all.len())
            .filter(|at| !case.outline.excludes(&self.outlines[*at]))
    }
}

/// No one candidate for what a person typed.
#[derive(Debug, thiserror::Error)]
pub enum NoCandidate {
    /// Nothing is called so.
    #[error("no shelf item, tag or model `{0}`")]
    Unknown(String),
    /// Several are, and the message names them.
    #[error("{0}")]
    Several(String),
}

impl std::convert::From<NoCandidate> for String {
    fn from(why: NoCandidate) -> Self {
        why.to_string()
    }
}

/// Finds a candidate by what a person typed: shelf item, then tag, then model.
///
/// # Errors
/// When nothing is called so, or several are.
pub fn find_candidate<'a>(plant: &'a Plant, typed: &str) -> Result<Candidate<'a>, NoCandidate> {
    let (kind, name) = match typed.split_once(':') {
        Some((kind, name)) if ["shelf", "tag", "model"].contains(&&*kind.to_lowercase()) => {
            (Some(kind.to_lowercase()), name)
        }
        _ => (None, typed),
    };
    let wants = |word: &str| kind.as_deref().is_none_or(|k| k == word);
    if wants("shelf") {
        let lines: Vec<usize> =
            (0..plant.shelf.len()).filter(|line| plant.shelf[*line].is_called(name)).collect();
        let exact = lines.iter().find(|line| alike(&plant.shelf[**line].name(), name));
        if exact.is_none() && lines.len() > 1 {
            let names: Vec<String> = lines.iter().map(|line| plant.shelf[*line].name()).collect();
            return Err(NoCandidate::Several(format!(
                "`{name}` has {} lines on the shelf; name one: {}",
                names.len(),
                names.join(", ")
            )));
        }
        let line = exact.or(lines.first());
        if let Some(found) = line.and_then(|line| Candidate::of_shelf(plant, *line)) {
            return Ok(found);
        }
    }
    if wants("tag")
        && let Some(index) = plant.find_position(name)
    {
        return Ok(Candidate::of_position(plant, index));
    }
    if wants("model") {
        let without_maker = |m: &crate::records::Catalogued| {
            m.model().zip(m.ratio()).is_some_and(|(n, i)| alike(&format!("{n} i={i}"), name))
        };
        let exact = plant.models.iter().position(|m| alike(&m.title(), name));
        let exact = exact.or_else(|| plant.models.iter().position(without_maker));
        let by_name = || {
            let named = |m: &&crate::records::Catalogued| m.model().is_some_and(|n| alike(n, name));
            let mut hits = plant.models.iter().filter(named);
            match (hits.next(), hits.next()) {
                (Some(only), None) => plant.models.iter().position(|m| std::ptr::eq(m, only)),
                _ => None,
            }
        };
        if let Some(index) = exact.or_else(by_name) {
            return Ok(Candidate::of_model(plant, index));
        }
        let named = plant.models.iter().filter(|m| m.model().is_some_and(|n| alike(n, name)));
        let ratios: Vec<String> = named.filter_map(|m| Some(m.ratio()?.to_string())).collect();
        if let Some(first) = ratios.first() {
            return Err(NoCandidate::Several(format!(
                "`{name}` is in the catalogue with {} ratios ({}); name one, as `model:{name} i={first}`",
                ratios.len(),
                ratios.join(", ")
            )));
        }
    }
    Err(NoCandidate::Unknown(typed.to_owned()))
}
