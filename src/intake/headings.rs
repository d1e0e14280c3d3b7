//! What a heading means: its field and its unit.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use unicode_normalization::UnicodeNormalization;

use super::{composed, money};
use crate::records::{Field, Kind, Table};
use crate::units::{Dimension, Unit, find_unit};

/// A heading understood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Heading {
    /// The field it means.
    pub(super) field: Field,
    /// The unit written in it.
    pub(super) unit: Option<Unit>,
    /// How sure, from 0 to 1.
    pub(super) score: f64,
    /// Where absorbed power is taken, if the heading says so.
    pub(super) taken_at: Option<&'static str>,
    /// The currency written in it.
    pub(super) currency: Option<&'static str>,
}

/// The vocabulary by language; English first, which wins where words are shared.
const FILES: [&str; 6] = [
    include_str!("data/headings.txt"),
    include_str!("data/headings-db.txt"),
    include_str!("data/headings-de.txt"),
    include_str!("data/headings-fr.txt"),
    include_str!("data/headings-es.txt"),
    include_str!("data/headings-it.txt"),
];

/// Headings by their folded text, and by the same with abbreviations spelled out.
#[derive(Default)]
struct Vocabulary {
    folded: BTreeMap<String, Vec<Field>>,
    spelled: BTreeMap<String, Vec<Field>>,
}

/// Headings of each kind of table, by folded text.
static VOCABULARY: LazyLock<BTreeMap<Table, Vocabulary>> = LazyLock::new(|| {
    let mut all: BTreeMap<Table, Vocabulary> = BTreeMap::new();
    for table in Table::ALL {
        let words = all.entry(table).or_default();
        for field in table.fields() {
            add(words, &fold(field.heading()), field);
            add(words, &fold(&strip_unit(&field.name().replace('_', " ")).0), field);
        }
    }
    for line in FILES.iter().flat_map(|f| f.lines()).filter(|l| !l.starts_with('#')) {
        let mut parts = line.splitn(3, '|').map(str::trim);
        let (Some(field), Some(tables), Some(headings)) =
            (parts.next(), parts.next(), parts.next())
        else {
            continue;
        };
        let Some(field) = Field::find(field) else { continue };
        for table in Table::ALL {
            let meant = tables.is_empty() || tables.split(',').any(|t| t.trim() == table.word());
            if meant && table.fields().contains(&field) {
                let words = all.entry(table).or_default();
                headings.split(';').for_each(|heading| add(words, &fold(heading), field));
            }
        }
    }
    all
});

fn add(words: &mut Vocabulary, heading: &str, field: Field) {
    if heading.is_empty() {
        return;
    }
    for (map, key) in
        [(&mut words.folded, heading.to_owned()), (&mut words.spelled, spelled_out(heading))]
    {
        let fields = map.entry(key).or_default();
        if !fields.contains(&field) {
            fields.push(field);
        }
    }
}

/// Abbreviations inside headings.
const SHORT: &[(&str, &str)] = &[
    ("pwr", "power"),
    ("mtr", "motor"),
    ("mot", "motor"),
    ("spd", "speed"),
    ("dia", "diameter"),
    ("diam", "diameter"),
    ("ø", "diameter"),
    ("qty", "quantity"),
    ("no", "number"),
    ("nr", "number"),
    ("hrs", "hours"),
    ("hr", "hours"),
    ("temp", "temperature"),
    ("wt", "weight"),
    ("mfr", "maker"),
    ("eff", "efficiency"),
    ("max", "maximum"),
    ("min", "minimum"),
    ("conn", "connection"),
    ("desc", "description"),
    ("inst", "installed"),
    ("loc", "location"),
    ("insp", "inspected"),
    ("abs", "absorbed"),
    ("out", "output"),
    ("outp", "output"),
    ("inp", "input"),
    ("nom", "nominal"),
    ("equip", "equipment"),
    ("crit", "criticality"),
    ("cl", "class"),
    ("per", ""),
    ("of", ""),
    ("the", ""),
    ("a", ""),
    ("gearbox", "unit"),
    ("gbx", "unit"),
    ("reducer", "unit"),
    ("in", "input"),
];

/// Lower case words without punctuation.
pub(super) fn fold(text: &str) -> String {
    if text.is_ascii() {
        return fold_chars(text.chars());
    }
    fold_chars(text.nfkc())
}

fn fold_chars(text: impl Iterator<Item = char>) -> String {
    let mut spaced = String::new();
    // `MotorPower` is two words, `kW` is one.
    let mut small = 0;
    for c in text {
        if c.is_uppercase() && small >= 2 {
            spaced.push(' ');
        }
        small = if c.is_lowercase() { small + 1 } else { 0 };
        if c.is_alphanumeric() || c == 'ø' {
            spaced.extend(c.to_lowercase());
        } else {
            spaced.push(' ');
        }
    }
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn spelled_out(folded: &str) -> String {
    let word =
        |w: &str| SHORT.iter().find(|s| s.0 == w).map_or_else(|| w.to_owned(), |s| s.1.to_owned());
    folded.split(' ').map(word).filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// Takes the unit off a heading: in brackets, after a comma, or its last word.
pub(super) fn strip_unit(heading: &str) -> (String, Option<Unit>) {
    let text = heading.trim().trim_end_matches([':', ' ']);
    for (open, close) in [('[', ']'), ('(', ')'), ('{', '}')] {
        if let Some(start) = text.rfind(open) {
            let inner = text[start + open.len_utf8()..].trim_end_matches([close, ' ']);
            let inner = inner.trim_start_matches("in ");
            if let Some(unit) = find_unit(inner) {
                let after = text[start..].find(close).map_or("", |end| &text[start + end + 1..]);
                return (format!("{} {after}", &text[..start]), Some(unit));
            }
        }
    }
    for cut in [", ", ",", " / ", " in "] {
        if let Some((head, tail)) = text.rsplit_once(cut)
            && let Some(unit) = find_unit(tail)
        {
            return (head.to_owned(), Some(unit));
        }
    }
    if let Some((head, tail)) = text.rsplit_once([' ', '_'])
        && let Some(unit) = find_unit(tail)
        && !head.trim().is_empty()
        // `speed in` or `output t` are no inches and no tonnes.
        && (tail.len() > 1 || !tail.chars().all(|c| "ctfhvnlwd".contains(c.to_ascii_lowercase())))
    {
        return (head.to_owned(), Some(unit));
    }
    (text.to_owned(), find_unit(text))
}

/// The unit written in a heading, if `field` can be in it.
pub(super) fn unit_for(heading: &str, field: Field) -> Option<Unit> {
    let Kind::Number(dimension) = field.kind() else { return None };
    strip_unit(heading).1.filter(|u| crate::intake::number::same_family(u.dimension, dimension))
}

/// What `heading` means in a table of kind `table`, typing errors forgiven.
pub(super) fn understand(heading: &str, table: Table) -> Option<Heading> {
    known(heading, table).or_else(|| look(heading, table, typing_error))
}

/// What `heading` means in a table of kind `table`, spelled as it is.
pub(super) fn known(heading: &str, table: Table) -> Option<Heading> {
    look(heading, table, look_up)
}

/// Every meaning that `heading` could have in a table of kind `table`, likeliest first.
pub(super) fn alternatives(heading: &str, table: Table) -> Vec<Field> {
    let flat = heading.replace(['\n', '\r'], " ");
    for (bare, unit) in spellings(&flat) {
        for (fields, _) in look_up(&fold(&bare), table, unit.is_some()) {
            let fitting: Vec<Field> = fields.into_iter().filter(|f| can_be_in(*f, unit)).collect();
            if !fitting.is_empty() {
                return fitting;
            }
        }
    }
    Vec::new()
}

/// Finds the fields that a folded heading may mean, the surest first, each list with its score.
type LookUp = fn(&str, Table, bool) -> Vec<(Vec<Field>, f64)>;

fn look(heading: &str, table: Table, look_up: LookUp) -> Option<Heading> {
    let flat = heading.replace(['\n', '\r'], " ");
    let (bare, currency) = money::strip(&flat);
    if let Some(bare) = bare
        && let Some(found) = look_bare(&bare, table, look_up)
        && found.field.kind() == Kind::Number(Dimension::Money)
    {
        return Some(Heading { currency, ..found });
    }
    look_bare(&flat, table, look_up)
}

fn look_bare(flat: &str, table: Table, look_up: LookUp) -> Option<Heading> {
    spellings(flat).into_iter().find_map(|(bare, unit)| with_unit(&bare, unit, table, look_up))
}

/// The ways to part a heading into words and unit, the likeliest first.
fn spellings(flat: &str) -> Vec<(String, Option<Unit>)> {
    // `% load` is a share, not a load.
    if let Some(share) = unit_inside(flat).filter(|_| flat.split_whitespace().any(|w| w == "%")) {
        return vec![share];
    }
    let (bare, unit) = strip_unit(flat);
    let mut ways = Vec::new();
    if unit.is_none() {
        ways.extend(unit_inside(flat));
    }
    ways.extend([(bare, unit), (flat.to_owned(), unit), (flat.to_owned(), None)]);
    // What stands in brackets and is no unit only explains: `Criticality (1-4)`.
    if let Some((before, _)) =
        flat.trim_end().strip_suffix([')', ']']).and_then(|t| t.rsplit_once(['(', '[']))
        && !before.trim().is_empty()
    {
        ways.push(strip_unit(before));
    }
    ways
}

/// A unit among the words: `Absorbed kW at motor`, `Overhung load output N`.
fn unit_inside(flat: &str) -> Option<(String, Option<Unit>)> {
    let words: Vec<&str> = flat.split_whitespace().collect();
    let is_unit = |word: &&str| {
        let bare = word.trim_matches(['(', ')', '[', ']', ',']);
        bare == "N" || bare == "%" || (bare.len() > 1 && bare != "in" && find_unit(bare).is_some())
    };
    let at = words.iter().rposition(is_unit).filter(|_| words.len() > 1)?;
    let unit = find_unit(words[at]);
    let rest: Vec<&str> =
        words.iter().enumerate().filter(|(n, _)| *n != at).map(|(_, w)| *w).collect();
    Some((rest.join(" "), unit))
}

/// Whether a column of `field` may be in `unit`.
fn can_be_in(field: Field, unit: Option<Unit>) -> bool {
    match (unit, field.kind()) {
        (Some(unit), Kind::Number(dimension)) => {
            crate::intake::number::same_family(unit.dimension, dimension)
        }
        (Some(_), Kind::Ratio) | (None, _) => true,
        // `Foot holes [mm]` is text with a unit, `Drive kW` is no drive's name.
        (Some(_), Kind::Text) => field.name().ends_with("_mm") || field.name().ends_with("_hz"),
        (Some(_), _) => false,
    }
}

/// The unit of force that is named as one of mass.
fn as_force(mass: Unit) -> Option<Unit> {
    match mass.symbol {
        "lb" => find_unit("lbf"),
        "kg" => find_unit("kgf"),
        _ => None,
    }
}

fn with_unit(bare: &str, unit: Option<Unit>, table: Table, look_up: LookUp) -> Option<Heading> {
    let folded = fold(bare);
    // `OHL (lbs)`: a load in units of mass is one in units of force.
    if let Some(force) = unit.filter(|u| u.dimension == Dimension::Mass).and_then(as_force)
        && let Some(found) = with_unit(bare, Some(force), table, look_up)
        && found.field.kind() == Kind::Number(Dimension::Force)
    {
        return Some(found);
    }
    let (field, score) =
        look_up(&folded, table, unit.is_some()).into_iter().find_map(|(fields, score)| {
            Some((fields.into_iter().find(|f| can_be_in(*f, unit))?, score))
        })?;
    let taken_at = (field == Field::absorbed_power_kw).then(|| where_taken(&folded)).flatten();
    let unit = unit.filter(|_| matches!(field.kind(), Kind::Number(_)));
    Some(Heading { field, unit, score, taken_at, currency: None })
}

fn where_taken(folded: &str) -> Option<&'static str> {
    let has = |word: &str| folded.split(' ').any(|w| w == word);
    if has("max") || has("maximum") || has("peak") {
        Some("peak")
    } else if has("input") || has("motor") || has("electrical") || has("amps") || has("measured") {
        Some("input")
    } else {
        None
    }
}

fn look_up(folded: &str, table: Table, has_unit: bool) -> Vec<(Vec<Field>, f64)> {
    if folded.is_empty() {
        return Vec::new();
    }
    let words = &VOCABULARY[&table];
    let mut found = Vec::new();
    found.extend(words.folded.get(folded).map(|fields| (fields.clone(), 1.0)));
    found.extend(words.spelled.get(&spelled_out(folded)).map(|fields| (fields.clone(), 0.95)));
    found.push((composed::meanings(folded, table, has_unit), 0.9));
    if folded.contains("absorbed") {
        found.extend(words.folded.get("absorbed power").map(|fields| (fields.clone(), 0.9)));
    }
    found
}

/// The heading nearest to one that was typed wrong.
fn typing_error(folded: &str, table: Table, _: bool) -> Vec<(Vec<Field>, f64)> {
    if folded.chars().count() < 6 || folded.chars().any(|c| c.is_ascii_digit()) {
        return Vec::new();
    }
    let likest = VOCABULARY[&table]
        .folded
        .iter()
        .map(|(known, fields)| (strsim::normalized_damerau_levenshtein(known, folded), fields))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .filter(|(likeness, _)| *likeness >= 0.88);
    likest.into_iter().map(|(likeness, fields)| (fields.clone(), likeness)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(heading: &str, table: Table) -> String {
        understand(heading, table).map_or_else(
            || "?".into(),
            |h| format!("{} {}", h.field.name(), h.unit.map_or("", |u| u.symbol)).trim().to_owned(),
        )
    }

    #[test]
    fn headings_are_known_as_people_write_them() {
        let fleet = |h: &str| field(h, Table::Fleet);
        assert_eq!(fleet("Motor Power [kW]"), "motor_power_kw kW");
        assert_eq!(fleet("Motor HP"), "motor_power_kw hp");
        assert_eq!(fleet("motor_power_kw"), "motor_power_kw kW");
        assert_eq!(fleet("Mtr Pwr (kW)"), "motor_power_kw kW");
        assert_eq!(fleet("TAG NO."), "tag");
        assert_eq!(fleet("Hours per day"), "hours_per_day");
        assert_eq!(fleet("Run hours"), "hours_per_day h");
        assert_eq!(fleet("Übersetzung"), "ratio");
        assert_eq!(fleet("Output shaft Ø [mm]"), "output_shaft_mm mm");
        assert_eq!(fleet("Absorbed power at motor, kW"), "absorbed_power_kw kW");
        assert_eq!(fleet("Telephone"), "?");
        assert_eq!(field("Qty", Table::Parts), "quantity_per_unit");
        assert_eq!(field("Bin location", Table::Shelf), "bin");
    }

    #[test]
    fn every_line_of_the_vocabulary_names_a_field() {
        for line in FILES.iter().flat_map(|f| f.lines()).filter(|l| !l.starts_with('#')) {
            let name = line.split('|').next().unwrap_or_default().trim();
            assert!(Field::find(name).is_some(), "`{name}` is no field");
        }
    }
}
