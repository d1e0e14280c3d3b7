//! Parts shared across models: bearings by designation, seals by dimensions, the rest by what their lists call
//! them; their stock by the same mathematics as that of units.

use std::collections::BTreeMap;

use super::bayes::{Gamma, noninformative};
use super::demand::{Exposure, Watch};
use super::negative_binomial::nb_cdf;
use super::waiting::DAYS_A_YEAR;
use crate::policy::Policy;
use crate::records::{Field, Plant, Record, folded};
use crate::standards::bearing;

/// A part that one or more models have.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedPart {
    /// Kind in words: bearing, seal, gear set, …
    pub kind: String,
    /// Designation or dimensions.
    pub name: String,
    /// Models that have it.
    pub models: Vec<String>,
    /// Running positions whose unit has it, in order.
    pub positions: Vec<usize>,
    /// Pieces that one repair takes, the most of any model.
    pub per_repair: f64,
    /// Repairs a year and position that take it.
    pub rate: Gamma,
    /// Resupply time (days).
    pub lead_days: f64,
    /// Expected repairs during a resupply.
    pub mean: f64,
    /// Pieces to hold.
    pub planned: f64,
    /// Pieces on the shelf.
    pub have: f64,
    /// Price of a piece.
    pub price: Option<f64>,
    /// Shelf lines that hold it.
    pub lines: Vec<usize>,
    /// What to know before one is taken for another.
    pub note: String,
}

impl SharedPart {
    /// Pieces to buy.
    #[must_use]
    pub fn buy(&self) -> f64 {
        (self.planned - self.have).max(0.0)
    }
}

/// What makes two parts one.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    /// A bearing's designation without what does not change its dimensions.
    Bearing(String),
    /// A seal's shaft, outside diameter and width in tenths of a millimetre; 7 and 8 mm of width are
    /// one for shafts of 32 to 40 mm.
    Seal(u32, u32, u32),
    /// Anything else by kind and designation, or by model and part.
    Named(String, String),
}

/// Three sizes such as `60x80x10`.
fn dimensions(text: &str) -> Option<[f64; 3]> {
    let low = text.to_lowercase().replace(['×', '*', '/'], "x").replace(" x ", "x");
    let sized = low.split_whitespace().find(|word| word.matches('x').count() == 2)?;
    let mut sizes = sized.split('x').map(|part| part.replace(',', ".").parse::<f64>().ok());
    Some([sizes.next()??, sizes.next()??, sizes.next()??])
}

/// The digits that name a bearing: the first word of four or five digits, with a bore behind a slash.
fn bearing_number(text: &str) -> Option<String> {
    text.split(|c: char| c.is_whitespace() || c == ',').find_map(|word| {
        let digits: String = word.chars().take_while(char::is_ascii_digit).collect();
        (3..=5)
            .contains(&digits.len())
            .then_some(digits)
            .filter(|_| !word.to_lowercase().contains('x'))
    })
}

/// Whether both widths of a seal are made for this shaft.
fn has_two_widths(shaft: f64, width: f64) -> bool {
    (32.0..=40.0).contains(&shaft) && (6.9..=8.1).contains(&width)
}

fn key_of(kind: &str, text: &str) -> Option<Key> {
    let tenths = |v: f64| (v * 10.0).round() as u32;
    let says = |words: &[&str]| words.iter().any(|w| kind.contains(w));
    if says(&["seal", "dichtring", "joint", "retén", "reten"]) {
        let [shaft, outside, width] = dimensions(text)?;
        let width = if has_two_widths(shaft, width) { 7.0 } else { width };
        return Some(Key::Seal(tenths(shaft), tenths(outside), tenths(width)));
    }
    if says(&["bearing", "lager", "roulement", "rodamiento", "cuscinetto"]) {
        return bearing_number(text).map(Key::Bearing);
    }
    None
}

impl Key {
    /// Of a row of the parts list.
    fn of_part(row: &Record) -> Option<Self> {
        let part = row.part()?;
        let kind = row.kind().unwrap_or(part).to_lowercase();
        let text = row.designation().unwrap_or("");
        if let Some(key) = key_of(&kind, text) {
            return Some(key);
        }
        let name = if text.is_empty() {
            format!("{part} of {}", row.model().unwrap_or("?"))
        } else {
            text.to_owned()
        };
        Some(Self::Named(kind, name))
    }

    /// Of a stock line that holds a part.
    fn of_line(row: &Record) -> Option<Self> {
        let text = row.part().or_else(|| row.description())?;
        key_of(&text.to_lowercase(), text)
    }

    fn words(&self) -> (String, String, String) {
        match self {
            Self::Bearing(digits) => {
                let dims = bearing(digits).map_or_else(String::new, |b| {
                    format!(" ({} x {} x {})", b.inside, b.outside, b.width)
                });
                let note = "suffixes such as C3 or 2RS must be those of the unit".to_owned();
                ("bearing".into(), format!("{digits}{dims}"), note)
            }
            Self::Seal(shaft, outside, width) => {
                let mm = |tenths: &u32| f64::from(*tenths) / 10.0;
                let two = has_two_widths(mm(shaft), mm(width));
                let width = if two { "7 or 8".to_owned() } else { mm(width).to_string() };
                let note = if two {
                    "widths 7 and 8 only where the seat takes both; same material and lip"
                } else {
                    "same material and lip"
                };
                ("seal".into(), format!("{} x {} x {width}", mm(shaft), mm(outside)), note.into())
            }
            Self::Named(kind, name) => (kind.clone(), name.clone(), String::new()),
        }
    }
}

/// Parts of the plant's models, and what lies in the store of them: the dearest shortage first.
pub(super) fn shared(plant: &Plant, policy: &Policy, watch: &Watch) -> Vec<SharedPart> {
    let of_model = positions_by_model(plant);
    let mut parts: BTreeMap<Key, SharedPart> = BTreeMap::new();
    for row in &plant.parts {
        let Some(key) = Key::of_part(row) else { continue };
        let part = parts.entry(key.clone()).or_insert_with(|| blank(&key));
        let model = row.model().unwrap_or("?");
        if !part.models.iter().any(|m| m == model) {
            part.models.push(model.to_owned());
        }
        let ratio = ratio_in(row);
        let fits = |at: &&usize| match (ratio, ratio_of(plant, **at)) {
            (Some(own), Some(fitted)) => (own / fitted - 1.0).abs() < SAME_RATIO,
            _ => true,
        };
        part.positions.extend(of_model.get(&folded(model)).into_iter().flatten().filter(fits));
        part.per_repair = part.per_repair.max(row.quantity_per_unit().unwrap_or(1.0));
        part.price = row.price().map(|p| part.price.map_or(p, |q: f64| q.max(p))).or(part.price);
        part.lead_days = part.lead_days.max(row.lead_time_days().unwrap_or(0.0));
    }
    for (line, shelf) in plant.shelf.iter().enumerate().filter(|(_, s)| s.knows(Field::part)) {
        let known = named_in(&shelf.record, &parts).or_else(|| Key::of_line(&shelf.record));
        let Some(key) = known else { continue };
        let part = parts.entry(key.clone()).or_insert_with(|| blank(&key));
        part.have += shelf.quantity().unwrap_or(0.0);
        part.price = part.price.or_else(|| shelf.unit_value());
        part.lines.push(line);
    }
    let mut out: Vec<SharedPart> =
        parts.into_values().map(|part| planned(plant, policy, watch, part)).collect();
    let short = |part: &SharedPart| part.buy() * part.price.unwrap_or(0.0);
    out.sort_by(|a, b| {
        short(b).total_cmp(&short(a)).then_with(|| (&a.kind, &a.name).cmp(&(&b.kind, &b.name)))
    });
    out
}

/// Ratios nearer than this are one: a list rounds.
const SAME_RATIO: f64 = 0.01;

/// The ratio that a row of the parts list is for: its own, or one that its words name as `i=30`.
fn ratio_in(row: &Record) -> Option<f64> {
    let named = |text: &str| {
        let low = text.to_lowercase().replace(" =", "=").replace("= ", "=");
        let digits = low
            .split("i=")
            .nth(1)?
            .split(|c: char| !(c.is_ascii_digit() || ".,".contains(c)))
            .next()?;
        digits.replace(',', ".").parse::<f64>().ok().filter(|r| *r > 0.0)
    };
    row.ratio().or_else(|| {
        [row.designation(), row.part(), row.model()].into_iter().flatten().find_map(named)
    })
}

fn ratio_of(plant: &Plant, position: usize) -> Option<f64> {
    let row = &plant.positions[position];
    row.ratio().or_else(|| plant.model_of(row.model).and_then(|m| m.ratio()))
}

fn blank(key: &Key) -> SharedPart {
    let (kind, name, note) = key.words();
    SharedPart {
        kind,
        name,
        note,
        models: Vec::new(),
        positions: Vec::new(),
        per_repair: 1.0,
        rate: Gamma { shape: 1.0, rate: 1e12 },
        lead_days: 0.0,
        mean: 0.0,
        planned: 0.0,
        have: 0.0,
        price: None,
        lines: Vec::new(),
    }
}

/// A part of the list whose designation a stock line holds, where it is none by dimensions.
fn named_in(line: &Record, parts: &BTreeMap<Key, SharedPart>) -> Option<Key> {
    let text = folded(line.part().or_else(|| line.description())?);
    parts
        .keys()
        .find(|key| matches!(key, Key::Named(_, name) if name.len() > 3 && text.contains(&folded(name))))
        .cloned()
}

/// Running positions by the name of their model.
fn positions_by_model(plant: &Plant) -> BTreeMap<String, Vec<usize>> {
    let mut out: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (at, position) in plant.positions.iter().enumerate().filter(|(_, p)| p.runs()) {
        let listed = plant.model_of(position.model).and_then(|m| m.model());
        if let Some(model) = listed.or_else(|| position.model()) {
            out.entry(folded(model)).or_default().push(at);
        }
    }
    out
}

/// The stock that meets the policy's level: repairs during a resupply, each taking its pieces.
fn planned(plant: &Plant, policy: &Policy, watch: &Watch, mut part: SharedPart) -> SharedPart {
    part.positions.sort_unstable();
    part.positions.dedup();
    if part.lead_days <= 0.0 {
        part.lead_days = policy.lead_days_to_100_kg;
    }
    part.lead_days *= policy.what_if_lead_times;
    let seen: Exposure = watch.repairs(plant, &part.kind);
    part.rate = noninformative(policy.part_rate_per_year).after(seen.events, seen.years);
    part.rate.rate /= policy.what_if_rates;
    let exposure = part.positions.len() as f64 * part.lead_days / DAYS_A_YEAR;
    part.mean = part.rate.mean() * exposure;
    // The chance that the next repair finds its pieces: P(D ≤ s − 1).
    let met = |s: &u32| nb_cdf(part.rate.shape, part.rate.rate, exposure, *s - 1);
    let repairs = (1..200_u32).find(|s| met(s) >= policy.part_service_level).unwrap_or(200);
    part.planned =
        if part.positions.is_empty() { 0.0 } else { f64::from(repairs) * part.per_repair };
    part
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_one_by_what_they_measure() {
        let seal = |text: &str| key_of("shaft seal", text);
        assert_eq!(seal("SHAFT SEAL 60X80X8"), seal("60 x 80 x 8").or(seal("60x80x8")));
        assert_ne!(seal("60x80x8"), seal("60x80x10"));
        // Both widths are made for shafts of 32 to 40 mm.
        assert_eq!(seal("40x62x7"), seal("40x62x8"));
        let bearing = |text: &str| key_of("bearing", text);
        assert_eq!(bearing("6210-2RS C3"), bearing("BALL BEARING 6210"));
        assert_ne!(bearing("6210"), bearing("30210"));
        assert_eq!(bearing("to drawing 7"), None);
    }
}
