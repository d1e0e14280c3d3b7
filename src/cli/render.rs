//! Tables, wrapped text and JSON for the screen.

use std::collections::BTreeMap;
use std::io::{self, IsTerminal, Write};

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width};
use serde_json::{Value, json};

use super::{Common, UnitSystem};
use crate::findings::{Finding, Severity};
use crate::units::{Dimension, System, beside, show};

/// The width to wrap at: the terminal's, 80 where there is none.
pub(super) fn width() -> u16 {
    if io::stdout().is_terminal() {
        terminal_size::terminal_size().map_or(80, |(w, _)| w.0.clamp(40, 200))
    } else {
        80
    }
}

/// A table without frames; `right` lists the columns of numbers.
pub(super) fn table(headings: &[&str], rows: &[Vec<String>], right: &[usize]) -> String {
    let mut table = Table::new();
    table
        .load_preset("     ──            ")
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(width())
        .set_header(headings.to_vec());
    for row in rows {
        table.add_row(row.clone());
    }
    for column in right {
        if let Some(column) = table.column_mut(*column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    for column in table.column_iter_mut() {
        column.set_padding((0, 2));
    }
    for (index, least) in least_widths(headings, rows).into_iter().enumerate() {
        if let Some(column) = table.column_mut(index) {
            column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(least)));
        }
    }
    let text = table.to_string();
    text.lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
}

/// The least width of each column, so that no word is cut where the screen allows it: its longest
/// word and the gap; the last column, which holds the sentences, has what is left, up to 22.
fn least_widths(headings: &[&str], rows: &[Vec<String>]) -> Vec<u16> {
    const GAP: u16 = 2;
    const RULE: u16 = 1;
    const WORDS: u16 = 22;
    let mut least: Vec<u16> = headings.iter().map(|h| longest_word(h) + GAP).collect();
    for row in rows {
        for (width, cell) in least.iter_mut().zip(row) {
            *width = (*width).max(longest_word(cell) + GAP);
        }
    }
    let Some(words) = least.pop() else { return least };
    let left = width().saturating_sub(least.iter().map(|w| w + RULE).sum());
    if left < words.min(WORDS - 4) {
        return least.iter().map(|_| 0).chain([WORDS]).collect();
    }
    least.push(left.min(WORDS));
    least
}

/// Characters of the longest word.
fn longest_word(text: &str) -> u16 {
    let longest = text.split_whitespace().map(|word| word.chars().count()).max().unwrap_or(0);
    u16::try_from(longest.min(200)).unwrap_or(200)
}

/// Text cut to `limit` characters.
pub(super) fn shorten(text: &str, limit: usize) -> String {
    if text.chars().count() <= limit {
        return text.to_owned();
    }
    let cut: String = text.chars().take(limit.saturating_sub(1)).collect();
    format!("{}…", cut.trim_end())
}

/// Wraps text at the width, with an indent for the lines after the first.
pub(super) fn wrap(text: &str, indent: usize) -> String {
    let limit = usize::from(width());
    let lead = text.len() - text.trim_start().len();
    let mut out = " ".repeat(lead);
    let mut length = 0;
    for word in text.trim_start().split(' ') {
        let size = word.chars().count();
        if length > indent && lead + length + 1 + size > limit {
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            length = indent;
        } else if length > 0 {
            out.push(' ');
            length += 1;
        }
        out.push_str(word);
        length += size;
    }
    out
}

/// A quantity in the units asked for, with its symbol.
pub(super) fn quantity(value: Option<f64>, dimension: Dimension, common: &Common) -> String {
    value.map_or_else(|| "?".to_owned(), |value| show(value, dimension, system(common)).to_string())
}

/// The system of units asked for.
pub(super) fn system(common: &Common) -> System {
    match common.units {
        UnitSystem::Si => System::Si,
        UnitSystem::Us => System::Us,
    }
}

fn coloured(common: &Common) -> bool {
    !common.no_color
        && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty())
        && io::stdout().is_terminal()
}

/// Severity, code, sheet, column and message.
type Group<'a> = (Severity, &'a str, String, Option<u32>, &'a str);

/// Findings that say the same of one column are shown once, with the other cells named.
pub(super) fn findings(list: &[Finding], out: &mut dyn Write, common: &Common) -> io::Result<()> {
    let mut groups: BTreeMap<Group<'_>, Vec<&Finding>> = BTreeMap::new();
    for finding in list {
        let place = format!("{} {}", finding.place.file, finding.place.sheet);
        let column = finding.place.cell.map(|(_, col)| col);
        groups
            .entry((finding.severity, finding.code.code, place, column, &finding.message))
            .or_default()
            .push(finding);
    }
    for ((severity, ..), group) in groups {
        let Some((first, others)) = group.split_first() else { continue };
        let text = beside(&first.to_string(), system(common));
        let mut lines = text.lines();
        let head = wrap(lines.next().unwrap_or_default(), 4);
        if coloured(common) {
            let colour = match severity {
                Severity::Error => "1",
                Severity::Warning => "4",
                Severity::Note => "2",
            };
            let word = severity.word();
            let rest = head.strip_prefix(word).unwrap_or(&head);
            writeln!(out, "\x1b[{colour}m{word}\x1b[0m{rest}")?;
        } else {
            writeln!(out, "{head}")?;
        }
        for line in lines {
            writeln!(out, "{}", wrap(line, 6))?;
        }
        also(others, out)?;
        writeln!(out)?;
    }
    Ok(())
}

fn also(others: &[&Finding], out: &mut dyn Write) -> io::Result<()> {
    let cells: Vec<String> = others.iter().filter_map(|f| f.place.address()).collect();
    if cells.is_empty() {
        return Ok(());
    }
    let shown = cells.iter().take(8).cloned().collect::<Vec<_>>().join(", ");
    let more = cells.len().saturating_sub(8);
    let tail = if more > 0 { format!(" and {more} more") } else { String::new() };
    writeln!(out, "{}", wrap(&format!("   = also: {shown}{tail}"), 6))
}

/// `3 errors, 12 warnings, 40 notes`.
pub(super) fn tally(list: &[Finding]) -> String {
    let count = |severity| list.iter().filter(|f| f.severity == severity).count();
    let words = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    format!(
        "{}, {}, {}",
        words(count(Severity::Error), "error"),
        words(count(Severity::Warning), "warning"),
        words(count(Severity::Note), "note")
    )
}

/// One JSON document that opens with program, version, command and schema.
pub(super) fn document(
    command: &str,
    body: Value,
    out: &mut dyn Write,
) -> Result<(), Box<dyn std::error::Error>> {
    let mut document = json!({
        "program": "sparemesh",
        "version": env!("CARGO_PKG_VERSION"),
        "command": command,
        "schema": 1,
    });
    if let (Value::Object(head), Value::Object(body)) = (&mut document, body) {
        head.extend(body);
    }
    no_negative_zeros(&mut document);
    serde_json::to_writer_pretty(&mut *out, &document)?;
    writeln!(out)?;
    Ok(())
}

/// A zero has no sign for a reader.
fn no_negative_zeros(value: &mut Value) {
    match value {
        Value::Number(number) if number.as_f64() == Some(0.0) && number.is_f64() => {
            *value = json!(0.0);
        }
        Value::Array(all) => all.iter_mut().for_each(no_negative_zeros),
        Value::Object(all) => all.values_mut().for_each(no_negative_zeros),
        _ => {}
    }
}

/// A finding as JSON.
pub(super) fn finding_json(finding: &Finding) -> Value {
    let or_null = |text: &str| if text.is_empty() { Value::Null } else { json!(text) };
    json!({
        "code": finding.code.code,
        "severity": finding.severity.word(),
        "file": or_null(&finding.place.file),
        "sheet": or_null(&finding.place.sheet),
        "cell": finding.place.address(),
        "message": finding.message,
        "hint": finding.hint,
    })
}
