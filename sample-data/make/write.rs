//! Writes the files, each messy in its own way.

use std::error::Error;
use std::path::Path;

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatAlign, Workbook, Worksheet};

use super::Month;
use super::catalogue::Model;
use super::events::Event;
use super::fleet::Drive;
use super::shelf::{Line, Part};

type Wrote = Result<(), Box<dyn Error>>;

/// A workbook whose bytes do not depend on the clock.
fn book() -> Result<Workbook, Box<dyn Error>> {
    let mut book = Workbook::new();
    let made = ExcelDateTime::from_ymd(2026, 11, 1)?;
    book.set_properties(
        &DocProperties::new().set_creation_datetime(&made).set_author("mill planning office"),
    );
    Ok(book)
}

fn cell(sheet: &mut Worksheet, row: u32, col: u16, value: Option<f64>) -> Wrote {
    if let Some(value) = value {
        sheet.write(row, col, value)?;
    }
    Ok(())
}

fn word(sheet: &mut Worksheet, row: u32, col: u16, text: &str) -> Wrote {
    if !text.is_empty() {
        sheet.write(row, col, text)?;
    }
    Ok(())
}

/// Wood yard and pulping: titles, merged group headings, areas merged over their rows, ratios
/// that became times and dates, a heading repeated on page two, totals.
pub(crate) fn fleet_north(path: &Path, drives: &[Drive]) -> Wrote {
    let mut book = book()?;
    let sheet = book.add_worksheet().set_name("Drives north")?;
    let bold = Format::new().set_bold();
    let centre = Format::new().set_bold().set_align(FormatAlign::Center);
    sheet.write_with_format(0, 0, "Board mill, gear reducers of wood yard and pulping", &bold)?;
    sheet.write(1, 0, "kept by the planning office; see remarks below the list")?;
    sheet.merge_range(3, 3, 3, 6, "Motor", &centre)?;
    sheet.merge_range(3, 7, 3, 10, "Gear unit", &centre)?;
    let headings = [
        "Area",
        "Tag no.",
        "Driven machine",
        "Power [kW]",
        "Speed [rpm]",
        "Absorbed power [kW]",
        "Starts per hour",
        "Maker",
        "Model",
        "Ratio",
        "Serial no.",
        "Hours per day",
        "Output connection",
        "Output pitch diameter [mm]",
        "Criticality",
        "Cost of an hour down [EUR]",
        "Holds load",
        "Back-stop",
        "Coupling max bore [mm]",
        "Installed",
        "Slowest speed [rpm]",
        "State",
        "Redundancy",
        "Foreman",
    ];
    let write_headings = |sheet: &mut Worksheet, row: u32| -> Wrote {
        for (col, heading) in (0_u16..).zip(headings) {
            sheet.write_with_format(row, col, heading, &bold)?;
        }
        Ok(())
    };
    write_headings(sheet, 4)?;
    let elapsed = Format::new().set_num_format("[h]:mm:ss");
    let day = Format::new().set_num_format("d-mmm");
    let mut row = 5;
    for area in ["Wood yard", "Pulping"] {
        let of_area: Vec<&Drive> = drives.iter().filter(|d| d.area == area).collect();
        let first = row;
        for (n, drive) in of_area.iter().enumerate() {
            if n == 24 {
                write_headings(sheet, row)?;
                row += 1;
            }
            north_row(sheet, row, drive, n, &elapsed, &day)?;
            row += 1;
        }
        if area == "Pulping" {
            sheet.merge_range(first, 0, first + 23, 0, area, &Format::new())?;
            for rest in first + 25..row {
                sheet.write(rest, 0, area)?;
            }
        } else {
            for rest in (first..row).filter(|r| *r != first + 24) {
                sheet.write(rest, 0, area)?;
            }
        }
    }
    sheet.write(row, 0, "Total")?;
    sheet.write(
        row,
        3,
        drives
            .iter()
            .filter(|d| matches!(d.area, "Wood yard" | "Pulping"))
            .map(|d| d.motor_kw)
            .sum::<f64>(),
    )?;
    sheet.write(
        row + 2,
        0,
        "Remark: units marked No. are from before the fire and have no papers.",
    )?;
    book.save(path)?;
    Ok(())
}

fn north_row(
    sheet: &mut Worksheet,
    row: u32,
    d: &Drive,
    n: usize,
    elapsed: &Format,
    day: &Format,
) -> Wrote {
    // One row in the yard lost its tag when somebody sorted the list.
    if d.tag != "WY-120" {
        word(sheet, row, 1, &d.tag)?;
    }
    word(sheet, row, 2, &d.machine)?;
    match d.tag.as_str() {
        "WY-103" => word(sheet, row, 3, "30 hp")?,
        "PU-112" => word(sheet, row, 3, "2O")?,
        _ => cell(sheet, row, 3, Some(d.motor_kw))?,
    }
    cell(sheet, row, 4, Some(d.motor_rpm))?;
    cell(sheet, row, 5, d.absorbed_kw)?;
    cell(sheet, row, 6, d.starts)?;
    word(sheet, row, 7, &d.maker)?;
    word(sheet, row, 8, &d.name)?;
    let whole = d.ratio.fract() == 0.0;
    match n % 9 {
        2 if whole => {
            // 25:1 typed into a cell that was not text.
            sheet.write_with_format(row, 9, d.ratio / 24.0 + 1.0 / 1440.0, elapsed)?;
        }
        5 if whole && d.ratio < 32.0 => {
            // 1/25 became a day of January.
            sheet.write_with_format(row, 9, 45_657.0 + d.ratio, day)?;
        }
        3 => word(sheet, row, 9, &format!("{}:1", d.ratio))?,
        7 => word(sheet, row, 9, &format!("i = {}", d.ratio.to_string().replace('.', ",")))?,
        _ => cell(sheet, row, 9, Some(d.ratio))?,
    }
    word(sheet, row, 10, &d.serial)?;
    cell(sheet, row, 11, d.hours)?;
    word(sheet, row, 12, d.output)?;
    cell(sheet, row, 13, d.pulley)?;
    let letter = match d.class {
        "people" => "A",
        "line" => "B",
        "slow" => "C",
        _ => "D",
    };
    word(sheet, row, 14, letter)?;
    cell(sheet, row, 15, d.down_cost)?;
    word(sheet, row, 16, d.holds.unwrap_or_default())?;
    word(sheet, row, 17, d.back_stop.unwrap_or_default())?;
    cell(sheet, row, 18, d.max_bore)?;
    if let Some(year) = d.installed {
        sheet.write(row, 19, year)?;
    }
    cell(sheet, row, 20, d.slowest)?;
    word(sheet, row, 21, d.state.unwrap_or_default())?;
    word(sheet, row, 22, d.redundancy.unwrap_or_default())?;
    Ok(())
}

/// Board machine and finishing: motors in hp, other heading words, a duplicate, a shared tag,
/// missing words.
pub(crate) fn fleet_machine_hall(path: &Path, drives: &[Drive]) -> Wrote {
    let mut book = book()?;
    let sheet = book.add_worksheet().set_name("Machine hall")?;
    let bold = Format::new().set_bold();
    sheet.write(0, 0, "Machine hall and finishing")?;
    let headings = [
        "Equipment tag",
        "Plant area",
        "Service",
        "Mtr Pwr (HP)",
        "RPM",
        "Abs. power kW",
        "Run hours",
        "Mfr",
        "Gearbox type",
        "Gear ratio",
        "Serial",
        "Conn. output",
        "Sprocket PCD mm",
        "Consequence class",
        "Downtime cost",
        "Load holding",
        "Hub max bore mm",
        "Year",
        "Installed",
        "Zone",
        "Description",
        "Tooth counts",
    ];
    for (col, heading) in (0_u16..).zip(headings) {
        sheet.write_with_format(2, col, heading, &bold)?;
    }
    let mut row = 3;
    for drive in drives.iter().filter(|d| matches!(d.area, "Board machine" | "Finishing")) {
        hall_row(sheet, row, drive)?;
        row += 1;
        if drive.tag == "BM-110" {
            // The same unit once more, with another absorbed power.
            hall_row(sheet, row, &Drive { absorbed_kw: Some(33.3), ..drive.clone() })?;
            row += 1;
        }
        if drive.tag == "BM-120" {
            // Another unit under the same tag.
            hall_row(sheet, row, &Drive { serial: "X99001".into(), ..drive.clone() })?;
            row += 1;
        }
    }
    book.save(path)?;
    Ok(())
}

fn hall_row(sheet: &mut Worksheet, row: u32, d: &Drive) -> Wrote {
    word(sheet, row, 0, &d.tag)?;
    word(sheet, row, 1, d.area)?;
    word(sheet, row, 2, &d.machine)?;
    let hp = [
        (1.5, 2.0),
        (2.2, 3.0),
        (3.0, 4.0),
        (4.0, 5.0),
        (5.5, 7.5),
        (7.5, 10.0),
        (11.0, 15.0),
        (15.0, 20.0),
        (18.5, 25.0),
        (22.0, 30.0),
        (30.0, 40.0),
        (37.0, 50.0),
        (45.0, 60.0),
        (55.0, 75.0),
        (75.0, 100.0),
        (90.0, 125.0),
    ];
    let size = hp.iter().find(|(kw, _)| (kw - d.motor_kw).abs() < 1e-9).map_or(d.motor_kw, |p| p.1);
    cell(sheet, row, 3, Some(size))?;
    cell(sheet, row, 4, Some(d.motor_rpm))?;
    match (d.tag.as_str(), d.absorbed_kw) {
        ("BM-104", _) => word(sheet, row, 5, "n/a")?,
        ("BM-106", _) => word(sheet, row, 5, "25-30")?,
        (_, absorbed) => cell(sheet, row, 5, absorbed)?,
    }
    cell(sheet, row, 6, d.hours)?;
    word(sheet, row, 7, &d.maker)?;
    let name = match d.tag.as_str() {
        "BM-112" => d.name.replace(' ', "-").to_uppercase(),
        "BM-114" => d.name.replace('0', "O"),
        "FN-103" => d.name.to_lowercase(),
        _ => d.name.clone(),
    };
    word(sheet, row, 8, &name)?;
    match d.tag.as_str() {
        "BM-109" => word(sheet, row, 9, &format!("{}:l", d.ratio))?,
        "BM-111" => word(sheet, row, 9, &format!("1:{}", d.ratio))?,
        _ if d.description.is_some() => {}
        _ => cell(sheet, row, 9, Some(d.ratio))?,
    }
    word(sheet, row, 10, &d.serial)?;
    word(sheet, row, 11, d.output)?;
    cell(sheet, row, 12, d.pulley)?;
    word(sheet, row, 13, d.class)?;
    cell(sheet, row, 14, d.down_cost)?;
    word(sheet, row, 15, d.holds.unwrap_or(if d.tag == "FN-111" { "sometimes" } else { "" }))?;
    cell(sheet, row, 16, d.max_bore)?;
    if let Some(year) = d.installed {
        sheet.write(row, 18, format!("{year}-06-15"))?;
    }
    word(sheet, row, 19, d.zone.unwrap_or_default())?;
    word(sheet, row, 20, d.description.unwrap_or_default())?;
    if d.tag == "BM-108" {
        // Counted once, with the plate of another unit in hand.
        word(sheet, row, 21, "73/17 x 67/16")?;
    }
    Ok(())
}

/// Effluent and steam plant: a semicolon file in Windows-1252 with decimal commas.
pub(crate) fn fleet_river_side(path: &Path, drives: &[Drive]) -> Wrote {
    let mut text = String::from(
        "Tag;Area;Driven machine;Motor power kW;Motor speed;Absorbed power at motor kW;Hours/day;Make;Type;Ratio;Serial;\
         Output drive;Pulley mm;Consequence;Downtime cost;Holds load;Zone;Ambient \u{b0}C;Remarks\r\n",
    );
    let comma = |v: Option<f64>| v.map(|v| v.to_string().replace('.', ",")).unwrap_or_default();
    for d in drives.iter().filter(|d| matches!(d.area, "Effluent" | "Steam plant")) {
        let speed = if d.tag == "EF-104" { "1.450".to_owned() } else { comma(Some(d.motor_rpm)) };
        let class = match d.class {
            "people" => "safety",
            "line" => "stops line",
            "slow" => "reduced output",
            other => other,
        };
        let fields = [
            d.tag.clone(),
            d.area.into(),
            d.machine.clone(),
            comma(Some(d.motor_kw)),
            speed,
            comma(d.absorbed_kw),
            comma(d.hours),
            d.maker.clone(),
            d.name.clone(),
            comma(Some(d.ratio)),
            d.serial.clone(),
            d.output.into(),
            comma(d.pulley),
            class.into(),
            comma(d.down_cost),
            d.holds.unwrap_or_default().into(),
            d.zone.unwrap_or_default().into(),
            if d.area == "Steam plant" { "45".into() } else { String::new() },
            if d.tag == "ST-105" {
                "caf\u{e9} side \u{2013} hot".replace('\u{2013}', "-")
            } else {
                String::new()
            },
        ];
        text.push_str(
            &fields.map(|f: String| if f.contains(';') { format!("\"{f}\"") } else { f }).join(";"),
        );
        text.push_str("\r\n");
    }
    // Every character used is in Latin-1, whose bytes are their code points.
    let bytes: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect();
    std::fs::write(path, bytes)?;
    Ok(())
}

/// The catalogue, one sheet, three input speeds a model.
pub(crate) fn catalogue(path: &Path, models: &[Model], month: Month) -> Wrote {
    let mut book = book()?;
    let sheet = book.add_worksheet().set_name("Catalogue")?;
    let headings = [
        "Maker",
        "Model",
        "Gear type",
        "Axes",
        "Mounting",
        "Ratio",
        "n1 [r/min]",
        "Rated torque [Nm]",
        "Efficiency [%]",
        "Shaft height [mm]",
        "Foot holes [mm]",
        "Output form",
        "Output shaft [mm]",
        "Input shaft [mm]",
        "Input shaft length [mm]",
        "Input flange",
        "Max input speed [rpm]",
        "Overhung load [N]",
        "Weight [kg]",
        "Price [EUR]",
        "Lead time [days]",
        "Status",
        "Dimensions [mm]",
        "Thermal power [kW]",
    ];
    let bold = Format::new().set_bold();
    for (col, heading) in (0_u16..).zip(headings) {
        sheet.write_with_format(0, col, heading, &bold)?;
    }
    let dearer = if month == Month::October { 1.02 } else { 1.0 };
    let mut row = 1;
    for m in models {
        for (n1, share) in [(1450.0, 1.0), (970.0, 1.05), (725.0, 1.08)] {
            if n1 < 900.0 && (m.train == "worm" || m.status == "discontinued") {
                continue;
            }
            for (col, text) in [
                (0, m.maker),
                (1, &*m.name),
                (2, m.train),
                (3, m.axes),
                (4, m.mounting),
                (11, m.form),
                (21, m.status),
            ] {
                word(sheet, row, col, text)?;
            }
            cell(sheet, row, 5, Some(m.ratio))?;
            cell(sheet, row, 6, Some(n1))?;
            cell(sheet, row, 7, Some((m.torque_nm * share / 10.0).round() * 10.0))?;
            cell(sheet, row, 8, Some((m.efficiency * 100.0).round()))?;
            if m.mounting == "foot" {
                cell(sheet, row, 9, Some(m.height))?;
                word(sheet, row, 10, &m.foot)?;
            }
            cell(sheet, row, 12, Some(m.shaft))?;
            cell(sheet, row, 13, m.input_shaft)?;
            cell(sheet, row, 14, Some(m.input_shaft_length))?;
            word(sheet, row, 15, m.input_flange.unwrap_or_default())?;
            cell(sheet, row, 16, Some(if m.size > 200.0 { 1800.0 } else { 3000.0 }))?;
            cell(sheet, row, 17, Some(m.overhung_n))?;
            cell(sheet, row, 18, Some(m.mass))?;
            cell(sheet, row, 19, Some((m.price * dearer / 10.0).round() * 10.0))?;
            cell(sheet, row, 20, Some(m.lead_days))?;
            cell(sheet, row, 23, m.thermal_kw)?;
            word(
                sheet,
                row,
                22,
                &format!("{:.0}x{:.0}x{:.0}", m.size * 3.4, m.size * 2.1, m.size * 2.3),
            )?;
            row += 1;
        }
    }
    book.save(path)?;
    Ok(())
}

/// Storeroom: shelf and parts in one workbook.
pub(crate) fn storeroom(path: &Path, lines: &[Line], parts: &[Part], month: Month) -> Wrote {
    let mut book = book()?;
    let sheet = book.add_worksheet().set_name("Stock list")?;
    sheet.write(0, 0, "Stock list, gear units and their parts")?;
    let headings = [
        "Material no.",
        "Material description",
        "Maker",
        "Model",
        "Ratio",
        "Qty on hand",
        "Bin",
        "Book value [EUR]",
        "Condition",
        "Last inspected",
        "Last moved",
        "Reserved for",
        "On order",
        "Part",
        "Stock date",
    ];
    let bold = Format::new().set_bold();
    for (col, heading) in (0_u16..).zip(headings) {
        sheet.write_with_format(2, col, heading, &bold)?;
    }
    let date = if month == Month::October { "2026-10-31" } else { "2026-09-30" };
    let day = Format::new().set_num_format("yyyy-mm-dd");
    let mut row = 3;
    for line in lines {
        for (col, text) in [
            (0, &*line.item),
            (1, &line.description),
            (2, &line.maker),
            (3, &line.model),
            (6, &line.bin),
            (8, line.condition),
            (11, line.reserved),
            (13, line.part),
            (14, date),
        ] {
            word(sheet, row, col, text)?;
        }
        cell(sheet, row, 4, line.ratio)?;
        cell(sheet, row, 5, Some(line.quantity))?;
        cell(sheet, row, 7, line.value)?;
        if let Some((year, month)) = line.inspected {
            sheet.write_with_format(row, 9, ExcelDateTime::from_ymd(year, month, 15)?, &day)?;
        }
        if let Some(year) = line.moved {
            sheet.write_with_format(row, 10, ExcelDateTime::from_ymd(year, 5, 20)?, &day)?;
        }
        cell(sheet, row, 12, line.on_order)?;
        row += 1;
    }
    sheet.write(row, 0, "Total")?;
    sheet.write(row, 5, lines.iter().map(|l| l.quantity).sum::<f64>())?;
    let sheet = book.add_worksheet().set_name("Parts")?;
    for (col, heading) in (0_u16..).zip([
        "Model",
        "Part",
        "Kind",
        "Designation",
        "Qty per unit",
        "Lead time [weeks]",
        "Price [EUR]",
    ]) {
        sheet.write_with_format(0, col, heading, &bold)?;
    }
    for (row, part) in (1_u32..).zip(parts) {
        for (col, text) in
            [(0, &*part.model), (1, part.part), (2, part.kind), (3, &part.designation)]
        {
            word(sheet, row, col, text)?;
        }
        for (col, value) in [(4, part.quantity), (5, part.lead_weeks), (6, part.price)] {
            cell(sheet, row, col, Some(value))?;
        }
    }
    book.save(path)?;
    Ok(())
}

/// Events and swaps.
pub(crate) fn events(path: &Path, log: &[Event]) -> Wrote {
    let mut book = book()?;
    let sheet = book.add_worksheet().set_name("Events")?;
    let bold = Format::new().set_bold();
    for (col, heading) in (0_u16..).zip(["Date", "Tag", "Work done", "Cause", "Downtime [h]"]) {
        sheet.write_with_format(0, col, heading, &bold)?;
    }
    let day = Format::new().set_num_format("dd.mm.yyyy");
    for (row, event) in (1_u32..).zip(log) {
        let date = ExcelDateTime::from_ymd(event.year, event.month, event.day)?;
        sheet.write_with_format(row, 0, date, &day)?;
        for (col, text) in [(1, &*event.tag), (2, event.what), (3, event.cause)] {
            word(sheet, row, col, text)?;
        }
        cell(sheet, row, 4, event.hours)?;
    }
    let sheet = book.add_worksheet().set_name("Swaps")?;
    for (col, heading) in (0_u16..).zip(["Tag", "Candidate", "Ruling", "By", "Date", "Note"]) {
        sheet.write_with_format(0, col, heading, &bold)?;
    }
    let rows = [
        [
            "CV-501",
            "Ferrow 180",
            "allowed",
            "shift lead",
            "2021-02-11",
            "ran three weeks, coupling guard moved 20 mm",
        ],
        [
            "DR-801",
            "Heron 225",
            "never",
            "mechanical engineer",
            "2019-08-03",
            "gear case cracked at the foot",
        ],
    ];
    for (row, line) in (1_u32..).zip(rows) {
        for (col, text) in (0_u16..).zip(line) {
            word(sheet, row, col, text)?;
        }
    }
    book.save(path)?;
    Ok(())
}
