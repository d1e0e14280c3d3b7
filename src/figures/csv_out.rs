//! Tables as csv: UTF-8 with a byte order mark.

use std::path::Path;

use super::FiguresError;
use super::whole::write_whole;

/// Writes one table. Text that a spreadsheet could take for a formula gets a leading apostrophe.
///
/// # Errors
/// When the file cannot be written.
pub fn write_csv(
    path: &Path,
    headings: &[String],
    rows: &[Vec<String>],
) -> Result<(), FiguresError> {
    let fail = |e: &dyn std::fmt::Display| {
        FiguresError::File(format!("cannot write `{}`: {e}", path.display()))
    };
    let mut writer = csv::Writer::from_writer(vec![0xEF, 0xBB, 0xBF]);
    writer.write_record(headings).map_err(|e| fail(&e))?;
    for row in rows {
        writer.write_record(row.iter().map(|cell| harmless(cell))).map_err(|e| fail(&e))?;
    }
    let bytes = writer.into_inner().map_err(|e| fail(&e))?;
    write_whole(path, &bytes).map_err(|e| fail(&e))
}

/// `=1+1` must stay text; `-3.5` is a plain number.
fn harmless(cell: &str) -> String {
    let risky = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if risky && cell.parse::<f64>().is_err() { format!("'{cell}") } else { cell.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_formula_stays_text_and_a_number_a_number() {
        assert_eq!(harmless("=cmd|' /C calc'!A0"), "'=cmd|' /C calc'!A0");
        assert_eq!(harmless("-3.5"), "-3.5");
        assert_eq!(harmless("CV-101"), "CV-101");
    }
}
