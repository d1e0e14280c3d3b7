//! Words that people use for the program's own.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::headings::fold;
use crate::records::Field;

/// Fields, and for each of their words what people write for it.
type Synonyms = (&'static [Field], &'static [(&'static str, &'static str)]);

/// Canonical word and what people write for it, per field.
#[rustfmt::skip]
const SYNONYMS: &[Synonyms] = &[
    (&[Field::axes], &[
        ("parallel", "parallèles;parallele;arbres parallèles;ejes paralelos;paralelos;assi paralleli;paralleli;parallelwellen;parallel shaft;parallel shafts;offset;parallel offset;par;parallel;parallelwelle"),
        ("in-line", "coassiale;coaxiale;coassiali;coaxial es;en línea;in linea;inline;in line;coaxial;concentric;koaxial;straight through"),
        ("right-angle", "ortogonale;ortogonali;ortogonal;ortogonales;orthogonal;orthogonale;angulaire;perpendiculaire;perpendicular;winkelgetriebe;winklig;a 90;right angle;ra;90;90 deg;90 degrees;bevel;angle;winkel;rechtwinklig"),
        ("crossed", "crossed;worm;cross axis;skew;right angle crossed"),
    ]),
    (&[Field::load_curve], &[
        ("constant-torque", "constant torque;ct;constant;konstant"),
        ("fan", "fan;variable torque;vt;quadratic;square;fan like;centrifugal"),
        ("constant-power", "constant power;cp;winder"),
    ]),
    (&[Field::holds_load], &[
        ("none", "none;no;n;nothing;level"),
        ("runs-back", "runs back;run back;incline;inclined;elevator;runs back when stopped"),
        ("overhauling", "overhauling;overhaul;decline;declined;downhill"),
        ("suspended", "suspended;hoist;hanging;crane;lift;winch"),
    ]),
    (&[Field::condition], &[
        ("ready", "nuovo;nuevo;neuf;neuve;revisionato;reparado;réparé;révisé;riparato;überholt;generalüberholt;wie neu;einsatzbereit;pronto;listo;prêt;ready;new;rebuilt;ok;good;overhauled;refurbished;serviceable;neu"),
        ("unproven", "usato;usado;gebraucht;occasion;d occasion;nicht geprüft;non verificato;sin revisar;unproven;used;unknown;not inspected;uninspected;second hand;?"),
        ("as-removed", "defective;bad;not ready;not ok;damaged;dead;do not use;quarantine;quarantined;cracked;da revisionare;rotto;guasto;averiado;roto;a reparar;defekt;kaputt;ausgebaut;hs;en panne;à réviser;à réparer;déposé;as removed;removed;to be rebuilt;to rebuild;for repair;defect;broken;failed;u s;unserviceable"),
        ("scrap", "scrapped;ausschuss;schrott;verschrottet;rebut;au rebut;desguace;chatarra;rottame;beyond repair;to be scrapped"),
    ]),
    (&[Field::load_class], &[
        ("U", "u;uniform;light;i;gleichmassig;gleichmäßig"), ("M", "m;moderate;medium;moderate shock;ii"),
        ("H", "h;heavy;heavy shock;iii;shock"),
    ]),
    (&[Field::consequence], &[
        ("people", "personas;personen;personnes;persone;seguridad;sicherheit;sécurité;sicurezza;people;safety;environment;a;safety critical;hse"),
        ("line", "hoch;alta;alto;élevée;elevee;haute;muy alta;kritisch;critica;critique;crítica;line;b;stops line;stops production;high;critical;production stop"),
        ("slow", "mittel;media;medio;moyenne;moyen;slow;c;reduced;reduced output;medium"),
        ("minor", "niedrig;gering;baja;bajo;bassa;basso;faible;minor;d;low;none;negligible"),
    ]),
    (&[Field::driver], &[
        ("motor", "motor;electric;electric motor;e motor;em;turbine;hydraulic motor"),
        ("multi-cylinder", "multi cylinder;diesel;diesel engine;engine;petrol engine;gas engine"),
        ("single-cylinder", "single cylinder;single cylinder engine"),
    ]),
    (&[Field::rating_basis], &[
        ("gear", "gear;gears;mechanical;gear rating;sf 1"), ("motor-limited", "motor limited;motor;motor torque"),
        ("listed", "listed;catalogue;at service factor"), ("iso-6336", "iso 6336;iso6336"),
    ]),
    (&[Field::output_form], &[
        ("solid", "arbre plein;eje macizo;macizo;albero pieno;albero sporgente;pieno;plein;keyed shaft;solid keyed;solid;solid shaft;s;shaft;vollwelle"), ("hollow", "arbre creux;creux;eje hueco;hueco;albero cavo;cavo;hollow;hollow shaft;hollow bore;bore;keyed hollow;hohlwelle;hollow keyed"),
        ("hollow-shrink-disc", "frette;frette de serrage;aro de contracción;disco de contracción;calettatore;hollow shrink disc;shrink disc;shrink disk;schrumpfscheibe"), ("flange", "flange;flanged"),
    ]),
    (&[Field::input_connection, Field::output_connection], &[
        ("coupling", "accouplement;acoplamiento;giunto;coupling;flexible coupling;coupled;direct coupling;kupplung;cplg;fluid coupling;shaft"),
        ("flange", "flange;direct;motor flange;direct flange;flanged motor;gearmotor;geared motor;integral;flanged"),
        ("v-belt", "courroie;courroies trapézoïdales;correa;correas trapezoidales;cinghia;cinghie trapezoidali;v belt;belt;vee belt;v belts;keilriemen;belts;vbelt;vee belts"), ("flat-belt", "flat belt"),
        ("timing-belt", "timing belt;toothed belt"), ("chain", "chaîne;cadena;catena;chain;roller chain;kette;chain drive;sprocket"),
        ("pinion", "pinion;open gear;gear"),
    ]),
    (&[Field::mounting], &[
        ("foot", "base mounted;base mount;pattes;à pattes;patas;con patas;piedi;con piedi;füße;fuss;fußausführung;pieds;foot;feet;foot mounted;base;b3;foot mount;fuss;fuß"), ("flange", "bride;à bride;brida;con brida;flangia;con flangia;flansch;flanschausführung;flange;flange mounted;b5;b14;flanged"),
        ("foot-flange", "foot flange;foot and flange;b35"),
        ("shaft", "arbre creux;eje hueco;albero cavo;pendular;pendolare;aufsteckausführung;hohlwelle;flottant;shaft;shaft mounted;torque arm;aufsteck;shaft mount;hollow shaft"),
    ]),
    (&[Field::hand], &[
        ("left", "gauche;izquierda;sinistra;left;l;lh;left hand;links"), ("right", "droite;derecha;destra;right;r;rh;right hand;rechts"), ("both", "both;double;lr;both sides"),
    ]),
    (&[Field::rotation, Field::input_rotation, Field::back_stop], &[
        ("cw", "cw;clockwise;right;rechts;free cw;c w"),
        ("ccw", "ccw;counter clockwise;counterclockwise;anticlockwise;acw;left;links;free ccw;anti clockwise"),
        ("both", "both;either;reversible;reversing;bidirectional;beide;reversierend"), ("none", "none;no;n;without;not fitted;ohne;nil;removed;taken out"),
        ("yes", "yes;y;fitted;with;ja;x;present;internal;external;built in;oui;si;sì;sí"),
    ]),
    (&[Field::event], &[
        ("exchange", "exchange;exchanged;unit exchanged;unit exchange;replaced;unit replaced;gearbox replaced;changed;swap;swapped;replacement;gearbox changed;getriebe getauscht;change out;reducer changed;unit changed"),
        ("repair", "repair;repaired;rebuilt;overhaul;repaired in place;reparatur"),
        ("part", "part;part replaced;bearing replaced;seal replaced;seal;bearing;parts replaced;seal change;bearing change"),
        ("adjust", "adjust;adjusted;adjustment;aligned;alignment;oil change;oil;breather;lubrication;topped up oil;oil top up"),
        ("inspect", "inspect;inspected;inspection;check;checked"),
    ]),
    (&[Field::ruling], &[
        ("allowed", "released;freigegeben;autorisé;permitido;consentito;zulässig;allowed;yes;ok;proven;approved;y;allow"), ("never", "gesperrt;interdit;prohibido;vietato;nicht zulässig;never;no;forbidden;not allowed;not permitted;not approved;n;do not use;prohibited"),
    ]),
    (&[Field::status], &[
        ("current", "current;active;available;standard;in production"),
        ("discontinued", "discontinued;obsolete;end of life;eol;withdrawn;no longer made;inactive"),
    ]),
    (&[Field::position_state], &[
        ("running", "in betrieb;en service;en servicio;in servizio;good;ok;running;run;in service;in use;active;yes;on"), ("idle", "stillgelegt;hors service;fuera de servicio;fuori servizio;idle;standby;mothballed;stopped;spare position;off"),
        ("retired", "scrapped;scrap;dismantled;demolished;verschrottet;rebut;desguazado;demolito;retired;decommissioned;out of service;removed;dead"),
    ]),
    (&[Field::air], &[
        ("confined", "confined;small room;closed;enclosed;still"), ("indoor", "indoor;inside;hall;large hall;indoors;large indoor"),
        ("forced", "forced;fan;ventilated;blown"), ("outdoor", "outdoor;outside;sun;outdoors;open air"),
    ]),
    (&[Field::absorbed_taken_at], &[
        ("output", "output;machine;at machine;driven shaft"), ("input", "input;motor;electrical;amps;at motor"),
        ("peak", "peak;maximum;max"),
    ]),
    (&[Field::start_kind], &[
        ("direct", "direct;dol;direct on line;direct online;across the line"), ("soft", "soft;soft start;soft starter;star delta;fluid coupling"),
        ("inverter", "inverter;vfd;vsd;fu;frequency converter"),
    ]),
    (&[Field::limiter], &[
        ("overload-relay", "overload relay;relay;thermal relay"), ("inverter", "inverter;vfd;vsd"), ("feed-rate", "feed rate;feeder"),
        ("timer", "timer"), ("shear-pin", "shear pin"), ("torque-limiter", "torque limiter;slip clutch"),
        ("fluid-coupling", "fluid coupling"), ("none", "none;no"),
    ]),
];

/// The words by what people write, folded once; one map for each line of the synonyms.
static BY_TEXT: LazyLock<Vec<BTreeMap<String, (&'static str, bool)>>> = LazyLock::new(|| {
    let map = |(_, words): &Synonyms| {
        let synonyms = words
            .iter()
            .flat_map(|(word, synonyms)| synonyms.split(';').map(|s| (fold(s), (*word, true))));
        let own = words.iter().map(|(word, _)| (fold(word), (*word, false)));
        // A word stands for itself, whatever else it is a synonym of.
        synonyms.chain(own).collect()
    };
    SYNONYMS.iter().map(map).collect()
});

/// A word understood.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct WordRead {
    /// The program's own word.
    pub(super) word: &'static str,
    /// Whether the text was a letter or another word, worth a note.
    pub(super) mapped: bool,
}

/// The program's own word for `text` in `field`.
pub(super) fn read(field: Field, text: &str) -> Option<WordRead> {
    let at = SYNONYMS.iter().position(|(fields, _)| fields.contains(&field))?;
    let folded = fold(text);
    // What is direct at the output may be a flange or a coupling.
    if field == Field::output_connection && folded == "direct" {
        return None;
    }
    match BY_TEXT[at].get(&folded) {
        Some(&(word, mapped)) => Some(WordRead { word, mapped }),
        // What was done is told by whole sentences.
        None if field == Field::event => None,
        None => among_others(&BY_TEXT[at], &folded).map(|word| WordRead { word, mapped: true }),
    }
}

/// The one word that a longer text holds: `Overhauled, tested`, `coupling (flex.)`.
fn among_others(
    words: &BTreeMap<String, (&'static str, bool)>,
    folded: &str,
) -> Option<&'static str> {
    /// Words that turn what stands beside them round, or put it off.
    #[rustfmt::skip]
    const TURNS: [&str; 33] = [
        "not", "no", "non", "nicht", "kein", "keine", "ohne", "without", "never", "sans", "pas", "ne", "sin", "senza", "to", "be", "needs", "need", "before",
        "await", "awaiting", "requires", "required", "zu", "wird", "à", "da", "por", "was", "former", "old", "until", "if",
    ];
    /// Shorter words hide in texts by chance.
    const SHORTEST: usize = 3;
    /// A longer text is a remark.
    const MOST_WORDS: usize = 6;
    let told: Vec<&str> = folded.split(' ').collect();
    if told.len() < 2 || told.len() > MOST_WORDS || told.iter().any(|w| TURNS.contains(w)) {
        return None;
    }
    let spaced = format!(" {folded} ");
    let held = |known: &str| known.len() >= SHORTEST && spaced.contains(&format!(" {known} "));
    let mut found: Vec<&'static str> =
        words.iter().filter(|(known, _)| held(known)).map(|(_, (word, _))| *word).collect();
    found.sort_unstable();
    found.dedup();
    match found[..] {
        [one] => Some(one),
        // `Yes - CCW` says more than yes.
        [one, "yes"] | ["yes", one] => Some(one),
        _ => None,
    }
}

/// The words that `field` may hold, for messages.
pub(super) fn allowed(field: Field) -> String {
    SYNONYMS
        .iter()
        .find(|(fields, _)| fields.contains(&field))
        .map(|(_, words)| words.iter().map(|w| w.0).collect::<Vec<_>>().join(", "))
        .unwrap_or_default()
}

/// Yes or no.
pub(super) fn flag(text: &str) -> Option<bool> {
    const YES: &str = "yes y ja j oui o si sì sí true wahr x 1 fitted required allowed";
    const NO: &str = "no n nein non false falsch 0 none not without ohne";
    let low = fold(text);
    let word = low.split(' ').next().unwrap_or_default();
    if YES.split(' ').any(|w| w == word) {
        Some(true)
    } else if NO.split(' ').any(|w| w == word) {
        Some(false)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Kind;

    #[test]
    fn every_word_field_has_synonyms_for_each_of_its_words() {
        for field in Field::ALL {
            let Kind::Word(words) = field.kind() else { continue };
            for word in words {
                assert_eq!(
                    read(*field, word).map(|w| w.word),
                    Some(*word),
                    "{} {word}",
                    field.name()
                );
            }
        }
    }

    #[test]
    fn a_longer_text_means_the_one_word_it_holds() {
        let word = |field, text: &str| read(field, text).map(|w| w.word);
        assert_eq!(word(Field::condition, "Overhauled, tested"), Some("ready"));
        assert_eq!(word(Field::condition, "New in box"), Some("ready"));
        assert_eq!(word(Field::condition, "to be overhauled"), None);
        assert_eq!(word(Field::condition, "not ready"), Some("as-removed"));
        assert_eq!(word(Field::condition, "new, but cracked"), None);
        assert_eq!(word(Field::output_connection, "coupling (flex.)"), Some("coupling"));
        assert_eq!(word(Field::output_connection, "Direct"), None);
        assert_eq!(word(Field::position_state, "scrapped 2019"), Some("retired"));
        assert_eq!(word(Field::ruling, "ok for 4 weeks"), None);
    }

    #[test]
    fn no_synonym_stands_for_two_words_of_a_field() {
        for (fields, words) in SYNONYMS {
            let mut seen = std::collections::BTreeMap::new();
            for (word, synonyms) in *words {
                for synonym in synonyms.split(';') {
                    let before = seen.insert(fold(synonym), word);
                    assert!(before.is_none_or(|b| b == word), "{fields:?}: {synonym}");
                }
            }
        }
    }
}
