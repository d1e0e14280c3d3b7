//! Tells containers by their first bytes; a name's ending can lie.

use std::path::Path;

/// A kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Container {
    /// Office Open XML, macros or not.
    Xlsx,
    /// Binary Office Open XML.
    Xlsb,
    /// OpenDocument.
    Ods,
    /// BIFF in a compound file.
    Xls,
    /// Delimited text.
    Text,
}

impl Container {
    pub(super) fn is_zip(self) -> bool {
        matches!(self, Self::Xlsx | Self::Xlsb | Self::Ods)
    }

    fn word(self) -> &'static str {
        match self {
            Self::Xlsx => "an xlsx workbook",
            Self::Xlsb => "an xlsb workbook",
            Self::Ods => "an OpenDocument spreadsheet",
            Self::Xls => "an xls workbook",
            Self::Text => "delimited text",
        }
    }

    fn endings(self) -> &'static [&'static str] {
        match self {
            Self::Xlsx => &["xlsx", "xlsm"],
            Self::Xlsb => &["xlsb"],
            Self::Ods => &["ods"],
            Self::Xls => &["xls"],
            Self::Text => &["csv", "tsv", "txt"],
        }
    }
}

fn holds(bytes: &[u8], needle: &[u8]) -> bool {
    bytes.windows(needle.len()).any(|window| window == needle)
}

/// UTF-16 text of a compound file's directory.
fn holds_wide(bytes: &[u8], needle: &str) -> bool {
    let wide: Vec<u8> = needle.encode_utf16().flat_map(u16::to_le_bytes).collect();
    holds(bytes, &wide)
}

/// Why a file that is locked cannot be read.
pub(super) const PROTECTED: &str =
    "it is password-protected; open it, remove the password and save it";

/// What the bytes are, or why they cannot be read.
pub(super) fn kind(bytes: &[u8]) -> Result<Container, String> {
    if bytes.is_empty() {
        return Err("it is empty".into());
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return zip_kind(bytes);
    }
    if bytes.starts_with(&[0xD0, 0xCF, 0x11, 0xE0]) {
        if holds_wide(bytes, "EncryptedPackage") {
            return Err(PROTECTED.into());
        }
        return Ok(Container::Xls);
    }
    if bytes.starts_with(&[0x09, 0x00])
        || bytes.starts_with(&[0x09, 0x02])
        || bytes.starts_with(&[0x09, 0x04])
    {
        return Err("it is of Excel 4 or older; save it as xlsx".into());
    }
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(400)]).to_lowercase();
    let head = head.trim_start_matches(['\u{feff}', ' ', '\r', '\n', '\t']);
    if head.starts_with("<html") || head.starts_with("<!doctype html") || head.starts_with("<table")
    {
        return Err("it is a web page, not a spreadsheet; open it and save it as xlsx".into());
    }
    if head.starts_with("<?xml") {
        return Err("it is an XML document, not a spreadsheet; open it and save it as xlsx".into());
    }
    let wide = bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]);
    let zeros = bytes.iter().take(4000).filter(|b| **b == 0).count();
    if !wide && zeros * 4 > bytes.len().min(4000) * 3 {
        return Err("it is neither a spreadsheet nor text".into());
    }
    let odd = bytes.iter().take(4000).filter(|b| **b < 9 && **b != 0).count();
    if odd * 20 > bytes.len().min(4000) {
        return Err("it is neither a spreadsheet nor text".into());
    }
    Ok(Container::Text)
}

fn zip_kind(bytes: &[u8]) -> Result<Container, String> {
    let archive = zip::ZipArchive::new(std::io::Cursor::new(bytes))
        .map_err(|_| format!("the file is incomplete or damaged ({} bytes)", bytes.len()))?;
    let names: Vec<String> =
        archive.file_names().filter_map(Result::ok).map(|name| name.to_lowercase()).collect();
    let has = |end: &str| names.iter().any(|name| name.ends_with(end));
    if has("workbook.bin") {
        Ok(Container::Xlsb)
    } else if has("content.xml") && !has("workbook.xml") {
        Ok(Container::Ods)
    } else if names.iter().any(|n| n.starts_with("xl/")) || has("workbook.xml") {
        Ok(Container::Xlsx)
    } else {
        Err("it is an archive without a workbook; unpack it first".into())
    }
}

/// Says what the file is when its ending says otherwise.
pub(super) fn other_than_named(path: &Path, kind: Container) -> Option<String> {
    let ending = path.extension()?.to_string_lossy().to_lowercase();
    (!kind.endings().contains(&ending.as_str()))
        .then(|| format!("the name ends in .{ending}, but the file is {}", kind.word()))
}
