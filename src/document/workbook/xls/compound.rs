//! A stream out of an OLE compound file ([MS-CFB], from memory), every walk bounded by the size of the file.

/// Sector numbers from here on are marks, not sectors.
const MARKS: u32 = 0xffff_fffa;

/// Streams below this size lie in the small sectors.
const SMALL: usize = 4096;

struct File<'a> {
    bytes: &'a [u8],
    sector: usize,
    table: Vec<u32>,
}

/// The bytes of the first stream with one of the names; none where the file is broken.
pub(super) fn stream(bytes: &[u8], names: &[&str]) -> Option<Vec<u8>> {
    let sector = match u16_at(bytes, 30)? {
        9 => 512,
        12 => 4096,
        _ => return None,
    };
    let mut file = File { bytes, sector, table: Vec::new() };
    file.read_table()?;
    let directory = file.chain(u32_at(bytes, 48)?)?;
    let entries: Vec<&[u8]> = directory.chunks_exact(128).collect();
    let root = entries.first()?;
    let entry = names.iter().find_map(|name| entries.iter().find(|e| is_named(e, name)))?;
    let (start, length) = (u32_at(entry, 116)?, u32_at(entry, 120)? as usize);
    let mut found = if length < SMALL {
        let small = file.chain(u32_at(root, 116)?)?;
        let table = words(&file.chain(u32_at(bytes, 60)?)?);
        walk(start, &table, small.len() / 64 + 1)?.into_iter().try_fold(Vec::new(), |mut all, id| {
            let from = (id as usize).checked_mul(64)?;
            all.extend_from_slice(small.get(from..from.checked_add(64)?)?);
            Some(all)
        })?
    } else {
        file.chain(start)?
    };
    if found.len() < length {
        return None;
    }
    found.truncate(length);
    Some(found)
}

impl File<'_> {
    fn sectors(&self) -> usize {
        self.bytes.len() / self.sector + 1
    }

    fn get(&self, id: u32) -> Option<&[u8]> {
        let from = (id as usize).checked_add(1)?.checked_mul(self.sector)?;
        // The last sector may be cut short.
        let to = from.checked_add(self.sector)?.min(self.bytes.len());
        self.bytes.get(from..to).filter(|s| !s.is_empty())
    }

    /// The table of chains, whose own sectors are listed in the header and in further lists.
    fn read_table(&mut self) -> Option<()> {
        let mut ids = words(self.bytes.get(76..512)?);
        let mut next = u32_at(self.bytes, 68)?;
        for _ in 0..self.sectors() {
            if next >= MARKS {
                break;
            }
            let mut more = words(self.get(next)?);
            next = more.pop()?;
            ids.append(&mut more);
        }
        for id in ids.into_iter().filter(|id| *id < MARKS).take(self.sectors()) {
            let more = words(self.get(id)?);
            self.table.extend(more);
        }
        Some(())
    }

    fn chain(&self, start: u32) -> Option<Vec<u8>> {
        let ids = walk(start, &self.table, self.sectors())?;
        let mut all = Vec::new();
        for id in ids {
            all.extend_from_slice(self.get(id)?);
        }
        Some(all)
    }
}

/// The sectors of a chain; none where it runs in a circle.
fn walk(start: u32, table: &[u32], most: usize) -> Option<Vec<u32>> {
    let (mut ids, mut next) = (Vec::new(), start);
    while next < MARKS {
        if ids.len() >= most {
            return None;
        }
        ids.push(next);
        next = *table.get(next as usize)?;
    }
    Some(ids)
}

fn is_named(entry: &[u8], name: &str) -> bool {
    let wide: Vec<u8> = name.encode_utf16().flat_map(u16::to_le_bytes).collect();
    entry.get(66) == Some(&2)
        && u16_at(entry, 64).map(usize::from) == Some(wide.len() + 2)
        && entry.get(..wide.len()).is_some_and(|n| n.eq_ignore_ascii_case(&wide))
}

fn words(bytes: &[u8]) -> Vec<u32> {
    bytes.chunks_exact(4).filter_map(|b| b.try_into().ok().map(u32::from_le_bytes)).collect()
}

/// A little-endian number of 16 bits.
pub(super) fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    bytes.get(at..at + 2)?.try_into().ok().map(u16::from_le_bytes)
}

/// A little-endian number of 32 bits.
pub(super) fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..at + 4)?.try_into().ok().map(u32::from_le_bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chain_that_bites_its_tail_ends() {
        assert_eq!(walk(0, &[1, 0], 10), None);
        assert_eq!(walk(0, &[2, 0xffff_fffe, 1], 10), Some(vec![0, 2, 1]));
        assert_eq!(walk(7, &[1, 0], 10), None);
    }

    #[test]
    fn rubbish_is_no_compound_file() {
        assert_eq!(stream(b"short", &["Workbook"]), None);
        assert_eq!(stream(&[0xff; 4096], &["Workbook"]), None);
    }
}
