//! A built-in table as text: title, source, mark and rows.

use std::collections::BTreeMap;
use std::sync::{LazyLock, Mutex};

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
    /// The same as numbers; NaN where a cell holds none.
    numbers: Vec<Vec<f64>>,
}

macro_rules! sheets {
    ($($name:literal)*) => {
        fn built_in() -> Vec<DataSheet> {
            vec![$(parse($name, include_str!(concat!("data/", $name, ".csv")))),*]
        }
    };
}

/// Tables in force: the plant's own where it has them, else the built-in ones.
pub static SHEETS: LazyLock<Vec<DataSheet>> = LazyLock::new(|| {
    // A panic elsewhere leaves the tables as they were given.
    let mut own = OWN.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let mut own = own.take().unwrap_or_default();
    built_in().into_iter().map(|sheet| own.remove(sheet.name).unwrap_or(sheet)).collect()
});

/// Tables of the plant's own, until the first look-up; then nothing can be put in place any more.
static OWN: Mutex<Option<BTreeMap<&'static str, DataSheet>>> = Mutex::new(Some(BTreeMap::new()));

/// The built-in table of a name.
///
/// # Errors
/// When there is none; the message names all.
pub fn table_named(name: &str) -> Result<DataSheet, String> {
    built_in().into_iter().find(|sheet| sheet.name == name).ok_or_else(|| {
        let names: Vec<_> = built_in().iter().map(|s| s.name).collect();
        format!("there is no table `{name}`; there are: {}", names.join(", "))
    })
}

/// Puts a table of the plant's own in the place of a built-in one, before the first look-up.
///
/// The text is as in `data/`: lines that begin with `# title: ` and so on may be left out, then
/// the headings of the built-in table, then rows.
///
/// # Errors
/// When there is no such table, its headings or numbers are not those of the built-in one, a row
/// that look-ups need is missing, or tables were looked up before.
pub fn use_own(name: &str, text: &str, shown: &str) -> Result<(), String> {
    let like = table_named(name)?;
    let mut own = parse(like.name, text);
    fits(&own, &like).map_err(|why| format!("table `{name}` in `{shown}`: {why}"))?;
    for (line, default) in [
        (&mut own.title, like.title),
        (&mut own.source, format!("the plant's own table, `{shown}`")),
        (&mut own.mark, "the plant's own".into()),
        (&mut own.checked, "headings, numbers and needed rows, when it was read".into()),
    ] {
        if line.is_empty() {
            *line = default;
        }
    }
    let mut place = OWN.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    match place.as_mut() {
        Some(tables) => {
            tables.insert(like.name, own);
            Ok(())
        }
        None => Err("tables were looked up already; the plant's own come too late".into()),
    }
}

/// Whether a table can stand in for the built-in one.
fn fits(own: &DataSheet, like: &DataSheet) -> Result<(), String> {
    if own.headings != like.headings {
        return Err(format!(
            "its headings are `{}`; wanted are `{}`",
            own.headings.join(","),
            like.headings.join(",")
        ));
    }
    if own.rows.is_empty() {
        return Err("it holds no row".into());
    }
    let is_number = |text: &String| text.parse::<f64>().is_ok_and(f64::is_finite);
    for (line, row) in own.rows.iter().enumerate() {
        if row.len() != like.headings.len() {
            return Err(format!(
                "row {} has {} cells, wanted are {}",
                line + 1,
                row.len(),
                like.headings.len()
            ));
        }
        for (col, cell) in row.iter().enumerate() {
            if like.rows.iter().all(|r| is_number(&r[col])) && !is_number(cell) {
                return Err(format!(
                    "row {}: `{cell}` under `{}` is no number",
                    line + 1,
                    like.headings[col]
                ));
            }
        }
    }
    // Look-ups by name need every name, those by size need rising rows.
    let names = |sheet: &DataSheet| sheet.rows.iter().map(|r| r[0].clone()).collect::<Vec<_>>();
    if NAMED.contains(&like.name)
        && let Some(missing) = names(like).into_iter().find(|n| !names(own).contains(n))
    {
        return Err(format!("no row is for `{missing}`"));
    }
    let size = |row: &Vec<String>| row[0].parse::<f64>().unwrap_or(f64::NAN);
    let by_size = like.rows.iter().all(|r| is_number(&r[0])) && !LISTS.contains(&like.name);
    if by_size && !own.rows.windows(2).all(|pair| size(&pair[0]) < size(&pair[1])) {
        return Err(format!("its rows must rise under `{}`", like.headings[0]));
    }
    Ok(())
}

/// Tables whose rows are looked up by the name in the first column.
const NAMED: [&str; 9] = [
    "service-factor-helical",
    "service-factor-worm",
    "application-classes",
    "application-factor",
    "overload-factor",
    "connections",
    "gear-types",
    "momentary-factors",
    "thermal-air",
];

/// Tables that are looked up by a whole row, not by size.
const LISTS: [&str; 2] = ["seals", "bearings"];

sheets! {
    "machines" "machine-words" "service-factor-helical" "service-factor-worm" "engine-conversion"
    "application-classes" "application-factor" "overload-factor" "connections" "iec-frames" "iec-frame-powers"
    "flanges" "nema-frames" "nema-c-faces" "keys-metric" "keys-inch" "shaft-ends" "shaft-fits" "tolerances"
    "motor-powers" "gear-types" "preferred-numbers" "nominal-ratios" "ratio-deviations" "momentary-factors"
    "thermal-ambient" "thermal-air" "thermal-altitude" "thermal-sump" "thermal-duty" "oil-grades" "oil-numbers"
    "bearings" "seals" "reliability-factors" "gear-facts"
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
        let number = self.numbers[row][col];
        assert!(!number.is_nan(), "{}: `{}` is no number", self.name, self.rows[row][col]);
        number
    }
}

fn parse(name: &'static str, text: &str) -> DataSheet {
    let noted = |label: &str| {
        let lead = format!("# {label}: ");
        text.lines().find_map(|line| line.strip_prefix(&lead)).unwrap_or_default().to_owned()
    };
    let mut lines = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
    let headings = lines.next().map(split).unwrap_or_default();
    let rows: Vec<Vec<String>> = lines.map(split).collect();
    let as_number = |cell: &String| cell.parse().unwrap_or(f64::NAN);
    let numbers = rows.iter().map(|row| row.iter().map(as_number).collect()).collect();
    DataSheet {
        name,
        title: noted("title"),
        source: noted("source"),
        mark: noted("mark"),
        checked: noted("checked"),
        headings,
        rows,
        numbers,
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
    fn gear_facts_are_of_known_types() {
        let types: Vec<&String> = sheet("gear-types").rows.iter().map(|r| &r[0]).collect();
        assert!(sheet("gear-facts").rows.iter().all(|row| types.contains(&&row[0])));
    }

    #[test]
    fn built_in_tables_could_stand_in_for_themselves() {
        for (own, like) in built_in().iter().zip(built_in()) {
            assert_eq!(fits(own, &like), Ok(()), "{}", own.name);
        }
    }

    #[test]
    fn tables_that_would_mislead_are_refused_in_words() {
        let like = built_in().into_iter().find(|s| s.name == "thermal-ambient").expect("listed");
        let own = |text: &str| fits(&parse("thermal-ambient", text), &like).expect_err("refused");
        assert!(own("a,b\n1,2\n").contains("wanted are `°C,factor`"));
        assert!(own("°C,factor\n").contains("no row"));
        assert!(own("°C,factor\n20,much\n").contains("`much` under `factor` is no number"));
        assert!(own("°C,factor\n20,1\n10,1.1\n").contains("must rise"));
        assert!(own("°C,factor\n20\n").contains("has 1 cells"));
        let like = built_in().into_iter().find(|s| s.name == "connections").expect("listed");
        let text = "connection,common,stricter\nchain,1,1\n";
        let said = fits(&parse("connections", text), &like).expect_err("refused");
        assert!(said.starts_with("no row is for"), "{said}");
    }

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
