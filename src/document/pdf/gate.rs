//! Looks a PDF over before anything is drawn: whole, unlocked, within the limits.
//!
//! The drawing library sets no bounds of its own, so what could make it run or grow without end is bounded
//! here: unpacked sizes, pixels, depth, tables that name ranges of codes, and the length of the drawing.

use super::load::{DEEPEST, damaged, load, too_deep, unpacks_too_far};
use super::toll::Toll;
use crate::document::pdf::scan::too_many_pixels;
use crate::document::{Cause, Format, Limits, Refusal};
use lopdf::xref::XrefRecovery;
use lopdf::{Dictionary, Document, Object, Stream};

/// A file that may be drawn.
pub(super) struct Admitted {
    /// Its pages.
    pub(super) pages: usize,
    /// What a person should know of it.
    pub(super) notes: Vec<String>,
}

/// Codes that the tables of one file may name by ranges: 65,536 for each of 16 fonts.
const MOST_CODES: u64 = 1 << 20;

/// Looks the file over.
///
/// # Errors
/// A [`Refusal`]: locked, damaged, beyond a limit.
pub(super) fn admit(bytes: &[u8], limits: &Limits) -> Result<Admitted, Refusal> {
    let document = load(bytes, limits)?;
    let pages = count_pages(&document, limits)?;
    let mut notes = Vec::new();
    if document.xref_recovery == Some(XrefRecovery::Reconstructed) {
        if !ends_whole(bytes) {
            return Err(damaged("It ends before its end, as a file does that was cut while it was copied."));
        }
        notes.push("The inner index of the PDF was broken and has been made anew.".to_owned());
    }
    check_sizes(&document, limits)?;
    let mut codes = 0;
    for object in document.objects.values() {
        check_tables(object, &document, limits, &mut codes, 0)?;
    }
    Toll::new(&document, limits).check()?;
    Ok(Admitted { pages, notes })
}

/// Whether the mark of the end stands in the last kilobyte, where readers look for it.
fn ends_whole(bytes: &[u8]) -> bool {
    let tail = bytes.get(bytes.len().saturating_sub(1024)..).unwrap_or_default();
    tail.windows(5).any(|window| window == b"%%EOF")
}

fn count_pages(document: &Document, limits: &Limits) -> Result<usize, Refusal> {
    let pages = document.page_iter().take(limits.pages.saturating_add(1)).count();
    if pages > limits.pages {
        return Err(Refusal::new(
            Cause::Limit,
            Format::Pdf,
            format!("Only reports of up to {} pages are read; this file has more.", limits.pages),
            "Send the pages with the results alone.",
        ));
    }
    let promised = document
        .catalog()
        .and_then(|catalog| catalog.get_deref(b"Pages", document))
        .and_then(Object::as_dict)
        .and_then(|root| root.get_deref(b"Count", document))
        .and_then(Object::as_i64)
        .ok()
        .and_then(|count| usize::try_from(count).ok());
    if pages == 0 || promised.is_some_and(|promised| promised > pages) {
        return Err(damaged("Some of its pages are missing."));
    }
    Ok(pages)
}

/// Unpacked sizes and pixels of all streams, counted where an upper bound does not settle it.
fn check_sizes(document: &Document, limits: &Limits) -> Result<(), Refusal> {
    let streams = || document.objects.values().filter_map(|object| object.as_stream().ok());
    for stream in streams() {
        check_pixels(stream, document, limits)?;
    }
    let settled = streams().map(most_unpacked).fold(0, u64::saturating_add) <= limits.unpacked_bytes
        && streams().all(|stream| most_unpacked(stream) <= limits.stream_bytes);
    if settled {
        return Ok(());
    }
    let mut sum = 0_u64;
    for stream in streams() {
        sum = sum.saturating_add(unpacked(stream, limits)?);
        if sum > limits.unpacked_bytes {
            return Err(unpacks_too_far(limits.unpacked_bytes));
        }
    }
    Ok(())
}

/// Filters that unpack to plain bytes; the others decode pictures and are bounded by their pixels.
fn byte_filters(stream: &Stream) -> Vec<&[u8]> {
    let filters = stream.filters().unwrap_or_default();
    let pictures: [&[u8]; 8] = [
        b"DCTDecode",
        b"DCT",
        b"CCITTFaxDecode",
        b"CCF",
        b"JBIG2Decode",
        b"JPXDecode",
        b"Crypt",
        b"Identity",
    ];
    filters.into_iter().filter(|filter| !pictures.contains(filter)).collect()
}

/// An upper bound of the unpacked size by the highest ratio each filter can reach: Deflate 1,032 (its
/// format allows 258 bytes for 2 bits), LZW a string of 4,096 for 12 bits, run length 128 for 2 bytes.
fn most_unpacked(stream: &Stream) -> u64 {
    let packed = u64::try_from(stream.content.len()).unwrap_or(u64::MAX);
    byte_filters(stream).into_iter().fold(packed, |size, filter| {
        size.saturating_mul(match filter {
            b"ASCIIHexDecode" | b"AHx" => 1,
            b"ASCII85Decode" | b"A85" => 4,
            b"RunLengthDecode" | b"RL" => 64,
            b"FlateDecode" | b"Fl" => 1_032,
            _ => 4_096,
        })
    })
}

/// The unpacked size, counted by unpacking under the limit.
fn unpacked(stream: &Stream, limits: &Limits) -> Result<u64, Refusal> {
    if most_unpacked(stream) <= 1 << 16 {
        return Ok(most_unpacked(stream));
    }
    let names = byte_filters(stream);
    let packed = u64::try_from(stream.content.len()).unwrap_or(u64::MAX);
    if names.is_empty() {
        return Ok(packed);
    }
    let most = usize::try_from(limits.stream_bytes).unwrap_or(usize::MAX);
    let size = if names.len() == stream.filters().map_or(0, |all| all.len()) {
        stream.decompressed_content_with_limit(most).map(|plain| plain.len())
    } else {
        let mut bare = Dictionary::new();
        bare.set("Filter", names.iter().map(|name| Object::Name(name.to_vec())).collect::<Vec<_>>());
        Stream::new(bare, stream.content.clone())
            .decompressed_content_with_limit(most)
            .map(|plain| plain.len())
    };
    match size {
        Ok(size) => Ok(u64::try_from(size).unwrap_or(u64::MAX)),
        Err(lopdf::Error::Decompress(_)) => Err(unpacks_too_far(limits.stream_bytes)),
        // Broken inside: it unpacks to nothing of use, and it is not what this check is about.
        Err(_) => Ok(packed),
    }
}

/// Pixels of a picture, by its own size and by that of its filter.
fn check_pixels(stream: &Stream, document: &Document, limits: &Limits) -> Result<(), Refusal> {
    let number = |dict: &Dictionary, key: &[u8]| {
        dict.get_deref(key, document).and_then(Object::as_i64).ok().and_then(|size| u64::try_from(size).ok())
    };
    let within = |width: Option<u64>, height: Option<u64>| match (width, height) {
        (Some(width), Some(height)) if width.saturating_mul(height) > limits.pixels => {
            Err(too_many_pixels(width.saturating_mul(height), Format::Pdf))
        }
        _ => Ok(()),
    };
    let (width, height) = (number(&stream.dict, b"Width"), number(&stream.dict, b"Height"));
    within(width, height)?;
    let Ok(parameters) = stream.dict.get_deref(b"DecodeParms", document) else { return Ok(()) };
    let each = match parameters {
        Object::Array(each) => each.as_slice(),
        single => std::slice::from_ref(single),
    };
    for parameters in each.iter().filter_map(|each| document.dereference(each).ok()?.1.as_dict().ok()) {
        let (columns, rows) = (number(parameters, b"Columns"), number(parameters, b"Rows"));
        within(columns, rows.or(height))?;
    }
    Ok(())
}

/// Tables that name codes by ranges, in any font of the file, and the depth of objects.
fn check_tables(
    object: &Object,
    document: &Document,
    limits: &Limits,
    codes: &mut u64,
    depth: usize,
) -> Result<(), Refusal> {
    if depth > DEEPEST {
        return Err(too_deep());
    }
    let dict = match object {
        Object::Array(items) => {
            return items.iter().try_for_each(|item| check_tables(item, document, limits, codes, depth + 1));
        }
        Object::Dictionary(dict) => dict,
        Object::Stream(stream) => &stream.dict,
        _ => return Ok(()),
    };
    for key in [&b"ToUnicode"[..], b"Encoding", b"UseCMap"] {
        if let Ok(stream) = dict.get_deref(key, document).and_then(Object::as_stream) {
            let most = usize::try_from(limits.stream_bytes).unwrap_or(usize::MAX);
            let table = stream.get_plain_content_with_limit(most).unwrap_or_default();
            *codes = codes.saturating_add(codes_of_map(&table));
        }
    }
    for (key, run) in [(&b"W"[..], 3), (b"W2", 5)] {
        if let Ok(widths) = dict.get_deref(key, document).and_then(Object::as_array) {
            *codes = codes.saturating_add(codes_of_widths(widths, document, run));
        }
    }
    if *codes > MOST_CODES {
        return Err(Refusal::new(
            Cause::Limit,
            Format::Pdf,
            format!("The fonts of the file name more than {MOST_CODES} letters, which no report does."),
            "Print it to a new PDF and drop that.",
        ));
    }
    dict.iter().try_for_each(|(_, value)| check_tables(value, document, limits, codes, depth + 1))
}

/// Codes named by the ranges of a table of characters: rows of `<first> <last> target`, the target a code,
/// a number or a list.
fn codes_of_map(table: &[u8]) -> u64 {
    let mut sum = 0_u64;
    let mut row: Option<Vec<u64>> = None;
    let mut listed = false;
    for token in tokens(table) {
        match token {
            b"begincidrange" | b"beginbfrange" | b"beginnotdefrange" => row = Some(Vec::new()),
            token if token.starts_with(b"end") => row = None,
            b"[" => listed = true,
            b"]" => {
                listed = false;
                row.as_mut().into_iter().for_each(Vec::clear);
            }
            token => {
                let Some(row) = row.as_mut().filter(|_| !listed) else { continue };
                if let [first, last] = row.as_slice() {
                    // This token is the target.
                    sum = sum.saturating_add(last.saturating_sub(*first).saturating_add(1));
                    row.clear();
                } else {
                    row.push(hexadecimal(token));
                }
            }
        }
        if let Some([first, last]) = row.as_deref().filter(|_| listed) {
            sum = sum.saturating_add(last.saturating_sub(*first).saturating_add(1));
            row.as_mut().into_iter().for_each(Vec::clear);
        }
    }
    sum
}

/// Words, brackets and hexadecimal strings (without their angles) of a table of characters.
fn tokens(table: &[u8]) -> impl Iterator<Item = &[u8]> {
    table
        .split_inclusive(|byte| byte.is_ascii_whitespace() || b"<>[]".contains(byte))
        .flat_map(|piece| match piece.split_last() {
            Some((end @ (b'[' | b']'), word)) => [word, std::slice::from_ref(end)],
            Some((end, word)) if end.is_ascii_whitespace() || b"<>".contains(end) => [word, &[]],
            _ => [piece, &[]],
        })
        .filter(|token| !token.is_empty())
}

/// The number; one too long to be a code counts as the highest.
fn hexadecimal(token: &[u8]) -> u64 {
    let digits = std::str::from_utf8(token).unwrap_or_default();
    u64::from_str_radix(digits, 16).unwrap_or(u64::from(u32::MAX))
}

/// Codes named by the ranges of a table of widths: `first last width` (or `first [widths]`).
fn codes_of_widths(widths: &[Object], document: &Document, run: usize) -> u64 {
    let mut sum = 0_u64;
    let mut rest = widths;
    while let [first, second, ..] = rest {
        let second = document.dereference(second).map_or(second, |(_, object)| object);
        let taken = match (first.as_i64(), second) {
            (_, Object::Array(each)) => {
                sum = sum.saturating_add(u64::try_from(each.len()).unwrap_or(u64::MAX));
                2
            }
            (Ok(first), second) => {
                let last = second.as_i64().unwrap_or(first);
                sum = sum
                    .saturating_add(u64::try_from(last.saturating_sub(first).saturating_add(1)).unwrap_or(0));
                run
            }
            _ => 1,
        };
        rest = rest.get(taken..).unwrap_or_default();
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ranges_of_a_table_of_characters_are_counted() {
        let table = b"1 begincodespacerange <0000> <FFFF> endcodespacerange
            2 beginbfrange <0001> <0010> <0041> <0020><0022> [<0041> <0042> <0043>] endbfrange
            1 beginbfchar <0003> <0020> endbfchar";
        assert_eq!(codes_of_map(table), 16 + 3);
        assert_eq!(codes_of_map(b"1 begincidrange<00><7F>0<80><FF>128 endcidrange"), 256);
        assert_eq!(codes_of_map(b"1 beginbfrange\n<00000000> <FFFFFFFF> <0041>\nendbfrange"), 1 << 32);
    }

    #[test]
    fn the_ranges_of_a_table_of_widths_are_counted() {
        let document = Document::new();
        let widths = vec![1.into(), vec![500.into(), 600.into()].into(), 10.into(), 19.into(), 500.into()];
        assert_eq!(codes_of_widths(&widths, &document, 3), 12);
    }
}
