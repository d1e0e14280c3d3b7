//! A built-in table as text: title, source, mark and rows.

use std::sync::LazyLock;

/// One table of `data/`.
#[derive(Debug)]
pub struct DataSheet {
    /// The name for `tables NAME`.
    pub name: &'static str,
    /// What it holds.
    pub title: String,
    /// Work and edition.
    pub source: String,
    /// How sure it is.
    pub mark: String,
    /// How the numbers are checked.
    pub checked: String,
    /// Headings.
    pub headings: Vec<String>,
    /// Rows.
    pub rows: Vec<Vec<String>>,
}

macro_rules! sheets {
    ($($name:literal)*) => {
        /// Every built-in table.
        pub static SHEETS: LazyLock<Vec<DataSheet>> = LazyLock::new(|| vec![
            $(parse($name, include_str!(concat!("data/", $name, ".csv")))),*
        ]);
    };
}

sheets! {
    "machines" "service-factor-helical" "service-factor-worm" "engine-conversion"
    "application-classes" "application-factor" "overload-factor" "connections" "iec-frames"
    "flanges" "nema-frames" "nema-c-faces" "keys-metric" "keys-inch" "shaft-ends" "shaft-fits" "tolerances"
    "motor-powers" "gear-types" "preferred-numbers" "nominal-ratios" "ratio-deviations" "momentary-factors"
    "thermal-ambient" "thermal-air" "thermal-altitude" "thermal-sump" "thermal-duty" "oil-grades" "oil-numbers"
    "bearings" "seals" "reliability-factors"
}

/// Finds a built-in table by name.
#[must_use]
pub fn find_sheet(name: &str) -> Option<&'static DataSheet> {
    SHEETS.iter().find(|sheet| sheet.name == name)
}

/// A built-in table that is known to exist.
pub(super) fn sheet(name: &'static str) -> &'static DataSheet {
    find_sheet(name).expect("the name is in the list above")
}

impl DataSheet {
    /// The row whose first column reads `name`, in any case.
    pub(super) fn row_named(&self, name: &str) -> Option<usize> {
        let wanted = name.trim();
        self.rows.iter().position(|row| row[0].eq_ignore_ascii_case(wanted))
    }

    /// The row whose first two columns hold `value` between them: over excluded, up to included.
    pub(super) fn band(&self, value: f64) -> Option<usize> {
        (0..self.rows.len())
            .find(|row| value > self.number(*row, 0) && value <= self.number(*row, 1))
    }

    /// The number in a row's column; built-in tables hold only numbers there.
    pub(super) fn number(&self, row: usize, col: usize) -> f64 {
        self.rows[row][col].parse().expect("checked by `every_table_parses`")
    }
}

fn parse(name: &'static str, text: &str) -> DataSheet {
    let noted = |label: &str| {
        let lead = format!("# {label}: ");
        text.lines().find_map(|line| line.strip_prefix(&lead)).unwrap_or_default().to_owned()
    };
    let mut lines = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
    DataSheet {
        name,
        title: noted("title"),
        source: noted("source"),
        mark: noted("mark"),
        checked: noted("checked"),
        headings: lines.next().map(split).unwrap_or_default(),
        rows: lines.map(split).collect(),
    }
}

/// Splits a line at its commas, but not inside quotes.
fn split(line: &str) -> Vec<String> {
    let mut quoted = false;
    let mut fields = vec![String::new()];
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            c => fields.last_mut().expect("never empty").push(c),
        }
    }
    fields
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_parses_and_names_its_source() {
        for sheet in SHEETS.iter() {
            for text in [&sheet.title, &sheet.source, &sheet.mark, &sheet.checked] {
                assert!(!text.is_empty(), "{} lacks a heading line", sheet.name);
            }
            assert!(!sheet.rows.is_empty(), "{} is empty", sheet.name);
            for row in &sheet.rows {
                assert_eq!(row.len(), sheet.headings.len(), "{}: {row:?}", sheet.name);
            }
        }
    }
}
