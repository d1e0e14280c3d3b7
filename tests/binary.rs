//! Containers of binary records, built here record by record: xls of version 5, and xlsb.

use crate::field::{take_in, zip_bytes};
use sparemesh::intake::Intake;

/// One fleet: text, or a number if it can be read as one.
const ROWS: [[&str; 4]; 3] = [
    ["Tag", "Machine", "Motor power [kW]", "Ratio"],
    ["CV-1", "Förderer", "11", "25:1"],
    ["CV-2", "Pumpe", "7.5", "31.5"],
];

fn is_that_fleet(intake: &Intake) {
    let read: Vec<_> = intake
        .plant
        .positions
        .iter()
        .map(|p| (p.tag(), p.driven_machine(), p.motor_power_kw(), p.ratio()))
        .collect();
    assert_eq!(
        read,
        [
            (Some("CV-1"), Some("Förderer"), Some(11.0), Some(25.0)),
            (Some("CV-2"), Some("Pumpe"), Some(7.5), Some(31.5)),
        ],
        "{:?}",
        intake.findings
    );
}

/// A record of the older binary format: kind, length, content.
fn record(kind: u16, content: &[u8]) -> Vec<u8> {
    let length = u16::try_from(content.len()).unwrap();
    [&kind.to_le_bytes()[..], &length.to_le_bytes(), content].concat()
}

fn windows_1252(text: &str) -> Vec<u8> {
    text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect()
}

/// The stream of a workbook of version 5 with one sheet.
pub(crate) fn version_5() -> Vec<u8> {
    let begin = |kind: u16| {
        record(0x0809, &[&0x0500_u16.to_le_bytes()[..], &kind.to_le_bytes(), &[0; 4]].concat())
    };
    let mut sheet = begin(0x0010);
    for (row, cells) in (0_u16..).zip(ROWS) {
        for (col, text) in (0_u16..).zip(cells) {
            let at = [row.to_le_bytes(), col.to_le_bytes(), 0_u16.to_le_bytes()].concat();
            sheet.extend(if let Ok(number) = text.parse::<f64>() {
                record(0x0203, &[&at[..], &number.to_le_bytes()].concat())
            } else {
                let text = windows_1252(text);
                let length = u16::try_from(text.len()).unwrap().to_le_bytes();
                record(0x0204, &[&at[..], &length, &text].concat())
            });
        }
    }
    sheet.extend(record(0x000A, &[]));
    let head = [begin(0x0005), record(0x0042, &1252_u16.to_le_bytes())].concat();
    let name = b"\x05Fleet";
    let length_of_name_record = 4 + 6 + name.len();
    let position = head.len() + length_of_name_record + 4;
    let position = u32::try_from(position).unwrap().to_le_bytes();
    let named = record(0x0085, &[&position[..], &[0, 0], name].concat());
    [head, named, record(0x000A, &[]), sheet].concat()
}

/// A compound file with one stream: header, one sector of chains, one of names, then the stream.
pub(crate) fn compound(name: &str, mut stream: Vec<u8>) -> Vec<u8> {
    const SECTOR: usize = 512;
    const END: u32 = 0xFFFF_FFFE;
    const FREE: u32 = 0xFFFF_FFFF;
    // Shorter streams would lie in a stream of small sectors.
    stream.resize(stream.len().max(4096).next_multiple_of(SECTOR), 0);
    let sectors = u32::try_from(stream.len() / SECTOR).unwrap();
    let mut header = vec![0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];
    header.resize(24, 0);
    for half in [0x003E_u16, 3, 0xFFFE, 9, 6] {
        header.extend(half.to_le_bytes());
    }
    header.resize(44, 0);
    for word in [1_u32, 1, 0, 4096, END, 0, END, 0, 0] {
        header.extend(word.to_le_bytes());
    }
    header.resize(SECTOR, 0xFF);
    let mut chains: Vec<u32> = vec![0xFFFF_FFFD, END];
    chains.extend((0..sectors).map(|n| if n + 1 == sectors { END } else { n + 3 }));
    chains.resize(SECTOR / 4, FREE);
    let entry = |name: &str, kind: u8, child: u32, start: u32, size: usize| {
        let mut entry: Vec<u8> = name.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let length = u16::try_from(entry.len() + 2).unwrap();
        entry.resize(64, 0);
        entry.extend(length.to_le_bytes());
        entry.extend([kind, 1]);
        for word in [FREE, FREE, child] {
            entry.extend(word.to_le_bytes());
        }
        entry.resize(116, 0);
        entry.extend(start.to_le_bytes());
        entry.extend((size as u64).to_le_bytes());
        entry
    };
    let mut names = entry("Root Entry", 5, 1, END, 0);
    names.extend(entry(name, 2, FREE, 2, stream.len()));
    names.resize(SECTOR, 0);
    let chains: Vec<u8> = chains.into_iter().flat_map(u32::to_le_bytes).collect();
    [header, chains, names, stream].concat()
}

#[test]
fn an_xls_of_version_5_is_read() {
    is_that_fleet(&take_in("a.xls", &compound("Book", version_5())));
}

/// A record of the newer binary format: kind and length in groups of seven bits.
fn packed(kind: u32, content: &[u8]) -> Vec<u8> {
    let groups = |mut n: u32| {
        let mut out = Vec::new();
        while n > 0x7F {
            out.push((n & 0x7F) as u8 | 0x80);
            n >>= 7;
        }
        out.push(n as u8);
        out
    };
    let mut out = if kind < 0x80 { vec![kind as u8] } else { kind.to_le_bytes()[..2].to_vec() };
    out.extend(groups(u32::try_from(content.len()).unwrap()));
    out.extend(content);
    out
}

fn wide(text: &str) -> Vec<u8> {
    let units: Vec<u16> = text.encode_utf16().collect();
    let mut out = u32::try_from(units.len()).unwrap().to_le_bytes().to_vec();
    out.extend(units.into_iter().flat_map(u16::to_le_bytes));
    out
}

fn words(words: &[u32]) -> Vec<u8> {
    words.iter().flat_map(|w| w.to_le_bytes()).collect()
}

/// A workbook of the newer binary format with one sheet.
pub(crate) fn xlsb() -> Vec<u8> {
    let named = [words(&[0, 1]), wide("rId1"), wide("Fleet")].concat();
    let book =
        [packed(0x018F, &[]), packed(0x019C, &named), packed(0x0190, &[]), packed(0x0184, &[])]
            .concat();
    let mut sheet = packed(0x0181, &[]);
    sheet.extend(packed(0x0194, &words(&[0, 2, 0, 3])));
    sheet.extend(packed(0x0191, &[]));
    for (row, cells) in (0_u32..).zip(ROWS) {
        let mut header = words(&[row, 0]);
        header.resize(17, 0);
        sheet.extend(packed(0, &header));
        for (col, text) in (0_u32..).zip(cells) {
            let at = words(&[col, 0]);
            sheet.extend(match text.parse::<f64>() {
                Ok(number) => packed(5, &[at, number.to_le_bytes().to_vec()].concat()),
                Err(_) => packed(6, &[at, wide(text)].concat()),
            });
        }
    }
    sheet.extend(packed(0x0192, &[]));
    let office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let of = |kind: &str, target: &str| {
        format!(
            "<?xml version=\"1.0\"?><Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\
             <Relationship Id=\"rId1\" Type=\"{office}/{kind}\" Target=\"{target}\"/></Relationships>"
        )
    };
    let types = "<?xml version=\"1.0\"?><Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">\
        <Default Extension=\"bin\" ContentType=\"application/vnd.ms-excel.sheet.binary.macroEnabled.main\"/></Types>";
    zip_bytes(&[
        ("[Content_Types].xml", types.as_bytes()),
        ("_rels/.rels", of("officeDocument", "xl/workbook.bin").as_bytes()),
        ("xl/_rels/workbook.bin.rels", of("worksheet", "worksheets/sheet1.bin").as_bytes()),
        ("xl/workbook.bin", &book),
        ("xl/worksheets/sheet1.bin", &sheet),
    ])
}

#[test]
fn an_xlsb_is_read() {
    is_that_fleet(&take_in("a.xlsb", &xlsb()));
}

/// A cell that says it stands in one of four thousand million columns is left out, and told.
#[test]
fn cells_beyond_the_sheet_are_left_out() {
    let far = [words(&[1, 0]), wide("Pumpe")].concat();
    let whole = xlsb();
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(whole)).unwrap();
    let mut parts: Vec<(String, Vec<u8>)> = Vec::new();
    for at in 0..archive.len() {
        let mut part = archive.by_index(at).unwrap();
        let mut content = Vec::new();
        std::io::Read::read_to_end(&mut part, &mut content).unwrap();
        let at = content.windows(far.len()).position(|w| w == far);
        if let Some(at) = at {
            content[at..at + 4].copy_from_slice(&0xFFFF_FFF0_u32.to_le_bytes());
        }
        parts.push((part.name().unwrap().into_owned(), content));
    }
    let parts: Vec<(&str, &[u8])> = parts.iter().map(|(n, c)| (n.as_str(), c.as_slice())).collect();
    let intake = take_in("a.xlsb", &zip_bytes(&parts));
    assert_eq!(intake.plant.positions.len(), 2);
    assert_eq!(intake.plant.positions[1].driven_machine(), None);
    let told = |f: &sparemesh::findings::Finding| {
        f.message.contains("beyond the last row or column; 1 left out")
    };
    let told = intake.findings.iter().any(told);
    assert!(told, "{:?}", intake.findings);
}
