//! Reads type, ratio, power, speed, torque, shaft, flange and hand from a description, as store and
//! database exports write them: `GBX HEL PAR 25:1 15KW 60MM SHFT`, `REDUCER,SPEED;WORM;RATIO 30:1`.

use super::number::{self, Decimal, Quantity, plain};
use super::ratio;
use crate::findings::{Finding, name};
use crate::records::{Field, How, Record, Value};
use crate::standards::find_flange;
use crate::units::{Dimension, find_unit};

/// Words of descriptions: token, field, value. English, German, French, Spanish, Italian.
#[rustfmt::skip]
const TOKENS: &[(&str, Field, &str)] = &[
    ("HEL", Field::gear_train, "helical"), ("HELICAL", Field::gear_train, "helical"), ("HELIC", Field::gear_train, "helical"),
    ("STIRNRAD", Field::gear_train, "helical"), ("STIRNRADGETRIEBE", Field::gear_train, "helical"),
    ("WORM", Field::gear_train, "worm"), ("WRM", Field::gear_train, "worm"), ("SCHNECKE", Field::gear_train, "worm"),
    ("SCHNECKENGETRIEBE", Field::gear_train, "worm"), ("SINFIN", Field::gear_train, "worm"), ("SINFÍN", Field::gear_train, "worm"),
    ("BEV", Field::gear_train, "bevel-helical"), ("BEVEL", Field::gear_train, "bevel-helical"),
    ("BEVHEL", Field::gear_train, "bevel-helical"), ("BEVEL-HELICAL", Field::gear_train, "bevel-helical"),
    ("KEGELSTIRNRADGETRIEBE", Field::gear_train, "bevel-helical"), ("KEGELRADGETRIEBE", Field::gear_train, "bevel-helical"),
    ("HELICAL-WORM", Field::gear_train, "helical-worm"), ("PLANETARY", Field::gear_train, "planetary"),
    ("PLANETENGETRIEBE", Field::gear_train, "planetary"), ("PLAN", Field::gear_train, "planetary"), ("EPICYCLIC", Field::gear_train, "planetary"),
    ("SPUR", Field::gear_train, "spur"), ("CYCLO", Field::gear_train, "cycloidal"), ("CYCLOIDAL", Field::gear_train, "cycloidal"),
    ("HYPOID", Field::gear_train, "hypoid"),
    ("PAR", Field::axes, "parallel"), ("PARALLEL", Field::axes, "parallel"), ("PARSHFT", Field::axes, "parallel"),
    ("INL", Field::axes, "in-line"), ("INLINE", Field::axes, "in-line"), ("IN-LINE", Field::axes, "in-line"), ("COAX", Field::axes, "in-line"),
    ("RA", Field::axes, "right-angle"), ("R/A", Field::axes, "right-angle"), ("RTANG", Field::axes, "right-angle"), ("90DEG", Field::axes, "right-angle"),
    ("LH", Field::hand, "left"), ("L/H", Field::hand, "left"), ("LHAND", Field::hand, "left"), ("LINKS", Field::hand, "left"),
    ("RH", Field::hand, "right"), ("R/H", Field::hand, "right"), ("RHAND", Field::hand, "right"), ("RECHTS", Field::hand, "right"),
    ("FOOT", Field::mounting, "foot"), ("FTMTD", Field::mounting, "foot"), ("FEET", Field::mounting, "foot"), ("FUSS", Field::mounting, "foot"),
    ("SHFT-MTD", Field::mounting, "shaft"), ("SHAFT-MOUNTED", Field::mounting, "shaft"), ("AUFSTECK", Field::mounting, "shaft"),
    ("AUFSTECKGETRIEBE", Field::mounting, "shaft"), ("FLG", Field::mounting, "flange"), ("FLANGED", Field::mounting, "flange"),
    ("HOLLOW", Field::output_form, "hollow"), ("HLW", Field::output_form, "hollow"), ("HOHLWELLE", Field::output_form, "hollow"),
    ("SOLID", Field::output_form, "solid"), ("VOLLWELLE", Field::output_form, "solid"),
];

/// Words that say that the number beside them is the output's bore or shaft.
const SHAFT_WORDS: &[&str] = &[
    "SHFT",
    "SHAFT",
    "SH",
    "BORE",
    "DIA",
    "LSS",
    "WELLE",
    "HOHLWELLE",
    "ARBRE",
    "FORO",
    "ALESAGGIO",
    "AGUJERO",
    "ALESAGE",
    "ALÉSAGE",
    "EJE",
    "ALBERO",
];

/// Phrases of several words, and the one word that stands for them.
const PHRASES: &[(&str, &str)] = &[
    ("VITE SENZA FINE", "WORM"),
    ("VIS SANS FIN", "WORM"),
    ("SIN FIN", "WORM"),
    ("EJES PARALELOS", "PARALLEL"),
    ("ARBRES PARALLÈLES", "PARALLEL"),
    ("ARBRES PARALLELES", "PARALLEL"),
    ("ASSI PARALLELI", "PARALLEL"),
    ("ASSI ORTOGONALI", "RTANG"),
    ("RIGHT ANGLE", "RTANG"),
    ("RIGHT-ANGLE", "RTANG"),
    ("ORTOGONALE", "RTANG"),
    ("ORTOGONAL", "RTANG"),
    ("ARBRE CREUX", "HOLLOW BORE"),
    ("EJE HUECO", "HOLLOW BORE"),
    ("ALBERO CAVO", "HOLLOW BORE"),
];

/// Words that announce a ratio.
const RATIO_WORDS: &[&str] = &[
    "RATIO",
    "I",
    "RED",
    "REDUCTION",
    "UEBERSETZUNG",
    "ÜBERSETZUNG",
    "RAPPORT",
    "RELACION",
    "RELACIÓN",
    "RAPPORTO",
];

/// Words that say that the number behind them belongs to the output.
const OUTPUT_WORDS: &[&str] = &["OUT", "OUTPUT", "N2", "O/P"];

/// Fills what the row does not say itself from its description; one finding lists the values.
pub(super) fn fill(record: &mut Record) -> Option<Finding> {
    let entry = record.entry(Field::description)?;
    let (text, col) = (record.description()?.to_owned(), entry.col);
    let mut said = Vec::new();
    for (field, value) in read(&text) {
        if !record.knows(field) {
            said.push(format!("{} {value}", field.name()));
            record.set(field, value, How::FromText, col);
        }
    }
    (!said.is_empty()).then(|| {
        let place = record.place(Field::description);
        Finding::new(&name::FROM_TEXT, place, format!("from text: {}", said.join(", ")))
    })
}

/// Whether a text says anything about a unit, beyond words that any text may hold.
pub(super) fn speaks_of_a_unit(text: &str) -> bool {
    read(text)
        .iter()
        .any(|(field, _)| matches!(field, Field::ratio | Field::motor_power_kw | Field::gear_train))
}

/// What a description says, field by field.
fn read(text: &str) -> Vec<(Field, Value)> {
    let mut upper = plain(text).to_uppercase().replace('=', " ");
    for (phrase, word) in PHRASES {
        if upper.contains(phrase) {
            upper = upper.replace(phrase, word);
        }
    }
    let upper = commas_apart(&upper);
    let words: Vec<&str> = upper
        .split([' ', ';', '(', ')'])
        .map(|word| word.trim_end_matches(['.', ':']))
        .filter(|word| !word.is_empty())
        .collect();
    let mut found = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let around = Around {
            before: at.checked_sub(1).map_or("", |i| words[i]),
            after: words.get(at + 1).copied().unwrap_or_default(),
        };
        at += around.take(words[at], &mut found);
    }
    found
}

/// Blanks for the commas that separate; one between two digits is a decimal comma.
fn commas_apart(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let digit =
        |at: Option<usize>| at.and_then(|at| chars.get(at)).is_some_and(char::is_ascii_digit);
    let separates = |at: usize| !(digit(at.checked_sub(1)) && digit(Some(at + 1)));
    let apart = |(at, c): (usize, &char)| if *c == ',' && separates(at) { ' ' } else { *c };
    chars.iter().enumerate().map(apart).collect()
}

/// A word's neighbours.
struct Around<'a> {
    before: &'a str,
    after: &'a str,
}

impl Around<'_> {
    /// Reads a word, perhaps with the one after it; how many were read.
    fn take(&self, word: &str, found: &mut Vec<(Field, Value)>) -> usize {
        let text = |value: &str| Value::Text(value.into());
        if let Some((_, field, value)) = TOKENS.iter().find(|t| t.0 == word) {
            found.push((*field, text(value)));
        } else if find_flange(word).is_some() {
            found.push((Field::input_flange, text(word)));
        } else if is_c_face(word) {
            found.push((Field::motor_frame, text(word)));
        } else if let Some(ratio) = self.ratio(word) {
            found.push((Field::ratio, Value::Number(ratio)));
        } else if let Some(factor) = self.service_factor(word) {
            found.push((Field::listed_service_factor, Value::Number(factor)));
        } else if let Ok(bare) = number::read(word.trim_start_matches('Ø'), Decimal::Unknown) {
            let whole = number::read(&format!("{word} {}", self.after), Decimal::Unknown);
            let (quantity, words) = match whole {
                Ok(quantity) if bare.unit.is_none() && quantity.unit.is_some() => (quantity, 2),
                _ => (bare, 1),
            };
            found.extend(self.quantity(word, &quantity));
            return words;
        }
        1
    }

    fn ratio(&self, word: &str) -> Option<f64> {
        let announced = RATIO_WORDS.contains(&self.before);
        // `1/2 IN` is half an inch.
        let size = find_unit(self.after).is_some_and(|u| u.dimension == Dimension::Length);
        let slashed = !size && word.split_once('/').is_some_and(|(a, b)| (a == "1") != (b == "1"));
        if !(word.contains(':') || announced || slashed) {
            return None;
        }
        let read = ratio::parse(word, Decimal::Unknown)?;
        (read.value > 1.0 && read.value < 100_000.0).then_some(read.value)
    }

    fn service_factor(&self, word: &str) -> Option<f64> {
        let own = word.strip_prefix("SF").filter(|rest| !rest.is_empty());
        let digits = own.or_else(|| (self.before == "SF").then_some(word))?;
        digits.parse().ok().filter(|sf| (0.5..=5.0).contains(sf))
    }

    /// A number with a unit; a length only where a word beside it says that it is the shaft.
    fn quantity(&self, word: &str, quantity: &Quantity) -> Option<(Field, Value)> {
        let beside = SHAFT_WORDS.iter().any(|w| self.before == *w || self.after.starts_with(w));
        let is_shaft = beside || word.starts_with('Ø') || self.before == "Ø";
        let Some(unit) = quantity.unit else {
            // A bare number behind a diameter sign or a word for the shaft is in millimetres.
            let named = SHAFT_WORDS.contains(&self.before) && quantity.value >= 14.0;
            let whole = quantity.value.fract() == 0.0;
            let sign = (word.starts_with('Ø') || (named && whole))
                && (5.0..500.0).contains(&quantity.value);
            return sign.then_some((Field::output_shaft_mm, Value::Number(quantity.value)));
        };
        let output = OUTPUT_WORDS.contains(&self.before);
        let field = match unit.symbol {
            "kW" | "hp" | "PS" => Field::motor_power_kw,
            // No motor on a mains runs below this.
            "r/min" if output || quantity.value < 500.0 => Field::output_speed_rpm,
            "r/min" => Field::motor_speed_rpm,
            "N·m" | "kN·m" | "lbf·in" | "lbf·ft" => Field::rated_torque_nm,
            "kg" => Field::mass_kg,
            "mm" | "in" if is_shaft => Field::output_shaft_mm,
            _ => return None,
        };
        Some((field, Value::Number(unit.to_record(quantity.value))))
    }
}

/// A NEMA frame with a C-face: `256TC`, `56C`.
fn is_c_face(word: &str) -> bool {
    let digits = word.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let tail = &word[digits.len()..];
    (2..=3).contains(&digits.len())
        && digits.chars().all(|c| c.is_ascii_digit())
        && ["TC", "C", "TSC"].contains(&tail)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> String {
        let mut record = Record::default();
        record.set(Field::description, Value::Text(text.into()), How::Read, 3);
        fill(&mut record).map(|f| f.message).unwrap_or_default()
    }

    #[test]
    fn a_description_gives_what_it_says() {
        for (text, want) in [
            (
                "GBX HEL PAR 25:1 15KW 60MM SHFT",
                "gear_train helical, axes parallel, ratio 25, motor_power_kw 15, output_shaft_mm 60",
            ),
            (
                "REDUCER,SPEED;WORM;RATIO 30:1;RH;HOLLOW BORE 45 MM",
                "gear_train worm, ratio 30, hand right, output_form hollow, output_shaft_mm 45",
            ),
            (
                "Schneckengetriebe i=40 0,75 kW 1450 1/min Hohlwelle Ø35",
                "gear_train worm, ratio 40, motor_power_kw 0.75, motor_speed_rpm 1450, output_form hollow, output_shaft_mm 35",
            ),
            (
                "Bevel-helical RA 1/28 SF 1.5 OUT 52RPM 2.5KNM FF215 85KG",
                "gear_train bevel-helical, axes right-angle, ratio 28, listed_service_factor 1.5, output_speed_rpm 52, rated_torque_nm 2500, input_flange FF215, mass_kg 85",
            ),
            ("REDUCTOR SIN FIN I=30 EJE 28", "gear_train worm, ratio 30, output_shaft_mm 28"),
            (
                "Riduttore vite senza fine ortogonale foro 60 H7",
                "gear_train worm, axes right-angle, output_shaft_mm 60",
            ),
            // 20 × 0.745 699 871 58 kW and 2.375 × 25.4 mm, by hand.
            (
                "GEARBOX 20 HP 1750 RPM 256TC 2-3/8IN SHAFT",
                "motor_power_kw 14.913997432, motor_speed_rpm 1750, motor_frame 256TC, output_shaft_mm 60.325",
            ),
        ] {
            assert_eq!(said(text), format!("from text: {want}"), "{text}");
        }
    }

    #[test]
    fn sizes_and_dates_are_no_ratios() {
        for text in [
            "SEAL 60X80X10",
            "BOLT M16 x 60",
            "BOUGHT 12/05/2019",
            "BREATHER 1/2 IN",
            "SPARE FOR CV-101",
        ] {
            assert_eq!(said(text), "", "{text}");
        }
    }
}
