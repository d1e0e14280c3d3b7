//! The register of finding codes: two letters of the room, a hyphen, three digits, never reused.

use super::Severity::{self, Error, Note, Warning};

/// A finding's code: what it means, why it matters and how to mend it.
#[derive(Debug, PartialEq, Eq)]
pub struct Code {
    /// The stable code, as `IN-004`.
    pub code: &'static str,
    /// Its severity.
    pub severity: Severity,
    /// What it means and why it matters.
    pub meaning: &'static str,
    /// How to mend it.
    pub cure: &'static str,
}

macro_rules! codes {
    ($($name:ident $code:literal $severity:ident $meaning:literal $cure:literal;)*) => {
        /// The codes by name.
        pub mod name {
            use super::Code;
            $(
                #[doc = concat!("`", $code, "`: ", $meaning)]
                pub static $name: Code = Code {
                    code: $code, severity: super::$severity, meaning: $meaning, cure: $cure,
                };
            )*
        }
        /// Every code, in order.
        pub static CODES: &[&Code] = &[$(&name::$name),*];
    };
}

codes! {
    LEFT_OUT "WB-001" Note
        "A file or subfolder was left out: no spreadsheet, a lock file, hidden, or one of this program's own reports."
        "Nothing, if that is right; else name the file on the command line.";
    UNREADABLE_FILE "WB-002" Error
        "A file in a folder could not be read; the others were."
        "Open it in a spreadsheet program, remove any password and save it again as xlsx.";
    UNREADABLE_SHEET "WB-003" Error
        "A sheet could not be read; the rest of its workbook was."
        "Save the workbook again as xlsx and look at that sheet.";
    UNREADABLE_CELL "WB-004" Error
        "A cell could not be read; the rest of its sheet was."
        "Type the cell's value again.";
    HIDDEN_SHEET "WB-005" Note
        "A sheet is hidden. It was read like the others."
        "Unhide it and see whether it is still meant to count.";
    ODD_BYTES "WB-006" Warning
        "A text file holds bytes that fit no common encoding; they were replaced."
        "Save the file as UTF-8.";
    OTHER_EXTENSION "WB-007" Note
        "The file's content is of another kind than its name says; it was read by its content."
        "Rename it.";
    ERROR_CELL "WB-008" Error
        "A cell shows an error such as #N/A; its value is unknown."
        "Mend the formula.";
    NEVER_CALCULATED "WB-009" Error
        "A formula has never been calculated, so the file holds no value for it."
        "Open the file in a spreadsheet program, let it calculate and save it.";
    HIDDEN_CELLS "WB-010" Note
        "Rows or columns are hidden. They were read like the others."
        "Unhide them and see whether they are still meant to count.";
    MANUAL_CALCULATION "WB-011" Warning
        "The workbook calculates only when told, so what its formulas show may be old."
        "Let it calculate, save it, and run again.";
    NOTES "WB-012" Note
        "Notes hang on cells; what they say was not read."
        "Bring what matters into a column.";
    STRUCK_THROUGH "WB-013" Warning
        "Cells are struck through, which people do to say that something is gone; they were read like the others."
        "Delete what is gone, or say so in a column.";
    SHEET_LEFT_OUT "WB-014" Note
        "A sheet that holds no cells of data (charts, dialogs, macros) was left out; the rest of its workbook was read."
        "Nothing.";
    OTHER_FILE "WB-015" Warning
        "Cells are worked out from another file; the value is the one of the last time both were open."
        "Open both files, let them calculate and save.";
    PLACEHOLDER "WB-016" Warning
        "A formula holds the value 0 in a file that no spreadsheet program wrote: the zero may be only a placeholder."
        "Open the file in a spreadsheet program, let it calculate and save it.";
    PIVOT "WB-017" Note
        "A pivot table lies on the sheet; its rows are sums of others, not units."
        "Name the workbook that it is made from.";
    NOT_SEEN "WB-018" Note
        "This kind of file does not let hidden rows, notes and number formats be seen; a unit that stands only in a format is not read."
        "Save it as xlsx if that matters.";
    RAGGED "WB-019" Warning
        "A line of a text file holds more fields than its headings."
        "Put text that holds the separator into quotes.";

    NO_TABLE "IN-001" Note
        "No table of a known kind was found on this sheet; nothing of it was used."
        "If it holds data, give its columns headings that `sparemesh check` knows, or map them in columns.toml.";
    UNKNOWN_HEADING "IN-002" Note
        "A column's heading is not known; the column was not used."
        "Map it in columns.toml, or ignore it.";
    NOT_A_NUMBER "IN-003" Error
        "A cell that should hold a number holds something else; the row's other cells were used."
        "Type the number, with its unit if it is not that of the heading.";
    AMBIGUOUS_NUMBER "IN-004" Error
        "A number can be read in two ways (1.299 is 1299 or 1.299), and nothing in its column decides."
        "Type it without the sign between the thousands.";
    UNIT_FROM_DATA "IN-005" Warning
        "A column has no unit; the one that fits its values was taken."
        "Write the unit into the heading, as `Power [kW]`.";
    NO_UNIT "IN-006" Error
        "A column has no unit and its values do not tell which; it was not used, or only its cells with a unit of their own were."
        "Write the unit into the heading, as `Power [kW]`.";
    WRONG_UNIT "IN-007" Error
        "A cell's unit does not belong to its column."
        "Correct the unit or move the value.";
    RECOVERED_RATIO "IN-008" Note
        "A ratio that the spreadsheet had turned into a time or date was recovered."
        "Format the column as text and type the ratio as 25 or 25:1.";
    LOST_RATIO "IN-009" Error
        "A ratio became a time or date and cannot be told any more."
        "Type the ratio again, as text.";
    NOT_A_RATIO "IN-010" Error
        "A cell that should hold a ratio holds something else."
        "Type the ratio as 25 or 25:1.";
    RATIO_BELOW_ONE "IN-011" Note
        "A ratio below one was read as output over input."
        "Type it as input over output.";
    UNKNOWN_WORD "IN-012" Error
        "A cell's word is none of those this column may hold."
        "Use one of the words listed.";
    NO_TAG "IN-013" Error
        "A row of the fleet has no tag; it was set aside."
        "Give it a tag.";
    NAMED_BY_PLACE "IN-014" Note
        "A row without a tag was named by its area and machine."
        "Give it a tag.";
    DUPLICATE_TAG "IN-015" Error
        "The same unit at the same tag stands in two rows; one was used."
        "Delete the row that is wrong.";
    TAG_SHARED "IN-016" Warning
        "One tag stands on several different units; they were taken as separate positions."
        "Give each its own tag.";
    DUPLICATE_DIFFERS "IN-017" Error
        "Two rows for one unit disagree in this cell."
        "Correct the wrong one.";
    NOTHING_IDENTIFIES "IN-018" Warning
        "Nothing identifies the unit at this tag: its verdicts will be `measure`."
        "Enter its model, or its ratio and rating, from the plate.";
    FROM_TEXT "IN-019" Warning
        "Values were read from a description; they are as good as its text."
        "Check them against the plate and enter them in columns of their own.";
    NEAR_MODEL "IN-020" Warning
        "A model was matched to the catalogue, but not by the same spelling."
        "Confirm it and correct the spelling.";
    NO_MODEL "IN-021" Warning
        "A model is not in the catalogue; only what its own row says is known of it."
        "Add it to the catalogue, or correct the name.";
    TOTAL_ROW "IN-022" Note
        "A row of totals was left out."
        "Nothing.";
    REPEATED_HEADING "IN-023" Note
        "A repeated heading row was left out."
        "Nothing.";
    AFTER_TABLE "IN-024" Note
        "Text below or beside the table was not taken as data."
        "Nothing, if it is a remark.";
    TWO_COLUMNS "IN-025" Warning
        "Two columns mean the same; the first filled one of each row was used."
        "Delete or rename one of them, or map it in columns.toml.";
    CONTRADICTION "IN-026" Error
        "Two values of one row contradict each other; figures that rest on them are doubtful until one is mended."
        "Look at the plate and correct the wrong cell.";
    UNUSUAL "IN-027" Warning
        "A value is used, but it is not one that the trade would expect."
        "Check it against the plate.";
    CONSEQUENCE_NUMBER "IN-028" Error
        "Consequence classes are numbers, which could run either way; these positions count as `line` and none of their spares is released."
        "Add the line `consequence_order = [\"1\", \"2\", \"3\", \"4\"]` (worst first) to policy.toml.";
    WORD_MAPPED "IN-029" Note
        "A word was taken for one of the program's own."
        "Nothing, if that is right.";
    BLANK_ASSUMED "IN-030" Note
        "A blank was filled with the policy's default."
        "Fill the cell.";
    OTHER_CURRENCY "IN-031" Error
        "An amount is in another currency than the policy's, and the policy gives no rate."
        "Convert it, or add the rate to policy.toml under [currency_rates].";
    DATE_AS_TEXT "IN-032" Error
        "A date could not be read."
        "Type it as 2026-10-31.";
    UNKNOWN_TAG "IN-033" Warning
        "A row names a tag that is not in the fleet."
        "Correct the tag, or add the position.";
    INHERITED "IN-034" Note
        "A value was taken over a merged range from its first cell, or over a ditto sign from the row above."
        "Nothing.";
    DECIDED_NUMBER "IN-035" Note
        "A number that can be read in two ways was decided by the rest of its column."
        "Nothing, if that is right.";
    UNREAD_LOG "IN-036" Warning
        "The events table holds no exchange of a unit, or words that cannot be read: it is no data, not a zero."
        "Use the words exchange, repair, part, adjust in the event column.";
    MISSING_WORD "IN-037" Note
        "A cell says that its value is not known; it counts as blank."
        "Enter the value when it is known.";
    RATING_DISAGREES "IN-038" Error
        "Rated power, torque, speed and ratio of one row do not belong together."
        "Look at the list or the plate and correct the wrong cell, or its unit.";
    ASK_COLUMN "IN-039" Warning
        "A column's heading says one thing and its values another; it was not used."
        "Map the column in columns.toml, or ignore it there.";
    SEVERAL_TAGS "IN-040" Warning
        "One row's tag names several positions; each was taken as a position of its own."
        "Give each its own row, so that what differs can be told.";
    ON_ITS_SIDE "IN-041" Note
        "The table lies on its side: its headings stand in a column, and each further column is a row."
        "Nothing, if that is right.";
    TWO_PLACES "IN-042" Warning
        "A serial or item number stands in two places that cannot both be right."
        "Look at the plate, or at the bin, and correct the wrong line.";
    MEASURED "IN-043" Note
        "Values that a planner measured stand in for those of the list."
        "Bring them into the list.";
    UNKNOWN_CANDIDATE "IN-044" Error
        "A swap names a candidate that is no shelf item, tag or model of the plant."
        "Write it as the stock list, the fleet or the catalogue does, or as `explain` prints it.";
    SEVERAL_MODELS "IN-045" Warning
        "The catalogue holds a model's name more than once, and the row does not say which it is; how all of them are built was taken, what they can carry was not."
        "Enter the ratio, and the maker where several have that name.";
    TWO_LISTS "IN-046" Warning
        "Two stock lists hold the same items in the same bins; most likely they are of one storeroom at two times, and every unit was counted twice."
        "Read only the newest; where there are two storerooms, name the bins so that they differ.";
    REPEATED_MODELS "IN-047" Note
        "Two catalogues list the same models with the same build and rating; the rows of the first were used."
        "Nothing; name the newer list in `first_file` of the policy if its prices and lead times are to count.";
    REPEATED_EVENTS "IN-048" Note
        "Two logs hold the same events word for word; each was counted once."
        "Nothing, if that is right.";

    KIND_OF_LOAD "GE-001" Note
        "The kind of load was taken from a word or from what is fitted."
        "Fill the column `holds load` with none, runs-back, overhauling or suspended.";
    TRAIN_AXES "GE-002" Error
        "The gear train and the axes contradict each other: a worm or bevel stage turns the axis, spur and helical stages do not."
        "Correct the gear train or the axes.";
    RATIO_RANGE "GE-003" Warning
        "The ratio is outside what this type of gear usually has."
        "Check the ratio against the plate.";

    MACHINE_UNKNOWN "RA-001" Note
        "The driven machine is in no list; class M was assumed."
        "Fill the column `load class`.";
    MACHINE_ASSUMED "RA-002" Note
        "The driven machine stands in several classes; the higher was taken."
        "Say how it is loaded, or fill the column `load class`.";
    MOTOR_LIMITED "RA-003" Warning
        "The torque on the plate is so near to the motor's own that it was taken for that, and not for what the gears can carry; without a service factor the rating is then unknown."
        "Enter the service factor from the plate; if the torque is what the gears carry, enter `gear` in a column `Rating basis`.";
    OVERWORKED "RA-004" Warning
        "The unit carries less than its duty asks: strength, heat, peak, shaft load or speed."
        "Look at it with `sparemesh rate`, or on the report's sheet Overworked.";

    WRONG_FOR_PLACE "FI-001" Warning
        "The unit that is fitted would not be accepted here as a spare: the position is wrong, not the unit."
        "See the gate named.";

    NO_PRICE "SP-001" Note
        "A price or a value is missing: what has none is not bought, not let go, and in no sum of money."
        "Enter the price, or the unit value.";
    NO_LEAD_TIME "SP-002" Note
        "A lead time was taken from the policy's table by mass."
        "Enter the lead time.";
    FITS_NOTHING "SP-003" Note
        "A shelf line fits no position that is known well enough to say."
        "See the sheet Hold, release, buy.";
    NO_DOWN_COST "SP-004" Warning
        "Positions have no cost of an hour down, and no other position of their class has one."
        "Enter what an hour of standing still costs; until then no spare is weighed for them.";
    DOWN_COST_ASSUMED "SP-005" Note
        "The cost of an hour down was taken from the middle of the other positions of the class."
        "Enter what an hour of standing still costs.";
    INSPECTION_OLD "SP-006" Note
        "A unit called ready was inspected longer ago than the policy allows, or after the stock date; it counts as unproven."
        "Inspect it, and enter the date.";
    INSPECTION_UNDATED "SP-007" Note
        "A unit called ready has no date of inspection; it was taken as ready."
        "Enter when it was last inspected.";
    GROUP_SIZE "SP-008" Warning
        "A redundancy group counts more or fewer units than the fleet has positions of it; the written count was used."
        "Correct the count, or add the missing positions.";
    RESERVED_ELSEWHERE "SP-009" Warning
        "A unit is reserved for a position where it is not proven to fit, so it serves nobody."
        "Clear the reservation, or settle with `sparemesh explain` whether it fits.";
    NO_EXCHANGES "SP-010" Warning
        "No exchange of a unit is in the events, so every rate of failure is the policy's default."
        "Add the events of the last years, with a kind such as `unit replaced`.";

    MAPPED_UNUSED "PO-001" Warning
        "A line of columns.toml matched no column."
        "Correct or delete it.";
    LEVELS_OUT_OF_ORDER "PO-002" Warning
        "A worse class is asked to be served less well than a milder one."
        "Correct the service levels in policy.toml.";

    NO_HISTORY "RE-001" Note
        "There is no snapshot of the month before; changes are against the newest earlier month, or blank."
        "Run `report --month` every month with the same output folder.";
}

/// Finds a code by its name, in any case.
#[must_use]
pub fn find_code(code: &str) -> Option<&'static Code> {
    CODES.iter().copied().find(|c| c.code.eq_ignore_ascii_case(code.trim()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_unique_and_in_order() {
        let rooms = ["WB", "IN", "GE", "RA", "FI", "SP", "PO", "RE"];
        let key = |c: &Code| {
            let (room, number) = c.code.split_once('-').expect("room and number");
            (rooms.iter().position(|r| *r == room).expect("a room"), number.to_owned())
        };
        assert!(CODES.windows(2).all(|pair| key(pair[0]) < key(pair[1])));
    }
}
