//! Limits on what a file may unpack to, checked before anything is unpacked.

use std::io::Cursor;

/// How much a file may hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Bytes that a zipped workbook may unpack to.
    pub unpacked_bytes: u64,
    /// Used cells of one sheet.
    pub cells: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self { unpacked_bytes: 512 << 20, cells: 20_000_000 }
    }
}

/// Refuses an archive whose directory declares more than the limit.
pub(super) fn check_zip(bytes: &[u8], limits: Limits) -> Result<(), String> {
    let archive = zip::ZipArchive::new(Cursor::new(bytes))
        .map_err(|_| format!("the file is incomplete or damaged ({} bytes)", bytes.len()))?;
    let total = archive.decompressed_size().unwrap_or(0);
    if total > u128::from(limits.unpacked_bytes) {
        return Err(format!(
            "it would unpack to {} MB, more than the {} MB allowed; \
             if that is right, raise `max_unpacked_mb` in policy.toml",
            total >> 20,
            limits.unpacked_bytes >> 20
        ));
    }
    Ok(())
}

/// CRC-32 (ISO-HDLC), the checksum of zip archives.
pub(super) fn checksum(bytes: &[u8]) -> u32 {
    crc32fast::hash(bytes)
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_checksum_is_the_catalogued_one() {
        // The check value of CRC-32/ISO-HDLC for the nine digits.
        assert_eq!(super::checksum(b"123456789"), 0xCBF4_3926);
    }
}
