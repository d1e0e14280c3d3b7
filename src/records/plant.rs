//! The whole plant as read: positions, catalogue, shelf, parts, swaps, events.

use std::sync::OnceLock;

use jiff::civil::Date;

use std::ops::Deref;

use super::{Record, Table};

/// How a row's model was found in the catalogue.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModelMatch {
    /// Index into [`Plant::models`].
    pub model: usize,
    /// Whether maker, name and ratio agree letter for letter after folding case and punctuation.
    pub exact: bool,
    /// Likeness from 0 to 1.
    pub score: f64,
}

/// A place where a reducer runs, with its unit.
#[derive(Clone, Debug, Default)]
pub struct Position {
    /// What the row says.
    pub record: Record,
    /// Its model in the catalogue.
    pub model: Option<ModelMatch>,
    /// Where the row names a model but not which of several: all that it may be.
    pub may_be: Vec<usize>,
}

impl Deref for Position {
    type Target = Record;
    fn deref(&self) -> &Record {
        &self.record
    }
}

/// A shelf line: what the storeroom holds of one thing.
#[derive(Clone, Debug, Default)]
pub struct Shelf {
    /// What the row says.
    pub record: Record,
    /// Its model in the catalogue.
    pub model: Option<ModelMatch>,
    /// Which of several lines of one item this is, from 1; 0 where the item has one line.
    pub nth: u32,
}

impl Deref for Shelf {
    type Target = Record;
    fn deref(&self) -> &Record {
        &self.record
    }
}

impl Shelf {
    /// Value of all its units; 0 where nothing says it.
    #[must_use]
    pub fn worth(&self) -> f64 {
        self.quantity().unwrap_or(0.0) * self.unit_value().unwrap_or(0.0)
    }

    /// The item's number, else its model; with `#n` where several lines have one number.
    #[must_use]
    pub fn name(&self) -> String {
        let name = self.item().or_else(|| self.model()).unwrap_or("?");
        if self.nth > 0 { format!("{name}#{}", self.nth) } else { name.to_owned() }
    }

    /// Whether a person who typed this means the line: its name, or the item of all its lines.
    #[must_use]
    pub fn is_called(&self, typed: &str) -> bool {
        self.item().is_some_and(|item| alike(item, typed)) || alike(&self.name(), typed)
    }
}

impl Position {
    /// Whether a unit is needed here: idle and retired positions need none.
    #[must_use]
    pub fn runs(&self) -> bool {
        !matches!(self.position_state(), Some("idle" | "retired"))
    }

    /// Whether it will not run again.
    #[must_use]
    pub fn is_retired(&self) -> bool {
        self.position_state() == Some("retired")
    }
}

/// A catalogue model: one maker, name and ratio, with one row per input speed.
#[derive(Clone, Debug, Default)]
pub struct Catalogued {
    /// The first row; holds all that does not depend on the input speed.
    pub record: Record,
    /// The other rows of the same maker, name and ratio.
    pub more: Vec<Record>,
}

impl Deref for Catalogued {
    type Target = Record;
    fn deref(&self) -> &Record {
        &self.record
    }
}

impl Catalogued {
    /// All rows, the first included.
    pub fn rows(&self) -> impl Iterator<Item = &Record> {
        std::iter::once(&self.record).chain(&self.more)
    }

    /// Maker, name and ratio as a person would say them.
    #[must_use]
    pub fn title(&self) -> String {
        let maker = self.maker().unwrap_or("");
        let model = self.model().unwrap_or("?");
        let name = if maker.is_empty() { model.to_owned() } else { format!("{maker} {model}") };
        self.ratio().map_or_else(|| name.clone(), |ratio| format!("{name} i={ratio}"))
    }
}

/// What was read from one column.
#[derive(Clone, Debug, PartialEq)]
pub struct ColumnRead {
    /// Column, counted from 0.
    pub column: u32,
    /// The heading as written.
    pub heading: String,
    /// The field it was taken for; `None` if it was not used.
    pub field: Option<super::Field>,
    /// The unit taken, as a symbol.
    pub unit: Option<String>,
    /// How sure the match is, from 0 to 1.
    pub score: f64,
}

/// What was read from one sheet; the counts add up.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct SheetRead {
    /// The sheet's name.
    pub name: String,
    /// What kind of table it holds.
    pub table: Option<Table>,
    /// The heading rows, counted from 1 as the sheet does.
    pub header_rows: Vec<u32>,
    /// Rows below the heading that held anything.
    pub rows_read: u32,
    /// Rows taken as data.
    pub rows_used: u32,
    /// Rows set aside, each named in a finding.
    pub rows_set_aside: u32,
    /// Columns of the table.
    pub columns: Vec<ColumnRead>,
}

/// What was read from one file.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct FileRead {
    /// The path as shown.
    pub path: String,
    /// A checksum of the bytes (CRC-32, as zip archives use it).
    pub checksum: u32,
    /// Its sheets.
    pub sheets: Vec<SheetRead>,
}

/// Everything read.
#[derive(Clone, Debug, Default)]
pub struct Plant {
    /// Files in the order read.
    pub files: Vec<FileRead>,
    /// Positions in the order read.
    pub positions: Vec<Position>,
    /// Catalogue models.
    pub models: Vec<Catalogued>,
    /// Shelf lines.
    pub shelf: Vec<Shelf>,
    /// Parts.
    pub parts: Vec<Record>,
    /// Swaps.
    pub swaps: Vec<Record>,
    /// Events.
    pub events: Vec<Record>,
    /// The day of the newest dated event, once it has been asked for; whoever changes the events afterwards resets it.
    pub newest: OnceLock<Option<Date>>,
}

impl Plant {
    /// The day of the newest dated event, by which ages count where nothing else says the day.
    #[must_use]
    pub fn newest_event(&self) -> Option<Date> {
        *self.newest.get_or_init(|| self.events.iter().filter_map(|event| event.date()).max())
    }

    /// The catalogue model of a row, if it was found.
    #[must_use]
    pub fn model_of(&self, found: Option<ModelMatch>) -> Option<&Catalogued> {
        found.and_then(|found| self.models.get(found.model))
    }

    /// The tags of positions: the first six, and how many more there are.
    #[must_use]
    pub fn tags(&self, positions: &[usize]) -> String {
        const SHOWN: usize = 6;
        let tags = positions.iter().take(SHOWN).filter_map(|p| self.positions[*p].tag());
        let shown = tags.collect::<Vec<_>>().join(", ");
        match positions.len().saturating_sub(SHOWN) {
            0 => shown,
            more => format!("{shown} and {more} more"),
        }
    }

    /// Finds a position by its tag, forgiving case, spaces and dashes.
    #[must_use]
    pub fn find_position(&self, tag: &str) -> Option<usize> {
        self.positions
            .iter()
            .position(|p| p.tag() == Some(tag))
            .or_else(|| self.positions.iter().position(|p| p.tag().is_some_and(|t| alike(t, tag))))
    }
}

/// Whether two names are the same but for case, spaces, dashes, dots and slashes.
///
/// ```
/// use sparemesh::records::alike;
/// assert!(alike("CV-101", "cv 101"));
/// assert!(!alike("CV-101", "CV-1001"));
/// ```
#[must_use]
pub fn alike(a: &str, b: &str) -> bool {
    folded(a) == folded(b)
}

/// The folded names by which a swap may mean a unit: its item, tag, serial and model, with and without
/// maker and ratio, as people and this program write them.
#[must_use]
pub fn swap_names(unit: &Record, model: Option<&Catalogued>, line: Option<&Shelf>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    let mut add = |name: &str| {
        let name = folded(name);
        if !name.is_empty() && !names.contains(&name) {
            names.push(name);
        }
    };
    for name in [unit.item(), unit.serial(), unit.order_code()].into_iter().flatten() {
        add(name);
    }
    if let Some(line) = line {
        add(&line.name());
    }
    let records = [Some(unit), model.map(|m| &m.record)].into_iter().flatten();
    for record in records {
        let Some(model) = record.model() else { continue };
        let ratio = record.ratio().or(unit.ratio());
        for name in [model.to_owned(), format!("{} {model}", record.maker().unwrap_or(""))] {
            add(&name);
            if let Some(ratio) = ratio {
                add(&format!("{name} i={ratio}"));
                add(&format!("{name} {ratio}"));
                add(&format!("{name} {ratio}:1"));
            }
        }
    }
    names
}

/// What a swap's candidate cell means, folded, without the word before the colon.
#[must_use]
pub fn swap_named(text: &str) -> String {
    let bare = text.trim();
    let kind = bare.split_once(':').filter(|(kind, _)| {
        ["shelf", "tag", "model"].contains(&kind.trim().to_lowercase().as_str())
    });
    folded(kind.map_or(bare, |(_, name)| name))
}

/// A name without what people write differently: case, spaces, dashes, dots and slashes.
#[must_use]
pub fn folded(text: &str) -> String {
    text.chars()
        .filter(|c| !matches!(c, ' ' | '-' | '_' | '.' | '/'))
        .flat_map(char::to_uppercase)
        .collect()
}

/// Reads `2 of 3 @ group`.
#[must_use]
pub fn k_of_n(text: &str) -> Option<(u32, u32)> {
    let head = text.split('@').next()?;
    let mut numbers =
        head.split(|c: char| !c.is_ascii_digit()).filter_map(|n| n.parse::<u32>().ok());
    let (k, n) = (numbers.next()?, numbers.next()?);
    (k >= 1 && n >= k).then_some((k, n))
}
