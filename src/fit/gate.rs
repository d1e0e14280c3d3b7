//! The gates and what one says.

use super::work::Work;
use crate::findings::{Place, is_brief};
use crate::records::Field;

macro_rules! gates {
    ($($name:ident $word:literal;)*) => {
        /// One test of a fit.
        #[allow(missing_docs)] // the words say it
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Gate { $($name),* }

        impl Gate {
            /// Every gate, in the order printed.
            pub const ALL: &'static [Self] = &[$(Self::$name),*];
            /// The word printed and used in JSON.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$name => $word),* }
            }
        }
    };
}

gates! {
    Axes "axes"; Seat "seat"; OutputFit "output-fit"; InputFit "input-fit"; Speed "speed";
    Sense "sense"; Strength "strength"; Peak "peak"; Heat "heat"; Overhang "overhang";
    TopSpeed "top-speed"; Orientation "orientation"; BackStop "back-stop"; Holding "holding";
    Condition "condition"; LineUp "line-up"; Room "room"; Zone "zone";
    Surroundings "surroundings"; Oil "oil";
}

impl Gate {
    /// What of the machine it looks at, for who does not know the gates.
    #[must_use]
    pub const fn part(self) -> &'static str {
        match self {
            Self::Seat => "feet or flange",
            Self::OutputFit => "output shaft",
            Self::InputFit => "motor side",
            Self::Sense => "sense of rotation",
            Self::Peak => "momentary peak",
            Self::Overhang => "pull on the shaft",
            Self::TopSpeed => "top speed",
            Self::Orientation => "mounting position",
            Self::Holding => "what holds the load",
            Self::LineUp => "shaft line",
            Self::Zone => "explosion protection",
            _ => self.word(),
        }
    }
}

/// What a gate says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GateOutcome {
    /// Fits.
    Pass,
    /// Fits after the work listed.
    Mend,
    /// Runs only below a stated load, hours or speed.
    Limit,
    /// Compares well, but a responsible person must decide.
    Refer,
    /// A field is missing.
    Unknown,
    /// Does not fit.
    Fail,
}

impl GateOutcome {
    /// The word printed and used in JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Mend => "mend",
            Self::Limit => "limit",
            Self::Refer => "refer",
            Self::Unknown => "unknown",
            Self::Fail => "fail",
        }
    }
}

/// One side of a comparison.
#[derive(Clone, Debug, PartialEq, Default)]
pub enum Side {
    /// Not known.
    #[default]
    Unknown,
    /// A number in the gate's unit.
    Number(f64),
    /// A word or size.
    Text(String),
}

impl Side {
    /// A number that may be missing.
    #[must_use]
    pub fn number(value: Option<f64>) -> Self {
        value.map_or(Self::Unknown, Self::Number)
    }

    /// A text that may be missing.
    #[must_use]
    pub fn text(value: Option<&str>) -> Self {
        value.filter(|_| !is_brief()).map_or(Self::Unknown, |text| Self::Text(text.to_owned()))
    }
}

impl std::fmt::Display for Side {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Unknown => f.write_str("?"),
            Self::Number(n) if n.abs() >= 100.0 => write!(f, "{n:.0}"),
            Self::Number(n) => write!(f, "{}", (n * 100.0).round() / 100.0),
            Self::Text(text) => f.write_str(text),
        }
    }
}

/// What a limit bounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LimitKind {
    /// Power at the output (kW).
    Power,
    /// Hours a day.
    Hours,
    /// Output speed (r/min).
    Speed,
    /// Torque to set (N·m).
    Torque,
    /// Minutes in each hour.
    Minutes,
}

/// A bound below which a stop-gap may run.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// What is bounded.
    pub kind: LimitKind,
    /// The bound.
    pub value: f64,
    /// In words, with what holds it.
    pub text: String,
}

/// Something to measure or read before anyone can say.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// The field that would settle it.
    pub field: Field,
    /// Where it would be entered.
    pub place: Place,
    /// What to look at, in words.
    pub text: String,
}

/// What one gate says of one pair, with the two sides compared.
#[derive(Clone, Debug, PartialEq)]
pub struct GateResult {
    /// Which gate.
    pub gate: Gate,
    /// What it says.
    pub outcome: GateOutcome,
    /// What the candidate has.
    pub have: Side,
    /// What the position needs.
    pub need: Side,
    /// Unit of both sides.
    pub unit: &'static str,
    /// In words.
    pub note: String,
    /// The cells compared.
    pub cells: Vec<Place>,
    /// Work that mends it.
    pub work: Vec<Work>,
    /// Bounds below which it holds.
    pub limits: Vec<Limit>,
    /// What to measure.
    pub measure: Vec<Measure>,
    /// What to confirm on the machine although the gate decides without it.
    pub confirm: Vec<String>,
    /// Whether a default or assumption took part.
    pub assumed: bool,
}

impl GateResult {
    /// A result without anything more to say.
    #[must_use]
    pub fn new(gate: Gate, outcome: GateOutcome, note: impl Into<String>) -> Self {
        Self {
            gate,
            outcome,
            have: Side::Unknown,
            need: Side::Unknown,
            unit: "",
            note: if is_brief() { String::new() } else { note.into() },
            cells: Vec::new(),
            work: Vec::new(),
            limits: Vec::new(),
            measure: Vec::new(),
            confirm: Vec::new(),
            assumed: false,
        }
    }

    /// The two sides compared.
    #[must_use]
    pub fn sides(mut self, have: Side, need: Side, unit: &'static str) -> Self {
        self.have = have;
        self.need = need;
        self.unit = unit;
        self
    }

    /// Cells compared.
    #[must_use]
    pub fn cells(mut self, cells: impl IntoIterator<Item = Place>) -> Self {
        if !is_brief() {
            self.cells.extend(cells.into_iter().filter(|c| c.cell.is_some()));
        }
        self
    }

    /// Work that mends it.
    #[must_use]
    pub fn work(mut self, work: Work) -> Self {
        self.work.push(work);
        self
    }

    /// Something to measure.
    #[must_use]
    pub fn measure(mut self, field: Field, place: Place, text: impl Into<String>) -> Self {
        if !is_brief() {
            self.measure.push(Measure { field, place, text: text.into() });
        }
        self
    }

    /// Something to confirm on the machine.
    #[must_use]
    pub fn confirm(mut self, text: impl Into<String>) -> Self {
        if !is_brief() {
            self.confirm.push(text.into());
        }
        self
    }
}
