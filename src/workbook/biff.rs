//! How far the cells of an xls reach: its reader lays out every sheet as a full rectangle, so a few cells in far corners
//! could ask for more memory than there is.
//!
//! # Source
//! [MS-XLS] Excel Binary File Format, 2.3 and 2.4: records of cells begin with row and column (from memory).

use super::compound::Compound;
use super::guard::Limits;
use super::sniff::PROTECTED;

/// Records that begin a part, and records of cells.
const BEGINS: [u16; 4] = [0x0809, 0x0409, 0x0209, 0x0009];
const CELLS: [u16; 8] = [0x0203, 0x0204, 0x0205, 0x00FD, 0x027E, 0x00D6, 0x0006, 0x00BD];
/// Many numbers of one row in one record; the last column stands at its end.
const MANY: u16 = 0x00BD;
/// What comes after it is encrypted.
const ENCRYPTED: u16 = 0x002F;
/// What a sheet says of its own size.
const DIMENSIONS: u16 = 0x0200;
/// Columns and rows of a sheet.
const COLUMNS: u16 = 256;
const ROWS: u32 = 65_536;

/// First and last row and column of a sheet.
type Reach = Option<(u16, u16, u16, u16)>;

/// Refuses a workbook whose sheets together would lie in more cells than the limit, or beyond the last column.
pub(super) fn check(file: Option<Compound<'_>>, limits: Limits) -> Result<(), String> {
    let Some(mut file) = file else { return Ok(()) };
    let stream = file.stream("Workbook").or_else(|| file.stream("Book"));
    let all: u64 = reaches(&stream.unwrap_or_default())?.into_iter().map(cells_of).sum();
    if all > limits.cells as u64 {
        return Err(format!(
            "its cells reach over {all} places, more than the {} allowed; save it as xlsx, or raise `max_cells` in policy.toml",
            limits.cells
        ));
    }
    Ok(())
}

fn cells_of(reach: Reach) -> u64 {
    reach.map_or(0, |(top, left, bottom, right)| {
        (u64::from(bottom - top) + 1) * (u64::from(right - left) + 1)
    })
}

fn reaches(stream: &[u8]) -> Result<Vec<Reach>, String> {
    let word = |at: usize| Some(u16::from_le_bytes(stream.get(at..at + 2)?.try_into().ok()?));
    let (mut at, mut out) = (0, Vec::new());
    while let (Some(kind), Some(length)) = (word(at), word(at + 2)) {
        let (from, length) = (at + 4, usize::from(length));
        at = from + length;
        if BEGINS.contains(&kind) {
            out.push(None);
        }
        if kind == ENCRYPTED {
            return Err(PROTECTED.into());
        }
        if kind == DIMENSIONS && says_too_much(stream.get(from..from + length).unwrap_or_default())
        {
            return Err(
                "the file is damaged: a sheet says that it is larger than a sheet can be".into()
            );
        }
        if !CELLS.contains(&kind) || length < 4 {
            continue;
        }
        let (Some(row), Some(first)) = (word(from), word(from + 2)) else { break };
        let last = if kind == MANY { word(at - 2).unwrap_or(first) } else { first };
        let last = last.max(first);
        if last >= COLUMNS {
            return Err(
                "the file is damaged: a cell says that it stands beyond the last column".into()
            );
        }
        let Some(reach) = out.last_mut() else { continue };
        let (top, left, bottom, right) = reach.unwrap_or((row, first, row, last));
        *reach = Some((top.min(row), left.min(first), bottom.max(row), right.max(last)));
    }
    Ok(out)
}

/// Whether a sheet says that it has more cells than any: its reader would make room for all of them at once.
fn says_too_much(record: &[u8]) -> bool {
    let half = |at: usize| u64::from(u16::from_le_bytes([record[at], record[at + 1]]));
    let whole = |at: usize| half(at) | half(at + 2) << 16;
    // First and last row, first and last column; the last ones are those after.
    let (rows, columns) = match record.len() {
        10 => (half(2).saturating_sub(half(0)), half(6)),
        14 | 16 => (whole(4).saturating_sub(whole(0)), half(10)),
        _ => return false,
    };
    rows * columns > u64::from(ROWS) * u64::from(COLUMNS)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(kind: u16, words: &[u16]) -> Vec<u8> {
        let length = 2 * words.len() as u16;
        [kind, length].iter().chain(words).flat_map(|w| w.to_le_bytes()).collect()
    }

    #[test]
    fn the_reach_of_each_sheet_is_its_rectangle() {
        let stream = [
            record(0x0809, &[0x0600, 5]),
            record(0x0809, &[0x0600, 16]),
            record(0x0203, &[2, 1, 0, 0, 0, 0, 0]),
            record(0x00BD, &[9, 3, 0, 0, 0, 0, 0, 0, 5]),
            record(0x000A, &[]),
            record(0x0809, &[0x0600, 16]),
            record(0x0204, &[65_535, 255, 0]),
            record(0x0204, &[0, 0, 0]),
        ]
        .concat();
        let found = reaches(&stream).expect("no cell lies beyond");
        assert_eq!(found, [None, Some((2, 1, 9, 5)), Some((0, 0, 65_535, 255))]);
        // Eight rows of five columns; all of a sheet.
        assert_eq!(found.into_iter().map(cells_of).collect::<Vec<_>>(), [0, 40, 65_536 * 256]);
        // A sheet of 65,536 rows and 256 columns can be, one of twice the rows cannot.
        let sized = |rows: u16| {
            [record(0x0809, &[0x0600, 16]), record(0x0200, &[0, 0, 0, rows, 0, 256, 0])].concat()
        };
        assert!(reaches(&sized(1)).is_ok() && reaches(&sized(2)).is_err());
        // The text of a formula stands in a record of its own, which begins with its length and letters.
        let text = [
            record(0x0809, &[0x0600, 16]),
            record(0x0006, &[1, 2, 0]),
            record(0x0207, &[10, 0x3100, 0x3039, 0x2D34]),
        ];
        assert_eq!(reaches(&text.concat()), Ok(vec![Some((1, 2, 1, 2))]));
        let locked = [record(0x0809, &[0x0600, 5]), record(0x002F, &[0, 0x1234, 0x5678])].concat();
        assert!(reaches(&locked).is_err_and(|why| why.contains("password")));
        let beyond = [record(0x0809, &[0x0600, 16]), record(0x0203, &[0, 256, 0])].concat();
        assert!(reaches(&beyond).is_err());
    }
}
