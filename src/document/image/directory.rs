//! The directories of a TIFF file: one a page (TIFF 6.0, section 2).

use super::resolution::believed;

/// One page of a TIFF file.
pub(super) struct Directory {
    at: [u8; 4],
    /// How fine it says it is.
    pub(super) dots_an_inch: Option<f32>,
}

/// Bytes in the order of the file.
#[derive(Clone, Copy)]
struct Source<'b> {
    bytes: &'b [u8],
    little: bool,
}

impl Source<'_> {
    fn number(self, at: usize, length: usize) -> Option<u32> {
        let digits = self.bytes.get(at..at.checked_add(length)?)?;
        let join = |sum: u32, digit: &u8| sum << 8 | u32::from(*digit);
        Some(if self.little { digits.iter().rev().fold(0, join) } else { digits.iter().fold(0, join) })
    }

    fn offset(self, at: usize) -> Option<usize> {
        usize::try_from(self.number(at, 4)?).ok()
    }
}

/// The directories in order, at most one more than `most`; none where the file is broken. A chain that
/// comes back to where it was ends there.
pub(super) fn walk(bytes: &[u8], most: usize) -> Option<Vec<Directory>> {
    let source = Source { bytes, little: bytes.starts_with(b"II") };
    // Files over 4 GB have another number here, and no report has them.
    if source.number(2, 2)? != 42 {
        return None;
    }
    let mut found = Vec::new();
    let mut seen = Vec::new();
    let mut link = 4;
    loop {
        let at = source.offset(link)?;
        if at == 0 || seen.contains(&at) || found.len() > most {
            break;
        }
        seen.push(at);
        let entries = usize::try_from(source.number(at, 2)?).ok()?;
        found.push(Directory {
            at: bytes.get(link..link + 4)?.try_into().ok()?,
            dots_an_inch: dots(source, at, entries),
        });
        link = at.checked_add(2)?.checked_add(entries.checked_mul(12)?)?;
    }
    (!found.is_empty()).then_some(found)
}

/// Entries 282 (dots across as a fraction) and 296 (2 an inch, 3 a centimetre).
#[allow(clippy::cast_precision_loss)]
fn dots(source: Source<'_>, at: usize, entries: usize) -> Option<f32> {
    let entry = |tag: u32| {
        (0..entries).map(|entry| at + 2 + entry * 12).find(|at| source.number(*at, 2) == Some(tag))
    };
    let fraction = source.offset(entry(282)? + 8)?;
    let across = source.number(fraction, 4)? as f32 / source.number(fraction.checked_add(4)?, 4)? as f32;
    match entry(296).and_then(|at| source.number(at + 8, 2)).unwrap_or(2) {
        2 => believed(across),
        3 => believed((across * 2.54).round()),
        _ => None,
    }
}

impl Directory {
    /// Points the head of the file at this directory.
    pub(super) fn make_first(&self, bytes: &mut [u8]) {
        if let Some(head) = bytes.get_mut(4..8) {
            head.copy_from_slice(&self.at);
        }
    }
}

/// Two TIFF files of one page as one of two pages.
#[cfg(test)]
pub(super) fn join(first: &[u8], second: &[u8]) -> Vec<u8> {
    let number = |bytes: &[u8], at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap());
    let entries =
        |bytes: &[u8], at: usize| usize::from(u16::from_le_bytes(bytes[at..at + 2].try_into().unwrap()));
    let mut joined = first.to_vec();
    joined.resize(joined.len().next_multiple_of(4), 0);
    let shift = u32::try_from(joined.len()).unwrap();
    let mut tail = second.to_vec();
    let directory = number(second, 4) as usize;
    for entry in (0..entries(second, directory)).map(|entry| directory + 2 + entry * 12) {
        let tag = u16::from_le_bytes(tail[entry..entry + 2].try_into().unwrap());
        let kind = u16::from_le_bytes(tail[entry + 2..entry + 4].try_into().unwrap());
        let size = [0, 1, 1, 2, 4, 8][usize::from(kind)] * number(&tail, entry + 4);
        // Values that do not fit, and the place of the pixels, are offsets in the file.
        if size > 4 || tag == 273 {
            let moved = number(&tail, entry + 8) + shift;
            tail[entry + 8..entry + 12].copy_from_slice(&moved.to_le_bytes());
        }
    }
    joined.extend(tail);
    let directory_of_first = number(first, 4) as usize;
    let link = directory_of_first + 2 + entries(first, directory_of_first) * 12;
    let moved = number(second, 4) + shift;
    joined[link..link + 4].copy_from_slice(&moved.to_le_bytes());
    joined
}
