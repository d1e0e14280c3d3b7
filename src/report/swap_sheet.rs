//! The swap sheet: one page that a crew takes along, with boxes to tick and blanks to fill, for the paper that the policy
//! names.

use rust_xlsxwriter::{
    DocProperties, Format, FormatAlign, FormatBorder, Workbook, Worksheet, XlsxError,
};

use super::{ReportError, styles};
use crate::fit::{
    Case, From, GateOutcome, Ranked, Verdict, cautions_for, first_line, load_line, oil_to_fill,
};
use crate::records::Field;
use crate::units::{System, beside, restated};

/// Widths of the four columns (characters).
const WIDTHS: [f64; 4] = [14.0, 18.0, 18.0, 60.0];

/// Last on the sheet, with boxes, once the oil is in.
const LAST: [&str; 3] = [
    "breather open, transport plug out, preservative out",
    "guards fitted to the new shaft ends",
    "bump-tested uncoupled: turns the right way, no noise",
];

/// Makes the swap sheet of a candidate for a position.
///
/// # Errors
/// When the writing library refuses a cell.
pub fn swap_sheet(
    case: &Case<'_>,
    ranked: &Ranked<'_>,
    system: System,
) -> Result<Vec<u8>, ReportError> {
    let mut book = Workbook::new();
    // The mark by which folders of inputs leave it out.
    book.set_properties(
        &DocProperties::new()
            .set_title(format!("Swap sheet {}", case.tag()))
            .set_author("sparemesh")
            .set_comment("sparemesh report"),
    );
    let sheet = book.add_worksheet();
    sheet.set_name("Swap sheet")?;
    page(sheet, case.policy.paper.code())?;
    let mut writer = Page { sheet, row: 0, system };
    writer.head(case, ranked)?;
    writer.comparison(ranked)?;
    writer.work(case, ranked)?;
    writer.measurements(ranked)?;
    writer.cautions(case)?;
    writer.last(case, ranked)?;
    Ok(book.save_to_buffer()?)
}

/// One page, portrait, narrow margins.
fn page(sheet: &mut Worksheet, paper: u8) -> Result<(), XlsxError> {
    for (col, width) in (0_u16..).zip(WIDTHS) {
        sheet.set_column_width(col, width)?;
    }
    sheet.set_portrait().set_paper_size(paper).set_print_fit_to_pages(1, 1);
    sheet.set_margins(0.4, 0.4, 0.4, 0.5, 0.2, 0.2);
    sheet.set_footer("&Lsparemesh swap sheet&RPrinted &D");
    sheet.set_screen_gridlines(false);
    Ok(())
}

struct Page<'a> {
    sheet: &'a mut Worksheet,
    row: u32,
    system: System,
}

impl Page<'_> {
    /// A text over all columns, as high as it needs.
    fn wide(&mut self, text: &str, format: &Format) -> Result<(), XlsxError> {
        let width: f64 = WIDTHS.iter().sum();
        let text = beside(text, self.system);
        let lines = lines_of(&text, width);
        self.sheet.merge_range(self.row, 0, self.row, 3, &text, format)?;
        self.sheet.set_row_height(self.row, 15.5 * lines)?;
        self.row += 1;
        Ok(())
    }

    fn section(&mut self, text: &str) -> Result<(), XlsxError> {
        self.row += 1;
        self.sheet.merge_range(self.row, 0, self.row, 3, text, &styles::section())?;
        self.row += 1;
        Ok(())
    }

    /// A label and what stands for it.
    fn line(&mut self, label: &str, text: &str) -> Result<(), XlsxError> {
        let width: f64 = WIDTHS[1..].iter().sum();
        let text = beside(text, self.system);
        let lines = lines_of(&text, width);
        let bold = Format::new().set_bold().set_align(FormatAlign::Top);
        self.sheet.write_with_format(self.row, 0, label, &bold)?;
        self.sheet.merge_range(self.row, 1, self.row, 3, &text, &wrapped())?;
        self.sheet.set_row_height(self.row, 15.5 * lines)?;
        self.row += 1;
        Ok(())
    }

    fn head(&mut self, case: &Case<'_>, ranked: &Ranked<'_>) -> Result<(), XlsxError> {
        let machine = case.position.driven_machine().unwrap_or("machine not named");
        self.wide(&format!("{}: {machine}", case.tag()), &styles::title().set_text_wrap())?;
        self.sheet.set_row_height(self.row - 1, 26.0)?;
        if let Some(line) = first_line(case) {
            let loud = Format::new()
                .set_bold()
                .set_text_wrap()
                .set_align(FormatAlign::VerticalCenter)
                .set_border(FormatBorder::Medium);
            self.wide(line, &loud)?;
            self.sheet.set_row_height(self.row - 1, 36.0)?;
        }
        if let Some(stop) = not_yet(ranked) {
            let loud = Format::new().set_bold().set_text_wrap().set_border(FormatBorder::Medium);
            self.wide(&stop, &loud)?;
        }
        self.line("Load", &load_line(case))?;
        self.line("Out", &case.fitted.name())?;
        let verdict = styles::verdict(ranked.assessed.verdict.word());
        let unit = ranked.candidate.unit.name();
        self.line("In", &format!("{unit} ({}): {verdict}", ranked.candidate.id))?;
        self.line("From", &from(case, ranked))?;
        let mass = ranked.candidate.unit.number(Field::mass_kg).map(|k| k.value);
        let lift = mass.map_or_else(
            || "MASS UNKNOWN: weigh or read the plate, lifting gear not checked".to_owned(),
            |kg| format!("{kg:.0} kg"),
        );
        self.line("Mass", &lift)
    }

    fn comparison(&mut self, ranked: &Ranked<'_>) -> Result<(), XlsxError> {
        self.section("Compared")?;
        for (col, heading) in (0_u16..).zip(["gate", "the spare", "this position", "what it says"])
        {
            self.sheet.write_with_format(self.row, col, heading, &styles::heading())?;
        }
        self.row += 1;
        for gate in &ranked.assessed.gates {
            let with_unit = |side: &crate::fit::Side| match (side, gate.unit) {
                (crate::fit::Side::Unknown, _) => "?".to_owned(),
                (crate::fit::Side::Number(n), unit) if !unit.is_empty() => {
                    restated(*n, unit, self.system).unwrap_or_else(|| format!("{side} {unit}"))
                }
                (side, "") => side.to_string(),
                (side, unit) => format!("{side} {unit}"),
            };
            let note = beside(&gate.note, self.system);
            let said = format!("{}: {note}", gate.outcome.word());
            let texts =
                [gate.gate.word().to_owned(), with_unit(&gate.have), with_unit(&gate.need), said];
            let mut lines = 1.0_f64;
            for ((col, text), width) in (0_u16..).zip(&texts).zip(WIDTHS) {
                lines = lines.max(lines_of(text, width));
                self.sheet.write_with_format(self.row, col, text, &wrapped())?;
            }
            self.sheet.set_row_height(self.row, 15.5 * lines)?;
            self.row += 1;
        }
        Ok(())
    }

    fn work(&mut self, case: &Case<'_>, ranked: &Ranked<'_>) -> Result<(), XlsxError> {
        self.section("Work")?;
        let gates = &ranked.assessed.gates;
        for work in gates.iter().flat_map(|g| &g.work) {
            let shop = if work.at_night { "" } else { ", needs the workshop" };
            self.wide(&format!("☐ {} ({:.1} h{shop})", work.text, work.hours), &wrapped())?;
        }
        if gates.iter().all(|g| g.work.is_empty()) {
            self.wide("none beyond the change itself", &wrapped())?;
        }
        for limit in ranked.assessed.limits_in_words() {
            self.wide(&format!("LIMIT until the right unit is in: {limit}"), &bold())?;
        }
        self.line("In all", &in_all(case, ranked))
    }

    fn measurements(&mut self, ranked: &Ranked<'_>) -> Result<(), XlsxError> {
        let mut texts: Vec<String> = Vec::new();
        for gate in &ranked.assessed.gates {
            if gate.outcome == GateOutcome::Pass {
                continue;
            }
            for measure in &gate.measure {
                if !texts.contains(&measure.text) {
                    texts.push(measure.text.clone());
                }
            }
        }
        if texts.is_empty() && ranked.assessed.confirm.is_empty() {
            return Ok(());
        }
        self.section("Measure and confirm before stripping anything")?;
        for text in texts {
            self.wide(&format!("☐ {text}: ________________"), &wrapped())?;
        }
        // What a box above asks for is not asked for again.
        let asked = |text: &String| {
            ranked.assessed.gates.iter().any(|g| {
                let note = format!("{}: {}", g.gate.word(), g.note);
                g.outcome != GateOutcome::Pass && !g.measure.is_empty() && *text == note
            })
        };
        let confirm = ranked.assessed.confirm.iter();
        for text in confirm.filter(|c| !c.is_empty() && !asked(c)).take(12) {
            self.wide(&format!("☐ {text}"), &wrapped())?;
        }
        Ok(())
    }

    fn cautions(&mut self, case: &Case<'_>) -> Result<(), XlsxError> {
        self.section("Cautions")?;
        for caution in cautions_for(case) {
            self.wide(caution, &wrapped())?;
        }
        Ok(())
    }

    fn last(&mut self, case: &Case<'_>, ranked: &Ranked<'_>) -> Result<(), XlsxError> {
        self.section("Before it runs")?;
        let litres = ranked.candidate.unit.number(Field::oil_volume_l).map(|k| k.value);
        let grade = oil_to_fill(case, &ranked.candidate);
        let amount = litres.map_or_else(|| "____ litres".to_owned(), |l| format!("{l:.1} litres"));
        self.wide(
            &format!("☐ oil in: {grade}, {amount}, to the level for this position"),
            &wrapped(),
        )?;
        for text in LAST {
            self.wide(&format!("☐ {text}"), &wrapped())?;
        }
        self.row += 1;
        self.wide(
            "Done by ______________________   Date and time ______________________   Responsible ______________________",
            &wrapped(),
        )
    }
}

/// The hours until it turns, and what they are made of.
fn in_all(case: &Case<'_>, ranked: &Ranked<'_>) -> String {
    let hours = &case.policy.hours;
    let work: f64 = ranked.assessed.gates.iter().flat_map(|g| &g.work).map(|w| w.hours).sum();
    let work = work.max(0.0); // a sum of nothing is a negative zero
    let mut parts = vec![format!("{:.1} h to fetch it", hours.fetch)];
    if matches!(ranked.candidate.from, From::Position(_)) {
        parts.push(format!("{:.1} h to take it off there", hours.change_unit));
    }
    parts.push(format!("{:.1} h to change the unit", hours.change_unit));
    parts.push(format!("{work:.1} h of the work above"));
    let lead = match ranked.candidate.from {
        From::Catalogue(_) => ", after it has come",
        _ => "",
    };
    format!(
        "about {:.0} h{lead}: {}",
        ranked.hours - 24.0 * ranked.candidate.lead_days(case.policy),
        parts.join(", ")
    )
}

/// What stands above everything where the unit may not simply go in.
fn not_yet(ranked: &Ranked<'_>) -> Option<String> {
    match ranked.assessed.verdict {
        Verdict::Measure => {
            Some("DO NOT FIT YET: measure first what is listed below; until then nobody knows whether it fits.".into())
        }
        Verdict::Refer => {
            Some("DO NOT FIT YET: the responsible engineer decides first, and signs.".into())
        }
        Verdict::No => Some("DO NOT FIT: it fails a gate; see Compared.".into()),
        Verdict::StopGap => {
            let limits = ranked.assessed.limits_in_words();
            Some(format!("STOP-GAP until the right unit is in: {}.", limits.join("; ")))
        }
        Verdict::Adapt | Verdict::DropIn => None,
    }
}

/// Lines that a text takes in a width of so many characters.
fn lines_of(text: &str, width: f64) -> f64 {
    super::table::wrapped(text, width * 0.95)
}

fn wrapped() -> Format {
    Format::new().set_text_wrap().set_align(FormatAlign::Top).set_align(FormatAlign::Left)
}

fn bold() -> Format {
    wrapped().set_bold()
}

/// Where the candidate comes from.
fn from(case: &Case<'_>, ranked: &Ranked<'_>) -> String {
    match ranked.candidate.from {
        From::Shelf(line) => {
            let shelf = &case.plant.shelf[line];
            let date =
                shelf.stock_date().map_or_else(String::new, |d| format!(", stock as of {d}"));
            format!(
                "bin {}, {:.0} on hand{date}, condition {}",
                shelf.bin().unwrap_or("not given"),
                shelf.quantity().unwrap_or(0.0),
                shelf.condition().unwrap_or("not given")
            )
        }
        From::Position(index) => {
            let tag = case.plant.positions[index].tag().unwrap_or("?");
            format!("position {tag}; what comes off counts as removed")
        }
        From::Catalogue(_) => {
            format!("to order, {:.0} days", ranked.candidate.lead_days(case.policy))
        }
    }
}
