//! Which format, judged by the bytes and never by the name.

mod container;

mod lines;

pub(super) mod separator;

use super::wording;
use super::{Cause, Format, Limits, Refusal, decode};

/// Where a PDF header may stand at the latest.
const PDF_HEAD: usize = 1024;

/// The format of the bytes.
///
/// # Errors
/// A [`Refusal`] where the bytes are empty, too many, or of a kind that holds no report; a kind that is known
/// but not read is named.
pub fn sniff(bytes: &[u8], limits: &Limits) -> Result<Format, Refusal> {
    if bytes.is_empty() {
        return Err(empty("The file is empty (0 bytes)."));
    }
    if bytes.len() as u64 > limits.file_bytes {
        return Err(wording::too_many_bytes(bytes.len() as u64, limits));
    }
    if let Some(format) = by_signature(bytes, limits)? {
        return Ok(format);
    }
    let Some(text) = decode::text(bytes) else {
        return Err(wording::not_read("This is none of the kinds of file that hold a report.", ""));
    };
    if text.trim().is_empty() {
        return Err(empty("The file holds nothing but blank lines."));
    }
    by_text(&text)
}

/// What the bytes look like from outside, nothing unpacked: for those that cannot be opened. Text of any kind is
/// [`Format::Text`].
pub fn at_a_glance(bytes: &[u8]) -> Format {
    /// Where a packed workbook names its parts: at the beginning, or in the list at the end.
    const ENDS: usize = 64 << 10;
    match bytes {
        [b'P', b'K', 3 | 5, 4 | 6, ..] => {
            let (head, tail) =
                (bytes.get(..ENDS), bytes.len().checked_sub(ENDS).and_then(|at| bytes.get(at..)));
            let names = |part: &[u8]| {
                let holds = |mark: &[u8]| part.windows(mark.len()).any(|w| w == mark);
                holds(b"[Content_Types].xml") || holds(b"application/vnd.oasis.opendocument")
            };
            let workbook = [Some(head.unwrap_or(bytes)), tail].into_iter().flatten().any(names);
            if workbook { Format::Xlsx } else { Format::Archive }
        }
        [0xd0, 0xcf, 0x11, 0xe0, ..] => Format::Xlsx,
        [0x89, b'P', b'N', b'G', ..]
        | [0xff, 0xd8, 0xff, ..]
        | [b'I', b'I', 42, 0, ..]
        | [b'M', b'M', 0, 42, ..] => Format::Image,
        _ if bytes.get(..PDF_HEAD).unwrap_or(bytes).windows(5).any(|w| w == b"%PDF-") => Format::Pdf,
        _ => Format::Text,
    }
}

fn empty(what: &str) -> Refusal {
    Refusal::new(Cause::Empty, Format::Unknown, what, "Ask for it again, or export it anew.")
}

fn by_signature(bytes: &[u8], limits: &Limits) -> Result<Option<Format>, Refusal> {
    match bytes {
        [b'P', b'K', 3, 4, ..] | [b'P', b'K', 5, 6, ..] => return container::zip(bytes, limits).map(Some),
        [0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1, ..] => return container::ole(bytes).map(Some),
        [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a, ..]
        | [0xff, 0xd8, 0xff, ..]
        | [b'I', b'I', 42, 0, ..]
        | [b'M', b'M', 0, 42, ..] => return Ok(Some(Format::Image)),
        _ => {}
    }
    if let Some((what, remedy)) = known_but_not_read(bytes) {
        return Err(wording::not_read(what, remedy));
    }
    let head = bytes.get(..PDF_HEAD).unwrap_or(bytes);
    let pdf = head.windows(5).any(|w| w == b"%PDF-") && !lines::is_mail(&String::from_utf8_lossy(head));
    Ok(pdf.then_some(Format::Pdf))
}

/// Kinds of file that people drop and that are not read, by their first bytes (signatures from memory).
fn known_but_not_read(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    const PICTURE: &str = "Save the picture as PNG or JPEG and drop that.";
    const UNPACK: &str = "Unpack it and drop the report inside, or pack it as ZIP.";
    let starts = |mark: &[u8]| bytes.starts_with(mark);
    let brand = bytes.get(4..12).unwrap_or_default();
    Some(if starts(b"{\\rtf") {
        ("This is a rich text document (RTF).", "Print it to a PDF and drop that.")
    } else if starts(b"GIF8") {
        ("This is a GIF picture.", PICTURE)
    } else if starts(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        ("This is a WEBP picture.", PICTURE)
    } else if brand.starts_with(b"ftyp")
        && [&b"heic"[..], b"heix", b"mif1", b"msf1", b"heim", b"avif"]
            .contains(&brand.get(4..).unwrap_or(b""))
    {
        ("This is a HEIC or AVIF picture, as telephones take them.", PICTURE)
    } else if starts(b"BM") && bytes.get(6..10) == Some(&[0, 0, 0, 0]) {
        ("This is a BMP picture.", PICTURE)
    } else if starts(b"MZ") && bytes.contains(&0) || starts(b"\x7fELF") {
        ("This is a program, not a report.", "")
    } else if starts(b"#!") {
        ("This is a script, not a report.", "")
    } else if starts(b"\x1f\x8b")
        || starts(b"7z\xbc\xaf\x27\x1c")
        || starts(b"Rar!")
        || starts(b"BZh")
        || starts(b"\xfd7zXZ")
        || bytes.get(257..262) == Some(b"ustar")
    {
        ("This is an archive of a kind that is not read.", UNPACK)
    } else if starts(b"SQLite format 3\0") {
        ("This is a database file.", "Export the results as CSV and drop that.")
    } else if starts(b"PAR1") {
        ("This is a Parquet file.", "Export the results as CSV and drop that.")
    } else if starts(b"\x78\x9f\x3e\x22") {
        ("This is a winmail.dat of an Outlook mail.", "Ask for the report as an ordinary attachment.")
    } else if starts(b"%!PS") {
        ("This is a PostScript file.", "Print it to a PDF and drop that.")
    } else {
        return None;
    })
}

fn by_text(text: &str) -> Result<Format, Refusal> {
    let start = text.trim_start();
    if lines::is_mail(start) {
        return Ok(Format::Mail);
    }
    if start.starts_with('<') {
        match lines::root(start).as_deref() {
            Some("ModusResult") => return Ok(Format::ExchangeXml),
            Some("html") => return Ok(Format::Html),
            Some(_) if !lines::has_html(start) && super::records::holds_records(start) => {
                return Ok(Format::ExchangeXml);
            }
            Some(name) if start.starts_with("<?xml") && !lines::has_html(start) => {
                return Err(wording::not_read(
                    format!(
                        "This is XML ({}), but no soil result of the exchange standard.",
                        wording::quoted(name)
                    ),
                    "Export the results as CSV, or print them to a PDF, and drop that.",
                ));
            }
            Some("svg") => {
                return Err(wording::not_read("This is an SVG drawing.", "Print it to a PDF and drop that."));
            }
            _ => {}
        }
    }
    if lines::has_html(start) {
        return Ok(Format::Html);
    }
    if lines::is_json(start) {
        return Err(wording::not_read("This is a JSON file.", "Export the results as CSV and drop that."));
    }
    Ok(if separator::decide(text).is_some() { Format::Csv } else { Format::Text })
}

/// The local name of the first element of an XML text.
pub(super) fn root(text: &str) -> Option<String> {
    lines::root(text.trim_start())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(bytes: &[u8]) -> Result<Format, Cause> {
        sniff(bytes, &Limits::default()).map_err(|r| r.cause)
    }

    #[test]
    fn nothing_and_blanks_are_empty_and_too_much_is_too_large() {
        assert_eq!(of(b""), Err(Cause::Empty));
        assert_eq!(of(b" \r\n\r\n"), Err(Cause::Empty));
        let tight = Limits { file_bytes: 3 << 20, ..Limits::default() };
        let refusal = sniff(&vec![b'a'; 4 << 20], &tight).unwrap_err();
        assert_eq!(refusal.cause, Cause::TooLarge);
        assert!(refusal.what.contains("4 MB; reports up to 3 MB"), "{}", refusal.what);
    }

    #[test]
    fn signatures_decide_whatever_the_name() {
        assert_eq!(of(b"junk before\n%PDF-1.7\n"), Ok(Format::Pdf));
        assert_eq!(of(b"\x89PNG\r\n\x1a\n"), Ok(Format::Image));
        assert_eq!(of(&[0xff, 0xd8, 0xff, 0xe0]), Ok(Format::Image));
        assert_eq!(of(b"II*\0"), Ok(Format::Image));
    }

    #[test]
    fn a_kind_that_is_not_read_is_named_and_the_kinds_that_are_read_are_listed() {
        for (bytes, word) in [
            (&b"{\\rtf1 soil}"[..], "RTF"),
            (b"GIF89a....", "GIF"),
            (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
            (b"RIFF\0\0\0\0WEBPVP8 ", "WEBP"),
            (b"MZ\x90\0\x03\0", "program"),
            (b"[{\"ph\": 6.4}]", "JSON"),
            (b"<?xml version='1.0'?><orders/>", "XML"),
        ] {
            let refusal = sniff(bytes, &Limits::default()).unwrap_err();
            assert_eq!(refusal.cause, Cause::UnknownFormat);
            assert!(refusal.what.contains(word), "{}", refusal.what);
            assert!(refusal.remedy.contains("exchange XML"), "{}", refusal.remedy);
        }
    }

    #[test]
    fn random_bytes_are_of_no_known_kind() {
        let noise: Vec<u8> = (0..4096u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
        assert_eq!(of(&noise), Err(Cause::UnknownFormat));
    }

    #[test]
    fn tables_letters_mails_pages_and_exchange_files_are_told_apart() {
        assert_eq!(of(b"Sample,pH,P\nA,6.4,22\nB,6.1,30\n"), Ok(Format::Csv));
        assert_eq!(of("Probe;pH;P\nA;6,4;22\nB;6,1;30\n".as_bytes()), Ok(Format::Csv));
        assert_eq!(of(b"SAMPLE    PH    P\nNORTH     6.4   22\n"), Ok(Format::Text));
        assert_eq!(of(b"From: a@b.invalid\nSubject: Soil\n\nHello\n"), Ok(Format::Mail));
        assert_eq!(
            of(b"From a@b.invalid Mon Jan  5 10:00:00 2026\nSubject: Soil\n\nHello\n"),
            Ok(Format::Mail)
        );
        assert_eq!(of(b"<!DOCTYPE html>\n<html><body>x</body></html>"), Ok(Format::Html));
        assert_eq!(of(b"<p>Hello</p><table><tr><td>pH</td></tr></table>"), Ok(Format::Html));
        assert_eq!(
            of(b"<?xml version=\"1.0\"?>\n<!-- x --><ModusResult Version=\"1.0\"/>"),
            Ok(Format::ExchangeXml)
        );
        let utf16: Vec<u8> =
            "Sample\tpH\tP\nA\t6.4\t22\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
        assert_eq!(of(&utf16), Ok(Format::Csv));
    }
}
