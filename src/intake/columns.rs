//! The columns of a table before its cells are read: which are used, in which unit, by what habits.

use super::cell::Column;
use super::headings::{Heading, fold};
use super::number::{self, Decimal};
use super::rows::Reading;
use super::{date, evidence, grid, money};
use crate::findings::{Finding, name};
use crate::policy::Columns;
use crate::records::{Field, Kind};
use crate::units::{Unit, find_unit};
use crate::workbook::{Cell, Raw};

/// What a column holds that its unit and its decimal sign are judged by.
#[derive(Debug, Default)]
struct Judged<'a> {
    texts: Vec<&'a str>,
    numbers: Vec<f64>,
}

impl<'a> Reading<'a> {
    /// Leaves out, with a question, the columns whose values do not go with their heading.
    fn sure_enough(&mut self, meant: Vec<(u32, String, Heading)>) -> Vec<(u32, String, Heading)> {
        let (sure, doubtful): (Vec<_>, Vec<_>) =
            meant.into_iter().partition(|(_, _, m)| m.score >= self.policy.column_score_min);
        for (col, heading, meaning) in doubtful {
            let place = self.heading_place(col);
            let message = format!(
                "`{heading}` reads like {}, but only {:.0} % of its values do; the column was not used",
                meaning.field.name(),
                100.0 * meaning.score
            );
            let hint = format!(
                "is it {}? map the column in columns.toml, or ignore it there",
                meaning.field.name()
            );
            self.findings.push(Finding::new(&name::ASK_COLUMN, place, message).hint(hint));
        }
        sure
    }

    /// The decimal sign that all columns of numbers together speak for.
    fn decimal_of_all(&self, meant: &[(u32, String, Heading)], judged: &[Judged<'_>]) -> Decimal {
        let numeric = meant.iter().zip(judged).filter(|((_, _, m), _)| m.field.kind().is_numeric());
        let texts = numeric.flat_map(|(_, judged)| judged.texts.iter().copied());
        match number::decimal_sign(texts) {
            Decimal::Unknown if self.sheet.decimal_comma == Some(true) => Decimal::Comma,
            sign => sign,
        }
    }

    /// Of two columns for one field, puts first the one to be used; a second tag that repeats is a
    /// machine.
    fn order_of_two(&self, meant: &mut [(u32, String, Heading)]) {
        let fields: Vec<Field> = meant.iter().map(|m| m.2.field).collect();
        let alone = |field: Field| fields.iter().filter(|f| **f == field).count() == 1;
        if fields.iter().all(|f| alone(*f)) {
            return;
        }
        let different = |col: u32| -> usize {
            let raws = self.data_rows().filter_map(|(_, cells)| grid::at(cells, col));
            raws.map(Raw::shown).collect::<std::collections::BTreeSet<_>>().len()
        };
        let rank = |(col, heading, m): &(u32, String, Heading)| {
            if alone(m.field) {
                return (0, 0, 0);
            }
            let folded = fold(heading);
            let own = folded != fold(m.field.heading());
            // An exact ratio says more than a nominal one, a motor's power that it is the motor's.
            let exact = [
                "exact", "actual", "true", "real", "ist", "effektiv", "réel", "full", "motor",
                "mtr", "moteur",
            ];
            let rough = ["nominal", "nenn", "nominale", "approx", "synch", "sync", "synchronous"];
            let holds = |words: &[&str]| folded.split(' ').any(|w| words.contains(&w));
            let sure = if holds(&exact) {
                0
            } else if holds(&rough) {
                2
            } else {
                1
            };
            let names = if m.field.kind() == Kind::Text { different(*col) } else { 0 };
            // A location names a place only where nothing else names the drive.
            let vague = i32::from(m.field == Field::tag && folded == "location");
            (i32::from(own).min(sure) + vague, sure, usize::MAX - names)
        };
        meant.sort_by_key(rank);
        self.second_tag(meant, different);
        second_power(meant);
    }

    /// A second column of tags whose values repeat names machines or areas.
    fn second_tag(&self, meant: &mut [(u32, String, Heading)], different: impl Fn(u32) -> usize) {
        let rows = self.data_rows().count();
        let has =
            |meant: &[(u32, String, Heading)], field| meant.iter().any(|m| m.2.field == field);
        let tags: Vec<usize> =
            (0..meant.len()).filter(|at| meant[*at].2.field == Field::tag).skip(1).collect();
        for at in tags {
            let is_place = ["location", "standort", "emplacement", "ubicazione", "ubicación"]
                .contains(&fold(&meant[at].1).as_str());
            if is_place && !has(meant, Field::area) {
                meant[at].2.field = Field::area;
                continue;
            }
            let repeats = different(meant[at].0) * 10 < rows * 9 || {
                let words = |(_, cells): (u32, &[Cell])| {
                    grid::at(cells, meant[at].0).is_some_and(|raw| raw.shown().contains(' '))
                };
                self.data_rows().filter(|row| words(*row)).count() * 2 > rows
            };
            if repeats && !has(meant, Field::driven_machine) {
                meant[at].2.field = Field::driven_machine;
            } else if repeats && !has(meant, Field::area) {
                meant[at].2.field = Field::area;
            }
        }
    }

    /// What the columns of numbers and dates hold, gathered in one pass over the rows.
    fn judged(&self, meant: &[(u32, String, Heading)]) -> Vec<Judged<'a>> {
        let mut judged: Vec<Judged<'a>> = meant.iter().map(|_| Judged::default()).collect();
        // Where a column's values are gathered, and whether its numbers matter: only a column
        // without a unit is asked for them.
        let last = meant.iter().map(|m| m.0).max().unwrap_or(0) as usize;
        let mut wanted: Vec<Option<(usize, bool)>> = vec![None; last + 1];
        for (at, (col, _, meaning)) in meant.iter().enumerate() {
            let kind = meaning.field.kind();
            let without =
                matches!(kind, Kind::Number(d) if !d.needs_no_unit() && meaning.unit.is_none());
            if kind.is_numeric() || kind == Kind::Date {
                wanted[*col as usize] = Some((at, without));
            }
        }
        for (row, cells) in self.data_rows() {
            for cell in cells {
                let found = wanted.get(cell.col as usize).copied().flatten();
                let Some((at, without)) = found else { continue };
                match &cell.raw {
                    Raw::Text(text) => judged[at].texts.push(text),
                    Raw::Number(n)
                        if without && !self.says_unit(row, cell.col, meant[at].2.field) =>
                    {
                        judged[at].numbers.push(*n);
                    }
                    _ => {}
                }
            }
        }
        judged
    }

    /// The columns to read, each with its unit and habits.
    pub(super) fn columns(&mut self, mapping: &Columns) -> Vec<(u32, Column)> {
        let meant: Vec<_> = self
            .layout
            .columns
            .iter()
            .filter_map(|(col, h, m)| m.map(|m| (*col, h.clone(), m)))
            .collect();
        let mut meant = self.sure_enough(meant);
        self.order_of_two(&mut meant);
        let judged = self.judged(&meant);
        let whole_sheet = self.decimal_of_all(&meant, &judged);
        let mut columns: Vec<(u32, Column)> = Vec::new();
        for (at, (col, heading, meaning)) in meant.iter().cloned().enumerate() {
            let Judged { texts, numbers } = &judged[at];
            let is_date = meaning.field.kind() == Kind::Date;
            let numeric = texts.iter().copied().filter(|_| !is_date);
            let mut decimal = number::decimal_sign(numeric);
            if decimal == Decimal::Unknown {
                decimal = whole_sheet;
            }
            let order = date::order(texts.iter().copied().filter(|_| is_date));
            let recover = !mapping.column.iter().any(|l| l.column == heading && l.times == "keep");
            let mut own_units_only = false;
            let unit = match self.unit_of(
                col,
                &heading,
                meaning.field,
                meaning.unit,
                texts,
                numbers,
                decimal,
                &meant,
            ) {
                Ok((unit, noted)) => {
                    self.findings.extend(noted);
                    unit
                }
                // Cells that say their own unit are read; the bare ones are told one by one.
                Err(_) if self.has_own_units(col, meaning.field, texts, decimal) => {
                    own_units_only = true;
                    None
                }
                Err(finding) => {
                    self.findings.push(finding);
                    continue;
                }
            };
            let field = meaning.field;
            if let Some((first, _)) = columns.iter().find(|(_, c)| c.field == field) {
                let at = |col: u32| self.heading_place(col).address().unwrap_or_default();
                let message = format!(
                    "the headings in {} and {} both mean {}; the first filled one of each row is used",
                    at(*first),
                    at(col),
                    field.name()
                );
                self.findings.push(Finding::new(
                    &name::TWO_COLUMNS,
                    self.heading_place(col),
                    message,
                ));
            }
            if let Some(code) = meaning.currency
                && money::rate(code, self.policy).is_none()
            {
                let (message, hint) = money::no_rate(&format!("`{heading}`"), code, self.policy);
                let message = format!("{message}; the column was not used");
                let finding = Finding::new(&name::OTHER_CURRENCY, self.heading_place(col), message);
                self.findings.push(finding.hint(hint));
                continue;
            }
            let column = Column {
                field,
                unit,
                decimal,
                order,
                epoch_shift: self.sheet.epoch_shift,
                recover,
                own_units_only,
                currency: meaning.currency,
            };
            columns.push((col, column));
        }
        // Values come in the order in which a record keeps them; of two columns the first stays first.
        columns.sort_by_key(|(_, column)| column.field);
        columns
    }

    /// Whether some cells of a column say their own unit, in their text or their format.
    fn has_own_units(&self, col: u32, field: Field, texts: &[&str], decimal: Decimal) -> bool {
        let in_text = |text: &&str| number::read(text, decimal).is_ok_and(|q| q.unit.is_some());
        texts.iter().any(in_text)
            || self.data_rows().any(|(row, cells)| {
                grid::at(cells, col).is_some() && self.says_unit(row, col, field)
            })
    }

    /// Whether a cell's number format holds a unit of its field.
    fn says_unit(&self, row: u32, col: u32, field: Field) -> bool {
        let Kind::Number(dimension) = field.kind() else { return false };
        let unit = self.sheet.format_of(row, col).and_then(|f| find_unit(&f.suffix));
        unit.is_some_and(|u| number::same_family(u.dimension, dimension))
    }

    /// The unit of a column: heading, then policy, then what its values tell.
    #[allow(clippy::too_many_arguments)] // one question with much evidence
    fn unit_of(
        &self,
        col: u32,
        heading: &str,
        field: Field,
        written: Option<Unit>,
        texts: &[&str],
        numbers: &[f64],
        decimal: Decimal,
        others: &[(u32, String, Heading)],
    ) -> Result<(Option<Unit>, Option<Finding>), Finding> {
        let Kind::Number(dimension) = field.kind() else { return Ok((None, None)) };
        let named = self.layout.units.iter().any(|(value, _)| *value == col);
        if written.is_some() || dimension.needs_no_unit() || named {
            return Ok((written, None));
        }
        // The program's own names carry their unit.
        if heading.trim().eq_ignore_ascii_case(field.name()) {
            return Ok((find_unit(dimension.symbol()), None));
        }
        if let Some(unit) = self.policy.default_units.get(field.name()).and_then(|u| find_unit(u)) {
            return Ok((Some(unit), None));
        }
        let read: Vec<_> = texts.iter().filter_map(|t| number::read(t, decimal).ok()).collect();
        let mut bare: Vec<f64> =
            read.iter().filter(|q| q.unit.is_none()).map(|q| q.value).collect();
        bare.extend(numbers);
        if bare.is_empty() {
            return Ok((None, None));
        }
        let place = self.heading_place(col);
        let rows: Vec<&[Cell]> = self.data_rows().map(|(_, cells)| cells).take(500).collect();
        let around = evidence::Around { columns: others, rows: &rows };
        match evidence::unit_of(col, dimension, &bare, &around) {
            Some((symbol, share)) => {
                let message = format!(
                    "`{heading}` has no unit; {symbol} fits {:.0} % of its {} values and was taken",
                    100.0 * share,
                    bare.len()
                );
                Ok((find_unit(symbol), Some(Finding::new(&name::UNIT_FROM_DATA, place, message))))
            }
            None => Err(Finding::new(
                &name::NO_UNIT,
                place,
                format!(
                    "`{heading}` has no unit and its values do not tell which; it was not used"
                ),
            )
            .hint(format!("write it into the heading, as `{heading} [{}]`", dimension.symbol()))),
        }
    }
}

/// Beside a column of the motor's power, one that only says power is the unit's.
fn second_power(meant: &mut [(u32, String, Heading)]) {
    let motors = |heading: &str| {
        fold(heading)
            .split(' ')
            .any(|w| ["motor", "mtr", "mot", "moteur", "motore", "drive"].contains(&w))
    };
    let power = |m: &(u32, String, Heading)| m.2.field == Field::motor_power_kw;
    let named = meant.iter().any(|m| power(m) && motors(&m.1));
    if !named || meant.iter().any(|m| m.2.field == Field::rated_power_kw) {
        return;
    }
    let unit = |m: &(u32, String, Heading)| m.2.unit.map(|u| u.symbol);
    let of_motor = meant.iter().find(|m| power(m) && motors(&m.1)).and_then(unit);
    // The same power in another unit is the motor's still.
    let other = |m: &(u32, String, Heading)| power(m) && !motors(&m.1) && unit(m) == of_motor;
    if let Some(at) = meant.iter().position(other) {
        meant[at].2.field = Field::rated_power_kw;
    }
}
