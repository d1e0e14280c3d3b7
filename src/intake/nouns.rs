//! Words for units and for their parts, by their beginnings.

use super::headings::fold;

/// Parts of a unit, and what stands beside it.
#[rustfmt::skip]
pub(super) const PARTS: &[&str] = &[
    "seal", "bearing", "breather", "kit", "gearset", "plug", "filter", "shim", "bolt", "rolamento", "gasket", "key", "coupling", "shaft", "belt", "chain", "fan", "sensor", "motor", "brake", "pinion", "wheel", "impeller", "dichtung",
    "lager", "wälzlager", "kugellager", "rillenkugellager", "wellendichtring", "schneckenrad", "kupplung", "welle", "riemen", "passfeder", "joint", "roulement", "accouplement", "retén", "reten", "rodamiento",
    "engrenage", "oring", "spacer", "sleeve", "grease", "pignon", "ritzel", "piñon", "pignone", "acoplamiento", "cuscinett", "tenuta", "paraolio", "giunto",
];
/// The unit as a whole.
#[rustfmt::skip]
pub(super) const UNITS: &[&str] = &[
    "gearbox", "gear box", "gearmotor", "motoreduct", "motoréduct", "motorreduct", "motoridutt", "getriebemotor", "reducer", "gear unit", "unit", "getriebe", "réducteur", "reducteur", "reductor", "riduttore", "gbx",
];

/// Parts that also name the machine a unit drives: `chain conveyor gearbox`.
const OF_MACHINES: &[&str] = &["chain", "belt", "fan", "wheel", "pump"];

/// Whether a unit is named later on, and not only as what a part is for.
fn unit_follows(rest: &[&str]) -> bool {
    const FOR: [&str; 7] = ["for", "f", "für", "pour", "para", "per", "zu"];
    rest.iter()
        .take_while(|word| !FOR.contains(word))
        .any(|word| UNITS.iter().any(|begin| word.starts_with(begin)))
}

/// Whether a stock description names a part, not a unit: its first noun decides.
pub(super) fn names_a_part(text: &str) -> bool {
    let folded = fold(text);
    let words: Vec<&str> = folded.split(' ').collect();
    let begins = |word: &str, list: &[&str]| list.iter().any(|begin| word.starts_with(begin));
    // A shaft in front of other nouns is a part; one behind a size is how the unit ends.
    let first = (0..words.len()).find_map(|at| {
        let word = words[at];
        let mounted = words.get(at + 1).is_some_and(|next| next.starts_with("mount"));
        if (at > 0 || mounted) && (word.starts_with("shaft") || word.starts_with("welle")) {
            None
        } else if begins(word, UNITS) {
            Some(false)
        } else if begins(word, OF_MACHINES) && unit_follows(&words[at + 1..]) {
            None
        } else {
            begins(word, PARTS).then_some(true)
        }
    });
    first.unwrap_or(false)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_noun_says_whether_it_is_a_part() {
        for text in [
            "WORM AND WHEEL HX 80 I=30",
            "BALL BEARING 6310",
            "BREATHER 1/2 IN",
            "SHAFT SEAL 40X62X8",
            "SEAL KIT FOR GEARBOX HX140",
            "Kupplung 60 mm",
            "MOTOR 11KW 1460RPM",
            "Wellendichtring 60x80",
            "Oil seal for K7 gearbox",
            "Roulement 30215",
            "Belt for gearbox HX80",
            "Joint à lèvre 75x95x10",
        ] {
            assert!(names_a_part(text), "{text}");
        }
        for text in [
            "GBX HEL PAR 25:1 15KW 60MM SHFT",
            "WORM REDUCER 30:1 BORE 45",
            "GEARBOX HX140 W/ COUPLING",
            "HX 140 25:1",
            "GEAR UNIT 25:1 60MM SHAFT",
            "Getriebe mit Kupplung",
            "GEARMOTOR 11KW",
            "CHAIN CONVEYOR GEARBOX HX80",
            "SHAFT MOUNTED REDUCER HX80",
            "Motoréducteur 7,5 kW",
        ] {
            assert!(!names_a_part(text), "{text}");
        }
    }
}
