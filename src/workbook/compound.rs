//! Compound files (the older xls): chains of sectors that run in a circle are refused before anybody follows them.
//!
//! ```text
//! header: sector size 2^s at 30, first sector of the directory at 48, of the small table at 60, sectors of the
//! table of chains from 76 on, more of them at 68;  table of chains: the sector that follows each sector
//! ```
//!
//! # Source
//! [MS-CFB] Compound File Binary File Format, 2.2 to 2.6 (from memory).

/// How a compound file begins.
const SIGNATURE: [u8; 8] = [0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];
const CIRCLE: &str = "the file is damaged: its sectors follow one another in a circle";
/// Numbers from here on are marks, not sectors.
const MARKS: u32 = 0xFFFF_FFFA;
/// Streams shorter than this lie in the small table.
const SMALL: u32 = 4_096;

/// What is known of the chain that begins at a sector.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Seen {
    Not,
    OnTheWay,
    Ends,
}

/// A table of chains: what follows each sector.
struct Chains {
    next: Vec<u32>,
    seen: Vec<Seen>,
}

impl Chains {
    fn of(next: Vec<u32>) -> Self {
        Self { seen: vec![Seen::Not; next.len()], next }
    }

    /// The sectors of a chain; `None` where it comes back to one of its own.
    fn sectors(&mut self, start: u32) -> Option<Vec<u32>> {
        let (mut at, mut way) = (start, Vec::new());
        while at < MARKS && (at as usize) < self.next.len() {
            let seen = &mut self.seen[at as usize];
            if *seen == Seen::OnTheWay {
                return None;
            }
            *seen = Seen::OnTheWay;
            way.push(at);
            at = self.next[at as usize];
        }
        for sector in &way {
            self.seen[*sector as usize] = Seen::Not;
        }
        Some(way)
    }

    fn forget(&mut self) {
        self.seen.fill(Seen::Not);
    }

    /// Whether a chain ends; each sector is followed once for all chains.
    fn ends(&mut self, start: u32) -> bool {
        let (mut at, mut way) = (start, Vec::new());
        while at < MARKS && (at as usize) < self.next.len() {
            match self.seen[at as usize] {
                Seen::OnTheWay => return false,
                Seen::Ends => break,
                Seen::Not => self.seen[at as usize] = Seen::OnTheWay,
            }
            way.push(at as usize);
            at = self.next[at as usize];
        }
        for sector in way {
            self.seen[sector] = Seen::Ends;
        }
        true
    }
}

fn word(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

fn words(bytes: &[u8]) -> impl Iterator<Item = u32> + '_ {
    bytes.chunks_exact(4).map(|b| u32::from_le_bytes([b[0], b[1], b[2], b[3]]))
}

/// A compound file whose chains end.
pub(super) struct Compound<'a> {
    bytes: &'a [u8],
    size: usize,
    chains: Chains,
    small: Chains,
    /// Name, first sector, length and whether it lies in the small table, of every entry of the directory.
    entries: Vec<(String, u32, usize, bool)>,
}

/// Refuses a compound file in which a chain of sectors runs in a circle: whoever follows it never comes to an end.
/// `None` where the header does not say enough; that is for the reader to refuse.
pub(super) fn checked(bytes: &[u8]) -> Result<Option<Compound<'_>>, String> {
    let Some(found) = Compound::of(bytes) else { return Ok(None) };
    let mut file = found?;
    for at in 0..file.entries.len() {
        let (start, is_small) = (file.entries[at].1, file.entries[at].3);
        let ends = if is_small { file.small.ends(start) } else { file.chains.ends(start) };
        if !ends {
            return Err(CIRCLE.into());
        }
    }
    file.chains.forget();
    file.small.forget();
    Ok(Some(file))
}

impl<'a> Compound<'a> {
    /// The tables and the directory, unless one of them runs in a circle; `None` where the header says too little.
    fn of(bytes: &'a [u8]) -> Option<Result<Self, String>> {
        if !bytes.starts_with(&SIGNATURE) {
            return None;
        }
        let shift = u16::from_le_bytes(bytes.get(30..32)?.try_into().ok()?);
        let size = match shift {
            9 => 512,
            12 => 4_096,
            _ => return None,
        };
        let sector = |id: u32| sector(bytes, size, id);
        let most = bytes.len() / size + 1;
        let mut tables: Vec<u32> = words(bytes.get(76..512)?).collect();
        let mut more = word(bytes, 68)?;
        for _ in 0..most {
            let Some(part) = (more < MARKS).then(|| sector(more)).flatten() else { break };
            let mut part: Vec<u32> = words(part).collect();
            more = part.pop()?;
            tables.extend(part);
        }
        let tables = tables.into_iter().filter(|id| *id < MARKS).take(most);
        let next = tables.filter_map(sector).flat_map(words).take(most * size);
        let mut chains = Chains::of(next.collect());
        let Some(directory) = chains.sectors(word(bytes, 48)?) else {
            return Some(Err(CIRCLE.into()));
        };
        let Some(small) = chains.sectors(word(bytes, 60)?) else { return Some(Err(CIRCLE.into())) };
        let small = Chains::of(small.into_iter().filter_map(sector).flat_map(words).collect());
        let entries = directory.into_iter().filter_map(sector).flat_map(|s| s.chunks_exact(128));
        let entries = entries.filter_map(|entry| {
            let wide = entry[..64].chunks_exact(2).map(|b| u16::from_le_bytes([b[0], b[1]]));
            let wide: Vec<u16> = wide.take_while(|c| *c != 0).collect();
            // Files of small sectors say no more of the length.
            let high = if shift == 9 { 0 } else { word(entry, 124)? };
            let length = u64::from(word(entry, 120)?) | u64::from(high) << 32;
            // The root (5) keeps the small streams in sectors of its own.
            let is_small = length < u64::from(SMALL) && entry[66] != 5;
            let length = usize::try_from(length).unwrap_or(usize::MAX);
            Some((String::from_utf16_lossy(&wide), word(entry, 116)?, length, is_small))
        });
        let entries = entries.collect();
        Some(Ok(Self { bytes, size, chains, small, entries }))
    }

    /// A stream by its name, as far as it is there.
    pub(super) fn stream(&mut self, name: &str) -> Option<Vec<u8>> {
        let named = |e: &&(String, u32, usize, bool)| e.0.eq_ignore_ascii_case(name);
        let (_, start, length, is_small) = self.entries.iter().find(named)?.clone();
        let mut out = Vec::new();
        if is_small {
            let root = self.entries.first()?.1;
            let kept = self.whole(root)?;
            for id in self.small.sectors(start)? {
                out.extend_from_slice(kept.get(id as usize * 64..(id as usize + 1) * 64)?);
            }
        } else {
            out = self.whole(start)?;
        }
        out.truncate(length);
        Some(out)
    }

    fn whole(&mut self, start: u32) -> Option<Vec<u8>> {
        let sectors = self.chains.sectors(start)?;
        Some(
            sectors
                .into_iter()
                .filter_map(|id| sector(self.bytes, self.size, id))
                .flatten()
                .copied()
                .collect(),
        )
    }
}

fn sector(bytes: &[u8], size: usize, id: u32) -> Option<&[u8]> {
    let from = (id as usize).checked_add(1)?.checked_mul(size)?;
    bytes.get(from..(from + size).min(bytes.len())).filter(|b| !b.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A header, a table of chains in sector 0, a directory in sector 1 whose stream begins in sector 2.
    fn file(next: [u32; 5], length: u32) -> Vec<u8> {
        let mut bytes = vec![0; 512 * 6];
        bytes[..8].copy_from_slice(&SIGNATURE);
        bytes[30..32].copy_from_slice(&9_u16.to_le_bytes());
        let mut put =
            |at: usize, value: u32| bytes[at..at + 4].copy_from_slice(&value.to_le_bytes());
        put(48, 1);
        put(60, u32::MAX - 1);
        put(68, u32::MAX - 1);
        for at in 1..109 {
            put(76 + 4 * at, u32::MAX);
        }
        for at in 0..128 {
            put(512 + 4 * at, u32::MAX);
        }
        for (at, sector) in (0..).zip(next) {
            put(512 + 4 * at, sector);
        }
        put(1_024 + 116, 2);
        put(1_024 + 120, length);
        bytes
    }

    const END: u32 = 0xFFFF_FFFE;

    #[test]
    fn a_circle_is_found_wherever_it_lies() {
        let check_chains = |bytes: &[u8]| checked(bytes).map(|_| ());
        assert!(check_chains(&file([END, END, 3, 4, END], 5_000)).is_ok());
        // The directory leads to itself, the stream back to its first or to a later sector.
        assert!(check_chains(&file([END, 1, 3, 4, END], 5_000)).is_err());
        assert!(check_chains(&file([END, END, 3, 4, 2], 5_000)).is_err());
        assert!(check_chains(&file([END, END, 3, 4, 3], 5_000)).is_err());
        // A short stream lies in the small table, so nobody follows this circle.
        assert!(check_chains(&file([END, END, 3, 4, 3], 100)).is_ok());
        assert!(check_chains(b"too short").is_ok());
    }
}
